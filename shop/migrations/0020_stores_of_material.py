import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.models import F, Q


def its_id() -> tuple[str, models.BigAutoField]:
    return "id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


def a_material(name: str) -> models.ForeignKey:
    return models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name=name, to="shop.material")


def its_writer() -> models.ForeignKey:
    return models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL)


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0004_inside_run_of_a_hoop"),
        ("shop", "0019_how_long_records_are_kept"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="issue",
            name="amount_millionths",
            field=models.BigIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="issue",
            name="material",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="issues",
                to="shop.material",
            ),
        ),
        migrations.AddField(
            model_name="issue",
            name="pieces",
            field=models.IntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="issue",
            name="returns",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="returned_by",
                to="shop.issue",
            ),
        ),
        migrations.AddConstraint(
            model_name="issue",
            constraint=models.CheckConstraint(
                condition=Q(amount_millionths=None, material=None, pieces=None, returns=None)
                | Q(amount_millionths__isnull=False, amount_pence=0, material__isnull=False),
                name="issue_from_the_rack_has_an_amount",
            ),
        ),
        migrations.AddConstraint(
            model_name="issue",
            constraint=models.CheckConstraint(
                condition=Q(amount_millionths__gt=0, cancels=None, returns=None)
                | Q(amount_millionths__lt=0, cancels=None, returns__isnull=False)
                | Q(amount_millionths__lt=0, cancels__isnull=False, returns=None)
                | Q(amount_millionths__gt=0, cancels__isnull=False, returns__isnull=False),
                name="issue_of_less_than_nothing_says_of_which",
            ),
        ),
        migrations.CreateModel(
            name="Purchase",
            fields=[
                its_id(),
                ("amount_millionths", models.BigIntegerField()),
                ("pieces", models.IntegerField(blank=True, null=True)),
                ("paid_pence", models.BigIntegerField()),
                ("on", models.DateField()),
                ("supplier", models.CharField(blank=True, max_length=120)),
                ("felled_on", models.DateField(blank=True, null=True)),
                ("moisture_tenths", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("note", models.CharField(blank=True, max_length=160)),
                ("recorded_at", models.DateTimeField()),
                ("token", models.UUIDField(unique=True)),
                (
                    "cancels",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cancelled_by",
                        to="shop.purchase",
                    ),
                ),
                ("material", a_material("purchases")),
                ("recorded_by", its_writer()),
            ],
            options={
                "ordering": ["on", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=Q(amount_millionths__gt=0, cancels=None, paid_pence__gte=0)
                        | Q(amount_millionths__lt=0, cancels__isnull=False, paid_pence__lte=0),
                        name="purchase_negated_only_by_a_cancel",
                    ),
                    models.CheckConstraint(condition=~Q(cancels=F("id")), name="purchase_not_its_own_cancel"),
                ],
            },
        ),
        migrations.CreateModel(
            name="StockCount",
            fields=[
                its_id(),
                ("amount_millionths", models.BigIntegerField()),
                ("pieces", models.IntegerField(blank=True, null=True)),
                ("on", models.DateField()),
                ("recorded_at", models.DateTimeField()),
                ("token", models.UUIDField(unique=True)),
                ("material", a_material("counts")),
                ("recorded_by", its_writer()),
            ],
            options={
                "ordering": ["on", "id"],
                "constraints": [
                    models.CheckConstraint(condition=Q(amount_millionths__gte=0), name="count_not_negative"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Offcut",
            fields=[
                its_id(),
                ("length_nm", models.BigIntegerField()),
                ("pieces", models.IntegerField()),
                (
                    "issue",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="offcuts", to="shop.issue"
                    ),
                ),
                ("material", a_material("offcuts")),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.CheckConstraint(condition=Q(length_nm__gt=0), name="offcut_has_a_length"),
                    models.CheckConstraint(condition=~Q(pieces=0), name="offcut_is_some_pieces"),
                ],
            },
        ),
    ]
