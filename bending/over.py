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
from typing import TYPE_CHECKING, Any

from bending import over_words
from bending.features import BoxOffset, Feature, Kick, Span
from bending.over_asked import Over
from bending.over_shapes import TOUCHING, Shape, Work, fixed, shapes
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


def _of_leg(run: Run, number: int, problems: list[Problem]) -> list[Pick]:
    """The picks of one leg: of all that fit beside each other those with the fewest bends, then the usual angles."""
    line, before = _line(run, number), len(problems)
    for work, offered in line:
        if work and not [shape for shape in offered if shape.fits]:
            problems.append(over_words.cant_be_made(work, offered))
    if len(problems) > before:
        return []
    chosen = _Search(line, problems).chosen()
    return [
        Pick(work.over.at, shape, over_words.why(work, offered, (chosen[n - 1], shape, chosen[n + 1])))
        for n, ((work, offered), shape) in enumerate(zip(line, chosen, strict=bool(chosen)))
        if work
    ]


_Line = list[tuple[Work | None, list[Shape]]]


def _line(run: Run, number: int) -> _Line:
    """What stands along a leg in order, from what it begins at to what it ends at, with what may stand there."""
    leg, span = run.legs[number], span_of(run, number)
    found: _Line = [(None, [_edge(run, number, span, "start")])]
    out, left = 0.0, 0.0
    for feature in sorted(leg.features, key=lambda one: _order(one, span)):
        if isinstance(feature, Over):
            work = Work(feature, span, out * math.cos(turn := math.radians(feature.turn)) + left * math.sin(turn))
            offered = list(shapes(work))
            level = feature.toward(work.rise) if feature.stay_up else (0.0, 0.0)
            found.append((work, offered))
        else:
            level = feature.level
            found.append((None, [fixed(feature, span)]))
        out, left = out + level[0], left + level[1]
    return [*found, (None, [_edge(run, number, span, "end")])]


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


class _Search:
    """Of every place along the leg the shape that costs least with all before it."""

    def __init__(self, line: _Line, problems: list[Problem]) -> None:
        self.line, self.problems = line, problems
        self.profile = next(work for work, _ in line if work).profile

    def chosen(self) -> list[Shape]:
        """One shape for each; none if nothing fits, which is then a problem."""
        first = self.line[0][1][0]
        alive: dict[int, tuple[Cost, list[Shape]]] = {0: (NO_COST, [first])}
        for number in range(1, len(self.line)):
            found = dict(self._step(number, alive))
            if not found:
                self._refuse(number, [ways[-1] for _, ways in alive.values()])
                return []
            alive = found
        return min(alive.values(), key=lambda one: one[0])[1]

    def _step(
        self, number: int, alive: dict[int, tuple[Cost, list[Shape]]]
    ) -> Iterator[tuple[int, tuple[Cost, list[Shape]]]]:
        for index, shape in enumerate(self.line[number][1]):
            if not shape.fits:
                continue
            ways = [(self._cost(cost, way[-1], shape), way) for cost, way in alive.values() if self._goes(way, shape)]
            if ways:
                cost, way = min(ways, key=lambda one: one[0])
                yield index, (cost, [*way, shape])

    def _goes(self, way: Sequence[Shape], shape: Shape) -> bool:
        """Two that were both told where to stand are none of ours to refuse."""
        given = way[-1].rank < 0 and shape.rank < 0
        return given or way[-1].short_of(shape, self.profile) <= TOUCHING

    def _cost(self, cost: Cost, before: Shape, shape: Shape) -> Cost:
        pinched = before.pinched(shape, self.profile) + shape.tight
        return cost[0] + pinched, cost[1] + shape.bends, cost[2] + max(shape.rank, 0)

    def _refuse(self, number: int, before: Sequence[Shape]) -> None:
        """The one that is least short is told of."""
        pairs = [(one, other) for one in before for other in self.line[number][1] if other.fits]
        one, other = min(pairs, key=lambda pair: pair[0].short_of(pair[1], self.profile))
        ours = number if self.line[number][0] else number - 1
        work = self.line[ours][0]
        assert work is not None
        self.problems.append(over_words.has_no_room(work, one, other))
