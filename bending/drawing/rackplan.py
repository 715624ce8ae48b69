"""The plan of a rack: its pipes side by side, their numbers at both ends, the spacing once, and which is number 1."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from bending.drawing.boxes import extent
from bending.drawing.panel import Panel, Wishes, draw_pipe
from bending.drawing.primitives import Circle, Drawing, Item, Line, Point, Text, number, shifted, text_width
from bending.drawing.shape import wishes_of
from bending.drawing.views import FACE, LEAST_KEPT, UNCUT, USUAL_WIDTH, WIDTHS, Fit
from bending.drawing.wire import (
    Elbow,
    Part,
    Straight,
    Wire,
    centreline,
    drawn_length,
    shift,
    shortened,
    sub,
    unit,
    wire_of_fold,
)
from bending.fold import fold
from bending.lengths import format_length, parse_length

# Of a disc with a number: its radius on a screen, and the most of the room between two pipes that it takes.
DISC, DISC_ROOM = 9.0, 0.46


def rack_plan(
    runs: Sequence[Mapping[str, Any]],
    spacings: Sequence[Any],
    *,
    side: str = "left",
    number_1: str = "",
    document: Mapping[str, Any] | None = None,
    **wishes: Any,
) -> Drawing:
    """A rack's layout/1 documents, number 1 first, seen from the side that looks away from their surface.

    `spacings`: from each pipe's middle to the next one's, in inches or as lengths are written; one alone serves all.
    `side`: left or right, where the others lie, looking along number 1. `number_1`: the words it was named by; without
    them the drawing tells on which side of the first corner it lies. Other keywords are the fields of `Wishes`.
    Raises `ValueError` for a wrong number of spacings or a side that isn't one, `Problems` if one can't be folded.
    """
    if side not in ("left", "right"):
        raise ValueError(f"no such side: {side}")
    gaps = _gaps(runs, spacings)
    places = [sum(gaps[:index]) * (1 if side == "left" else -1) for index in range(len(runs))]
    wires = [shift(_wire(run), (0.0, place, 0.0)) for run, place in zip(runs, places, strict=True)]
    asked = wishes_of(document, wishes)
    words = number_1 or _by_corner(wires[0], side)
    fits = _fits(wires, asked, text_width(f"1: {words}", asked.small))
    panels = [Panel(FACE, found, wire, asked) for found, wire in zip(fits, wires, strict=True)]
    for panel in panels:
        draw_pipe(panel)
    items = [item for panel in panels for item in panel.items]
    items += [*_discs(panels, gaps), *_spacing(panels, gaps, asked), *_named(panels[0], words, side)]
    return _sheet(items, panels, asked, gaps, words)


def plan_of_rack(answer: Mapping[str, Any], **wishes: Any) -> Drawing:
    """The plan of a rack as it was laid out (layouts/1); `document` among the wishes is number 1's run/1 or the rack's.

    Raises as `rack_plan` does.
    """
    told = answer["rack"]
    more = {"side": told["side"], "number_1": told["number_1"], **wishes}
    return rack_plan(answer["runs"], told["spacings"], **more)


def _gaps(runs: Sequence[Mapping[str, Any]], spacings: Sequence[Any]) -> list[float]:
    gaps = [parse_length(spacing) for spacing in spacings]
    if len(gaps) == 1:
        gaps *= len(runs) - 1
    if not runs or len(gaps) != len(runs) - 1:
        raise ValueError(f"{len(runs)} pipes have {len(runs) - 1} spacings between them, not {len(gaps)}")
    return gaps


def _wire(run: Mapping[str, Any]) -> Wire:
    return wire_of_fold(fold(run), float(run["bender"]["outside_diameter"]))


def _fits(wires: Sequence[Wire], wishes: Wishes, words: float) -> list[Fit]:
    """One scale for all; every pipe loses as much of a straight as its neighbours, so that they stay parallel."""
    room = (wishes.width - max(3.5 * wishes.text, words) - 2 * wishes.text, wishes.most_height)
    diameter = max(wire.diameter for wire in wires)
    for width in (share * wishes.unit for share in WIDTHS if share <= USUAL_WIDTH):
        for keep in (UNCUT, 20.0, 14.0, 10.0, LEAST_KEPT):
            short = cut_alike(wires, keep * diameter)
            if all(size * width / diameter <= most for size, most in zip(_size(short), room, strict=True)):
                return [Fit(wire, width / diameter, keep) for wire in short]
    short = cut_alike(wires, LEAST_KEPT * diameter)
    size = min(most / size for size, most in zip(_size(short), room, strict=True))
    return [Fit(wire, size, LEAST_KEPT) for wire in short]


def cut_alike(wires: Sequence[Wire], keep: float) -> list[Wire]:
    """The pipes with their long straights shortened, each by what the shortest of its neighbours can spare."""
    every = [_between_bends(wire) for wire in wires]
    if len({len(places) for places in every}) > 1:
        return list(wires)
    left_out = [[0.0] * len(wire.parts) for wire in wires]
    for places in zip(*every, strict=True):
        least = min(math.dist(wire.parts[at].start, wire.parts[at].end) for wire, at in zip(wires, places, strict=True))
        for out, at in zip(left_out, places, strict=True):
            out[at] = max(0.0, least - drawn_length(least, keep))
    return [shortened(wire, out) for wire, out in zip(wires, left_out, strict=True)]


def _between_bends(wire: Wire) -> list[int]:
    """Numbers of the straights that don't lie between two shots of one corner, of which neighbours may have more."""
    after = [*wire.parts[1:], None]
    found = enumerate(zip(wire.parts, after, strict=True))
    return [at for at, (part, then) in found if isinstance(part, Straight) and not (then and _goes_on(then))]


