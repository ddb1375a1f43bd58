"""What the page of patterns shows: each drawing with its measures, and the files that it is given out as."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpResponse
from django.utils.safestring import SafeString, mark_safe

from jobs.makeup import MakeUp, describe
from jobs.measures import Unit
from jobs.patterns import Absent, Drawing, all_patterns
from jobs.patterns.svg import draw_on_page, write_svg
from jobs.patterns.tiles import Paper
from jobs.sizes import Sizes
from shop.file_answers import FileLink, as_file

# By what follows the drawing's key in an address: the words on the link, and how the file's name ends.
FORMS = {
    "a4": ("PDF on A4", ", A4.pdf"),
    "letter": ("PDF on Letter", ", Letter.pdf"),
    "svg": ("SVG", ".svg"),
    "dxf": ("DXF", ".dxf"),
}


@dataclass(frozen=True, slots=True)
class DrawnPattern:
    """A drawing on the page; or why there is none, in its place."""

    drawing: Drawing | Absent
    picture: SafeString | None = None
    files: tuple[FileLink, ...] = ()


class Patterns:
    """The drawings of a make-up, named for what it belongs to."""

    def __init__(
        self,
        makeup: MakeUp,
        sizes: Sizes | None,
        *,
        name: str,
        words: Mapping[str, str],
        unit: Unit,
        circle_nm: int | None = None,
    ) -> None:
        self.name, self.unit = name, unit
        self.described = describe(makeup, words=words, unit=unit)
        self.all: tuple[Drawing | Absent, ...] = ()
        if sizes is not None:
            self.all = all_patterns(makeup, sizes, words=words, unit=unit, circle_nm=circle_nm)

    def drawn(self, address: Callable[[str, str], str], *, asked: Mapping[str, str]) -> list[DrawnPattern]:
        """All of them; `address` gives a file's, and `asked` is carried along in it."""
        query = f"?{urlencode(asked)}" if asked else ""
        return [
            DrawnPattern(
                drawing,
                mark_safe(draw_on_page(drawing, title=f"{drawing.name}: {self.name}")),  # noqa: S308  (escaped there)
                tuple(FileLink(address(drawing.key, form) + query, words) for form, (words, _) in FORMS.items()),
            )
            if isinstance(drawing, Drawing)
            else DrawnPattern(drawing)
            for drawing in self.all
        ]

    def file(self, key: str, form: str) -> HttpResponse | None:
        """A drawing as a file to be kept; None where there is no such drawing, or no such form."""
        drawing = next((each for each in self.all if each.key == key), None)
        if not isinstance(drawing, Drawing) or form not in FORMS:
            return None
        kind, content = self._written(drawing, form)
        return as_file(content, kind=kind, name=f"{self.name}, {drawing.name.lower()}{FORMS[form][1]}")

    def _written(self, drawing: Drawing, form: str) -> tuple[str, bytes]:
        """The libraries for these take most of a second to load, so that only who asks waits for them."""
        if form == "svg":
            return "image/svg+xml", write_svg(drawing).encode()
        if form == "dxf":
            from jobs.patterns.dxf import write_dxf

            return "image/vnd.dxf", write_dxf(drawing)
        from jobs.patterns.pdf import write_pdf

        paper: Paper = "letter" if form == "letter" else "a4"
        told = {"heading": self.name, "described": self.described}
        return "application/pdf", write_pdf(drawing, paper=paper, unit=self.unit, **told)
