"""Fittings in the path: each parts the run into pieces that are cut and bent by themselves."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from bending.fold import fold
from bending.layout import layout
from bending.path import Path
from bending.problems import Problems
from bending.vectors import Vector, add
from tests.bending.documents import Document, corner, leg, run, runs
from tests.bending.test_fold_is_path import solved


def body(**more: Any) -> Document:
    return run(leg(30), {"fitting": "conduit body", "allowance": ["1 1/2", 2], **more}, leg(40))


def test_a_conduit_body_parts_the_run_into_two_pieces_that_stop_short_of_it() -> None:
    pieces = layout(body(corner=90, turn="left"))["pieces"]
    assert [piece["cut_length"] for piece in pieces] == pytest.approx([30 - 1.5, 40 - 2])
    assert all(piece["marks"] == [] for piece in pieces)


def test_the_piece_after_a_turning_body_goes_on_where_the_legs_lines_cross() -> None:
    _, second = fold(layout(body(corner=90, turn="left")))["pieces"]
    assert second["points"] == [pytest.approx([30, 2, 0], abs=1e-9), pytest.approx([30, 40, 0], abs=1e-9)]


def test_a_body_that_goes_straight_on_lies_in_line() -> None:
    _, second = fold(layout(body()))["pieces"]
    assert second["points"][-1] == pytest.approx([70, 0, 0], abs=1e-9)


def test_a_body_ends_the_count_of_degrees() -> None:
    """NFPA 70 (NEC) 2020, 358.26: 360 degrees between pull points."""
    half = [step for _ in range(3) for step in (corner(90, "left"), leg(30))]
    inside = run(leg(30), *half, {"fitting": "conduit body", "allowance": 2}, leg(30), *half)
    through = run(leg(30), *half, corner(5, "left"), leg(30), *half)
    levels = [
        next(check["level"] for check in layout(document)["checks"] if check["code"] == "total_bends")
        for document in (inside, through)
    ]
    assert levels == ["ok", "rule"]


def test_a_factory_elbow_is_bought_and_turns_with_its_own_radius() -> None:
    elbow = {"fitting": "factory elbow", "corner": 90, "turn": "left", "radius": 9, "allowance": 11}
    laid = layout(run(leg(40), elbow, leg(40)))
    first, second = fold(laid)["pieces"]
    assert first["then"]["radius"] == 9
    assert second["points"] == [pytest.approx([40, 11, 0], abs=1e-9), pytest.approx([40, 40, 0], abs=1e-9)]
    assert any("factory elbow" in one["text"] for one in laid["materials"])


@pytest.mark.parametrize(
    ("item", "at", "code"),
    [
        ({"fitting": "elbow"}, "path[1].fitting", "unknown_word"),
        ({"fitting": "conduit body"}, "path[1].allowance", "missing"),
        ({"fitting": "conduit body", "allowance": [1, 2, 3]}, "path[1].allowance", "not_two"),
        ({"fitting": "coupling", "allowance": 1, "turn": "left"}, "path[1].turn", "no_turn"),
        (
            {"fitting": "factory elbow", "corner": 90, "turn": "left", "radius": 9, "allowance": 2},
            "path[1].allowance",
            "allowance_too_short",
        ),
    ],
)
def test_a_fitting_that_cant_be_read_is_refused_at_its_place(item: Document, at: str, code: str) -> None:
    with pytest.raises(Problems) as found:
        layout(run(leg(40), item, leg(40)))
    assert (at, code) in {(one.at, one.code) for one in found.value.problems}


# What a run of pieces is.


@st.composite
def with_fittings(draw: DrawFn) -> Document:
    """A random run with some of its corners bought, and one or two fittings in its last leg."""
    document = draw(runs())
    path = [_bought(draw, document["path"], number) for number in range(len(document["path"]))]
    more = draw(st.integers(0, 2))
    if more:
        last = [one for one in path[-1]["features"] if one["kind"] != "box_offset" or one["at"] == "start"]
        path[-1] = {**path[-1], "features": last}
    for _ in range(more):
        kind = draw(st.sampled_from(["coupling", "expansion fitting", "conduit body"]))
        path += [{"fitting": kind, "allowance": [draw(TAKES), draw(TAKES)]}, leg(draw(st.floats(10, 60)))]
    return {**document, "path": path}


TAKES = st.floats(0, 4)


def _bought(draw: DrawFn, path: list[Document], number: int) -> Document:
    """A corner as a body or an elbow of its angle, if no kick stands after it."""
    item = path[number]
    kicked = number + 1 < len(path) and any(one["kind"] == "kick" for one in path[number + 1].get("features", ()))
    if "corner" not in item or "radius" in item or kicked or draw(st.booleans()):
        return item
    if draw(st.booleans()):
        return {"fitting": "conduit body", **item, "allowance": draw(TAKES)}
    radius = draw(st.floats(2, 20))
    takes = radius * math.tan(math.radians(item["corner"]) / 2) + 0.001
    return {"fitting": "factory elbow", **item, "radius": radius, "allowance": [takes, takes + draw(TAKES)]}


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(with_fittings())
def test_folding_every_piece_across_its_fittings_gives_the_described_path(document: Document) -> None:
    path, laid = solved(document)
    pieces = fold(laid)["pieces"]
    assert len(pieces) == len(path.breaks) + 1
    cuts = sum(piece["length"] for piece in pieces)
    assert cuts + sum(piece["gap"] for piece in laid["pieces"]) == pytest.approx(path.length, abs=1e-6)
    for piece, wanted in zip(pieces, _described(path), strict=True):
        assert len(piece["points"]) == len(wanted)
        assert max(math.dist(one, other) for one, other in zip(piece["points"], wanted, strict=True)) < 1e-6


def _described(path: Path) -> list[list[Vector]]:
    """The points of intersection between the fittings, and where the conduit stops short of where the lines cross."""
    found, here = [], [path.points[0]]
    for number, bend in enumerate(path.bends):
        if not bend.fitting:
            here.append(path.points[number + 1])
            continue
        found.append([*here, add(bend.point, bend.before, -bend.fitting.before)])
        here = [add(bend.point, bend.after, bend.fitting.after)]
    return [*found, [*here, path.points[-1]]]


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(with_fittings())
def test_the_far_end_stands_where_the_rounded_marks_and_cuts_bring_it(document: Document) -> None:
    path, laid = solved(document)
    end = fold(laid, rounded=True)["pieces"][-1]["points"][-1]
    (told,) = [one for one in laid["predicted"] if one["what"] == "far_end"]
    assert told["predicted"] == pytest.approx(math.dist(end, path.points[-1]), abs=2e-6)


@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
@given(with_fittings())
def test_each_piece_is_as_large_as_its_own_points_say(document: Document) -> None:
    """In the piece's own frame: folded alone it begins at the origin, along travel with its top line up."""
    _, laid = solved(document)
    half = laid["bender"]["outside_diameter"] / 2
    for number, (piece, size) in enumerate(zip(laid["pieces"], laid["size"]["pieces"], strict=True)):
        (alone,) = fold({**laid, "pieces": [laid["pieces"][number]]})["pieces"]
        for axis, wide in enumerate(size["box"]):
            ends = [place[axis] for bend in alone["bends"] for place in (bend["start"], bend["end"])]
            ends += [alone["points"][0][axis], alone["points"][-1][axis]]
            assert max(ends) - min(ends) - 1e-3 <= wide <= max(ends) - min(ends) + 2 * half + 1e-3 + _bulges(alone)
        assert piece["cut_length"] >= 0


