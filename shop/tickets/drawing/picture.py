"""The bending module's drawing primitives on a sheet: the same pictures as on the screen, with paper's pens."""

from bending.drawing import PENS, Circle, Drawing, Item, Line, Number, Pen, Polygon, Polyline, Text, Tube
from bending.drawing.primitives import Point
from shop.tickets import fonts
from shop.tickets.canvas import INK, WHITE, Sheet
from shop.tickets.figures import draw_figure, figure_width

# A black printer must do: the screen's ink and second ink are both black on paper.
BLACK = {"#101A16": INK, "#3F4B45": INK}


def draw_picture(sheet: Sheet, x: float, y: float, drawing: Drawing) -> None:
    """A drawing with its top left corner at (x, y). A drawing made for a screen is an error."""
    if drawing.medium != "paper":
        raise ValueError("a screen's drawing can't be printed")
    for item in drawing.items:
        _draw(sheet, item, x, y)


def _draw(sheet: Sheet, item: Item, x: float, y: float) -> None:
    pen = PENS[item.style]
    if isinstance(item, Text):
        _text(sheet, item, pen, x, y)
    elif isinstance(item, Number):
        _number(sheet, item, pen, x + item.at[0], y + item.at[1])
    elif isinstance(item, Tube):
        _tube(sheet, item, pen, _moved(item.points, x, y))
    elif isinstance(item, Circle):
        sheet.circle(x + item.centre[0], y + item.centre[1], item.radius, pen=_width(pen), fill=pen.fills("paper"))
    elif isinstance(item, Polygon | Polyline | Line):
        _lines(sheet, item, pen, x, y)
    else:
        raise TypeError(f"no way to print a {type(item).__name__}")


def _moved(points: tuple[Point, ...], x: float, y: float) -> list[Point]:
    return [(x + px, y + py) for px, py in points]


def _black(colour: str | None) -> str | None:
    return BLACK.get(colour, colour) if colour else None


def _width(pen: Pen) -> float:
    return pen.width("paper") if pen.stroke else 0


def _text(sheet: Sheet, item: Text, pen: Pen, x: float, y: float) -> None:
    words = fonts.clean(item.words)
    colour = _black(pen.fill) or INK
    sheet.text(x + item.at[0], y + item.at[1], words, item.size, weight=pen.weight, anchor=item.anchor, colour=colour)


def _number(sheet: Sheet, item: Number, pen: Pen, x: float, y: float) -> None:
    """On a white ground: a thin line that passes under a number must not look like a part of it."""
    wide = figure_width(item, item.size, pen.weight)
    left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor]
    sheet.rect(left, y - item.size * 0.76, wide, item.size * 0.76, fill=WHITE)
    draw_figure(sheet, left, y, item, item.size, weight=pen.weight)


def _lines(sheet: Sheet, item: Polygon | Polyline | Line, pen: Pen, x: float, y: float) -> None:
    points = (item.start, item.end) if isinstance(item, Line) else item.points
    closed = isinstance(item, Polygon)
    fill = _black(pen.fills("paper")) if closed else None
    colour = _black(pen.stroke) or INK
    places, dash = _moved(points, x, y), pen.dashes("paper")
    sheet.path(places, closed=closed, pen=_width(pen), colour=colour, fill=fill, dash=dash)


def _tube(sheet: Sheet, item: Tube, pen: Pen, points: list[Point]) -> None:
    """Two strokes on one line: the edges' ink, then the body on top of it."""
    line = pen.width("paper")
    sheet.path(points, pen=item.width + line, colour=_black(pen.stroke) or INK)
    sheet.path(points, pen=max(item.width - line, 0.5), colour=_black(pen.fills("paper")) or "#FFFFFF")
