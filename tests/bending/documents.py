"""Run documents for tests: short ways to write one, and hypothesis strategies for random ones that can be solved."""

from __future__ import annotations

from typing import Any

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


BENDERS = [
    ("EMT", "1/2", HALF_INCH), ("EMT", "3/4", THREE_QUARTER), ("EMT", "1", ONE_INCH),
    ("EMT", "1-1/4", {"take_up": 11, "gain": "5 5/8"}), ("RMC", "3/4", {"take_up": 8, "gain": "3 7/8"}),
    ("IMC", "2", {"radius": "9 1/2", "arrow_lead": 0}), ("RMC", "1", {"radius": 6.5, "arrow_lead": -0.75}),
]  # fmt: skip
TURNS: SearchStrategy[Any] = st.sampled_from(["out", "left", "in", "right"]) | st.floats(-360, 360)
SLOPES = st.sampled_from([5, 10, 15, 22.5, 30, 45, 60]) | st.floats(4, 60)
RISES = st.floats(0.25, 20)
ROOM = st.floats(25, 60)


@st.composite
def _offset(draw: DrawFn, here: float) -> tuple[Document, float]:
    rise, side, angle = draw(RISES), draw(st.floats(-10, 10) | st.just(0.0)), draw(SLOPES)
    width = 12 * (rise + abs(side)) * (10 / angle) + draw(ROOM)
    holds, level = draw(st.sampled_from(["far", "near"])), draw(st.sampled_from(["pi", "level"]))
    at = here + (width if holds == "far" else 25)
    made = feature("offset", at=at, rise=rise, side=side, angle=angle, holds=holds, at_is=level, turn=draw(TURNS))
    return made, here + width + 25


@st.composite
def _saddle3(draw: DrawFn, here: float) -> tuple[Document, float]:
    rise, angle = draw(RISES), draw(st.sampled_from([30, 45, 60]) | st.floats(10, 90))
    width = 25 * rise * (10 / angle) + draw(ROOM)
    return feature("saddle3", centre=here + width, rise=rise, angle=angle, turn=draw(TURNS)), here + 2 * width


@st.composite
def _saddle4(draw: DrawFn, here: float) -> tuple[Document, float]:
    rise, angle, flat = draw(RISES), draw(SLOPES), draw(ROOM)
    width = 12 * rise * (10 / angle) + draw(ROOM)
    places = {"from": here + width, "to": here + width + flat}
    level = draw(st.sampled_from(["pi", "level"]))
    return feature("saddle4", rise=rise, angle=angle, turn=draw(TURNS), at_is=level, **places), here + 2 * width + flat


@st.composite
def legs(draw: DrawFn, first: bool, last: bool) -> Document:
    """A leg with room enough for its features most of the time."""
    features, here = [], 40.0
    if first and draw(st.booleans()):
        features.append(_box_offset(draw, "start"))
    elif not first and draw(st.integers(0, 3)) == 0:
        features.append(feature("kick", at="start", rise=draw(RISES), angle=draw(SLOPES), turn=draw(TURNS)))
        here += 150
    for make in draw(st.lists(st.sampled_from([_offset, _saddle3, _saddle4]), max_size=2)):
        made, here = draw(make(here))
        features.append(made)
    length = here + draw(ROOM)
    if last and draw(st.booleans()):
        features.append(_box_offset(draw, "end"))
        length += 40
    elif not last and draw(st.integers(0, 3)) == 0:
        features.append(feature("kick", rise=draw(RISES), angle=draw(SLOPES), turn=draw(TURNS)))
        length += 150
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


@st.composite
def runs(draw: DrawFn) -> Document:
    """A run/1 document over all features, sizes and references; more than half can be solved."""
    raceway, size, bender = draw(st.sampled_from(BENDERS))
    corners = draw(st.integers(0, 3))
    path = []
    for number in range(corners + 1):
        path.append(draw(legs(number == 0, number == corners)))
        if number < corners:
            path.append(corner(draw(st.sampled_from([90, 90, 45, 30]) | st.floats(5, 130)), draw(TURNS)))
    more: Document = {} if draw(st.booleans()) else {"measure": draw(st.sampled_from(["back", "centre", "inside"]))}
    ends = {key: {"allowance": draw(st.floats(-0.75, 0.5))} for key in ("start", "end")}
    return {"format": "run/1", "raceway": raceway, "size": size, "bender": bender, "path": path,
            "zero": draw(st.sampled_from(["start", "end"])), "tape": draw(st.sampled_from(["1/16", "1/32", "1 mm"])),
            **more, **ends}  # fmt: skip
