"""A finished piece for other programs: its centreline as lines and arcs, and its table of length, rotation, angle."""

from __future__ import annotations

import csv
import importlib.util
import io
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from bending.fold import fold
from bending.lra import lra
from bending.problems import Problem, Problems
from bending.vectors import Vector, add, cross, dot, length, scaled

Part = dict[str, Any]
CSV_HEAD = (
    "piece", "part", "kind", "x1", "y1", "z1", "x2", "y2", "z2", "centre_x", "centre_y", "centre_z", "radius", "angle",
)  # fmt: skip
# Degrees: a bend of less has no plane that its places could tell.
NO_ARC = 1e-4
LRA_HEAD = ("piece", "row", "length", "rotation", "angle", "radius")


def centreline(layout: Mapping[str, Any]) -> dict[str, Any]:
    """``{"format": "centreline/1", "unit": "in", "tag": …, "pieces": [{"cut_length", "points", "parts"}]}``.

    ``parts`` are lines (``from``, ``to``) and arcs (also ``centre``, ``normal``, ``radius``, ``angle``) in order, in
    the run's starting frame: travel +x, out +z, left +y; inches and degrees. It is what the marked stick folds up to.
    Raises ``Problems`` for a layout that can't be folded.
    """
    folded = fold(layout)
    pieces = [
        {"cut_length": piece["length"], "points": piece["points"], "parts": list(_parts(piece))}
        for piece in folded["pieces"]
    ]
    return {"format": "centreline/1", "unit": "in", "tag": folded.get("tag", ""), "pieces": pieces}


def _parts(piece: Mapping[str, Any]) -> Iterator[Part]:
    here = tuple(piece["points"][0])
    for bend in piece["bends"]:
        start, end = tuple(bend["start"]), tuple(bend["end"])
        yield from _line(here, start)
        if bend["angle"] > NO_ARC:
            yield _arc(bend)
        else:
            yield from _line(start, end)
        here = end
    yield from _line(here, tuple(piece["points"][-1]))


def _line(one: Vector, other: Vector) -> Iterator[Part]:
    """Two bends that touch have no line between them."""
    if length(add(other, one, -1.0)) > 1e-9:
        yield {"kind": "line", "from": list(one), "to": list(other)}


def _arc(bend: Mapping[str, Any]) -> Part:
    start, corner, end = (tuple(bend[key]) for key in ("start", "pi", "end"))
    before, after = _unit(add(corner, start, -1.0)), _unit(add(end, corner, -1.0))
    inside = _unit(add(after, before, -dot(after, before)))
    return {
        "kind": "arc",
        "from": list(start),
        "to": list(end),
        "centre": list(add(start, inside, bend["radius"])),
        "normal": list(_unit(cross(before, after))),
        "radius": bend["radius"],
        "angle": bend["angle"],
    }


def _unit(one: Vector) -> Vector:
    return scaled(one, 1 / length(one))


def centreline_csv(layout: Mapping[str, Any]) -> str:
    """The same as CSV, one line or arc a row; inches and degrees, nine figures after the point."""
    rows = []
    for number, piece in enumerate(centreline(layout)["pieces"], start=1):
        for step, part in enumerate(piece["parts"], start=1):
            centre, size = part.get("centre", ("", "", "")), (part.get("radius", ""), part.get("angle", ""))
            rows.append((number, step, part["kind"], *part["from"], *part["to"], *centre, *size))
    return _csv(CSV_HEAD, rows)


def lra_csv(layout: Mapping[str, Any]) -> str:
    """The table of every piece as CSV: length from point of intersection to point of intersection, rotation by the
    right hand, angle, radius; inches and degrees. Machines differ in the rotation's sign: try one part in scrap."""
    rows = []
    for number, piece in enumerate(fold(layout)["pieces"], start=1):
        radii = [bend["radius"] for bend in piece["bends"]]
        for step, row in enumerate(lra([tuple(point) for point in piece["points"]], radii), start=1):
            turned = ("" if row.rotation is None else row.rotation, "" if row.angle is None else row.angle)
            rows.append((number, step, row.length, *turned, row.radius))
    return _csv(LRA_HEAD, rows)


def _csv(head: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    written = io.StringIO(newline="")
    table = csv.writer(written)
    table.writerow(head)
    table.writerows([[_figure(value) for value in row] for row in rows])
    return written.getvalue()


def _figure(value: Any) -> Any:
    """No -0, and no more figures than a pipe has."""
    return f"{value + 0.0:.9f}" if isinstance(value, float) else value


def dxf(layout: Mapping[str, Any]) -> str:
    """The centreline as DXF of version R2000, in inches: lines and arcs in space, one layer a piece.

    Needs the package ezdxf, the extra ``dxf``. Raises ``Problems``: ``not_installed``, and as ``centreline``.
    """
    if importlib.util.find_spec("ezdxf") is None:
        words = "DXF needs the package ezdxf: install racewright[dxf]"
        raise Problems([Problem("", "not_installed", words)])
    import ezdxf
    from ezdxf import units

    drawing = ezdxf.new("R2000", units=units.IN)
    space = drawing.modelspace()
    for number, piece in enumerate(centreline(layout)["pieces"], start=1):
        layer = drawing.layers.add(f"PIECE_{number}").dxf.name
        for part in piece["parts"]:
            if part["kind"] == "line":
                space.add_line(part["from"], part["to"], dxfattribs={"layer": layer})
            else:
                _add_arc(space, part, layer)
    written = io.StringIO()
    drawing.write(written)
    return written.getvalue()


def _add_arc(space: Any, part: Part, layer: str) -> None:
    """An arc lies in a plane of its own: its normal is the extrusion, and it runs counter-clockwise about it."""
    from ezdxf.math import OCS

    plane = OCS(part["normal"])
    centre, start, end = (plane.from_wcs(part[key]) for key in ("centre", "from", "to"))
    angles = [math.degrees(math.atan2(one.y - centre.y, one.x - centre.x)) for one in (start, end)]
    attributes = {"layer": layer, "extrusion": part["normal"]}
    space.add_arc(centre, part["radius"], *angles, dxfattribs=attributes)
