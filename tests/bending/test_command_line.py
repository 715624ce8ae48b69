"""The command line, as a person or another program runs it."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from bending.__main__ import main
from bending.fold import fold
from bending.layout import layout
from tests.bending.documents import Document, corner, leg, run

STUB = run(leg(20), corner(90, "left"), leg(60), tag="S-04", measure="back")
WRONG = run(leg(2), corner(90, "left"), leg(60), tag="S-05", measure="back")


def lines(command: str, *documents: Document | str) -> tuple[int, list[dict[str, Any]]]:
    text = "\n".join(one if isinstance(one, str) else json.dumps(one) for one in documents)
    target = io.StringIO()
    status = main([command, "-"], io.StringIO(text + "\n"), target)
    return status, [json.loads(line) for line in target.getvalue().splitlines()]


def written(tmp_path: Path, value: Document | str) -> str:
    path = tmp_path / "document.json"
    path.write_text(value if isinstance(value, str) else json.dumps(value), encoding="utf-8")
    return str(path)


def test_a_run_in_a_file_is_laid_out(tmp_path: Path) -> None:
    target = io.StringIO()
    assert main(["layout", written(tmp_path, STUB)], io.StringIO(), target) == 0
    assert json.loads(target.getvalue()) == layout(STUB)


def test_a_layout_in_a_file_is_folded(tmp_path: Path) -> None:
    target = io.StringIO()
    assert main(["fold", written(tmp_path, layout(STUB))], io.StringIO(), target) == 0
    assert json.loads(target.getvalue()) == json.loads(json.dumps(fold(layout(STUB))))


def test_each_line_is_answered_with_its_tag_and_its_number() -> None:
    status, answers = lines("layout", STUB, "", STUB)
    assert status == 0
    assert [(one["format"], one["tag"], one["line"]) for one in answers] == [
        ("layout/1", "S-04", 1), ("layout/1", "S-04", 3)]  # fmt: skip


def test_problems_stand_on_their_own_line_and_the_rest_is_solved() -> None:
    status, answers = lines("layout", STUB, WRONG, STUB)
    assert status == 2
    assert [one["format"] for one in answers] == ["layout/1", "problems/1", "layout/1"]
    assert (answers[1]["tag"], answers[1]["line"]) == ("S-05", 2)
    assert [(one["at"], one["code"]) for one in answers[1]["problems"]] == [("path[0].leg", "leg_too_short")]


@pytest.mark.parametrize("text", ["{", "[" * 100_000, "nul", '{"a": 1' + "0" * 5000 + "}", "\ud800"])
def test_what_isnt_json_is_refused_by_name(text: str) -> None:
    status, (answer,) = lines("layout", text)
    assert status == 2
    assert answer["problems"][0]["code"] == "not_json"


def test_json_that_isnt_a_run_is_refused_by_name() -> None:
    status, answers = lines("layout", "7", "null", "[]", '"run"', '{"format": "run/1", "leg": NaN}')
    assert status == 2
    assert all(answer["problems"] for answer in answers)


def test_a_fold_refuses_what_is_no_layout() -> None:
    status, (answer,) = lines("fold", STUB)
    assert (status, answer["format"]) == (2, "problems/1")


def test_points_of_a_model_become_a_run() -> None:
    head = {key: STUB[key] for key in ("raceway", "size", "bender")}
    status, (answer,) = lines("points", {"points": [[0, 0, 0], [0, 0, 508], [1524, 0, 508]], "unit": "mm", **head})
    # 25.4 mm to the inch
    assert status == 0 and [step["leg"] for step in answer["path"][::2]] == pytest.approx([20, 60])
    del answer["line"]
    assert layout(answer)["format"] == "layout/1"


def test_a_model_s_csv_becomes_a_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, target = tmp_path / "points.csv", io.StringIO()
    path.write_text("x,y,z\n0,0,0\n0,0,0\n0,0,508\n1524,0,508\n", encoding="utf-8")
    options = ["--unit", "mm", "--raceway", "EMT", "--size", "1/2", "--bender", '{"take_up": 5, "gain": "2 5/8"}']
    assert main(["points", str(path), *options], io.StringIO(), target) == 0
    answer = json.loads(target.getvalue())
    assert [step["leg"] for step in answer["path"][::2]] == pytest.approx([20, 60])
    assert "1" in capsys.readouterr().err and layout(answer)["format"] == "layout/1"


@pytest.mark.parametrize("bender", ["{", '{"take_up": 5}', '{"take_up": 50, "gain": 30}'])
def test_a_csv_that_makes_no_run_is_refused(bender: str, tmp_path: Path) -> None:
    path, target = tmp_path / "points.csv", io.StringIO()
    path.write_text("0,0,0\n0,0,20\n60,0,20", encoding="utf-8")
    options = ["--raceway", "EMT", "--size", "1/2", "--bender", bender]
    assert main(["points", str(path), *options], io.StringIO(), target) == 2
    assert json.loads(target.getvalue())["format"] == "problems/1"


def test_a_test_bend_is_calibrated() -> None:
    bend = {"mark": 15, "cut": 40, "stub": 20, "leg": "22 5/8"}
    asked = {"format": "calibration/1", "tag": "T-1", "raceway": "EMT", "size": "1/2", "bends": [bend]}
    status, (answer,) = lines("calibrate", asked)
    assert (status, answer["format"], answer["tag"]) == (0, "calibrated/1", "T-1")
    assert answer["shoe"]["take_up"] == 5


@pytest.mark.parametrize(
    ("form", "first"), [("csv", "piece,part"), ("lra", "piece,row"), ("dxf", "  0"), ("json", "{")]
)
def test_a_layout_is_exported(form: str, first: str, tmp_path: Path) -> None:
    target = io.StringIO()
    assert main(["export", form, written(tmp_path, layout(STUB))], io.StringIO(), target) == 0
    assert target.getvalue().startswith(first)


def test_what_is_no_layout_is_not_exported(tmp_path: Path) -> None:
    target = io.StringIO()
    assert main(["export", "csv", written(tmp_path, STUB)], io.StringIO(), target) == 2
    assert json.loads(target.getvalue())["format"] == "problems/1"


@pytest.mark.parametrize(
    "arguments",
    [[], ["layout"], ["bend", "-"], ["layout", "a", "b"], ["export", "csv"], ["points", "a.csv", "--colour", "red"]],
)
def test_a_wrong_command_says_how_it_is_used(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments, io.StringIO(), io.StringIO()) == 1
    assert "usage" in capsys.readouterr().err


def test_a_file_that_isnt_there_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["layout", "no/such/file.json"], io.StringIO(), io.StringIO()) == 1
    assert "no/such/file.json" in capsys.readouterr().err


def test_it_runs_as_a_module_and_needs_no_django() -> None:
    """One process for the whole stream."""
    code = "import sys, runpy; sys.modules['django'] = None; sys.argv = ['bending', 'layout', '-']; "
    code += "runpy.run_module('bending', run_name='__main__')"
    text = json.dumps(STUB) + "\n" + json.dumps(WRONG) + "\n"
    done = subprocess.run([sys.executable, "-c", code], input=text, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert [json.loads(line)["line"] for line in done.stdout.splitlines()] == [1, 2]
    assert done.stderr == ""
