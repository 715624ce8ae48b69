"""The bends that may clear something, each with where it lies along its leg and what it lacks."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from bending.bender import Profile
from bending.features import Feature, Offset, Saddle3, Saddle4, Span
from bending.over_asked import Over
from bending.reading_obstructions import Obstruction

# The first that fits is taken: what hands are taught first, then the steeper for little room, the flatter for little
# rise. Common practice, no source.
ANGLES_OF_THREE = (45.0, 60.0, 30.0, 22.5, 15.0, 10.0, 5.0)
ANGLES = (30.0, 45.0, 22.5, 60.0, 15.0, 10.0, 5.0)
TOUCHING = 1e-9


class Work:
    """One ``over`` on its leg. ``level`` is how far off the leg's line the pipe is already, toward its turn: inches."""

    def __init__(self, over: Over, span: Span, level: float) -> None:
        self.over, self.span, self.level = over, span, level
        self.profile: Profile = span.profile
        self.thing: Obstruction = over.thing.placed(span.length)

    @cached_property
    def around(self) -> float:
        """How far the centreline keeps from an edge, or from the middle of what is round."""
        return self.thing.radius + self.thing.clear + self.profile.outside_diameter / 2

    @cached_property
    def rise(self) -> float:
        """From the pipe's level to where its underside clears the thing."""
        return self.thing.level + self.around - self.level

    @property
    def round_one(self) -> bool:
        """Whether one bend can go round it."""
        return self.thing.radius > 0 and self.around <= self.profile.radius and not self.over.stay_up

    @cached_property
    def offered(self) -> list[Shape]:
        """Everything that would clear it."""
        return list(shapes(self))

    @cached_property
    def usual(self) -> Shape | None:
        """The first that can be made with nothing beside it: the rest is seldom looked at."""
        return next((shape for shape in shapes(self) if shape.fits and not shape.tight), None)


@dataclass(frozen=True, slots=True)
class Shape:
    """Something along a leg, from the start of its first bend to the end of its last: inches from the leg's start
    reference, degrees. ``rank`` is how usual its angle is (0 first; -1 of what was told where to stand).

    ``lacks`` is how much straight its own bends want, ``over_largest`` that the shoe doesn't make its angle in one set,
    ``tight`` that an arrow falls on a bend of its own.
    """

    feature: Feature | None
    begins: float
    ends: float
    first: float
    last: float
    rank: int = -1
    lacks: float = 0.0
    over_largest: bool = False
    tight: bool = False
    edge: str = ""

    @property
    def bends(self) -> int:
        return self.feature.bends if self.feature else 0

    @property
    def made(self) -> Feature:
        """The feature of a shape that isn't an end."""
        assert self.feature is not None
        return self.feature

    @property
    def fits(self) -> bool:
        """Whether it can be made at all."""
        return self.lacks <= TOUCHING and not self.over_largest

    def short_of(self, after: Shape, profile: Profile) -> float:
        """How much straight is missing between this and what comes next: inches; negative if some is left."""
        least = profile.straight_between(self.last, after.first) if self.last and after.first else 0.0
        return self.ends + (least or 0.0) - after.begins

    def pinched(self, after: Shape, profile: Profile) -> bool:
        """Whether the usual order can't make both: no straight for the arrow, the hook or the heel."""
        straight = after.begins - self.ends
        if self.edge in ENDS and after.first:
            return straight < ENDS[self.edge](profile, after.first) - TOUCHING
        if after.edge in ENDS and self.last:
            return straight < ENDS[after.edge](profile, self.last) - TOUCHING
        return bool(self.last and after.first) and straight < lead(profile) - TOUCHING

    def document(self) -> dict[str, Any]:
        """What a run/1 document would ask for to have it."""
        made = self.made
        if isinstance(made, Saddle3):
            places: dict[str, Any] = {"centre": made.centre}
        elif isinstance(made, Saddle4):
            places = {"from": made.begins, "to": made.ends, "at_is": "level"}
        elif isinstance(made, Offset):
            places = {"at": made.spot_along, "holds": "far", "at_is": "level"}
        else:
            raise ValueError(f"no over becomes a {made.kind}")
        told = {"kind": made.kind, "angle": made.angle, "rise": made.rise, "turn": made.turn, **places}
        return {**told, "from_end": True} if made.from_end else told


def lead(profile: Profile) -> float:
    """Straight that an arrow's mark wants after the bend before it: inches."""
    return max(profile.arrow_lead, 0.0) if "arrow" in profile.marks else 0.0


