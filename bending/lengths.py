"""Feet, inches, fractions and millimetres: text in, inches out, and back to what a tape shows."""

from __future__ import annotations

import math
import re
import unicodedata
from functools import lru_cache

INCH_IN_MM = 25.4
LONGEST = 100_000.0
TAPES = ("1/16", "1/32", "1 mm")
# A length that came through a few sums and stands on a half step to the eye still rounds up.
HALF_STEP_SLACK = 1e-7

_LONGEST_TEXT = 60
_METRIC = {"mm": 1 / INCH_IN_MM, "cm": 10 / INCH_IN_MM, "m": 1000 / INCH_IN_MM}
_MARKS = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u201b\u2032\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u201f\u2033\u3003", '"'),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
        **dict.fromkeys("\u2044\u2215", "/"),
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
    }
)

_DECIMAL = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)"
_FRACTION = r"[0-9]+/[0-9]+"
_INCHES = rf"(?:{_DECIMAL}|[0-9]+(?: |-){_FRACTION}|{_FRACTION})"
_IMPERIAL = re.compile(rf"(?:(?P<feet>{_DECIMAL}) ?'(?: ?-? ?(?P<over>{_INCHES}) ?\"?)?|(?P<inches>{_INCHES}) ?\"?)")
_METRIC_TEXT = re.compile(rf"(?P<number>{_DECIMAL}) ?(?P<unit>mm|cm|m)")
_FEET_DASH_INCHES = re.compile(rf"(?P<a>[0-9]+)(?: ?- ?)(?P<b>[0-9]+(?:[ -]{_FRACTION})?|{_FRACTION}) ?\"?")
_TWO_NUMBERS = re.compile(rf"(?P<a>[0-9]+) (?P<b>[0-9]+)(?P<rest> {_FRACTION})? ?\"?")
_COMMA = re.compile(r"(?P<a>[0-9]+),(?P<b>[0-9]+)")
_FEET_WORD = re.compile(r" ?(?:feet|foot|ft)(?![a-z])\.?")
_INCH_WORD = re.compile(r" ?(?:inches|inch|in)(?![a-z])\.?")


class LengthError(ValueError):
    """A length that can't be read. ``code`` is one of ``empty``, ``not_a_length``, ``two_readings``, ``not_finite``,
    ``too_long``, ``unknown_tape``; ``text`` says what is wrong and what would be right."""

    def __init__(self, code: str, text: str) -> None:
        super().__init__(text)
        self.code = code
        self.text = text


def parse_length(value: str | int | float) -> float:
    """Inches from a number of inches or from text.

    Text: ``62 1/2``, ``62-1/2``, ``62½``, ``5' 2 1/2"``, ``5'-2 1/2"``, ``62.5``, ``1588 mm`` (also cm and m), with
    straight or curly marks; negative only with a leading minus. Valid from -100,000 to 100,000 in. Raises
    ``LengthError``; text with two readings is refused with both named.
    """
    if isinstance(value, str):
        return _within(_parse_text(value))
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise LengthError("not_a_length", f"{_shown(value)} isn't a length: write inches, or text such as 62 1/2")
    return _within(value)


def round_to_tape(inches: float, tape: str = "1/16") -> float:
    """Inches rounded to the nearest graduation of ``tape`` (one of ``TAPES``); a half goes up, away from zero.

    Any finite length. Raises ``LengthError`` (``not_finite``, ``unknown_tape``). Source for the half: NJATC Conduit
    Fabrication, level 2, lesson 4, whose answers are rounded so.
    """
    steps = _steps(inches, tape)
    return steps / INCH_IN_MM if tape == "1 mm" else steps / _divisions(tape)


def split_length(inches: float, tape: str = "1/16") -> tuple[int, int, int, int]:
    """``(sign, whole, numerator, denominator)`` as the tape shows it, reduced; whole millimetres for ``1 mm``.

    ``sign`` is 1 or -1 (1 for zero); a whole number has numerator 0 and denominator 1. ``inches`` and errors as in
    ``round_to_tape``.
    """
    return _split(_steps(inches, tape), tape)


