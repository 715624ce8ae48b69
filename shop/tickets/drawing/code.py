"""A QR symbol on a sheet, every module a whole number of printer dots, on the printer's own grid."""

from shop.tickets.canvas import Sheet
from shop.tickets.faults import NotPrinted
from shop.tickets.qr import Symbol
from shop.tickets.specs import QUIET_MODULES, LabelStock


def draw_symbol(sheet: Sheet, x: float, y: float, found: Symbol, module: float) -> None:
    """The dark modules with their top left corner at (x, y); the quiet zone is the caller's to keep."""
    sheet.rects((x + cx * module, y + cy * module, wide * module, high * module) for cx, cy, wide, high in found.runs)


def symbol_dots(stock: LabelStock, found: Symbol) -> int:
    """Side of the symbol alone, in printer dots."""
    return found.modules * stock.dots_per_module


def quiet_dots(stock: LabelStock) -> int:
    return QUIET_MODULES * stock.dots_per_module


def draw_on_grid(sheet: Sheet, stock: LabelStock, found: Symbol, at: tuple[int, int], floor: int) -> None:
    """A symbol at whole dots `at` (left, top), `floor` being where the free part begins. Refused: `code_too_large`."""
    left, top = at
    side, quiet = symbol_dots(stock, found), quiet_dots(stock)
    wide, high = round(stock.width_in * stock.dots_per_inch), round(stock.height_in * stock.dots_per_inch)
    free = left >= quiet and top - quiet >= floor and left + side + quiet <= wide and top + side + quiet <= high
    if not free:
        raise NotPrinted(
            "code_too_large",
            f"The code needs {side + 2 * quiet} dots a side with its quiet zone, more than {stock.name} has: "
            "use a shorter address or a larger label.",
            dots=side + 2 * quiet,
        )
    draw_symbol(sheet, left * stock.dot, top * stock.dot, found, stock.dots_per_module * stock.dot)
