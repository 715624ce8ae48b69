"""The one refusal of paper: a sheet that can't be drawn as it should is not drawn at all."""

from typing import Any

from shop.jobs.refusals import Refusal


class NotPrinted(Refusal):
    """Nothing came out, so no wrong sheet is about.

    Codes: `missing_glyph`, `too_long`, `outside_page`, `no_font`, `code_too_large`, `address_not_plain`, `bad_stock`,
    `bad_content`, `no_such_stock`.
    """

    def __init__(self, code: str, words: str, **limits: Any) -> None:
        super().__init__(code, words, **limits)
