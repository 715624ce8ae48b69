"""What a marked stick folds up to, and how near it comes to things, as a CAD kernel measures it."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from bending.clearance import least_gaps
from bending.fold import fold
from bending.layout import layout
from bending.path import LegLine, centreline
from bending.problems import Problems
from bending.run import parse
from bending.vectors import add, cross
from tests.bending import kernel
from tests.bending.documents import Document, runs

# The same hundred every time: a judge of geometry needs no luck, and each costs the kernel some milliseconds.
judged = settings(
    max_examples=100,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def laid_out(document: Document) -> dict[str, Any]:
    try:
        return layout(document)
    except Problems:
        assume(False)
        raise


@judged
@given(runs())
def test_the_kernel_finds_the_same_length_and_ends(document: Document) -> None:
    laid = laid_out(document)
    for piece, folded in zip(laid["pieces"], fold(laid)["pieces"], strict=True):
        wire = kernel.wire(folded)
        assert kernel.length(wire) == pytest.approx(piece["cut_length"], abs=1e-6)
        for found, asked in zip(kernel.ends(wire), (folded["points"][0], folded["points"][-1]), strict=True):
            assert math.dist(found, asked) < 1e-6


# So much of the pipe beyond a leg's corners is looked at with the leg, in.
NEAR = 24.0
FAR = 1000.0


@st.composite
def with_an_obstruction(draw: st.DrawFn) -> tuple[Document, int]:
    """A random run with something somewhere along one of its legs, and which."""
    document = draw(runs())
    number = 2 * draw(st.integers(0, len(document["path"]) // 2))
    whole, more = document["path"][number], {"turn": draw(st.sampled_from([0, 90, 180, 270]) | st.floats(0, 360))}
    spots = [
        one[key] for one in whole["features"] for key in ("at", "centre", "from") if isinstance(one.get(key), float)
    ]
    begins = draw(st.sampled_from([*spots, 0, whole["leg"]])) + draw(st.floats(-12, 12))
    if draw(st.booleans()):
        thing = {"pipe": draw(st.floats(0.5, 8)), "centre": begins, "insulation": draw(st.floats(0, 1))}
        own = {"gap": draw(st.floats(0, 4)), "standoff": draw(st.floats(0, 2))}
    else:
        thing = {"from": begins, "to": begins + draw(st.floats(0.5, 40))}
        own = {"height": draw(st.floats(0.1, 8)), "standoff": draw(st.floats(0, 2))}
    thing |= {**more, **draw(st.just(own) | st.fixed_dictionaries({"off": st.floats(0, 12)}))}
    path = [{**item, "obstructions": [thing]} if item is whole else item for item in document["path"]]
    return {**document, "path": path}, number


@settings(judged, max_examples=200)
@given(with_an_obstruction())
def test_the_kernel_finds_the_same_least_gap(asked: tuple[Document, int]) -> None:
    document, number = asked
    laid, run = laid_out(document), parse(document)
    path, half = centreline(run), run.profile.outside_diameter / 2
    (leg,) = [one for one in range(len(run.legs)) if run.legs[one].at == f"path[{number}]"]
    told, _ = least_gaps(run, path, path.lines[leg], run.legs[leg].obstructions)[0]
    solid = as_solid(document["path"][number]["obstructions"][0], path.lines[leg], half)
    found = kernel.distance(kernel.wire(near(fold(laid)["pieces"][0], document["path"], number)), solid) - half
    # Inside a solid the kernel says 0, and the library how far out it is.
    assert max(told, -half) == pytest.approx(found, abs=1e-3)


def as_solid(thing: Document, line: LegLine, half: float) -> Any:
    """An obstruction in the kernel, as far to either side as makes no difference."""
    first, frame = line.pis[0], line.frame
    zero = add(add(add(line.origin, frame.t, -first.along), frame.u, -first.out), frame.left, -first.left)
    toward = frame.toward(thing["turn"])
    across = cross(frame.t, toward)
    behind = -half - thing.get("standoff", 0)
    if "pipe" in thing:
        off = thing["pipe"] / 2 + (thing["off"] if "off" in thing else behind + thing["gap"])
        middle = add(add(zero, frame.t, thing["centre"]), toward, off)
        return kernel.cylinder(middle, across, thing["pipe"] / 2 + thing["insulation"], FAR)
    low = thing["off"] if "off" in thing else behind + thing["height"] - FAR
    corner = add(add(add(zero, frame.t, thing["from"]), toward, low), across, -FAR)
    return kernel.box(corner, (frame.t, toward), (thing["to"] - thing["from"], FAR, 2 * FAR))


def near(piece: Document, path: Document, number: int) -> Document:
    """Of a folded piece, what lies on one leg and round its corners and a little beyond; a bend that begins there
    whole."""
    bends, length = piece["bends"], piece["length"]
    low, high = 0.0, length
    before = [bend for bend in bends if bend["feature"] == f"path[{number - 1}]"]
    after = [bend for bend in bends if bend["feature"] == f"path[{number + 1}]"]
    if before:
        low = before[-1 if "u_bend" in path[number - 1] else 0]["stations"][0] - NEAR
    if after:
        high = after[0 if "u_bend" in path[number + 1] else -1]["stations"][1] + NEAR
    kept = [bend for bend in bends if bend["stations"][1] > low and bend["stations"][0] < high]
    return {"points": [place(piece, kept, low, 0), place(piece, kept, high, -1)], "bends": kept}


def place(piece: Document, kept: list[Document], station: float, end: int) -> list[float]:
    """Where the pipe's station is, or the end of the outermost bend if that lies further out."""
    if not 0 < station < piece["length"]:
        return list(piece["points"][end])
    bend, key = kept[end], ("start", "end")[end]
    left = abs(station - bend["stations"][end])
    if (station > bend["stations"][0]) if end == 0 else (station < bend["stations"][1]):
        return list(bend[key])
    size = math.dist(bend[key], bend["pi"])
    return [at + (at - pi) * left / size for at, pi in zip(bend[key], bend["pi"], strict=True)]
