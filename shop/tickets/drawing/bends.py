"""The bend rows of a ticket: mark, hook, the line in the shoe, angle, and what to check before the next bend."""

from collections.abc import Mapping, Sequence

from bending.drawing import Drawing, hook_sign, mark_sign, shoe_clock
from shop.tickets import fonts
from shop.tickets.canvas import Sheet, fit, wrapped
from shop.tickets.content import BendRow
from shop.tickets.drawing.picture import draw_picture
from shop.tickets.figures import READABLE_SIZE, draw_figure, figure

# Rows stand apart where the page allows it.
HEADER, WIDE_ROW, ROW = 12.0, 27.0, 23.4
DIGITS = READABLE_SIZE
SHOE_SIZE = 21.0
SHADE = "#E6E6E6"
CONDENSED = 0.86
# Left edges of the columns; the mark ends at MARK.
STEP, MARK, SIGN, WORD, HOOK, HOOK_WORD, SHOE, CLOCK, ANGLE, GO_TO, CHECK = (
    0.0, 131.0, 139.0, 158.0, 191.0, 211.0, 239.0, 330.0, 357.0, 427.0, 460.0,
)  # fmt: skip


def rows_height(count: int, pitch: float) -> float:
    return HEADER + pitch * count if count else 0.0


def draw_rows(sheet: Sheet, y: float, bends: Sequence[BendRow], names: Mapping[str, str], pitch: float) -> float:
    """The head and one row a bend, `pitch` high; `names` are the shop's own of the marks. Gives back the bottom."""
    if not bends:
        return y
    _header(sheet, y)
    y += HEADER
    for place, bend in enumerate(bends):
        if place % 2 == 0:
            sheet.rect(0, y, sheet.width, pitch, fill=SHADE)
        _row(sheet, y + (pitch - ROW) / 2, bend, names)
        y += pitch
        sheet.line(0, y, sheet.width, y, 0.75)
    return y


def _header(sheet: Sheet, y: float) -> None:
    baseline = y + HEADER - 3.5
    heads = (
        (STEP, "#"), (SIGN, "on the"), (HOOK, "hook to"), (SHOE, "IN THE SHOE"), (ANGLE, "bend past, let go, check"),
        (CHECK, "then check"),
    )  # fmt: skip
    for x, words in heads:
        sheet.text(x, baseline, words, 8.5, weight=600)
    sheet.text(MARK, baseline, "mark, from zero", 8.5, weight=600, anchor="end")
    sheet.line(0, y + HEADER, sheet.width, y + HEADER, 0.75)


def _row(sheet: Sheet, y: float, bend: BendRow, names: Mapping[str, str]) -> None:
    baseline = y + ROW - 1.8
    small = baseline - 4.5
    sheet.text(STEP, baseline, str(bend.step), 21, weight=800)
    draw_figure(sheet, MARK, baseline, figure(bend.mark_at), DIGITS, anchor="end")
    _mark(sheet, bend, names, small)
    _hook(sheet, bend, small)
    _shoe(sheet, bend, y)
    clock = shoe_clock(bend.roll, bend.hook, bend.said_from, size=ROW - 2, medium="paper")
    draw_picture(sheet, CLOCK, y + 1, clock)
    draw_figure(sheet, ANGLE, baseline, figure(f"{bend.angle:g}°"), DIGITS)
    _go_to(sheet, bend, y)
    if bend.check:
        _check(sheet, bend.check, y)


def _check(sheet: Sheet, words: str, y: float) -> None:
    """Read once and near: a line as large as it goes, else two smaller ones."""
    room, plain = sheet.width - CHECK, fonts.checked(fonts.clean(words), 600)
    for size in (12.5, 11.5):
        if wrapped(plain, room, 600, size, CONDENSED) == [plain]:
            sheet.text(CHECK, y + ROW / 2 + size * 0.36, plain, size, weight=600, squeeze=CONDENSED)
            return
    block = fit(words, room, (11, 10.5, 10, 9.5), weight=600, lines=2, squeeze=CONDENSED, what="A running check")
    for number, line in enumerate(block.lines):
        baseline = y + ROW / 2 - 1.8 + number * block.size * 1.02
        sheet.text(CHECK, baseline, line, block.size, weight=600, squeeze=CONDENSED)


def _mark(sheet: Sheet, bend: BendRow, names: Mapping[str, str], baseline: float) -> None:
    """The mark's own shape and its word; the flag flies to the side where the bend lies."""
    right = bend.toward_zero
    stem = 9 if bend.mark != "arrow" else 3 if right else 17
    size, baseline = (12.5, baseline - 4) if bend.measured_from else (16.0, baseline)
    sign = mark_sign(bend.mark, right, (SIGN + stem, baseline + 2), size)
    draw_picture(sheet, 0, 0, Drawing(0, 0, sign, "paper"))
    name = fit(names.get(bend.mark, bend.mark), HOOK - WORD - 4, (11, 10, 9, 8), what="The mark's name")
    sheet.block(WORD, baseline - name.size * fonts.CAPITAL, name)
    if bend.measured_from:
        source = fit(f"from {bend.measured_from}", HOOK - SIGN - 2, (8, 7.5, 7, 6.5), squeeze=CONDENSED)
        sheet.block(SIGN, baseline + 3.6, source)


def _hook(sheet: Sheet, bend: BendRow, baseline: float) -> None:
    if bend.hook == "none":
        sheet.text(HOOK, baseline, "no hook", 11)
        return
    sign = hook_sign(bend.toward_zero, (HOOK, baseline - 4), 17)
    draw_picture(sheet, 0, 0, Drawing(0, 0, sign, "paper"))
    sheet.text(HOOK_WORD, baseline, "zero" if bend.toward_zero else "far", 11)


def _shoe(sheet: Sheet, bend: BendRow, y: float) -> None:
    """One word for the four lines; an odd roll says how far from which line, toward which."""
    room = CLOCK - SHOE - 4
    if not bend.shoe_more:
        word = fit(bend.shoe, room, (SHOE_SIZE, 18, 16), weight=800, what="The line in the shoe")
        sheet.block(SHOE, y + (ROW - word.height) / 2, word)
        return
    for words, top in ((bend.shoe, y + 2.5), (bend.shoe_more, y + 13.5)):
        line = fit(words, room, (12.5, 11.5, 10.5, 9.5), weight=800, squeeze=CONDENSED, what="The line in the shoe")
        sheet.block(SHOE, top, line)


def _go_to(sheet: Sheet, bend: BendRow, y: float) -> None:
    """The reading past the angle, small: only for who has a dial or a scale."""
    if bend.go_to is None:
        return
    sheet.text(GO_TO, y + 10.5, "(go to", 9)
    wide = draw_figure(sheet, GO_TO, y + 21, figure(f"{bend.go_to:g}°"), 10, weight=600)
    sheet.text(GO_TO + wide + 1, y + 21, ")", 9)
