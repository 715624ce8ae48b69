"""The orders that a piece can be bent in: which bend comes when, on which mark, with the hook which way.

Every order makes the same bends at the same stations. A bend that an order has no rule of its own for is pushed
through: on the arrow, hook toward the zero end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from bending.bender import ORDERS, Profile
from bending.marks import Mark, Marked
from bending.path import Bend, Path
from bending.pieces import Piece
from bending.run import Run

# Two 90s are told from other bends by no more than this, degrees.
SAME_ANGLE = 1e-6
FAR = {"start": "end", "end": "start"}


class Set(NamedTuple):
    """One bend as it is set: its number, the mark, the way the hook faces, the end its mark is measured from, and the
    number of the finished bend whose back its mark is measured from (-1: none)."""

    bend: int
    mark: str
    hook: str
    zero: str
    behind: int = -1


Plan = tuple[Set, ...]


def marked(run: Run, path: Path, piece: Piece) -> Marked:
    """A piece with the marks of its order."""
    return Marked(piece, marks_of(run.profile, path, piece, plan(path, piece, piece.order)))


def plan(path: Path, piece: Piece, order: str) -> Plan:
    """The bends of a piece in one of ``ORDERS``, as each is set. Raises ``ValueError`` for another order."""
    if order not in ORDERS:
        raise ValueError(f"no such order: {order}")
    numbers = range(piece.first, piece.last)
    return tuple(_PLANS[order](path.bends, numbers if piece.zero == "start" else numbers[::-1], piece.zero))


def plans(path: Path, piece: Piece) -> Mapping[str, Plan]:
    """Every order's plan for a piece."""
    return {order: plan(path, piece, order) for order in ORDERS}


def _push_through(bends: Sequence[Bend], numbers: Sequence[int], zero: str) -> Iterator[Set]:
    """From the zero end on."""
    return (Set(number, "arrow", zero, zero) for number in numbers)


def _last_turned(bends: Sequence[Bend], numbers: Sequence[int], zero: str) -> Iterator[Set]:
    """The last bend with the bender turned round, for a far leg that has no room for the heel.

    It is set on the arrow, which a shoe has a measured lead for at every angle.
    """
    yield from _push_through(bends, numbers[:-1], zero)
    if numbers:
        yield Set(numbers[-1], "arrow", FAR[zero], zero)


def _centre_out(bends: Sequence[Bend], numbers: Sequence[int], zero: str) -> Iterator[Set]:
    """A three-bend saddle's centre on the notch, then its outer bends with the hooks toward the centre."""
    for _, group in groupby(numbers, key=lambda number: bends[number].at):
        feature = list(group)
        centre = next((number for number in feature if bends[number].part == "centre"), None)
        if centre is None:
            yield from _push_through(bends, feature, zero)
            continue
        yield Set(centre, "notch", zero, zero)
        place = feature.index(centre)
        yield from (Set(number, "arrow", FAR[zero], zero) for number in feature[:place])
        yield from _push_through(bends, feature[place + 1 :], zero)


def _back_to_back(bends: Sequence[Bend], numbers: Sequence[int], zero: str) -> Iterator[Set]:
    """A 90 next to a 90: on the star, laid out from the finished one's back, the hook away from it."""
    before = -1
    for number in numbers:
        if before >= 0 and _square(bends[before]) and _square(bends[number]):
            yield Set(number, "star", FAR[zero], zero, before)
        else:
            yield Set(number, "arrow", zero, zero)
        before = number


def _square(bend: Bend) -> bool:
    return abs(bend.angle - 90) < SAME_ANGLE


def _end_for_end(bends: Sequence[Bend], numbers: Sequence[int], zero: str) -> Iterator[Set]:
    """Up to the longest straight from the one end, the others from the other end.

    A feature's bends, and a segment bend's shots, stay with one zero: their distance is theirs alone. Of equal
    straights the first from the zero end.
    """
    breaks = [place for place in range(1, len(numbers)) if bends[numbers[place - 1]].at != bends[numbers[place]].at]
    place = max(breaks, key=lambda one: _apart(bends[numbers[one - 1]], bends[numbers[one]]), default=len(numbers))
    yield from _push_through(bends, numbers[:place], zero)
    yield from _push_through(bends, numbers[place:][::-1], FAR[zero])


def _apart(one: Bend, other: Bend) -> float:
    return max(other.begins - one.ends, one.begins - other.ends)


def _centres(bends: Sequence[Bend], numbers: Sequence[int], zero: str) -> Iterator[Set]:
    """The middle of every bend on the middle of the shoe."""
    return (Set(number, "centre", "none", zero) for number in numbers)


_PLANS: Mapping[str, Callable[[Sequence[Bend], Sequence[int], str], Iterator[Set]]] = {
    "push-through": _push_through,
    "last-turned": _last_turned,
    "centre-out": _centre_out,
    "back-to-back": _back_to_back,
    "end-for-end": _end_for_end,
    "centres": _centres,
}


def marks_of(profile: Profile, path: Path, piece: Piece, planned: Plan) -> tuple[Mark, ...]:
    """The marks of a plan on its piece."""
    leads = {"arrow": profile.arrow_lead, "notch": -profile.arc(45) / 2, "star": _star_lead(profile)}
    found: dict[int, Mark] = {}
    for step, one in enumerate(planned, start=1):
        bend = path.bends[one.bend]
        station = _station(one, bend, leads) - piece.begins
        behind = found.get(one.behind)
        at = station if one.zero == "start" else piece.length - station
        if behind is not None:
            at = _from_back(profile, path.bends[one.behind], one.zero, station + piece.begins)
        found[one.bend] = Mark(step, one.bend, station, at, one.zero, one.mark, one.hook, behind)
    return tuple(found.values())


def _star_lead(profile: Profile) -> float:
    """How far past the star, away from the hook, a bend begins."""
    return profile.radius + profile.outside_diameter / 2 - profile.arc(90)


def _station(one: Set, bend: Bend, leads: Mapping[str, float]) -> float:
    """Where a mark stands along the run."""
    if one.hook == "start":
        return bend.begins - leads[one.mark]
    if one.hook == "end":
        return bend.ends + leads[one.mark]
    return (bend.begins + bend.ends) / 2


def _from_back(profile: Profile, finished: Bend, zero: str, station: float) -> float:
    """From a finished bend's back, along the straight beside it, to a mark farther from the zero end."""
    short = (profile.radius + profile.outside_diameter / 2) * math.tan(math.radians(finished.angle) / 2)
    if zero == "start":
        return station - finished.ends + short
    return finished.begins + short - station
