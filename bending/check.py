"""One check as it stands in a layout."""

from __future__ import annotations

from typing import Any

LEVELS = ("cannot", "rule", "caution", "ok")
PRACTICE = "common practice, no source"

Check = dict[str, Any]


def check(code: str, level: str, words: str, source: str, at: str | None = None) -> Check:
    """A check: its stable code, one of ``LEVELS``, words for people, where it was printed, and its place in the run."""
    made: Check = {"code": code, "level": level, "words": words, "source": source}
    return made if at is None else {**made, "at": at}
