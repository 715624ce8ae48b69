"""Readings of the work: where everything is, in five columns that add up; and the whole life of one piece."""

from collections.abc import Iterable, Mapping
from dataclasses import astuple, dataclass
from typing import Any

from django.db.models import BooleanField, Case, Count, Q, QuerySet, Value, When

from shop.jobs.models import Person, Place
from shop.requests.models import Paper, Revision, Run
from shop.work import derive
from shop.work.derive.vocabulary import HERE, IN_PLACE, IN_SHOP, ON_TRUCK, RECEIVED
from shop.work.models import Line, Piece, Record, RefusedRecord
from shop.work.rows import Folded, fold
from shop.work.store import RowStore, piece_key

Keys = QuerySet[Run, Any]
UNSENT = (Paper.DRAFT, Paper.CANCELLED)


@dataclass(frozen=True)
class Counts:
    """Needs by where they stand: asked (no good metal yet), in shop, on truck, here, in; the five are all of them.

    `dropped` is part of `here`. `over`: good pieces beyond what is asked. `apart`: on site, not counted as they stand.
    """

    asked: int = 0
    in_shop: int = 0
    on_truck: int = 0
    here: int = 0
    in_place: int = 0
    dropped: int = 0
    over: int = 0
    apart: int = 0

    @property
    def total(self) -> int:
        return self.asked + self.in_shop + self.on_truck + self.here + self.in_place

    @property
    def on_site(self) -> int:
        """What a superintendent means by "here"."""
        return self.here + self.in_place

    def __add__(self, other: "Counts") -> "Counts":
        return Counts(*map(sum, zip(astuple(self), astuple(other), strict=True)))


NONE = Counts()


@dataclass(frozen=True)
class Asked:
    """What a run's present revision asks for: copies, of so many sticks each."""

    copies: int
    parts: int


def sum_of(counts: Iterable[Counts]) -> Counts:
    return sum(counts, NONE)


def run_counts(runs: QuerySet[Run]) -> dict[int, Counts]:
    """The counts of each of these runs that was ever sent: three queries, however many runs."""
    keys = runs.order_by().values("pk")
    asked = _asked(keys)
    good, apart = _good(keys), _apart(keys)
    seen = asked.keys() | good.keys() | apart.keys()
    return {run: _counts(asked.get(run, Asked(0, 1)), good.get(run, []), apart.get(run, 0)) for run in seen}


def counts_by_place(places: Iterable[Place]) -> dict[int, Counts]:
    """The counts of each of these places with all that lies in it: four queries, however many places."""
    places = list(places)
    inside = Q(pk__in=[])
    for place in places:
        inside |= Q(place__path__startswith=place.path)
    rows = Run.objects.filter(inside)
    counts = run_counts(rows)
    where = rows.values_list("pk", "place__path")
    found = {place.pk: NONE for place in places}
    for run, path in where:
        for place in places:
            if path.startswith(place.path):
                found[place.pk] += counts.get(run, NONE)
    return found


def counts_at(place: Place) -> Counts:
    """The counts of one place with all that lies in it."""
    return counts_by_place([place])[place.pk]


def _asked(runs: Keys) -> dict[int, Asked]:
    """By run; of a run whose revisions are all withdrawn nothing is asked, and it isn't here."""
    sent = Revision.objects.filter(run__in=runs).exclude(state__in=UNSENT).order_by("number")
    return {run: Asked(copies, parts) for run, copies, parts in sent.values_list("run", "quantity", "parts")}


Stand = tuple[int, int, bool, int]


def _good(runs: Keys) -> dict[int, list[Stand]]:
    """By run that they fill: part, level, whether received, and how many good pieces stand so."""
    received = Case(When(rank__gte=RECEIVED, then=Value(True)), default=Value(False), output_field=BooleanField())
    rows = Piece.objects.filter(fills__in=runs, good=True).annotate(received=received)
    grouped = rows.values("fills", "part", "level", "received").order_by().annotate(count=Count("pk"))
    found: dict[int, list[Stand]] = {}
    for run, *stand in grouped.values_list("fills", "part", "level", "received", "count"):
        found.setdefault(run, []).append((stand[0], stand[1], stand[2], stand[3]))
    return found


def _apart(runs: Keys) -> dict[int, int]:
    rows = Piece.objects.filter(run__in=runs, apart=True).values("run").order_by().annotate(count=Count("pk"))
    return dict(rows.values_list("run", "count"))