def _split(steps: int, tape: str) -> tuple[int, int, int, int]:
    sign = -1 if steps < 0 else 1
    if tape == "1 mm":
        return sign, abs(steps), 0, 1
    divisions = _divisions(tape)
    whole, part = divmod(abs(steps), divisions)
    shared = math.gcd(part, divisions)
    return sign, whole, part // shared, divisions // shared


def format_length(inches: float, tape: str = "1/16", feet: bool = False) -> str:
    """What is pencilled: ``98 13/16"``, with ``feet`` ``5'-2 1/2"`` from one foot up, ``1588 mm`` on a metric tape.

    ``inches`` and errors as in ``round_to_tape``. Source for feet and inches: LibreTexts, Fundamentals: Drawings and
    Specifications.
    """
    return _text(_steps(inches, tape), tape, feet)


@lru_cache(maxsize=4096)
def _text(steps: int, tape: str, feet: bool) -> str:
    """A layout writes some forty lengths, most of them between the same few graduations."""
    sign, whole, numerator, denominator = _split(steps, tape)
    minus = "-" if sign < 0 else ""
    if tape == "1 mm":
        return f"{minus}{whole} mm"
    part = f"{numerator}/{denominator}" if numerator else ""
    if feet and whole >= 12:
        return f"{minus}{whole // 12}'-{_joined(whole % 12, part, keep_zero=True)}\""
    return f'{minus}{_joined(whole, part, keep_zero=False)}"'


def _joined(whole: int, part: str, keep_zero: bool) -> str:
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole or keep_zero else part


def _divisions(tape: str) -> int:
    if tape == "1/16":
        return 16
    if tape == "1/32":
        return 32
    raise LengthError("unknown_tape", f"{_shown(tape)} isn't a tape: use one of {', '.join(TAPES)}")


def _steps(inches: float, tape: str) -> int:
    per_inch = INCH_IN_MM if tape == "1 mm" else _divisions(tape)
    if not math.isfinite(inches):
        raise LengthError("not_finite", "a length must be a finite number")
    steps = math.floor(abs(inches) * per_inch + 0.5 + HALF_STEP_SLACK)
    return -steps if inches < 0 else steps


def _within(inches: float) -> float:
    if isinstance(inches, int) and abs(inches) > LONGEST:
        raise LengthError("too_long", f"a length is at most {LONGEST:,.0f} in")
    if not math.isfinite(inches):
        raise LengthError("not_finite", "a length must be a finite number")
    if abs(inches) > LONGEST:
        raise LengthError("too_long", f"a length is at most {LONGEST:,.0f} in; this is {inches:g} in")
    return float(inches)


@lru_cache(maxsize=1024)
def _parse_text(value: str) -> float:
    """The same few texts come again and again: what a box offset rises, what a connector keeps short."""
    text = _plain(value)
    if not text:
        raise LengthError("empty", "a length is missing here")
    sign, body = (-1, text[1:].lstrip()) if text.startswith("-") else (1, text)
    return sign * _parse_plain(body, value)


def _plain(value: str) -> str:
    if len(value) > _LONGEST_TEXT:
        raise LengthError("not_a_length", f"{_shown(value)} is too long to be a length")
    spelled = "".join(_spelled_fraction(one) for one in value.translate(_MARKS))
    text = " ".join(spelled.lower().replace("''", '"').split())
    text = re.sub(r" ?/ ?", "/", text)
    return _INCH_WORD.sub('"', _FEET_WORD.sub("'", text)).strip()


def _spelled_fraction(letter: str) -> str:
    """Phones write ½ as one letter; spaced on both sides, so that 62½ isn't read as 621/2."""
    parts = unicodedata.normalize("NFKC", letter).split("\u2044") if ord(letter) > 127 else []
    return f" {parts[0]}/{parts[1]} " if len(parts) == 2 and all(parts) else letter


