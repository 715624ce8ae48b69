"""What the list of runs can be narrowed by."""

import django_filters
from django.db.models import Q, QuerySet
from django.http import HttpRequest

from shop.jobs.models import Job, Place
from shop.jobs.permissions import visible
from shop.requests.models import Paper, Revision


def _jobs(request: HttpRequest) -> QuerySet[Job]:
    return visible(request.user, Job).order_by("name")  # type: ignore[arg-type]


def _places(request: HttpRequest) -> QuerySet[Place]:
    """Places that runs go to, of the job that is picked, else of all that the person sees."""
    places = visible(request.user, Place).exclude(job=None).order_by("full_name")  # type: ignore[arg-type]
    picked = next((job for job in _jobs(request) if str(job.pk) == request.GET.get("job")), None)
    return places.filter(job=picked) if picked else places


class RunFilter(django_filters.FilterSet):
    """By job, place with all that lies in it, state of the paper, and words of tag, title, place or note."""

    job = django_filters.ModelChoiceFilter(field_name="run__job", queryset=_jobs, label="Job", empty_label="all")
    place = django_filters.ModelChoiceFilter(queryset=_places, method="within", label="Place", empty_label="all")
    state = django_filters.ChoiceFilter(choices=Paper.choices, label="State", empty_label="all")
    text = django_filters.CharFilter(method="words", label="Tag or words")

    class Meta:
        model = Revision
        fields: list[str] = []

    def within(self, rows: QuerySet[Revision], name: str, place: Place) -> QuerySet[Revision]:
        return rows.filter(run__place__path__startswith=place.path)

    def words(self, rows: QuerySet[Revision], name: str, text: str) -> QuerySet[Revision]:
        for word in text.split()[:6]:
            rows = rows.filter(
                Q(run__tag__icontains=word)
                | Q(title__icontains=word)
                | Q(run__place__full_name__icontains=word)
                | Q(note__icontains=word)
            )
        return rows
