"""Whether a bender can make a piece's bends in an order: simulated step by step, for every order.

What holds at each step: the hook has pipe to grip, the heel has straight pipe behind it, no mark falls on a bend that
is already made, the hook doesn't lie on one, and what is already bent swings free of floor, handle and frame. What
holds in every order: straight pipe between neighbours, and the largest angle in one set. A limit that the profile
doesn't give isn't tried.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from bending import swing
from bending.bender import SMALL_ANGLE, lacking
from bending.corners import spacing
from bending.lengths import format_length
from bending.marks import Mark, Marked
from bending.orders import Plan, marks_of, plans
from bending.path import Bend, CornerLine, Path
from bending.pieces import Piece
from bending.run import Run
from bending.words import angle_text, up_to_tape

# Stations are sums of a dozen floats.
CLOSE = 1e-9
SAID = {
    "push-through": "pushed through",
    "last-turned": "with the bender turned round for the last bend",
    "centre-out": "from the saddle's centre out",
    "back-to-back": "back to back on the star",
    "end-for-end": "end for end",
    "centres": "on centre marks",
}


class Why(NamedTuple):
    """One thing that can't be done: its code, the reason in numbers, its place in the run, inches (or degrees) that
    are missing."""

    code: str
    words: str
    at: str
    short: float


class Offer(NamedTuple):
    """One order of one piece, and why it can't be bent so; ``same_as`` names an order with the same marks."""

    order: str
    whys: tuple[Why, ...]
    same_as: str = ""

    def as_json(self, piece: int) -> dict[str, Any]:
        """As it stands in a layout's ``orders``."""
        whys = [{"code": why.code, "words": why.words, "at": why.at} for why in self.whys]
        written = {"piece": piece, "order": self.order, "can": not whys, "why": whys}
        return {**written, "same_as": self.same_as} if self.same_as else written


Offers = tuple[Offer, ...]


def offers(run: Run, path: Path, pieces: Sequence[Marked]) -> tuple[Offers, ...]:
    """For each piece every order, in the order of ``bender.ORDERS``. Cost is linear in the bends of a piece, or with
    an envelope in their square."""
    several = len(pieces) > 1
    return tuple(
        _of_piece(Bench(run, path, one.piece, f" of piece {number}" if several else ""))
        for number, one in enumerate(pieces, start=1)
    )


class Bench(NamedTuple):
    """One piece before it is bent; ``named`` tells it from the run's others, in words."""

    run: Run
    path: Path
    piece: Piece
    named: str


def _of_piece(bench: Bench) -> Offers:
    always = tuple(_worst([*_straights(bench), *_angles(bench)]))
    known: dict[Plan, Offer] = {}
    found = []
    for order, planned in plans(bench.path, bench.piece).items():
        lacks = bench.run.profile.lacks(order)
        if lacks:
            offer = Offer(order, (Why("order_without_mark", lacking(order, lacks), "bender", 0.0),))
        elif planned in known:
            offer = known[planned]._replace(order=order, same_as=known[planned].order)
        else:
            marks = marks_of(bench.run.profile, bench.path, bench.piece, planned)
            offer = known[planned] = Offer(order, (*always, *_worst(_steps(bench, marks))))
        found.append(offer)
    return tuple(found)


def _worst(whys: Sequence[Why]) -> Iterator[Why]:
    """Of reasons of one kind at one place the one that is farthest off."""
    found: dict[tuple[str, str], Why] = {}
    for why in whys:
        known = found.get((why.code, why.at))
        if known is None or why.short > known.short:
            found[why.code, why.at] = why
    return iter(found.values())


def _steps(bench: Bench, marks: Sequence[Mark]) -> list[Why]:
    """What stands in the way of an order, bend by bend: ``made`` are the bends made so far, as they lie."""
    found: list[Why] = []
    made: list[int] = []
    for mark in marks:
        place = bisect(made, mark.bend)
        before = made[place - 1] if place else None
        after = made[place] if place < len(made) else None
        found += _step(bench, mark, before, after)
        made.insert(place, mark.bend)
    envelope = bench.run.profile.envelope
    if envelope:
        found += [_struck(bench, marks, one) for one in swing.strikes(*_for_swing(bench, marks), envelope)]
    return found


