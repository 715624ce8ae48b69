"""Typed refusals of services: a short stable code, words for the person, and the limits that were met."""

from typing import Any


class Refusal(Exception):
    """A service says no and has changed nothing. `code` is stable; `words` are for people; `limits` are numbers."""

    def __init__(self, code: str, words: str, **limits: Any) -> None:
        super().__init__(f"{code}: {words}")
        self.code = code
        self.words = words
        self.limits = limits
