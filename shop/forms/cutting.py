"""What the plan of an order's bars is asked: lengths of new bars, the width of a cut, offcuts of each bar."""

import re
from collections.abc import Container, Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict

from jobs.cutting import Stock
from jobs.measures import (
    NM_PER_FOOT,
    NM_PER_INCH,
    NM_PER_MM,
    MeasureError,
    Unit,
    exact_length,
    format_section,
    parse_length,
)
from shop.forms.iron import OrderIronForm
from shop.forms.measures import LengthField

# Bars come at 6 m or 20 ft, and a saw takes 3 mm or an eighth: common practice, no source.
USUAL_BAR_NM = {"mm": 6000 * NM_PER_MM, "in": 20 * NM_PER_FOOT}
USUAL_KERF_NM = {"mm": 3 * NM_PER_MM, "in": NM_PER_INCH // 8}
MOST_KERF_NM = {"mm": 50 * NM_PER_MM, "in": 2 * NM_PER_INCH}
LEAST_BAR_NM = {"mm": 100 * NM_PER_MM, "in": 4 * NM_PER_INCH}
MOST_OFFCUTS = 60
LONGEST_TEXT = 400
MOST_KEYS = 60
_ONE = re.compile(r"(?P<length>.+?)(?:\s*[×x*]\s*(?P<count>[0-9]{1,5}))?")


class OffcutsField(forms.CharField):
    """Lengths with semicolons between, each with its number where there are several: "1200 mm × 2; 3 ft 10 in"."""

    def __init__(self, *, unit: Unit, most: int = MOST_OFFCUTS, longest: int = LONGEST_TEXT, **others: Any) -> None:
        """At most so many offcuts, in so many letters."""
        self.unit, self.most = unit, most
        super().__init__(required=False, max_length=longest, **others)
        self.widget.attrs.setdefault("autocomplete", "off")

    def clean(self, value: Any) -> list[Stock]:
        parts = [part.strip() for part in re.split(r"[;\n]", super().clean(value)) if part.strip()]
        offcuts = [self._offcut(part) for part in parts]
        if sum(each.count or 0 for each in offcuts) > self.most:
            raise ValidationError(f"Write at most {self.most:,} offcuts: take the longest.")
        return offcuts

    def _offcut(self, part: str) -> Stock:
        # The pattern takes any text that is not empty.
        length, count = re.fullmatch(_ONE, part).group("length", "count")  # type: ignore[union-attr]
        try:
            length_nm = parse_length(length, default_unit=self.unit)
        except MeasureError as error:
            raise ValidationError(f"{error} Put semicolons between lengths.", code="length") from error
        if not length_nm:
            raise ValidationError("An offcut must be longer than nothing.")
        return Stock(length_nm, int(count or 1), offcut=True)


class CuttingForm(OrderIronForm):
    """The iron's own questions, of which those that change a length are shown, and what it is cut from."""

    SHOWN = ("bar", "other_bar", "kerf", "weld", "band_draw")

    bar = LengthField(label="Length of a new bar")
    other_bar = LengthField(label="Another length", required=False)
    kerf = LengthField(label="Width of a cut")

    def __init__(self, asked: Mapping[str, str] | None = None, *, unit: Unit, currency: str, **others: Any) -> None:
        super().__init__(asked, unit=unit, currency=currency, **others)
        self.order_fields(self.SHOWN)
        for name, field in self.fields.items():
            if name not in self.SHOWN:
                # Carried along, so that who came from the page of iron finds that page as it was asked.
                field.widget = forms.HiddenInput()

    @staticmethod
    def _usual(unit: Unit) -> dict[str, str]:
        return OrderIronForm._usual(unit) | {
            "bar": exact_length(USUAL_BAR_NM[unit], unit=unit),
            "kerf": exact_length(USUAL_KERF_NM[unit], unit=unit),
        }

    def clean_bar(self) -> int:
        return self._long_enough(self.cleaned_data["bar"])

    def clean_other_bar(self) -> int | None:
        other: int | None = self.cleaned_data["other_bar"]
        return None if other is None else self._long_enough(other)

    def _long_enough(self, length: int) -> int:
        least = LEAST_BAR_NM[self.unit]
        if length < least:
            raise ValidationError(f"Write {exact_length(least, unit=self.unit)} or more: no bar is so short.")
        return length

    def clean_kerf(self) -> int:
        kerf: int = self.cleaned_data["kerf"]
        most = MOST_KERF_NM[self.unit]
        if kerf > most:
            raise ValidationError(f"Write {exact_length(most, unit=self.unit)} or less: no saw cuts so wide.")
        return kerf

    @property
    def stocks(self) -> list[Stock]:
        """New bars, of a form that is valid."""
        lengths = (self.cleaned_data["bar"], self.cleaned_data["other_bar"])
        return [Stock(length) for length in dict.fromkeys(lengths) if length]


class OffcutsForm(forms.Form):
    """One line of offcuts for each bar that the order wants."""

    def __init__(
        self,
        asked: Mapping[str, str] | None = None,
        *,
        bars: Iterable[tuple[str, str]],
        unit: Unit,
        kept: Mapping[str, str] | None = None,
        left_out: Mapping[str, int] | None = None,
        own: Container[str] = (),
    ) -> None:
        """`kept` are offcuts that the shop has of a bar, by its key, which stand where nobody says otherwise; so many
        shorter ones are `left_out`. Of `own` they are as the order's own issues found them."""
        bars = list(bars)
        usual = {key: text for key, text in (kept or {}).items() if asked is None or key not in asked}
        told = asked.dict() if isinstance(asked, QueryDict) else asked
        super().__init__({**(told or {}), **usual} if usual else told)
        for key, name in bars:
            hint = _kept_hint((left_out or {}).get(key, 0), is_own=key in own) if usual.get(key) else ""
            self.fields[key] = OffcutsField(unit=unit, label=f"Offcuts of {name[0].lower()}{name[1:]}", help_text=hint)


def _kept_hint(shorter: int, *, is_own: bool) -> str:
    kept = "those kept in the stores" + ", and as they were before this order was issued any" * is_own
    if not shorter:
        return f"{kept[0].upper()}{kept[1:]}."
    return f"The longest of {kept}; {shorter} shorter {'is' if shorter == 1 else 'are'} left out."


def offcuts_key(width_nm: int, thickness_nm: int) -> str:
    """The name of a bar's line of offcuts in the page's address."""
    return f"offcuts-{width_nm}-{thickness_nm}"


def offcuts_told(lengths: Mapping[int, int], *, unit: Unit) -> str:
    """Lengths in nanometres and how many of each, as the field reads them: "1200 mm × 2; 800 mm", the longest first."""
    return "; ".join(
        f"{exact_length(length, unit=unit)}{f' × {count}' if count > 1 else ''}"
        for length, count in sorted(lengths.items(), reverse=True)
    )


def bars_told(asked: Mapping[str, str], *, unit: Unit) -> list[tuple[str, str]]:
    """The bars that an address tells offcuts of, for the page to show these again where it can't work out its own."""
    told = filter(None, (re.fullmatch(r"offcuts-([0-9]{1,11})-([0-9]{1,11})", key) for key in list(asked)[:MOST_KEYS]))
    sections = [(int(each[1]), int(each[2])) for each in told]
    return [(offcuts_key(*section), f"Bar {format_section(*section, unit=unit)}") for section in sections]
