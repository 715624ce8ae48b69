"""The bench's signs: the mark's own shape, the way the hook faces, and which line lies in the shoe."""

from __future__ import annotations

import math

from bending.drawing.primitives import Circle, Drawing, Item, Line, Point, Polygon, Text

SIDES = {0.0: "TOP", 90.0: "LEFT", 180.0: "BOTTOM", 270.0: "RIGHT"}
# Everything below is drawn on a square of this many units, then scaled.
SQUARE = 230.0
MIDDLE: Point = (115.0, 123.0)
PIPE_RADIUS, BORE_RADIUS, LETTER_RADIUS = 62.0, 48.0, 32.0
HANDLE_SIDE = ("start", "end", "none")


def shoe_clock(roll: float, hook: str, zero: str = "start", size: float = 108, medium: str = "screen") -> Drawing:
    """The pipe's end seen from the handle toward the hook: the shoe at 12, the stripe as one fat stroke.

    `roll` is the bend's, 0 to 360 degrees along the run; `hook` and `zero` are start or end (hook none: seen from the
    zero end). Letters name the lines as said at the zero end.
    """
    if hook not in HANDLE_SIDE or zero not in HANDLE_SIDE[:2]:
        raise ValueError(f"no such end: hook {hook}, zero {zero}")
    clockwise = _stripe(roll, hook, zero)
    scale = size / SQUARE
    items = [*_shoe(scale, medium), *_pipe(scale), *_letters(clockwise, hook, zero, scale), *_fat(clockwise, scale)]
    hour = round(clockwise / 30) % 12 or 12
    words = f"Pipe end seen from the handle toward the hook: shoe at 12 o'clock, stripe at {hour} o'clock"
    return Drawing(size, size, tuple(items), medium, words)


def _looking_to_end(hook: str, zero: str) -> bool:
    """Whether the hand looks along the run; a bender without a hook is read from the zero end."""
    return (zero == "start") if hook == "none" else hook == "end"


def _stripe(roll: float, hook: str, zero: str) -> float:
    """Clock angle of the top line, degrees clockwise from the shoe.

    Looking along the run, left is on the viewer's left: with the line at `roll` turned up into the shoe, the top line
    stands `roll` clockwise of it. Looking back, the picture is mirrored.
    """
    return (roll if _looking_to_end(hook, zero) else -roll) % 360


def _shoe(scale: float, medium: str) -> list[Item]:
    angles = [math.radians(degrees) for degrees in range(-76, 77, 4)]
    bite = [(MIDDLE[0] - 65 * math.sin(a), MIDDLE[1] - 65 * math.cos(a)) for a in angles]
    outline = [(31.0, 2.0), (199.0, 2.0), (199.0, 107.0), *reversed(bite), (31.0, 107.0)]
    return [Polygon(tuple((x * scale, y * scale) for x, y in outline), "shoe")]


def _pipe(scale: float) -> list[Item]:
    centre = (MIDDLE[0] * scale, MIDDLE[1] * scale)
    return [Circle(centre, PIPE_RADIUS * scale, "pipe"), Circle(centre, BORE_RADIUS * scale, "bore")]


def _letters(clockwise: float, hook: str, zero: str, scale: float) -> list[Item]:
    """T L B R inside the pipe; left of top as the zero end says it, whichever way the hand looks."""
    if 27 * scale < 7:
        return []
    from_zero = _looking_to_end(hook, zero) == (zero == "start")
    items: list[Item] = []
    for turn, letter in ((0, "T"), (-90 if from_zero else 90, "L"), (180, "B"), (90 if from_zero else -90, "R")):
        x, y = _on_clock(clockwise + turn, LETTER_RADIUS)
        size = 25 * scale
        items.append(Text((x * scale, y * scale + size * 0.36), letter, size, "loud", "middle"))
    return items


def _fat(clockwise: float, scale: float) -> list[Item]:
    """The stripe, from the bore outward; white over the shoe so that it still shows."""
    ends = [_on_clock(clockwise, radius) for radius in (46, 92)]
    inner, outer = [(x * scale, y * scale) for x, y in ends]
    width = 11 * scale
    items: list[Item] = [Polygon(_bar(inner, outer, width), "shoe")]
    if min(clockwise, 360 - clockwise) < 75:
        near, far = [(x * scale, y * scale) for x, y in (_on_clock(clockwise, r) for r in (65, 84))]
        items.append(Polygon(_bar(near, far, width), "gap"))
    return items


