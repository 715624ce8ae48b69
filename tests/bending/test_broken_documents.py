"""Broken documents: always typed problems, never a traceback, never a hang, never half an answer.

``BROKEN_DOCUMENTS`` sets how many are tried.
"""

from __future__ import annotations

import copy
import json
import math
import os
import re
import time
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from bending.layout import layout
from bending.problems import Problems
from tests.bending.documents import Document, corner, feature, leg, run, runs

EXAMPLES = int(os.environ.get("BROKEN_DOCUMENTS", "5000"))
SLOWEST = 2.0  # seconds of processor time: a hang, not a benchmark
OFTEN = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))

SCALARS = (
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)
    | st.sampled_from([1e300, -1e300, math.nan, math.inf, -1, 0, 10**400, 1e-300])
    | st.sampled_from(["5-2 1/2", "", "62 1/2", "out", "back", "1e300", "up", "my left", "north", "wall"])
)  # fmt: skip
KEYS = st.sampled_from(
    ["leg", "corner", "turn", "features", "kind", "rise", "angle", "at", "from", "to", "centre", "radius", "tail",
     "take_up", "gain", "arrow_lead", "path", "bender", "measure", "format", "rack", "allowance", "obstructions",
     "mount", "heads", "faces", "order", "marks", "heel", "hook_grip", "envelope", "floor", "handle", "frame", "along",
     "pipe", "gap", "off", "clear", "standoff", "insulation", "stay_up", "from_end", "height"]
)  # fmt: skip
JSON = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS | st.text(max_size=6), inner, max_size=5),
    max_leaves=25,
)
OVER = feature("saddle4", rise=6.5, angle=30, **{"from": 44, "to": 72})
HUMP = feature("saddle3", centre=40, rise=2, angle=45)
EDGE = {"from": 47, "to": 69, "height": 6, "clear": 0.5}
MAIN = {"pipe": "2 3/8", "centre": 40, "gap": 2, "insulation": 0.5, "clear": 0.5, "standoff": "13/16"}
ROOM = {
    "floor": 6, "hook": 2, "handle": {"length": 38, "width": 1.5, "upright_at": 30},
    "frame": [{"along": [-4, 16], "up": [-14, -2], "across": [-5, 5]}],
}  # fmt: skip
SHOE = {
    "radius": 4.47, "arrow_lead": 0.2, "hook_grip": 2, "heel": {"small": 4, "large": 8}, "envelope": ROOM,
    "marks": {"arrow": "arrow", "notch": "teardrop", "star": "star", "centre": "middle"},
}  # fmt: skip
GOOD: list[Document] = [
    run(leg(112, OVER, obstructions=[EDGE]), corner(90, 30), leg("40 1/2", **{"from": "back"})),
    run(leg(58, feature("kick", rise=3, turn="right", angle=15)), corner(90, "out"), leg(60)),
    run(leg(90, feature("box_offset", at="start", rise="3/8", angle=10, tail=2), HUMP),
        start={"to": "box face", "fitting": "connector", "allowance": "1/8"}, run_long={"end": "end", "by": 2},
        stars=["path[0].leg"], threads=["end"], tape="1/32", zero="end", bends_elsewhere=90),
    run(leg(60), {**corner(90, "down"), "mount": "wall"}, leg(40), corner(90, "my left"), leg(40),
        mount="ceiling", heads="north"),
    run(leg(80, HUMP), corner(90, "east"), leg(40), mount="wall", heads="up", faces="north"),
    run(leg(80, feature("offset", at=46, rise=5, side=-7, angle=30, holds="far", at_is="level", from_end=True))),
    run(leg(90, HUMP), corner(90), leg(20), corner(90, "right"), leg(20), bender=SHOE, order="centre-out"),
    run(leg(30), corner(90), leg(40), corner(90, "out"), leg(50), bender={**SHOE, "order": "back-to-back"}),
    run(leg(112, feature("over", **EDGE, angle=30)), corner(90), leg(90, feature("over", **MAIN, stay_up=True))),
    run(leg(90, obstructions=[MAIN, {"from": 9, "to": 20, "off": 4, "turn": "left"}, {**MAIN, "from_end": True}])),
]  # fmt: skip


@st.composite
def broken(draw: DrawFn) -> Any:
    """A valid document with one to three places changed, dropped, doubled or filled with something else."""
    document = copy.deepcopy(draw(st.sampled_from(GOOD) | runs()))
    for _ in range(draw(st.integers(1, 3))):
        holders = list(_holders(document))
        holder = draw(st.sampled_from(holders))
        _spoil(draw, holder)
    return document


def _holders(value: Any) -> Any:
    if isinstance(value, dict | list):
        if value:
            yield value
        for inner in value.values() if isinstance(value, dict) else value:
            yield from _holders(inner)


def _spoil(draw: DrawFn, holder: Any) -> None:
    keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
    key, way = draw(st.sampled_from(keys)), draw(st.sampled_from(["change", "change", "drop", "grow", "rename"]))
    if way == "change":
        holder[key] = draw(SCALARS | JSON)
    elif way == "drop":
        del holder[key]
    elif way == "grow" and isinstance(holder, list):
        holder.append(copy.deepcopy(holder[key]))
    elif isinstance(holder, dict):
        holder[draw(KEYS | st.text(max_size=5))] = holder.pop(key)
    else:
        holder.insert(0, draw(SCALARS))


def judge(document: Any) -> None:
    begun = time.process_time()
    try:
        whole(layout(document))
    except Problems as refused:
        typed(refused)
    assert time.process_time() - begun < SLOWEST


def whole(laid: Document) -> None:
    """A document that is solved is solved altogether, in finite numbers."""
    json.dumps(laid, allow_nan=False)
    assert laid["pieces"][0]["cut_length"] > 0
    assert [mark["step"] for mark in laid["pieces"][0]["marks"]] == list(range(1, len(laid["pieces"][0]["marks"]) + 1))


def typed(refused: Problems) -> None:
    assert refused.problems
    json.dumps(refused.as_json(), allow_nan=False)
    for one in refused.problems:
        assert re.fullmatch(r"[a-z_]+", one.code)
        assert one.text


@pytest.mark.parametrize("number", range(len(GOOD)))
def test_what_is_spoilt_was_good(number: int) -> None:
    assert layout(GOOD[number])["pieces"]


@OFTEN
@given(broken())
def test_a_spoilt_run_gets_typed_problems(document: Any) -> None:
    judge(document)


@OFTEN
@given(JSON)
def test_any_json_gets_typed_problems(document: Any) -> None:
    judge(document)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 1e300, -1e300, 10**400, -1, "1e300"])
@pytest.mark.parametrize(
    "at",
    [("path", 0, "leg"), ("bender", "take_up"), ("path", 0, "features", 0, "rise"), ("path", 0, "features", 0, "angle"),
     ("path", 0, "features", 0, "from"), ("path", 1, "corner"), ("path", 0, "obstructions", 0, "height"),
     ("path", 0, "features", 0, "to")],
)  # fmt: skip
def test_an_absurd_number_is_refused_where_it_stands(at: tuple[Any, ...], value: Any) -> None:
    document = copy.deepcopy(GOOD[0])
    holder = document
    for key in at[:-1]:
        holder = holder[key]
    holder[at[-1]] = value
    with pytest.raises(Problems) as refused:
        layout(document)
    place = "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in at)[1:]
    close = {place, place.rsplit(".", 1)[0] + ".from", place.rsplit(".", 1)[0] + ".to", "bender.gain"}
    assert close & {one.at for one in refused.value.problems}
