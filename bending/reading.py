"""Reading a document: every fault is collected with its place, and nothing is guessed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from bending.lengths import LONGEST, LengthError, format_length, parse_length
from bending.problems import Problem, Problems

MOST_PROBLEMS = 100
_MISSING: Any = object()


class Reader:
    """Collects the faults of one document while it is read.

    Every getter gives back a harmless value after a fault, so that reading goes on to find the others. Nothing that
    was read may be used unless ``problems`` is empty.
    """

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def fault(self, at: str, code: str, text: str) -> None:
        """Note a fault; reading goes on to find the others."""
        self.problems.append(Problem(at, code, text))

    def refuse_if_any(self) -> None:
        """Raises ``Problems`` with the first faults of those that were noted."""
        if self.problems:
            raise Problems(self.problems[:MOST_PROBLEMS])

    @staticmethod
    def place(at: str, key: str) -> str:
        """A key's place in the document: ``path[2].leg``."""
        return f"{at}.{key}" if at else key

    def mapping(self, value: Any, at: str, keys: Sequence[str] | None = None) -> Mapping[str, Any] | None:
        """An object with no key outside ``keys``: a misspelt key must not be a dimension that is left out."""
        if not isinstance(value, Mapping):
            self.fault(at, "not_an_object", "an object is needed here")
            return None
        if keys is not None:
            for key in value:
                if key not in keys:
                    self.fault(self.place(at, shown(key)), "unknown_key", f"nothing is called {shown(key)!r} here")
        return value

    def maybe_mapping(
        self, holder: Mapping[str, Any], key: str, at: str, keys: Sequence[str] | None = None
    ) -> Mapping[str, Any] | None:
        """As ``mapping``, under a key; None where it is left out."""
        value = holder.get(key)
        return None if value is None else self.mapping(value, self.place(at, key), keys)

    def items(self, holder: Mapping[str, Any], key: str, at: str, most: int) -> Sequence[Any]:
        """A list of at most ``most``; missing or null is an empty one."""
        value = holder.get(key)
        if value is None:
            return ()
        if not isinstance(value, list | tuple):
            self.fault(self.place(at, key), "not_a_list", "a list is needed here")
            return ()
        if len(value) > most:
            self.fault(self.place(at, key), "too_many", f"at most {most} can stand here; there are {len(value)}")
            return ()
        return value

    def length(
        self, holder: Mapping[str, Any], key: str, at: str, least: float | None = None, most: float = LONGEST
    ) -> float:
        """A length in inches. Without ``least`` it must be more than nothing."""
        place = self.place(at, key)
        value = holder.get(key, _MISSING)
        if value is _MISSING or value is None:
            self.fault(place, "missing", "a length is missing here")
            return 1.0
        try:
            inches = parse_length(value)
        except LengthError as error:
            self.fault(place, error.code, error.text)
            return 1.0
        return inches if self._length_within(inches, place, least, most) else 1.0

    def maybe_length(
        self, holder: Mapping[str, Any], key: str, at: str, least: float | None = None, most: float = LONGEST
    ) -> float | None:
        """As ``length``, in inches; None where it is left out."""
        return None if holder.get(key) is None else self.length(holder, key, at, least, most)

    def _length_within(self, inches: float, place: str, least: float | None, most: float) -> bool:
        if least is None and inches <= 0:
            self.fault(place, "not_positive", f"this must be more than 0; it is {inches:g} in")
        elif least is not None and inches < least:
            self.fault(place, "out_of_range", f"this is at least {format_length(least)}; it is {inches:g} in")
        elif inches > most:
            self.fault(place, "out_of_range", f"this is at most {most:g} in; it is {inches:g} in")
        else:
            return True
        return False

    def number(
        self, holder: Mapping[str, Any], key: str, at: str, least: float, most: float, *, above: bool = False
    ) -> float:
        """A number from ``least`` (with ``above``: from more than that) to ``most``."""
        place = self.place(at, key)
        value = holder.get(key, _MISSING)
        if value is _MISSING or value is None:
            self.fault(place, "missing", "a number is missing here")
        elif isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(place, "not_a_number", f"a number is needed here, not {shown(value)!r}")
        elif isinstance(value, float) and not math.isfinite(value):
            self.fault(place, "not_finite", "a finite number is needed here")
        elif not least <= value <= most or (above and value == least):
            words = f"more than {least:g}" if above else f"from {least:g}"
            self.fault(place, "out_of_range", f"a number {words} to {most:g} is needed here")
        else:
            return float(value)
        return max(least, min(most, 1.0))

    def maybe_number(
        self, holder: Mapping[str, Any], key: str, at: str, least: float, most: float, *, above: bool = False
    ) -> float | None:
        """As ``number``; None where it is left out."""
        return None if holder.get(key) is None else self.number(holder, key, at, least, most, above=above)

    def word(self, holder: Mapping[str, Any], key: str, at: str, words: Sequence[str], default: str | None) -> str:
        """One of ``words``; without a default it may not be left out."""
        value = holder.get(key)
        if value is None and default is not None:
            return default
        if isinstance(value, str) and value in words:
            return value
        code = "missing" if value is None else "unknown_word"
        self.fault(self.place(at, key), code, f"one of {', '.join(words)} is needed here")
        return default or words[0]

    def text(self, holder: Mapping[str, Any], key: str, at: str, most: int = 200) -> str:
        """Text of at most ``most`` letters; empty where it is left out."""
        value = holder.get(key)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.fault(self.place(at, key), "not_text", "text is needed here")
            return ""
        if len(value) > most:
            self.fault(self.place(at, key), "too_long", f"at most {most} letters can stand here")
            return ""
        return value

    def flag(self, holder: Mapping[str, Any], key: str, at: str) -> bool:
        """True or false; false where it is left out."""
        value = holder.get(key)
        if value is None or isinstance(value, bool):
            return bool(value)
        self.fault(self.place(at, key), "not_a_flag", "true or false is needed here")
        return False


def shown(value: object) -> str:
    """A value short enough to be repeated in a sentence."""
    text = value if isinstance(value, str) else repr(value)
    return text if len(text) <= 40 else text[:37] + "..."