def _grip(profile: Profile, angle: float) -> float:
    return (profile.hook_grip or 0.0) + lead(profile)


def _heel(profile: Profile, angle: float) -> float:
    return profile.heel(angle) or 0.0


# Straight that is wanted at an end of the pipe: for the hook at the zero end, for the heel at the other.
ENDS = {"zero": _grip, "far": _heel}


def fixed(feature: Feature, span: Span) -> Shape:
    """A feature that was told where to stand."""
    points = feature.points(span)
    angle = feature.angle / 2 if feature.kind == "saddle3" else feature.angle
    tangent = span.profile.tangent(angle)
    return Shape(feature, points[0].along - tangent, points[-1].along + tangent, angle, angle)


def shapes(work: Work) -> Iterator[Shape]:
    """Everything that would clear it, the fewest bends first, fit or not; nothing where nothing needs clearing."""
    if work.rise <= 0:
        return
    told = (work.over.angle,) if work.over.angle else None
    if work.round_one:
        for rank, angle in enumerate(told or ANGLES_OF_THREE):
            yield _three(work, angle, rank)
    for rank, angle in enumerate(told or ANGLES):
        yield _offset(work, angle, rank) if work.over.stay_up else _four(work, angle, rank)


def _wants(profile: Profile, angle: float, other: float) -> float:
    return profile.straight_between(angle, other) or 0.0


def _too_large(profile: Profile, angle: float) -> bool:
    return profile.largest_angle is not None and angle > profile.largest_angle + TOUCHING


def _three(work: Work, angle: float, rank: int) -> Shape:
    profile, half, middle = work.profile, angle / 2, work.thing.middle
    over, length = work.over, work.span.length
    from_end = over.thing.from_end
    made = Saddle3(over.at, angle, over.turn, work.rise, length - middle if from_end else middle, from_end)
    peak, slope = made.peak(profile.radius), math.radians(half)
    outer = profile.tangent(half)
    straight = peak / math.sin(slope) - outer - profile.tangent(angle)
    reach = peak / math.tan(slope) + outer
    lacks, tight = _wants(profile, half, angle) - straight, straight < lead(profile) - TOUCHING
    return Shape(made, middle - reach, middle + reach, half, half, rank, lacks, _too_large(profile, angle), tight)


def _past(work: Work, angle: float) -> float:
    """How far past an edge, or a middle, the level conduit goes before it may bend."""
    return max(0.0, work.around - work.profile.radius) * math.tan(math.radians(angle) / 2)


def _slope(work: Work, angle: float) -> tuple[float, float]:
    """One slope's straight, and what it takes of the leg from its first bend's start to its second's end."""
    tangent, slope = work.profile.tangent(angle), math.radians(angle)
    return work.rise / math.sin(slope) - 2 * tangent, work.rise / math.tan(slope) + 2 * tangent


def _four(work: Work, angle: float, rank: int) -> Shape:
    profile, over, length = work.profile, work.over, work.span.length
    straight, takes = _slope(work, angle)
    wants, past = _wants(profile, angle, angle), _past(work, angle)
    low, high = (work.thing.middle,) * 2 if work.thing.radius else (work.thing.begins, work.thing.ends)
    past += max(0.0, max(wants, lead(profile)) - (high - low + 2 * past)) / 2
    near, far, from_end = low - past, high + past, over.thing.from_end
    ends = (length - near, length - far) if from_end else (near, far)
    made = Saddle4(over.at, angle, over.turn, work.rise, *ends, from_end, True)
    lacks, tight = wants - straight, straight < lead(profile) - TOUCHING
    return Shape(made, near - takes, far + takes, angle, angle, rank, lacks, _too_large(profile, angle), tight)


def _offset(work: Work, angle: float, rank: int) -> Shape:
    """It rises before the thing, and is level from there on."""
    profile, over, length = work.profile, work.over, work.span.length
    straight, takes = _slope(work, angle)
    near = (work.thing.middle if work.thing.radius else work.thing.begins) - _past(work, angle)
    from_end = over.thing.from_end
    spot = length - near if from_end else near
    made = Offset(over.at, angle, over.turn, work.rise, spot, from_end, "far", True, 0.0)
    lacks, tight = _wants(profile, angle, angle) - straight, straight < lead(profile) - TOUCHING
    return Shape(made, near - takes, near, angle, angle, rank, lacks, _too_large(profile, angle), tight)
