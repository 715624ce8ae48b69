"""The finished shape on a ticket: the largest two square views that the room allows."""

from collections.abc import Iterator, Sequence
from typing import Any

from bending.drawing import Drawing, shape_views, stick
from shop.tickets.canvas import Sheet
from shop.tickets.content import TicketContent
from shop.tickets.drawing.picture import draw_picture
from shop.tickets.faults import NotPrinted
from shop.tickets.figures import READABLE_SIZE

# Heights that the first view may have, largest first; below the last one a bend can't be told from a kink.
HEIGHTS = (230.0, 180.0, 145.0, 115.0, 90.0, 70.0, 52.0, 38.0, 26.0)
# The drawing guesses how wide words come out; this much it may be wrong at either side.
MARGIN = 8.0
# Dimensions that stay when a page is short of room.
FEWEST = 2


def draw_stick(sheet: Sheet, y: float, content: TicketContent) -> float:
    """The straight stick with its marks, zero at the left; gives back the bottom."""
    picture = stick_picture(sheet.width, content)
    draw_picture(sheet, 0, y, picture)
    sheet.line(0, y + picture.height, sheet.width, y + picture.height, 0.75)
    return y + picture.height


def stick_picture(width: float, content: TicketContent) -> Drawing:
    picture = stick(content.layout, content.piece, width=width, text=READABLE_SIZE, medium="paper")
    if picture.width > width + 0.5:
        words = f"{content.tag} has more marks than a ticket can show: {len(content.bends)}."
        raise NotPrinted("too_long", words, what="The stick")
    return picture


def fitting_views(content: TicketContent, width: float, room: float) -> tuple[Drawing, ...] | None:
    """The views at the largest scale at which they need no more than `room`; None if there is none.

    Where all dimensions have no room, those stay that are written down as checked, then the first two of these.
    """
    checked = [check.place for check in content.checks]
    for only in (None, checked, checked[:FEWEST]):
        for views in _attempts(content, width, room, only):
            if sum(view.height for view in views) <= room:
                return views
    return None


def _attempts(
    content: TicketContent, width: float, room: float, only: Sequence[str] | None
) -> Iterator[tuple[Drawing, ...]]:
    """Smaller and smaller; what even the smallest can't do isn't tried further."""
    wishes: dict[str, Any] = {
        "width": width - 2 * MARGIN,
        "text": READABLE_SIZE,
        "medium": "paper",
        "tape": content.tape,
        "tolerances": content.tolerances,
        "stars": [check.place for check in content.checks if check.star],
        "piece": content.piece,
        "only": only,
    }
    # The ends' places stand under ON IT: here the document would only write them a second time.
    document = {**content.document, "start": {}, "end": {}}
    yield shape_views(content.layout, document, most_height=HEIGHTS[0], **wishes)
    smallest = shape_views(content.layout, document, most_height=HEIGHTS[-1], **wishes)
    if sum(view.height for view in smallest) > room:
        return
    for height in HEIGHTS[1:-1]:
        yield shape_views(content.layout, document, most_height=height, **wishes)
    yield smallest


def draw_views(sheet: Sheet, y: float, views: tuple[Drawing, ...]) -> float:
    """The views under each other; gives back the bottom."""
    for view in views:
        draw_picture(sheet, MARGIN, y, view)
        y += view.height
    return y
