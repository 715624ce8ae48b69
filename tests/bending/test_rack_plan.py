"""The plan of a rack draws what was laid out: numbers, spacings, sides, and pipes that stay side by side."""

from __future__ import annotations

import math

import pytest

from bending.drawing import Circle, Number, Text, plan_of_rack
from bending.drawing.rackplan import cut_alike
from bending.drawing.wire import wire_of_fold
from bending.fold import fold
from bending.layout import layout
from tests.bending.documents import THREE_QUARTER, Document, corner, leg, run
from tests.bending.racks import beside

ROUND = run(leg(60), corner(90, "left"), leg(70))


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_rack_s_plan_has_each_number_twice_on_the_side_that_it_lies(side: str) -> None:
    drawing = plan_of_rack(layout(beside(run(leg(60)), side=side, count=4)))
    discs = [item.centre for item in drawing.items if isinstance(item, Circle) and item.style == "disc"]
    assert len(discs) == 8
    heights = [y for _, y in discs[::2]]
    assert heights == sorted(heights, reverse=side == "left")


def test_its_spacings_and_what_number_1_was_named_by_are_told() -> None:
    mixed: Document = {"sizes": ["1/2", "3/4", "1/2"], "spacings": [2.5, "3"], "benders": [None, THREE_QUARTER, None]}
    drawing = plan_of_rack(layout(beside(ROUND, number_1="nearest the wall", **mixed)))
    spoken = [item.spoken for item in drawing.items if isinstance(item, Number)]
    assert spoken == ["2 1/2 inches", "3 inches"]
    assert "1: nearest the wall" in [item.words for item in drawing.items if isinstance(item, Text)]


def test_pipes_round_a_common_centre_are_cut_alike_however_many_shots_they_have() -> None:
    """Number 1 is bent in one shot, the others in fifteen; what is left of their ends is alike."""
    answer = layout({**ROUND, "rack": {"count": 3, "spacing": 3, "corner": "concentric"}})
    wires = [wire_of_fold(fold(one), 0.706) for one in answer["runs"]]
    short = cut_alike(wires, 10)
    for end in (0, -1):
        left = [math.dist(wire.parts[end].start, wire.parts[end].end) for wire in short]
        assert max(left) < 30
        whole = [math.dist(wire.parts[end].start, wire.parts[end].end) for wire in wires]
        assert [a - b for a, b in zip(whole, left, strict=True)] == pytest.approx([whole[0] - left[0]] * 3)
