"""What a standing view says beside the pipe: how far each part moves and which way, in the man's own directions."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from bending.drawing.boxes import extent
from bending.drawing.checkdims import Leg, asked, checks, legs
from bending.drawing.panel import Panel
from bending.drawing.primitives import Item, Line, Point, Polyline, Text, number, shifted
from bending.drawing.stance import Stance
from bending.drawing.wire import Elbow, Vector, Wire, add, dot, scale, sub, unit
from bending.lengths import LengthError, format_length, parse_length

# Less than this is no move that a tape shows; inches.
LEAST_MOVE = 0.02
# "Straight on" is drawn this many diameters past what leaves it.
PAST = 3.0
# A turn is told in words when it goes this much toward the eye or away from it: the picture can't show it.
HIDDEN = 0.5
# What words cost that hit other words, as `Taken.cost` counts.
WORD = 20


@dataclass(frozen=True)
class Move:
    """What one feature or corner does: its place, what it is called, and rows of (inches or none, words)."""

    place: str
    rows: tuple[tuple[float | None, str], ...]
    elbows: tuple[Elbow, ...]


def moves(true: Wire, drawn: Wire, stance: Stance) -> list[Move]:
    """Every move of a pipe in its own order, with true sizes; `elbows` are those of the drawn pipe."""
    rises = {check.place.removesuffix(".rise"): check for check in checks(true) if check.kind == "rise"}
    found: list[Move] = []
    for real, seen in zip(legs(true), legs(drawn), strict=True):
        for group, drawn_group in zip(real.groups(), seen.groups(), strict=True):
            check = rises.get(group[0].feature)
            if check:
                reach = sub(check.end, check.start)
                aside = sub(reach, scale(check.along, dot(reach, check.along)))
                rows = tuple((size, word) for size, word in stance.parts(aside) if size > LEAST_MOVE)
                found.append(Move(group[0].feature, rows, drawn_group))
        if seen.after and _is_hidden(real, stance):
            found.append(Move(real.after[-1].feature, ((None, f"turns {_turned(real, stance)}"),), seen.after))
    return [move for move in found if move.rows]


def _is_hidden(leg: Leg, stance: Stance) -> bool:
    return abs(dot(_leaving(leg), stance.view.toward_eye)) > HIDDEN


def _turned(leg: Leg, stance: Stance) -> str:
    return stance.named(_leaving(leg))


def _leaving(leg: Leg) -> Vector:
    last = leg.after[-1]
    return unit(sub(last.end, last.pi))


def said_of(moved: Sequence[Move], mount: str) -> str:
    """All moves as one sentence."""
    words = [" and ".join(f"{_spoken(size)}{word}" for size, word in move.rows) for move in moved]
    place = {"wall": "facing the wall", "ceiling": "from under the ceiling, looking along the first leg"}
    where = place.get(mount, "on the deck, looking along the first leg")
    return f"The run as it hangs, seen {where}" + (f": {'; '.join(words)}" if words else "")


def _spoken(size: float | None) -> str:
    return "" if size is None else f"{number(format_length(size), (0, 0), 1).spoken} "


def draw_straight_on(panel: Panel) -> None:
    """Dashed, where the pipe would go if a kick, an offset or a saddle didn't take it off its leg's line."""
    for leg in legs(panel.fit.wire):
        for group in leg.groups():
            points = tuple(map(panel.at, straight_on(group, leg, panel.fit.wire)))
            if math.dist(points[0], points[-1]) > 1:
                panel.draw(Polyline(points, "was"))
                panel.taken.add_line(points, 1)


def straight_on(group: Sequence[Elbow], leg: Leg, wire: Wire) -> list[Vector]:
    """The line that a feature leaves, as far as its corner and a little along the next leg, or past its last bend."""
    past, line = PAST * wire.diameter, leg.line
    if len(group) == 1 and _comes_in(group[0], leg):
        corner, back = leg.before[0], scale(line, -1)
        way = unit(sub(corner.start, corner.pi))
        foot = _foot(group[0].end, back, corner.pi)
        return [group[0].end, foot, add(foot, scale(way, past + corner.radius))]
    if len(group) == 1 and leg.after:
        corner = leg.after[0]
        foot = _foot(group[0].start, line, corner.pi)
        way = unit(sub(leg.after[-1].end, leg.after[-1].pi))
        return [group[0].start, foot, add(foot, scale(way, past + corner.radius))]
    end = group[-1].end
    return [group[0].start, add(_foot(group[0].start, line, end), scale(line, past if len(group) == 2 else 0.0))]


def _comes_in(kick: Elbow, leg: Leg) -> bool:
    """Whether a kick stands at its leg's start, and brings the pipe onto the line."""
    return bool(leg.before) and dot(unit(sub(kick.end, kick.pi)), leg.line) > 1 - 1e-9


