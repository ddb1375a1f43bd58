from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0004_inside_run_of_a_hoop"),
    ]

    operations = [
        migrations.AddField(
            model_name="customer",
            name="replaced_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
    ]
