"""The command line: ``python -m bending layout|fold|cutplan|points|calibrate FILE``, with ``-`` for JSON Lines on
standard input. ``python -m bending points FILE.csv --unit mm --raceway EMT --size 1/2 --bender NAME`` takes a model's
points, and ``python -m bending export csv|lra|dxf|json LAYOUT.json`` writes for other programs.

Exit status 0 when all were solved, 2 when any had problems (each on its own line as ``problems/1``), 1 when the
command itself is wrong.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, TextIO

from bending.problems import Problem, Problems

COMMANDS = ("layout", "fold", "cutplan", "points", "calibrate")
FORMS = ("csv", "lra", "dxf", "json")
USAGE = f"""usage: python -m bending {"|".join(COMMANDS)} FILE   (- reads one document a line from standard input)
       python -m bending points FILE.csv [--unit in|ft|mm|m] [--tag TAG] --raceway NAME --size SIZE --bender BENDER
       python -m bending export {"|".join(FORMS)} LAYOUT.json"""
OPTIONS = ("--unit", "--tag", "--raceway", "--size", "--bender")
LONGEST_LINE = 4_000_000

Solve = Callable[[Any], dict[str, Any]]


def main(arguments: Sequence[str], source: TextIO, target: TextIO) -> int:
    """Run one command; what is printed goes to ``target``."""
    match list(arguments):
        case [name, "-"] if name in COMMANDS:
            return _print_all(_answers(_solver(name), source), target)
        case ["points", file, *options] if file.lower().endswith(".csv") and set(options[::2]) <= set(OPTIONS):
            return _points(file, options, target)
        case [name, file] if name in COMMANDS:
            text = _text_of(file)
            return 1 if text is None else _print_all([answer(_solver(name), text)], target)
        case ["export", form, file] if form in FORMS:
            text = _text_of(file)
            return 1 if text is None else _export(form, text, target)
        case _:
            print(USAGE, file=sys.stderr)
            return 1


def _text_of(file: str) -> str | None:
    """A file's text; what can't be read is said on standard error."""
    try:
        return Path(file).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        print(f"can't read {file}: {error}", file=sys.stderr)
        return None


def _points(file: str, options: Sequence[str], target: TextIO) -> int:
    """A model's points as a run; which of them said nothing goes to standard error."""
    from bending.points import of_csv

    text = _text_of(file)
    if text is None or len(options) % 2:
        print(USAGE if text is not None else "", file=sys.stderr)
        return 1
    try:
        found = of_csv(
            text, {key.removeprefix("--"): value for key, value in zip(options[::2], options[1::2], strict=True)}
        )
    except Problems as problems:
        return _print_all([problems.as_json()], target)
    if found.left_out:
        print(f"left out: points {', '.join(map(str, found.left_out))} (from 0)", file=sys.stderr)
    return _print_all([found.document], target)


def _export(form: str, text: str, target: TextIO) -> int:
    from bending import export

    write = {"csv": export.centreline_csv, "lra": export.lra_csv, "dxf": export.dxf, "json": export.centreline}[form]
    found = answer(lambda layout: {"written": write(layout)}, text)
    if "written" not in found:
        return _print_all([found], target)
    written = found["written"]
    print(written if isinstance(written, str) else json.dumps(written), file=target, end="" if form != "json" else "\n")
    return 0


def answer(solve: Solve, text: str, line: int | None = None) -> dict[str, Any]:
    """What one document is solved to, or its problems; with its tag, and its line number where there are lines."""
    document: Any = None
    try:
        document = _read(text)
        found = solve(document)
    except Problems as problems:
        found = problems.as_json()
        tag = document.get("tag") if isinstance(document, dict) else None
        if isinstance(tag, str):
            found = {"format": found["format"], "tag": tag, "problems": found["problems"]}
    return found if line is None else {**found, "line": line}


def _read(text: str) -> Any:
    if len(text) > LONGEST_LINE:
        raise Problems([Problem("", "too_long", f"a document is at most {LONGEST_LINE:,} letters long")])
    try:
        return json.loads(text)
    except RecursionError:
        raise Problems([Problem("", "not_json", "this is nested too deep to be a document")]) from None
    except ValueError as error:
        raise Problems([Problem("", "not_json", f"this isn't JSON: {error}")]) from None


def _answers(solve: Solve, source: TextIO) -> Iterator[dict[str, Any]]:
    for number, text in enumerate(source, start=1):
        if text.strip():
            yield answer(solve, text, number)


def _print_all(answers: Iterable[dict[str, Any]], target: TextIO) -> int:
    status = 0
    for found in answers:
        print(json.dumps(found), file=target)
        if found.get("format") == "problems/1":
            status = 2
    return status


def _solver(name: str) -> Solve:
    """Imported when asked for: a cut plan needs a linear solver that a layout doesn't."""
    if name == "layout":
        from bending.layout import layout

        return layout
    if name == "fold":
        from bending.fold import fold

        return fold
    if name == "cutplan":
        from bending.cutplan import cutplan

        return cutplan
    if name == "points":
        from bending.points import of_document

        return of_document
    if name == "calibrate":
        from bending.calibration import calibrate

        return calibrate
    raise ValueError(f"no command is called {name}")


if __name__ == "__main__":
    # Anything a pipe brings is read; what isn't UTF-8 is refused as JSON, not with a traceback.
    sys.stdin.reconfigure(encoding="utf-8", errors="replace")  # type: ignore[union-attr]
    sys.exit(main(sys.argv[1:], sys.stdin, sys.stdout))
