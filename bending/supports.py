"""Straps: on straights where one can sit, near every termination, and no farther apart than the code lets them be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from bending import tables
from bending.check import Check, check
from bending.codes import code
from bending.features import BoxOffset
from bending.lengths import format_length
from bending.path import Path
from bending.pieces import Piece
from bending.pulls import AUTHORITY
from bending.run import End, Run
from bending.sticks import CLOSE, Span, without

# From a box, cabinet, conduit body or other termination; and where the structure leaves no nearer place: inches.
FROM_END, EXCEPTION = 36.0, 60.0
APART = 120.0
# Half a strap, that it doesn't ride up on a bend. Common practice, no source.
HALF_STRAP = 0.5
SECTIONS = {"EMT": "358.30(A)", "IMC": "342.30", "RMC": "344.30"}


class Stretch(NamedTuple):
    """Conduit from one termination to the next: inches along the centreline, and how far the first and the last strap
    may stand from its ends."""

    begins: float
    ends: float
    near_start: float
    near_end: float


class Straps(NamedTuple):
    """Where straps stand along the centreline, and what no place was found for: each a code, words and whether the
    structure may excuse it."""

    positions: tuple[float, ...]
    missed: tuple[tuple[str, str], ...]


def straps(run: Run, path: Path, pieces: Sequence[Piece]) -> Straps:
    """The fewest straps that hold a run: the farthest place that is near enough, each time. Positions in inches along
    the developed centreline. Source: NFPA 70 (NEC) 358.30(A), 344.30, 342.30."""
    places, most = _places(run, path, pieces), _apart(run, path)
    positions: list[float] = []
    missed: list[tuple[str, str]] = []
    for stretch in _stretches(run, path, most):
        found = _placed(stretch, places, most)
        positions += found
        missed += _missed(stretch, found, most)
    return Straps(tuple(positions), tuple(missed))


def _apart(run: Run, path: Path) -> float:
    """A straight run of threaded conduit may have its supports farther apart."""
    straight = run.raceway in tables.THREADED and not any(bend.angle for bend in path.bends)
    return tables.support_span(run.size) if straight else APART


def _stretches(run: Run, path: Path, most: float) -> list[Stretch]:
    """A coupling is no termination: conduit that goes on past the run's end is held there by what it goes on as."""
    ends = [FROM_END if _terminates(end) else most for end in (run.start, run.end)]
    bodies = [one for one in path.breaks if one.fitting.pull_point]
    begins, until = [0.0, *(one.ends for one in bodies)], [*(one.begins for one in bodies), path.length]
    near = [ends[0], *(FROM_END for _ in bodies)], [*(FROM_END for _ in bodies), ends[1]]
    return [Stretch(*one) for one in zip(begins, until, *near, strict=True)]


def _terminates(end: End) -> bool:
    return "coupling" not in f"{end.to} {end.fitting}"


def _places(run: Run, path: Path, pieces: Sequence[Piece]) -> list[Span]:
    """Straights where a strap finds the surface: none within a feature, which stands off it, nor on a coupling."""
    found = [(low, high) for low, high in _straights(run, path) if low <= high]
    room = tables.coupling(run.raceway, run.size).room
    joints = [(one.ends - room, one.ends + one.gap + room) for one in pieces[:-1] if one.then is None]
    return without(found, joints)


def _straights(run: Run, path: Path) -> Iterator[Span]:
    offset = {one.end for one in run.features if isinstance(one, BoxOffset)}
    bends, low = path.bends, 0.0
    for number, straight in enumerate(path.straights):
        before, after = bends[number - 1] if number else None, bends[number] if number < len(bends) else None
        if before:
            low = before.ends - before.tangent + before.takes_after
        high = low + straight
        inside = before and after and before.at == after.at
        tail = (not before and "start" in offset) or (not after and "end" in offset)
        if not (inside or tail):
            yield (
                low + _margin(run, run.start if not before else None),
                high - _margin(run, run.end if not after else None),
            )


def _margin(run: Run, end: End | None) -> float:
    """A connector takes of the straight at its end."""
    room = tables.fitting_room(run.raceway, run.size) if end and end.fitting else None
    return max(HALF_STRAP, (room or 0.0) - HALF_STRAP)


def _placed(stretch: Stretch, places: Sequence[Span], most: float) -> list[float]:
    here, reach = stretch.begins, stretch.near_start
    free = [(max(low, stretch.begins), min(high, stretch.ends)) for low, high in places]
    free = [(low, high) for low, high in free if low <= high]
    found: list[float] = []
    while not found or found[-1] < stretch.ends - stretch.near_end - CLOSE:
        place = _next(free, here, here + reach, stretch.ends - stretch.near_end)
        if place is None:
            break
        found.append(place)
        here, reach = place, most
    return found


def _next(free: Sequence[Span], here: float, reach: float, last: float) -> float | None:
    """The farthest place up to ``reach``, or the first that serves as the last strap; where none is near enough, the
    next there is."""
    near = [(max(low, here), min(high, reach)) for low, high in free if low <= reach and high > here + CLOSE]
    serving = [max(low, last) for low, high in near if high >= last]
    beyond = [low for low, _ in free if low > reach]
    if serving:
        return serving[0]
    return near[-1][1] if near else beyond[0] if beyond else None


def _missed(stretch: Stretch, found: Sequence[float], most: float) -> Iterator[tuple[str, str]]:
    first, last = (found[0], found[-1]) if found else (stretch.ends, stretch.begins)
    for off, near, end in (
        (first - stretch.begins, stretch.near_start, stretch.begins),
        (stretch.ends - last, stretch.near_end, stretch.ends),
    ):
        if not found or off > near + CLOSE:
            yield "strap_place", _too_far(off if found else None, end, near)
    for one, other in pairwise(found):
        if other - one > most + CLOSE:
            words = (
                f"Between {format_length(one)} and {format_length(other)} along the run there is no place for a strap"
            )
            yield "strap_spacing", f"{words}; supports stand at most {format_length(most, feet=True)} apart."


def _too_far(off: float | None, end: float, near: float) -> str:
    nearest = f"the nearest place is {format_length(off)} away" if off is not None else "there is none at all"
    words = (
        f"No strap can sit on a straight within {format_length(near, feet=True)} of the termination at "
        f"{format_length(end)} along the run; {nearest}."
    )
    excused = off is not None and off <= EXCEPTION + CLOSE
    allows = " An unbroken length may go to 5 ft where the structure leaves no nearer place to fasten to."
    return words + allows if excused else words


def checks(run: Run, found: Straps) -> Iterator[Check]:
    """``strap_place`` and ``strap_spacing`` where no strap can sit; ``straps`` where all can."""
    source = code(run.edition, SECTIONS[run.raceway])
    for what, words in found.missed:
        yield check(what, "rule", f"{words} {AUTHORITY}", source)
    if not found.missed:
        words = f"{len(found.positions)} straps hold it: see the materials for where. {AUTHORITY}"
        yield check("straps", "ok", words, source)
