"""What ``over`` picked and why, or what is missing, in the trade's words and in numbers."""

from __future__ import annotations

import math
from dataclasses import replace

from bending.features import Offset, Saddle3
from bending.lengths import format_length
from bending.over_shapes import TOUCHING, Shape, Work, shapes
from bending.problems import Problem
from bending.words import angle_text, up_to_tape

_BENDS = {"saddle3": "a three-bend", "saddle4": "a four-bend", "offset": "an offset"}


def why(work: Work, chosen: tuple[Shape, Shape, Shape]) -> str:
    """Why this shape, this angle and this rise. ``chosen`` are what stands before it, itself and what comes after."""
    _, shape, _ = chosen
    return f"{_why_bends(work, shape)} {_why_angle(work, chosen)} {_why_rise(work)}"


def _why_bends(work: Work, shape: Shape) -> str:
    radius = f"the conduit's {work.profile.radius:.2f} radius"
    if isinstance(shape.feature, Offset):
        return "An offset, because it is to stay up."
    if isinstance(shape.feature, Saddle3):
        return (
            f"Three bends: {work.around:.2f} from its middle to the conduit's is within {radius}, so one goes round it."
        )
    if work.round_one:
        return "Four bends: no three fit here."
    if work.thing.radius:
        return f"Four bends: {work.around:.2f} from its middle to the conduit's is more than {radius}."
    return f"Four bends: the conduit is level over all of its {_inches(work.thing.ends - work.thing.begins)}."


def _why_angle(work: Work, chosen: tuple[Shape, Shape, Shape]) -> str:
    _, shape, _ = chosen
    angle = angle_text(shape.made.angle)
    if work.over.angle:
        return f"{angle} was asked for."
    if shape.rank == 0:
        return f"{angle} is the usual angle, and it fits."
    others = [one for one in work.offered if one.made.kind == shape.made.kind]
    better = [_against(one, work, chosen) for one in others if one.rank < shape.rank]
    return f"{angle} fits; {'; '.join(better)}."


def _against(one: Shape, work: Work, chosen: tuple[Shape, Shape, Shape]) -> str:
    """Why a more usual angle wasn't taken."""
    before, _, after = chosen
    angle, profile = angle_text(one.made.angle), work.profile
    if one.over_largest:
        return f"{angle} is more than the shoe makes in one set"
    if one.lacks > TOUCHING:
        return f"{angle} lacks {one.lacks:.2f} of straight on its slopes"
    short = {"before": before.short_of(one, profile), "after": one.short_of(after, profile)}
    side = max(short, key=lambda key: short[key])
    if short[side] > TOUCHING:
        return f"{angle} is {short[side]:.2f} short of straight {side} it"
    if one.tight or before.pinched(one, profile) or one.pinched(after, profile):
        return f"{angle} leaves too little straight for arrow, hook or heel"
    return f"{angle} doesn't go with what else is picked on this leg"


def _why_rise(work: Work) -> str:
    far = work.thing.top + work.profile.outside_diameter / 2
    already = f" - {_inches(work.level)} that it is out already" if abs(work.level) > TOUCHING else ""
    return f"Rise {_inches(work.rise)} = {_inches(far)} to its far side + {_inches(work.thing.clear)} clear{already}."


def _inches(length: float) -> str:
    return format_length(length, "1/32").rstrip('"')


def cant_be_made(work: Work) -> Problem:
    """Where no angle makes the rise, or the shoe doesn't make the one that was asked for."""
    at, offered = work.over.at, work.offered
    if not offered:
        words = f"the conduit clears this by {_inches(work.thing.clear - work.rise)} as it lies: leave this out"
        return Problem(at, "nothing_to_clear", words)
    turned = [one for one in offered if not one.over_largest]
    if not turned:
        largest = angle_text(work.profile.largest_angle or 0.0)
        return Problem(f"{at}.angle", "angle_too_large", f"this shoe makes at most {largest} in one set")
    least, angle = min(_least_rise(work, one) for one in turned)
    more, offer = up_to_tape(max(least - work.rise, 0.0)), f"the least is {up_to_tape(least)} at {angle_text(angle)}"
    words = f"a rise of {_inches(work.rise)} is too little with a {work.profile.radius:.2f} radius: {offer}"
    other = _another_angle(work)
    instead = f"take {angle_text(other)}, or ask" if other else "ask"
    return Problem(at, "wont_fit", f"{words}; {instead} for {more} more to clear")


def _another_angle(work: Work) -> float | None:
    """The usual angle that makes a rise for which another was asked."""
    free = Work(replace(work.over, angle=0.0), work.span, work.level)
    return next((one.made.angle for one in shapes(free) if one.fits), None)


def _least_rise(work: Work, one: Shape) -> tuple[float, float]:
    """The least rise of a shape and its angle: what its slopes lack is made up along them."""
    slope = one.made.angle / 2 if isinstance(one.made, Saddle3) else one.made.angle
    return work.rise + one.lacks * math.sin(math.radians(slope)), one.made.angle


def has_no_room(work: Work, one: Shape, other: Shape) -> Problem:
    """Where nothing has the room: told of the shape that is least short, beside what it is short of."""
    ours, beside = (other, one) if other.feature and other.feature.at == work.over.at else (one, other)
    short, side = one.short_of(other, work.profile), "before" if ours is other else "after"
    made = ours.made
    slope = made.angle / 2 if isinstance(made, Saddle3) else made.angle
    less = up_to_tape(short * math.tan(math.radians(slope)))
    code = "past_the_end" if beside.edge in ("zero", "far") else "too_close"
    words = (
        f"{_BENDS[made.kind]} at {angle_text(made.angle)} comes nearest to fitting, and is {up_to_tape(short)} short "
        f"of straight {side} it: {up_to_tape(short)} more leg there would do, or {less} less to rise"
    )
    return Problem(work.over.at, code, words)
