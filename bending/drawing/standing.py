"""The standing view: a run as the man sees it who hangs it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bending.drawing.boxes import Taken, box_of, boxes_of, extent
from bending.drawing.ground import ceiling_edge, draw_boxes, draw_ceiling, draw_flat_ground, wall_ahead
from bending.drawing.larger import enlarged
from bending.drawing.obstacles import draw_obstacles
from bending.drawing.panel import Panel, Wishes, draw_pipe
from bending.drawing.primitives import Drawing, Item, Number, Point, Polygon, Text, shifted, text_width
from bending.drawing.saying import Move, draw_legs, draw_moves, draw_straight_on, moves, said_of
from bending.drawing.shape import wishes_of
from bending.drawing.stance import Stance, stance_of
from bending.drawing.vanishing import EyeView, draw_pipe_seen, eye_view
from bending.drawing.views import Fit, fit
from bending.drawing.wire import Vector, Wire, add, centreline, cut_out, scale, sub, unit, wire_of_fold, wire_of_points
from bending.fold import fold

PASSES = 4
# Under a ceiling this many diameters of a long straight are shown, and a rise is at least so many wide.
KEPT, WIDER, LONGER = 8.0, 3.8, 2.4
# The pipe is drawn at most this wide at the eye's focus, px of a usual screen picture.
WIDEST = 15.0
# Words don't go off the sheet at its sides: what lies there is taken, as far as this.
FAR = 1e5


@dataclass(frozen=True)
class _Scene:
    """What is drawn: the true pipe, the pipe with its small rises enlarged, from where, and what is said beside it."""

    true: Wire
    whole: Wire
    stance: Stance
    wishes: Wishes

    @property
    def seen(self) -> bool:
        """Whether it is seen with a vanishing point."""
        return self.stance.mount == "ceiling"


def standing_view(
    layout: Mapping[str, Any], document: Mapping[str, Any], *, piece: int | None = None, **wishes: Any
) -> Drawing | None:
    """The run of a layout/1 document as it hangs: `mount` and `heads` of the run/1 `document` say where he stands.

    On a wall or a deck square on; under a ceiling with one vanishing point, looking along the first leg. Small rises
    are drawn larger than true; numbers are true. None where nobody stands: a run that hangs free, or on a wall with
    no word of which way its first leg heads. Other keywords are the fields of `Wishes`.
    Raises `Problems` if the layout can't be folded.
    """
    wire = wire_of_fold(fold(layout), float(layout["bender"]["outside_diameter"]), piece)
    return _stand(wire, document, wishes)


def standing_of_points(
    points: Sequence[Sequence[float]],
    radii: Sequence[float],
    outside_diameter: float,
    *,
    features: Sequence[str] = (),
    document: Mapping[str, Any] | None = None,
    **wishes: Any,
) -> Drawing | None:
    """The same from points of intersection alone, as `views_of_points` takes them, for a run that can't be laid out."""
    return _stand(wire_of_points(points, radii, outside_diameter, features), document or {}, wishes)


def _stand(wire: Wire, document: Mapping[str, Any], wishes: Mapping[str, Any]) -> Drawing | None:
    stance = stance_of(document)
    if stance is None:
        return None
    scene = _Scene(
        wire,
        enlarged(wire, WIDER, LONGER) if stance.mount == "ceiling" else enlarged(wire),
        stance,
        wishes_of(document, wishes),
    )
    left = right = scene.wishes.text
    for _ in range(PASSES):
        panel, moved = _drawn(scene, left, right)
        box = extent(panel.items)
        out_left, out_right = -box[0], box[2] - scene.wishes.width
        if out_left <= 0.5 and out_right <= 0.5:
            break
        left, right = left + max(out_left, 0) + 1, right + max(out_right, 0) + 1
    return _sheet(scene, panel, moved)


