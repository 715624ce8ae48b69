"""Whether the bends of a walked run have room: every pair of neighbours, both ends, every angle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from bending.corners import Corner
from bending.features import Feature, Kick
from bending.run import Run
from bending.walk import Bend, CornerLine, Walk

# Below this, bends that overlap touch: sums of a dozen floats.
TOUCHING = 1e-9
LONGEST_RUN = 1e5
# A smaller bend is none that a hand can make: degrees.
LEAST_BEND = 0.1
LARGEST_BEND = 135.0


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that doesn't fit, before it is put into words. ``short`` is how many inches of straight are missing.

    ``feature`` is what the place belongs to, if it is a feature; ``beside`` is the corner at a kick.
    """

    at: str
    code: str
    short: float
    leg: int
    feature: Feature | None = None
    beside: CornerLine | None = None


def find(run: Run, walked: Walk) -> list[Fault]:
    """Every fault of a walked run, in the order that it is walked; empty if all fits."""
    path, stretches = walked.path, walked.stretches
    backward = [stretch.along <= TOUCHING for stretch in stretches]
    sound = [not (one or other) for one, other in pairwise(backward)]
    faults = [_angle_fault(bend) for bend, good in zip(path.bends, sound, strict=True) if good and _off(bend)]
    faults += [fault for corner in path.corners for fault in _segment_faults(run, corner, sound[corner.first])]
    search = _Search(run, walked)
    known = [True, *sound, True]
    for number, straight in enumerate(path.straights):
        least = search.least(number)
        if backward[number] or (known[number] and known[number + 1] and straight < least - TOUCHING):
            faults.append(search.room_fault(number, least, backward[number]))
    if path.length > LONGEST_RUN and not faults:
        faults.append(Fault("path", "run_too_long", path.length - LONGEST_RUN, 0))
    return faults


def _segment_faults(run: Run, corner: CornerLine, sound: bool) -> Iterator[Fault]:
    """Of a segment bend: its whole angle, and too few shots for what the shoe makes in one set."""
    if not corner.asked.segment or not sound:
        return
    if corner.angle > LARGEST_BEND + 1e-9:
        yield Fault(corner.asked.at, "angle_too_large", corner.angle, 0)
    largest = run.profile.largest_angle
    if largest is not None and corner.angle / corner.shots > largest + 1e-9:
        yield Fault(f"{corner.asked.at}.shots", "too_few_shots", math.ceil(corner.angle / largest - 1e-9), 0)


def _off(bend: Bend) -> bool:
    return not bend.fitting and not LEAST_BEND <= bend.angle <= LARGEST_BEND + 1e-9


def _angle_fault(bend: Bend) -> Fault:
    return Fault(bend.at, "no_bend_left" if bend.angle < LEAST_BEND else "angle_too_large", bend.angle, 0)


class _Search:
    """The straights of a walked run that are too short, each with what it lies between."""

    def __init__(self, run: Run, walked: Walk) -> None:
        self.run, self.path, self.stretches = run, walked.path, walked.stretches
        self.features = {feature.at: feature for feature in run.features}
        self.asked = {corner.at: corner for corner in run.corners}

    def least(self, number: int) -> float:
        """What must be left of a straight: between the two 90s of a return bend, what the profile wants there."""
        bends = self.path.bends
        if self.run.legs[self.stretches[number].leg].key == "leg" or not 0 < number < len(bends):
            return 0.0
        return self.run.profile.straight_between(bends[number - 1].angle, bends[number].angle) or 0.0

    def room_fault(self, number: int, least: float, backward: bool) -> Fault:
        before, after = self.neighbours(number)
        short = least - self.path.straights[number]
        if backward:
            short = self.named(before, "after") + self.named(after, "before") + least - self.stretches[number].along
        one = self.features.get(before.at) if before else None
        other = self.features.get(after.at) if after else None
        if one is not None and one is other:
            return self.inside(one, after, number, short)
        return self.kick_fault(one, other, number, short) or self.outside((one, other), (before, after), number, short)

    def neighbours(self, number: int) -> tuple[Bend | None, Bend | None]:
        bends = self.path.bends
        return bends[number - 1] if number else None, bends[number] if number < len(bends) else None

    def named(self, bend: Bend | None, side: str) -> float:
        """What a bend takes by the angle asked for: where a stretch runs backward the walked angle means nothing."""
        if bend is None:
            return 0.0
        feature = self.features.get(bend.at)
        if feature is None:
            corner: Corner = self.asked[bend.at]
            return corner.reach(self.run.profile, corner.angle, side)
        outer = feature.kind == "saddle3" and bend.part != "centre"
        return self.run.profile.tangent(feature.angle / 2 if outer else feature.angle)

    def inside(self, feature: Feature, after: Bend | None, number: int, short: float) -> Fault:
        flat, leg = after is not None and after.part == "third", self.stretches[number].leg
        code = "too_close" if flat else "wont_fit"
        return Fault(f"{feature.at}.{'to' if flat else 'rise'}", code, short, leg, feature)

    def kick_fault(self, one: Feature | None, other: Feature | None, number: int, short: float) -> Fault | None:
        """A kick beside its corner, on whichever side it stands."""
        corners, leg = self.path.corners, self.stretches[number].leg
        if isinstance(one, Kick) and one.end == "end" and other is None and leg < len(corners):
            return Fault(f"{one.at}.rise", "wont_fit", short, leg, one, corners[leg])
        if isinstance(other, Kick) and other.end == "start" and one is None and leg:
            return Fault(f"{other.at}.rise", "wont_fit", short, leg, other, corners[leg - 1])
        return None

    def outside(
        self,
        features: tuple[Feature | None, Feature | None],
        bends: tuple[Bend | None, Bend | None],
        number: int,
        short: float,
    ) -> Fault:
        (one, other), (before, after), leg = features, bends, self.stretches[number].leg
        if other is not None:
            return Fault(f"{other.at}.{other.spot}", "too_close" if before else "past_the_end", short, leg, other)
        if one is not None:
            spot = "to" if one.kind == "saddle4" else one.spot
            return Fault(f"{one.at}.{spot}", "too_close" if after else "past_the_end", short, leg, one)
        code = "too_narrow" if self.run.legs[leg].key == "u_bend" else "leg_too_short"
        return Fault(self.run.legs[leg].place, code, short, leg)
