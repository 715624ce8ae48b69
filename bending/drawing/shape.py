"""The finished shape: two square views, lined up, with check dimensions from the pipe's own ends."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from bending.drawing.boxes import box_of, boxes_of, extent, overlap
from bending.drawing.checkdims import Check, checks
from bending.drawing.dimension import Measured, draw_rise, draw_stacked, label, measured
from bending.drawing.obstacles import draw_obstacles
from bending.drawing.panel import Panel, Wishes, draw_head, draw_pipe
from bending.drawing.primitives import Drawing, Item, Number, Polygon, Polyline, Text, Tube, shifted, text_width
from bending.drawing.views import SIDE, Fit, View, fit, two_views
from bending.drawing.wire import Wire, centreline, sub, wire_of_fold, wire_of_points
from bending.fold import fold

PASSES = 4


def shape_views(
    layout: Mapping[str, Any],
    document: Mapping[str, Any] | None = None,
    *,
    piece: int | None = None,
    **wishes: Any,
) -> tuple[Drawing, Drawing]:
    """Two square views of a layout/1 document, folded: the one that shows most of the bending first.

    `document` (run/1) adds the words of the ends, the stars and the obstructions. `piece` draws one piece of a run
    that needs several. Other keywords are the fields of `Wishes`. Both drawings have one width; their left edges and
    their scale agree, so that one stands right under the other.
    Raises `Problems` if the layout can't be folded.
    """
    folded = fold(layout)
    wire = wire_of_fold(folded, float(layout["bender"]["outside_diameter"]), piece)
    return _draw(wire, wishes_of(document, wishes))


def check_dimensions(layout: Mapping[str, Any], piece: int | None = None) -> list[Check]:
    """What a tape can take of the finished pipe on a table, as the views dimension it, for who writes it in words.

    Raises `Problems` if the layout can't be folded.
    """
    return checks(wire_of_fold(fold(layout), float(layout["bender"]["outside_diameter"]), piece))


def views_of_points(
    points: Sequence[Sequence[float]],
    radii: Sequence[float],
    outside_diameter: float,
    *,
    features: Sequence[str] = (),
    document: Mapping[str, Any] | None = None,
    **wishes: Any,
) -> tuple[Drawing, Drawing]:
    """The same two views from points of intersection alone, for a run that can't be laid out.

    `points`: start, each point of intersection, end, in inches and the run's frame; `radii` and `features` (document
    places such as `path[0].features[1]`) one for each inner point. A radius with no room is drawn as large as fits.
    """
    wire = wire_of_points(points, radii, outside_diameter, features)
    return _draw(wire, wishes_of(document, wishes))


def shape_icon(
    layout: Mapping[str, Any],
    size: float = 48,
    medium: str = "screen",
    *,
    width: float | None = None,
    piece: int | None = None,
) -> Drawing:
    """The shape as one fat line for lists and labels: in a square, or `size` high in a strip that is `width` wide."""
    wide = width or size
    wire = wire_of_fold(fold(layout), float(layout["bender"]["outside_diameter"]), piece)
    view = two_views(wire)[0]
    thick = size / 9
    found = fit(wire, (view, view), (wide - 2, size - 2), thick)
    flats = [view.flat(point) for part in found.wire.parts for point in centreline(part)]
    points = [(x * found.scale, -y * found.scale) for x, y in flats]
    left, top, right, bottom = extent([Polyline(tuple(points), "break")])
    dx, dy = (wide - left - right) / 2, (size - top - bottom) / 2
    body = Tube(tuple((x + dx, y + dy) for x, y in points), max(thick, found.scale * wire.diameter), "pipe")
    return Drawing(wide, size, (body,), medium, f"Shape with {len(wire.elbows)} bends")


def wishes_of(document: Mapping[str, Any] | None, given: Mapping[str, Any]) -> Wishes:
    """How pictures should come out, with the words of the ends and the stars that a run/1 document carries."""
    known = Wishes(**given)
    if document is None:
        return known
    ends = tuple(str((document.get(end) or {}).get("to", "")) for end in ("start", "end"))
    stars = [star for star in document.get("stars") or () if isinstance(star, str)]
    return replace(
        known,
        document=document,
        ends=known.ends if any(known.ends) else (ends[0], ends[1]),
        stars=known.stars or stars,
    )


def _draw(wire: Wire, wishes: Wishes) -> tuple[Drawing, Drawing]:
    """Draw, see what sticks out at either side, and draw again in what is left."""
    views = two_views(wire)
    left = right = wishes.text
    for _ in range(PASSES):
        room = (max(wishes.width - left - right, wishes.width / 4), wishes.most_height)
        found = fit(wire, views, room, 13 * wishes.unit)
        panels = _panels(wire, views, found, wishes, left)
        boxes = [extent(panel.items) for panel in panels]
        out_left = -min(box[0] for box in boxes)
        out_right = max(box[2] for box in boxes) - wishes.width
        if out_left <= 0.5 and out_right <= 0.5:
            break
        left, right = left + max(out_left, 0) + 1, right + max(out_right, 0) + 1
    first, second = (_sheet(panel, wishes) for panel in panels)
    return first, second


def _panels(wire: Wire, views: tuple[View, View], found: Fit, wishes: Wishes, left: float) -> list[Panel]:
    """Both views; a dimension stands on the first view that shows it in its true length."""
    shown: set[tuple[str, int]] = set()
    panels = []
    for number, view in enumerate(views):
        panel = Panel(view, found, wire, wishes, (_zero(found, views, wishes, left), 0.0))
        draw_obstacles(panel)
        panel.taken.boxes += [box_of(item) for item in panel.items if isinstance(item, Polygon)]
        draw_pipe(panel)
        _draw_checks(panel, shown)
        _draw_letters(panel, second=bool(number))
        panels.append(panel)
    return panels


def _zero(found: Fit, views: tuple[View, View], wishes: Wishes, left: float) -> float:
    """Where the origin falls so that both views begin at the left margin, or stand in the middle of what is free."""
    flats = [view.flat(point)[0] for view in views for part in found.wire.parts for point in centreline(part)]
    half = found.wire.diameter / 2
    return left - (min(flats) - half) * found.scale


def _draw_checks(panel: Panel, shown: set[tuple[str, int]]) -> None:
    pairs = zip(checks(panel.whole), checks(panel.fit.wire), strict=True)
    stacked: list[Measured] = []
    only = panel.wishes.only
    for true, drawn in pairs:
        found = measured(panel, true, drawn) if only is None or true.place in only else None
        if found is None or _is_shown(found, true, shown, panel):
            continue
        if found.check.kind == "rise":
            draw_rise(panel, found)
        else:
            stacked.append(found)
    draw_stacked(panel, stacked)


def _is_shown(found: Measured, true: Check, shown: set[tuple[str, int]], panel: Panel) -> bool:
    """A rolled offset shows one rise on each view; anything else is dimensioned once."""
    key = (true.place, round(found.value * 1e6) if true.kind == "rise" else 0)
    if key in shown:
        return True
    shown.add(key)
    return False


def _draw_letters(panel: Panel, second: bool) -> None:
    """A and B at the pipe's ends; under the second view also what they go to."""
    size = panel.text * (0.5 if panel.wishes.medium == "paper" else 0.78)
    first, last = panel.fit.wire.parts[0], panel.fit.wire.parts[-1]
    for letter, end, toward in (
        ("A", first.start, sub(first.start, first.end)),
        ("B", last.end, sub(last.end, last.start)),
    ):
        x, y = panel.at(end)
        across, along = panel.way(toward)
        long = math.hypot(across, along)
        ways = [(across / long, along / long)] if long > 1e-6 else []
        off = size * 0.5 + panel.pipe_width * 0.5
        sides = [(1.0, 0.0), (-1.0, 0.0), (0.0, -1.0), (0.0, 1.0), (0.7, -0.7), (0.7, 0.7), (-0.7, -0.7), (-0.7, 0.7)]
        places = [(x + wx * (off + far), y + wy * (off + far)) for far in (4, 14, 26) for wx, wy in (*ways, *sides)]
        boxes = [(px - size * 0.4, py - size * 0.5, px + size * 0.4, py + size * 0.5) for px, py in places]
        px, py = places[panel.taken.best(boxes)]
        panel.draw(Text((px, py + size * 0.36), letter, size, "loud", "middle"))
    if second and any(panel.wishes.ends):
        _draw_names(panel)


