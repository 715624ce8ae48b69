"""What the trade and the codes expect of a layout, each with its rule and where it was printed.

These are aids. Local code and the authority having jurisdiction decide, and a licensed person is responsible.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from bending import tables
from bending.advice import angle_text, up_to_tape
from bending.clearance import least_gaps
from bending.lengths import format_length
from bending.marks import Marked
from bending.path import Path
from bending.run import Run
from bending.vectors import cross, dot

LEVELS = ("cannot", "rule", "caution", "ok")
MOST_DEGREES = 360.0
# Nameplate and measured radius further apart than this are worth a look.
RADII_DIFFER = 0.05
HEAVY = 50.0
LONG_TO_CARRY = 120.0

PRACTICE = "common practice, no source"
_AUTHORITY = "Local code and the authority having jurisdiction decide."
_TOTAL_RULE = {
    "EMT": "NFPA 70 (NEC) 2020, 358.26",
    "IMC": "NFPA 70 (NEC), 342.26; edition not verified",
    "RMC": "NFPA 70 (NEC), 344.26; edition not verified",
}

Check = dict[str, Any]


def of(run: Run, path: Path, pieces: Sequence[Marked]) -> list[Check]:
    """Every check: ``code``, ``level`` (one of ``LEVELS``), ``words``, ``source`` and, where it has one, ``at``."""
    found = [
        *_total_bends(run, path),
        *_radius(run, path),
        *_held(run, path, pieces),
        *_not_checked(run, path),
        *_stick(run, path),
        *_plumb(run),
        *_three_dimensional(path),
        *_clearances(run, path),
        *_handling(run, path),
        *_ends(run),
    ]
    return sorted(found, key=lambda check: LEVELS.index(check["level"]))


def check(code: str, level: str, words: str, source: str, at: str | None = None) -> Check:
    """One check; without ``at`` it is of the whole run."""
    made: Check = {"code": code, "level": level, "words": words, "source": source}
    return made if at is None else {**made, "at": at}


def _total_bends(run: Run, path: Path) -> Iterator[Check]:
    total = sum(bend.angle for bend in path.bends) + run.bends_elsewhere
    elsewhere = f" with {run.bends_elsewhere:g} elsewhere on the pull" if run.bends_elsewhere else ""
    words = f"Bends add up to {total:.4g} degrees{elsewhere}, counted as one pull; 360 are allowed between pull points."
    level = "rule" if total > MOST_DEGREES + 1e-6 else "ok"
    yield check("total_bends", level, f"{words} {_AUTHORITY}", _TOTAL_RULE[run.raceway])


def _ends(run: Run) -> Iterator[Check]:
    """A connector keeps the conduit short of the face; nothing short of it is most often an allowance forgotten."""
    for name, end in (("start", run.start), ("end", run.end)):
        if "connector" in end.fitting and end.allowance == 0:
            words = (
                f"With a {end.fitting} at the {name} the conduit usually stops about 1/8 short of the face; this run"
            )
            yield check(
                "no_allowance", "caution", f"{words} says 0. Measure three of yours.", PRACTICE, f"{name}.allowance"
            )


def _radius(run: Run, path: Path) -> Iterator[Check]:
    if not path.bends:
        return
    profile, named = run.profile, run.profile.nameplate_radius
    least, radius = tables.least_radius(run.size, profile.how), named or profile.radius
    which = "nameplate" if named else "measured"
    words = f"The bender's {which} radius is {radius:.2f}; the table's least for {run.size} is {least:g}. {_AUTHORITY}"
    level = "rule" if radius < least - 1e-6 else "ok"
    printed = tables.source("bend_radius")
    yield check("radius", level, words, f"{printed.edition}, {printed.page}")
    if named and abs(profile.radius - named) > RADII_DIFFER * named:
        off = (
            f"The radius from take-up and gain is {profile.radius:.2f}, the nameplate says {named:.2f}: test it again."
        )
        yield check("radius_differs", "caution", off, PRACTICE, "bender")


def _held(run: Run, path: Path, pieces: Sequence[Marked]) -> Iterator[Check]:
    """Whether the hand can set and hold every bend, pushing through from the zero end."""
    found = [*_mark_places(run, path, pieces), *_straights(run, path), *_angles(run, path)]
    yield from found
    cannot = any(one["level"] == "cannot" for one in found)
    if path.bends and not cannot and not _unknown_limits(run):
        yield check("held", "ok", "Every bend can be set and held by this bender's profile.", PRACTICE)


def _mark_places(run: Run, path: Path, pieces: Sequence[Marked]) -> Iterator[Check]:
    profile = run.profile
    for mark in pieces[0].marks:
        bend = path.bends[mark.bend]
        before = path.straights[mark.bend if run.zero == "start" else mark.bend + 1]
        if mark.step == 1 and mark.at < max(0.0, profile.hook_grip or 0.0) - 1e-9:
            least = up_to_tape(profile.hook_grip or 0.0)
            words = f"Mark 1 stands {format_length(mark.at)} from the end; the hook needs {least} there."
            yield check("hook_grip", "cannot", words, PRACTICE, bend.at)
        elif before < profile.arrow_lead - 1e-9 and mark.step > 1:
            words = f"Mark {mark.step} falls on a bend already made: {up_to_tape(profile.arrow_lead - before)} short."
            yield check("arrow_on_bend", "cannot", words, PRACTICE, bend.at)
    if pieces[0].marks and profile.heel is not None:
        last = path.straights[-1] if run.zero == "start" else path.straights[0]
        if last < profile.heel - 1e-9:
            need = up_to_tape(profile.heel)
            words = f"Only {format_length(last)} straight after the last bend; this bender needs {need}."
            yield check("heel", "cannot", words, PRACTICE, path.bends[pieces[0].marks[-1].bend].at)


def _straights(run: Run, path: Path) -> Iterator[Check]:
    for number in range(1, len(path.bends)):
        one, other, straight = path.bends[number - 1], path.bends[number], path.straights[number]
        least = run.profile.straight_between(one.angle, other.angle)
        if least is not None and straight < least - 1e-9:
            words = f"Only {format_length(straight)} straight between two bends; this bender needs {up_to_tape(least)}."
            yield check("straight_between", "cannot", words, PRACTICE, other.at)


def _angles(run: Run, path: Path) -> Iterator[Check]:
    largest = run.profile.largest_angle
    for bend in path.bends:
        if largest is not None and bend.angle > largest + 1e-9:
            words = f"{angle_text(bend.angle)} is more than this bender makes in one set ({angle_text(largest)})."
            yield check("largest_angle", "cannot", words, PRACTICE, bend.at)
        elif bend.angle > 90 + 1e-6:
            words = f"{angle_text(bend.angle)} is past a right angle: see that the shoe reaches it in one set."
            yield check("over_90", "caution", words, PRACTICE, bend.at)


def _unknown_limits(run: Run) -> list[str]:
    profile = run.profile
    limits = {
        "hook grip": profile.hook_grip,
        "heel": profile.heel,
        "straight between bends up to 15": profile.straight_small,
        "straight between larger bends": profile.straight_large,
        "largest angle": profile.largest_angle,
    }
    return [name for name, value in limits.items() if value is None]


def _not_checked(run: Run, path: Path) -> Iterator[Check]:
    if path.bends:
        unknown = _unknown_limits(run)
        if unknown:
            words = f"Not checked, because the bender's profile doesn't give it: {', '.join(unknown)}."
            yield check("not_checked", "caution", words, PRACTICE, "bender")
        words = "Not checked: whether the bent part swings into floor, handle or frame."
        yield check("not_checked", "caution", words, PRACTICE)
    if run.conductors:
        yield check("not_checked", "caution", "Conductor fill isn't checked.", PRACTICE, "conductors")
    if run.pull_points:
        words = "Pull points along the run aren't counted: its bends are added up as one pull."
        yield check("not_checked", "caution", words, PRACTICE, "pull_points")


def _stick(run: Run, path: Path) -> Iterator[Check]:
    if run.stick is not None:
        yield check("stick", "ok", f"One stick of {format_length(run.stick)} is long enough.", PRACTICE, "stick")
    elif path.length > tables.USUAL_STICK:
        words = (
            f"{format_length(path.length)} is over one 10 ft stick. No stick length was given, so it is laid out as "
            "one piece: see that you have it that long, or ask for it in two runs."
        )
        yield check("over_one_stick", "caution", words, PRACTICE)


def _plumb(run: Run) -> Iterator[Check]:
    """A kick in its corner's own plane leaves the stub out of plumb; the corner that cures it is named."""
    for number, corner in enumerate(run.corners):
        kick = run.legs[number].kick("end")
        if not kick or abs(corner.angle - 90) > kick.angle:
            continue
        way = math.cos(math.radians(corner.turn - kick.turn))
        off = 90 - math.degrees(math.acos(_along(kick.angle, corner.angle, way)))
        if abs(off) > 0.05:
            cure = 90 - kick.angle if way > 0 else 90 + kick.angle
            offer = f": a corner of {angle_text(cure)} cures it" if abs(abs(way) - 1) < 1e-9 else ""
            words = f"This kick leaves the stub {abs(off):.3g} degrees out of plumb{offer}."
            yield check("out_of_plumb", "caution", words, PRACTICE, kick.at)


