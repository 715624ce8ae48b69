"""Run documents for tests: short ways to write one, and hypothesis strategies for random ones that can be solved."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

Document = dict[str, Any]

HALF_INCH = {"take_up": 5, "gain": "2 5/8"}
THREE_QUARTER = {"take_up": 6, "gain": "3 1/4"}
ONE_INCH = {"take_up": 8, "gain": 4}


def run(*path: Any, **more: Any) -> Document:
    """A run of 1/2 EMT on the usual shoe, measured to centres unless told otherwise."""
    usual = {"format": "run/1", "raceway": "EMT", "size": "1/2", "bender": HALF_INCH, "measure": "centre"}
    return {**usual, **more, "path": list(path)}


def leg(length: Any, *features: Document, **more: Any) -> Document:
    return {"leg": length, "features": list(features), **more}


def corner(angle: float, turn: Any = "left") -> Document:
    return {"corner": angle, "turn": turn}


def feature(kind: str, **fields: Any) -> Document:
    return {"kind": kind, **fields}


# Raceway, size, bender, and its radius: what a strategy must know to ask for rises that can be made.
BENDERS = [
    ("EMT", "1/2", HALF_INCH, 4.48), ("EMT", "3/4", THREE_QUARTER, 5.43), ("EMT", "1", ONE_INCH, 6.62),
    ("EMT", "1-1/4", {"take_up": 11, "gain": "5 5/8"}, 9.6), ("RMC", "3/4", {"take_up": 8, "gain": "3 7/8"}, 6.6),
    ("IMC", "2", {"radius": "9 1/2", "arrow_lead": 0}, 9.5), ("RMC", "1", {"radius": 6.5, "arrow_lead": -0.75}, 6.5),
]  # fmt: skip
TURNS: SearchStrategy[Any] = st.sampled_from(["out", "left", "in", "right"]) | st.floats(-360, 360)
SLOPES = st.sampled_from([5, 10, 15, 22.5, 30, 45, 60]) | st.floats(4, 60)
ROOM = st.floats(25, 60)


class Bending(NamedTuple):
    """What a strategy draws with: the bender's radius, and the largest corner of the run."""

    draw: DrawFn
    radius: float
    corner: float

    def slope(self, angles: SearchStrategy[Any] = SLOPES, share: float = 1.0) -> Document:
        """An angle, a rise that it makes, and a turn; ``share`` of the angle is the slope's."""
        angle = self.draw(angles)
        least = 2 * self.radius * (1 - math.cos(math.radians(angle * share)))
        rise = least + self.draw(st.floats(0.001, 12))
        return {"angle": angle, "rise": rise, "turn": self.draw(TURNS)}

    def kick(self, at: str) -> Document:
        """A kick that has room beside the run's largest corner, or by chance beside a smaller one."""
        angle = self.draw(SLOPES)
        tangents = math.tan(math.radians(angle / 2)) + math.tan(math.radians(min(self.corner + angle, 135) / 2))
        rise = self.radius * tangents * math.sin(math.radians(angle)) + self.draw(st.floats(0.001, 6))
        return feature("kick", at=at, angle=angle, rise=rise, turn=self.draw(TURNS))

    def width(self, slope: Document, share: float = 1.0) -> float:
        """Room along the leg for one slope: its run and more than two tangents."""
        return (slope["rise"] + self.radius) / math.tan(math.radians(slope["angle"] * share)) + self.draw(ROOM)


def _offset(bending: Bending, here: float) -> tuple[Document, float]:
    slope, side = bending.slope(), bending.draw(st.just(0.0) | st.floats(-10, 10))
    width = bending.width({**slope, "rise": slope["rise"] + abs(side)})
    holds = bending.draw(st.sampled_from(["far", "near"]))
    at = here + (width if holds == "far" else 25)
    level = bending.draw(st.sampled_from(["pi", "level"]))
    return feature("offset", at=at, side=side, holds=holds, at_is=level, **slope), here + width + 50


def _saddle3(bending: Bending, here: float) -> tuple[Document, float]:
    slope = bending.slope(st.sampled_from([30, 45, 60]) | st.floats(10, 90), 0.5)
    width = bending.width(slope, 0.5)
    return feature("saddle3", centre=here + width, **slope), here + 2 * width


