"""Forms that take runs many at once."""

from typing import Any

from django import forms

from shop.jobs.models import Job, Person, Place, PlaceKind
from shop.jobs.permissions import visible
from shop.jobs.refusals import Refusal
from shop.requests import queries
from shop.requests.forms import place_words
from shop.requests.lists import cells, copies
from shop.requests.shapes import SHAPES

MOST_PASTED = 4_000_000
EACH = [("", "said in each row")]


class UsualForm(forms.Form):
    """What is the same for all runs: a job, and what an empty cell means."""

    job = forms.ModelChoiceField(Job.objects.none(), label="Job", empty_label=None)
    place = forms.ModelChoiceField(
        Place.objects.none(), label="Place", required=False, empty_label=EACH[0][1], to_field_name="full_name"
    )
    conduit = forms.ChoiceField(label="Conduit", required=False)
    cost_code = forms.CharField(label="Cost code or change number", max_length=40, required=False)

    def __init__(self, *args: Any, person: Person, job: Job | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["job"].queryset = visible(person, Job).filter(closed_at=None).order_by("name")  # type: ignore[attr-defined]
        self.the_job = job
        places = Place.objects.filter(job=job, retired_at=None).order_by("full_name")
        self.fields["place"].queryset = places.exclude(kind__in=[PlaceKind.JOB, PlaceKind.DROP])  # type: ignore[attr-defined]
        self.fields["place"].label_from_instance = place_words  # type: ignore[attr-defined]
        conduits = [f"{size} {raceway}" for raceway, size in queries.conduits()]
        self.fields["conduit"].choices = EACH + [(one, one) for one in conduits]  # type: ignore[attr-defined]

    @property
    def usual(self) -> dict[str, str]:
        """What an empty cell means, by field."""
        said = self.cleaned_data
        place = said["place"].full_name if said.get("place") else ""
        usual = {name: said.get(name, "") for name in ("shape", "conduit", "cost_code")} | {"place": place}
        return {name: text for name, text in usual.items() if text}

    def refuse(self, refusal: Refusal, field: str | None = None) -> None:
        self.add_error(field, forms.ValidationError(refusal.words, code=refusal.code))


class CopyForm(forms.Form):
    """In which other places a place's runs are wanted too, and what is put behind each tag there."""

    to = forms.ModelMultipleChoiceField(Place.objects.none(), required=False)
    make = forms.BooleanField(required=False)

    def __init__(self, *args: Any, place: Place, **more: Any) -> None:
        super().__init__(*args, **more)
        self.targets = copies.targets_of(place)
        keys = [one.pk for one in self.targets]
        self.fields["to"].queryset = Place.objects.filter(pk__in=keys)  # type: ignore[attr-defined]
        for key, ending in copies.endings(self.targets).items():
            self.fields[f"ending-{key}"] = forms.CharField(
                required=False, max_length=12, strip=False, initial=ending, label="tags end in"
            )

    @property
    def rows(self) -> list[tuple[Place, Any, bool]]:
        """Each place with the field of its ending, and whether it is picked."""
        picked = {str(key) for key in self["to"].value() or []}
        return [(one, self[f"ending-{one.pk}"], str(one.pk) in picked) for one in self.targets]

    @property
    def asked(self) -> dict[str, Any]:
        """What the service takes."""
        said = self.cleaned_data
        targets = [copies.Target(one, said[f"ending-{one.pk}"]) for one in said["to"]]
        return {"targets": targets, "make": said["make"]}


class ListForm(UsualForm):
    """A file or a paste. `found` are the cells once it is valid."""

    file = forms.FileField(
        label="File", required=False, help_text="CSV or XLSX; the first row names the columns.",
        widget=forms.FileInput({"accept": ".csv,.tsv,.txt,.xlsx"}),
    )  # fmt: skip
    pasted = forms.CharField(
        label="Or paste it here", required=False, max_length=MOST_PASTED, strip=False,
        widget=forms.Textarea({"rows": 6, "spellcheck": "false"}),
        help_text="Straight from a spreadsheet, with its first row.",
    )  # fmt: skip
    shape = forms.ChoiceField(label="Shape", required=False, choices=EACH + [(one.key, one.words) for one in SHAPES])

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        file, pasted = said.get("file"), said.get("pasted") or ""
        if not file and not pasted.strip():
            self.add_error("file", forms.ValidationError("Pick a file, or paste the list.", code="nothing"))
            return said
        try:
            self.found = cells.read_file(file.name, file.read()) if file else cells.read_text(pasted)
        except Refusal as refusal:
            self.refuse(refusal, "file" if file else "pasted")
        return said

    @property
    def name(self) -> str:
        file = self.cleaned_data.get("file")
        return str(file.name)[:120] if file else "pasted list"
