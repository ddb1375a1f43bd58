from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0018_hands_stay_with_their_records"),
    ]

    operations = [
        migrations.AddField(
            model_name="hand",
            name="replaced_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="shop",
            name="records_years",
            field=models.PositiveSmallIntegerField(db_default=6, default=6),
        ),
    ]
