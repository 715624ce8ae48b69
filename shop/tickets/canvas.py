"""A sheet to draw on: places in pt from the live area's top left, y down. Nothing is drawn outside the page."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO

from reportlab.lib.colors import Color, HexColor
from reportlab.pdfgen.canvas import Canvas

from shop.tickets import fonts
from shop.tickets.faults import NotPrinted
from shop.tickets.specs import LabelStock, PageStock

INK, SECOND, WHITE = "#000000", "#404040", "#FFFFFF"
Point = tuple[float, float]
LEADING = 1.18
# A hair of rounding is no reason to refuse a sheet.
SLACK = 0.01
# After a blank that isn't inside a mixed number, or after a hyphen or a stroke between letters.
BREAK = re.compile(r"(?<!\d) | (?!\d+/\d)|(?<=[^\W\d])[-/](?=[^\W\d])")


@dataclass(frozen=True)
class Block:
    """Words broken into lines that fit, with the size they fit at."""

    lines: tuple[str, ...]
    size: float
    weight: int
    squeeze: float = 1.0

    @property
    def height(self) -> float:
        """From the first line's capitals to the last baseline."""
        return self.size * (fonts.CAPITAL + LEADING * (len(self.lines) - 1))

    @property
    def width(self) -> float:
        return max(fonts.width(line, self.weight, self.size, self.squeeze) for line in self.lines)


def fit(
    words: str,
    width: float,
    sizes: Sequence[float],
    *,
    weight: int = 400,
    lines: int = 1,
    squeeze: float = 1.0,
    what: str = "This",
) -> Block:
    """The words at the first size at which they need no more lines than allowed. Refused: `too_long`, by name."""
    words = fonts.checked(fonts.clean(words), weight)
    for size in sizes:
        found = wrapped(words, width, weight, size, squeeze)
        if found is not None and len(found) <= lines:
            return Block(tuple(found), size, weight, squeeze)
    raise NotPrinted("too_long", f"{what} is too long for its place on the paper: “{words}”.", what=what)


def wrapped(words: str, width: float, weight: int, size: float, squeeze: float = 1.0) -> list[str] | None:
    """Lines no wider than `width`; None if a part that can't be broken is wider."""
    lines = [""]
    for part in _parts(words):
        longer = lines[-1] + part
        if fonts.width(longer.rstrip(), weight, size, squeeze) <= width + SLACK:
            lines[-1] = longer
        else:
            lines.append(part)
    found = [line.strip() for line in lines if line.strip()] or [""]
    return found if all(fonts.width(line, weight, size, squeeze) <= width + SLACK for line in found) else None


def _parts(words: str) -> list[str]:
    """Where a line may end. A number stays with its fraction: 44 at the end of a line is not 44 1/4."""
    ends = [found.end() for found in BREAK.finditer(words)]
    return [words[start:end] for start, end in zip([0, *ends], [*ends, len(words)], strict=True)]


