"""Printed examples, kept as data in `authority/`: source, edition, page, inputs, answer, precision."""

import json
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "authority"


@cache
def rows() -> tuple[dict[str, Any], ...]:
    """Every row, with `source` (the words to cite) and `counts` (whether it is a published check) added."""
    found = []
    for path in sorted(FOLDER.glob("*.json")):
        page = json.loads(path.read_text(encoding="utf-8"))
        cite = f"{page['source']}, {page['edition']}, {page['page']}"
        found += [{**row, "source": cite, "counts": page["counts"]} for row in page.get("rows", ())]
    return tuple(found)


def row(name: str) -> dict[str, Any]:
    """The row with this id."""
    (found,) = [row for row in rows() if row["id"] == name]
    return found


def of(rule: str) -> list[dict[str, Any]]:
    """All rows worked by one rule; never empty."""
    found = [row for row in rows() if row["rule"] == rule]
    assert found, rule
    return found
