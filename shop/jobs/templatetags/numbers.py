"""Template words for numbers as the trade says them: lengths, degrees, sizes."""

from django import template
from django.conf import settings
from django.utils.html import format_html
from django.utils.safestring import SafeString

from bending.lengths import split_length

register = template.Library()

QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾"}
METRIC = "1 mm"


@register.filter
def inches(value: float | None) -> SafeString | str:
    """Inches as the tape shows them: 98 13/16″ with a fraction that can be read, or whole millimetres."""
    if value is None:
        return ""
    sign, whole, top, bottom = split_length(value, settings.TAPE)
    if settings.TAPE == METRIC:
        return _marked(f"{_minus(sign)}{whole}", 0, 0, " mm", f"{_spoken_sign(sign)}{whole} millimetres")
    number = str(whole) if whole or not top else ""
    return _marked(f"{_minus(sign)}{number}", top, bottom, "″", _spoken_inches(sign, whole, top, bottom))


@register.filter
def feet(value: float | None) -> SafeString | str:
    """The same length in feet, inches and a fraction, small, for reading back: 5′-2½″; nothing under a foot."""
    if value is None or settings.TAPE == METRIC:
        return ""
    sign, whole, top, bottom = split_length(value, settings.TAPE)
    if whole < 12:
        return ""
    over = f"{whole % 12}{_small_fraction(top, bottom)}"
    return format_html('<span class="feet">{}{}′-{}″</span>', _minus(sign), whole // 12, over)


@register.simple_tag
def length(value: float | None) -> SafeString | str:
    """Both forms where somebody enters or reads back a length: inches large, feet small under it."""
    if value is None:
        return ""
    return format_html('<span class="two-forms">{}{}</span>', inches(value), feet(value))


@register.filter
def degrees(value: float | None) -> str:
    """22½°, 90°, 112.3°: close up, quarters as one letter, else one decimal."""
    if value is None:
        return ""
    whole, part = divmod(round(abs(value), 4), 1)
    sign = "−" if value < 0 else ""
    if part in QUARTERS:
        return f"{sign}{int(whole) or ''}{QUARTERS[part]}°"
    return f"{sign}{round(abs(value), 1):g}°"


@register.filter
def size(value: object) -> str:
    """A trade size and its raceway, plain: 3/4 EMT, never a fraction. Reads `.size` and `.raceway` of what it gets."""
    words = (getattr(value, "size", ""), getattr(value, "raceway", ""))
    return " ".join(str(word) for word in words if word)


def _marked(number: str, top: int, bottom: int, unit: str, spoken: str) -> SafeString:
    """The blank before the fraction is a letter of its own, so that a copied 31 11/16 never reads 3111/16."""
    part = format_html('<span class="f"><b>{}</b><i>⁄</i><em>{}</em></span>', top, bottom) if top else ""
    gap = " " if top and number.strip("−") else ""
    return format_html(
        '<span class="q" role="img" aria-label="{}">{}{}{}<u>{}</u></span>', spoken, number, gap, part, unit
    )


def _spoken_inches(sign: int, whole: int, top: int, bottom: int) -> str:
    parts = [str(whole)] if whole or not top else []
    parts += [f"{top}/{bottom}"] if top else []
    unit = "inch" if (whole, top) == (1, 0) or (not whole and top) else "inches"
    return f"{_spoken_sign(sign)}{' '.join(parts)} {unit}"


def _spoken_sign(sign: int) -> str:
    return "minus " if sign < 0 else ""


def _minus(sign: int) -> str:
    return "−" if sign < 0 else ""


def _small_fraction(top: int, bottom: int) -> str:
    """One letter where the font has it; else digits, with a blank between them and the number before."""
    if not top:
        return ""
    return QUARTERS.get(top / bottom) or f" {top}⁄{bottom}"
