"""A ruler on the sheet: whoever holds a tape to it knows whether the printer kept to 100 %."""

from shop.tickets.canvas import SECOND, Sheet, fit
from shop.tickets.specs import MM_PER_INCH, POINT

HEIGHT = 11.0


def draw_ruler(sheet: Sheet, x: float, y: float, inches: int = 5) -> float:
    """Inches above the line, centimetres below; gives back the bottom. `y` is its top."""
    middle, end = y + HEIGHT / 2, x + inches * POINT
    sheet.line(x, middle, end, middle, 0.5)
    for eighth in range(inches * 8 + 1):
        high = 4.5 if eighth % 8 == 0 else 2.6 if eighth % 4 == 0 else 1.4
        at = x + eighth * POINT / 8
        sheet.line(at, middle, at, middle - high, 0.5)
    for half_cm in range(int(inches * MM_PER_INCH / 5) + 1):
        at = x + half_cm * 5 / MM_PER_INCH * POINT
        sheet.line(at, middle, at, middle + (4.0 if half_cm % 2 == 0 else 2.0), 0.5)
    centimetres = int(inches * MM_PER_INCH / 10)
    words = f"{inches} in · {centimetres} cm. If a tape says no, print again at 100 %."
    block = fit(words, sheet.width - end - 8, (7.6, 7.2, 6.8), squeeze=0.9, what="The ruler")
    sheet.block(end + 8, middle - block.height / 2, block, colour=SECOND)
    return y + HEIGHT
