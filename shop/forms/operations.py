"""Operations and what they wait on."""

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms

from jobs.models import Operation, Wait
from jobs.models.operations import PartKind, Per, Trade, Work
from jobs.operations import FIXED_BY_WORK, with_marks
from jobs.words import in_words
from shop.forms.people import one_line
from shop.forms.seen import STATE, Seen
from shop.operations import is_worked
from shop.own_words import own_words

# Django's field takes a type only where types are checked.
if TYPE_CHECKING:
    OneOperation = forms.ModelChoiceField[Operation]
else:
    OneOperation = forms.ModelChoiceField

# The choices of a make-up that may decide whether a wheel has an operation: what each is called, and its values.
CHOICES: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "hub": ("{hub}", {"wood": "wooden {hub}", "bolted": "two-piece bolted {hub}"}),
    "rim": ("rim", {"sawn": "sawn {felloes}", "bent": "bent rim"}),
    "tongue": ("tongue", {"round": "round tongue", "square": "square tongue"}),
    "tyre": ("{tyre}", {"iron": "iron {tyre}", "rubber": "rubber {tyre}", "none": "no {tyre}"}),
    "fastening": ("fastening", {"bolted": "bolted through the {felloes}", "plain": "plain, no bolts"}),
    "box": ("box", {"fitted": "box fitted here", "none": "no box"}),
    "lined": ("lining", {"True": "lined", "False": "not lined"}),
}
# What is kept with marks where the shop's own words stood, and how many letters of it.
MARKED = {
    field.name: field.max_length or 0
    for field in Operation._meta.fields
    if field.name in ("name", "done_word", "notes")
}


class OperationForm(Seen, forms.Form):
    """Cleans to the fields of an Operation, with `after` for its place. Names are shown in the shop's own words."""

    name = forms.CharField(label="Name", max_length=80, help_text="As it is said at the bench: chop mortise.")
    done_word = forms.CharField(
        label="Said of a piece when it is done", max_length=40, help_text="Chopped, as in “23 of 28 chopped”."
    )
    part = forms.ChoiceField(label="Work on", choices=PartKind)
    per = forms.ChoiceField(label="One unit is one", choices=Per, help_text="What one tap counts.")
    per_number = forms.IntegerField(
        label="How many a wheel",
        min_value=1,
        max_value=200,
        required=False,
        help_text="Only where so many a wheel are counted.",
    )
    for_lot = forms.BooleanField(label="Made loose for the whole lot, not for one wheel", required=False)
    trade = forms.ChoiceField(label="Done by", choices=Trade)
    hands = forms.IntegerField(label="Hands at once", min_value=1, max_value=12, initial=1)
    minutes = forms.DecimalField(
        label="Book minutes a unit",
        min_value=Decimal("0.1"),
        max_value=6000,
        decimal_places=1,
        required=False,
        help_text="The shop's own guess for one skilled hand.",
    )
    works = forms.MultipleChoiceField(
        label="Kinds of work that have it from the start",
        choices=Work,
        required=False,
        help_text="None: it is only added to a repair once that is found to need it.",
        widget=forms.CheckboxSelectMultiple,
    )
    notes = forms.CharField(label="Notes", max_length=200, required=False)

    def __init__(self, *args: Any, words: Mapping[str, str], operation: Operation | None = None, **others: Any) -> None:
        self.words, self.operation = words, operation
        if operation:
            others["initial"] = operation_now(operation, words)
        super().__init__(*args, **others)
        for name, kinds in (("part", PartKind), ("per", Per), ("works", Work)):
            choices = [(value, own_words(str(label), words)) for value, label in kinds.choices]
            self.fields[name].choices = choices  # type: ignore[attr-defined]
        self.fields["after"] = OperationField(words=words, but=operation)
        for choice, (label, values) in CHOICES.items():
            self.fields[f"for_{choice}"] = forms.MultipleChoiceField(
                label=in_words(label, words).capitalize(),
                choices=[(value, in_words(text, words)) for value, text in values.items()],
                required=False,
                widget=forms.CheckboxSelectMultiple,
                help_text="None ticked: whatever it is.",
            )
        if operation and is_worked(operation):
            for name in FIXED_BY_WORK:
                self.fields[name].disabled = True

    @property
    def choice_fields(self) -> list[forms.BoundField]:
        """The fields about the make-up, which stand together on the page."""
        return [self[f"for_{choice}"] for choice in CHOICES]

    @property
    def has_wrong_choices(self) -> bool:
        """Whether something is wrong with the fields about the make-up."""
        return any(field.errors for field in self.choice_fields)

    @property
    def make_ups_in_words(self) -> str:
        """Which make-ups have the operation, in words: "all", or "wooden nave; iron tire or rubber tire"."""
        ticked = [(field.field.choices, field.value() or []) for field in self.choice_fields]  # type: ignore[attr-defined]
        told = [" or ".join(text for value, text in choices if value in values) for choices, values in ticked if values]
        return "; ".join(told) or "all"

    def clean(self) -> dict[str, Any]:
        answers = super().clean() or self.cleaned_data
        by_number, number = answers.get("per") == Per.NUMBER, answers.get("per_number")
        if by_number and not number and "per_number" not in self.errors:
            self.add_error("per_number", "Write how many of them a wheel has.")
        if number and not by_number:
            self.add_error("per_number", "Leave this empty, or choose “so many a wheel” as the unit.")
        self._check_lengths(answers)
        return answers

    def _check_lengths(self, answers: Mapping[str, Any]) -> None:
        """Marks are longer than the words they stand for, and must fit where the words are kept."""
        for name, most in MARKED.items():
            over = len(self._marked(answers.get(name, ""))) - most
            if over > 0:
                self.add_error(
                    name, f"This is {over} too long to keep, with marks at the shop's own words: shorten it."
                )

    def _marked(self, text: str) -> str:
        return with_marks(one_line(text), self.words)

    @property
    def asked(self) -> dict[str, Any]:
        """What was answered, as `add_operation` and `edit_operation` take it."""
        answers = self.cleaned_data
        plain = ("part", "per", "per_number", "for_lot", "trade", "hands", "works", "after")
        chosen = {choice: answers[f"for_{choice}"] for choice in CHOICES if answers[f"for_{choice}"]}
        minutes: Decimal | None = answers["minutes"]
        return {
            **{name: answers[name] for name in plain},
            **{name: self._marked(answers[name]) for name in MARKED},
            "chosen_by": chosen,
            "book_seconds": None if minutes is None else int(minutes * 60),
        }