def _step(bench: Bench, mark: Mark, before: int | None, after: int | None) -> Iterator[Why]:
    """One bend; ``before`` and ``after`` are the nearest bends that are made, toward the run's start and its end."""
    bends = bench.path.bends
    yield from _mark(
        bench, mark, bends[before] if before is not None else None, bends[after] if after is not None else None
    )
    if mark.hook == "none":
        yield from _between_shoes(bench, mark)
        return
    hooked, heeled = (before, after) if mark.hook == "start" else (after, before)
    yield from _grip(bench, mark)
    if heeled is None:
        yield from _heel(bench, mark)
    if hooked is not None:
        yield from _hook(bench, mark, bends[hooked])


def _mark(bench: Bench, mark: Mark, before: Bend | None, after: Bend | None) -> Iterator[Why]:
    """Whether the mark falls on straight pipe."""
    at, bend = mark.station + bench.piece.begins, bench.path.bends[mark.bend]
    short = max(before.ends - at if before else 0.0, at - after.begins if after else 0.0)
    if short > CLOSE:
        words = f"Mark {mark.step}{bench.named} falls on a bend already made: {up_to_tape(short)} short."
        yield Why(f"{mark.mark}_on_bend", words, bend.at, short)
    off = mark.station - bench.piece.length
    if mark.hook != "none" and (off if mark.hook == "start" else -mark.station) > CLOSE:
        words = f"Mark {mark.step}{bench.named} would stand past the end of the pipe."
        yield Why("mark_off_pipe", words, bend.at, max(off, -mark.station))


def _grip(bench: Bench, mark: Mark) -> Iterator[Why]:
    """Whether the hook has pipe enough; it is measured from the arrow, whichever mark the bend is set on."""
    bend, piece, profile = bench.path.bends[mark.bend], bench.piece, bench.run.profile
    whole = bend.begins - piece.begins if mark.hook == "start" else piece.ends - bend.ends
    at, least = whole - profile.arrow_lead, max(0.0, profile.hook_grip or 0.0)
    if at < least - CLOSE:
        named = "Mark" if mark.mark == "arrow" else "The arrow at mark"
        stands = f"{named} {mark.step}{bench.named} stands {format_length(at)} from the end"
        yield Why("hook_grip", f"{stands}; the hook needs {up_to_tape(least)} there.", bend.at, least - at)


def _between_shoes(bench: Bench, mark: Mark) -> Iterator[Why]:
    """A bender without a hook holds the pipe on both sides of the mark."""
    least = bench.run.profile.hook_grip or 0.0
    at = min(mark.station, bench.piece.length - mark.station)
    if at < least - CLOSE:
        stands = f"Mark {mark.step}{bench.named} stands {format_length(at)} from an end"
        words = f"{stands}; this bender needs {up_to_tape(least)} on both sides."
        yield Why("hook_grip", words, bench.path.bends[mark.bend].at, least - at)


def _heel(bench: Bench, mark: Mark) -> Iterator[Why]:
    """Whether the heel has straight pipe behind it, where nothing bent lies there yet."""
    bend, piece = bench.path.bends[mark.bend], bench.piece
    least = bench.run.profile.heel(bend.angle)
    straight = piece.ends - bend.ends if mark.hook == "start" else bend.begins - piece.begins
    if least is not None and straight < least - CLOSE:
        words = f"Only {format_length(straight)} straight behind bend {mark.step}{bench.named}, where the heel stands"
        yield Why("heel", f"{words}; this bender needs {up_to_tape(least)}.", bend.at, least - straight)


def _hook(bench: Bench, mark: Mark, made: Bend) -> Iterator[Why]:
    """Whether the hook lies clear of an earlier bend; on one up to 15 degrees it sits well enough."""
    profile, bend = bench.run.profile, bench.path.bends[mark.bend]
    if not profile.envelope or profile.envelope.hook is None or made.angle <= SMALL_ANGLE:
        return
    straight = bend.begins - made.ends if mark.hook == "start" else made.begins - bend.ends
    short = profile.arrow_lead + profile.envelope.hook - straight
    if short > CLOSE:
        words = f"The hook of bend {mark.step}{bench.named} would lie {up_to_tape(short)} on a bend already made."
        yield Why("hook_on_bend", words, bend.at, short)


