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
from bending.path import centreline
from bending.problems import Problems
from bending.run import parse
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


@st.composite
def with_an_obstruction(draw: st.DrawFn) -> Document:
    """One leg of a random run with something on its surface somewhere along it."""
    document = draw(runs())
    leg = document["path"][0]
    features = [one for one in leg["features"] if one["kind"] not in ("kick", "box_offset")]
    begins = draw(st.floats(0, leg["leg"]))
    edge = {"from": begins, "to": begins + draw(st.floats(0.5, 40)), "height": draw(st.floats(0.1, 8))}
    return {**document, "path": [{**leg, "features": features, "obstructions": [edge]}]}


@judged
@given(with_an_obstruction())
def test_the_kernel_finds_the_same_least_gap(document: Document) -> None:
    laid = laid_out(document)
    run = parse(document)
    path = centreline(run)
    ((told, _),) = least_gaps(run, path, path.lines[0], run.legs[0].obstructions)
    half, edge = run.profile.outside_diameter / 2, document["path"][0]["obstructions"][0]
    begins = path.lines[0].begins
    low, high = (edge["from"] - begins, -1000, -half - 50), (edge["to"] - begins, 1000, edge["height"] - half)
    found = kernel.distance(kernel.wire(fold(laid)["pieces"][0]), kernel.box(low, high)) - half
    # Inside the box the kernel says 0, and the library how far out it is.
    assert max(told, -half) == pytest.approx(found, abs=1e-3)
