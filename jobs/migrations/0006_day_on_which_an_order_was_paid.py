from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0005_customers_whose_name_was_replaced"),
    ]

    operations = [
        migrations.AddField(
            model_name="order",
            name="paid_on",
            field=models.DateField(blank=True, null=True),
        ),
    ]
