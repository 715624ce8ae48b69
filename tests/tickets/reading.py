"""Reading PDFs back with libraries that didn't make them."""

from functools import lru_cache
from io import BytesIO
from typing import Any

import pdfplumber
import pypdfium2
import zxingcpp
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from PIL import Image

from shop.tickets import fonts

Char = dict[str, Any]


class Pages:
    """A PDF's pages: characters with their places in pt from the top left, words, pictures."""

    def __init__(self, pdf: bytes) -> None:
        self.pdf = pdf
        self.pages = pdfplumber.open(BytesIO(pdf)).pages

    def chars(self, number: int = 0) -> list[Char]:
        return [char for char in self.pages[number].chars if char["text"].strip()]

    def text(self, number: int = 0) -> str:
        return str(self.pages[number].extract_text())

    def words(self, number: int = 0) -> list[Char]:
        return list(self.pages[number].extract_words(extra_attrs=["fontname", "size"]))

    def word(self, text: str, number: int = 0) -> Char:
        return next(word for word in self.words(number) if word["text"] == text)

    def picture(self, number: int = 0, dpi: int = 203, one_bit: bool = True) -> Image.Image:
        """The page as a printer of that many dots would have it; one bit: black or white, nothing between."""
        grey = pypdfium2.PdfDocument(self.pdf)[number].render(scale=dpi / 72).to_pil().convert("L")
        return grey.point(lambda value: 255 * (value > 127)) if one_bit else grey

    def codes(self, number: int = 0, dpi: int = 203) -> list[str]:
        """What a decoder that isn't ours reads on the page."""
        picture = self.picture(number, dpi)
        return [found.text for found in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)]


@lru_cache
def _type_file(weight: str) -> TTFont:
    return TTFont(fonts.folder() / f"racewright-{weight}.ttf")


@lru_cache
def glyph(weight: str, sign: str) -> tuple[float, float]:
    """Bottom and top of a sign's outline as shares of the size, from the type file itself."""
    font = _type_file(weight)
    pen = BoundsPen(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(sign)]].draw(pen)
    return pen.bounds[1] / font["head"].unitsPerEm, pen.bounds[3] / font["head"].unitsPerEm


def weight_of(char: Char) -> str:
    return str(char["fontname"]).rsplit("-", 1)[-1]


def height_in(char: Char) -> float:
    """How high a printed sign is, inches."""
    low, high = glyph(weight_of(char), char["text"])
    return (high - low) * float(char["size"]) / 72


def digits(chars: list[Char], left: float = 0, right: float = 1e4, top: float = 0, bottom: float = 1e4) -> list[Char]:
    """The heavy digits inside a box."""
    return [
        char
        for char in chars
        if char["text"].isdigit()
        and weight_of(char) == "800"
        and left <= char["x0"] <= right
        and top <= char["top"] <= bottom
    ]
