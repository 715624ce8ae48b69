"""The top of a ticket: the band in the size's colour, the tag with its place and day, and the cut."""

from shop.tickets import fonts
from shop.tickets.canvas import INK, WHITE, Sheet, fit
from shop.tickets.content import TicketContent
from shop.tickets.figures import draw_figure, figure, figure_width

BAND, BAND_SIZE, QUANTITY_SIZE = 45.0, 48.0, 30.0
TAG, CUT = 37.0, 39.0
CUT_SIZE, CUT_WORD = 41.0, 36.0
FRAME = 2.0
SMALLER = (13.5, 12, 11, 10, 9)


def draw_head(sheet: Sheet, content: TicketContent) -> float:
    """Everything above the stick; gives back the bottom."""
    y = draw_band(sheet, content)
    y = draw_tag(sheet, y, content)
    return _cut(sheet, y, content)


def draw_band(sheet: Sheet, content: TicketContent) -> float:
    """The size as the largest thing on the sheet; what is out of the ordinary in black blocks at the right."""
    size, ink = content.size, content.size.on_it
    edge = FRAME / 2
    sheet.rect(edge, edge, sheet.width - FRAME, BAND - FRAME, stroke=FRAME, fill=size.colour)
    right = _blocks(sheet, content.loud, ink)
    quantity = f"QTY {content.quantity}"
    room = right - 12 - 20 - fonts.width(quantity, 800, QUANTITY_SIZE)
    words = fit(size.words, room, (BAND_SIZE, 40, 34, 28), weight=800, what="The trade size")
    baseline = BAND / 2 + BAND_SIZE * fonts.CAPITAL / 2
    wide = sheet.text(12, baseline, words.lines[0], words.size, weight=800, colour=ink)
    sheet.text(12 + wide + 20, baseline, quantity, QUANTITY_SIZE, weight=800, colour=ink)
    return BAND


def _blocks(sheet: Sheet, loud: tuple[str, ...], ground: str) -> float:
    """White words on black blocks, the other way round on a dark band; two rows if there are three or more.

    Gives back the left edge of the lot.
    """
    if not loud:
        return sheet.width - 8
    rows = [loud] if len(loud) < 3 else [loud[:2], loud[2:]]
    high = (BAND - 8 - 3 * (len(rows) - 1)) / len(rows)
    size = min(20.0, high * 0.8)
    lefts = []
    for number, row in enumerate(rows):
        x, y = sheet.width - 6, 4 + number * (high + 3)
        for words in reversed(row):
            wide = fonts.width(words, 800, size) + 12
            x -= wide
            sheet.rect(x, y, wide, high, fill=ground)
            baseline = y + high / 2 + size * fonts.CAPITAL / 2
            sheet.text(x + 6, baseline, words, size, weight=800, colour=WHITE if ground == INK else INK)
            x -= 4
        lefts.append(x)
    return min(lefts)


def draw_tag(sheet: Sheet, y: float, content: TicketContent) -> float:
    """The tie tag with its hole, the place in words, and when and where it must be."""
    x = draw_tie_tag(sheet, 0, y + 3, content.tag) + 12
    right = sheet.width
    needed = fit(content.needed, 165, SMALLER, weight=800, what="The day")
    drop = fit(content.drop, 165, (11, 10, 9, 8), lines=2, what="The drop point")
    sheet.block(right, y + 6, needed, anchor="end")
    sheet.block(right, y + 21, drop, anchor="end")
    room = right - x - 14 - max(needed.width, drop.width)
    place = fit(content.place, room, SMALLER, weight=600, lines=2, what="The place")
    more = 1 if len(place.lines) > 1 else 2
    below = sheet.block(x, y + 5, place) + 5
    title = fit(content.title, room, (11, 10, 9, 8), lines=more, what="The title")
    sheet.block(x, below, title)
    sheet.line(0, y + TAG, sheet.width, y + TAG, 1.5)
    return y + TAG


def draw_tie_tag(sheet: Sheet, x: float, y: float, tag: str, high: float = 30.0) -> float:
    """What has a hole hangs on steel. Gives back the right edge."""
    words = fit(tag, 220, (high * 0.9, 22, 18, 15, 12, 10), weight=800, what="The tag")
    wide = words.width + high * 0.75
    sheet.rounded(x + 0.8, y, wide, high, radius=3, pen=1.6)
    sheet.circle(x + high * 0.32, y + high / 2, high * 0.11, pen=1.4)
    baseline = y + high / 2 + words.size * fonts.CAPITAL / 2
    sheet.text(x + high * 0.56, baseline, words.lines[0], words.size, weight=800)
    return x + wide


def _zero(sheet: Sheet, x: float, y: float, room: float, content: TicketContent) -> None:
    """Which end the tape hooks on, on one line if it goes, and what is done to the ends."""
    words = f"ZERO = {content.zero_words}"
    one = fonts.width(fonts.checked(fonts.clean(words), 800), 800, 11) <= room
    sizes, top = ((15, 13.5, 12, 11), 8.0) if one else ((10.5, 9.5, 8.5, 7.5), 4.0)
    zero = fit(words, room, sizes, weight=800, lines=1 if one else 2, what="Zero's end")
    below = sheet.block(x, y + top, zero) + 4.5
    sheet.block(x, below, fit(content.zero_more, room, (11, 10, 9, 8) if one else (9, 8), what="Threads"))


def _cut(sheet: Sheet, y: float, content: TicketContent) -> float:
    """CUT and its number, which end is zero, threads, and what else the saw must know."""
    baseline = y + 4 + CUT_SIZE * fonts.CAPITAL
    wide = sheet.text(0, baseline, "CUT", CUT_WORD, weight=800)
    number = figure(content.cut)
    draw_figure(sheet, wide + 10, baseline, number, CUT_SIZE)
    x = wide + 10 + figure_width(number, CUT_SIZE) + 14
    more = [fit(words, 120, (11, 10, 9, 8), what="What the saw must know") for words in content.cut_more]
    for line, block in enumerate(more[:2]):
        sheet.block(sheet.width, y + 8 + 14 * line, block, anchor="end")
    room = sheet.width - x - 8 - max((block.width for block in more), default=0)
    _zero(sheet, x, y, room, content)
    sheet.line(0, y + CUT, sheet.width, y + CUT, 1.5)
    return y + CUT
