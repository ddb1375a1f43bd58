"""What a cutting list answers to what it was asked: its rows, what they are cut from, and what that costs together."""

from collections.abc import Callable, Container
from functools import cached_property

from django.core.exceptions import ValidationError
from django.http import QueryDict

from shop.asked import Asked
from shop.forms.timber_list import TimberListForm
from shop.money import format_pence
from shop.timber_list import TimberList
from shop.timber_stock import StockRow, Timbers


class TimberAsked:
    """`listed` gives the list of so many wheels; `given` are the ids of materials that the order was given. What the
    form is told of wrong stands in its errors from the first."""

    def __init__(
        self,
        asked: QueryDict,
        here: Asked,
        listed: Callable[[int], TimberList],
        *,
        of_order: bool,
        given: Container[int] = (),
    ) -> None:
        self.here, self.of_order, self.wheels = here, of_order, _wheels(asked)
        self.list = listed(self.wheels)
        timbers = Timbers(on=here.today, unit=here.unit, currency=here.shop.currency)
        offers = timbers.offers(self.list.groups, given)
        self.form = TimberListForm(asked, offers=offers, unit=here.unit, of_order=of_order)
        self.rows: dict[str, StockRow] = {}
        if self.form.is_valid():
            self.rows = timbers.rows(self.list.groups, self.form, words=here.words)
            for key, row in self.rows.items():
                # What was asked is to be put right; what the shop's own materials can't do is told beside them.
                if row.refused and self.form.is_asked(key):
                    self.form.add_error(f"{key}-length", row.refused)

    @cached_property
    def sentence(self) -> str:
        """What it is a list of."""
        if self.of_order:
            return "The blanks of all its new wheels, made or not, with what is left on them to be worked off."
        wheels = f"{self.wheels} wheel{'' if self.wheels == 1 else 's'}"
        return f"The blanks of {wheels}, with what is left on them to be worked off."

    @property
    def total(self) -> str:
        prices = [row.pence for row in self.rows.values() if row.pence is not None]
        return format_pence(sum(prices), self.here.shop.currency) if prices else ""

    @property
    def unpriced(self) -> list[str]:
        """The groups that the total leaves out, or some of whose blanks it does."""
        return [
            f"{group.heading[0].lower()}{group.heading[1:]}"
            for group in self.list.groups
            if group.key in self.rows and (self.rows[group.key].pence is None or group.untold)
        ]

    @property
    def hows(self) -> tuple[str, ...]:
        """How it is worked out, a paragraph each."""
        words = self.here.words
        prices = " Prices are today’s, and each timber is rounded to the penny once." if self.here.is_desk else ""
        return (
            "A spoke’s blank is as long as on the sheet of sizes, and what is left on all others is set in Materials. "
            "Sizes are told to what a rule shows, never less. Board feet and cubic metres of blanks are those of the "
            "squared pieces, exactly; under an inch of thickness counts as an inch (US Navy, Engineering Aid).",
            "Spares are the fewest with which nine times in ten there are as many good pieces as are needed, if each "
            "is spoiled by the shop’s own share (negative binomial distribution; that it is nine in ten is our choice, "
            "no source), and never more than the pieces needed. The share is that of the shop’s newest lots of new "
            "wheels, 100 at most: spoiled pieces of those begun.",
            "Straight blanks are cut from strips, which are ripped as narrow as the plank’s thickness lets them; "
            f"{words['felloes']} lie one in the hollow of the other, in stacks along the plank. Both are then set on "
            "the fewest planks (Gilmore and Gomory, 1961; solved by HiGHS). Sap, shakes and knots are not allowed for.",
            "Planks are counted whole. Board feet of a plank are as a grader tallies it: inches wide by feet long over "
            "12, to the nearest whole, by the thickness in inches (National Hardwood Lumber Association; a half goes "
            "up, for which no source was read). Logs are measured by Hoppus: the square of a quarter of the girth by "
            f"the length; a {words['hub']} goes into a log whose girth ÷ π is no less than its blank.{prices}",
        )


def _wheels(asked: QueryDict) -> int:
    """How many are asked for, read as the form reads it; one where it can't be, which the form then says."""
    try:
        return TimberListForm.base_fields["wheels"].clean(asked.get("wheels")) or 1
    except ValidationError:
        return 1
