"""The bench ticket: one front page, a second one for what has no room, and the book's marks on the back."""

from dataclasses import dataclass

from bending.drawing import Drawing
from shop.tickets.canvas import Paper, Sheet
from shop.tickets.content import BendRow, TicketContent
from shop.tickets.drawing.bends import HEADER, ROW, WIDE_ROW, draw_rows, rows_height
from shop.tickets.drawing.book import draw_book
from shop.tickets.drawing.foot import CHECKS, draw_checks, draw_fittings, draw_foot, fittings_height, foot_height
from shop.tickets.drawing.head import BAND, CUT, TAG, draw_band, draw_head, draw_tag
from shop.tickets.drawing.shape import draw_stick, draw_views, fitting_views, stick_picture
from shop.tickets.faults import NotPrinted
from shop.tickets.specs import LIVE_HEIGHT, LIVE_WIDTH, PageStock

AIR, GOES_ON = 2.0, 18.0


def draw_ticket(paper: Paper, stock: PageStock, content: TicketContent) -> int:
    """Draws a ticket's pages on the paper; gives back how many."""
    pages = _pages(content)
    for number, page in enumerate(pages, 1):
        said = f" Page {number} of {len(pages)}." if len(pages) > 1 else ""
        _front(paper.sheet(stock), content, page, first=number == 1, said=said)
    draw_book(paper.sheet(stock), content)
    return len(pages) + 1


@dataclass(frozen=True)
class Page:
    """What stands on one front page: rows, how high each is, and the picture with all that comes under it."""

    bends: tuple[BendRow, ...]
    pitch: float
    views: tuple[Drawing, ...] | None


def _pages(content: TicketContent) -> list[Page]:
    """Roomy rows if all goes on one page with them, else tight ones."""
    roomy = _plan(content, WIDE_ROW)
    return roomy if len(roomy) == 1 else _plan(content, ROW)


def _plan(content: TicketContent, pitch: float) -> list[Page]:
    """All on one page if it goes; else the rows first, and the picture with what rows are left on the next ones."""
    used = BAND + TAG + CUT + stick_picture(LIVE_WIDTH, content).height
    foot = foot_height(content) + AIR
    under = CHECKS + fittings_height(content) + foot + AIR
    rest, pages = content.bends, list[Page]()
    while True:
        room = LIVE_HEIGHT - used - rows_height(len(rest), pitch) - under
        views = fitting_views(content, LIVE_WIDTH, room) if room > 0 else None
        if views is not None:
            return [*pages, Page(rest, pitch, views)]
        most = int((LIVE_HEIGHT - used - foot - HEADER - GOES_ON) / pitch)
        if pages and most >= len(rest):
            raise NotPrinted("too_long", f"{content.tag}: the picture doesn't fit on a page.", what="The picture")
        pages.append(Page(rest[:most], pitch, None))
        rest, used = rest[most:], BAND + TAG


def _front(sheet: Sheet, content: TicketContent, page: Page, *, first: bool, said: str) -> None:
    if first:
        y = draw_stick(sheet, draw_head(sheet, content), content)
    else:
        y = draw_tag(sheet, draw_band(sheet, content), content)
    y = draw_rows(sheet, y, page.bends, content.names, page.pitch)
    draw_foot(sheet, content, said)
    if page.views is None:
        sheet.text(0, y + 14, "Goes on: the next page has the rest, the finished shape and the checks.", 11, weight=600)
        return
    low = sheet.height - foot_height(content) - AIR - CHECKS - fittings_height(content)
    draw_views(sheet, y + AIR, page.views)
    draw_fittings(sheet, draw_checks(sheet, low, content), content)
