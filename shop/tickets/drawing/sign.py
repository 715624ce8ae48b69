"""A place's sign, read from ten feet: its own words, its code, and what to do there."""

from collections.abc import Sequence

from shop.jobs.codes import printed
from shop.tickets import fonts
from shop.tickets.canvas import INK, SECOND, WHITE, Block, Paper, Sheet, fit, wrapped
from shop.tickets.content import SignContent
from shop.tickets.drawing.code import draw_symbol
from shop.tickets.drawing.ruler import HEIGHT, draw_ruler
from shop.tickets.qr import symbol
from shop.tickets.specs import QUIET_MODULES, PageStock

FRAME = 10.0
LOWER = 390.0  # where the lower half begins
CODE = 250.0
LARGE = (150, 130, 112, 96, 82, 70, 60, 50, 42, 34, 28)


def draw_sign(paper: Paper, stock: PageStock, content: SignContent) -> None:
    """One page."""
    sheet = paper.sheet(stock)
    edge = FRAME / 2
    low = sheet.height - HEIGHT - 6
    sheet.rect(edge, edge, sheet.width - FRAME, low - FRAME, stroke=FRAME)
    sheet.line(FRAME, LOWER, sheet.width - FRAME, LOWER, 4)
    _names(sheet, content)
    _code(sheet, content)
    _steps(sheet, content)
    said = f"place sign, print {content.printed.number}, {content.printed.at}. {content.note_more}"
    line = fit(said, sheet.width - 40, (9, 8, 7), what="The print")
    sheet.text(sheet.width / 2, low - FRAME - 8, line.lines[0], line.size, anchor="middle", colour=SECOND)
    draw_ruler(sheet, 0, sheet.height - HEIGHT)


def _names(sheet: Sheet, content: SignContent) -> None:
    """The job small, what the place lies in larger, the place itself as large as it goes."""
    room, middle = sheet.width - 2 * FRAME - 40, sheet.width / 2
    job = fit(content.job, room, (36, 30, 26, 22, 18, 15), weight=800, lines=2, what="The job")
    y = sheet.block(middle, FRAME + 26, job, anchor="middle") + 24
    above = ", ".join(content.above)
    free = LOWER - 24 - y
    if above:
        block = fit(above, room, (56, 46, 38, 32, 26, 21, 17), weight=800, lines=2, what="What the place lies in")
        y = sheet.block(middle, y, block, anchor="middle") + 26
        free = LOWER - 24 - y
    sizes = [size for size in LARGE if size * 0.72 <= free]
    twice = [size for size in LARGE if size * 1.9 <= free]
    name = _largest(content.name, room, sizes, twice)
    sheet.block(middle, y + max(free - name.height, 0) / 2, name, anchor="middle")


def _largest(words: str, room: float, once: Sequence[float], twice: Sequence[float]) -> Block:
    """On one line or on two, whichever stands larger."""
    plain = fonts.checked(fonts.clean(words), 800)
    one = next((size for size in once if wrapped(plain, room, 800, size) == [plain]), 0.0)
    if one and (not twice or one >= twice[0]):
        return Block((plain,), one, 800)
    two = [size for size in twice if size > one]
    if one and not any(len(wrapped(plain, room, 800, size) or "...") <= 2 for size in two):
        return Block((plain,), one, 800)
    return fit(words, room, two or twice, weight=800, lines=2, what="The place's name")


def _code(sheet: Sheet, content: SignContent) -> None:
    """The symbol with its quiet zone, and the code in letters."""
    found = symbol(content.printed.text)
    module = CODE / (found.modules + 2 * QUIET_MODULES)
    left, top = FRAME + 14, LOWER + 22
    draw_symbol(sheet, left + QUIET_MODULES * module, top + QUIET_MODULES * module, found, module)
    sheet.text(left + CODE / 2, top + CODE + 14, printed(content.printed.code), 26, weight=800, anchor="middle")


def _steps(sheet: Sheet, content: SignContent) -> None:
    """Numbered discs and a sentence each; under them what is meant for here."""
    x, y = FRAME + CODE + 36, LOWER + 34
    room = sheet.width - FRAME - 16 - x - 34
    for number, words in enumerate(content.steps, 1):
        sheet.circle(x + 12, y + 12, 14, fill=INK)
        sheet.text(x + 12, y + 19.5, str(number), 21, weight=800, anchor="middle", colour=WHITE)
        block = fit(words, room, (19, 17, 15, 13), weight=600, lines=3, what="A step")
        y = max(sheet.block(x + 36, y + 4, block) + 26, y + 58)
    if content.note:
        block = fit(content.note, room + 34, (18, 16, 14, 12), weight=800, lines=2, what="The note")
        sheet.block(x, y + 10, block)
