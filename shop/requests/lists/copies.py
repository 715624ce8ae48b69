"""The runs of one place asked for again in others like it: a floor on the next floors, a room in the like rooms."""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from shop.jobs.models import Person, Place, PlaceKind
from shop.jobs.refusals import Refusal
from shop.jobs.services import place_add
from shop.requests.lists import columns
from shop.requests.lists.cells import MOST_ROWS, Cells
from shop.requests.models import Paper, Revision

FIELDS = ("tag", "quantity", "place", "title", "note", "cost_code", "document")
NOT_AGAIN = (Paper.DRAFT, Paper.CHANGED, Paper.CANCELLED)


@dataclass(frozen=True)
class Target:
    """One place that gets the runs, and what is put behind each tag there."""

    place: Place
    ending: str


def runs_in(place: Place) -> list[Revision]:
    """The runs that stand in a place or below it, as they are asked for now."""
    found = Revision.objects.filter(run__place__path__startswith=place.path).exclude(state__in=NOT_AGAIN)
    return list(found.select_related("run__place").order_by("run__place__full_name", "run__tag", "number"))


def targets_of(place: Place) -> list[Place]:
    """Where the runs of a place could be wanted too: places of the same kind in the job."""
    found = Place.objects.filter(job=place.job, kind=place.kind, retired_at=None).exclude(pk=place.pk)
    return list(found.exclude(kind__in=[PlaceKind.JOB, PlaceKind.DROP]).order_by("full_name"))


def cells_of(place: Place, targets: Sequence[Target]) -> Cells:
    """A list that asks for the same runs in each target. A room of the source means the room of the same name there.

    Refused: `no_runs`, `no_target`, `too_many_rows`.
    """
    revisions = runs_in(place)
    if not revisions:
        raise Refusal("no_runs", f"Nothing is asked for in {place}.")
    if not targets:
        raise Refusal("no_target", "Pick at least one place to ask for them in.")
    if len(revisions) * len(targets) > MOST_ROWS:
        raise Refusal("too_many_rows", f"At most {MOST_ROWS} runs at once.", most=MOST_ROWS)
    rows = [_row(revision, place, target) for target in targets for revision in revisions]
    headings = tuple(columns.HEAD[name] for name in FIELDS)
    return Cells(headings, tuple(rows), tuple(range(1, len(rows) + 1)))


def _row(revision: Revision, place: Place, target: Target) -> tuple[str, ...]:
    below = revision.run.place.full_name.removeprefix(place.full_name)
    return (
        f"{revision.run.tag}{target.ending}",
        str(revision.quantity),
        f"{target.place.full_name}{below}",
        revision.title,
        "",
        revision.cost_code,
        json.dumps(revision.document, ensure_ascii=False),
    )


def make_places(place: Place, targets: Sequence[Target], actor: Person) -> None:
    """The rooms and walls in which the place's runs stand, made in each target where it has none of that name."""
    needed = {revision.run.place for revision in runs_in(place)} - {place}
    for target in targets:
        for one in sorted(needed, key=lambda found: found.path):
            _make(one, place, target.place, actor)


def _make(one: Place, source: Place, target: Place, actor: Person) -> Place:
    """The place in the target that is to it what `one` is to the source."""
    if one.pk == source.pk:
        return target
    assert one.parent is not None
    parent = _make(one.parent, source, target, actor)
    found = Place.objects.filter(parent=parent, name=one.name).first()
    return found or place_add(name=one.name, kind=one.kind, parent=parent, actor=actor)


def endings(places: Sequence[Place]) -> dict[int, str]:
    """What a tag may end in at each place, by the place's key: its name without the words that all begin with."""
    words = [place.name.split() for place in places]
    shared = 0
    while len(words) > 1 and len({tuple(one[: shared + 1]) for one in words}) == 1:
        shared += 1
    return {place.pk: f" {' '.join(one[shared:])}"[:12] for place, one in zip(places, words, strict=True)}
