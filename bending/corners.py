"""What joins two legs: a corner bent in one shot or in many, or a bought fitting."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bending.bender import Profile

# A segment bend takes no more than this of an angle a shot unless it is told how many, degrees.
USUAL_SHOT = 6.0
# Radii that differ by less are the same shoe.
SAME_RADIUS = 1e-6
TURNING = ("conduit body", "factory elbow")
IN_LINE = ("coupling", "expansion fitting")
FITTINGS = (*TURNING, *IN_LINE)


@dataclass(frozen=True, slots=True)
class Fitting:
    """A bought part in the path. ``before`` and ``after``: how far short of where the lines of the two legs cross (of
    its middle, if it goes straight on) the conduit stops on either side; inches, 0 and up."""

    kind: str
    before: float
    after: float

    @property
    def pull_point(self) -> bool:
        """Whether conductors can be pulled at it, so that a new count of bends begins."""
        return self.kind == "conduit body"


@dataclass(frozen=True, slots=True)
class Corner:
    """Between two legs: its angle (0 for a fitting that goes straight on), its turn in degrees from out toward left.

    ``radius`` is set for a segment bend (more than the bender's) and a factory elbow; ``shots`` where it was asked for.
    """

    at: str
    angle: float
    turn: float
    radius: float | None = None
    shots: int | None = None
    fitting: Fitting | None = None

    @property
    def segment(self) -> bool:
        return self.radius is not None and self.fitting is None

    def count(self, angle: float | None = None) -> int:
        """How many bends it is on the bender; ``angle``: its real bend, where a kick beside it makes that another."""
        if self.fitting:
            return 0
        if not self.segment:
            return 1
        return self.shots or max(2, math.ceil((self.angle if angle is None else angle) / USUAL_SHOT - 1e-9))

    def reach(self, profile: Profile, angle: float, side: str) -> float:
        """From where its legs' lines cross to where its first bend begins, or the conduit stops: inches.

        ``side`` is ``before`` or ``after`` the corner. A segment bend's first point of intersection stands half a
        spacing inside its start: R tan(angle/2) - (R - Rs) tan(shot/2).
        """
        if self.fitting:
            return self.fitting.before if side == "before" else self.fitting.after
        if self.radius is None:
            return profile.tangent(angle)
        return inset(self.radius, angle, self.count(angle)) + profile.tangent(angle / self.count(angle))


def inset(radius: float, angle: float, shots: int) -> float:
    """How far inside where the legs' lines cross the first shot's point of intersection stands: inches.

    R (tan(angle/2) - tan(shot/2)), for 0 < angle < 180 degrees.
    """
    return radius * (math.tan(math.radians(angle) / 2) - math.tan(math.radians(angle / shots) / 2))


def spacing(radius: float, angle: float, shots: int) -> float:
    """From one shot's point of intersection to the next: 2 R tan(shot/2), inches.

    It makes the straights between the shots touch the asked radius. Source: geometry; Porcupine Press, Concentric,
    takes R tan(shot).
    """
    return 2 * radius * math.tan(math.radians(angle / shots) / 2)


def bulge(radius: float, shoe: float, angle: float, shots: int) -> float:
    """How far the finished segment bend stands outside its asked radius, at the middle of a shot: inches.

    (R - Rs) (1/cos(shot/2) - 1): a shot's point of intersection stands R (1/cos - 1) out, and its arc of radius
    Rs passes Rs (1/cos - 1) inside that.
    """
    return (radius - shoe) * (1 / math.cos(math.radians(angle / shots) / 2) - 1)
