"""The typeface of paper: three weights as TrueType, embedded. A sign that it lacks fails the print by name."""

import unicodedata
from functools import lru_cache
from pathlib import Path

from django.conf import settings
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont

from shop.tickets.faults import NotPrinted

WEIGHTS = (400, 600, 800)
# Digits are as high as capitals in this family, as shares of the size; a test measures them in the files.
CAPITAL = 0.714
DESCENT = 0.24


def font_name(weight: int) -> str:
    return f"Racewright-{weight}"


def folder() -> Path:
    """Where the files stand; pages take theirs from the same folder."""
    for place in settings.STATICFILES_DIRS:
        if isinstance(place, tuple) and place[0] == "fonts":
            return Path(place[1])
    return Path(settings.FONTS_DIR)


@lru_cache(maxsize=8)
def _font(weight: int) -> TTFont:
    name, path = font_name(weight), folder() / f"racewright-{weight}.ttf"
    try:
        font = TTFont(name, str(path))
    except (TTFError, OSError) as error:
        raise NotPrinted("no_font", f"The type file {path.name} is missing; run: manage.py fonts") from error
    pdfmetrics.registerFont(font)
    return font


def clean(words: str) -> str:
    """One line, composed: blanks of any kind become single spaces."""
    return " ".join(unicodedata.normalize("NFC", words).split())


@lru_cache(maxsize=4096)
def checked(words: str, weight: int) -> str:
    """The words if every sign of them can be printed. Refused: `missing_glyph` with the sign's own name."""
    known = _font(weight).face.charToGlyph
    for sign in words:
        if ord(sign) not in known:
            name = unicodedata.name(sign, f"U+{ord(sign):04X}")
            raise NotPrinted("missing_glyph", f"“{words}” can't be printed: the typeface has no {name}.", sign=sign)
    return words


@lru_cache(maxsize=16384)
def _width_at_one(words: str, weight: int) -> float:
    return float(_font(weight).stringWidth(checked(words, weight), 1.0))


def width(words: str, weight: int, size: float, squeeze: float = 1.0) -> float:
    """How wide the words come out, pt."""
    return _width_at_one(words, weight) * size * squeeze
