"""The command line: ``python -m bending layout|fold|cutplan FILE``, with ``-`` for JSON Lines on standard input.

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

USAGE = "usage: python -m bending layout|fold|cutplan FILE   (- reads one document a line from standard input)"
LONGEST_LINE = 4_000_000

Solve = Callable[[Any], dict[str, Any]]


def main(arguments: Sequence[str], source: TextIO, target: TextIO) -> int:
    """Run one command; what is printed goes to ``target``."""
    if len(arguments) != 2 or arguments[0] not in ("layout", "fold", "cutplan"):
        print(USAGE, file=sys.stderr)
        return 1
    solve = _solver(arguments[0])
    if arguments[1] == "-":
        return _print_all(_answers(solve, source), target)
    try:
        text = Path(arguments[1]).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        print(f"can't read {arguments[1]}: {error}", file=sys.stderr)
        return 1
    return _print_all([answer(solve, text)], target)


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
    raise ValueError(f"no command is called {name}")


if __name__ == "__main__":
    # Anything a pipe brings is read; what isn't UTF-8 is refused as JSON, not with a traceback.
    sys.stdin.reconfigure(encoding="utf-8", errors="replace")  # type: ignore[union-attr]
    sys.exit(main(sys.argv[1:], sys.stdin, sys.stdout))
