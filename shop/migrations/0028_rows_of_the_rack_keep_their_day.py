from collections import defaultdict
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.db import migrations, models

AT_ONCE = 500


def fill_by_the_zone_of_now(apps: Any, schema_editor: Any) -> None:
    """Which zone the shop had when a row was written nobody kept: that of now is what they were read by so far."""
    shop = apps.get_model("shop", "Shop").objects.first()
    if shop is None:
        return
    zone = ZoneInfo(shop.time_zone)
    for name in ("Purchase", "StockCount", "Issue"):
        rows = apps.get_model("shop", name).objects
        days: dict[date, list[int]] = defaultdict(list)
        for pk, at in rows.filter(material__isnull=False).values_list("pk", "recorded_at").iterator():
            days[at.astimezone(zone).date()].append(pk)
        for written_on, pks in days.items():
            for start in range(0, len(pks), AT_ONCE):
                rows.filter(pk__in=pks[start : start + AT_ONCE]).update(written_on=written_on)


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0027_counts_by_the_release_before"),
    ]

    operations = [
        *(
            migrations.AddField(
                model_name=name,
                name="written_on",
                field=models.DateField(blank=True, null=True),
            )
            for name in ("purchase", "stockcount", "issue")
        ),
        migrations.RunPython(fill_by_the_zone_of_now, migrations.RunPython.noop),
    ]
