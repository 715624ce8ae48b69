"""Whether the bends of a walked run have room: every pair of neighbours, both ends, every angle."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from bending.features import Feature, Kick
from bending.run import Run
from bending.walk import Bend, Walk

# Below this, bends that overlap touch: sums of a dozen floats.
TOUCHING = 1e-9
LONGEST_RUN = 1e5
# A smaller bend is none that a hand can make: degrees.
LEAST_BEND = 0.1
LARGEST_BEND = 135.0


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that doesn't fit, before it is put into words. ``short`` is how many inches of straight are missing.

    ``feature`` is what the place belongs to, if it is a feature; ``beside`` is the corner's angle at a kick.
    """

    at: str
    code: str
    short: float
    leg: int
    feature: Feature | None = None
    beside: Bend | None = None


def find(run: Run, walked: Walk) -> list[Fault]:
    """Every fault of a walked run, in the order that it is walked; empty if all fits."""
    path, stretches = walked.path, walked.stretches
    features = {feature.at: feature for feature in run.features}
    backward = [stretch.along <= TOUCHING for stretch in stretches]
    sound = [not (one or other) for one, other in pairwise(backward)]
    faults = [_angle_fault(bend) for bend, good in zip(path.bends, sound, strict=True) if good and _off(bend)]
    known = [True, *sound, True]
    for number, straight in enumerate(path.straights):
        if backward[number] or (known[number] and known[number + 1] and straight < -TOUCHING):
            before = path.bends[number - 1] if number else None
            after = path.bends[number] if number < len(path.bends) else None
            short = -straight
            if backward[number]:
                short = _named_tangent(run, features, before) + _named_tangent(run, features, after)
                short -= stretches[number].along
            faults.append(_room_fault(run, features, (before, after), stretches[number].leg, short))
    if path.length > LONGEST_RUN and not faults:
        faults.append(Fault("path", "run_too_long", path.length - LONGEST_RUN, 0))
    return faults


def _named_tangent(run: Run, features: dict[str, Feature], bend: Bend | None) -> float:
    """A bend's tangent by the angle asked for: where a stretch runs backward the walked angle means nothing."""
    if bend is None:
        return 0.0
    feature = features.get(bend.at)
    if feature is None:
        return run.profile.tangent(next(corner.angle for corner in run.corners if corner.at == bend.at))
    outer = feature.kind == "saddle3" and bend.part != "centre"
    return run.profile.tangent(feature.angle / 2 if outer else feature.angle)


def _off(bend: Bend) -> bool:
    return not LEAST_BEND <= bend.angle <= LARGEST_BEND + 1e-9


def _angle_fault(bend: Bend) -> Fault:
    return Fault(bend.at, "no_bend_left" if bend.angle < LEAST_BEND else "angle_too_large", bend.angle, 0)


def _room_fault(
    run: Run, features: dict[str, Feature], pair: tuple[Bend | None, Bend | None], leg: int, short: float
) -> Fault:
    before, after = pair
    one = features.get(before.at) if before else None
    other = features.get(after.at) if after else None
    if one is not None and one is other:
        return _inside_fault(one, after, leg, short)
    kick = _kick_beside(one, other, before, after)
    if kick:
        return Fault(f"{kick.at}.rise", "wont_fit", short, leg, kick, after if kick is one else before)
    if other is not None:
        return Fault(f"{other.at}.{other.spot}", "too_close" if before else "past_the_end", short, leg, other)
    if one is not None:
        spot = "to" if one.kind == "saddle4" else one.spot
        return Fault(f"{one.at}.{spot}", "too_close" if after else "past_the_end", short, leg, one)
    return Fault(f"{run.legs[leg].at}.leg", "leg_too_short", short, leg)


def _inside_fault(feature: Feature, after: Bend | None, leg: int, short: float) -> Fault:
    flat = after is not None and after.part == "third"
    return Fault(f"{feature.at}.{'to' if flat else 'rise'}", "too_close" if flat else "wont_fit", short, leg, feature)


def _kick_beside(one: Feature | None, other: Feature | None, before: Bend | None, after: Bend | None) -> Kick | None:
    if isinstance(one, Kick) and one.end == "end" and after and after.part == "corner":
        return one
    if isinstance(other, Kick) and other.end == "start" and before and before.part == "corner":
        return other
    return None
