"""A piece's label: a wrap lies along the tube with a code at either side, a flag folds in its middle."""

from collections.abc import Sequence

from bending.drawing import shape_icon
from bending.drawing.clock import star
from shop.jobs.codes import printed
from shop.tickets import fonts
from shop.tickets.canvas import INK, LEADING, WHITE, Block, Paper, Point, Sheet, fit, wrapped
from shop.tickets.content import LabelContent
from shop.tickets.drawing.code import draw_on_grid, quiet_dots, symbol_dots
from shop.tickets.drawing.picture import draw_picture
from shop.tickets.faults import NotPrinted
from shop.tickets.qr import Symbol, symbol
from shop.tickets.specs import LabelStock

FACE = "THIS FACE OUT"
# A flag's words stand in a narrow column; under the last size nobody reads them.
FLAG_SIZES = (7.0, 6.6, 6.2, 5.8, 5.4, 5.0)
NARROW = 0.86
CODE_SIZES = (9, 8.5, 8, 7.5, 7, 6.5, 6)


def draw_label(paper: Paper, stock: LabelStock, content: LabelContent) -> None:
    """One label as one page of the label's size."""
    sheet, found = paper.sheet(stock), symbol(content.printed.text)
    if stock.flag:
        _flag(sheet, stock, content, found)
    else:
        _wrap(sheet, stock, content, found)


def _tag(content: LabelContent) -> str:
    return f"{content.tag} {content.remake}".strip()


def _revision(content: LabelContent) -> str:
    return f"REV {content.revision}"


def _band(sheet: Sheet, left: float, width: float, high: float, content: LabelContent) -> None:
    """The size on its colour, what is loud in black blocks, the revision; a line under it for a black printer."""
    ink, pad = content.size.on_it, high * 0.22
    sheet.rect(left, 0, width, high, fill=content.size.colour)
    sheet.rect(left, high - max(high * 0.05, 0.7), width, max(high * 0.05, 0.7), fill=INK)
    revision = fit(_revision(content), width / 3, (high * 0.46, high * 0.38), weight=800, what="The revision")
    right, middle = left + width - pad, high / 2
    sheet.text(
        right, middle + revision.size * 0.36, revision.lines[0], revision.size, weight=800, anchor="end", colour=ink
    )
    right -= revision.width + pad
    if content.remake:
        right = _block(sheet, right, high, "REMAKE", ink) - pad
    room = right - left - pad
    size = fit(
        content.size.words, room, (high * 0.66, high * 0.56, high * 0.46, high * 0.36), weight=800, what="The size"
    )
    sheet.text(left + pad, middle + size.size * 0.36, size.lines[0], size.size, weight=800, colour=ink)


def _block(sheet: Sheet, right: float, high: float, words: str, ground: str) -> float:
    """A block that stands out of the band in one-bit black: black on a light one, white on a dark one."""
    letters = WHITE if ground == INK else INK
    size = high * 0.4
    wide = fonts.width(words, 800, size) + size * 0.7
    sheet.rect(right - wide, high * 0.18, wide, high * 0.6, fill=ground)
    sheet.text(right - wide / 2, high * 0.48 + size * 0.36, words, size, weight=800, anchor="middle", colour=letters)
    return right - wide


