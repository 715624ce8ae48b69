"""A code as the text of a QR symbol and back, and the symbol as few rectangles.

The address is in capitals, so that the symbol's denser alphanumeric mode takes it (ISO/IEC 18004).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import qrcode
from qrcode.constants import ERROR_CORRECT_H
from qrcode.util import MODE_ALPHA_NUM, QRData

from shop.jobs.codes import clean_code, is_code
from shop.tickets.faults import NotPrinted

ALPHANUMERIC = re.compile(r"[0-9A-Z $%*+\-./:]+")
IN_ADDRESS = re.compile(r"/Q/([^/?#]+)/?$", re.IGNORECASE)

Run = tuple[int, int, int, int]


def text_of(code: str, address: str) -> str:
    """HTTPS://HOST/Q/CODE for an address such as https://host. Refused: `address_not_plain`."""
    text = f"{address.rstrip('/')}/Q/{code}".upper()
    if not ALPHANUMERIC.fullmatch(text):
        raise NotPrinted("address_not_plain", f"{address} has signs that a label's code can't carry in short form.")
    return text


def code_in(scanned: str) -> str | None:
    """The code in a scanned address of any host, or in a bare code; None if there is none."""
    found = IN_ADDRESS.search(scanned.strip())
    code = clean_code(found[1] if found else scanned)
    return code if is_code(code) else None


@dataclass(frozen=True)
class Symbol:
    """A QR symbol: modules a side, and its dark parts as rectangles (x, y, width, height) in modules."""

    modules: int
    runs: tuple[Run, ...]


@lru_cache(maxsize=2048)
def symbol(text: str) -> Symbol:
    """The smallest symbol at level H (30 % recovery) for a text in capitals."""
    maker = qrcode.QRCode(error_correction=ERROR_CORRECT_H, border=0)
    maker.add_data(QRData(text, mode=MODE_ALPHA_NUM, check_data=True))
    maker.make(fit=True)
    rows = [tuple(bool(dark) for dark in row) for row in maker.modules]
    return Symbol(len(rows), tuple(_merged(rows)))


def _merged(rows: list[tuple[bool, ...]]) -> Iterator[Run]:
    """Dark modules side by side are one rectangle, like stretches under each other too: fewer edges, no seams."""
    open_runs: dict[tuple[int, int], int] = {}
    for y, row in enumerate([*rows, ()]):
        here = set(_stretches(row))
        for (x, width), top in list(open_runs.items()):
            if (x, width) not in here:
                yield x, top, width, y - top
                del open_runs[x, width]
        for stretch in sorted(here):
            open_runs.setdefault(stretch, y)


def _stretches(row: tuple[bool, ...]) -> Iterator[tuple[int, int]]:
    start = None
    for x, dark in enumerate((*row, False)):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            yield start, x - start
            start = None
