"""Numbers as the trade reads them: whole, raised numerator, stroke, denominator on the line, then the unit.

Our own mark-up, so that the digits of a fraction are as large as they must be: the smallest digit that matters
decides whether a man can read the number.
"""

from bending.drawing.primitives import Number, number
from shop.tickets import fonts
from shop.tickets.canvas import INK, Sheet

FRACTION = 0.75  # of the whole number's size
GAP, RAISED, LOWERED = 0.15, 0.26, 0.02
LIGHT = 400
# A unit that is a word is read once; one that is a sign closes the number up.
CLOSE_UNITS, WORD_UNIT = ("″", "°"), 0.55
# 0.2 in digits at arm's length: common practice, height = distance / 150 from 30 in.
READABLE = 0.2 * 72
READABLE_SIZE = READABLE / fonts.CAPITAL / FRACTION + 0.1


def figure(words: str) -> Number:
    """A written length or angle as a number to set: 98 13/16", 22.5°, 1588 mm."""
    return number(words, (0, 0), 1)


def figure_width(item: Number, size: float, weight: int = 800) -> float:
    """How wide a number comes out, pt."""
    return sum(part[4] for part in _parts(item, size, weight))


def draw_figure(
    sheet: Sheet,
    x: float,
    y: float,
    item: Number,
    size: float,
    *,
    weight: int = 800,
    anchor: str = "start",
    colour: str = INK,
) -> float:
    """A number on a baseline; gives back how wide it is."""
    parts = _parts(item, size, weight)
    wide = sum(part[4] for part in parts)
    place = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
    for words, part_size, part_weight, up, step in parts:
        if words:
            sheet.text(place, y - up, words, part_size, weight=part_weight, colour=colour)
        place += step
    return wide


def _parts(item: Number, size: float, weight: int) -> list[tuple[str, float, int, float, float]]:
    """(words, size, weight, raised by, step to the next) in reading order."""
    small, lead = size * FRACTION, item.before + item.whole
    parts = [(lead, size, weight, 0.0, fonts.width(lead, weight, size))] if lead else []
    if item.numerator:
        if lead:
            parts.append(("", size, weight, 0.0, size * GAP))
        top, bottom = item.numerator, item.denominator
        parts += [
            (top, small, weight, size * RAISED, fonts.width(top, weight, small)),
            ("⁄", size, LIGHT, 0.0, fonts.width("⁄", LIGHT, size)),
            (bottom, small, weight, -size * LOWERED, fonts.width(bottom, weight, small)),
        ]
    if item.unit:
        unit = size if item.unit in CLOSE_UNITS else size * WORD_UNIT
        parts.append((item.unit, unit, LIGHT, 0.0, fonts.width(item.unit, LIGHT, unit)))
    return parts
