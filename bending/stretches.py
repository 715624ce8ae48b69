"""From one point of intersection to the next, with the shots of segment bends cut in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from bending.corners import Corner, inset, spacing
from bending.features import Pi
from bending.vectors import Frame, Vector, add, blend, dot, length, scaled

if TYPE_CHECKING:
    from bending.run import Run

# Sine of the smallest turn that has a direction, and the cosine past which a bend has no point of intersection.
NO_BEND = 1e-12
FULLY_BACK = 0.999


class Stretch(NamedTuple):
    """From one point of intersection to the next, in its leg's measure."""

    leg: int
    along: float
    vector: Vector
    direction: Vector
    size: float
    pi: Pi

    def shorter(self, by: float) -> Stretch:
        """The same with so many inches taken off."""
        return self._replace(vector=add(self.vector, self.direction, -by), size=self.size - by)


class Turn(NamedTuple):
    """One corner among the stretches: the numbers of its first and last bend, how far its points of intersection
    stand inside where the legs' lines cross, and its angle (None for a bend that is walked as it comes)."""

    first: int
    last: int
    inset: float
    angle: float | None


def stretches_of(number: int, pis: Sequence[Pi], frame: Frame) -> list[Stretch]:
    """The stretches of leg ``number`` between its points."""
    found = []
    for one, other in pairwise(pis):
        along, out, left = other.along - one.along, other.out - one.out, other.left - one.left
        size = math.sqrt(along * along + out * out + left * left)
        vector = add(blend(frame.t, along, frame.u, out), frame.left, left)
        direction = scaled(vector, 1 / size) if size > 0 else frame.t
        found.append(Stretch(number, along, vector, direction, size, other))
    return found


def with_shots(run: Run, stretches: Sequence[Stretch]) -> tuple[list[Stretch], list[Turn]]:
    """The stretches with a chord between each two shots of a segment bend, and every corner in turn."""
    found, turns, spent = list[Stretch](), list[Turn](), 0.0
    for one, following in pairwise(stretches):
        found.append(one.shorter(spent) if spent else one)
        spent = 0.0
        if one.pi.part == "end":
            first = len(found) - 1
            spent, angle, chords = _shots(run.corners[one.leg], one, following.direction)
            if chords:
                found[-1] = found[-1].shorter(spent)
                found += chords
            turns.append(Turn(first, len(found) - 1, spent, angle))
    found.append(stretches[-1].shorter(spent) if spent else stretches[-1])
    return found, turns


def _shots(corner: Corner, stretch: Stretch, ahead: Vector) -> tuple[float, float | None, list[Stretch]]:
    """What the shots take from both legs, their whole angle, and the chords between them."""
    if not corner.segment or corner.radius is None:
        return 0.0, None, []
    way = stretch.direction
    cosine, across = dot(way, ahead), add(ahead, way, -dot(way, ahead))
    sine = length(across)
    if sine < NO_BEND or cosine < -FULLY_BACK:
        return 0.0, None, []
    angle, inside = math.degrees(math.atan2(sine, cosine)), scaled(across, 1 / sine)
    shots = corner.count(angle)
    chord = spacing(corner.radius, angle, shots)
    ways = [math.radians(angle * shot / shots) for shot in range(1, shots)]
    directions = [blend(way, math.cos(turned), inside, math.sin(turned)) for turned in ways]
    chords = [stretch._replace(along=chord, vector=scaled(one, chord), direction=one, size=chord) for one in directions]
    return inset(corner.radius, angle, shots), angle, chords
