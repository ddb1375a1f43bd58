from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0026_least_that_is_kept"),
    ]

    operations = [
        migrations.AlterField(
            model_name="stockcount",
            name="at_day_end",
            field=models.BooleanField(db_default=True, default=True),
        ),
        migrations.AlterField(
            model_name="stockcount",
            name="note",
            field=models.CharField(blank=True, db_default="", max_length=160),
        ),
    ]
