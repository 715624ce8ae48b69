"""Aggregates over rows: needs in five columns, assemblies, loads, batches. Nothing is kept; everything is a sum."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from shop.work.derive.answer import BatchAnswer, BoxAnswer, LoadAnswer, NeedAnswer, PieceAnswer
from shop.work.derive.facts import Facts, Run
from shop.work.derive.record import Record
from shop.work.derive.vocabulary import BENT, CLOSED, CUT, DROPPED, HERE, IN_PLACE, LOADED, RECEIVED, rev_rank
from shop.work.derive.words import natural

STRUCK = frozenset({"OLD REV", "SCRAP", "REPLACED"})
RODE = frozenset({"aboard", "dropped", "received"})
OUT = frozenset({"struck", "closed"})
LEVELS = range(IN_PLACE + 1)
# counted at or past: the four levels, and received among those that are here
PAST: tuple[Callable[[PieceAnswer], bool], ...] = (
    *((lambda row, level=level: row.level >= level) for level in LEVELS),
    lambda row: row.level == IN_PLACE or (row.level == HERE and row.rank >= RECEIVED),
)


@dataclass(slots=True)
class Doubts:
    """What unnamed shorts take from needs: (need, part) to how many, and need to how many that can't be placed."""

    missing: dict[tuple[str, int], int] = field(default_factory=dict)
    doubt: dict[str, int] = field(default_factory=dict)


def needs_of(
    rows: Iterable[PieceAnswer],
    boxes: Iterable[BoxAnswer],
    present: Mapping[str, str],
    facts: Facts,
    runs: Iterable[str] | None = None,
) -> dict[str, NeedAnswer]:
    """The needs of these runs (all, if none are given). `rows`: every piece that may fill them or lies where it counts.

    `present`: run to its revision now. `boxes`: those with an unnamed short.
    """
    rows = list(rows)
    doubts = doubts_of(boxes, {row.key: row for row in rows}, facts)
    filling: dict[str, list[PieceAnswer]] = {}
    own: dict[str, list[PieceAnswer]] = {}
    for row in rows:
        own.setdefault(row.run, []).append(row)
        if row.good and row.need is not None:
            filling.setdefault(row.need, []).append(row)
    return {
        key: _need(facts.runs[key], present[key], filling.get(key, []), own.get(key, []), doubts)
        for key in (facts.runs if runs is None else runs)
    }


def part_of(row: PieceAnswer, run: Run) -> int:
    """Which stick of a need a piece is: its own part, or the first of a need that has no such part."""
    return row.part if row.part in run.parts else run.parts[0]


def doubts_of(boxes: Iterable[BoxAnswer], rows: Mapping[str, PieceAnswer], facts: Facts) -> Doubts:
    """Of a short that nobody named: if its candidates are alike, that need misses them; else each may."""
    doubts = Doubts()
    for box in boxes:
        named = [rows[key] for key in box.candidates if key in rows]
        where = {(row.need, part_of(row, facts.runs[row.need])) for row in named if row.need is not None}
        good = sum(row.good and row.level == HERE for row in named)
        if len(where) == 1:
            ((need, part),) = where
            doubts.missing[need, part] = doubts.missing.get((need, part), 0) + min(box.unnamed, good)
        else:
            for need in {need for need, _ in where}:
                doubts.doubt[need] = doubts.doubt.get(need, 0) + box.unnamed
    return doubts


def _need(run: Run, rev: str, filling: list[PieceAnswer], own: list[PieceAnswer], doubts: Doubts) -> NeedAnswer:
    asked, past = run.quantity(rev), _past(run, filling, doubts)
    have, moving, here, in_place, received = (min([asked, *counts]) for counts in past)
    return NeedAnswer(
        run=run.key,
        rev=rev,
        asked=asked,
        in_shop=have - moving,
        on_truck=moving - here,
        here=here - in_place,
        in_place=in_place,
        missing=asked - have,
        dropped=here - received,
        over=max(0, max(past[0]) - asked),
        doubt=doubts.doubt.get(run.key, 0),
        but=tuple(sorted((row.key for row in own if _but(row)), key=natural)),
    )


def _past(run: Run, filling: list[PieceAnswer], doubts: Doubts) -> list[list[int]]:
    """For each of `PAST`: how many good sticks of each part are at or past it."""
    past = []
    for number, is_past in enumerate(PAST):
        counts = dict.fromkeys(run.parts, 0)
        for row in filling:
            counts[part_of(row, run)] += is_past(row)
        if number != IN_PLACE:
            for part in counts:
                counts[part] -= doubts.missing.get((run.key, part), 0)
        past.append(list(counts.values()))
    return past


def _but(row: PieceAnswer) -> bool:
    """On site and not counted as it stands."""
    apart = not row.good or "WRONG PLACE" in row.flags
    return row.on_site and apart and not row.dead and row.account in (None, "in")


def assemblies_of(rows: Iterable[PieceAnswer], facts: Facts) -> dict[tuple[str, int], str]:
    """(run, copy) to the step of its least stick, of each part the one that is wanted first."""
    best: dict[tuple[str, int], dict[int, PieceAnswer]] = {}
    for row in rows:
        parts = best.setdefault((row.run, row.copy), {})
        if row.part not in parts or wanted_first(row) < wanted_first(parts[row.part]):
            parts[row.part] = row
    return {key: _least(parts, facts.runs[key[0]]) for key, parts in best.items() if key[0] in facts.runs}