def _drawn(scene: _Scene, left: float, right: float) -> tuple[Panel, list[Move]]:
    """Everything but the ground it hangs on."""
    room = (max(scene.wishes.width - left - right, scene.wishes.width / 4), scene.wishes.most_height)
    panel = _seen_panel(scene, left, room) if scene.seen else _square_panel(scene, left, room)
    from_behind = _comes_from_behind(scene, panel)
    _draw_things(panel)
    _keep_words_off(panel, from_behind)
    draw_straight_on(panel)
    if isinstance(panel.view, EyeView):
        draw_pipe_seen(panel, panel.view, from_behind)
    else:
        draw_pipe(panel)
    moved = moves(scene.true, panel.fit.wire, scene.stance)
    _draw_ends(panel, hide_start=from_behind)
    draw_moves(panel, sorted(moved, key=lambda move: not scene.wishes.look(move.place)), panel.fit.wire)
    draw_legs(panel, scene.wishes.document or {})
    return panel, moved


def _draw_things(panel: Panel) -> None:
    """What was there before; words go elsewhere."""
    if isinstance(panel.view, EyeView):
        draw_boxes(panel)
    else:
        draw_obstacles(panel)
    panel.taken.boxes += [box_of(item) for item in panel.items if isinstance(item, Polygon)]


def _keep_words_off(panel: Panel, from_behind: bool) -> None:
    """Words stay on the sheet, off the ceiling's edge, and below where the pipe comes in."""
    width = panel.wishes.width
    panel.taken.boxes += [(-FAR, -FAR, 0, FAR), (width, -FAR, FAR, FAR)]
    if isinstance(panel.view, EyeView):
        edge = ceiling_edge(panel)
        panel.taken.add_line(((0, edge), (width, edge)), 1)
    if from_behind:
        panel.taken.boxes.append((-FAR, -FAR, FAR, panel.at(panel.fit.wire.parts[0].start)[1]))


def _square_panel(scene: _Scene, left: float, room: Point) -> Panel:
    view = scene.stance.view
    found = fit(scene.whole, (view, view), room, 13 * scene.wishes.unit)
    return _placed(Panel(view, found, scene.whole, scene.wishes), left, room)


def _seen_panel(scene: _Scene, left: float, room: Point) -> Panel:
    wire = cut_out(scene.whole, KEPT * scene.whole.diameter)
    view = eye_view(scene.stance.view, wire)
    flats = [view.flat(point) for part in wire.parts for point in centreline(part)]
    size = [max(axis) - min(axis) + wire.diameter for axis in zip(*flats, strict=True)]
    widest = WIDEST * scene.wishes.unit / wire.diameter
    found = Fit(wire, min(room[0] / size[0], room[1] / size[1], widest), KEPT * wire.diameter)
    return _placed(Panel(view, found, scene.whole, scene.wishes), left, room)


def _placed(panel: Panel, left: float, room: Point) -> Panel:
    """The pipe in the middle of what is free of its sheet."""
    points = [panel.at(point) for part in panel.fit.wire.parts for point in centreline(part)]
    xs, ys = zip(*points, strict=True)
    panel.zero = (left + (room[0] - max(xs) - min(xs)) / 2, panel.pipe_width - min(ys))
    return panel


def _comes_from_behind(scene: _Scene, panel: Panel) -> bool:
    """Under a ceiling, a long first straight comes in over his head."""
    return scene.seen and scene.whole.straights[0].length - panel.fit.wire.straights[0].length > 1e-6


def _draw_ends(panel: Panel, hide_start: bool) -> None:
    """A and B at the pipe's ends, with what they go to."""
    first, last = panel.fit.wire.parts[0], panel.fit.wire.parts[-1]
    ends = [("A", first.start, sub(first.start, first.end)), ("B", last.end, sub(last.end, last.start))]
    for (letter, end, toward), words in list(zip(ends, panel.wishes.ends, strict=True))[1 if hide_start else 0 :]:
        _draw_end(panel, f"{letter}: {words}" if words else letter, end, toward)


