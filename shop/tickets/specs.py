"""Paper and labels as data: sizes, live area, printer dots. What can't carry a readable code is refused here."""

from dataclasses import dataclass
from math import isclose

from shop.tickets.faults import NotPrinted

POINT = 72.0  # to the inch
MM_PER_INCH = 25.4
# A symbol for a phone at arm's length on a dusty tube: common practice, 4 dots of a 203 dpi printer.
LEAST_MODULE_MM = 0.5
QUIET_MODULES = 4
# A code with its quiet zone wider than this share of the tube bends out of the camera's sight.
WIDEST_ON_TUBE = 0.9
LIVE_WIDTH, LIVE_HEIGHT = 7.5 * POINT, 10.4 * POINT


def _refuse(words: str, **limits: object) -> NotPrinted:
    return NotPrinted("bad_stock", words, **limits)


@dataclass(frozen=True)
class PageStock:
    """A sheet for tickets and signs; sizes in pt. The live area of 7.5 x 10.4 in stands in its middle."""

    name: str
    width: float
    height: float

    def __post_init__(self) -> None:
        if self.width < LIVE_WIDTH or self.height < LIVE_HEIGHT:
            raise _refuse(f"{self.name} is smaller than 7.5 by 10.4 in.", width=self.width, height=self.height)

    @property
    def live(self) -> tuple[float, float, float, float]:
        """Left, top, width, height of the live area, y down."""
        return (self.width - LIVE_WIDTH) / 2, (self.height - LIVE_HEIGHT) / 2, LIVE_WIDTH, LIVE_HEIGHT


@dataclass(frozen=True)
class LabelStock:
    """One label of a roll; sizes in inches. `flag` folds in the middle round a neck or tie, else it wraps a tube."""

    name: str
    width_in: float
    height_in: float
    flag: bool = False
    dots_per_inch: int = 203
    dots_per_module: int = 4

    def __post_init__(self) -> None:
        if not (1 <= self.width_in <= 12 and 0.75 <= self.height_in <= 12):
            raise _refuse(f"{self.name} is no label size: 1 to 12 in wide, 3/4 to 12 in high.")
        if self.dots_per_module < 1 or int(self.dots_per_module) != self.dots_per_module:
            raise _refuse(f"{self.name}: a module is a whole number of printer dots.")
        if self.module_mm < LEAST_MODULE_MM and not isclose(self.module_mm, LEAST_MODULE_MM):
            raise _refuse(f"{self.name}: a module of {self.module_mm:.2f} mm is under {LEAST_MODULE_MM} mm.")

    @property
    def width(self) -> float:
        return self.width_in * POINT

    @property
    def height(self) -> float:
        return self.height_in * POINT

    @property
    def dot(self) -> float:
        """One printer dot in pt."""
        return POINT / self.dots_per_inch

    @property
    def module_mm(self) -> float:
        return self.dots_per_module / self.dots_per_inch * MM_PER_INCH

    def symbol_in(self, modules: int) -> float:
        """Side of a symbol with its quiet zone, inches."""
        return (modules + 2 * QUIET_MODULES) * self.dots_per_module / self.dots_per_inch


PAGES = {
    "letter": PageStock("Letter", 8.5 * POINT, 11 * POINT),
    "a4": PageStock("A4", 210 / MM_PER_INCH * POINT, 297 / MM_PER_INCH * POINT),
}
LABELS = {
    "wrap-4x2": LabelStock("Wrap 4 x 2", 4, 2),
    "flag-3x1": LabelStock("Flag 3 x 1", 3, 1, flag=True),
}


def page_stock(name: str) -> PageStock:
    """A page by its name. Refused: `no_such_stock`."""
    if name not in PAGES:
        raise NotPrinted("no_such_stock", f"There is no paper “{name}”.", known=sorted(PAGES))
    return PAGES[name]


def label_stock(name: str) -> LabelStock:
    """A label by its name. Refused: `no_such_stock`."""
    if name not in LABELS:
        raise NotPrinted("no_such_stock", f"There is no label “{name}”.", known=sorted(LABELS))
    return LABELS[name]


def label_for(outside_diameter: float, modules: int) -> str:
    """The label that a tube of this diameter (in) can carry: a wrap whose code stays in sight, else a flag."""
    wrap = LABELS["wrap-4x2"]
    return "wrap-4x2" if wrap.symbol_in(modules) <= WIDEST_ON_TUBE * outside_diameter else "flag-3x1"