def _wrap(sheet: Sheet, stock: LabelStock, content: LabelContent, found: Symbol) -> None:
    """Codes on the middle line, where a tube is flattest; between them what is read first."""
    dots, quiet, side = stock.dots_per_inch, quiet_dots(stock), symbol_dots(stock, found)
    band = round(min(0.41, 0.21 * stock.height_in) * dots)
    _band(sheet, 0, sheet.width, band * stock.dot, content)
    edge = quiet + 3
    top = max(band + quiet, (round(stock.height_in * dots) - side) // 2 - round(0.09 * dots))
    rule = (top + side + quiet) * stock.dot + 8
    for left in (edge, round(stock.width_in * dots) - edge - side):
        draw_on_grid(sheet, stock, found, (left, top), band)
        centre = (left + side / 2) * stock.dot
        code = fit(printed(content.printed.code), (side + 2 * quiet - 6) * stock.dot, CODE_SIZES, weight=800)
        sheet.text(centre, rule - 3.2, code.lines[0], code.size, weight=800, anchor="middle")
    inner = (edge + side + quiet) * stock.dot
    _middle(sheet, (inner, band * stock.dot), (sheet.width - 2 * inner, rule - 3), content)
    _ends(sheet, rule, content)


def _middle(sheet: Sheet, at: Point, to: Point, content: LabelContent) -> None:
    """Tag as large as it goes, which copy, the shape; `to` is the width and the bottom."""
    (x, y), (width, bottom) = at, to
    high = (bottom - y) / 72
    sizes = [size * high for size in (40, 34, 28, 22, 17, 13, 10)]
    tag = fit(_tag(content), width, sizes, weight=800, lines=2, what="The tag")
    below = sheet.block(x + width / 2, y + 4 * high, tag, anchor="middle")
    said = ", ".join(filter(None, (content.copy, content.part)))
    copy = fit(said, width, (12, 11, 10, 9, 8), weight=600, what="The copy")
    below = sheet.block(x + width / 2, below + 4.5, copy, anchor="middle") + 4
    room = bottom - below
    if room >= 7:
        draw_picture(sheet, x + 8, below, shape_icon(content.layout, room, "paper", width=width - 16))


def _ends(sheet: Sheet, y: float, content: LabelContent) -> None:
    """A end and B end by place name, job and place, overall, bundle, and which face is out."""
    pad, half = 8.0, sheet.width / 2
    sheet.line(pad, y, sheet.width - pad, y, 0.75)
    rest = sheet.height - y
    for left, letter, words in ((pad, "A", content.a_end), (half + 4, "B", content.b_end)):
        wide = sheet.text(left, y + 10.5, letter, 10.5, weight=800) + 5
        block = _short(words, half - pad - 4 - wide, f"{letter} end")
        sheet.block(left + wide, y + 3 + max(0, 7.5 - block.height) / 2, block)
    overall = fit(
        " · ".join(filter(None, (content.overall, content.bundle))), 130, (10, 9, 8, 7), what="The overall length"
    )
    sheet.text(sheet.width - pad, y + rest * 0.62, overall.lines[0], overall.size, anchor="end")
    place = _short(f"{content.job}, {content.place}", sheet.width - 3 * pad - overall.width, "The place")
    sheet.block(pad, y + rest * 0.62 - place.size * fonts.CAPITAL, place)
    _face(sheet, content)


def _short(words: str, width: float, what: str) -> Block:
    """One line, or two small ones rather than none."""
    one = fonts.checked(fonts.clean(words), 400)
    for size in (10.5, 9.5, 8.5, 7.5):
        if wrapped(one, width, 400, size) == [one]:
            return Block((one,), size, 400)
    return fit(words, width, (6.8, 6.2, 5.6, 5), lines=2, squeeze=NARROW, what=what)


def _face(sheet: Sheet, content: LabelContent) -> None:
    """The last line: the face, and what must hit."""
    size, baseline, middle = 7.6, sheet.height - 4.2, sheet.width / 2
    said = [FACE]
    wide = fonts.width(FACE, 800, size)
    if content.critical:
        extra = fit(content.critical, 90, (7.6, 7, 6.4, 5.8), weight=600, what="The must-hit dimension")
        right = sheet.width - 8
        sheet.text(right, baseline, extra.lines[0], extra.size, weight=600, anchor="end")
        sheet.path(star(right - extra.width - 6, baseline - 2.6, 3.6), closed=True, fill=INK)
        sheet.line(middle + wide / 2 + 6, baseline - 2.7, right - extra.width - 13, baseline - 2.7, 1.5)
    else:
        sheet.line(middle + wide / 2 + 6, baseline - 2.7, sheet.width - 8, baseline - 2.7, 1.5)
    sheet.line(8, baseline - 2.7, middle - wide / 2 - 6, baseline - 2.7, 1.5)
    sheet.text(middle, baseline, said[0], size, weight=800, anchor="middle")


def _flag(sheet: Sheet, stock: LabelStock, content: LabelContent, found: Symbol) -> None:
    """Face 1 says which piece, face 2 where it goes; a code on each."""
    dots, quiet, side = stock.dots_per_inch, quiet_dots(stock), symbol_dots(stock, found)
    face, high = round(stock.width_in * dots / 2), round(stock.height_in * dots)
    band = round(0.185 * stock.height_in * dots)
    top = max(band + quiet, (high + band - side) // 2)
    for number in (0, 1):
        left = number * face * stock.dot
        _band(sheet, left, face * stock.dot, band * stock.dot, content)
        draw_on_grid(sheet, stock, found, ((number + 1) * face - quiet - side, top), band)
        width = (face - 2 * quiet - side) * stock.dot - 3.5
        words = _face_one if number == 0 else _face_two
        words(sheet, left + 4, band * stock.dot + 2.5, width, content)


def _face_one(sheet: Sheet, x: float, y: float, width: float, content: LabelContent) -> None:
    plain = fonts.checked(fonts.clean(_tag(content)), 800)
    one = fonts.width(plain, 800, 10, NARROW) <= width
    sizes, lines = ((18, 15, 13, 11.5, 10), 1) if one else ((11, 9.5, 8, 7, 6), 2)
    tag = fit(plain, width, sizes, weight=800, lines=lines, squeeze=NARROW, what="The tag")
    below = sheet.block(x, y + 1, tag) + 3
    said = fit(content.copy, width, FLAG_SIZES, weight=600, squeeze=NARROW, what="The copy")
    below = sheet.block(x, below, said) + 2.5
    if content.part:
        part = fit(content.part, width, FLAG_SIZES, weight=600, squeeze=NARROW, what="The part")
        below = sheet.block(x, below, part) + 2.5
    room = sheet.height - 11 - below
    if room >= 6:
        draw_picture(sheet, x, below, shape_icon(content.layout, min(room, 24), "paper", width=width))
    face = fit(FACE, width, FLAG_SIZES, weight=800, squeeze=NARROW, what="The face")
    sheet.text(x, sheet.height - 3, face.lines[0], face.size, weight=800, squeeze=NARROW)


def _face_two(sheet: Sheet, x: float, y: float, width: float, content: LabelContent) -> None:
    """Lines in one column at the largest size at which all of them go. Refused: `too_long`."""
    lines = [
        (content.job, 800), (content.place, 400), (f"A {content.a_end}", 600), (f"B {content.b_end}", 600),
        (" · ".join(filter(None, (content.overall, content.bundle))), 400), (printed(content.printed.code), 800),
    ]  # fmt: skip
    for size in FLAG_SIZES:
        if _column(sheet, (x, y), width, lines, size):
            return
    raise NotPrinted("too_long", f"{content.tag}: the places are too long for a flag label.", what="The places")


def _column(sheet: Sheet, at: Point, width: float, lines: Sequence[tuple[str, int]], size: float) -> bool:
    """Draws the lines if they fit at this size."""
    x, y = at
    broken = []
    for words, weight in lines:
        found = wrapped(fonts.checked(fonts.clean(words), weight), width, weight, size, NARROW)
        if found is None:
            return False
        broken += [(line, weight) for line in found]
    if y + size * (fonts.CAPITAL + LEADING * (len(broken) - 1)) > sheet.height - 2.5:
        return False
    for number, (line, weight) in enumerate(broken):
        baseline = y + size * (fonts.CAPITAL + LEADING * number)
        sheet.text(x, baseline, line, size, weight=weight, squeeze=NARROW)
    return True
