"""The part of a pipe that is already bent, while the next bend is made: where it goes, and what it strikes.

Places are along, up, across as ``envelope`` defines them. The shoe's axis stands the radius up. A bend takes its pipe
from behind the heel: what lies on the hook's side turns about the axis with shoe and handle, what lies behind the heel
slides toward the shoe. On a bender without a hook each side turns half the angle and gives half the pipe; its floor
lies across, and isn't tried.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any, NamedTuple

from bending.envelope import Box, Envelope, Handle
from bending.fold import fold
from bending.vectors import ORIGIN, Vector, add, blend, dot

# A piece with more bends isn't tried: the work grows with their square.
MOST_BENDS = 16
# A bend that lies in the way is followed by chords of at most this many degrees.
CHORD = 15.0
# A swept line is drawn with chords of at most this many degrees.
LOOK = 5.0
# Looked at every so many degrees where no circle tells, and along the pipe every inch; halvings find where a slide
# begins to meet something.
DEGREES, INCH, HALVINGS = 3.0, 1.0, 12
CLOSE = 1e-6


class Shoe(NamedTuple):
    """Radius of the bend and outside diameter of the pipe, inches."""

    radius: float
    outside_diameter: float


class Turn(NamedTuple):
    """One bend of a piece: from ``low`` to ``high`` inches from its start, degrees, and the end the hook faces."""

    step: int
    low: float
    high: float
    angle: float
    roll: float
    hook: str


class Side(NamedTuple):
    """The pipe on one side of a bend before it is made, from the shoe outward; ``bent`` is the first point that lies
    on a bend already made (the count of points: none). ``way`` is -1 toward the hook and 1 away from it; ``turns``
    and ``gives`` are this side's shares of the bend."""

    points: tuple[Vector, ...]
    bent: int
    way: float
    turns: float
    gives: float

    @property
    def moved(self) -> tuple[Vector, ...]:
        """What is already bent."""
        return self.points[self.bent :]


class Strike(NamedTuple):
    """What is struck at which step, at how many degrees of the bend. Of the floor, ``reach`` is how far below the pipe
    something comes and ``room`` what there is; else ``reach`` is how far from the shoe the place lies, room 0."""

    what: str
    step: int
    degrees: float
    reach: float
    room: float


def sides(shoe: Shoe, turns: Sequence[Turn], step: int, length: float) -> tuple[Side, Side]:
    """The pipe on the hook's side of a step's bend, and behind its heel. Steps count from 1, in bending order.

    Without a hook: toward the piece's start, and toward its end. Raises ``IndexError`` for a step that isn't there.
    """
    turn, made = turns[step - 1], turns[: step - 1]
    touch = {"start": turn.low, "end": turn.high}.get(turn.hook, (turn.low + turn.high) / 2)
    toward_start = [(touch - one.high, one) for one in made if one.low < turn.low]
    toward_end = [(one.low - touch, one) for one in made if one.low >= turn.low]
    both = (toward_start, touch), (toward_end, length - touch)
    hooked, heeled = reversed(both) if turn.hook == "end" else both
    share = 0.5 if turn.hook == "none" else 1.0
    return (
        Side(*_outward(shoe, turn, *hooked, -1.0), -1.0, share, 1 - share),
        Side(*_outward(shoe, turn, *heeled, 1.0), 1.0, 1 - share, share),
    )


