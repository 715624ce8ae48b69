"""Pictures as they come from phones, made anew: small, upright, and with nothing in them of where they were taken."""

import io
import json
import math
from dataclasses import dataclass
from typing import Any

from PIL import Image, ImageOps, UnidentifiedImageError

from shop.jobs.refusals import Refusal

MOST_BYTES = 25_000_000
MOST_PIXELS = 60_000_000
# The longest side that is kept: a tape's sixteenths can still be read on it.
LONGEST_SIDE = 1600
QUALITY = 80
Stroke = list[list[float]]
FORMS = ("JPEG", "PNG", "WEBP")
MOST_STROKES, MOST_PLACES = 60, 400


@dataclass(frozen=True)
class Made:
    """A picture made anew: a JPEG, its size in pixels, and what was drawn over it."""

    content: bytes
    width: int
    height: int
    strokes: tuple[Stroke, ...] = ()


def remade(content: bytes, strokes: str = "") -> Made:
    """The picture made anew; no metadata goes along. `strokes` is JSON of what was drawn over it.

    Refused: `file_too_big`, `not_a_picture`, `picture_too_large`, `strokes_unreadable`, `too_many_strokes`.
    """
    drawn = strokes_read(strokes)
    if len(content) > MOST_BYTES:
        raise Refusal("file_too_big", f"A picture may have at most {MOST_BYTES // 1_000_000} MB.")
    try:
        with Image.open(io.BytesIO(content), formats=FORMS) as found:
            if found.width * found.height > MOST_PIXELS:
                raise Refusal("picture_too_large", f"At most {MOST_PIXELS // 1_000_000} million pixels.")
            # Halved while it is read: a picture of 50 million pixels never stands whole in memory.
            found.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(found).convert("RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError) as error:
        raise Refusal("not_a_picture", "This can't be read as a picture: JPEG, PNG or WebP.") from error
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    written = io.BytesIO()
    upright.save(written, "JPEG", quality=QUALITY, optimize=True)
    return Made(written.getvalue(), upright.width, upright.height, drawn)


def strokes_read(text: str) -> tuple[Stroke, ...]:
    """What was drawn over a picture: lists of places from 0 to 1. Refused: `strokes_unreadable`, `too_many_strokes`."""
    if not text.strip():
        return ()
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Refusal("strokes_unreadable", "What was drawn can't be read; draw it again.") from error
    if not isinstance(found, list) or not all(_is_stroke(stroke) for stroke in found):
        raise Refusal("strokes_unreadable", "What was drawn can't be read; draw it again.")
    if len(found) > MOST_STROKES:
        raise Refusal("too_many_strokes", f"At most {MOST_STROKES} strokes on one picture.", most=MOST_STROKES)
    return tuple([[round(x, 4), round(y, 4)] for x, y in stroke] for stroke in found if stroke)


def _is_stroke(stroke: Any) -> bool:
    return isinstance(stroke, list) and len(stroke) <= MOST_PLACES and all(_is_place(place) for place in stroke)


def _is_place(place: Any) -> bool:
    return isinstance(place, list) and len(place) == 2 and all(_is_share(share) for share in place)


def _is_share(value: Any) -> bool:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and math.isfinite(value) and -0.01 <= value <= 1.01