def _on_clock(clockwise: float, radius: float) -> Point:
    angle = math.radians(clockwise)
    return MIDDLE[0] + radius * math.sin(angle), MIDDLE[1] - radius * math.cos(angle)


def _bar(start: Point, end: Point, width: float) -> tuple[Point, ...]:
    """A line of a given width as an area, so that it scales with the picture and not with the pen."""
    along = math.hypot(end[0] - start[0], end[1] - start[1])
    x, y = -(end[1] - start[1]) / along * width / 2, (end[0] - start[0]) / along * width / 2
    return (
        (start[0] + x, start[1] + y),
        (end[0] + x, end[1] + y),
        (end[0] - x, end[1] - y),
        (start[0] - x, start[1] - y),
    )


def mark_sign(mark: str, bend_right: bool, at: Point, size: float, state: str = "") -> tuple[Item, ...]:
    """A mark's own shape, `size` high, hung on the point `at` in its middle below.

    `bend_right` turns the arrow's flag to the side where the bend lies. `state` is "", "-lit" or "-done".
    """
    if mark == "arrow":
        return _flag(bend_right, at, size, state)
    if mark == "notch":
        return _notch(at, size, state)
    if mark == "star":
        return (Polygon(star(at[0], at[1] - size * 0.5, size * 0.56), "flag" + state), _stem(at, size * 0.3, state))
    if mark == "centre":
        return _diamond(at, size, state)
    raise ValueError(f"no such mark: {mark}")


def _stem(at: Point, length: float, state: str) -> Line:
    return Line(at, (at[0], at[1] - length), "mark" + state)


def _flag(bend_right: bool, at: Point, size: float, state: str) -> tuple[Item, ...]:
    x, y = at
    tip = x + (size if bend_right else -size)
    sheet = ((x, y - size), (tip, y - size * 0.65), (x, y - size * 0.3))
    return (Polygon(sheet, "flag" + state), _stem(at, size, state))


def _notch(at: Point, size: float, state: str) -> tuple[Item, ...]:
    x, y = at
    half = size * 0.45
    block = (
        (x - half, y - size),
        (x + half, y - size),
        (x + half, y - size * 0.35),
        (x, y),
        (x - half, y - size * 0.35),
    )
    cut = ((x - half * 0.5, y - size), (x + half * 0.5, y - size), (x, y - size * 0.58))
    return (Polygon(block, "flag" + state), Polygon(cut, "gap"))


def _diamond(at: Point, size: float, state: str) -> tuple[Item, ...]:
    x, y = at
    half = size * 0.45
    outline = ((x, y - 2 * half), (x + half, y - half), (x, y), (x - half, y - half))
    return (Polygon(outline, "open" + state), Line((x, y - size), at, "mark" + state))


def star(x: float, y: float, radius: float) -> tuple[Point, ...]:
    """A five-pointed star about a point."""
    turns = [(math.radians(36 * corner), radius if corner % 2 == 0 else radius * 0.42) for corner in range(10)]
    return tuple((x + r * math.sin(a), y - r * math.cos(a)) for a, r in turns)


def hook_sign(toward_zero: bool, at: Point, size: float) -> tuple[Item, ...]:
    """An arrow to the block it faces: solid at the left for zero, open at the right for far. `at`: middle left."""
    x, y = at
    block, tip = (x, x + size * 0.3) if toward_zero else (x + size, x + size * 0.7)
    tail = x + size if toward_zero else x
    back = tip + (size * 0.3 if toward_zero else -size * 0.3)
    width = size * 0.2 if toward_zero else -size * 0.2
    high = size * 0.42
    corners = ((block, y - high), (block + width, y - high), (block + width, y + high), (block, y + high))
    head = ((tip, y), (back, y - size * 0.25), (back, y + size * 0.25))
    return (
        Polygon(corners, "zero" if toward_zero else "zero-open"),
        Polygon(head, "flag"),
        Line((back, y), (tail, y), "mark"),
    )
