"""The finished shape on a ticket: the largest two square views that the room allows."""

from collections.abc import Iterator
from typing import Any

from bending.drawing import Drawing, shape_views, stick
from shop.tickets.canvas import Sheet
from shop.tickets.content import TicketContent
from shop.tickets.drawing.picture import draw_picture
from shop.tickets.figures import READABLE_SIZE

# Heights that the first view may have, largest first; below the last one a bend can't be told from a kink.
# The drawing guesses how wide words come out; this much it may be wrong at either side.
MARGIN = 8.0
HEIGHTS = (230.0, 180.0, 145.0, 115.0, 90.0, 70.0, 52.0, 38.0, 26.0)


def draw_stick(sheet: Sheet, y: float, content: TicketContent) -> float:
    """The straight stick with its marks, zero at the left; gives back the bottom."""
    picture = stick_picture(sheet.width, content)
    draw_picture(sheet, 0, y, picture)
    sheet.line(0, y + picture.height, sheet.width, y + picture.height, 0.75)
    return y + picture.height


def stick_picture(width: float, content: TicketContent) -> Drawing:
    return stick(content.layout, content.piece, width=width, text=READABLE_SIZE, medium="paper")


def fitting_views(content: TicketContent, width: float, room: float) -> tuple[Drawing, ...] | None:
    """The views at the largest scale at which they need no more than `room`; None if there is none."""
    for views in _attempts(content, width):
        if sum(view.height for view in views) <= room:
            return views
    return None


def smallest_views(content: TicketContent, width: float) -> float:
    """How much room the views need at least."""
    return min(sum(view.height for view in views) for views in _attempts(content, width))


def _attempts(content: TicketContent, width: float) -> Iterator[tuple[Drawing, ...]]:
    wishes: dict[str, Any] = {
        "width": width - 2 * MARGIN,
        "text": READABLE_SIZE,
        "medium": "paper",
        "tape": content.tape,
        "tolerances": content.tolerances,
        "stars": [check.place for check in content.checks if check.star],
        "piece": content.piece,
    }
    # The ends' places stand under ON IT: here the document would only write them a second time.
    obstructed = {**content.document, "start": {}, "end": {}}
    for height in HEIGHTS:
        yield shape_views(content.layout, obstructed, most_height=height, **wishes)


def draw_views(sheet: Sheet, y: float, views: tuple[Drawing, ...]) -> float:
    """The views under each other; gives back the bottom."""
    for view in views:
        draw_picture(sheet, MARGIN, y, view)
        y += view.height
    return y
