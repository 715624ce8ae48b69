"""What is wrong with a document, said all at once and each in its place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Problem:
    """One thing wrong: its place in the document, a short stable code, and words for the person who can mend it."""

    at: str
    code: str
    text: str

    def as_json(self) -> dict[str, str]:
        """``{"at", "code", "text"}``."""
        return {"at": self.at, "code": self.code, "text": self.text}


class Problems(ValueError):
    """Every problem found in one document; at least one."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        if not self.problems:
            raise ValueError("Problems needs at least one problem")
        super().__init__("; ".join(f"{one.at}: {one.text} [{one.code}]" for one in self.problems))

    def as_json(self) -> dict[str, Any]:
        """``problems/1``: ``{"format": "problems/1", "problems": [{"at", "code", "text"}, ...]}``."""
        return {"format": "problems/1", "problems": [one.as_json() for one in self.problems]}
