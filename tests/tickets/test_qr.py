"""A code as a QR symbol's text and back, and the symbol in few rectangles."""

import pytest
import qrcode
from qrcode.constants import ERROR_CORRECT_H

from shop.jobs.codes import new_code
from shop.tickets.faults import NotPrinted
from shop.tickets.qr import code_in, symbol, text_of
from tests.tickets.sample import CODE


def test_the_address_is_short_and_in_capitals():
    assert text_of(CODE, "https://shop.example.com/") == f"HTTPS://SHOP.EXAMPLE.COM/Q/{CODE}"


@pytest.mark.parametrize("address", ["https://shop_one.example", "https://[::1]:8000", "https://šop.example"])
def test_an_address_that_needs_the_longer_mode_is_refused(address):
    with pytest.raises(NotPrinted) as caught:
        text_of(CODE, address)
    assert caught.value.code == "address_not_plain"


@pytest.mark.parametrize(
    "scanned",
    [CODE, CODE.lower(), f"HTTPS://OTHER.EXAMPLE/Q/{CODE}", f"http://localhost:8000/q/{CODE.lower()}/", "QK7R MD3 HXD"],
)
def test_a_code_is_found_whatever_the_host_and_the_case(scanned):
    assert code_in(scanned) == CODE


@pytest.mark.parametrize("scanned", ["", "hello", f"HTTPS://X/Q/{CODE[:-1]}2", f"HTTPS://X/R/{CODE}", CODE[:-1]])
def test_anything_else_holds_no_code(scanned):
    assert code_in(scanned) is None


# ISO/IEC 18004, capacity of versions 3 to 5 at level H, alphanumeric: 35, 50, 64 signs; 29, 33, 37 modules
@pytest.mark.parametrize(("signs", "modules"), [(35, 29), (36, 33), (50, 33), (51, 37), (64, 37)])
def test_capitals_take_the_smallest_symbol_of_level_h(signs, modules):
    assert symbol("A" * signs).modules == modules


def test_a_host_of_29_signs_still_fits_33_modules():
    host = "a" * 25 + ".com"
    assert len(host) == 29 and symbol(text_of(new_code(), f"https://{host}")).modules == 33


def test_the_rectangles_are_exactly_the_dark_modules_each_once():
    text = text_of(CODE, "https://shop.example.com")
    found = symbol(text)
    drawn = [(x + i, y + j) for x, y, wide, high in found.runs for i in range(wide) for j in range(high)]
    plain = qrcode.QRCode(error_correction=ERROR_CORRECT_H, border=0)
    plain.add_data(text)
    plain.make(fit=True)
    dark = {(x, y) for y, row in enumerate(plain.modules) for x, module in enumerate(row) if module}
    assert len(drawn) == len(set(drawn)) and set(drawn) == dark


def test_stretches_are_merged():
    found = symbol(text_of(CODE, "https://shop.example.com"))
    assert len(found.runs) < sum(wide * high for _, _, wide, high in found.runs) / 2
