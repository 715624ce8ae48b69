"""What is wrong in the trade's words, and what would be right: each angle that is offered was walked first."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from bending import fits
from bending.features import Feature, Kick
from bending.fits import Fault
from bending.problems import Problem
from bending.run import Run
from bending.walk import walk
from bending.words import angle_text, up_to_tape

USUAL_ANGLES = (60.0, 45.0, 30.0, 22.5, 15.0, 10.0, 5.0)
# Angles are tried for the first faults of a run of ordinary size only: a wrong document must not cost a second.
MOST_ADVISED = 4
LARGEST_ADVISED = 60


def explain(run: Run, faults: Sequence[Fault]) -> list[Problem]:
    """Every fault as a problem, once for each place; the first few with the angle that would fit."""
    worst: dict[tuple[str, str], Fault] = {}
    for fault in faults:
        known = worst.setdefault((fault.at, fault.code), fault)
        if fault.short > known.short:
            worst[fault.at, fault.code] = fault
    places = {fault.at for fault in faults}
    small = len(run.features) + len(run.corners) <= LARGEST_ADVISED
    return [
        Problem(fault.at, fault.code, _words(run, fault, places if small and number < MOST_ADVISED else None))
        for number, fault in enumerate(worst.values())
    ]


def _words(run: Run, fault: Fault, places: set[str] | None) -> str:
    if fault.code == "wont_fit" and fault.feature is not None:
        return _fit_words(run, fault.feature, fault, places)
    if fault.code not in _SAYING:
        raise ValueError(f"no words for {fault.code}")
    return _SAYING[fault.code](run, fault)


def _no_bend_words(run: Run, fault: Fault) -> str:
    return "the kick beside this corner leaves it no bend: take the corner or the kick away"


def _angle_words(run: Run, fault: Fault) -> str:
    return f"with the kick beside it this corner would turn {fault.short:.1f} degrees: one corner turns at most 135"


def _long_words(run: Run, fault: Fault) -> str:
    return f"the run is longer than {fits.LONGEST_RUN:,.0f} in"


def _leg_words(run: Run, fault: Fault) -> str:
    least = up_to_tape(run.legs[fault.leg].length + fault.short)
    return f"what stands on this leg needs {up_to_tape(fault.short)} more: the least leg is {least}"


def _shots_words(run: Run, fault: Fault) -> str:
    largest = angle_text(run.profile.largest_angle or 0.0)
    return f"this shoe makes at most {largest} in one set: at least {fault.short:.0f} shots are needed"


def _close_words(run: Run, fault: Fault) -> str:
    away = up_to_tape(fault.short)
    if fault.code == "past_the_end":
        return f"this bend would begin {away} past the end of the pipe: move it {away} in, or lengthen the leg"
    return f"this runs {away} into its neighbour: move it {away} away, or lengthen the leg by that"


def _narrow_words(run: Run, fault: Fault) -> str:
    """A return bend of two 90s: twice what each takes, and the straight that must be left between them."""
    corner, least = run.corners[fault.leg], run.legs[fault.leg].length + fault.short
    radius = corner.radius or run.profile.radius
    between = least - 2 * corner.reach(run.profile, corner.angle, "after")
    straight = f" with {up_to_tape(between)} straight between them" if between > 1e-6 else ""
    return f"two 90s of a {radius:.2f} radius{straight} stand at least {up_to_tape(least)} apart, centre to centre"


_SAYING: Mapping[str, Callable[[Run, Fault], str]] = {
    "no_bend_left": _no_bend_words,
    "angle_too_large": _angle_words,
    "run_too_long": _long_words,
    "leg_too_short": _leg_words,
    "too_narrow": _narrow_words,
    "too_few_shots": _shots_words,
    "too_close": _close_words,
    "past_the_end": _close_words,
}


def _fit_words(run: Run, feature: Feature, fault: Fault, places: set[str] | None) -> str:
    radius, angle = f"{run.profile.radius:.2f}", angle_text(feature.angle)
    least = up_to_tape(least_rise(run, feature, fault))
    other = _angle_that_fits(run, feature, fault, places) if places is not None else None
    offer = f"{angle_text(other)} will, or {least} rise" if other else f"the least rise is {least}"
    if fault.beside is not None:
        return f"{angle} won't fit beside this {angle_text(fault.beside.angle)} with a {radius} radius: {offer}"
    return f"{angle} won't make this rise with a {radius} radius: its bends overlap by {fault.short:.2f}; {offer}"


def least_rise(run: Run, feature: Feature, fault: Fault) -> float:
    """The least rise that this angle makes here, in inches: 2 R (1 - cos angle), or beside a corner
    (R tan(angle/2) + what the corner takes of the leg) sin(angle)."""
    if not isinstance(feature, Kick) or fault.beside is None:
        return feature.least_rise(run.profile)
    corner, side = fault.beside, "before" if feature.end == "end" else "after"
    takes = corner.asked.reach(run.profile, corner.angle, side)
    return (run.profile.tangent(feature.angle) + takes) * math.sin(math.radians(feature.angle))


def _angle_that_fits(run: Run, feature: Feature, fault: Fault, places: set[str]) -> float | None:
    """The largest usual angle below this one that mends this fault and brings no new one."""
    for angle in USUAL_ANGLES:
        if angle < feature.angle:
            tried = _with_angle(run, feature, angle)
            left = {one.at for one in fits.find(tried, walk(tried))}
            if fault.at not in left and left <= places:
                return angle
    return None


def _with_angle(run: Run, feature: Feature, angle: float) -> Run:
    other = replace(feature, angle=angle)
    legs = tuple(
        replace(leg, features=tuple(other if one is feature else one for one in leg.features)) for leg in run.legs
    )
    return replace(run, legs=legs)