def _counts(asked: Asked, good: Iterable[Stand], apart: int) -> Counts:
    """Sticks to copies: how many of each part stand at or past a level; of those the least, at most what is asked."""
    stands = [
        (part if 1 <= part <= asked.parts else 1, level, received, count) for part, level, received, count in good
    ]
    past = [
        _copies(asked, {part: _past(stands, part, level) for part in _parts(asked)})
        for level in range(IN_SHOP, IN_PLACE + 1)
    ]
    received = _copies(asked, {part: _past_received(stands, part) for part in _parts(asked)})
    most = max((_past(stands, part, IN_SHOP) for part in _parts(asked)), default=0)
    return Counts(
        asked=asked.copies - past[IN_SHOP],
        in_shop=past[IN_SHOP] - past[ON_TRUCK],
        on_truck=past[ON_TRUCK] - past[HERE],
        here=past[HERE] - past[IN_PLACE],
        in_place=past[IN_PLACE],
        dropped=past[HERE] - received,
        over=max(0, most - asked.copies),
        apart=apart,
    )


def _parts(asked: Asked) -> range:
    return range(1, asked.parts + 1)


def _copies(asked: Asked, by_part: Mapping[int, int]) -> int:
    return min([asked.copies, *by_part.values()])


def _past(stands: Iterable[Stand], part: int, level: int) -> int:
    return sum(count for its, at, _, count in stands if its == part and at >= level)


def _past_received(stands: Iterable[Stand], part: int) -> int:
    """In, or here and received."""
    return sum(
        count for its, at, received, count in stands if its == part and (at == IN_PLACE or (at == HERE and received))
    )


# Lists behind the counts


def pieces_in(place: Place, level: int) -> QuerySet[Piece]:
    """The good pieces for needs in a place and all that lies in it that stand at a level."""
    rows = Piece.objects.filter(fills__place__path__startswith=place.path, good=True, level=level)
    return rows.select_related("run__place", "revision", "place").order_by("run__tag", "copy", "part", "remake")


def pieces_apart(place: Place) -> QuerySet[Piece]:
    """On site for needs in a place, and not counted as they stand: shown, so that nothing in the wall is hidden."""
    rows = Piece.objects.filter(run__place__path__startswith=place.path, apart=True)
    return rows.select_related("run__place", "revision", "place").order_by("run__tag", "copy", "part", "remake")


def runs_missing(place: Place) -> list[tuple[Run, int]]:
    """The runs in a place and all that lies in it that lack good metal, each with how many needs."""
    rows = Run.objects.filter(place__path__startswith=place.path)
    lacking = {run: counts.asked for run, counts in run_counts(rows).items() if counts.asked}
    found = Run.objects.filter(pk__in=lacking).select_related("place").order_by("tag")
    return [(run, lacking[run.pk]) for run in found]


# One piece


@dataclass(frozen=True)
class Told:
    """One record of a piece's life. `replies`: what its maker heard; `annulled` is one of them."""

    record: Record
    replies: tuple[str, ...]

    @property
    def stands(self) -> bool:
        return "annulled" not in self.replies and "refused" not in self.replies


@dataclass(frozen=True)
class Life:
    """All that is true of a piece, and its records in the one order. `not_seen`: step to the record that implied it."""

    answer: derive.PieceAnswer
    told: list[Told]
    not_seen: dict[str, Record | None]


def piece_life(piece: Piece) -> Life:
    """Folds one piece for reading, with who implied what; nothing is written."""
    store = RowStore()
    folded = fold([piece_key(piece.pk)], store)
    answer = folded.rows[piece_key(piece.pk)]
    about = _about(piece_key(piece.pk), folded)
    read = Record.objects.filter(nonce__in=about).select_related("person", "place")
    rows = {row.nonce: row for row in read}
    return Life(
        answer=answer,
        told=_told(folded, rows),
        not_seen={step: rows.get(answer.inferred[step]) for step in answer.not_seen},
    )


def _about(key: str, folded: Folded) -> set[str]:
    """Nonces of what is said about the piece or its run, or mentions it, and of what answers one of those."""
    run = folded.facts.pieces[key].run
    records = folded.reach.records
    about = {r.nonce for r in records if r.run == run or r.piece == key or key in r.others}
    return about | {r.nonce for r in records if about.intersection(r.answers)}


def _told(folded: Folded, rows: Mapping[str, Record]) -> list[Told]:
    replies = folded.replies()
    ordered = derive.Log(folded.reach.records, folded.facts).ordered
    return [Told(rows[record.nonce], replies[record.nonce]) for record in ordered if record.nonce in rows]


# Who is told what


def lines_for(person: Person) -> QuerySet[Line]:
    """What the person is told, and what the person's role is told about pieces that are the person's to see."""
    mine = Q(person=person)
    of_role = Q(role=person.role)
    if not person.in_shop:
        of_role &= Q(piece__run__job__in=person.jobs.all())
    rows = Line.objects.filter(mine | of_role)
    return rows.select_related("piece__run", "record__person").order_by("code", "pk")


def refused_for(person: Person) -> QuerySet[RefusedRecord]:
    """What the person said that couldn't be taken, and that wasn't read yet."""
    return RefusedRecord.objects.filter(person=person, read_at=None).select_related("piece__run").order_by("-pk")
