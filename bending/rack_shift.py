"""Where the pipes of a rack go that lie beside number 1: what each of its legs, features and corners becomes.

Beside every straight of number 1 lies a neighbour's, moved square to it by the same vector in the carried frame. Where
two straights q and q' away from theirs meet, their point of intersection moves by x along the one and y along the
other: q' - q = x t - y t'. In the plane of the bend that is -s tan(turn/2) and s tan(turn/2), with s the spacing
toward the inside; square to it, nothing. Source: geometry; Porcupine Press, Parallel bends.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from bending.features import Kick, Span
from bending.run import Run
from bending.vectors import Frame, Vector, add, blend, cross, dot, length, scaled
from bending.walk import leg_frames, span_of

# Sine squared under which two directions are one.
STRAIGHT_ON = 1e-12
IN_ONE_PLANE = 1e-9

Offset = tuple[float, float]


class Way(NamedTuple):
    """A straight of number 1: its direction, and the vector from it to its neighbour's (inches)."""

    along: Vector
    aside: Vector


@dataclass(frozen=True, slots=True)
class LegMove:
    """What one leg becomes: inches. ``origin`` is where the pipe's own start reference stands, from number 1's, carried
    square across; ``kicks`` are the rises of the kicks at its ends."""

    origin: float
    length: float
    kicks: dict[str, float]


@dataclass(frozen=True, slots=True)
class CornerMove:
    """How far the pipe lies toward the inside of a corner, in its plane (negative: outside): inches."""

    inward: float


class _Meeting(NamedTuple):
    """How far a point of intersection moves along the straight before it and along the one after it."""

    before: float
    after: float


_STILL = _Meeting(0.0, 0.0)


def moves(run: Run, other: Run, offset: Offset) -> tuple[list[LegMove], list[CornerMove]]:
    """Every leg and corner of number 1's ``run`` for the pipe whose centre lies ``offset`` from it (inches out and to
    the left). ``other`` is the same run on that pipe's own size."""
    frames = leg_frames(run)
    levels = [_beside(frame, offset) for frame in frames]
    leaving = [_leaving(run, number, frames, levels, offset) for number in range(len(run.legs))]
    arriving = [_arriving(run, number, frames, levels, offset) for number in range(len(run.legs))]
    corners = [_meeting(arriving[n], leaving[n + 1]) for n in range(len(run.corners))]
    ends = [*corners, _STILL]
    begins = [_STILL, *corners]
    legs = [
        _leg((run, other), number, (leaving[number], levels[number], arriving[number]), (begins[number], ends[number]))
        for number in range(len(run.legs))
    ]
    inward = [CornerMove(_inward(arriving[n], leaving[n + 1].along)) for n in range(len(run.corners))]
    return legs, inward


def toward(offset: Offset, turn: float) -> float:
    """How far a pipe lies from number 1 toward a feature's turn, in the rack's plane alone: inches.

    What it lies further out, because it is thicker and rests on the same surface, moves no feature along.
    """
    return offset[1] * math.sin(math.radians(turn))


def _beside(frame: Frame, offset: Offset) -> Way:
    return Way(frame.t, blend(frame.u, offset[0], frame.left, offset[1]))


def _arriving(run: Run, number: int, frames: list[Frame], levels: list[Way], offset: Offset) -> Way:
    """The straight that ends at a leg's far corner."""
    kick = run.legs[number].kick("end")
    return _beside(frames[number].carried(kick.angle, kick.turn), offset) if kick else levels[number]


def _leaving(run: Run, number: int, frames: list[Frame], levels: list[Way], offset: Offset) -> Way:
    """The straight that begins at a leg's near corner. On a slope before a kick it lies where it meets both others."""
    kick, level = run.legs[number].kick("start"), levels[number]
    if not kick or number == 0:
        return level
    before, frame, slope = _arriving(run, number - 1, frames, levels, offset), frames[number], math.radians(kick.angle)
    ahead = blend(frame.t, math.cos(slope), frame.toward(kick.turn), -math.sin(slope))
    one, other = cross(before.along, ahead), cross(ahead, frame.t)
    if length(one) < IN_ONE_PLANE:
        return Way(ahead, _untwisted(level, ahead))
    one, other = scaled(one, 1 / length(one)), scaled(other, 1 / length(other))
    share, wants = dot(one, other), (dot(before.aside, one), dot(level.aside, other))
    left = 1 - share * share
    if left < IN_ONE_PLANE:
        return Way(ahead, _untwisted(level, ahead))
    first, second = (wants[0] - share * wants[1]) / left, (wants[1] - share * wants[0]) / left
    return Way(ahead, blend(one, first, other, second))


def _untwisted(level: Way, ahead: Vector) -> Vector:
    """The vector beside a leg, turned back onto a straight before it without twist."""
    cosine = dot(level.along, ahead)
    inside = add(ahead, level.along, -cosine)
    sine = length(inside)
    if sine < IN_ONE_PLANE:
        return level.aside
    inside = scaled(inside, 1 / sine)
    part = dot(level.aside, inside)
    return add(add(level.aside, inside, part * (cosine - 1)), level.along, -part * sine)


def _meeting(before: Way, after: Way) -> _Meeting:
    cosine = dot(before.along, after.along)
    left = 1 - cosine * cosine
    if left < STRAIGHT_ON:
        return _STILL
    apart = add(after.aside, before.aside, -1.0)
    one, other = dot(apart, before.along), dot(apart, after.along)
    moved = (one - cosine * other) / left
    return _Meeting(moved, moved * cosine - other)


def _inward(before: Way, after: Vector) -> float:
    inside = add(after, before.along, -dot(after, before.along))
    size = length(inside)
    return dot(before.aside, inside) / size if size * size > STRAIGHT_ON else 0.0


def _leg(runs: tuple[Run, Run], number: int, ways: tuple[Way, Way, Way], ends: tuple[_Meeting, _Meeting]) -> LegMove:
    run, other = runs
    span, own = span_of(run, number), span_of(other, number)
    leg, kicks = run.legs[number], dict[str, float]()
    begins = span.begins + ends[0].after
    if kick := leg.kick("start"):
        kicks["start"], begins = _start_kick(kick, span, ways, ends[0])
    finishes = span.ends + ends[1].before
    if kick := leg.kick("end"):
        kicks["end"], finishes = _end_kick(kick, span, ways, ends[1])
    origin = begins - own.begins
    return LegMove(origin, finishes + (own.length - own.ends) - origin, kicks)


def _start_kick(kick: Kick, span: Span, ways: tuple[Way, Way, Way], corner: _Meeting) -> tuple[float, float]:
    """Its rise, and where its corner's point of intersection stands along the leg's line."""
    slope, moved = math.radians(kick.angle), _meeting(ways[0], ways[1])
    size = kick.rise / math.sin(slope) - corner.after + moved.before
    return size * math.sin(slope), span.begins + kick.run + moved.after - size * math.cos(slope)


def _end_kick(kick: Kick, span: Span, ways: tuple[Way, Way, Way], corner: _Meeting) -> tuple[float, float]:
    slope, moved = math.radians(kick.angle), _meeting(ways[1], ways[2])
    size = kick.rise / math.sin(slope) + corner.before - moved.after
    return size * math.sin(slope), span.ends - kick.run + moved.before + size * math.cos(slope)
