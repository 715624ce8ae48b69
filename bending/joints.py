"""Where a run is joined: at straights that have room for a coupling, and never where a joint is forbidden."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from bending import tables
from bending.lengths import format_length
from bending.path import Bend, Path
from bending.problems import Problem, Problems
from bending.run import Run
from bending.sticks import CLOSE, MOST_STICKS, Span, Stock, joints, least_stick, pieces, without

UNLIMITED = 1e9


class Part(NamedTuple):
    """The conduit between two fittings, or an end of the run: where it begins and ends, and its bends."""

    begins: float
    ends: float
    first: int
    last: int


def parts(path: Path) -> list[Part]:
    """The run cut at every fitting in its path, from its start on: inches along the centreline."""
    begins, first = [0.0, *(one.ends for one in path.breaks)], [0, *(one.bend + 1 for one in path.breaks)]
    ends = [*(one.begins for one in path.breaks), path.length]
    last = [*(one.bend for one in path.breaks), len(path.bends)]
    return [Part(*one) for one in zip(begins, ends, first, last, strict=True)]


def gap(run: Run) -> float:
    """What a joint leaves between two pieces: a coupling's stop, inches; 0 where threads meet."""
    return tables.coupling(run.raceway, run.size).gap


def split(run: Run, path: Path) -> list[list[Part]]:
    """Each part of a run as the sticks it is made of.

    Asked joints are kept, and what is left between them is split where it is longer than ``stick``: fewest pieces,
    then fewest cuts, then the longest single off-cut. A joint has the straight that its coupling needs on both sides,
    and wherever that can be had, what the bender needs to hold a bend beside it.

    Raises ``Problems``: ``out_of_range`` at ``joint_at`` and ``pull_points``; ``no_straight_for_joint``,
    ``joint_forbidden`` and ``joints_too_close`` at ``joint_at``; ``no_joint_place`` and ``too_many`` at ``stick``.
    """
    whole = parts(path)
    _refuse_past_the_end(run, path)
    if run.joint_at:
        _refuse_asked(run, path, whole)
    return [_split(run, path, part) for part in whole]


def _split(run: Run, path: Path, part: Part) -> list[Part]:
    stick, stock = run.stick or UNLIMITED, _stock(run)
    asked = sorted(place for place in run.joint_at if part.begins < place < part.ends)
    if not asked and part.ends - part.begins <= stick + CLOSE:
        return [part]
    joined = list(asked)
    for span in pieces((part.begins, part.ends), asked, stock.gap):
        joined += _joined(run, path, part, span)
    numbers = [bend.begins for bend in path.bends[part.first : part.last]]
    found, first = [], part.first
    for begins, ends in pieces((part.begins, part.ends), sorted(joined), stock.gap):
        last = part.first + bisect_left(numbers, ends)
        found.append(Part(begins, ends, first, last))
        first = last
    return found


def _stock(run: Run) -> Stock:
    coupling = tables.coupling(run.raceway, run.size)
    return Stock(run.stick or UNLIMITED, coupling.gap, 2 * coupling.room)


def _joined(run: Run, path: Path, part: Part, span: Span) -> list[float]:
    """Joints of one stretch between fittings, ends and asked joints."""
    stock = _stock(run)
    if span[1] - span[0] <= stock.stick + CLOSE:
        return []
    if stock.sticks(span[1] - span[0]) > MOST_STICKS:
        words = f"a run is made of at most {MOST_STICKS} sticks; this one takes {stock.sticks(span[1] - span[0])}"
        raise Problems([Problem("stick", "too_many", words)])
    for held in (True, False):
        found = joints(span, _places(run, path, part, held), stock)
        if found is not None:
            return found
    raise Problems([_no_place(span, _places(run, path, part, False), stock)])