def _least(parts: Mapping[int, PieceAnswer], run: Run) -> str:
    if any(part not in parts for part in run.parts):
        return "asked"
    row = min(parts.values(), key=lambda row: (row.rank, row.step == CLOSED))
    return row.step


def wanted_first(row: PieceAnswer) -> tuple[bool, bool, tuple[int, ...], int, tuple[tuple[int, int, str], ...]]:
    """Sorts the pieces that a tag and a copy number may mean: what counts, the newer revision, the further on."""
    newer = tuple(-ord(letter) for letter in row.rev)
    return not row.good, row.dead, (-rev_rank(row.rev)[0], *newer), -row.rank, natural(row.key)


# loads


@dataclass(slots=True)
class Plan:
    """What is on a load's list."""

    pieces: set[str] = field(default_factory=set)
    boxes: set[str] = field(default_factory=set)


def plans_of(standing: Iterable[Record], unplanned: Mapping[str, object]) -> dict[str, Plan]:
    """The load lists: plans that no unplan names."""
    plans: dict[str, Plan] = {}
    for record in standing:
        if record.verb == "plan" and record.nonce not in unplanned:
            plan = plans.setdefault(str(record.text("load")), Plan())
            (plan.pieces if record.piece else plan.boxes).add(str(record.subject))
    return plans


def loads_of(
    rows: Iterable[PieceAnswer], boxes: Mapping[str, BoxAnswer], plans: Mapping[str, Plan], loads: Iterable[str]
) -> dict[str, LoadAnswer]:
    """The lines of these loads. `rows` and `boxes`: all that are planned on them or came on them."""
    rows = [row for row in rows if not row.dead]
    return {load: _load(load, rows, plans.get(load, Plan()), boxes) for load in loads}


def _load(load: str, rows: Iterable[PieceAnswer], plan: Plan, boxes: Mapping[str, BoxAnswer]) -> LoadAnswer:
    on_list = {row.key: _planned(row, load, plan, boxes) for row in rows}
    found = {row.key: _status(row, load, on_list[row.key]) for row in rows}
    lines = {key: found[key] for key in sorted(found, key=natural)}
    counted = [status for key, status in lines.items() if on_list[key]]
    came = sum(key in boxes and (boxes[key].trip == load or load in boxes[key].trips) for key in plan.boxes)
    return LoadAnswer(
        load=load,
        lines={key: status for key, status in lines.items() if status is not None},
        n=sum(status in RODE for status in counted),
        m=sum(status not in OUT for status in counted),
        boxes=(came, len(plan.boxes)),
    )


def _planned(row: PieceAnswer, load: str, plan: Plan, boxes: Mapping[str, BoxAnswer]) -> bool:
    if row.key in plan.pieces:
        return True
    if row.trip == load and plan.boxes.intersection(row.rode):
        return True
    left = {note.box for note in row.notes_left} if row.rank < DROPPED or row.trip == load else set()
    return not plan.boxes.isdisjoint(left | set(_around(row, boxes)))


def _around(row: PieceAnswer, boxes: Mapping[str, BoxAnswer]) -> Iterator[str]:
    key, seen = row.box, set[str]()
    while key is not None and key not in seen:
        yield key
        seen.add(key)
        key = boxes[key].box if key in boxes else None


def _status(row: PieceAnswer, load: str, on_list: bool) -> str | None:
    if row.trip == load:
        return _status_aboard(row, on_list)
    if load in row.trips:
        return row.trips[load]
    return _status_elsewhere(row) if on_list else None


def _status_aboard(row: PieceAnswer, on_list: bool) -> str:
    if "SHORT" in row.flags:
        return "short"
    if not on_list:
        return "added" if row.loaded or "dropped" in row.seen else "extra"
    if STRUCK.intersection(row.flags) and row.rank < DROPPED:
        return "struck"
    if row.rank <= LOADED:
        return "aboard"
    return "dropped" if row.rank == DROPPED else "received"


def _status_elsewhere(row: PieceAnswer) -> str:
    if row.rank >= DROPPED or row.account is not None:
        return "closed"
    if STRUCK.intersection(row.flags):
        return "struck"
    if "SHORT" in row.flags:
        return "short"
    return f"on load {row.trip}" if row.rank == LOADED and row.trip is not None else "to follow"


def batches_of(rows: Iterable[PieceAnswer], closed: set[str], facts: Facts) -> dict[str, BatchAnswer]:
    """n bent of m for each batch; `closed`: those that the shop has closed."""
    members: dict[str, list[PieceAnswer]] = {}
    for row in rows:
        if row.batch is not None:
            members.setdefault(row.batch, []).append(row)
    return {batch: _batch(batch, found, batch in closed, facts) for batch, found in members.items()}


def _batch(batch: str, members: list[PieceAnswer], closed: bool, facts: Facts) -> BatchAnswer:
    unmade = [row.key for row in members if row.rank < (CUT if "bent" in facts.pieces[row.key].skip else BENT)]
    return BatchAnswer(batch, len(members) - len(unmade), len(members), tuple(sorted(unmade, key=natural)), closed)
