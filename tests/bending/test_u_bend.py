"""Return bends: two 90s and the straight between them."""

from __future__ import annotations

from typing import Any

import pytest

from bending.fold import fold
from bending.layout import layout
from bending.problems import Problems
from tests.bending.documents import Document, corner, leg, run


def folded(document: Document) -> dict[str, Any]:
    (piece,) = fold(layout(document))["pieces"]
    return piece


@pytest.mark.parametrize("width", [10, 12.5, 30])
def test_the_legs_of_a_return_bend_stand_its_width_apart(width: float) -> None:
    points = folded(run(leg(40), {"u_bend": width, "turn": "left"}, leg(40)))["points"]
    assert [point[1] for point in points] == pytest.approx([0, 0, width, width], abs=1e-6)
    assert points[-1][0] == pytest.approx(0, abs=1e-6)


def test_a_return_bend_narrower_than_two_radii_is_refused() -> None:
    with pytest.raises(Problems) as found:
        layout(run(leg(40), {"u_bend": 8, "turn": "left"}, leg(40)))
    assert [(one.at, one.code) for one in found.value.problems] == [("path[1].u_bend", "too_narrow")]


def test_a_return_bend_is_two_90s_and_the_straight_between() -> None:
    two = run(leg(40), corner(90, "left"), leg(12), corner(90, "left"), leg(40))
    one = run(leg(40), {"u_bend": 12, "turn": "left"}, leg(40))
    assert folded(one)["points"] == [pytest.approx(point, abs=1e-9) for point in folded(two)["points"]]


def test_what_the_bender_must_have_between_the_two_90s_counts_too() -> None:
    """Twice a radius of 4.4 and 1 1/2 straight: 10.3 and no less."""
    bender = {"radius": 4.4, "arrow_lead": 0, "straight_large": 1.5}
    with pytest.raises(Problems) as found:
        layout(run(leg(40), {"u_bend": 10.25, "turn": "left"}, leg(40), bender=bender))
    (one,) = found.value.problems
    assert (one.at, one.code) == ("path[1].u_bend", "too_narrow")
    assert "10 5/16" in one.text
    assert layout(run(leg(40), {"u_bend": 10.3125, "turn": "left"}, leg(40), bender=bender))["pieces"]


def test_it_is_read_back_and_predicted_as_one_thing() -> None:
    laid = layout(run(leg(40), {"u_bend": 30, "turn": "left", "radius": 12}, leg(40)))
    assert laid["reads"].count("return bend") == 1
    assert [one["what"] for one in laid["predicted"]] == ["leg", "u_bend", "radius", "leg", "far_end"]


def test_it_may_be_turned_in_his_own_words_onto_another_surface() -> None:
    """Off the deck and back onto it: out of the surface twice, so that out looks down, off a ceiling."""
    laid = layout(run(leg(40), {"u_bend": 20, "turn": "up", "mount": "ceiling"}, leg(40), mount="deck"))
    assert [mark["roll"] for mark in laid["pieces"][0]["marks"]] == [0, 0]
    assert "onto the ceiling" in laid["reads"]


def test_places_after_it_keep_their_numbers_in_the_document() -> None:
    path = [leg(40), {"u_bend": 20, "turn": "left"}, leg(60), corner(90), leg(3)]
    with pytest.raises(Problems) as found:
        layout(run(*path, measure="back"))
    assert [one.at for one in found.value.problems] == ["path[4].leg"]