def _places(run: Run, path: Path, part: Part, held: bool) -> list[Span]:
    """Where a piece of this part may end at a joint: straights less what a coupling takes; with ``held``, less what
    the bender needs beside its bends too."""
    coupling = tables.coupling(run.raceway, run.size)
    found = []
    for begins, ends, before, after in _straights(path, part):
        low = begins + max(coupling.room, _beside(run, before, "end") if held and before else 0.0)
        high = ends - coupling.gap - max(coupling.room, _beside(run, after, "start") if held and after else 0.0)
        if low <= high:
            found.append((low, high))
    kept_out = [(low - coupling.room - coupling.gap, high + coupling.room) for low, high in run.no_joint]
    return without(found, kept_out)


def _straights(path: Path, part: Part) -> Iterator[tuple[float, float, Bend | None, Bend | None]]:
    """Every straight of a part, with the bends before and after it."""
    bends = path.bends[part.first : part.last]
    for before, after in zip([None, *bends], [*bends, None], strict=True):
        yield before.ends if before else part.begins, after.begins if after else part.ends, before, after


def _beside(run: Run, bend: Bend, end: str) -> float:
    """The straight that the bender needs from a bend to a piece's ``end`` when it is pushed through: the hook's at the
    zero end, the heel's at the other."""
    profile = run.profile
    if end == run.zero:
        return profile.arrow_lead + (profile.hook_grip or 0.0)
    return profile.heel(bend.angle) or 0.0


def _no_place(span: Span, places: Sequence[Span], stock: Stock) -> Problem:
    """Where no joint can stand, and the stick that would do."""
    reach = span[0] + stock.stick
    words = f"no joint can stand so that every piece comes out of a {format_length(stock.stick)} stick"
    before = [high for _, high in places if high <= reach]
    after = [low for low, _ in places if low > reach]
    if before or after:
        near = [format_length(one) for one in (*before[-1:], *after[:1])]
        words += f": the nearest places to {format_length(reach)} from the run's start are at {' and '.join(near)}"
    needed = least_stick(span, places, stock)
    return Problem("stick", "no_joint_place", f"{words}. A stick of {format_length(needed)} would do.")


def _refuse_past_the_end(run: Run, path: Path) -> None:
    words = f"the run is {format_length(path.length)} long along its centreline"
    places = {"joint_at": run.joint_at, "pull_points": run.pull_points}
    past = [
        Problem(f"{key}[{number}]", "out_of_range", words)
        for key, found in places.items()
        for number, place in enumerate(found)
        if place >= path.length
    ]
    if past:
        raise Problems(past)


def _refuse_asked(run: Run, path: Path, whole: Sequence[Part]) -> None:
    """Every asked joint that can't stand where it is asked for."""
    found = [fault for number in range(len(run.joint_at)) if (fault := _fault(run, path, whole, number))]
    coupling = tables.coupling(run.raceway, run.size)
    order = sorted(range(len(run.joint_at)), key=lambda number: run.joint_at[number])
    for one, other in pairwise(order):
        if run.joint_at[other] - run.joint_at[one] < coupling.gap + 2 * coupling.room - CLOSE:
            words = f"two joints stand at least {format_length(coupling.gap + 2 * coupling.room)} apart"
            found.append(Problem(f"joint_at[{other}]", "joints_too_close", words))
    if found:
        raise Problems(found)


def _fault(run: Run, path: Path, whole: Sequence[Part], number: int) -> Problem | None:
    place, at = run.joint_at[number], f"joint_at[{number}]"
    spans = [span for part in whole for span in _places(run, path, part, False)]
    if _is_in(place, spans):
        return None
    anywhere = replace(run, no_joint=())
    if run.no_joint and _is_in(place, [span for part in whole for span in _places(anywhere, path, part, False)]):
        return Problem(at, "joint_forbidden", "no_joint keeps this place and its coupling free of joints")
    near = min((end for span in spans for end in span), key=lambda end: abs(end - place), default=None)
    offer = f": {format_length(near)} would do" if near is not None else ""
    return Problem(at, "no_straight_for_joint", f"a coupling has no straight of its own here{offer}")


def _is_in(place: float, spans: Sequence[Span]) -> bool:
    return any(low - CLOSE <= place <= high + CLOSE for low, high in spans)
