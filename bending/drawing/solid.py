"""The finished pipe in space, for a view that can be turned: points, radii and what is around them, as plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bending.drawing.shape import wishes_of
from bending.drawing.stance import Stance, stance_of
from bending.drawing.views import two_views
from bending.drawing.wire import Part, Straight, Vector, Wire, cut_out, wire_of_fold
from bending.fold import fold

# Straights longer than this many diameters are drawn short, or a long run would be a hair.
KEPT = 11.0
DECIMALS = 4


def solid(layout: Mapping[str, Any], document: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """What a turning view needs of a layout/1 document, as JSON; inches, in the run's starting frame.

    Returns `{"format": "solid/1", "diameter", "points", "radii", "breaks", "zero", "top", "mount", "right", "up",
    "ends", "words"}`. `points` are the start, every point of intersection and the end, `radii` one for each inner
    point; long straights are drawn short, and `breaks` are their numbers. `zero` is the end that is measured from;
    the stripe and the label lie toward `top` there where the run starts. `right` and `up` are how he sees it who hangs
    it, or a square view where nobody stands; `mount` is wall, ceiling, deck or free, its surface square to `top`.
    `words` say all of it for who can't see it. Raises `Problems` if the layout can't be folded.
    """
    wire = wire_of_fold(fold(layout), float(layout["bender"]["outside_diameter"]))
    drawn = cut_out(wire, KEPT * wire.diameter)
    stance = stance_of(document)
    view = stance.view if stance else two_views(wire)[0]
    places = [drawn.parts[0].start, *(elbow.pi for elbow in drawn.elbows), drawn.parts[-1].end]
    mount = stance.mount if stance else str((document or {}).get("mount") or "free")
    ends = wishes_of(document, {}).ends
    return {
        "format": "solid/1",
        "diameter": wire.diameter,
        "points": [_rounded(place) for place in places],
        "radii": [round(elbow.radius, DECIMALS) for elbow in drawn.elbows],
        "breaks": _breaks(wire.parts, drawn.parts),
        "zero": layout["pieces"][0].get("zero", "start"),
        "top": [0, 0, 1],
        "mount": mount,
        "right": _rounded(view.right),
        "up": _rounded(view.up),
        "ends": list(ends),
        "words": _words(wire, mount, ends, stance),
    }


def _rounded(place: Vector) -> list[float]:
    return [round(number, DECIMALS) + 0.0 for number in place]


def _breaks(true: Sequence[Part], drawn: Sequence[Part]) -> list[int]:
    pairs = zip(true, drawn, strict=True)
    straights = [(one, other) for one, other in pairs if isinstance(one, Straight) and isinstance(other, Straight)]
    return [number for number, (one, other) in enumerate(straights) if one.length - other.length > 1e-6]


def _words(wire: Wire, mount: str, ends: Sequence[str], stance: Stance | None) -> str:
    """What a man would see: how many bends, which way each leg goes, and on what it hangs."""
    bends = len(wire.elbows)
    told = [f"The pipe in space: {bends} bend{'' if bends == 1 else 's'}"]
    if bends:
        ways = (straight.direction for straight in wire.straights)
        told.append("from A it goes " + ", then ".join(_way(way, stance) for way in ways))
    told.append("A is the start" + (f", {ends[0]}" if ends[0] else ""))
    told.append("B the end" + (f", {ends[1]}" if ends[1] else ""))
    if mount != "free":
        told.append(f"it hangs on the {mount}" if mount != "deck" else "it lies on the deck")
    return "; ".join(told) + "."


def _way(way: Vector, stance: Stance | None) -> str:
    """A direction as the man says it, or in the frame's words where nobody stands."""
    if stance:
        return stance.named(way)
    names = (("along the run", "back along it"), ("left", "right"), ("out", "in"))
    sizes = sorted(((abs(size), names[axis][size < 0]) for axis, size in enumerate(way)), reverse=True)
    return " and ".join(name for size, name in sizes if size > 0.05)