class OperationField(OneOperation):
    """One of the operations in use, by its name in the shop's words."""

    def __init__(self, *, words: Mapping[str, str], but: Operation | None = None, **others: Any) -> None:
        in_use = Operation.objects.in_use()
        told: dict[str, Any] = {
            "label": "Stands in the list after",
            "queryset": in_use.exclude(pk=but.pk) if but else in_use,
            "required": False,
            "empty_label": "the head of the list",
        }
        super().__init__(**(told | others))
        self.words = words

    def label_from_instance(self, obj: Any) -> str:
        return in_words(obj.name, self.words)


class WaitForm(Seen, forms.Form):
    """What one operation waits on."""

    how = forms.ChoiceField(label="Until this of it is done", choices=Wait.How)
    standing_minutes = forms.IntegerField(
        label="Then stands, minutes",
        min_value=0,
        max_value=60 * 24 * 60,
        initial=0,
        help_text="For glue, paint or cooling. 960 is sixteen hours.",
    )

    def __init__(self, *args: Any, words: Mapping[str, str], operation: Operation, **others: Any) -> None:
        super().__init__(*args, **{"initial": waits_now(operation, words), **others})
        on = OperationField(words=words, but=operation, label="Waits on", required=True, empty_label="choose one")
        self.fields = {"on": on, **self.fields}


def operation_now(operation: Operation, words: Mapping[str, str]) -> dict[str, Any]:
    """What the form of an operation would show by now."""
    plain = ("part", "per", "per_number", "for_lot", "trade", "hands", "works")
    before = Operation.objects.in_use().filter(position__lt=operation.position).order_by("-position").first()
    seconds = operation.book_seconds
    return {
        **{name: getattr(operation, name) for name in plain},
        **{name: in_words(getattr(operation, name), words) for name in MARKED},
        **{f"for_{choice}": operation.chosen_by.get(choice, []) for choice in CHOICES},
        "minutes": None if seconds is None else f"{(Decimal(seconds) / 60).quantize(Decimal('0.1')).normalize():f}",
        "after": before,
        STATE: "The operation was retired" if operation.retired_at else "",
    }


def waits_now(operation: Operation, words: Mapping[str, str]) -> dict[str, str]:
    """What an operation waits on by now, as the form of a wait knows it."""
    waits = operation.waits.select_related("on_operation").order_by("on_operation__position")
    told = [
        f"“{in_words(wait.on_operation.name, words)}” ({wait.get_how_display()}"
        f"{f', then {wait.standing_minutes} minutes' if wait.standing_minutes else ''})"
        for wait in waits
    ]
    return {STATE: f"What it waits on was changed by another to {', '.join(told) or 'nothing'}"}
