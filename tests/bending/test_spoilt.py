"""Spoilt documents of every kind are solved whole or answered with typed problems; absurd numbers are named.

A few thousand here; `python -m tests.bench.broken` tries a hundred thousand and tells the slowest.
"""

from __future__ import annotations

import math
import time
from itertools import islice
from typing import Any

import pytest

from bending.calibration import calibrate
from bending.layout import layout
from bending.points import of_document
from bending.problems import Problems
from tests.bench.broken import outcome
from tests.bending.documents import HALF_INCH, Document, corner, feature, leg, run
from tests.bending.spoiling import documents, makers

SLOWEST = 2.0  # seconds of processor time: a hang, not a benchmark
COUNTS = {"calibrate": 500}  # each lays out several runs
HUMP = feature("saddle4", rise=6.5, angle=30, **{"from": 44, "to": 72})


@pytest.mark.parametrize("name", sorted(makers()))
def test_spoilt_documents_are_solved_whole_or_refused_by_name(name: str) -> None:
    make, goods = makers()[name]
    solved = 0
    for document in islice(documents(7, goods), COUNTS.get(name, 2000)):
        begun = time.process_time()
        found = outcome(make, document)
        assert not found.startswith("!"), (found, document)
        assert time.process_time() - begun < SLOWEST
        solved += found == "solved"
    # Were none solved, or all, little would be said.
    assert 20 < solved < 0.95 * COUNTS.get(name, 2000)


@pytest.mark.parametrize("name", sorted(makers()))
def test_what_is_spoilt_was_good(name: str) -> None:
    make, goods = makers()[name]
    assert {outcome(make, good) for good in goods} == {"solved"}


def first(document: Document) -> tuple[str, str]:
    with pytest.raises(Problems) as refused:
        layout(document)
    return refused.value.problems[0].at, refused.value.problems[0].code


@pytest.mark.parametrize(
    ("value", "code"),
    [(1e300, "too_long"), (10**400, "too_long"), (math.nan, "not_finite"), (math.inf, "not_finite"),
     (-4, "not_positive"), (0, "not_positive"), (5000, "out_of_range"), ("1e300", "not_a_length")],
)  # fmt: skip
def test_an_absurd_radius_is_refused_by_name(value: Any, code: str) -> None:
    assert first(run(leg(40), bender={"radius": value, "arrow_lead": 0})) == ("bender.radius", code)


@pytest.mark.parametrize(("value", "code"), [(1e300, "too_long"), (math.nan, "not_finite"), (-4, "not_positive")])
def test_an_absurd_length_is_refused_by_name(value: float, code: str) -> None:
    assert first(run(leg(value))) == ("path[0].leg", code)


@pytest.mark.parametrize(("value", "code"), [(1e300, "out_of_range"), (math.nan, "not_finite"), (-90, "out_of_range")])
def test_an_absurd_angle_is_refused_by_name(value: float, code: str) -> None:
    assert first(run(leg(40), corner(value), leg(40))) == ("path[1].corner", code)


def grown(legs: int, *features: Document) -> Document:
    path = [one for _ in range(legs) for one in (leg(112, *features), corner(90))]
    return run(*path[:-1])


@pytest.mark.parametrize(
    ("legs", "humps"), [(10_000, 0), (200, 13), (200, 100)], ids=["corners", "saddles", "eighty thousand"]
)
def test_ten_thousand_bends_are_refused_by_name(legs: int, humps: int) -> None:
    begun = time.process_time()
    assert first(grown(legs, *[HUMP] * humps)) == ("path", "too_many")
    assert time.process_time() - begun < SLOWEST


def test_ten_thousand_shots_are_refused_by_name() -> None:
    shots = {**corner(90), "radius": 400, "shots": 180}
    path = [one for _ in range(60) for one in (leg(1000), shots)]
    assert first(run(*path, leg(1000))) == ("path", "too_many")


@pytest.mark.parametrize(
    ("make", "document", "at", "code"),
    [
        (calibrate, {"bends": [{"mark": 1e300, "stub": 20}]}, "bends[0].mark", "too_long"),
        (calibrate, {"bends": [{"mark": 15, "stub": -20}]}, "bends[0].stub", "not_positive"),
        (calibrate, {"bends": [{"mark": 15, "stub": 20, "angle": math.nan}]}, "bends[0].angle", "not_finite"),
        (calibrate, {"springback": [{"bend_to": 1e300, "angle": 90}]}, "springback[0].bend_to", "out_of_range"),
        (of_document, {"points": [[0, 0, 0], [0, 0, 1e300]]}, "points[1]", "too_far"),
        (of_document, {"points": [[0, 0, 0], [0, math.nan, 1]]}, "points[1]", "not_finite"),
        (of_document, {"points": [[0, 0, 0], [40, 0, 0, -4], [40, 50, 0]]}, "points[1]", "not_positive"),
        (of_document, {"points": [[0, 0, n % 2] for n in range(10_000)]}, "points", "too_many"),
        (of_document, {"points": [[0, 0, 0], [40, 0, 0]], "stick": math.inf}, "stick", "not_finite"),
    ],
)
def test_absurd_numbers_are_refused_where_they_stand(make: Any, document: Document, at: str, code: str) -> None:
    head = {
        "raceway": "EMT",
        "size": "1/2",
        **({"bender": HALF_INCH} if make is of_document else {"format": "calibration/1"}),
    }
    with pytest.raises(Problems) as refused:
        make({**head, **document})
    assert (at, code) in {(one.at, one.code) for one in refused.value.problems}