def _draw_names(panel: Panel) -> None:
    size = panel.small
    y = panel.bottom() + size * 1.4
    names = [f"{letter}: {words}" if words else letter for letter, words in zip("AB", panel.wishes.ends, strict=True)]
    panel.draw(Text((0, y), names[0], size, "name"))
    width = text_width(names[0], size) + text_width(names[1], size) + 2 * size
    over = 0 if width < panel.wishes.width else size * 1.3
    panel.draw(Text((panel.wishes.width - 1, y + over), names[1], size, "name", "end"))


def _sheet(panel: Panel, wishes: Wishes) -> Drawing:
    """Move a finished view under its head and close the sheet around it."""
    _, top, _, bottom = extent(panel.items)
    head = _head_room(panel, wishes, top)
    body = shifted(panel.items, 0, head - top)
    items: list[Item] = draw_head(body, panel.view, wishes.small)
    words = f"{panel.view.name.lower()} view of the finished pipe"
    return Drawing(
        wishes.width, bottom - top + head + wishes.unit * 7, tuple(items), wishes.medium, _said(panel, words)
    )


def _head_room(panel: Panel, wishes: Wishes, top: float) -> float:
    """How far below the top the view stands; on paper, which is dear, it slides up beside its head if that is free."""
    most = wishes.small * 1.9
    if wishes.medium != "paper":
        return most
    left, _, right, low = extent(draw_head([], panel.view, wishes.small))
    for lower in (0.0, most / 2):
        head = (left, top - lower, right + wishes.small, top - lower + low + 2)
        if not any(overlap(head, box) for item in panel.items for box in boxes_of(item)):
            return lower
    return most


def _said(panel: Panel, words: str) -> str:
    """The dimensions as sentences, for who can't see the picture."""
    found = []
    for true in checks(panel.whole):
        one = measured(panel, true, true)
        if one:
            figures = (item for item in label(true, one.value, panel.wishes).items if isinstance(item, Number))
            found.append(f"{true.words or true.kind} {next(figures).spoken}")
    return ": ".join(filter(None, (words, ", ".join(found))))


__all__ = ["SIDE", "Wishes", "check_dimensions", "shape_icon", "shape_views", "views_of_points"]
