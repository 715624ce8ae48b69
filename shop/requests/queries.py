"""Reading of requests: what this person asked last, which conduit the shop bends, and the list of runs."""

import re
from fractions import Fraction
from typing import Any

from django.db.models import Case, Exists, IntegerField, OuterRef, QuerySet, Value, When

from shop.jobs.models import History, Job, Person
from shop.jobs.permissions import may, visible
from shop.requests.models import Paper, Profile, Question, Revision, Run

LAST_NUMBER = re.compile(r"(.*?)(\d+)(\D*)")
# What waits for the reader stands first, then what he hasn't sent, then the rest.
_RANK = {Paper.QUESTION: 0, Paper.DRAFT: 1, Paper.HELD: 2, Paper.CANCELLED: 5, Paper.CHANGED: 5, Paper.CLOSED: 4}


def conduits() -> list[tuple[str, str]]:
    """(raceway, size) of everything that the shop has a bender for, small sizes first."""
    found = Profile.objects.filter(bender__retired_at=None).values_list("raceway", "size").distinct()
    return sorted(set(found), key=lambda pair: (pair[0], _inches(pair[1])))


def _inches(size: str) -> Fraction:
    """A trade size as a number, for sorting: 1-1/4 stands between 1 and 1-1/2."""
    return sum((Fraction(part) for part in size.split("-") if re.fullmatch(r"\d+(/[1-9]\d*)?", part)), Fraction(0))


def next_tag(job: Job | None, tag: str) -> str:
    """The tag after this one that is free in the job: S-05 after S-04; empty where the tag has no number."""
    found = LAST_NUMBER.fullmatch(tag)
    if not found or len(found[2]) > 6:
        return ""
    before, number, after = found.groups()
    taken = set(Run.objects.filter(job=job, tag__startswith=before).values_list("tag", flat=True))
    for count in range(int(number) + 1, int(number) + 2 + len(taken)):
        counted = f"{before}{count:0{len(number)}d}{after}"
        if counted not in taken:
            return counted if len(counted) <= 30 else ""
    raise AssertionError("more tags are taken than the job has")


def held_because(revision: Revision) -> str:
    """Why a revision is held; empty where it isn't, or where nobody said it."""
    if revision.state != Paper.HELD:
        return ""
    lines = History.objects.filter(subject="revision", subject_id=revision.pk, action="revision.hold")
    last = lines.order_by("-at", "-pk").first()
    return str(last.data.get("reason", "")) if last else ""


def last_revision(person: Person, job: Job | None) -> Revision | None:
    """What the person asked for last in the job, a draft included."""
    found = Revision.objects.filter(made_by=person, run__job=job).select_related("run__place", "run__job")
    return found.order_by("-made_at", "-pk").first()


def last_asked(person: Person, job: Job | None) -> dict[str, Any]:
    """Where this person's next run of the job probably starts: place, conduit, cost code and the tag counted up."""
    last = last_revision(person, job)
    if last is None:
        return {}
    return {
        "place": last.run.place_id,
        "drop": last.drop_id,
        "conduit": f"{last.raceway}|{last.size}" if last.size else "",
        "cost_code": last.cost_code,
        "tag": next_tag(job, last.run.tag),
    }


def last_job(person: Person) -> int | None:
    """The job for which the person asked last."""
    found = Revision.objects.filter(made_by=person).order_by("-made_at", "-pk").values_list("run__job", flat=True)
    return found.first()


def open_questions(person: Person) -> QuerySet[Question]:
    """Questions that wait for an answer on runs that the person sees, the oldest first."""
    found = visible(person, Question).filter(answered_at=None, revision__state__in=(Paper.QUESTION, Paper.HELD))
    return found.select_related("revision__run__place", "asked_by").order_by("asked_at")


def answers_due(person: Person) -> int:
    """How many questions wait for this person; none where somebody else must answer."""
    return open_questions(person).count() if may(person, "question.answer") else 0


def runs_listed(person: Person) -> QuerySet[Revision]:
    """Every run that the person may see: its newest sent revision, and any draft after it; what waits stands first."""
    later = Revision.objects.filter(run=OuterRef("run"), number__gt=OuterRef("number")).exclude(state=Paper.DRAFT)
    ranks = [When(state=state, then=Value(rank)) for state, rank in _RANK.items()]
    return (
        visible(person, Revision)
        .filter(~Exists(later))
        .annotate(rank=Case(*ranks, default=Value(3), output_field=IntegerField()))
        .select_related("run__place", "run__job", "made_by")
        .prefetch_related("questions")
        .order_by("rank", "-made_at", "-pk")
    )
