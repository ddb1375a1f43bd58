import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0017_whose_boxes_are_fitted"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AlterField(
            model_name="hand",
            name="user",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="shop_hand", to=settings.AUTH_USER_MODEL
            ),
        ),
    ]
