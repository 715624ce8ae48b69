"""What a reader of the library may count on: every public thing says what it is, and every quantity is in the list."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bending.calibration import calibrate
from bending.cutplan import cutplan
from bending.fold import fold
from bending.layout import layout
from tests.bending.printed import of

LIBRARY = Path(__file__).parents[2] / "bending"
FILES = sorted(LIBRARY.rglob("*.py"))
# Where a formula or a printed figure stands: what one of them takes and gives must have its unit and its source.
FORMULAS = (
    "bender",
    "calibration/bends",
    "calibration/finished",
    "calibration/springback",
    "fill",
    "fold",
    "handbook",
    "lengths",
    "lra",
    "rules",
    "tables",
)
UNITS = re.compile(r"\b(inch(es)?|degrees?|pounds?|radians)\b|\bin\b", re.IGNORECASE)
NAMES = set(re.findall(r"`([a-z_]+)`", (LIBRARY / "NOMENCLATURE.md").read_text(encoding="utf-8")))
# Names of arguments that say their unit themselves, or are of any quantity.
PLAIN = {"inches", "value", "least", "most", "default"}

Definition = ast.FunctionDef | ast.ClassDef


def public(path: Path) -> Iterator[tuple[str, Definition]]:
    """Public functions, classes, and the methods of such classes that take arguments."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, Definition) and not node.name.startswith("_"):
            yield node.name, node
            yield from methods(node)


def methods(node: Definition) -> Iterator[tuple[str, Definition]]:
    for inner in node.body if isinstance(node, ast.ClassDef) else ():
        if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_") and not inner.decorator_list:
            yield f"{node.name}.{inner.name}", inner


EVERY = [(f"{path.relative_to(LIBRARY)}: {name}", node) for path in FILES for name, node in public(path)]
FORMULA = [(label, node) for label, node in EVERY if label.split(".py")[0] in FORMULAS]


def quantities(node: Definition) -> set[str]:
    """Names of a function's arguments, or of a class's fields, that are numbers with a unit."""
    if isinstance(node, ast.ClassDef):
        fields = [one for one in node.body if isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name)]
        named = [(one.target.id, one.annotation) for one in fields if isinstance(one.target, ast.Name)]
    else:
        named = [(one.arg, one.annotation) for one in (*node.args.args, *node.args.kwonlyargs) if one.annotation]
    return {name for name, annotation in named if "float" in ast.unparse(annotation)}


def raises(node: Definition) -> bool:
    inner = (one for part in node.body for one in ast.walk(part))
    return isinstance(node, ast.FunctionDef) and any(isinstance(one, ast.Raise) for one in inner)


def test_there_is_something_to_look_at() -> None:
    assert len(EVERY) > 300
    assert {label.split(".py")[0] for label, _ in FORMULA} == set(FORMULAS)


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(LIBRARY)))
def test_every_public_thing_of_the_library_says_what_it_is(path: Path) -> None:
    assert [name for name, node in public(path) if not ast.get_docstring(node)] == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(LIBRARY)))
def test_every_file_of_the_library_says_what_it_is_for(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


def test_a_formula_says_the_unit_of_its_quantities() -> None:
    silent = [label for label, node in FORMULA if quantities(node) and not UNITS.search(ast.get_docstring(node) or "")]
    assert silent == []


def test_a_formula_that_refuses_says_so() -> None:
    silent = [label for label, node in FORMULA if raises(node) and "aises" not in (ast.get_docstring(node) or "")]
    assert silent == []


@pytest.mark.parametrize("module", ["fill", "handbook", "lra", "rules"])
def test_a_formula_names_its_source(module: str) -> None:
    text = (LIBRARY / f"{module}.py").read_text(encoding="utf-8")
    named = [node for label, node in FORMULA if label.startswith(f"{module}.py") and isinstance(node, ast.FunctionDef)]
    assert any("ource" in (ast.get_docstring(node) or "") for node in named)
    assert "ource" in text


@pytest.mark.parametrize(("label", "node"), FORMULA, ids=[label for label, _ in FORMULA])
def test_a_formula_s_quantities_are_in_the_nomenclature(label: str, node: Definition) -> None:
    assert quantities(node) - NAMES - PLAIN == set(), label


def numbers(value: Any) -> Iterator[str]:
    """Keys of an answer whose value is a number or a row of numbers."""
    if isinstance(value, dict):
        for key, inner in value.items():
            row = inner if isinstance(inner, list | tuple) and inner else [inner]
            if all(isinstance(one, int | float) and not isinstance(one, bool) for one in row):
                yield key
            yield from numbers(inner)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from numbers(one)


@pytest.mark.parametrize("printed", of("ten_runs"), ids=lambda one: one["id"])
def test_every_number_of_a_run_and_its_layout_is_in_the_nomenclature(printed: dict[str, Any]) -> None:
    run = printed["inputs"]["run"]
    found = layout(run)
    assert {*numbers(run), *numbers(found), *numbers(fold(found))} - NAMES == set()


def test_every_number_of_a_calibration_is_in_the_nomenclature() -> None:
    bender = {"radius": 4.471, "arrow_lead": 0.176, "nameplate_radius": 4}
    run = {"format": "run/1", "raceway": "EMT", "size": "1/2", "bender": bender, "path": [{"leg": 20}]}
    run["path"] += [{"corner": 90, "turn": "out"}, {"leg": 60}]
    asked = {"format": "calibration/1", "raceway": "EMT", "size": "1/2", "reading": 0.02, "angle_reading": 0.5}
    asked |= {"bends": [{"mark": 15, "angle": 90, "cut": 40, "stub": 20, "leg": 22.625}], "reading_step": 0.5}
    asked |= {
        "springback": [{"bend_to": 93, "angle": 90}, {"bend_to": 31, "angle": 30}],
        "before": bender,
        "runs": [run],
    }
    measured = [
        {"at": "path[0].leg", "value": 20},
        {"at": "path[2].leg", "value": 60},
        {"at": "path[1].corner", "value": 90},
    ]
    asked |= {"pieces": [{"run": run, "measured": measured}]}
    found = calibrate(asked)
    assert set(found) == {"format", "tag", "shoe", "springback", "finished", "bender", "changes", "checks"}
    assert {*numbers(asked), *numbers(found)} - NAMES - PLAIN == set()


def test_every_number_of_a_cut_plan_is_in_the_nomenclature() -> None:
    parts = {"stick": 120, "kerf": 0.0625, "trim": 0.25, "end_trim": 0.25, "useful": 12, "seconds": 1}
    parts |= {"pieces": [50, 40], "drops": [60]}
    assert {*numbers(parts), *numbers(cutplan(parts))} - NAMES - {"pieces", "drops"} == set()
