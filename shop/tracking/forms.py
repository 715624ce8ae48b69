"""What a person types or taps on the pages of tracking."""

from typing import Any

from django import forms

from shop.jobs.models import Person, Place
from shop.jobs.permissions import visible
from shop.tracking.acts import BY_KEY, Act
from shop.work.models import Piece


class FindForm(forms.Form):
    """What stands on a label or a ticket: a code, its last six, a tag, a tag and a copy, or a room."""

    q = forms.CharField(max_length=60, label="Code, or tag and copy, or room", help_text="QK7R MD3 HX6, S-04, S-04 3")


class RemakeForm(forms.Form):
    """Why a piece is made again, and what becomes of the old one."""

    reason = forms.CharField(max_length=300, label="Why")
    old = forms.ChoiceField(choices=[("scrap", "is scrap"), ("maybe", "may be used")], label="The old piece")


class RecordForm(forms.Form):
    """One act on one piece. The nonce makes a form that is sent twice one record."""

    act = forms.ChoiceField(choices=[(key, act.words) for key, act in BY_KEY.items()])
    nonce = forms.CharField(max_length=64, widget=forms.HiddenInput)
    place = forms.ModelChoiceField(Place.objects.none(), required=False, label="Where")
    load = forms.CharField(max_length=30, required=False, label="Load number")
    box = forms.CharField(max_length=30, required=False, label="Bundle")
    reason = forms.CharField(max_length=300, required=False, label="What is wrong")
    length = forms.CharField(max_length=300, required=False, label="How it was built")

    def __init__(self, *args: Any, piece: Piece, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = places_for(piece, person)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        act = BY_KEY.get(said.get("act", ""))
        for name in act.needs if act else ():
            if not said.get(name) and name not in self.errors:
                self.add_error(name, forms.ValidationError(ASKED[name], code="needed"))
        return said

    @property
    def said(self) -> Act:
        return BY_KEY[self.cleaned_data["act"]]

    def record(self) -> dict[str, Any]:
        """What the recording service takes: verb, place, reason and the verb's own fields."""
        said, act = self.cleaned_data, self.said
        fields = dict(act.fields)
        named = {"load": "load", "box": "into", "length": "as_built"}
        fields |= {name: said[asked].strip() for asked, name in named.items() if asked in act.needs}
        reason = fields.pop("reason", "") or said["reason"]
        return {"verb": act.verb, "place": said["place"], "reason": reason, "fields": fields, "nonce": said["nonce"]}


ASKED = {
    "place": "Say where.",
    "load": "Say which load: its number stands on the load list.",
    "box": "Say which bundle.",
    "reason": "Say what is wrong with it.",
    "length": "Say how it was built, so that the next man knows.",
}


def places_for(piece: Piece, person: Person) -> Any:
    """Places of the piece's job, and the shop's own."""
    job = piece.run.job_id
    rows = visible(person, Place).filter(retired_at=None)
    return (rows.filter(job=job) | rows.filter(job=None)).order_by("-job", "full_name")
