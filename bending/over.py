"""Picks the bends that clear something: a three-bend saddle, a four-bend, or an offset that stays up.

A conduit's centreline keeps d = outside radius + clearance (+ the radius of what is round) from an edge or a middle.
A four-bend that is level across it does so on its slopes too if each end of the level stands
max(0, d - R) tan(angle/2) past it; a three-bend goes round a middle with one bend of radius R where d is not over R.
Source: geometry, NOMENCLATURE.md.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from bending import over_words
from bending.bender import Profile
from bending.features import BoxOffset, Feature, Kick, Span
from bending.over_asked import Over
from bending.over_shapes import TOUCHING, Shape, Work, fixed
from bending.problems import Problem, Problems
from bending.reading_path import Leg
from bending.walk import corner_bend, span_of

if TYPE_CHECKING:
    from bending.run import Run

Cost = tuple[int, int, int]
NO_COST: Cost = (0, 0, 0)


@dataclass(frozen=True, slots=True)
class Pick:
    """What an ``over`` became: an ordinary feature, from where it leaves the pipe's level to where it is done (inches
    along the leg from its start reference), and why."""

    at: str
    shape: Shape
    why: str

    def as_json(self) -> dict[str, Any]:
        """``feature`` is what a run/1 document would ask for to have the same bends."""
        feature = self.shape.made
        return {
            "at": self.at,
            "kind": feature.kind,
            "angle": feature.angle,
            "rise": round(feature.rise, 9),
            "from": round(self.shape.begins, 9),
            "to": round(self.shape.ends, 9),
            "feature": self.shape.document(),
            "why": self.why,
        }


def resolved(run: Run) -> Run:
    """The run with an ordinary feature for every ``over``, what it clears among its leg's obstructions, and the picks.

    Inches and degrees. Raises ``Problems`` at every ``over`` that nothing fits, with what is missing and what would.
    Cost is linear in the number of features.
    """
    if not any(isinstance(feature, Over) for feature in run.features):
        return run
    problems, picks, legs = list[Problem](), list[Pick](), list[Leg]()
    for number, leg in enumerate(run.legs):
        found = _of_leg(run, number, problems) if any(isinstance(one, Over) for one in leg.features) else []
        picks += found
        legs.append(_with(leg, found))
    if problems:
        raise Problems(problems)
    return replace(run, legs=tuple(legs), picked=tuple(picks))


def _with(leg: Leg, picks: Sequence[Pick]) -> Leg:
    features = {pick.at: pick.shape.made for pick in picks}
    if not features:
        return leg
    cleared = tuple(one.thing.placed(leg.length) for one in leg.features if isinstance(one, Over))
    standing = tuple(features.get(one.at, one) for one in leg.features)
    return replace(leg, features=standing, obstructions=leg.obstructions + cleared)


@dataclass(frozen=True, slots=True)
class _Place:
    """Something along a leg: an ``over``, or what was told where to stand."""

    work: Work | None
    told: Shape | None = None

    @property
    def offered(self) -> Sequence[Shape]:
        """What may stand there."""
        if self.work:
            return self.work.offered
        assert self.told is not None
        return (self.told,)

    @property
    def usual(self) -> Shape | None:
        """What stands there if its neighbours let it."""
        return self.work.usual if self.work else self.told


def _of_leg(run: Run, number: int, problems: list[Problem]) -> list[Pick]:
    """The picks of one leg: of all that fit beside each other those with the fewest bends, then the usual angles."""
    line, before = _line(run, number), len(problems)
    for place in line:
        if place.work and not place.usual and not any(shape.fits for shape in place.offered):
            problems.append(over_words.cant_be_made(place.work))
    if len(problems) > before:
        return []
    chosen = _all_usual(line, run.profile) or _Search(line, run.profile, problems).chosen()
    return [
        Pick(place.work.over.at, shape, over_words.why(place.work, (chosen[n - 1], shape, chosen[n + 1])))
        for n, (place, shape) in enumerate(zip(line, chosen, strict=bool(chosen)))
        if place.work
    ]


def _line(run: Run, number: int) -> list[_Place]:
    """What stands along a leg in order, from what it begins at to what it ends at."""
    leg, span = run.legs[number], span_of(run, number)
    found = [_Place(None, _edge(run, number, span, "start"))]
    out, left = 0.0, 0.0
    for feature in sorted(leg.features, key=lambda one: _order(one, span)):
        level = feature.level
        if isinstance(feature, Over):
            work = Work(feature, span, out * math.cos(turn := math.radians(feature.turn)) + left * math.sin(turn))
            level = feature.toward(work.rise) if feature.stay_up else (0.0, 0.0)
            found.append(_Place(work))
        else:
            found.append(_Place(None, fixed(feature, span)))
        out, left = out + level[0], left + level[1]
    return [*found, _Place(None, _edge(run, number, span, "end"))]


def _order(feature: Feature, span: Span) -> tuple[int, float, str]:
    """As they lie; what belongs to an end is at that end."""
    if isinstance(feature, BoxOffset | Kick):
        return (-1 if feature.end == "start" else 1), 0.0, feature.at
    if isinstance(feature, Over):
        return 0, feature.thing.placed(span.length).middle, feature.at
    points = feature.points(span)
    return 0, (points[0].along + points[-1].along) / 2, feature.at


def _edge(run: Run, number: int, span: Span, end: str) -> Shape:
    """An end of the leg as a neighbour: the end of the pipe, or what the corner there takes of the leg."""
    beside = number - 1 if end == "start" else number
    if not 0 <= beside < len(run.corners):
        here = span.begins if end == "start" else span.ends
        name = "zero" if end == run.zero else "far"
        return Shape(None, here, here, 0.0, 0.0, edge=name)
    corner, angle = run.corners[beside], corner_bend(run, beside)
    takes = corner.reach(run.profile, angle, "after" if end == "start" else "before")
    if run.legs[number].kick(end):
        takes = 0.0
    shot = 0.0 if corner.fitting else angle / corner.count(angle)
    here = span.begins + takes if end == "start" else span.ends - takes
    return Shape(None, here, here, shot, shot, edge="fitting" if corner.fitting else "corner")


def _all_usual(line: Sequence[_Place], profile: Profile) -> list[Shape]:
    """What would be taken with nothing beside it, if that goes together: nothing costs less. Empty if it doesn't."""
    found = [shape for place in line if (shape := place.usual)]
    if len(found) < len(line):
        return []
    for one, other in pairwise(found):
        if not _goes(one, other, profile) or (max(one.rank, other.rank) >= 0 and one.pinched(other, profile)):
            return []
    return found


