"""The back of a ticket: the handbook's marks, small and grey, each with its hook. For comparison only."""

from shop.tickets.canvas import Sheet, fit
from shop.tickets.content import BookRow, TicketContent
from shop.tickets.drawing.head import draw_tie_tag

GREY = "#666666"
HEADING = "back of the ticket: the book's marks, for comparison only"
COLUMNS = (0.0, 26.0, 150.0, 192.0, 246.0, 412.0)
HEADS = ("#", "book mark", "on the", "hook", "by this rule", "the front says")
ROW = 16.0


def draw_book(sheet: Sheet, content: TicketContent) -> None:
    """A whole page; the rows shrink rather than run off it."""
    x = draw_tie_tag(sheet, 0, 0, content.tag, 24) + 14
    head = fit(HEADING, sheet.width - x, (14, 11, 9), weight=600, lines=2, what="The heading of the back")
    sheet.block(x, 6, head, colour=GREY)
    y = 44.0
    for words in content.book_notes:
        block = fit(words, sheet.width, (10, 9, 8), lines=3, what="A note")
        y = sheet.block(0, y, block, colour=GREY) + 8
    y += 14
    for at, name in zip(COLUMNS, HEADS, strict=True):
        sheet.text(at, y, name, 10, weight=600, colour=GREY)
    sheet.line(0, y + 4, sheet.width, y + 4, 0.75, colour=GREY)
    step = min(ROW, (sheet.height - y - 24) / max(len(content.book), 1))
    for number, row in enumerate(content.book, 1):
        _row(sheet, y + 4 + number * step, row, min(10.0, step * 0.66))


def _row(sheet: Sheet, y: float, row: BookRow, size: float) -> None:
    cells = (row.step, row.mark_at, row.mark, row.hook, row.rule, row.front)
    for place, (at, words) in enumerate(zip(COLUMNS, cells, strict=True)):
        right = COLUMNS[place + 1] if place + 1 < len(COLUMNS) else sheet.width
        sizes = (size, size * 0.9, size * 0.8, size * 0.7, size * 0.6)
        cell = fit(words, right - at - 4, sizes, squeeze=0.92, what="A book mark")
        sheet.text(at, y, cell.lines[0], cell.size, colour=GREY, squeeze=0.92)
