"""Lengths that can be read and bent, and are hardly meant: `625` for 62 5/8, `18` for 1/8. He is asked before he sends.

The limits are common practice, no source: beyond them a slip of the thumb is likelier than the length.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bending.lengths import LengthError, parse_length
from shop.requests.builder import placed
from shop.requests.rows import ROWS, Entry, Row
from shop.requests.words import row_words

# Inches, by entry of a row; whichever way the length is signed.
LIMITS = {"leg": 480.0, "rise": 48.0, "side": 48.0, "tail": 36.0, "allowance": 6.0}


@dataclass(frozen=True)
class Doubt:
    """One length that is asked about: its field in the form, its row in words, and the yes that answers it.

    A yes belongs to the length, not to the field: another number is another question.
    """

    field: str
    words: str
    inches: float
    yes: str
    said: bool


def doubts(rows: Sequence[Row], said: Callable[[str], bool]) -> tuple[Doubt, ...]:
    """What is asked about these rows, in their order; `said` tells which yes was given."""
    return tuple(
        Doubt(one.field(entry.name), row_words(rows, one.number), inches, yes, said(yes))
        for one in placed(rows)
        for entry in ROWS[one.row.kind].entries
        if (inches := _too_much(entry, one.row[entry.name])) is not None
        for yes in [f"sure-{entry.name}-{inches:.4f}"]
    )


def _too_much(entry: Entry, text: str) -> float | None:
    """The length in inches, where it is beyond what is likely."""
    if entry.sort != "length" or entry.name not in LIMITS:
        return None
    try:
        inches = parse_length(text)
    except LengthError:
        return None
    return inches if abs(inches) > LIMITS[entry.name] else None
