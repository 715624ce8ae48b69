"""What joins two legs, as it is drawn: corners of many shots, return bends, and bought parts between pieces."""

from __future__ import annotations

import math
from typing import Any

import pytest

from bending.drawing import check_dimensions, standing_view, to_svg
from bending.drawing.checkdims import legs
from bending.drawing.wire import Wire, wire_of_fold
from bending.fold import fold
from bending.layout import layout
from tests.bending.documents import Document, corner, leg, run

OD = 0.706  # 1/2 EMT, ANSI C80.3


def wire(document: Document) -> Wire:
    return wire_of_fold(fold(layout(document)), OD)


def dimensions(document: Document) -> dict[str, float]:
    return {one.place: one.value for one in check_dimensions(layout(document)) if one.kind == "length"}


def test_the_shots_of_a_segment_bend_are_one_corner() -> None:
    swept = run(leg(60), {**corner(90), "radius": 20}, leg(50))
    assert len(wire(swept).elbows) == 15
    assert len(legs(wire(swept))) == 2
    assert dimensions(swept) == pytest.approx({"path[0].leg": 60 + OD / 2, "path[2].leg": 50 + OD / 2}, abs=1e-6)


@pytest.mark.parametrize("more", [{}, {"radius": 8}])
def test_a_return_bend_is_two_corners_with_its_width_between(more: dict[str, Any]) -> None:
    """Outside to outside a width between centres is one diameter more."""
    found = dimensions(run(leg(40), {"u_bend": 20, "turn": "left", **more}, leg(30)))
    wanted = {"path[0].leg": 40 + OD / 2, "path[1].u_bend": 20 + OD, "path[2].leg": 30 + OD / 2}
    assert found == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize(
    "bought",
    [{"fitting": "conduit body", "allowance": [2, 3]}, {"fitting": "conduit body", "allowance": 0},
     {"fitting": "factory elbow", "radius": 9, "allowance": 11}],
)  # fmt: skip
def test_the_pipe_goes_on_round_what_turns_between_two_pieces(bought: Document) -> None:
    found = wire(run(leg(40), {"corner": 90, "turn": "left", **bought}, leg(30)))
    (elbow,) = found.elbows
    assert elbow.pi == pytest.approx((40, 0, 0), abs=1e-6)
    assert found.parts[-1].end == pytest.approx((40, 30, 0), abs=1e-6)
    assert math.dist(elbow.arc(1), elbow.end) < 1e-9
    assert len(found.joints) == 2


def test_a_fitting_that_goes_straight_on_is_one_joint() -> None:
    found = wire(run(leg(40), {"fitting": "coupling", "allowance": "1/16"}, leg(30)))
    assert [round(joint.along, 4) for joint in found.joints] == [40.0625]
    assert found.parts[-1].end == pytest.approx((70, 0, 0), abs=1e-6)


@pytest.mark.parametrize(
    ("item", "words"),
    [({"u_bend": 20, "turn": "left"}, "between centres"),
     ({"fitting": "conduit body", "corner": 90, "turn": "left", "allowance": 2}, "to the conduit body")],
)  # fmt: skip
def test_a_standing_view_says_what_a_leg_goes_to(item: Document, words: str) -> None:
    document = run(leg(40), item, leg(40), mount="wall", heads="up")
    view = standing_view(layout(document), document)
    assert view is not None
    assert words in to_svg(view)


def test_the_legs_of_a_later_piece_keep_their_places_in_the_document() -> None:
    path = [leg(40), corner(90), leg(30), {"fitting": "coupling", "allowance": "1/16"}, leg(50), corner(90), leg(20)]
    laid = layout(run(*path))
    found = [[one.place for one in check_dimensions(laid, piece)] for piece in (0, 1)]
    assert found == [["path[0].leg", "path[2].leg"], ["path[4].leg", "path[6].leg"]]
