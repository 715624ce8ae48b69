"""Ten runs of a week's work against two of the project's own solvers (not a published check), and one more."""

from __future__ import annotations

import math
from typing import Any

import pytest

from bending.fold import fold
from bending.layout import layout
from bending.path import centreline
from bending.run import parse
from tests.bending.printed import of

ROWS = of("ten_runs")


def ids(row: dict[str, Any]) -> str:
    return str(row["id"])


def test_there_are_ten() -> None:
    assert len(ROWS) == 10


@pytest.mark.parametrize("row", ROWS, ids=ids)
def test_the_marks_agree(row: dict[str, Any]) -> None:
    marks = layout(row["inputs"]["run"])["pieces"][0]["marks"]
    assert len(marks) == len(row["answer"]["marks"])
    for mark, wanted in zip(marks, row["answer"]["marks"], strict=True):
        assert mark["step"] == wanted["step"]
        assert mark["station"] == pytest.approx(wanted["station"], abs=row["precision"])
        assert mark["angle"] == pytest.approx(wanted["angle"], abs=1e-9)
        assert mark["text"] == wanted["text"]
        assert mark["in_shoe"].replace("½", ".5") == wanted["in_shoe"]
        assert (mark["mark"], mark["hook"], mark["from"]) == ("arrow", "start", "start")


@pytest.mark.parametrize("row", ROWS, ids=ids)
def test_the_cut_agrees(row: dict[str, Any]) -> None:
    laid = layout(row["inputs"]["run"])
    assert laid["developed_length"] == pytest.approx(row["answer"]["developed_length"], abs=row["precision"])
    assert laid["pieces"][0]["cut"] == row["answer"]["cut"]


@pytest.mark.parametrize("row", ROWS, ids=ids)
def test_the_straights_agree(row: dict[str, Any]) -> None:
    path = centreline(parse(row["inputs"]["run"]))
    wanted = [*(mark["straight_before"] for mark in row["answer"]["marks"]), row["answer"]["tail"]]
    assert path.straights == pytest.approx(wanted, abs=0.0051)
    assert sum(bend.angle for bend in path.bends) == pytest.approx(row["answer"]["total"])


@pytest.mark.parametrize("row", ROWS, ids=ids)
def test_the_stick_folds_back_to_the_path(row: dict[str, Any]) -> None:
    folded = fold(layout(row["inputs"]["run"]))["pieces"][0]["points"]
    for one, other in zip(folded, centreline(parse(row["inputs"]["run"])).points, strict=True):
        assert math.dist(one, other) < 1e-6


def test_box_to_box_over_a_pipe_and_round_a_corner() -> None:
    """Stations, rolls and developed length as another solver of the project's gives them; not a published check."""
    document = {
        "format": "run/1", "tag": "C-12", "mount": "wall", "raceway": "EMT", "size": "1/2",
        "bender": {"take_up": 5, "gain": "2 5/8"},
        "start": {"to": "box face", "fitting": "set-screw connector", "allowance": 0},
        "end": {"to": "box face", "fitting": "set-screw connector", "allowance": 0},
        "path": [
            {"leg": "62", "features": [
                {"kind": "box_offset", "at": "start", "rise": "3/8", "angle": 10, "tail": 2},
                {"kind": "saddle3", "centre": "31", "rise": "2 1/4", "angle": 45}]},
            {"corner": 90, "turn": "left"},
            {"leg": "40 1/2"}],
    }  # fmt: skip
    laid = layout(document)
    marks = laid["pieces"][0]["marks"]
    wanted = [1.824, 3.982, 23.642, 29.499, 37.111, 57.832]
    assert [mark["station"] for mark in marks] == pytest.approx(wanted, abs=6e-4)
    assert [mark["roll"] for mark in marks] == [180, 0, 0, 180, 0, 90]
    assert laid["developed_length"] == pytest.approx(100.707, abs=6e-4)
    assert (laid["tag"], marks[0]["text"], laid["pieces"][0]["cut"]) == ("C-12", '1 13/16"', '100 11/16"')