def _goes(one: Shape, other: Shape, profile: Profile) -> bool:
    """Two that were both told where to stand are none of ours to refuse."""
    return max(one.rank, other.rank) < 0 or one.short_of(other, profile) <= TOUCHING


class _Search:
    """Of every place along the leg the shape that costs least with all before it."""

    def __init__(self, line: Sequence[_Place], profile: Profile, problems: list[Problem]) -> None:
        self.line, self.profile, self.problems = line, profile, problems

    def chosen(self) -> list[Shape]:
        """One shape for each; none if nothing fits, which is then a problem."""
        alive: list[tuple[Cost, list[Shape]]] = [(NO_COST, [self.line[0].offered[0]])]
        for number in range(1, len(self.line)):
            found = list(self._step(number, alive))
            if not found:
                self._refuse(number, [way[-1] for _, way in alive])
                return []
            alive = found
        return min(alive, key=lambda one: one[0])[1]

    def _step(self, number: int, alive: list[tuple[Cost, list[Shape]]]) -> Iterator[tuple[Cost, list[Shape]]]:
        """For each that may stand at a place, the best of the ways that lead to it."""
        for shape in self.line[number].offered:
            ways = [
                (self._cost(cost, way[-1], shape), way)
                for cost, way in alive
                if shape.fits and _goes(way[-1], shape, self.profile)
            ]
            if ways:
                cost, way = min(ways, key=lambda one: one[0])
                yield cost, [*way, shape]

    def _cost(self, cost: Cost, before: Shape, shape: Shape) -> Cost:
        pinched = before.pinched(shape, self.profile) + shape.tight
        return cost[0] + pinched, cost[1] + shape.bends, cost[2] + max(shape.rank, 0)

    def _refuse(self, number: int, before: Sequence[Shape]) -> None:
        """The one that is least short is told of."""
        pairs = [(one, other) for one in before for other in self.line[number].offered if other.fits]
        one, other = min(pairs, key=lambda pair: pair[0].short_of(pair[1], self.profile))
        work = self.line[number].work or self.line[number - 1].work
        assert work is not None
        self.problems.append(over_words.has_no_room(work, one, other))
