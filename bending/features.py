"""Features of a leg: what each is called, and where it puts its points of intersection.

A feature places its bends in the leg's own measure: ``along`` from the leg's start reference, and ``out`` and ``left``
from the level that the pipe has before it. All lengths are inches, all angles degrees.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from bending.bender import Profile


class Pi(NamedTuple):
    """A point of intersection in a leg's measure, with the feature or corner that it belongs to."""

    along: float
    out: float
    left: float
    at: str
    part: str


class Span(NamedTuple):
    """What a feature must know of its leg: its length and where the pipe begins and ends, from the start reference."""

    length: float
    begins: float
    ends: float
    profile: Profile


@dataclass(frozen=True, slots=True)
class Feature:
    """What all features have in common. ``at`` is its place in the document."""

    at: str
    angle: float
    turn: float
    rise: float

    kind = ""
    spot = "at"
    bends = 2

    def toward(self, distance: float) -> tuple[float, float]:
        """``distance`` along this feature's turn, as (out, left)."""
        angle = math.radians(self.turn)
        return distance * math.cos(angle), distance * math.sin(angle)

    @property
    def level(self) -> tuple[float, float]:
        """How far the pipe's level after the feature is from the one before it."""
        return 0.0, 0.0

    @property
    def begins_at(self) -> tuple[float, float]:
        """Where the leg's first point stands, from the leg's line, when this feature is at its start."""
        return 0.0, 0.0

    @property
    def run(self) -> float:
        """Along the leg, between the two points of intersection of one slope."""
        return self.rise / math.tan(math.radians(self.angle))

    def least_rise(self, profile: Profile) -> float:
        """The least rise that this angle makes: 2 R (1 - cos angle), where the two bends of a slope touch."""
        return 2 * profile.radius * (1 - math.cos(math.radians(self.angle)))

    def points(self, span: Span) -> tuple[Pi, ...]:
        """The points of intersection in order along the leg: inches along, out and left; each kind has its own."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class BoxOffset(Feature):
    """An offset at an end of the run, out to the knockout. ``tail`` is straight, from the cut end to the bend."""

    end: str
    tail: float

    kind = "box_offset"
    spot = "tail"

    @property
    def level(self) -> tuple[float, float]:
        return self.toward(self.rise) if self.end == "end" else (0.0, 0.0)

    @property
    def begins_at(self) -> tuple[float, float]:
        return self.toward(self.rise) if self.end == "start" else (0.0, 0.0)

    def points(self, span: Span) -> tuple[Pi, ...]:
        """Two: the near one a tangent past the tail, `rise` out at the end of the run."""
        out, left = self.toward(self.rise)
        near = self.tail + span.profile.tangent(self.angle)
        if self.end == "start":
            first = span.begins + near
            return Pi(first, out, left, self.at, "first"), Pi(first + self.run, 0.0, 0.0, self.at, "second")
        second = span.ends - near
        return Pi(second - self.run, 0.0, 0.0, self.at, "first"), Pi(second, out, left, self.at, "second")


@dataclass(frozen=True, slots=True)
class Offset(Feature):
    """Two equal bends; with ``side`` it is rolled. ``spot_along`` is from the leg's start reference or its end's."""

    spot_along: float
    from_end: bool
    holds: str
    level_meant: bool
    side: float

    kind = "offset"

    @property
    def true_rise(self) -> float:
        return math.hypot(self.rise, self.side)

    @property
    def level(self) -> tuple[float, float]:
        out, left = self.toward(self.rise)
        side_out, side_left = self.toward(self.side)
        return out - side_left, left + side_out

    @property
    def run(self) -> float:
        return self.true_rise / math.tan(math.radians(self.angle))

    def points(self, span: Span) -> tuple[Pi, ...]:
        """Two, `run` apart: the one that `holds` names stands where the offset is measured to."""
        spot = span.length - self.spot_along if self.from_end else self.spot_along
        tangent = span.profile.tangent(self.angle) if self.level_meant else 0.0
        first = spot + tangent if self.holds == "near" else spot - tangent - self.run
        out, left = self.level
        return Pi(first, 0.0, 0.0, self.at, "first"), Pi(first + self.run, out, left, self.at, "second")


@dataclass(frozen=True, slots=True)
class Saddle3(Feature):
    """Three bends; ``angle`` is the centre bend's. At the centre the finished conduit stands ``rise`` further out."""

    centre: float
    from_end: bool

    kind = "saddle3"
    spot = "centre"
    bends = 3

    def peak(self, radius: float) -> float:
        """How far out the centre bend's point of intersection stands: its arc passes that much inside."""
        return self.rise + radius * (1 / math.cos(math.radians(self.angle) / 2) - 1)

    def least_rise(self, profile: Profile) -> float:
        """The least rise of the outer slopes, of half the angle: 2 R (1 - cos(angle/2)), inches."""
        return 2 * profile.radius * (1 - math.cos(math.radians(self.angle) / 2))

    def points(self, span: Span) -> tuple[Pi, ...]:
        """Three: the middle one at the peak over `centre`, the outer ones on the leg."""
        centre = span.length - self.centre if self.from_end else self.centre
        peak = self.peak(span.profile.radius)
        spread = peak / math.tan(math.radians(self.angle) / 2)
        out, left = self.toward(peak)
        return (
            Pi(centre - spread, 0.0, 0.0, self.at, "first"),
            Pi(centre, out, left, self.at, "centre"),
            Pi(centre + spread, 0.0, 0.0, self.at, "last"),
        )


@dataclass(frozen=True, slots=True)
class Saddle4(Feature):
    """Four bends; the inner two at ``near`` and ``far`` (points of intersection, or where the pipe is level)."""

    begins: float
    ends: float
    from_end: bool
    level_meant: bool

    kind = "saddle4"
    spot = "from"
    bends = 4

    @property
    def near(self) -> float:
        """The inner bend nearer to the reference that the saddle is measured from."""
        return min(self.begins, self.ends)

    @property
    def far(self) -> float:
        return max(self.begins, self.ends)

    def points(self, span: Span) -> tuple[Pi, ...]:
        """Four: the inner two at their level, at `begins` and `ends`, the outer ones on the leg."""
        near, far = (span.length - self.far, span.length - self.near) if self.from_end else (self.near, self.far)
        if self.level_meant:
            tangent = span.profile.tangent(self.angle)
            near, far = near - tangent, far + tangent
        out, left = self.toward(self.rise)
        return (
            Pi(near - self.run, 0.0, 0.0, self.at, "first"),
            Pi(near, out, left, self.at, "second"),
            Pi(far, out, left, self.at, "third"),
            Pi(far + self.run, 0.0, 0.0, self.at, "fourth"),
        )


@dataclass(frozen=True, slots=True)
class Kick(Feature):
    """One bend that takes the leg off its line next to a corner; ``rise`` is centre to centre."""

    end: str

    kind = "kick"
    spot = "rise"
    bends = 1

    @property
    def level(self) -> tuple[float, float]:
        return self.toward(self.rise) if self.end == "end" else (0.0, 0.0)

    @property
    def begins_at(self) -> tuple[float, float]:
        return self.toward(self.rise) if self.end == "start" else (0.0, 0.0)

    def points(self, span: Span) -> tuple[Pi, ...]:
        """One, `run` before or past the corner that it stands beside."""
        along = span.ends - self.run if self.end == "end" else span.begins + self.run
        return (Pi(along, 0.0, 0.0, self.at, "kick"),)
