"""Two hundred bends in every direction: no last figure's error may grow from bend to bend."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import pytest

from bending.fold import fold
from bending.layout import layout
from bending.lra import lra, points
from bending.path import centreline
from bending.points import from_points
from bending.run import parse
from tests.bending.documents import HALF_INCH, Document, corner, leg, run


def wandering(seed: int, corners: int = 199) -> Document:
    """Legs of 40 in between corners in every direction."""
    chance, path = random.Random(seed), list[Document]()
    for _ in range(corners):
        path += [leg(40), corner(chance.choice([22.5, 30, 45, 90, 120]), chance.uniform(-180, 180))]
    return run(*path, leg(40))


@pytest.mark.parametrize("seed", range(6))
def test_every_leg_of_a_long_run_is_as_long_as_it_was_asked(seed: int) -> None:
    places = centreline(parse(wandering(seed))).points
    assert [math.dist(*pair) for pair in pairwise(places)] == pytest.approx([40] * 200, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_the_marked_stick_of_a_long_run_folds_up_to_it(seed: int) -> None:
    document = wandering(seed)
    folded = fold(layout(document))["pieces"][0]["points"]
    for one, other in zip(folded, centreline(parse(document)).points, strict=True):
        assert math.dist(one, other) < 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_a_long_model_becomes_a_run_that_goes_through_its_points(seed: int) -> None:
    places = centreline(parse(wandering(seed))).points
    found = from_points(places, raceway="EMT", size="1/2", bender=HALF_INCH)
    again = centreline(parse(found.document)).points
    for one, other in zip(again, places, strict=True):
        assert math.dist(one, other) < 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_a_long_table_of_lengths_rotations_and_angles_gives_its_points_back(seed: int) -> None:
    places = centreline(parse(wandering(seed))).points
    again = points(lra(places))
    assert math.dist(again[0], again[-1]) == pytest.approx(math.dist(places[0], places[-1]), abs=1e-6)
    assert [math.dist(*pair) for pair in pairwise(again)] == pytest.approx([40] * 200, abs=1e-6)
