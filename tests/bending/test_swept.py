"""One bend from the side: what it sweeps, and what is struck."""

from __future__ import annotations

import math
from typing import Any

import pytest

from bending import swing
from bending.drawing import Circle, Drawing, Polygon, Polyline, Text, Tube, swept, to_svg
from bending.layout import layout
from tests.bending.documents import HALF_INCH, Document, corner, feature, leg, run

HANDLE = {"length": 38, "width": 1.5, "upright_at": 30}
FRAME = [{"along": [-4, 16], "up": [-14, -2], "across": [-5, 5]}]


def z(**envelope: Any) -> Document:
    """Two opposite 90s, first leg 20 to the centre."""
    path = leg(20), corner(90, "left"), leg(40), corner(90, "right"), leg(40)
    return run(*path, bender={**HALF_INCH, **({"envelope": envelope} if envelope else {})})


def styles(drawn: Drawing) -> set[str]:
    return {item.style for item in drawn.items}


def named(drawn: Drawing) -> set[str]:
    return {item.words for item in drawn.items if isinstance(item, Text)}


def test_a_leg_that_hangs_down_is_swung_up_a_quarter_turn() -> None:
    """By hand: the end of a leg 20 under the pipe, 40 less a radius behind where the bend begins, turns a quarter turn
    about the axis a radius above that place."""
    found = swing.swept(layout(z()), 0, 2)
    radius = found.shoe.radius
    back, down = 40 - radius, 20.0
    assert found.line[0] == pytest.approx((-back, -down, 0))
    assert found.line[-1] == pytest.approx((-down - radius, radius + back, 0))
    axis = (0.0, radius, 0.0)
    assert {round(math.dist(place, axis), 6) for place in found.line} == {round(math.hypot(back, down + radius), 6)}


def test_what_is_not_bent_yet_sweeps_nothing() -> None:
    assert swing.swept(layout(z()), 0, 1).line == ()
    assert "lit" not in styles(swept(layout(z()), 0, 1))


def test_floor_handle_and_frame_are_drawn_and_named() -> None:
    drawn = swept(layout(z(floor=30, handle=HANDLE, frame=FRAME)), 0, 2)
    assert {"floor", "handle", "frame", "2"} <= named(drawn)
    assert any(isinstance(item, Circle) for item in drawn.items)
    assert {"slash", "solid", "was", "pipe"} <= styles(drawn)


def test_without_an_envelope_only_the_pipe_is_drawn() -> None:
    assert named(swept(layout(z()), 0, 2)) == {"2"}


@pytest.mark.parametrize(("floor", "struck"), [(19, True), (21, False)])
def test_what_is_struck_is_drawn_as_bad(floor: float, struck: bool) -> None:
    drawn = swept(layout(z(floor=floor)), 0, 2)
    pipe, swung = next(item for item in drawn.items if isinstance(item, Tube)), _line(drawn)
    assert (pipe.style, swung.style) == (("pipe-bad", "bad") if struck else ("pipe", "lit"))
    assert ("floor" in drawn.words) is struck


def _line(drawn: Drawing) -> Polyline:
    (found,) = [item for item in drawn.items if isinstance(item, Polyline) and item.style in ("lit", "bad")]
    return found


@pytest.mark.parametrize("medium", ["screen", "paper"])
@pytest.mark.parametrize("order", ["push-through", "centre-out", "end-for-end", "last-turned"])
def test_every_step_of_every_order_stays_on_its_sheet(order: str, medium: str) -> None:
    envelope = {"floor": 30, "handle": HANDLE, "frame": FRAME}
    saddle = leg(98, feature("saddle3", centre=41, rise="2 7/8", angle=45, turn="left"))
    document = run(saddle, corner(90), leg(40), bender={**HALF_INCH, "envelope": envelope}, order=order)
    for step in range(1, 5):
        drawn = swept(layout(document), 0, step, medium=medium)
        assert to_svg(drawn).startswith("<svg")
        for item in drawn.items:
            for x, y in getattr(item, "points", ()) if isinstance(item, Polygon | Polyline | Tube) else ():
                assert -1 <= x <= drawn.width + 1
                assert -1 <= y <= drawn.height + 1


def test_a_bender_without_a_hook_bends_both_sides_up() -> None:
    document = run(leg(40), corner(90), leg(40), bender={**HALF_INCH, "marks": {"centre": "c"}})
    after = swing.swept(layout(document), 0, 1).after
    assert after[0][1] == pytest.approx(after[-1][1])
    assert after[0][0] == pytest.approx(-after[-1][0])
    assert after[0][1] > 20