class Paper:
    """A PDF under way. The same content gives the same bytes: no clock, no random names."""

    def __init__(self, title: str) -> None:
        self._buffer = BytesIO()
        self._canvas = Canvas(self._buffer, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setAuthor("Racewright")
        self._open = False

    def sheet(self, stock: PageStock | LabelStock) -> "Sheet":
        """The next page, of the stock's size."""
        if self._open:
            self._canvas.showPage()
        self._open = True
        self._canvas.setPageSize((stock.width, stock.height))
        left, top, width, height = stock.live if isinstance(stock, PageStock) else (0, 0, stock.width, stock.height)
        return Sheet(self._canvas, (stock.width, stock.height), (left, top), width, height)

    def finish(self) -> bytes:
        """The whole PDF."""
        self._canvas.save()
        return self._buffer.getvalue()


class Sheet:
    """One page's live area."""

    def __init__(self, canvas: Canvas, page: Point, origin: Point, width: float, height: float) -> None:
        self._canvas, self._page, self._origin = canvas, page, origin
        self.width, self.height = width, height

    def _at(self, x: float, y: float) -> Point:
        return self._origin[0] + x, self._page[1] - self._origin[1] - y

    def _inside(self, x: float, y: float, what: str) -> Point:
        """The place in PDF space. Refused: `outside_page`, for anything that leaves the live area."""
        if not (-SLACK <= x <= self.width + SLACK and -SLACK <= y <= self.height + SLACK):
            raise NotPrinted("outside_page", f"{what} would stand outside the page.", x=round(x, 2), y=round(y, 2))
        return self._at(x, y)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        weight: int = 400,
        anchor: str = "start",
        colour: str = INK,
        squeeze: float = 1.0,
    ) -> float:
        """Words on a baseline; gives back how wide they are."""
        fonts.checked(words, weight)
        wide = fonts.width(words, weight, size, squeeze)
        left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        px, py = self._inside(left, y, words)
        self._inside(left + wide, y - size * fonts.CAPITAL, words)
        self._canvas.setFillColor(_colour(colour))
        written = self._canvas.beginText(px, py)
        written.setFont(fonts.font_name(weight), size)
        if squeeze != 1:
            written.setHorizScale(100 * squeeze)
        written.textOut(words)
        if squeeze != 1:
            written.setHorizScale(100)
        self._canvas.drawText(written)
        return wide

    def block(self, x: float, y: float, block: Block, *, anchor: str = "start", colour: str = INK) -> float:
        """A block with the capitals of its first line at y; gives back the last baseline."""
        baseline = y + block.size * fonts.CAPITAL
        for number, line in enumerate(block.lines):
            at = baseline + number * block.size * LEADING
            self.text(x, at, line, block.size, weight=block.weight, anchor=anchor, colour=colour, squeeze=block.squeeze)
        return y + block.height

    def rect(
        self, x: float, y: float, width: float, height: float, *, stroke: float = 0, fill: str | None = None
    ) -> None:
        """A box; `stroke` is its line's width, 0 for none."""
        left, top = self._inside(x, y, "A box")
        self._inside(x + width, y + height, "A box")
        self._pen(stroke, INK, ())
        if fill:
            self._canvas.setFillColor(_colour(fill))
        self._canvas.rect(left, top - height, width, height, stroke=int(stroke > 0), fill=int(fill is not None))

    def rects(self, boxes: Iterable[tuple[float, float, float, float]]) -> None:
        """Many black boxes as one path."""
        path = self._canvas.beginPath()
        for x, y, width, height in boxes:
            left, top = self._inside(x, y, "A code")
            self._inside(x + width, y + height, "A code")
            path.rect(left, top - height, width, height)
        self._canvas.setFillColor(_colour(INK))
        self._canvas.drawPath(path, stroke=0, fill=1)

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        pen: float = 1,
        *,
        colour: str = INK,
        dash: Sequence[float] = (),
    ) -> None:
        start, end = self._inside(x1, y1, "A line"), self._inside(x2, y2, "A line")
        self._pen(pen, colour, dash)
        self._canvas.line(*start, *end)

    def path(
        self,
        points: Sequence[Point],
        *,
        closed: bool = False,
        pen: float = 0,
        colour: str = INK,
        fill: str | None = None,
        dash: Sequence[float] = (),
    ) -> None:
        """An open line or an area through points; round joints."""
        places = [self._inside(x, y, "A line") for x, y in points]
        path = self._canvas.beginPath()
        path.moveTo(*places[0])
        for place in places[1:]:
            path.lineTo(*place)
        if closed:
            path.close()
        self._pen(pen, colour, dash)
        if fill:
            self._canvas.setFillColor(_colour(fill))
        self._canvas.drawPath(path, stroke=int(pen > 0), fill=int(fill is not None))

    def circle(self, x: float, y: float, radius: float, *, pen: float = 0, fill: str | None = None) -> None:
        px, py = self._inside(x, y, "A circle")
        self._inside(x + radius, y + radius, "A circle")
        self._inside(x - radius, y - radius, "A circle")
        self._pen(pen, INK, ())
        if fill:
            self._canvas.setFillColor(_colour(fill))
        self._canvas.circle(px, py, radius, stroke=int(pen > 0), fill=int(fill is not None))

    def rounded(self, x: float, y: float, width: float, height: float, *, radius: float, pen: float) -> None:
        """A box with round corners, not filled."""
        left, top = self._inside(x, y, "A box")
        self._inside(x + width, y + height, "A box")
        self._pen(pen, INK, ())
        self._canvas.roundRect(left, top - height, width, height, radius, stroke=1, fill=0)

    def _pen(self, pen: float, colour: str, dash: Sequence[float]) -> None:
        if pen <= 0:
            return
        self._canvas.setLineWidth(pen)
        self._canvas.setLineJoin(1)
        self._canvas.setStrokeColor(_colour(colour))
        self._canvas.setDash(list(dash))


def _colour(value: str) -> Color:
    if value not in _COLOURS:
        _COLOURS[value] = HexColor(value)
    return _COLOURS[value]


_COLOURS: dict[str, Color] = {}
