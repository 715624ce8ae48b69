"""What a run takes, and how big and heavy the finished piece is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from bending import tables
from bending.advice import angle_text
from bending.lengths import format_length
from bending.marks import Marked
from bending.path import Bend, Break, Path
from bending.pieces import Piece
from bending.run import Run
from bending.vectors import Vector, add, dot


def of(run: Run, path: Path, pieces: Sequence[Marked]) -> list[dict[str, Any]]:
    """Conduit by length (inches), the fittings that the ends name, and those in the path."""
    name = f"{run.size} {run.raceway}"
    conduit = sum(one.piece.length for one in pieces)
    found: list[dict[str, Any]] = [{"what": "conduit", "text": name, "length": round(conduit, 4), "count": 1}]
    for which, end in (("start", run.start), ("end", run.end)):
        if end.fitting:
            found.append({"what": "fitting", "text": f"{name} {end.fitting}", "end": which, "count": 1})
    for one in path.breaks:
        found.append({"what": "fitting", "text": f"{name} {_named(path, one)}", "at": one.at, "count": 1})
    return found


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
    return [round(_extent(path, piece, axis, half), 4) for axis in (stick.t, stick.left, stick.u)]


def _extent(path: Path, piece: Piece, axis: Vector, half: float) -> float:
    reach = [_ring(place, way, axis, half) for place, way in _ends(path, piece)]
    for bend in path.bends[piece.first : piece.last]:
        for place, way in ((-bend.tangent, bend.before), (bend.tangent, bend.after)):
            reach.append(_ring(add(bend.point, way, place), way, axis, half))
        reach += _bulge(bend, axis, half)
    return max(high for _, high in reach) - min(low for low, _ in reach)


def _ends(path: Path, piece: Piece) -> list[tuple[Vector, Vector]]:
    """A piece's two ends, each with the way that it runs there."""
    one, other = path.directions[piece.first], path.directions[piece.last]
    begins = path.place(piece.first, piece.begins)
    return [(begins, one), (path.place(piece.last, piece.ends), other)]


def _ring(place: Vector, way: Vector, axis: Vector, half: float) -> tuple[float, float]:
    """How far the conduit's outside reaches at a place where it runs this way."""
    along, at = dot(way, axis), dot(place, axis)
    wide = half * math.sqrt(max(0.0, 1 - along * along))
    return at - wide, at + wide


def _bulge(bend: Bend, axis: Vector, half: float) -> list[tuple[float, float]]:
    """Where a bend turns back along an axis, it reaches past both of its ends."""
    one, other = -dot(bend.inside, axis), dot(bend.before, axis)
    centre = dot(bend.point, axis) - bend.tangent * other - bend.radius * one
    reach, turned = bend.radius * math.hypot(one, other), math.atan2(other, one)
    found = []
    for angle, place in ((turned, centre + reach), (turned + math.pi, centre - reach)):
        if 0 < angle % (2 * math.pi) < math.radians(bend.angle):
            found.append((place - half, place + half))
    return found
