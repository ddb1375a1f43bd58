"""Measures of a wheel as it was made: written down as they are taken, the newest of a kind standing."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.contrib.auth.models import User

from jobs.models import Measure, Wheel
from jobs.writing import writing


def write_down(wheel: Wheel, measures_nm: Mapping[str, int], *, by: User, at: datetime) -> list[Measure]:
    """Write down measures by kind. One that says what stands already adds nothing, so a form sent twice is one."""
    with writing():
        Wheel.objects.select_for_update().get(pk=wheel.pk)
        standing = newest([wheel.pk])
        fresh = [
            Measure(wheel=wheel, kind=kind, value_nm=value, taken_at=at, taken_by=by)
            for kind, value in measures_nm.items()
            if (wheel.pk, kind) not in standing or standing[wheel.pk, kind].value_nm != value
        ]
        Measure.objects.bulk_create(fresh)
    return fresh


def newest(wheel_ids: Iterable[int]) -> dict[tuple[int, str], Measure]:
    """The measure that stands of each kind, by wheel and kind: one query."""
    rows = Measure.objects.filter(wheel__in=list(wheel_ids)).order_by("id")
    return {(row.wheel_id, row.kind): row for row in rows}
