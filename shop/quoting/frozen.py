"""What a revision rested on when it was sent, as plain JSON, and the same read again.

Usual times, rates and prices move on; a quotation that was sent does not.
"""

from dataclasses import asdict
from datetime import date
from fractions import Fraction
from typing import Any

from shop.quoting.pricing import Cost, Spread
from shop.quoting.reckoning import Reckoned
from shop.quoting.rows import MaterialRow, WorkRow
from timing.forecast import Forecast

VERSION = 1


def freeze(reckoned: Reckoned) -> dict[str, Any]:
    """Every figure, as it was. `sure` is whole pence: a sum of rounded rows."""
    return {
        "version": VERSION,
        "work": [asdict(row) for row in reckoned.work],
        "minutes": _plain(reckoned.minutes),
        "labour": asdict(reckoned.labour),
        "overhead": asdict(reckoned.overhead),
        "timber": [asdict(row) for row in reckoned.timber],
        "iron": [asdict(row) for row in reckoned.iron],
        "outwork_pence": reckoned.outwork_pence,
        "goods_pence": reckoned.goods_pence,
        "cost": {"work": _plain(reckoned.cost.work), "sure": int(reckoned.cost.sure)},
        "missing": list(reckoned.missing),
        "notes": list(reckoned.notes),
        "made_from": reckoned.made_from,
        "on": reckoned.on.isoformat(),
        "taken_off_pence": reckoned.taken_off_pence,
        "taken_off_work": reckoned.taken_off_work,
        "taken_off_minutes": reckoned.taken_off_minutes,
        "taken_off_of": [list(pair) for pair in reckoned.taken_off_of],
    }


def thaw(frozen: dict[str, Any]) -> Reckoned:
    """What was frozen. ValueError where it is of a version that this program does not know."""
    if frozen.get("version") != VERSION:
        raise ValueError(f"A quotation frozen as version {frozen.get('version')} can't be read.")
    return Reckoned(
        work=tuple(WorkRow(**row) for row in frozen["work"]),
        minutes=_forecast(frozen["minutes"]),
        labour=Spread(**frozen["labour"]),
        overhead=Spread(**frozen["overhead"]),
        timber=tuple(MaterialRow(**row) for row in frozen["timber"]),
        iron=tuple(MaterialRow(**row) for row in frozen["iron"]),
        outwork_pence=frozen["outwork_pence"],
        goods_pence=frozen["goods_pence"],
        cost=Cost(_forecast(frozen["cost"]["work"]), Fraction(frozen["cost"]["sure"])),
        missing=tuple(frozen["missing"]),
        notes=tuple(frozen["notes"]),
        made_from=frozen["made_from"],
        on=date.fromisoformat(frozen["on"]),
        # What was frozen before there were alterations has none.
        taken_off_pence=frozen.get("taken_off_pence", 0),
        # The earliest alterations did not keep what of it was work.
        taken_off_work=frozen.get("taken_off_work", 0),
        taken_off_minutes=frozen.get("taken_off_minutes", 0.0),
        taken_off_of=tuple((key, minutes) for key, minutes in frozen.get("taken_off_of", ())),
    )


def _plain(forecast: Forecast | None) -> list[float] | None:
    return None if forecast is None else [forecast.log_median, forecast.log_sd, forecast.degrees]


def _forecast(plain: list[float] | None) -> Forecast | None:
    return None if plain is None else Forecast(*plain)
