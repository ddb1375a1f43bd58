"""Each revision keeps its customer and carriage, what its own figures were for, and the words of its money.

An alteration keeps which wheels it replaces and what it made.
"""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models


def keep_what_was_told(apps: Any, schema_editor: Any) -> None:
    """What stood on the quotation, or followed from the shop, is each revision's own from now on."""
    revisions = apps.get_model("shop", "Revision").objects.select_related("quote")
    shop = apps.get_model("shop", "Shop").objects.first()
    for revision in revisions.defer("frozen"):
        revision.customer_id, revision.carriage = revision.quote.customer_id, revision.quote.carriage
        if revision.sent_at and shop:
            revision.currency, revision.tax_name = shop.currency, shop.tax_name
        if revision.quote.alters_id and revision.state == "draft":
            # Nobody keeps weeks that an alteration promises: its order has its day.
            revision.weeks = None
        revision.save(update_fields=["customer", "carriage", "currency", "tax_name", "weeks"])
    accepted = revisions.filter(state="accepted").values("quote")
    # A draft that stayed beside an accepted revision could be signed a second time.
    revisions.filter(state="draft", quote__in=list(accepted.values_list("quote", flat=True))).delete()
    _keep_wheels(apps)
    if schema_editor.connection.vendor == "postgresql":
        # The columns are closed in this same transaction, which wants all that was put off to be checked.
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        schema_editor.execute("SET CONSTRAINTS ALL DEFERRED")


def _keep_wheels(apps: Any) -> None:
    rows = apps.get_model("shop", "QuoteLot").objects.exclude(instead_of=None).select_related("revision")
    wheels = apps.get_model("jobs", "Wheel").objects
    lots = apps.get_model("jobs", "Lot").objects
    taken: dict[int, set[int]] = {}
    for row in rows.order_by("revision_id", "pk"):
        if row.revision.state == "accepted":
            made = list(lots.filter(replaces=row.instead_of_id, name=row.name, spokes=row.spokes)[:2])
            row.made = made[0] if len(made) == 1 else None
        else:
            gone = taken.setdefault(row.revision_id, set())
            live = wheels.filter(lot=row.instead_of_id, dropped_at=None).order_by("number")
            row.wheel_ids = _at_places([wheel for wheel in live if wheel.pk not in gone], row.places)
            gone.update(row.wheel_ids)
        row.save(update_fields=["made", "wheel_ids"])


def _at_places(live: list[Any], places: list[str]) -> list[int]:
    """The first wheels at these places, as they were meant before their ids were kept; none where one is gone."""
    found: list[int] = []
    for place in places:
        one = next((wheel.pk for wheel in live if wheel.place == place and wheel.pk not in found), None)
        if one is None:
            return []
        found.append(one)
    return found


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0004_inside_run_of_a_hoop"),
        ("shop", "0014_pay_runs_and_their_sheets"),
    ]

    operations = [
        migrations.AddField(
            model_name="quotelot",
            name="made",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="jobs.lot",
            ),
        ),
        migrations.AddField("quotelot", "token", models.UUIDField(blank=True, null=True)),
        migrations.AddField("quotelot", "wheel_ids", models.JSONField(blank=True, default=list)),
        migrations.AddField("revision", "own_for", models.JSONField(blank=True, default=dict)),
        migrations.AddField("revision", "currency", models.CharField(blank=True, max_length=3)),
        migrations.AddField("revision", "tax_name", models.CharField(blank=True, max_length=20)),
        migrations.AddField(
            "revision", "carriage", models.CharField(default="", max_length=80), preserve_default=False
        ),
        migrations.AddField(
            model_name="revision",
            name="customer",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.customer"
            ),
        ),
        migrations.RunPython(keep_what_was_told, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="revision",
            name="customer",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="jobs.customer"),
        ),
    ]
