"""Under the picture: checks with boxes to write in, the tally, fittings, and what the sheet itself is."""

from collections.abc import Sequence

from bending.drawing.clock import star
from shop.tickets import fonts
from shop.tickets.canvas import INK, Block, Sheet, fit
from shop.tickets.content import CheckBox, Printed, TicketContent
from shop.tickets.drawing.code import draw_symbol
from shop.tickets.drawing.ruler import HEIGHT as RULER
from shop.tickets.drawing.ruler import draw_ruler
from shop.tickets.figures import draw_figure, figure, figure_width
from shop.tickets.qr import symbol
from shop.tickets.specs import POINT, QUIET_MODULES

CHECKS, FITTINGS, FITTING_LINE = 44.0, 17.0, 12.0
LETTER = 36.0
BOX, BOX_GAP, BOX_HIGH = 106.0, 7.0, 18.0
TICKS, TALLY = 346.0, 452.0
MOST_BOXES = 16
RESPONSIBLE = (
    "Not for field measuring. Local code and the authority having jurisdiction decide; "
    "a licensed person is responsible."
)
LINE = 10.4
# The sheet's own code is read at the bench, near and flat.
CODE_MODULE = 0.5 / 25.4 * POINT
QUIET = 4.0


def draw_checks(sheet: Sheet, y: float, content: TicketContent) -> float:
    """Boxes for the numbers typed of the first piece, thumbs for the rest, and the count; gives back the bottom."""
    sheet.line(0, y, sheet.width, y, 1.5)
    wide = sheet.text(0, y + 10, "CHECK", 9.5, weight=800)
    often = "" if content.quantity == 1 else f"first piece and every {content.every}th: "
    said = f"{often}write what you measure, from the pipe's own ends. Star: must hit. Tolerances: common practice."
    note = fit(said, TALLY - wide - 14, (8.5, 8, 7.5, 7), squeeze=0.92, what="How to check")
    sheet.text(wide + 6, y + 10, note.lines[0], note.size, squeeze=0.92)
    for place, check in enumerate(content.checks[:3]):
        _box(sheet, place * (BOX + BOX_GAP), y + 13, check)
    for line, tick in enumerate(content.ticks[:3]):
        top = y + 13 + 10.5 * line
        sheet.rect(TICKS, top, 8, 8, stroke=1)
        words = fit(tick, TALLY - TICKS - 18, (9.5, 9, 8), squeeze=0.9, what="A check")
        sheet.block(TICKS + 12, top + 4 - words.height / 2, words)
    _tally(sheet, y, content)
    return y + CHECKS


def _box(sheet: Sheet, x: float, y: float, check: CheckBox) -> None:
    """An empty box; under it what should stand in it."""
    sheet.rect(x, y, BOX, BOX_HIGH, stroke=1)
    number = figure(check.length)
    size, baseline = 12.0, y + BOX_HIGH + 10.5
    wide = figure_width(number, size)
    limits = fit(check.tolerance, 46, (7.5, 7, 6.5, 6), squeeze=0.9, what="A tolerance")
    sheet.text(x + BOX - 3, y + BOX_HIGH - 3, check.tolerance, limits.size, anchor="end", squeeze=0.9)
    left = _star(sheet, x, baseline) if check.star else x
    room = x + BOX - wide - 4 - left
    words = fit(check.words, room, (9, 8, 7), weight=800 if check.star else 600, squeeze=0.9, what="A check")
    sheet.text(left, baseline, words.lines[0], words.size, weight=words.weight, squeeze=0.9)
    draw_figure(sheet, x + BOX, baseline, number, size, anchor="end")


def _star(sheet: Sheet, x: float, baseline: float) -> float:
    """The must-hit's star, before its words."""
    sheet.path(star(x + 4.5, baseline - 3.4, 4.5), closed=True, fill=INK)
    return x + 11


