"""What the shop lead types: a question, a release, a hold; and the filters of the board."""

from typing import Any

import django_filters
from django import forms

from shop.jobs.models import Job, Person
from shop.jobs.permissions import visible
from shop.requests.models import Profile, Revision
from shop.requests.queries import conduits
from shop.work.inbox import benders_for


class QuestionForm(forms.Form):
    """A question on one dimension, with up to four answers to tap; the foreman may always answer in his own words."""

    at = forms.CharField(max_length=120, required=False, widget=forms.HiddenInput)
    text = forms.CharField(max_length=400, label="Your question", widget=forms.Textarea(attrs={"rows": 2}))
    choices = forms.CharField(
        max_length=400, required=False, label="Answers to tap, one a line", widget=forms.Textarea(attrs={"rows": 3})
    )

    def clean_choices(self) -> list[str]:
        return [line.strip() for line in self.cleaned_data["choices"].splitlines() if line.strip()][:4]


class HoldForm(forms.Form):
    """Why it is held: whoever lets it go again has to know."""

    reason = forms.CharField(max_length=200, label="Why it is held")


class ReleaseForm(forms.Form):
    """Which bender, and why a rule is overridden where one is."""

    profile = forms.ModelChoiceField(Profile.objects.none(), label="Bender", empty_label=None)
    override_reason = forms.CharField(max_length=300, required=False, label="Why the rule may be overridden here")

    def __init__(self, *args: Any, revision: Revision, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        benders = benders_for(revision)
        field = self.fields["profile"]
        field.queryset = Profile.objects.filter(pk__in=[profile.pk for profile in benders])  # type: ignore[attr-defined]
        field.initial = revision.profile_id or (benders[0].pk if benders else None)


class BoardFilter(django_filters.FilterSet):
    """By job, raceway, size, and what a tag or place contains."""

    job = django_filters.ModelChoiceFilter(
        field_name="run__job", queryset=Job.objects.none(), label="Job", empty_label="all"
    )
    size = django_filters.ChoiceFilter(field_name="size", choices=(), label="Size", empty_label="all")
    text = django_filters.CharFilter(method="with_text", label="Tag or place")

    class Meta:
        model = Revision
        fields: list[str] = []

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.filters["job"].queryset = visible(person, Job)
        sizes = dict.fromkeys(size for _, size in conduits())
        self.filters["size"].extra["choices"] = [(size, size) for size in sizes]

    def with_text(self, rows: Any, name: str, value: str) -> Any:
        return rows.filter(run__tag__icontains=value) | rows.filter(run__place__full_name__icontains=value)
