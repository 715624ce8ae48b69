"""What the trade and the codes expect of a layout, each with its rule and where it was printed.

These are aids. Local code and the authority having jurisdiction decide, and a licensed person is responsible.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bending import held, pulls, supports, tables
from bending.check import LEVELS, PRACTICE, Check, check
from bending.clearance import least_gaps
from bending.codes import code
from bending.corners import bulge
from bending.lengths import format_length
from bending.marks import Marked
from bending.path import CornerLine, Path
from bending.pulls import AUTHORITY
from bending.reach import Offers
from bending.run import Run
from bending.vectors import cross, dot
from bending.words import angle_text

# Nameplate and measured radius further apart than this are worth a look.
RADII_DIFFER = 0.05
# A shot of more than this many degrees shows as a flat.
LARGEST_SHOT = 10.0
HEAVY = 50.0
LONG_TO_CARRY = 120.0


def of(
    run: Run, path: Path, pieces: Sequence[Marked], offered: Sequence[Offers], strapped: supports.Straps
) -> list[Check]:
    """Every check: ``code``, ``level`` (one of ``LEVELS``), ``words``, ``source`` and, where it has one, ``at``.
    ``offered`` are each piece's orders, ``strapped`` where it is held up."""
    found = [
        *pulls.checks(run, path),
        *_radius(run, path),
        *held.checks(run, path, pieces, offered),
        *_stick(run, pieces),
        *_plumb(run),
        *_three_dimensional(path),
        *_clearances(run, path),
        *_handling(run, pieces),
        *_threads(run, path, pieces),
        *supports.checks(run, strapped),
        *_ends(run),
    ]
    return sorted(found, key=lambda check: LEVELS.index(check["level"]))


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
    """The shoe's radius where it makes whole bends, the finished one of a segment bend; a bought elbow has its own
    listing."""
    segments = [corner for corner in path.corners if corner.asked.segment]
    profile, named = run.profile, run.profile.nameplate_radius
    shots = sum(corner.shots for corner in segments)
    if len(path.bends) > shots + len(path.breaks):
        which = "The bender's nameplate" if named else "The bender's measured"
        yield _radius_check(run, which, named or profile.radius, profile.how)
    for corner in {corner.asked.at: corner for corner in segments}.values():
        found = _radius_check(run, f"The {corner.shots} shots' finished", corner.radius, "other")
        yield {**found, "at": f"{corner.asked.at}.radius"}
        yield _bulge_check(run, corner)
    if path.bends and named and abs(profile.radius - named) > RADII_DIFFER * named:
        off = (
            f"The radius from take-up and gain is {profile.radius:.2f}, the nameplate says {named:.2f}: test it again."
        )
        yield check("radius_differs", "caution", off, PRACTICE, "bender")


def _radius_check(run: Run, which: str, radius: float, how: str) -> Check:
    least, printed = tables.least_radius(run.size, how), tables.source("bend_radius")
    words = f"{which} radius is {radius:.2f}; the table's least for {run.size} is {least:g}. {AUTHORITY}"
    level = "rule" if radius < least - 1e-6 else "ok"
    return check("radius", level, words, code(run.edition, "chapter 9 table 2", printed.edition))


def _bulge_check(run: Run, corner: CornerLine) -> Check:
    """How far from round a segment bend comes out."""
    shot = corner.angle / corner.shots
    out = bulge(corner.radius, run.profile.radius, corner.angle, corner.shots)
    share = 100 * (1 / math.cos(math.radians(shot) / 2) - 1)
    up_to = f"up to {format_length(out, '1/32')}" if out >= 1 / 64 else 'less than 1/32"'
    words = (
        f"{corner.shots} shots of {angle_text(shot)} stand {up_to} outside a true {corner.radius:.2f} radius "
        f"(their points of intersection {share:.2g} % of it)."
    )
    level = "caution" if shot > LARGEST_SHOT + 1e-9 else "ok"
    return check("segment", level, words, PRACTICE, corner.asked.at)


def _stick(run: Run, pieces: Sequence[Marked]) -> Iterator[Check]:
    longest = max(one.piece.length for one in pieces)
    if run.stick is not None:
        stick = format_length(run.stick)
        several = f"Each of the {len(pieces)} pieces comes out of a {stick} stick."
        words = several if len(pieces) > 1 else f"One stick of {stick} is long enough."
        yield check("stick", "ok", words, PRACTICE, "stick")
    elif longest > tables.USUAL_STICK:
        words = (
            f"{format_length(longest)} is over one 10 ft stick. No stick length was given, so it is laid out as "
            "one piece: see that you have it that long, or say how long a stick is."
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
    normals = [cross(bend.before, bend.inside) for bend in path.bends if bend.angle]
    if any(abs(abs(dot(normals[0], normal)) - 1) > 1e-9 for normal in normals[1:]):
        words = "The bends don't lie in one plane: read it back, it is the easy one to bend as its mirror."
        yield check("mirror", "caution", words, PRACTICE)


def _clearances(run: Run, path: Path) -> Iterator[Check]:
    for leg, line in zip(run.legs, path.lines, strict=True):
        gaps = least_gaps(run, path, line, leg.obstructions) if leg.obstructions else []
        for thing, (gap, along) in zip(leg.obstructions, gaps, strict=True):
            level = "ok" if gap >= thing.clear - 1e-6 else "caution" if gap >= -1e-6 else "cannot"
            asked = format_length(thing.clear, "1/32")
            where = f"{format_length(gap, '1/32')} at {format_length(along)} along the leg"
            words = f"Least gap to the obstruction is {where}; {asked} was asked for."
            found = check("clearance", level, words, PRACTICE, thing.at)
            yield {**found, "gap": round(gap, 9), "asked": thing.clear, "along": round(along, 9)}


def _handling(run: Run, pieces: Sequence[Marked]) -> Iterator[Check]:
    for number, one in enumerate(pieces):
        length, of_piece = one.piece.length, f"Piece {number + 1}: " if len(pieces) > 1 else ""
        weight = tables.weight_per_inch(run.raceway, run.size) * length
        if weight > HEAVY or (length > LONG_TO_CARRY and one.marks):
            words = f"{of_piece}{weight:.0f} lb, {format_length(length, feet=True)} long: two people."
            yield check("two_people", "caution", words, PRACTICE)


def _threads(run: Run, path: Path, pieces: Sequence[Marked]) -> Iterator[Check]:
    """A bent leg can't turn in a threader, and neither a die nor a coupling finds its way onto a bend."""
    if any(one.piece.threads and one.marks for one in pieces):
        words = "Cut the threads before bending: a bent leg can't turn in a threader."
        yield check("thread_before_bending", "caution", words, PRACTICE, "threads")
    room = tables.coupling(run.raceway, run.size).room
    for number, one in enumerate(pieces, start=1):
        for end in one.piece.threads if one.marks else ():
            piece = one.piece
            first, last = path.bends[piece.first], path.bends[piece.last - 1]
            straight = first.begins - piece.begins if end == "start" else piece.ends - last.ends
            if straight < room - 1e-6:
                words = (
                    f"Only {format_length(straight)} straight at the threaded {end} of piece {number}; a die and its "
                    f"head take about {room:g}."
                )
                yield check("thread_room", "caution", words, PRACTICE, "threads")
