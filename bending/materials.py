"""What a run takes, and how big and heavy the finished piece is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from bending import tables
from bending.lengths import format_length
from bending.marks import Marked
from bending.path import Bend, Break, Path
from bending.pieces import Piece
from bending.run import Run
from bending.supports import Straps
from bending.vectors import Vector, add, dot
from bending.words import angle_text


def of(run: Run, path: Path, pieces: Sequence[Marked], strapped: Straps) -> list[dict[str, Any]]:
    """Conduit by length (inches) and pieces, the fittings that the ends name, those in the path, the couplings of long
    runs and the straps, with their ``positions`` (inches along the centreline from the run's start)."""
    name = f"{run.size} {run.raceway}"
    conduit = sum(one.piece.length for one in pieces)
    found: list[dict[str, Any]] = [{"what": "conduit", "text": name, "length": round(conduit, 4), "count": len(pieces)}]
    for which, end in (("start", run.start), ("end", run.end)):
        if end.fitting:
            found.append({"what": "fitting", "text": f"{name} {end.fitting}", "end": which, "count": 1})
    for one in path.breaks:
        found.append({"what": "fitting", "text": f"{name} {_named(path, one)}", "at": one.at, "count": 1})
    joints = [one.piece.ends + one.piece.gap / 2 for one in pieces[:-1] if one.piece.then is None]
    return [
        *found,
        *_spread("fitting", f"{name} coupling", joints),
        *_spread("strap", f"{name} strap", strapped.positions),
    ]


def _spread(what: str, text: str, positions: Sequence[float]) -> list[dict[str, Any]]:
    """Alike things along the run, if there are any."""
    places = [round(one, 4) for one in positions]
    return [{"what": what, "text": text, "count": len(places), "positions": places}] if places else []


def _named(path: Path, one: Break) -> str:
    """A fitting as it is asked for at the counter."""
    bend = path.bends[one.bend]
    turn = f", {angle_text(bend.angle)} degrees" if bend.angle else ""
    return f"{one.fitting.kind}{turn}{f', radius {format_length(bend.radius)}' if bend.radius else ''}"


def size(run: Run, path: Path, pieces: Sequence[Marked]) -> dict[str, Any]:
    """Of each finished piece: ``box``, its extent along travel, left and out of its start (inches), and ``weight`` of
    the bare tube (pounds, from its nominal section and the density of steel)."""
    per_inch = tables.weight_per_inch(run.raceway, run.size)
    return {
        "pieces": [
            {"box": _box(run, path, one.piece), "weight": round(per_inch * one.piece.length, 2)} for one in pieces
        ]
    }


def _box(run: Run, path: Path, piece: Piece) -> list[float]:
    half, stick = run.profile.outside_diameter / 2, path.sticks[piece.first]
    bends = path.bends[piece.first : piece.last]
    rings = _ends(path, piece)
    for bend in bends:
        rings.append((add(bend.point, bend.before, -bend.tangent), bend.before))
        rings.append((add(bend.point, bend.after, bend.tangent), bend.after))
    return [round(_extent(rings, bends, axis, half), 4) for axis in (stick.t, stick.left, stick.u)]


def _extent(rings: Sequence[tuple[Vector, Vector]], bends: Sequence[Bend], axis: Vector, half: float) -> float:
    """How far apart along an axis the conduit's outside reaches, at the ends of its straights and in its bends."""
    low, high, (x, y, z) = math.inf, -math.inf, axis
    for place, way in rings:
        # Written out: this is the innermost of all that a layout sums up.
        along, at = way[0] * x + way[1] * y + way[2] * z, place[0] * x + place[1] * y + place[2] * z
        wide = half * math.sqrt(max(0.0, 1 - along * along))
        low, high = min(low, at - wide), max(high, at + wide)
    for bend in bends:
        for at in _turns(bend, axis):
            low, high = min(low, at - half), max(high, at + half)
    return high - low


def _ends(path: Path, piece: Piece) -> list[tuple[Vector, Vector]]:
    """A piece's two ends, each with the way that it runs there."""
    one, other = path.directions[piece.first], path.directions[piece.last]
    begins = path.place(piece.first, piece.begins)
    return [(begins, one), (path.place(piece.last, piece.ends), other)]


def _turns(bend: Bend, axis: Vector) -> Iterator[float]:
    """Where along an axis a bend turns back, past both of its ends."""
    one, other = -dot(bend.inside, axis), dot(bend.before, axis)
    if other * dot(bend.after, axis) >= 0:
        return
    centre = dot(bend.point, axis) - bend.tangent * other - bend.radius * one
    reach, turned = bend.radius * math.hypot(one, other), math.atan2(other, one)
    for angle, place in ((turned, centre + reach), (turned + math.pi, centre - reach)):
        if 0 < angle % (2 * math.pi) < math.radians(bend.angle):
            yield place