def _tally(sheet: Sheet, y: float, content: TicketContent) -> None:
    """One small box a copy, numbered; more than fit are counted by hand."""
    sheet.text(TALLY, y + 10, f"TALLY, qty {content.quantity}", 9.5, weight=800)
    width, high, gap = 9.8, 9.6, 1.2
    count = content.quantity if content.quantity <= MOST_BOXES else 0
    for number in range(count):
        x, top = TALLY + (number % 8) * (width + gap), y + 13 + (number // 8) * (high + gap)
        sheet.rect(x, top, width, high, stroke=0.8)
        sheet.text(x + width / 2, top + 7.4, str(number + 1), 7, weight=600, anchor="middle")
    if not count:
        sheet.text(TALLY, y + 24, f"done          of {content.quantity}", 9.5)
        sheet.line(TALLY + 22, y + 25, TALLY + 44, y + 25, 0.6)
    below = y + 42
    wide = sheet.text(TALLY, below, "bent", 8)
    sheet.line(TALLY + wide + 2, below, TALLY + 40, below, 0.6)
    wide = sheet.text(TALLY + 43, below, "checked", 8)
    sheet.line(TALLY + 45 + wide, below, sheet.width, below, 0.6)


def draw_fittings(sheet: Sheet, y: float, content: TicketContent) -> float:
    """What goes on each end; gives back the bottom."""
    sheet.line(0, y, sheet.width, y, 1.5)
    sheet.text(0, y + 12, "ON IT", 9.5, weight=800)
    for x, letter, block in zip((38.0, 242.0), ("A end:", "B end:"), _fittings(content), strict=True):
        sheet.text(x, y + 12, letter, 10.5, weight=800)
        sheet.block(x + LETTER, y + 12 - block.size * fonts.CAPITAL, block)
    more = fit(
        content.fittings_more, sheet.width - 446, (9.5, 9, 8, 7.5), squeeze=0.94, what="What is done to the ends"
    )
    sheet.text(446, y + 12, more.lines[0], more.size, squeeze=0.94)
    bottom = y + fittings_height(content)
    sheet.line(0, bottom, sheet.width, bottom, 0.75)
    return bottom


def _fittings(content: TicketContent) -> list[Block]:
    """Where each end goes and what is put on it; two lines rather than small ones."""
    room, squeeze = 200 - LETTER, 0.94
    found = []
    for words in content.fittings:
        plain = fonts.checked(fonts.clean(words), 400)
        one = fonts.width(plain, 400, 9.5, squeeze) <= room
        sizes = (10.5, 10, 9.5) if one else (10, 9, 8, 7.5)
        found.append(fit(plain, room, sizes, lines=1 if one else 2, squeeze=squeeze, what="A fitting"))
    return found


def fittings_height(content: TicketContent) -> float:
    return FITTINGS + FITTING_LINE * (max(len(block.lines) for block in _fittings(content)) - 1)


def foot_height(content: TicketContent) -> float:
    return LINE * (3 + len(content.cautions)) + 8 + RULER


def draw_foot(sheet: Sheet, content: TicketContent, page: str) -> None:
    """At the bottom of the live area: the sheet's code, bender, print, cautions, ruler."""
    y = sheet.height - foot_height(content)
    left = _code(sheet, 0, y + 3 + QUIET, content.printed) + 2
    room = sheet.width - left
    bender = fit(content.bender, room, (10, 9.5, 9, 8.5, 8), weight=800, what="The bender")
    sheet.text(left, y + LINE, bender.lines[0], bender.size, weight=800)
    paper = fit(f"{content.paper}{page}", room, (9, 8.5, 8, 7.5), weight=600, squeeze=0.95, what="The print")
    sheet.text(left, y + LINE * 2, paper.lines[0], paper.size, weight=600, squeeze=0.95)
    _lines(sheet, left, y + LINE * 3, [RESPONSIBLE])
    sheet.line(left, y + LINE * 3 + 3.2, sheet.width, y + LINE * 3 + 3.2, 0.75)
    _lines(sheet, left, y + LINE * 4 + 3.5, content.cautions, weight=600)
    draw_ruler(sheet, 0, sheet.height - RULER)


def _lines(sheet: Sheet, x: float, y: float, lines: Sequence[str], weight: int = 400) -> None:
    for number, words in enumerate(lines):
        line = fit(words, sheet.width - x, (9, 8.5, 8, 7.5, 7), weight=weight, squeeze=0.95, what="A caution")
        sheet.text(x, y + number * LINE, line.lines[0], line.size, weight=weight, squeeze=0.95)


def _code(sheet: Sheet, x: float, y: float, printed: Printed) -> float:
    """The sheet's own code; gives back where words may begin beside its quiet zone."""
    found = symbol(printed.text)
    draw_symbol(sheet, x, y, found, CODE_MODULE)
    return x + (found.modules + QUIET_MODULES) * CODE_MODULE
