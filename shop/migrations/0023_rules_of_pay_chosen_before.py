import re
from zoneinfo import ZoneInfo

from django.db import migrations, models

NAMES = {
    "No legal check": "plain",
    "Great Britain: National Minimum Wage": "gb",
    "United States: Fair Labor Standards Act": "us",
}
CHOSEN = re.compile(r"(?:^|; )Rules that are checked: ([^;]+)(?:;|$)")


def read_the_lines(apps, schema_editor):
    """What was chosen before stands in the lines of who changed what, and nowhere else."""
    shop = apps.get_model("shop", "Shop").objects.filter(id=1).first()
    rows = apps.get_model("shop", "RulesBefore").objects
    lines = apps.get_model("shop", "AuditLine").objects.filter(kind="shop", before__contains="Rules that are checked: ")
    for made_at, before in lines.order_by("made_at", "id").values_list("made_at", "before"):
        chosen = CHOSEN.search(before)
        rules = NAMES.get(chosen.group(1)) if chosen else None
        if shop and rules:
            rows.create(rules=rules, last_on=made_at.astimezone(ZoneInfo(shop.time_zone)).date())


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0022_rated_output_work_and_agreed_overtime"),
    ]

    operations = [
        migrations.CreateModel(
            name="RulesBefore",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("rules", models.CharField(max_length=8)),
                ("last_on", models.DateField()),
            ],
            options={
                "ordering": ["last_on", "id"],
                "verbose_name_plural": "rules chosen before",
            },
        ),
        migrations.RunPython(read_the_lines, migrations.RunPython.noop),
    ]
