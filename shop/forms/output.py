"""Rated output work and agreed overtime: tests, estimates, notices, agreements."""

import uuid
from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from shop.agreeing import LONGEST_TEST_SECONDS, Made, Tried
from shop.forms.bench import DurationField, whole_number
from shop.forms.people import one_line
from shop.forms.seen import Seen
from shop.forms.shown import ShownField
from shop.models import Hand, OutputMean
from shop.widgets import DayField, not_to_come

Basis = OutputMean.Basis
TESTED = [(Basis.ALL.value, "Every hand who does this work"), (Basis.SAMPLE.value, "Hands who stand for all who do it")]
SAME_WORK = "The same work in other conditions"
LIKE = [
    ("Like work in the same conditions", "That is like work, in the same conditions"),
    (SAME_WORK, "That is this work, in other conditions"),
]
TOO_LONG = "That is longer than any test: write 1,000 h at the most."


class _MayLower(forms.Form):
    """Asks to confirm what lowers what the law asks of days that were worked; before it does, nothing is asked."""

    confirmed = ShownField(
        label="It is right",
        help_text="A notice counts only for pay periods that begin after it was given, and only what was really tested "
        "is a test (National Minimum Wage Regulations 2015, regulations 41 and 42); local rules go before it. That you "
        "say so, and the sum, is kept among who changed what.",
    )


