"""Printed examples, kept as data in `authority/`: source, edition, page, inputs, answer, precision.

A page's `counts` says whether its rows are published checks; a row may say no for itself. What a reader can't look up,
what stands in makers' leaflets, and what was written down from memory never counts.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "authority"

KINDS = {
    "annex_count": "fill counts",
    "fill_verdict": "fill counts",
    "conductor_areas": "fill limits and areas",
    "fill_limit": "fill limits and areas",
    "bore_area": "fill limits and areas",
    "least_radius": "table radii",
    "cut_plan": "cut plans",
    "tube": "dimensions",
    "metric_designator": "dimensions",
    "stub_mark": "marks",
    "kick_distance": "marks",
    "offset_spacing": "marks",
    "offset_table": "marks",
    "offset_to_obstruction": "marks",
    "parallel_mark_shift": "marks",
    "saddle3_practice": "marks",
    "saddle3_table": "marks",
    "shrink": "marks",
}


@cache
def rows() -> tuple[dict[str, Any], ...]:
    """Every row, with `source` (the words to cite) and `counts` (whether it is a published check) added."""
    found = []
    for path in sorted(FOLDER.glob("*.json")):
        page = json.loads(path.read_text(encoding="utf-8"))
        cite = f"{page['source']}, {page['edition']}, {page['page']}"
        found += [{"counts": page["counts"], **row, "source": cite} for row in page.get("rows", ())]
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


def kind(row: dict[str, Any]) -> str:
    """What a row is a check of: by its rule, unless it says so itself."""
    rule = row["rule"]
    if rule.startswith(("segment_", "concentric_")):
        return "segments and concentric"
    return row.get("kind") or KINDS.get(rule, "geometry and lengths")


def published(row: dict[str, Any]) -> int:
    """How many published checks a row is: the entries of a printed list, else one; none without a printed answer."""
    answers = [answer for name, answer in row["answer"].items() if not name.endswith("_derived")]
    if not row["counts"] or not answers:
        return 0
    return max(len(answer) if isinstance(answer, list) else 1 for answer in answers)