def _foot(start: Vector, along: Vector, goal: Vector) -> Vector:
    return add(start, scale(along, dot(sub(goal, start), along)))


def draw_moves(panel: Panel, moved: Sequence[Move], drawn_wire: Wire) -> None:
    """A small dimension between straight on and the pipe where both are seen, and the words beside it."""
    found = {id(group[0]): leg for leg in legs(drawn_wire) for group in leg.groups()}
    for move in moved:
        leg = found.get(id(move.elbows[0]))
        ends = _ends(panel, move, leg, drawn_wire) if leg else None
        look = panel.wishes.look(move.place)
        if ends:
            panel.draw(*_dimension(ends, look, panel.unit))
            panel.taken.add_line(ends, 3 * panel.unit)
        middle = _middle(ends) if ends else panel.at(move.elbows[len(move.elbows) // 2].arc(0.5))
        _place(panel, _words(panel, move, look), middle, ends, bool(look))


def _ends(panel: Panel, move: Move, leg: Leg, wire: Wire) -> tuple[Point, Point] | None:
    """Straight on, and the pipe beside it; none where they fall together on the sheet."""
    first, last = move.elbows[0], move.elbows[-1]
    if len(move.elbows) > 2:
        place = move.elbows[1].arc(0.5) if len(move.elbows) == 3 else move.elbows[1].end
        pair = (_foot(first.start, leg.line, place), place)
    elif len(move.elbows) == 2:
        pair = (_foot(first.start, leg.line, last.end), last.end)
    else:
        corner = (leg.before if _comes_in(first, leg) else leg.after or (first,))[0]
        pair = (straight_on(move.elbows, leg, wire)[1], corner.pi)
    ends = panel.at(pair[0]), panel.at(pair[1])
    return ends if math.dist(*ends) > 9 * panel.unit else None


def _dimension(ends: tuple[Point, Point], look: str, unit_px: float) -> Iterator[Item]:
    slash = 4.5 * unit_px
    style = look.removeprefix("-")
    yield Line(*ends, style or "dim")
    for x, y in ends:
        yield Line((x - slash, y + slash), (x + slash, y - slash), style or "slash")


def _middle(ends: tuple[Point, Point]) -> Point:
    return (ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2


def _words(panel: Panel, move: Move, look: str) -> tuple[Item, ...]:
    """Each row a number and under it which way, its top left corner at (0, 0)."""
    items: list[Item] = []
    y, size, small = 0.0, panel.text, panel.small
    for value, words in move.rows:
        if value is not None:
            items.append(number(format_length(value, panel.wishes.tape), (0, y + size * 0.85), size, f"number{look}"))
            y += size
        items.append(Text((0, y + small * 0.85), words, small, f"number{look}" if look else "name"))
        y += small * 1.3
    return tuple(items)


def _place(panel: Panel, words: tuple[Item, ...], middle: Point, ends: tuple[Point, Point] | None, must: bool) -> None:
    """The words where they hit least: at the sides, then over and under, then further off."""
    _, _, wide, high = _size(words)
    beside = 0.0 if ends is None else abs(ends[1][0] - ends[0][0]) / 2
    places: list[Point] = []
    for off in (8, 20, 36, 56, 80, 110):
        gap = off * panel.unit + (panel.pipe_width / 2 if ends is None or off > 8 else beside * 0.2)
        level = middle[1] - high / 2
        places += [(middle[0] + beside + gap, level), (middle[0] - beside - gap - wide, level)]
        places += [(middle[0] - wide / 2, middle[1] - gap - high), (middle[0] - wide / 2, middle[1] + gap)]
        sides = (middle[0] + gap, middle[0] - gap - wide)
        places += [(x, y) for x in sides for y in (middle[1] - gap - high, middle[1] + gap)]
    _put(panel, words, places, must)


def _size(words: Sequence[Item]) -> tuple[float, float, float, float]:
    """Left and top of some words, then how wide and how high they are."""
    left, top, right, bottom = extent(words)
    return left, top, right - left, bottom - top


def _put(panel: Panel, words: tuple[Item, ...], places: Sequence[Point], must: bool) -> None:
    """Draw words at the place where they hit least. What would be written over other words is left out, unless it
    must be seen: every number of a run stands in its rows too."""
    left, top, wide, high = _size(words)
    boxes = [(x - 3, y - 2, x + wide + 3, y + high + 2) for x, y in places]
    if must or any(panel.taken.cost(box) < WORD for box in boxes):
        x, y = places[panel.taken.best(boxes)]
        panel.draw(*shifted(words, x - left, y - top))


def draw_legs(panel: Panel, document: Mapping[str, Any]) -> None:
    """How long each leg was asked for, and what it was measured to."""
    for leg in legs(panel.fit.wire):
        found = asked(document, leg)
        if found is None:
            continue
        number, item = found
        try:
            inches = parse_length(item.get("u_bend" if leg.across else "leg", ""))
        except LengthError:
            continue
        _draw_leg(panel, leg, inches, "between centres" if leg.across else _reached(document, number))


def _reached(document: Mapping[str, Any], number: int) -> str:
    """What a leg is measured to; what the run ends at stands at its end."""
    path = document["path"]
    corner, leg = path[number + 1] if number + 1 < len(path) else None, path[number]
    if not isinstance(corner, Mapping):
        return ""
    if isinstance(corner.get("fitting"), str) and "radius" not in corner:
        return f"to the {corner['fitting']}"
    angle = 90 if "u_bend" in corner else corner.get("corner")
    usual = document.get("measure") or ("back" if angle == 90 else "centre")
    return f"to {leg.get('to') or usual} of {angle:g}" if isinstance(angle, int | float) else ""


def _draw_leg(panel: Panel, leg: Leg, inches: float, words: str) -> None:
    spans = [(panel.at(one.start), panel.at(one.end)) for one in leg.straights]
    start, end = max(spans, key=lambda span: math.dist(*span))
    if math.dist(start, end) < 2.5 * panel.text:
        return
    look, size, small = panel.wishes.look(leg.place), panel.text * 0.9, panel.small
    items: list[Item] = [
        number(format_length(inches, panel.wishes.tape), (0, size * 0.85), size, f"number{look}"),
    ]
    if words:
        items.append(Text((0, size + small * 0.85), words, small, "note"))
    _place_beside(panel, tuple(items), start, end, bool(look))


def _place_beside(panel: Panel, words: tuple[Item, ...], start: Point, end: Point, must: bool) -> None:
    _, _, wide, high = _size(words)
    upright = abs(end[0] - start[0]) < abs(end[1] - start[1])
    places: list[Point] = []
    for off in (8, 18, 32, 50):
        gap = panel.pipe_width / 2 + off * panel.unit
        for share in (0.5, 0.3, 0.7):
            x, y = start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share
            sides = [(x + gap, y - high / 2), (x - gap - wide, y - high / 2)]
            levels = [(x - wide / 2, y - gap - high), (x - wide / 2, y + gap)]
            places += sides if upright else levels
    _put(panel, words, places, must)


__all__ = ["Move", "draw_legs", "draw_moves", "draw_straight_on", "moves", "said_of", "straight_on"]
