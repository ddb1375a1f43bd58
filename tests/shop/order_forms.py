"""Answers as a browser sends them to the forms of orders and make-ups."""

import uuid
from dataclasses import fields

from jobs.makeup import MakeUp
from jobs.models import LibraryMakeUp
from tests.factories import makeup


def in_library(name: str = "Wagonette, hind", **changes: object) -> LibraryMakeUp:
    """A make-up in the library."""
    about = {key: changes.pop(key) for key in ("carriage", "place", "status") if key in changes}
    row = LibraryMakeUp.from_makeup(makeup(**changes), name=name, **about)
    row.save()
    return row


def measures(prefix: str = "", made: MakeUp | None = None, **changes: str) -> dict[str, str]:
    """The measures of a make-up as typed, in nanometres of millimetres; `changes` are typed as they are."""
    made = made or makeup()
    dash = f"{prefix}-" if prefix else ""
    told: dict[str, str] = {}
    for field in fields(MakeUp):
        value = getattr(made, field.name)
        if value is None:
            continue
        if field.name.endswith("_nm"):
            told[field.name] = f"{value / 1_000_000:.6f} mm"
        elif field.name == "lined":
            told |= {"lined": "on"} if value else {}
        elif field.name != "bands":
            told[field.name] = str(value)
    for place, band in enumerate(made.bands):
        told |= {
            f"band_{place}_name": band.name,
            f"band_{place}_width": f"{band.width_nm / 1_000_000:.6f} mm",
            f"band_{place}_thickness": f"{band.thickness_nm / 1_000_000:.6f} mm",
        }
    return {f"{dash}{name}": text for name, text in (told | changes).items()}


def row(place: int, library: LibraryMakeUp | None, where: str = "hind_pair", **changes: str) -> dict[str, str]:
    """One row of an order."""
    told = {"where": where, "makeup": str(library.pk) if library else "new", "work": "new", **changes}
    return {f"row-{place}-{name}": text for name, text in told.items()}


def order(*rows: dict[str, str], **changes: str) -> dict[str, str]:
    """A whole order."""
    told = {
        "token": str(uuid.uuid4()),
        "customer": "Lettice Orme",
        "carriage": "wagonette",
        "state": "taken",
        "due_on_day": "20",
        "due_on_month": "March",
        "due_on_year": "2027",
        "rows": str(len(rows)),
    }
    for each in rows:
        told |= each
    return told | changes