def _saddle4(bending: Bending, here: float) -> tuple[Document, float]:
    slope, flat = bending.slope(), bending.draw(ROOM)
    width = bending.width(slope)
    places = {"from": here + width, "to": here + width + flat}
    level = bending.draw(st.sampled_from(["pi", "level"]))
    return feature("saddle4", at_is=level, **slope, **places), here + 2 * width + flat


def _over(bending: Bending, here: float) -> tuple[Document, float]:
    """Something to be cleared, with room for a slope of 30 or more on either side of it."""
    draw, clear = bending.draw, bending.draw(st.floats(0.1, 2))
    wide, high = draw(st.floats(0.5, 30)), draw(st.floats(0.5, 8))
    reach = 2 * (high + clear + 3 + bending.radius) + draw(ROOM)
    more = {"clear": clear, "turn": draw(TURNS), "stay_up": draw(st.booleans())}
    if draw(st.booleans()):
        return feature("over", **{"from": here + reach, "to": here + reach + wide}, height=high, **more), (
            here + 2 * reach + wide
        )
    round_one = {"pipe": high, "gap": draw(st.floats(0, 2)), "insulation": draw(st.floats(0, 1))}
    return feature("over", centre=here + reach, **round_one, **more), here + 2 * reach


def _leg(bending: Bending, first: bool, last: bool) -> Document:
    """A leg with room enough for its features most of the time."""
    draw, features, here = bending.draw, [], 40.0
    if first and draw(st.booleans()):
        features.append(_box_offset(draw, "start"))
    elif not first and draw(st.integers(0, 3)) == 0:
        features.append(bending.kick("start"))
        here += 40 + features[-1]["rise"] / math.tan(math.radians(features[-1]["angle"]))
    for make in draw(st.lists(st.sampled_from([_offset, _saddle3, _saddle4, _over]), max_size=2)):
        made, here = make(bending, here)
        features.append(made)
    length = here + draw(ROOM)
    if last and draw(st.booleans()):
        features.append(_box_offset(draw, "end"))
        length += 40
    elif not last and draw(st.integers(0, 3)) == 0:
        features.append(bending.kick("end"))
        length += 40 + features[-1]["rise"] / math.tan(math.radians(features[-1]["angle"]))
    return leg(length, *(_from_end(draw, one, length) for one in features))


def _box_offset(draw: DrawFn, at: str) -> Document:
    return feature("box_offset", at=at, rise=draw(st.floats(0.3, 2)), angle=draw(st.floats(4, 10)),
                   tail=draw(st.floats(1, 4)), turn=draw(TURNS))  # fmt: skip


def _from_end(draw: DrawFn, one: Document, length: float) -> Document:
    """Sometimes the same places, measured from the leg's other reference."""
    places = [key for key in ("at", "centre", "from", "to") if isinstance(one.get(key), float)]
    if not places or draw(st.booleans()):
        return one
    return {**one, "from_end": True, **{key: length - one[key] for key in places}}


def _joined(draw: DrawFn, angle: float, radius: float) -> Document:
    """A corner, now and then of a larger radius than the bender's, or a return bend."""
    kind = draw(st.integers(0, 7))
    if kind == 0 and angle <= 95:
        return {**corner(angle, draw(TURNS)), "radius": radius * draw(st.floats(1.05, 2.5))}
    if kind == 1 and angle == 90:
        return {"u_bend": 2 * radius + draw(st.floats(4, 30)), "turn": draw(TURNS)}
    return corner(angle, draw(TURNS))


@st.composite
def runs(draw: DrawFn) -> Document:
    """A run/1 document over all features, sizes and references; most can be solved."""
    raceway, size, bender, radius = draw(st.sampled_from(BENDERS))
    corners = draw(st.lists(st.sampled_from([90, 90, 45, 30]) | st.floats(5, 130), max_size=3))
    bending = Bending(draw, radius, max(corners, default=0))
    path = []
    for number, angle in enumerate([*corners, None]):
        path.append(_leg(bending, number == 0, angle is None))
        if angle is not None:
            path.append(_joined(draw, angle, radius))
    more: Document = {} if draw(st.booleans()) else {"measure": draw(st.sampled_from(["back", "centre", "inside"]))}
    ends = {key: {"allowance": draw(st.floats(-0.75, 0.5))} for key in ("start", "end")}
    return {"format": "run/1", "raceway": raceway, "size": size, "bender": bender, "path": path,
            "zero": draw(st.sampled_from(["start", "end"])), "tape": draw(st.sampled_from(["1/16", "1/32", "1 mm"])),
            **more, **ends}  # fmt: skip
