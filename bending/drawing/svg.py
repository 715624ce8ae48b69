"""Drawing primitives as SVG: classes and presentation attributes only, no style attribute and no script."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from bending.drawing.pens import PENS
from bending.drawing.primitives import Circle, Drawing, Item, Line, Number, Point, Polygon, Polyline, Text, Tube

FAMILY = "Racewright, 'Noto Sans SemiCondensed', 'Noto Sans', sans-serif"
# A fraction's digits against the whole number: screens are nearer than paper.
FRACTION = {"screen": 0.72, "paper": 0.75}


def to_svg(drawing: Drawing, title: str = "") -> str:
    """The drawing as one <svg> element that a page can hold.

    `title` is what a screen reader says first; by default the drawing's own words. Classes are `d-` and the style's
    name; attributes carry the light colours, so that the picture also stands alone.
    """
    words = escape(title or drawing.words, quote=True)
    body = "".join(_element(item, drawing.medium) for item in drawing.items)
    size = f'width="{_n(drawing.width)}" height="{_n(drawing.height)}"'
    box = f'viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" {size} {box} role="img" aria-label="{words}" '
        f'font-family="{FAMILY}"><title>{words}</title>{body}</svg>'
    )


def _element(item: Item, medium: str) -> str:
    if isinstance(item, Tube):
        return _tube(item, medium)
    if isinstance(item, Text):
        return _text(item, escape(item.words))
    if isinstance(item, Number):
        return _text(item, _number(item, FRACTION[medium]), f' aria-label="{escape(item.spoken, quote=True)}"')
    return f"<{_shape(item)} {_paint(item.style, medium)}/>"


def _shape(item: Line | Polyline | Polygon | Circle) -> str:
    if isinstance(item, Line):
        (x1, y1), (x2, y2) = item.start, item.end
        return f'line x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"'
    if isinstance(item, Circle):
        return f'circle cx="{_n(item.centre[0])}" cy="{_n(item.centre[1])}" r="{_n(item.radius)}"'
    tag = "polygon" if isinstance(item, Polygon) else "polyline"
    return f'{tag} points="{_points(item.points)}"'


def _paint(style: str, medium: str) -> str:
    """Class and colours of a pen, the class first: a page's own rules win over the attributes."""
    pen = PENS[style]
    words = [f'class="d-{style}" fill="{pen.fills(medium) or "none"}"']
    if pen.stroke:
        words.append(f'stroke="{pen.stroke}" stroke-width="{_n(pen.width(medium))}"')
    if pen.dashes(medium):
        words.append(f'stroke-dasharray="{" ".join(map(_n, pen.dashes(medium)))}"')
    return " ".join(words)


def _tube(item: Tube, medium: str) -> str:
    """Two strokes on one line: edges in the pen's stroke, then the body on top of them."""
    pen = PENS[item.style]
    points, line = _points(item.points), pen.width(medium)
    common = 'fill="none" stroke-linejoin="round"'
    edge = f'class="d-{item.style}-edge" stroke="{pen.stroke}" stroke-width="{_n(item.width + line)}"'
    body = f'class="d-{item.style}-body" stroke="{pen.fills(medium)}" stroke-width="{_n(max(item.width - line, 0.5))}"'
    return f'<polyline points="{points}" {common} {edge}/><polyline points="{points}" {common} {body}/>'


def _text(item: Text | Number, inside: str, label: str = "") -> str:
    pen, (x, y) = PENS[item.style], item.at
    anchor = "" if item.anchor == "start" else f' text-anchor="{item.anchor}"'
    return (
        f'<text class="d-{item.style}" x="{_n(x)}" y="{_n(y)}" font-size="{_n(item.size)}" font-weight="{pen.weight}"'
        f' fill="{pen.fill}"{anchor}{label}>{inside}</text>'
    )


def _number(item: Number, fraction: float) -> str:
    """Whole, raised numerator, stroke, denominator on the line, unit: each shift undoes the one before it."""
    lead, size = escape(item.before + item.whole), item.size
    unit = f'<tspan font-weight="400">{escape(item.unit)}</tspan>' if item.unit else ""
    if not item.numerator:
        return lead + unit
    small, gap = size * fraction, size * 0.15 * bool(lead)
    up, down = size * 0.26, size * 0.02
    top = f'<tspan font-size="{_n(small)}" dx="{_n(gap)}" dy="{_n(-up)}">{item.numerator}</tspan>'
    stroke = f'<tspan font-weight="400" dy="{_n(up)}">⁄</tspan>'
    bottom = f'<tspan font-size="{_n(small)}" dy="{_n(down)}">{item.denominator}</tspan>'
    close = f'<tspan font-weight="400" dy="{_n(-down)}">{escape(item.unit)}</tspan>' if item.unit else ""
    return lead + top + stroke + bottom + close


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _n(value: float) -> str:
    """Hundredths of a px are finer than any screen, and keep a page small."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")