def _draw_end(panel: Panel, words: str, end: Vector, toward: Vector) -> None:
    size = panel.small
    wide = text_width(words, size)
    x, y = panel.at(end)
    ahead = panel.at(add(end, scale(unit(toward), panel.fit.wire.diameter)))
    long = math.dist((x, y), ahead) or 1.0
    way = ((ahead[0] - x) / long, (ahead[1] - y) / long)
    off = panel.pipe_width * 0.6 + 4 * panel.unit
    places = [
        (x + wx * (off + far + wide / 2), y + wy * (off + far + size / 2))
        for far in (0.0, 12 * panel.unit, 26 * panel.unit)
        for wx, wy in (way, (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
    ]
    places += [(x + side * wide / 2, y + down * (off + size)) for side in (1, -1) for down in (1, -1)]
    boxes = [(px - wide / 2 - 2, py - size * 0.5, px + wide / 2 + 2, py + size * 0.5) for px, py in places]
    px, py = places[panel.taken.best(boxes)]
    panel.draw(Text((px - wide / 2, py + size * 0.36), words, size, "loud"))


def _sheet(scene: _Scene, panel: Panel, moved: Sequence[Move]) -> Drawing:
    """Move the picture under its head, and the ground under the picture."""
    wishes, stance = scene.wishes, scene.stance
    start = panel.at(panel.fit.wire.parts[0].start)
    _, top, _, bottom = extent(panel.items)
    pad = 8 * wishes.unit
    if scene.seen:
        bottom = max(bottom, ceiling_edge(panel) + wishes.small * 0.3)
    head, foot = wishes.small * 1.7, wishes.small * 1.6
    from_behind = _comes_from_behind(scene, panel)
    words = [box_of(item)[1] for item in panel.items if isinstance(item, Text | Number)]
    # What comes in over his head is cut off, but never a word.
    top = min([start[1], *words]) if from_behind else top - pad
    down = head - top
    height = bottom + down + foot + pad
    panel.zero = (panel.zero[0], panel.zero[1] + down)
    body = shifted(panel.items, 0, down)
    panel.items = []
    # The names on the ground are placed by what is taken where the picture now stands.
    panel.taken = _taken(body)
    if scene.seen:
        draw_ceiling(panel, (head, height), wall_ahead(panel))
    else:
        draw_flat_ground(panel, (head, height), stance.mount)
        body = tuple(replace(item, style="surface") if item.style == "gap" else item for item in body)
    cover: tuple[Item, ...] = (_cover(wishes.width, head),)
    items = (*panel.items, *body, *cover, *_head(scene), *_sides(scene, height))
    return Drawing(wishes.width, height, items, wishes.medium, said_of(moved, stance.mount))


def _taken(items: Sequence[Item]) -> Taken:
    return Taken([box for item in items for box in boxes_of(item)])


def _cover(width: float, head: float) -> Polygon:
    """What comes in over his head is cut off at the picture's top."""
    return Polygon(((0, 0), (width, 0), (width, head), (0, head)), "gap")


def _head(scene: _Scene) -> list[Item]:
    stance, size = scene.stance, scene.wishes.small
    where = {"wall": "facing the wall", "ceiling": "from under it, along the first leg"}
    words = where.get(stance.mount, "from above, along the first leg")
    if stance.compass_ahead:
        words += f", looking {stance.compass_ahead.upper()}"
    name = stance.view.name
    return [
        Text((0, size * 1.05), name, size, "loud"),
        Text((text_width(name, size) + size, size * 1.05), words, size, "note"),
    ]


def _sides(scene: _Scene, height: float) -> list[Item]:
    """Which side of the picture is which of his hands."""
    size, width = scene.wishes.small, scene.wishes.width
    y, half = height - size * 0.6, size * 0.35
    tips = ((size * 0.3, size * 1.0), (width - size * 0.3, width - size * 1.0))
    arrows = [Polygon(((tip, y - half), (back, y - 2 * half), (back, y)), "flag") for tip, back in tips]
    return [
        *arrows,
        Text((size * 1.3, y), "YOUR LEFT", size * 0.9, "name"),
        Text((width - size * 1.3, y), "YOUR RIGHT", size * 0.9, "name", "end"),
    ]


__all__ = ["standing_of_points", "standing_view"]
