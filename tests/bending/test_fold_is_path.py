"""Marks and folding are inverse to each other: the folder shares no code with the layout."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings

from bending.fold import fold
from bending.layout import layout
from bending.path import Path, centreline
from bending.problems import Problems
from bending.run import parse
from tests.bending.documents import Document, runs

MISFITS = {
    "wont_fit", "too_close", "past_the_end", "leg_too_short", "no_bend_left", "angle_too_large", "too_narrow",
    "nothing_to_clear",
}  # fmt: skip


def solved(document: Document) -> tuple[Path, dict[str, Any]]:
    """Path and layout of a document; a misfit is another test's concern."""
    try:
        return centreline(parse(document)), layout(document)
    except Problems as problems:
        assert {one.code for one in problems.problems} <= MISFITS
        assume(False)
        raise


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(runs())
def test_folding_the_exact_marks_gives_the_described_path(document: Document) -> None:
    path, laid = solved(document)
    folded = fold(laid)["pieces"][0]
    assert folded["length"] == pytest.approx(path.length, abs=1e-6)
    assert len(folded["points"]) == len(path.points)
    for one, other in zip(folded["points"], path.points, strict=True):
        assert math.dist(one, other) < 1e-6


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(runs())
def test_the_far_end_stands_where_the_rounded_marks_bring_it(document: Document) -> None:
    path, laid = solved(document)
    end = fold(laid, rounded=True)["pieces"][0]["points"][-1]
    (told,) = [one for one in laid["predicted"] if one["what"] == "far_end"]
    assert told["predicted"] == pytest.approx(math.dist(end, path.points[-1]), abs=2e-6)


def test_most_random_runs_can_be_solved() -> None:
    """Were it not so, the properties above would say little."""
    tally = {True: 0, False: 0}

    @settings(max_examples=100, deadline=None, database=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(runs())
    def count(document: Document) -> None:
        try:
            layout(document)
            tally[True] += 1
        except Problems:
            tally[False] += 1

    count()
    assert tally[True] > 3 * tally[False], tally