def _for_swing(bench: Bench, marks: Sequence[Mark]) -> tuple[swing.Shoe, list[swing.Turn], float]:
    profile, begins = bench.run.profile, bench.piece.begins
    turns = []
    for mark in marks:
        bend = bench.path.bends[mark.bend]
        low, high = bend.begins - begins, bend.ends - begins
        turns.append(swing.Turn(mark.step, low, high, bend.angle, bend.roll, mark.hook))
    return swing.Shoe(profile.radius, profile.outside_diameter), turns, bench.piece.length


def _struck(bench: Bench, marks: Sequence[Mark], one: swing.Strike) -> Why:
    """A strike in words."""
    bend = bench.path.bends[marks[one.step - 1].bend]
    if one.what == "floor":
        reach = f"reaches {up_to_tape(one.reach)} below the pipe at bend {one.step}{bench.named}"
        words = f"What is already bent {reach}; the floor is {format_length(one.room)} below it."
    else:
        swings = f"at bend {one.step}{bench.named} strikes the {one.what} at {angle_text(one.degrees)} degrees"
        words = f"What is already bent {swings}, about {format_length(one.reach, '1/16')} from the shoe."
    return Why(f"strikes_{one.what}", words, bend.at, one.reach - one.room)


# What holds in every order.


def _straights(bench: Bench) -> Iterator[Why]:
    path, piece, profile = bench.path, bench.piece, bench.run.profile
    inner = {number for corner in path.corners for number in range(corner.first + 1, corner.last + 1)}
    for number in range(piece.first + 1, piece.last):
        one, other, straight = path.bends[number - 1], path.bends[number], path.straights[number]
        least = profile.straight_between(one.angle, other.angle)
        if least is not None and straight < least - CLOSE and number not in inner:
            words = f"Only {format_length(straight)} straight between two bends; this bender needs {up_to_tape(least)}."
            yield Why("straight_between", words, other.at, least - straight)
    for corner in path.corners:
        if corner.shots > 1 and piece.first <= corner.first < piece.last:
            yield from _shots_apart(bench, corner)


def _shots_apart(bench: Bench, corner: CornerLine) -> Iterator[Why]:
    """Whether the shoe finds straight pipe between the shots; if not, how many shots leave it."""
    straight, least = bench.path.straights[corner.last], _least_apart(bench, corner, corner.shots)
    if straight < least - CLOSE:
        counts = range(corner.shots - 1, 1, -1)
        fewer = next(
            (shots for shots in counts if _apart(bench, corner, shots) >= _least_apart(bench, corner, shots)), 0
        )
        offer = f" {fewer} shots leave it." if fewer else ""
        words = f"Only {format_length(straight)} straight between the shots; this bender needs {up_to_tape(least)}."
        yield Why("straight_between", words + offer, corner.asked.at, least - straight)


def _apart(bench: Bench, corner: CornerLine, shots: int) -> float:
    return spacing(corner.radius - bench.run.profile.radius, corner.angle, shots)


def _least_apart(bench: Bench, corner: CornerLine, shots: int) -> float:
    return bench.run.profile.straight_between(corner.angle / shots, corner.angle / shots) or 0.0


def _angles(bench: Bench) -> Iterator[Why]:
    largest = bench.run.profile.largest_angle
    if largest is None:
        return
    for bend in bench.path.bends[bench.piece.first : bench.piece.last]:
        if bend.angle > largest + CLOSE:
            words = f"{angle_text(bend.angle)} is more than this bender makes in one set ({angle_text(largest)})."
            yield Why("largest_angle", words, bend.at, bend.angle - largest)


def working(piece: Offers) -> list[str]:
    """The orders that a piece can be bent in, each set of marks once."""
    return [offer.order for offer in piece if not offer.whys and not offer.same_as]


def in_words(orders: Mapping[str, str] | Sequence[str]) -> str:
    """Orders as a sentence says them."""
    said = [SAID[order] for order in orders]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} or {said[-1]}"