class EndForm(_MayLower):
    """From which day on the hours really worked count."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    from_on = DayField(
        label="From",
        help_text="It counts from the first pay period that begins on or after this day.",
        error_messages={"required": "Write the day from which it stands."},
    )

    def __init__(self, *args: Any, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today

    @property
    def told(self) -> Tried:
        return Tried(Basis.ENDED, self.cleaned_data["from_on"], self.cleaned_data["from_on"])


class _OutputForm(EndForm):
    """The day of a test or an estimate, and from when it stands."""

    tried_on = DayField(label="Day of the test")

    def clean_tried_on(self) -> date:
        return not_to_come(self.cleaned_data["tried_on"], self.today)

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or self.cleaned_data
        tried_on, from_on = answers.get("tried_on"), answers.get("from_on")
        if tried_on and from_on and from_on < tried_on:
            self.add_error("from_on", "That is before it was found: write that day or a later one.")
        return answers


class OutputTestForm(_OutputForm):
    """What each hand made in a fair test, and in how long."""

    basis = forms.ChoiceField(label="Who was tested", choices=TESTED, widget=forms.RadioSelect)
    field_order = ("token", "basis", "tried_on", "from_on")

    def __init__(
        self,
        *args: Any,
        by_pieces: Sequence[Hand],
        by_hours: Sequence[Hand],
        who_do_it: Sequence[Hand] = (),
        **others: Any,
    ) -> None:
        """The hands who may have been tested: those paid by the piece, and the others.

        `who_do_it` are all in a test of every hand who does this work.
        """
        super().__init__(*args, **others)
        self.who_do_it = who_do_it
        self.by_pieces, self.hands = by_pieces, [*by_pieces, *by_hours]
        for hand in self.hands:
            pieces = whole_number("Made", least=1)
            pieces.required = False
            self.fields[f"pieces-{hand.pk}"] = pieces
            self.fields[f"time-{hand.pk}"] = DurationField(
                label="In how long",
                required=False,
                max_length=40,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )

    @property
    def rows(self) -> list[tuple[Hand, forms.BoundField, forms.BoundField]]:
        return [(hand, self[f"pieces-{hand.pk}"], self[f"time-{hand.pk}"]) for hand in self.hands]

    @property
    def first_rows(self) -> list[tuple[Hand, forms.BoundField, forms.BoundField]]:
        return self.rows[: len(self.by_pieces)]

    @property
    def other_rows(self) -> list[tuple[Hand, forms.BoundField, forms.BoundField]]:
        return self.rows[len(self.by_pieces) :]

    def clean(self) -> dict[str, Any]:
        answers = super().clean()
        for hand in self.hands:
            pieces, time = f"pieces-{hand.pk}", f"time-{hand.pk}"
            if answers.get(pieces) and not answers.get(time) and time not in self.errors:
                self.add_error(time, f"Write in how long {hand.name} made them, as 2 h 10 or 130.")
            if (answers.get(time) or 0) > LONGEST_TEST_SECONDS:
                self.add_error(time, TOO_LONG)
            if answers.get(time) and not answers.get(pieces) and pieces not in self.errors:
                self.add_error(pieces, f"Write how many {hand.name} made in that time.")
        if not self.errors and not self._made:
            raise forms.ValidationError("Write what at least one hand made, and in how long.")
        tested = {one.hand_id for one in self._made}
        missing = [hand.name for hand in self.who_do_it if hand.user_id not in tested]
        if not self.errors and answers.get("basis") == Basis.ALL and missing:
            one = len(missing) == 1
            self.add_error(
                "basis",
                f"{' and '.join(missing)} {'is' if one else 'are'} paid by the piece and not among them: write what "
                f"{'that hand' if one else 'each'} made too, or that these stand for all.",
            )
        return answers

    @property
    def _made(self) -> tuple[Made, ...]:
        told = [
            (hand, self.cleaned_data.get(f"pieces-{hand.pk}"), self.cleaned_data.get(f"time-{hand.pk}"))
            for hand in self.hands
        ]
        return tuple(Made(hand.user_id, pieces, seconds) for hand, pieces, seconds in told if pieces and seconds)

    @property
    def told(self) -> Tried:
        answers = self.cleaned_data
        return Tried(answers["basis"], answers["tried_on"], answers["from_on"], self._made)


class EstimateForm(_OutputForm):
    """An estimate: what a hand is reckoned to make, and the test that says so. `tests` are ids and words."""

    tried_on = DayField(label="Day of the estimate")
    rests_on = forms.TypedChoiceField(label="By the test of", coerce=int)
    like = forms.ChoiceField(label="How that work is like this", choices=LIKE, widget=forms.RadioSelect)
    pieces = whole_number("A hand makes", least=1)
    time = DurationField(label="In how long", max_length=40, help_text="As 2 h 10 or 130.")
    why = forms.CharField(
        label="How it was reckoned", max_length=160, help_text="As: half the speed, since the timber is oak."
    )
    field_order = ("token", "rests_on", "like", "pieces", "time", "why", "tried_on", "from_on")

    def __init__(
        self, *args: Any, tests: Sequence[tuple[int, str]], of_this_work: Sequence[int] = (), **others: Any
    ) -> None:
        """`of_this_work` are the tests of the operation itself."""
        super().__init__(*args, **others)
        self.tests, self.of_this_work = tests, of_this_work
        self.fields["rests_on"].choices = tests  # type: ignore[attr-defined]

    def clean_time(self) -> int:
        seconds: int | None = self.cleaned_data["time"]
        if not seconds:
            raise forms.ValidationError("Write a time that is more than nothing.")
        if seconds > LONGEST_TEST_SECONDS:
            raise forms.ValidationError(TOO_LONG)
        return seconds

    def clean(self) -> dict[str, Any]:
        answers = super().clean()
        if answers.get("like") == SAME_WORK and answers.get("rests_on", 0) not in (0, *self.of_this_work):
            self.add_error("like", "That test is of other work: it can only be like work in the same conditions.")
        return answers

    def clean_why(self) -> str:
        return one_line(self.cleaned_data["why"])

    @property
    def told(self) -> Tried:
        answers = self.cleaned_data
        made = (Made(None, answers["pieces"], answers["time"]),)
        days = answers["tried_on"], answers["from_on"]
        return Tried(Basis.ESTIMATE, *days, made, answers["rests_on"], f"{answers['like']}: {answers['why']}")


class NoticeForm(_MayLower):
    """To whom a written notice was given, and when."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    hands = forms.TypedMultipleChoiceField(label="Given to", coerce=int, widget=forms.CheckboxSelectMultiple)
    given_on = DayField(label="Given on", help_text="It counts for the pay periods that begin after this day.")

    def __init__(self, *args: Any, hands: Sequence[Hand], today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today
        self.fields["hands"].choices = [(hand.pk, hand.name) for hand in hands]  # type: ignore[attr-defined]

    def clean_given_on(self) -> date:
        return not_to_come(self.cleaned_data["given_on"], self.today)


class OvertimeForm(Seen, forms.Form):
    """An agreement on overtime at one and a half times the piece rate.

    To confirm it is asked where it lowers what the law asks of days that were worked.
    """

    agreed_on = DayField(label="Agreed on")
    begins_on = DayField(label="From", help_text="It counts for workweeks that begin on this day or later.")
    ends_on = DayField(label="Until", required=False, help_text="Left out, it goes on until an end is written down.")
    confirmed = ShownField(
        label="It is right",
        help_text="Overtime by the piece counts only where it was agreed on before the work was done (29 CFR 778.418), "
        "and an end only from when that was; local rules go before it. That you say so, and the sum, is kept among who "
        "changed what.",
    )

    def __init__(self, *args: Any, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today

    def clean_agreed_on(self) -> date:
        return not_to_come(self.cleaned_data["agreed_on"], self.today)

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or self.cleaned_data
        agreed_on, begins_on, ends_on = (answers.get(name) for name in ("agreed_on", "begins_on", "ends_on"))
        if agreed_on and begins_on and begins_on < agreed_on:
            self.add_error(
                "begins_on", "It is agreed on before the work: write the day of the agreement, or a later one."
            )
        if begins_on and ends_on and ends_on < begins_on:
            self.add_error("ends_on", "It can't end before it begins.")
        return answers