def _bulges(piece: Document) -> float:
    """A bend reaches past its ends by no more than twice its radius."""
    return sum(2 * bend["radius"] for bend in piece["bends"])


def test_a_run_with_a_fitting_is_the_run_without_it_but_for_what_it_takes() -> None:
    one = run(leg(60), corner(90), leg(50))
    two = run(leg(20), {"fitting": "coupling", "allowance": "1/16"}, leg(40), corner(90), leg(50))
    (whole,), parts = layout(one)["pieces"], layout(two)["pieces"]
    assert sum(part["cut_length"] for part in parts) == pytest.approx(whole["cut_length"] - 1 / 8)
    assert parts[1]["marks"][0]["station"] == pytest.approx(whole["marks"][0]["station"] - 20 - 1 / 16)


def test_a_kick_may_lead_into_what_turns_and_nowhere_else() -> None:
    kick = {"kind": "kick", "rise": 3, "angle": 15, "turn": "out"}
    body, coupling = ({"fitting": kind, "allowance": 2} for kind in ("conduit body", "coupling"))
    turning = {**body, "corner": 90, "turn": "left"}
    assert layout(run(leg(40, kick), turning, leg(40)))["pieces"]
    for path in ([leg(40, kick), coupling, leg(40)], [leg(40), turning, leg(40, {**kick, "at": "start"})]):
        with pytest.raises(Problems) as found:
            layout(run(*path))
        assert [one.code for one in found.value.problems] == ["kick_beside_fitting"]


def test_a_leg_too_short_for_what_its_fitting_takes_is_refused() -> None:
    with pytest.raises(Problems) as found:
        layout(run(leg(40), corner(90), leg(5), {"fitting": "coupling", "allowance": 1}, leg(40)))
    assert [(one.at, one.code) for one in found.value.problems] == [("path[2].leg", "leg_too_short")]


def test_an_elbow_counts_its_degrees_and_a_coupling_ends_no_count() -> None:
    elbow = {"fitting": "factory elbow", "corner": 90, "turn": "left", "radius": 6, "allowance": 8}
    path = [leg(40), elbow, leg(40), {"fitting": "coupling", "allowance": 0}, leg(40)]
    for _ in range(3):
        path += [corner(90, "right"), leg(40)]
    checks = {one["code"]: one["level"] for one in layout(run(*path))["checks"]}
    assert checks["total_bends"] == "ok"
    checks = {one["code"]: one["level"] for one in layout(run(*path, corner(5), leg(30)))["checks"]}
    assert checks["total_bends"] == "rule"


def test_what_stands_in_the_path_is_bought() -> None:
    elbow = {"fitting": "factory elbow", "corner": 90, "turn": "left", "radius": 9, "allowance": 11}
    laid = layout(run(leg(40), elbow, leg(40)))
    assert [(one["what"], one.get("at")) for one in laid["materials"][:2]] == [
        ("conduit", None),
        ("fitting", "path[1]"),
    ]
    assert laid["materials"][0]["length"] == pytest.approx(2 * (40 - 11))


def test_each_piece_has_its_book_marks_from_its_own_start() -> None:
    path = [leg(40), {"fitting": "conduit body", "allowance": 2}, leg(30), corner(90), leg(30)]
    (stub,) = layout(run(*path, measure="back"))["handbook"]
    # Stub to the back less the take-up of 5, and less what the body takes.
    assert (stub["at"], stub["from"], stub["station"]) == (pytest.approx(30 - 5 - 2), "start", pytest.approx(23))
