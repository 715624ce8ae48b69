"""Areas: five counts that add up to all needs, and the pieces behind each of them."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse

from shop.jobs import clock
from shop.jobs.models import Job, Person, Place, PlaceKind
from shop.jobs.permissions import visible
from shop.jobs.templatetags.times import said
from shop.requests.models import OPEN_PAPER, Paper, Question, Revision, Run
from shop.tracking.words import BAD, step_words
from shop.work.derive.vocabulary import HERE, IN_PLACE, IN_SHOP, ON_TRUCK
from shop.work.models import Piece
from shop.work.queries import Counts, counts_by_place, run_counts, runs_missing, sum_of

AREA_KINDS = (PlaceKind.AREA, PlaceKind.ROOM)
LEVELS = {IN_PLACE: "in", HERE: "here", ON_TRUCK: "on_truck", IN_SHOP: "in_shop"}
STEPS = (("in", "in"), ("here", "here"), ("on_truck", "on truck"), ("in_shop", "in shop"), ("asked", "asked"))


def five(counts: Counts) -> dict[str, int]:
    """The five columns by the names of the bar: they add up to `counts.total`."""
    return {
        "in": counts.in_place,
        "here": counts.here,
        "on_truck": counts.on_truck,
        "in_shop": counts.in_shop,
        "asked": counts.asked,
    }


@dataclass(frozen=True)
class AreaRow:
    """One area of the list: what it is called inside its job, and its counts."""

    place: Place
    name: str
    counts: dict[str, int]
    total: int
    on_site: int


@dataclass(frozen=True)
class JobRow:
    name: str
    total: int
    on_site: int
    areas: list[AreaRow]


@dataclass(frozen=True)
class NeedRow:
    """One line of an area: a piece, or a run of which nothing is made yet. `bar` names its swatch."""

    url: str
    tag: str
    words: str
    detail: str
    bar: str
    place: str
    remake: int = 0
    state: str = ""
    wrong: bool = False


@dataclass
class Group:
    name: str
    rows: list[NeedRow] = field(default_factory=list)

    @property
    def sum(self) -> str:
        on_site = sum(row.bar in ("here", "in") for row in self.rows)
        return f"{on_site} of {len(self.rows)} here"


def jobs_with_areas(person: Person) -> list[JobRow]:
    """The person's open jobs, each with the areas and rooms for which anything was asked."""
    jobs = list(visible(person, Job).filter(closed_at=None).order_by("name"))
    places = [*_area_places(jobs), *Place.objects.filter(job__in=jobs, kind=PlaceKind.JOB)]
    counts = counts_by_place(places)
    return [_job_row(job, [place for place in places if place.job_id == job.pk], counts) for job in jobs]


def _area_places(jobs: list[Job]) -> list[Place]:
    """The outermost areas and rooms that anything was asked for: a wall counts in its room."""
    rows = Place.objects.filter(job__in=jobs, kind__in=AREA_KINDS, retired_at=None)
    return list(rows.exclude(parent__kind__in=AREA_KINDS).order_by("path"))


def _job_row(job: Job, places: list[Place], counts: dict[int, Counts]) -> JobRow:
    whole = sum_of(counts[place.pk] for place in places if place.kind == PlaceKind.JOB)
    areas = [place for place in places if place.kind != PlaceKind.JOB and counts[place.pk].total]
    return JobRow(job.name, whole.total, whole.on_site, [_area_row(job, place, counts[place.pk]) for place in areas])


def _area_row(job: Job, place: Place, counts: Counts) -> AreaRow:
    name = place.full_name.removeprefix(f"{job.name}, ")
    return AreaRow(place, name, five(counts), counts.total, counts.on_site)


def area(place: Place, only: str) -> dict[str, Any]:
    """An area's page: bar, five counts, the list behind the chosen chip, grouped by room."""
    rows = need_rows(place)
    counts = counts_by_place([place])[place.pk]
    chosen = [row for row in rows if _shown(row, only)]
    return {
        "place": place,
        "above": place.parent.full_name if place.parent else "",
        "counts": five(counts),
        "total": counts.total,
        "five": [{"key": key, "words": words, "count": five(counts)[key]} for key, words in STEPS],
        "only": only,
        "chips": _chips(rows, counts),
        "closes": _closes(place, counts),
        "apart": counts.apart,
        "groups": _grouped(place, chosen),
    }


def _shown(row: NeedRow, only: str) -> bool:
    """An unknown chip shows everything, so that an old bookmark still opens."""
    if only == "not-in":
        return row.bar != "in"
    if only == "wrong":
        return row.wrong
    return row.bar == only if only in dict(STEPS) else True


def _chips(rows: list[NeedRow], counts: Counts) -> list[dict[str, Any]]:
    wrong = sum(row.wrong for row in rows)
    return [
        {"key": "all", "words": "all", "count": counts.total},
        {"key": "not-in", "words": "not in", "count": counts.total - counts.in_place},
        {"key": "wrong", "words": "wrong", "count": wrong},
    ]


def _closes(place: Place, counts: Counts) -> str:
    """The warning while something isn't in and a closing time is set."""
    missing = counts.total - counts.in_place
    if place.closes_at is None or not missing:
        return ""
    word = place.closes_word or "It closes"
    are = "is" if missing == 1 else "are"
    return f"{word} {said(place.closes_at, place.job)}. {missing} {are} not in."


