"""What a run takes, and how big and heavy the finished piece is."""

from __future__ import annotations

import math
from typing import Any

from bending import tables
from bending.path import Bend, Path
from bending.run import Run
from bending.vectors import ORIGIN, Vector, add


def of(run: Run, path: Path) -> list[dict[str, Any]]:
    """Conduit by length (inches), and the fittings that the ends name."""
    name = f"{run.size} {run.raceway}"
    found: list[dict[str, Any]] = [{"what": "conduit", "text": name, "length": round(path.length, 4), "count": 1}]
    for which, end in (("start", run.start), ("end", run.end)):
        if end.fitting:
            found.append({"what": "fitting", "text": f"{name} {end.fitting}", "end": which, "count": 1})
    return found


def size(run: Run, path: Path) -> dict[str, Any]:
    """Of each finished piece: ``box``, its extent along travel, left and out of its start (inches), and ``weight`` of
    the bare tube (pounds, from its nominal section and the density of steel)."""
    weight = tables.weight_per_inch(run.raceway, run.size) * path.length
    return {"pieces": [{"box": _box(run, path), "weight": round(weight, 2)}]}


def _box(run: Run, path: Path) -> list[float]:
    half = run.profile.outside_diameter / 2
    return [round(_extent(path, axis, half), 4) for axis in range(3)]


def _extent(path: Path, axis: int, half: float) -> float:
    reach = [_ring(ORIGIN, path.directions[0], axis, half), _ring(path.points[-1], path.directions[-1], axis, half)]
    for bend in path.bends:
        for place, way in ((-bend.tangent, bend.before), (bend.tangent, bend.after)):
            reach.append(_ring(add(bend.point, way, place), way, axis, half))
        reach += _bulge(bend, axis, half)
    return max(high for _, high in reach) - min(low for low, _ in reach)


def _ring(place: Vector, way: Vector, axis: int, half: float) -> tuple[float, float]:
    """How far the conduit's outside reaches at a place where it runs this way."""
    wide = half * math.sqrt(max(0.0, 1 - way[axis] * way[axis]))
    return place[axis] - wide, place[axis] + wide


def _bulge(bend: Bend, axis: int, half: float) -> list[tuple[float, float]]:
    """Where a bend turns back along an axis, it reaches past both of its ends."""
    one, other = -bend.inside[axis], bend.before[axis]
    centre = bend.point[axis] - bend.tangent * other - bend.radius * one
    reach, turned = bend.radius * math.hypot(one, other), math.atan2(other, one)
    found = []
    for angle, place in ((turned, centre + reach), (turned + math.pi, centre - reach)):
        if 0 < angle % (2 * math.pi) < math.radians(bend.angle):
            found.append((place - half, place + half))
    return found
