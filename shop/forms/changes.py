"""Forms for changing what was ordered: a lot's make-up, and what becomes of the pieces made for the old one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from jobs.models import Operation, Wheel
from jobs.words import in_words
from shop.forms.seen import Seen
from shop.order_changes import Carried, Stage, stage_in_words


class WhichWheelsForm(Seen, forms.Form):
    """Which wheels of a lot are to have another make-up, and what they are called then."""

    wheels = forms.MultipleChoiceField(label="Wheels", widget=forms.CheckboxSelectMultiple)
    name = forms.CharField(label="Called", max_length=80)

    def __init__(self, *args: Any, wheels: Sequence[Wheel], **others: Any) -> None:
        super().__init__(*args, **others)
        self._wheels = {str(wheel.pk): wheel for wheel in wheels}
        which: Any = self.fields["wheels"]
        # Those replaced meanwhile are known too, so that the same change sent twice is one change.
        which.choices = [(key, wheel.label) for key, wheel in self._wheels.items()]

    @property
    def chosen(self) -> list[Wheel]:
        return [self._wheels[key] for key in self.cleaned_data["wheels"]]


@dataclass(frozen=True, slots=True)
class StageChoices:
    """What may become of the pieces at one stage: whether they may fit, and the operations they may be put back to."""

    stage: Stage
    may_fit: bool
    behind: Sequence[Operation]


@dataclass(frozen=True, slots=True)
class StageFields:
    """The fields for the pieces at one stage."""

    name: str
    fields: list[BoundField]


class PiecesForm(forms.Form):
    """For each kind of loose piece made: how many fit as they are, are cut again, or are of no more use."""

    token = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, stages: Sequence[StageChoices], words: Mapping[str, str], **others: Any) -> None:
        super().__init__(*args, **others)
        self.words = words
        self._stages = list(stages)
        for choices in self._stages:
            key, most = choices.stage.task.pk, choices.stage.pieces
            if choices.may_fit:
                self.fields[f"fits_{key}"] = _number("Fit as they are", most)
            if choices.behind:
                self.fields[f"again_{key}"] = _number("To be cut again", most)
                named = [(str(row.pk), f"after “{in_words(row.name, words)}”") for row in choices.behind]
                self.fields[f"from_{key}"] = forms.ChoiceField(label="From", choices=named, required=False)
            self.fields[f"lost_{key}"] = _number("Of no more use", most)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for choices in self._stages:
            one = self._carried(choices)
            if one.said > one.stage.pieces:
                name = next(name for name in self.fields if name.endswith(f"_{one.stage.task.pk}"))
                self.add_error(name, f"There are {one.stage.pieces} of these, and {one.said} are accounted for.")
        return cleaned

    @property
    def carried(self) -> list[Carried]:
        return [self._carried(choices) for choices in self._stages]

    def _carried(self, choices: StageChoices) -> Carried:
        key, behind = choices.stage.task.pk, choices.behind
        chosen = self.cleaned_data.get(f"from_{key}") or ""
        return Carried(
            choices.stage,
            fits=self.cleaned_data.get(f"fits_{key}") or 0,
            again=self.cleaned_data.get(f"again_{key}") or 0,
            again_from=next((row for row in behind if str(row.pk) == chosen), behind[0] if behind else None),
            lost=self.cleaned_data.get(f"lost_{key}") or 0,
        )

    @property
    def rows(self) -> list[StageFields]:
        return [
            StageFields(
                stage_in_words(choices.stage, self.words),
                [self[name] for name in self.fields if name.endswith(f"_{choices.stage.task.pk}")],
            )
            for choices in self._stages
        ]


def _number(label: str, most: int) -> forms.IntegerField:
    return forms.IntegerField(label=label, required=False, min_value=0, max_value=most)
