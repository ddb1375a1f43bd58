"""Putting a number in the place of a name, whoever's it is: the form, what came of it, and what is to be said."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from shop.forms.records import ReplaceForm
from shop.name_places import Found, Named, WrittenMeanwhile, where_people_wrote_it
from shop.name_stays import what_stays


@dataclass(frozen=True, slots=True)
class Replacing:
    """`name` is what stands there from now on, empty where nothing was done; `refusal` says why it was not."""

    named: Named
    form: ReplaceForm
    found: list[Found]
    status: int = 200
    refusal: str = ""
    name: str = ""

    @property
    def context(self) -> dict[str, Any]:
        """For the page that asks."""
        return {
            "number": self.named.number,
            "found": self.found,
            "stays": what_stays(self.named),
            "form": self.form,
            "refusal": self.refusal,
        }


def replacing(
    request: HttpRequest, named: Named, *, is_open: bool, act: Callable[..., str], refused: type[Exception]
) -> Replacing:
    """Ask, or do it. `act` is given what was chosen and who says so, and raises `refused` with one sentence."""
    found = where_people_wrote_it(named)
    form = ReplaceForm(request.POST if request.method == "POST" else None, found=found)
    if not form.is_bound:
        return Replacing(named, form, found)
    # Before its day it is refused for that, whatever else is wrong with the form.
    if not form.is_valid() and is_open:
        return Replacing(named, form, found, 422)
    try:
        return Replacing(named, form, found, name=act(**form.chosen))
    except refused as refusal:
        return Replacing(named, form, found, 422, str(refusal))
    except WrittenMeanwhile as written:
        found = where_people_wrote_it(named)
        return Replacing(named, ReplaceForm(found=found), found, 409, str(written))