def _parse_plain(text: str, written: str) -> float:
    _refuse_two_readings(text, written)
    metric = _METRIC_TEXT.fullmatch(text)
    if metric:
        return float(metric["number"]) * _METRIC[metric["unit"]]
    imperial = _IMPERIAL.fullmatch(text)
    if not imperial:
        raise _unreadable(written)
    if imperial["inches"]:
        return _inches(imperial["inches"], written)
    return _feet_and_inches(imperial["feet"], imperial["over"], written)


def _feet_and_inches(feet: str, over: str | None, written: str) -> float:
    if over is None:
        return float(feet) * 12
    if "." in feet:
        raise LengthError("not_a_length", f"{_shown(written)} has parts of a foot and inches: write only one of them")
    inches = _inches(over, written)
    if inches >= 12:
        raise _two_readings(written, f"{int(feet) * 12 + inches:g} in", "feet with fewer than 12 inches")
    return int(feet) * 12 + inches


def _inches(text: str, written: str) -> float:
    if "/" not in text:
        return float(text)
    *whole, fraction = re.split(r"[ -]", text)
    numerator, denominator = (int(part) for part in fraction.split("/"))
    if denominator == 0:
        raise LengthError("not_a_length", f"{_shown(written)} divides by zero")
    if whole and numerator >= denominator:
        raise LengthError("not_a_length", f"{_shown(written)}: the fraction beside a whole number must be under one")
    return int(whole[0] if whole else 0) + numerator / denominator


def _refuse_two_readings(text: str, written: str) -> None:
    for check in (_refuse_comma, _refuse_bare_dash, _refuse_two_numbers, _refuse_run_together):
        check(text, written)


def _refuse_comma(text: str, written: str) -> None:
    comma = _COMMA.search(text)
    if comma:
        raise _two_readings(written, f"{comma['a']}.{comma['b']}", f"{comma['a']}{comma['b']}")


def _refuse_bare_dash(text: str, written: str) -> None:
    """62-1/2 is 62½ in the trade; every other dash between two bare numbers may be feet, or a minus."""
    dash = _FEET_DASH_INCHES.fullmatch(text)
    if not dash:
        return
    a, b = int(dash["a"]), dash["b"]
    if "/" in b and " " not in b and "-" not in b:
        if f"{a}-{b}" not in text:
            raise _two_readings(written, f"{a} {b}", f"{a} minus {b}")
        return
    raise _two_readings(written, f"{a}'-{b.replace('-', ' ')}\"", f"{a} minus {b.replace('-', ' ')} in")


def _refuse_two_numbers(text: str, written: str) -> None:
    two = _TWO_NUMBERS.fullmatch(text)
    if two:
        rest = two["rest"] or ""
        raise _two_readings(written, f"{two['a']}'-{two['b']}{rest}\"", f'{two["a"]}{two["b"]}{rest}"')


def _refuse_run_together(text: str, written: str) -> None:
    """51/2 is 25 1/2, or 5 1/2 with its space lost: a top-heavy fraction that splits into a whole and a fraction."""
    lone = re.fullmatch(r"([0-9]+)/([0-9]+) ?\"?", text)
    if not lone or int(lone[1]) < int(lone[2]) or int(lone[2]) == 0:
        return
    for cut in range(1, len(lone[1])):
        if 0 < int(lone[1][cut:]) < int(lone[2]):
            value = f"{int(lone[1]) / int(lone[2]):g}"
            raise _two_readings(written, f"{lone[1][:cut]} {lone[1][cut:]}/{lone[2]}", value)


def _two_readings(written: str, one: str, other: str) -> LengthError:
    return LengthError("two_readings", f"{_shown(written)} has two readings, {one} or {other}: write which one it is")


def _unreadable(written: str) -> LengthError:
    return LengthError(
        "not_a_length", f"{_shown(written)} isn't a length: write it like 62 1/2, 5'-2 1/2\", 62.5 or 1588 mm"
    )


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."
