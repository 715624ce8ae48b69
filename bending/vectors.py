"""Three numbers at a time, and the frame that a pipe carries along."""

from __future__ import annotations

import math
from typing import NamedTuple

Vector = tuple[float, float, float]
ORIGIN: Vector = (0.0, 0.0, 0.0)


class Frame(NamedTuple):
    """Travel, out and left: three unit vectors square to each other, with left = out x travel."""

    t: Vector
    u: Vector
    left: Vector

    def toward(self, turn: float) -> Vector:
        """The unit vector ``turn`` degrees from out toward left."""
        angle = math.radians(turn)
        return blend(self.u, math.cos(angle), self.left, math.sin(angle))

    def carried(self, angle: float, turn: float) -> Frame:
        """The frame after a bend of ``angle`` degrees toward ``turn``, carried without twist."""
        return self.carried_toward(self.toward(turn), math.cos(math.radians(angle)), math.sin(math.radians(angle)))

    def carried_toward(self, inside: Vector, cosine: float, sine: float) -> Frame:
        """The same for a bend toward the unit vector ``inside``, square to travel, by cosine and sine of its angle.

        Squared up each time: left alone, the last figure's error doubles every few bends, and a hundred lose them all.
        """
        t, u, _ = self
        ahead = unit(blend(t, cosine, inside, sine))
        swung = blend(inside, cosine - 1.0, t, -sine)
        out = add(u, swung, dot(u, inside))
        out = unit(add(out, ahead, -dot(out, ahead)))
        return Frame(ahead, out, cross(out, ahead))


START = Frame((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))


def add(place: Vector, direction: Vector, distance: float = 1.0) -> Vector:
    """The place ``distance`` along ``direction`` from a place."""
    return (
        place[0] + direction[0] * distance,
        place[1] + direction[1] * distance,
        place[2] + direction[2] * distance,
    )


def blend(one: Vector, share: float, other: Vector, other_share: float) -> Vector:
    """The sum of two vectors, each times its share."""
    return (
        one[0] * share + other[0] * other_share,
        one[1] * share + other[1] * other_share,
        one[2] * share + other[2] * other_share,
    )


def dot(one: Vector, other: Vector) -> float:
    """The scalar product of two vectors."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def cross(one: Vector, other: Vector) -> Vector:
    """The vector product of two vectors, by the right hand."""
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def unit(one: Vector) -> Vector:
    """A vector that is a unit long but for a few last figures, made so: one step of Newton's, without a root."""
    return scaled(one, 1.5 - 0.5 * dot(one, one))


def scaled(one: Vector, share: float) -> Vector:
    """A vector times a number."""
    return (one[0] * share, one[1] * share, one[2] * share)


def length(one: Vector) -> float:
    """The length of a vector."""
    return math.sqrt(one[0] * one[0] + one[1] * one[1] + one[2] * one[2])
