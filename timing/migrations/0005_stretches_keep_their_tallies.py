import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("timing", "0004_timings_by_operation"),
    ]

    operations = [
        migrations.AlterField(
            model_name="helper",
            name="stretch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="helpers", to="timing.stretch"
            ),
        ),
        migrations.AlterField(
            model_name="tally",
            name="stretch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="tallies", to="timing.stretch"
            ),
        ),
    ]
