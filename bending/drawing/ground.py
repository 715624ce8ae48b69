"""What a standing view hangs on: wall, deck or ceiling, and what stands under a ceiling."""

from __future__ import annotations

from collections.abc import Sequence

from bending.drawing.obstacles import (
    Obstacle,
    Site,
    hatch,
    obstacles,
    place_in_space,
    round_place,
)
from bending.drawing.panel import Panel
from bending.drawing.primitives import Line, Point, Polygon, Text, text_width
from bending.drawing.vanishing import EyeView, hull
from bending.drawing.wire import Vector, add, centreline, cross, dot, scale, sub, unit

# Hatching in two corners tells a surface from paper, and leaves the middle to the pipe.
CORNER, HATCH = 34.0, 7.0
# Lines on a ceiling lie this many diameters apart; what hangs there reaches so far to either side.
GRID, REACH = 7.0, 5.0
# Where no wall is known, the ceiling is drawn this much of the run's own depth beyond it.
BEYOND = 0.5


def draw_flat_ground(panel: Panel, rows: Point, mount: str) -> None:
    """A wall or a deck seen square on, from `rows[0]` to `rows[1]` of the sheet."""
    (top, bottom), width = rows, panel.wishes.width
    size = CORNER * panel.unit
    panel.draw(Polygon(((0, top), (width, top), (width, bottom), (0, bottom)), "surface"))
    panel.draw(*hatch(((0, top), (size, top), (0, top + size)), HATCH * panel.unit))
    panel.draw(*hatch(((width, top), (width, top + size), (width - size, top)), HATCH * panel.unit))
    words = Text((width / 2, bottom - panel.small * 0.6), f"the {mount}", panel.small, "note", "middle")
    panel.draw(Line((0, top), (width, top), "ext"), words)


def wall_ahead(panel: Panel) -> float | None:
    """How far along his look a wall stands that a corner's `mount` names; none if no such wall is ahead."""
    path = (panel.wishes.document or {}).get("path") or ()
    ahead = scale(panel.view.toward_eye, -1)
    for elbow in panel.fit.wire.elbows:
        number = elbow.feature.removeprefix("path[").removesuffix("]")
        item = path[int(number)] if number.isdigit() and int(number) < len(path) else None
        going = unit(sub(elbow.pi, elbow.start))
        if elbow.corner and isinstance(item, dict) and item.get("mount") == "wall" and dot(going, ahead) > 0.9:
            return dot(elbow.pi, ahead) + panel.fit.wire.diameter / 2
    return None


def draw_ceiling(panel: Panel, rows: Point, wall: float | None) -> None:
    """The ceiling from the picture's top to its far edge: a wall if one is ahead, else beyond the run's own reach."""
    view = panel.view
    if not isinstance(view, EyeView):
        raise TypeError("a ceiling is seen with a vanishing point")
    ceiling = _ceiling(panel, view, wall)
    edge = panel.at(_on_ceiling(view, ceiling[0], 0.0, ceiling[1]))[1]
    top, width = rows[0], panel.wishes.width
    panel.draw(Polygon(((0, top), (width, top), (width, edge), (0, edge)), "surface"))
    _draw_grid(panel, view, ceiling, (top, edge))
    panel.draw(Line((0, edge), (width, edge), "dim" if wall is None else "cut"))
    _draw_name(panel, "ceiling", edge - panel.small * 0.4, top)
    if wall is not None:
        _draw_name(panel, "wall", edge + panel.small * 1.1, top)


def ceiling_edge(panel: Panel) -> float:
    """Where on the sheet the ceiling's far edge will be drawn."""
    if not isinstance(panel.view, EyeView):
        raise TypeError("a ceiling is seen with a vanishing point")
    far, height = _ceiling(panel, panel.view, wall_ahead(panel))
    return panel.at(_on_ceiling(panel.view, far, 0.0, height))[1]


def _ceiling(panel: Panel, view: EyeView, wall: float | None) -> Point:
    """How far along his look the ceiling's edge lies, and how high the ceiling."""
    wire, ahead = panel.fit.wire, scale(view.toward_eye, -1)
    depths = [dot(point, ahead) for part in wire.parts for point in centreline(part)]
    beyond = max(BEYOND * (max(depths) - min(depths)), 6 * wire.diameter)
    far = max(depths) + beyond if wall is None else wall
    height = max(dot(part.start, view.up) for part in wire.parts) + wire.diameter / 2
    return far, height