# Rows


def need_rows(place: Place) -> list[NeedRow]:
    """Every piece that stands for a need of the place, those that stand apart, and what has no metal yet."""
    good = Piece.objects.filter(fills__place__path__startswith=place.path, good=True)
    apart = Piece.objects.filter(run__place__path__startswith=place.path, good=False, dead=False).exclude(word="SCRAP")
    rows = (good | apart).select_related("run__place", "run__job", "revision", "place")
    pieces = [_piece_row(piece) for piece in rows.order_by("run__tag", "copy", "part", "remake")]
    return [*pieces, *(_missing_row(run) for run, missing in runs_missing(place) for _ in range(missing))]


def _piece_row(piece: Piece) -> NeedRow:
    state = piece.word if piece.word in BAD else ""
    words = piece.word if state else piece.revision.title or step_words(piece)
    where = f", {piece.place.name}" if piece.place else ""
    return NeedRow(
        url=reverse("piece", args=[piece.pk]),
        tag=piece.run.tag,
        words=words,
        detail=f"copy {piece.copy}, {step_words(piece)}{where}",
        bar=LEVELS[piece.level] if piece.good else "asked",
        place=piece.run.place.full_name,
        remake=piece.remake,
        state=state,
        wrong=bool(state),
    )


PAPER_WORDS = {
    Paper.QUESTION: "needs an answer",
    Paper.SENT: "asked, not OK'd yet",
    Paper.OK: "OK'd, not released yet",
    Paper.HELD: "on hold",
    Paper.RELEASED: "has to be made again",
    Paper.CLOSED: "closed",
}


def _missing_row(run: Run) -> NeedRow:
    revision = run.present
    question = revision.state == Paper.QUESTION
    return NeedRow(
        url=reverse("run", args=[run.pk]),
        tag=run.tag,
        words=PAPER_WORDS[Paper(revision.state)],
        detail=revision.title,
        bar="asked",
        place=run.place.full_name,
        state="QUESTION" if question else "",
        wrong=question,
    )


def _grouped(place: Place, rows: list[NeedRow]) -> list[Group]:
    """By the place inside this one: a room's own walls stand apart."""
    groups: dict[str, Group] = {}
    for row in sorted(rows, key=lambda row: row.place):
        name = row.place.removeprefix(place.full_name).removeprefix(", ") or place.name
        groups.setdefault(name, Group(name)).rows.append(row)
    return list(groups.values())


# Today


def today(person: Person) -> dict[str, Any]:
    """The field's first screen: needed today, waiting for an answer, not sent yet, bars by area."""
    jobs = jobs_with_areas(person)
    needed = _needed_counts(person)
    questions = Question.objects.filter(answered_at=None, revision__in=visible(person, Revision))
    questions = questions.exclude(revision__state__in=(Paper.CHANGED, Paper.CANCELLED)).order_by("asked_at")
    drafts = visible(person, Revision).filter(state=Paper.DRAFT, made_by=person).select_related("run")
    return {
        "title": jobs[0].name if len(jobs) == 1 else "Today",
        "needed": sum(needed.values()),
        "needed_words": _needed_words(needed),
        "questions": list(questions.select_related("revision__run")) if person.role == "foreman" else [],
        "drafts": [revision.run.tag for revision in drafts],
        "jobs": jobs,
    }


def needed_today(person: Person) -> list[Group]:
    """All that is needed by the end of today and isn't in, by place; also what has no good metal yet."""
    pieces = _due_pieces(person).select_related("run__place", "run__job", "revision", "place")
    rows = [_piece_row(piece) for piece in pieces.order_by("run__tag", "copy", "part", "remake")]
    rows += [_missing_row(run) for run, missing in _due_runs(person) for _ in range(missing)]
    groups: dict[str, Group] = {}
    for row in sorted(rows, key=lambda row: row.place):
        groups.setdefault(row.place, Group(row.place)).rows.append(row)
    return list(groups.values())


def _due_by() -> datetime:
    return clock.now().astimezone().replace(hour=23, minute=59)


def _due_pieces(person: Person) -> QuerySet[Piece]:
    return visible(person, Piece).filter(revision__needed_at__lte=_due_by(), good=True).exclude(level=IN_PLACE)


def _due_runs(person: Person) -> list[tuple[Run, int]]:
    """Runs that lack good metal which is needed today, each with how many needs."""
    live = Q(revisions__state__in=(*OPEN_PAPER, Paper.RELEASED), revisions__needed_at__lte=_due_by())
    counts = run_counts(visible(person, Run).filter(live).distinct())
    lacking = {run: found.asked for run, found in counts.items() if found.asked}
    rows = Run.objects.filter(pk__in=lacking).select_related("place").order_by("tag")
    return [(run, lacking[run.pk]) for run in rows]


def _needed_counts(person: Person) -> dict[str, int]:
    """How many are needed today, by where they stand."""
    counted = Counter(LEVELS[level] for level in _due_pieces(person).values_list("level", flat=True))
    counted["asked"] += sum(missing for _, missing in _due_runs(person))
    return counted


def _needed_words(needed: dict[str, int]) -> str:
    told = [f"{needed[key]} {words}" for key, words in STEPS if needed.get(key)]
    return ", ".join(told) or "Nothing is due today."