def _goes_on(part: Part) -> bool:
    return isinstance(part, Elbow) and part.goes_on


def _size(wires: Iterable[Wire]) -> Point:
    flats = [FACE.flat(point) for wire in wires for part in wire.parts for point in centreline(part)]
    xs, ys = zip(*flats, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _discs(panels: Sequence[Panel], gaps: Sequence[float]) -> Iterable[Item]:
    """Every pipe's number, on it, near both its ends."""
    scale_px, most = panels[0].fit.scale, DISC * panels[0].wishes.unit
    if panels[0].wishes.medium == "paper":
        most *= 1.6
    radius = min([most, *(gap * scale_px * DISC_ROOM for gap in gaps)])
    for index, panel in enumerate(panels):
        first, last = panel.fit.wire.parts[0], panel.fit.wire.parts[-1]
        for part, at_start in ((first, True), (last, False)):
            x, y = _along(panel, part, 2.2 * radius, at_start)
            yield Circle((x, y), radius, "disc")
            yield Text((x, y + radius * 0.5), str(index + 1), radius * 1.4, "loud", "middle")


def _along(panel: Panel, part: Part, distance: float, at_start: bool) -> Point:
    """A place on the sheet so far from a pipe's end, but no further than the middle of its straight."""
    start, end = panel.at(part.start), panel.at(part.end)
    if not at_start:
        start, end = end, start
    long = math.dist(start, end)
    share = min(distance / long, 0.5) if long > 1 else 0.0
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _spacing(panels: Sequence[Panel], gaps: Sequence[float], wishes: Wishes) -> Iterable[Item]:
    """Before the starts: the gap between numbers 1 and 2, and any other that differs from the one before it."""
    slash, off = 4.5 * wishes.unit, 12 * wishes.unit
    for index, gap in enumerate(gaps):
        if index and math.isclose(gap, gaps[index - 1]):
            continue
        ends = [_before(panel, off) for panel in panels[index : index + 2]]
        x = min(end[0] for end in ends)
        yield Line((x, ends[0][1]), (x, ends[1][1]), "dim")
        for panel, (_, y) in zip(panels[index : index + 2], ends, strict=True):
            start = panel.at(panel.fit.wire.parts[0].start)
            yield Line((start[0] - 3, y), (x - 4 * wishes.unit, y), "ext")
            yield Line((x - slash, y + slash), (x + slash, y - slash), "slash")
        middle = (ends[0][1] + ends[1][1]) / 2
        words = format_length(gap, wishes.tape)
        yield number(words, (x - 8 * wishes.unit, middle + wishes.text * 0.36), wishes.text, "number", "end")


def _before(panel: Panel, off: float) -> Point:
    x, y = panel.at(panel.fit.wire.parts[0].start)
    return x - off, y


def _named(panel: Panel, words: str, side: str) -> Iterable[Item]:
    """What number 1 lies beside, before its start and on its free side."""
    if words:
        x, y = panel.at(panel.fit.wire.parts[0].start)
        baseline = y + panel.small * 1.5 if side == "left" else y - panel.small * 0.8
        yield Text((x - 4 * panel.unit, baseline), f"1: {words}", panel.small, "name", "end")


def _by_corner(wire: Wire, side: str) -> str:
    """On which side of the first corner in the rack's plane number 1 lies."""
    for elbow in wire.elbows:
        aside = unit(sub(elbow.end, elbow.pi))[1] - unit(sub(elbow.pi, elbow.start))[1]
        if elbow.corner and abs(aside) > 0.5:
            return "inside the corner" if (aside > 0) == (side == "right") else "outside the corner"
    return ""


def _sheet(
    items: Sequence[Item], panels: Sequence[Panel], wishes: Wishes, gaps: Sequence[float], words: str
) -> Drawing:
    """The plan under its head, its left edge at the sheet's, what the ends go to below."""
    left, top, _, bottom = extent(items)
    small = wishes.small
    down = small * 1.9 - top
    found: list[Item] = [Text((0, small * 1.05), "PLAN", small, "loud")]
    found.append(Text((text_width("PLAN", small) + small, small * 1.05), "stripe side toward you", small, "note"))
    found += shifted(items, max(2.0, (wishes.width - _wide(items)) / 2) - left, down)
    y = bottom + down
    for letter, to, anchor, x in (("A", wishes.ends[0], "start", 0.0), ("B", wishes.ends[1], "end", wishes.width - 1)):
        if to:
            y = max(y, bottom + down) + small * (1.5 if letter == "A" else 1.3)
            found.append(Text((x, y), f"{letter} ends: {to}", small, "name", anchor))
    spacing = " and ".join(dict.fromkeys(number(format_length(gap, wishes.tape), (0, 0), 1).spoken for gap in gaps))
    told = f"Plan of a rack of {len(panels)}" + (f", {spacing} centre to centre" if gaps else "")
    told += f"; 1 is {words}" if words else ""
    return Drawing(wishes.width, y + small * 0.7, tuple(found), wishes.medium, told)


def _wide(items: Sequence[Item]) -> float:
    left, _, right, _ = extent(items)
    return right - left


__all__ = ["cut_alike", "plan_of_rack", "rack_plan"]