def _outward(
    shoe: Shoe, turn: Turn, made: Sequence[tuple[float, Turn]], length: float, way: float
) -> tuple[tuple[Vector, ...], int]:
    """Walk from the shoe to the end of the pipe through the bends that are made, each with its distance.

    Along runs away from the hook: with a hook that faces the far end the stick's left lies on the other side.
    """
    ahead, up, across = (way, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
    left = -1.0 if turn.hook == "end" else 1.0
    points: list[Vector] = [(0.0, 0.0, 0.0)]
    here = 0.0
    for away, one in sorted(made):
        points.append(add(points[-1], ahead, away - here))
        lean, angle = math.radians(one.roll - turn.roll), math.radians(one.angle)
        inside = blend(up, math.cos(lean), across, left * math.sin(lean))
        points += _arc(points[-1], ahead, inside, shoe.radius, one.angle)
        after = blend(inside, math.cos(angle), ahead, -math.sin(angle))
        ahead = blend(ahead, math.cos(angle), inside, math.sin(angle))
        up, across = _carried(up, inside, after), _carried(across, inside, after)
        here = away + one.high - one.low
    points.append(add(points[-1], ahead, length - here))
    return tuple(points), 1 if made else len(points)


def _carried(direction: Vector, inside: Vector, after: Vector) -> Vector:
    """A direction square to the pipe, carried through a bend whose inside becomes ``after``."""
    share = dot(direction, inside)
    return add(add(direction, inside, -share), after, share)


def _arc(begins: Vector, ahead: Vector, inside: Vector, radius: float, angle: float) -> list[Vector]:
    """Points round a bend, its begin left out."""
    count = max(1, math.ceil(angle / CHORD - CLOSE))
    turned = [math.radians(angle * number / count) for number in range(1, count + 1)]
    return [add(add(begins, ahead, radius * math.sin(a)), inside, radius * (1 - math.cos(a))) for a in turned]


def placed(shoe: Shoe, side: Side, degrees: float) -> tuple[Vector, ...]:
    """A side's points when so many degrees of the bend are made, from the bend's end on that side outward."""
    slid = -side.way * side.gives * shoe.radius * math.radians(degrees)
    turned = side.way * side.turns * degrees
    outer = [_turned(shoe, (along + slid, up, across), turned) for along, up, across in side.points[1:]]
    return (_turned(shoe, side.points[0], turned), *outer)


def _turned(shoe: Shoe, place: Vector, degrees: float) -> Vector:
    """A place turned about the shoe's axis, from along toward up."""
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    along, up = place[0], place[1] - shoe.radius
    return along * cosine - up * sine, along * sine + up * cosine + shoe.radius, place[2]


def strikes(shoe: Shoe, turns: Sequence[Turn], length: float, envelope: Envelope) -> Iterator[Strike]:
    """Everything struck by what is already bent while a piece is bent, each thing once a step.

    The floor is exact; what the frame meets is told to an inch of pipe, and the handle is looked at every 3 degrees.
    Pieces of more than ``MOST_BENDS`` bends aren't tried.
    """
    if len(turns) > MOST_BENDS:
        return
    for turn in turns[1:]:
        both = [side for side in sides(shoe, turns, turn.step, length) if side.moved]
        if turn.hook != "none":
            yield from _floor(shoe, both, turn, envelope)
            yield from _handle(shoe, both, turn, envelope.handle)
        yield from _frame(shoe, both, turn, envelope.frame)


def _floor(shoe: Shoe, both: Sequence[Side], turn: Turn, envelope: Envelope) -> Iterator[Strike]:
    if envelope.floor is None or not both:
        return
    lowest, degrees = min(_lowest(shoe, side, place, turn.angle) for side in both for place in side.moved)
    if lowest < -envelope.floor - CLOSE:
        yield Strike("floor", turn.step, degrees, -lowest, envelope.floor)


def _lowest(shoe: Shoe, side: Side, place: Vector, angle: float) -> tuple[float, float]:
    """How low a place comes while the bend is made, and at how many degrees."""
    if not side.turns:
        return place[1], 0.0
    along, up = place[0], place[1] - shoe.radius
    # It turns from along toward down on the far side: the lowest place of its circle is so far ahead.
    ahead = math.degrees(math.atan2(up, along) + math.pi / 2) % 360
    if ahead <= angle:
        return shoe.radius - math.hypot(along, up), ahead
    return min((place[1], 0.0), (_turned(shoe, place, -angle)[1], angle))


def _handle(shoe: Shoe, both: Sequence[Side], turn: Turn, handle: Handle | None) -> Iterator[Strike]:
    """The handle turns with the shoe: what is on the hook's side stands still beside it, the other side comes up."""
    if handle is None:
        return
    half = (handle.width + shoe.outside_diameter) / 2
    box = Box((0.0, handle.length + shoe.outside_diameter / 2), (-half, half), (-half, half))
    for side in both:
        stretches = [pair for pair in pairwise(side.moved) if _beside(pair, box.across)]
        for degrees in _looks(turn.angle) if side.way > 0 else (0.0,):
            slid = -side.gives * shoe.radius * math.radians(degrees) if side.way > 0 else 0.0
            for pair in stretches:
                one, other = (_from_handle(shoe, handle, place, slid, degrees) for place in pair)
                if _crosses(one, other, box):
                    yield Strike("handle", turn.step, degrees, math.dist(pair[0], ORIGIN), 0.0)
                    return


def _beside(pair: tuple[Vector, Vector], across: tuple[float, float]) -> bool:
    """Whether a stretch comes into a layer of space at all: nothing that moves here moves across."""
    (*_, one), (*_, other) = pair
    return min(one, other) <= across[1] and max(one, other) >= across[0]


def _from_handle(shoe: Shoe, handle: Handle, place: Vector, slid: float, degrees: float) -> Vector:
    """A place in the handle's own measure: out along it, across it in the bend's plane, across."""
    lean = math.radians(handle.upright_at - degrees)
    along, up = place[0] + slid, place[1] - shoe.radius
    return (
        up * math.cos(lean) - along * math.sin(lean),
        up * math.sin(lean) + along * math.cos(lean),
        place[2],
    )


def _looks(angle: float) -> list[float]:
    """The degrees of a bend at which it is looked at."""
    count = max(1, math.ceil(angle / DEGREES))
    return [angle * number / count for number in range(count + 1)]


def _frame(shoe: Shoe, both: Sequence[Side], turn: Turn, frame: Sequence[Box]) -> Iterator[Strike]:
    """The first that is struck: on the hook's side, behind the heel, or on a bender without a hook on either."""
    meet = {0.0: _slid_into, 0.5: _looked_into, 1.0: _swung_into}
    boxes = [_grown(box, shoe.outside_diameter / 2) for box in frame]
    for side in both if boxes else ():
        for box in boxes:
            for pair in pairwise(side.moved):
                if _beside(pair, box.across):
                    degrees = meet[side.turns](shoe, side, pair, box, turn.angle)
                    if degrees is not None:
                        yield Strike("frame", turn.step, degrees, math.dist(pair[0], ORIGIN), 0.0)
                        return


def _grown(box: Box, by: float) -> Box:
    """A box with half the pipe round it, so that the pipe is a line."""
    along, up, across = ((low - by, high + by) for low, high in (box.along, box.up, box.across))
    return Box(along, up, across)


def _swung_into(shoe: Shoe, side: Side, pair: tuple[Vector, Vector], box: Box, angle: float) -> float | None:
    """A stretch that turns about the axis: each place goes along its own circle, looked at every inch of pipe."""
    near, far = _ring(shoe, box)
    part = _inside(*pair, Box((-far, far), (shoe.radius - far, shoe.radius + far), box.across))
    if part is None:
        return None
    one, other = (blend(pair[0], 1 - share, pair[1], share) for share in part)
    count = max(1, math.ceil(math.dist(one, other) / INCH))
    found = []
    for number in range(count + 1):
        place = blend(one, 1 - number / count, other, number / count)
        along, up = place[0], place[1] - shoe.radius
        if near <= math.hypot(along, up) <= far:
            found += [turned for turned in _circle_into(shoe, along, up, box) if turned <= angle]
    return min(found, default=None)


def _ring(shoe: Shoe, box: Box) -> tuple[float, float]:
    """How near to the shoe's axis a box comes, and how far it reaches, seen along the axis."""
    (left, right), (bottom, top) = box.along, (box.up[0] - shoe.radius, box.up[1] - shoe.radius)
    near = math.hypot(max(left, -right, 0.0), max(bottom, -top, 0.0))
    return near, math.hypot(max(-left, right), max(-bottom, top))


def _circle_into(shoe: Shoe, along: float, up: float, box: Box) -> Iterator[float]:
    """The degrees at which a place on its circle comes on a box's sides; 0 if it begins inside."""
    (left, right), (bottom, top) = box.along, (box.up[0] - shoe.radius, box.up[1] - shoe.radius)
    if left <= along <= right and bottom <= up <= top:
        yield 0.0
    square, begins = along * along + up * up, math.atan2(up, along)
    for x in (left, right):
        if x * x <= square:
            y = math.sqrt(square - x * x)
            yield from (math.degrees(begins - math.atan2(way, x)) % 360 for way in (y, -y) if bottom <= way <= top)
    for y in (bottom, top):
        if y * y <= square:
            x = math.sqrt(square - y * y)
            yield from (math.degrees(begins - math.atan2(y, way)) % 360 for way in (x, -x) if left <= way <= right)


def _slid_into(shoe: Shoe, side: Side, pair: tuple[Vector, Vector], box: Box, angle: float) -> float | None:
    """A stretch that slides toward the shoe: it meets the box where it would meet one that is longer by as much."""
    length = shoe.radius * math.radians(angle)
    if not _crosses(*pair, replace(box, along=(box.along[0], box.along[1] + length))):
        return None
    low, high = 0.0, length
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        met = _crosses(*pair, replace(box, along=(box.along[0], box.along[1] + middle)))
        low, high = (low, middle) if met else (middle, high)
    return math.degrees(high / shoe.radius)


def _looked_into(shoe: Shoe, side: Side, pair: tuple[Vector, Vector], box: Box, angle: float) -> float | None:
    """A stretch that turns and slides."""
    stretch = side._replace(points=(ORIGIN, *pair))
    for degrees in _looks(angle):
        _, one, other = placed(shoe, stretch, degrees)
        if _crosses(one, other, box):
            return degrees
    return None


def _crosses(one: Vector, other: Vector, box: Box) -> bool:
    """Whether a stretch passes through a box."""
    return _inside(one, other, box) is not None


def _inside(one: Vector, other: Vector, box: Box) -> tuple[float, float] | None:
    """The shares of a stretch between which it lies in a box: what its six faces leave of it."""
    first, last = 0.0, 1.0
    for place, to, (least, most) in zip(one, other, (box.along, box.up, box.across), strict=True):
        step = to - place
        if abs(step) < CLOSE:
            if not least <= place <= most:
                return None
            continue
        near, far = (least - place) / step, (most - place) / step
        first, last = max(first, min(near, far)), min(last, max(near, far))
        if first > last:
            return None
    return first, last


class Swept(NamedTuple):
    """One step for a picture: the pipe before and after the bend, hook's side first, as places along, up, across, and
    the line that the outermost bent end goes along (empty where nothing bent swings)."""

    before: tuple[Vector, ...]
    after: tuple[Vector, ...]
    line: tuple[Vector, ...]
    turn: Turn
    shoe: Shoe


def swept(layout: Mapping[str, Any], piece: int, step: int) -> Swept:
    """What a step of a ``layout/1`` document sweeps. Inches, in the shoe's own measure as ``envelope`` defines it.

    Raises ``Problems`` for a layout that doesn't fold, ``IndexError`` for a piece or a step that isn't there.
    """
    shoe, turns, length = of_layout(layout, piece)
    turn = turns[step - 1]
    hooked, heeled = sides(shoe, turns, step, length)
    swinging = max((hooked, heeled), key=lambda side: side.turns * bool(side.moved))
    count = max(1, math.ceil(turn.angle / LOOK))
    line = [placed(shoe, swinging, turn.angle * number / count)[-1] for number in range(count + 1)]
    return Swept(
        before=(*reversed(hooked.points), *heeled.points[1:]),
        after=_after(shoe, hooked, heeled, turn.angle),
        line=tuple(line) if swinging.moved and swinging.turns else (),
        turn=turn,
        shoe=shoe,
    )


def _after(shoe: Shoe, hooked: Side, heeled: Side, angle: float) -> tuple[Vector, ...]:
    """The pipe when the bend is made: one side, round the shoe, the other side."""
    one, other = placed(shoe, hooked, angle), placed(shoe, heeled, angle)
    begins = -hooked.turns * angle
    count = max(1, math.ceil(angle / CHORD))
    round_shoe = [_turned(shoe, (0.0, 0.0, 0.0), begins + angle * number / count) for number in range(1, count)]
    return (*reversed(one), *round_shoe, *other)


def of_layout(layout: Mapping[str, Any], piece: int) -> tuple[Shoe, list[Turn], float]:
    """The shoe, the bends in bending order, and the length of a piece of a ``layout/1`` document."""
    bender, hooks = layout["bender"], {mark["step"]: mark["hook"] for mark in layout["pieces"][piece]["marks"]}
    folded = fold(layout)["pieces"][piece]
    bends = sorted(folded["bends"], key=lambda bend: int(bend["step"]))
    turns = []
    for bend in bends:
        low, high = bend["stations"]
        turns.append(Turn(bend["step"], low, high, bend["angle"], bend["roll"], hooks[bend["step"]]))
    return Shoe(bender["radius"], bender["outside_diameter"]), turns, folded["length"]