def _draw_name(panel: Panel, words: str, baseline: float, top: float) -> None:
    """The surface's name at the side of the picture where the pipe is not; left out where nothing is free."""
    wide, size, right = text_width(words, panel.small), panel.small, panel.wishes.width - 4
    places = ((4.0, "start"), (right, "end"))
    boxes = [
        (x - wide * (anchor == "end"), baseline - size, x + wide * (anchor == "start"), baseline)
        for x, anchor in places
    ]
    chosen = panel.taken.free(boxes)
    if chosen is None or baseline - size < top:
        return
    x, anchor = places[chosen]
    panel.draw(Text((x, baseline), words, size, "note", anchor))


def _on_ceiling(view: EyeView, along: float, aside: float, height: float) -> Vector:
    ahead = scale(view.toward_eye, -1)
    return add(add(scale(ahead, along), scale(view.right, aside)), scale(view.up, height))


def _draw_grid(panel: Panel, view: EyeView, ceiling: Point, rows: Point) -> None:
    """Lines that run with the first leg, and lines across it."""
    (far, height), (top, edge), width = ceiling, rows, panel.wishes.width
    step = GRID * panel.fit.wire.diameter
    vanishing = panel.zero
    eye = dot(view.eye, view.right)
    first = dot(panel.fit.wire.parts[0].start, view.right)
    for number in range(-40, 41):
        x, y = panel.at(_on_ceiling(view, far, first + (number + 0.5) * step, height))
        if abs(y - vanishing[1]) < 1e-6 or not -width < x < 2 * width:
            continue
        share = (top - y) / (y - vanishing[1])
        line = _clipped((x, y), (x + (x - vanishing[0]) * share, top), width)
        if line:
            panel.draw(Line(*line, "grid"))
    for number in range(1, 30):
        y = panel.at(_on_ceiling(view, far - number * step, eye, height))[1]
        if y <= top or y >= edge:
            break
        panel.draw(Line((0, y), (width, y), "grid"))


def _clipped(start: Point, end: Point, width: float) -> tuple[Point, Point] | None:
    """The part of a line between the sheet's sides."""
    low, high = 0.0, 1.0
    run = end[0] - start[0]
    for near, far in ((-start[0], run), (start[0] - width, -run)):
        if abs(far) < 1e-9:
            if near > 0:
                return None
        elif far > 0:
            low = max(low, near / far)
        else:
            high = min(high, near / far)
    if low >= high:
        return None
    return _between(start, end, low), _between(start, end, high)


def _between(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def draw_boxes(panel: Panel) -> None:
    """What hangs on the ceiling: the outline, and the face that looks at the eye."""
    for site, obstacle in obstacles(panel):
        near, far = _faces(panel, site, obstacle)
        outline = hull([panel.at(point) for point in (*near, *far)])
        panel.draw(Polygon(outline, "solid"), *hatch(outline, HATCH * panel.unit))
        panel.draw(Polygon(tuple(map(panel.at, near)), "solid"))


def _faces(panel: Panel, site: Site, obstacle: Obstacle) -> tuple[list[Vector], list[Vector]]:
    """The two ends of an obstacle that lies across its leg: the nearer to the eye first."""
    wire, line = panel.fit.wire, site.line
    base, surface = site.drawn.straights[0].start, site.behind(obstacle.out)
    low, high = site.drawn_between(obstacle.low, obstacle.high)
    inner, outer = surface + obstacle.inner, surface + obstacle.outer
    if obstacle.is_round:
        places = [round_place(low, high, inner, outer, step) for step in range(0, 36, 2)]
    else:
        places = [(low, inner), (high, inner), (high, outer), (low, outer)]
    middle = [place_in_space(base, line, obstacle.out, place) for place in places]
    across = scale(_square(line, obstacle.out), REACH * wire.diameter)
    if abs(dot(line, panel.view.toward_eye)) > 0.7 and not obstacle.is_round:
        faces = _front(middle, across)
    else:
        faces = [[add(point, way) for point in middle] for way in (across, scale(across, -1))]
    near, far = sorted(faces, key=lambda face: _depth(panel, face))
    return near, far


def _front(middle: Sequence[Vector], across: Vector) -> list[list[Vector]]:
    """Of a box that the leg runs under: the face that he walks up to, and the one behind."""
    back = scale(across, -1)
    (a, b, c, d) = middle
    return [
        [add(a, across), add(a, back), add(d, back), add(d, across)],
        [add(b, across), add(b, back), add(c, back), add(c, across)],
    ]


def _square(line: Vector, out: Vector) -> Vector:
    return unit(cross(line, out))


def _depth(panel: Panel, face: Sequence[Vector]) -> float:
    return -sum(dot(point, panel.view.toward_eye) for point in face) / len(face)


__all__ = ["ceiling_edge", "draw_boxes", "draw_ceiling", "draw_flat_ground", "wall_ahead"]
