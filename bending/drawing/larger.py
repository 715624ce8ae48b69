"""Small rises drawn larger than true: a standing view is for the hand of a run, its numbers are for the size."""

from __future__ import annotations

import math

from bending.drawing.checkdims import legs
from bending.drawing.wire import Straight, Vector, Wire, add, dot, scale, sub, through

# A rise is drawn at least this many pipes wide.
LEAST_RISE = 1.8
# Less than this is no rise; inches.
NO_RISE = 1e-6


def enlarged(wire: Wire, least: float = LEAST_RISE, longest: float = 1.0) -> Wire:
    """The same pipe with every slope off its leg's line at least `least` diameters wide.

    Along the leg a slope stays as long as it is; `longest` lets it grow with its rise, at most that many times.
    """
    lines = {id(part): leg.line for leg in legs(wire) for part in leg.parts if isinstance(part, Straight)}
    places = [wire.parts[0].start, *(elbow.pi for elbow in wire.elbows), wire.parts[-1].end]
    moved, here = [places[0]], places[0]
    for index, straight in enumerate(wire.straights):
        reach = sub(places[index + 1], places[index])
        here = add(here, _widened(reach, lines.get(id(straight)), least * wire.diameter, longest))
        moved.append(here)
    if all(math.dist(one, other) < NO_RISE for one, other in zip(places, moved, strict=True)):
        return wire
    return through(wire, moved)


def _widened(reach: Vector, line: Vector | None, least: float, longest: float) -> Vector:
    """A way from one point of intersection to the next, its part square to the leg made at least so large."""
    if line is None:
        return reach
    along = scale(line, dot(reach, line))
    aside = sub(reach, along)
    size = math.hypot(*aside)
    if size < NO_RISE or size >= least:
        return reach
    return add(scale(along, min(least / size, longest)), scale(aside, least / size))