def _along(kick: float, corner: float, way: float) -> float:
    """Cosine between the leg's line and the stub: ``way`` is the cosine between the two turns."""
    one, other = math.radians(kick), math.radians(corner)
    cosine = math.cos(other) * math.cos(one) - math.sin(other) * way * math.sin(one)
    return max(-1.0, min(1.0, cosine))


def _three_dimensional(path: Path) -> Iterator[Check]:
    normals = [cross(bend.before, bend.inside) for bend in path.bends]
    if any(abs(abs(dot(normals[0], normal)) - 1) > 1e-9 for normal in normals[1:]):
        words = "The bends don't lie in one plane: read it back, it is the easy one to bend as its mirror."
        yield check("mirror", "caution", words, PRACTICE)


def _clearances(run: Run, path: Path) -> Iterator[Check]:
    for leg, line in zip(run.legs, path.lines, strict=True):
        gaps = least_gaps(run, path, line, leg.obstructions) if leg.obstructions else []
        for edge, (gap, along) in zip(leg.obstructions, gaps, strict=True):
            level = "ok" if gap >= edge.clear - 1e-6 else "caution" if gap >= 0 else "cannot"
            asked = format_length(edge.clear, "1/32")
            where = f"{format_length(gap, '1/32')} at {format_length(along)} along the leg"
            words = f"Least gap to the obstruction is {where}; {asked} was asked for."
            yield check("clearance", level, words, PRACTICE, edge.at)


def _handling(run: Run, path: Path) -> Iterator[Check]:
    if run.threads and path.bends:
        words = "Cut the threads before bending: a bent leg can't turn in a threader."
        yield check("thread_before_bending", "caution", words, PRACTICE, "threads")
    weight = tables.weight_per_inch(run.raceway, run.size) * path.length
    if weight > HEAVY or (path.length > LONG_TO_CARRY and path.bends):
        words = f"{weight:.0f} lb, {format_length(path.length, feet=True)} long: two people."
        yield check("two_people", "caution", words, PRACTICE)
