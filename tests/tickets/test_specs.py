"""Stock: what a label must be so that a phone reads its code."""

import pytest

from shop.tickets.faults import NotPrinted
from shop.tickets.specs import LABELS, PAGES, LabelStock, PageStock, label_for, label_stock, page_stock


@pytest.mark.parametrize("stock", LABELS.values(), ids=LABELS)
def test_a_module_is_half_a_millimetre_or_more_in_whole_dots(stock):
    # 0.50 mm at four dots of 203 dpi: a maker's guide for thermal printers (qrcode.com/en/howto/cell.html)
    assert stock.module_mm >= 0.5 and isinstance(stock.dots_per_module, int)


def test_a_symbol_of_33_modules_with_its_quiet_zone_is_twenty_and_a_half_millimetres():
    # 41 modules of 0.50 mm, quiet zone 4 (ISO/IEC 18004)
    assert LABELS["wrap-4x2"].symbol_in(33) * 25.4 == pytest.approx(20.5, abs=0.05)


def test_a_fine_printer_needs_more_dots_for_the_same_module():
    with pytest.raises(NotPrinted) as caught:
        LabelStock("fine", 4, 2, dots_per_inch=300)
    assert caught.value.code == "bad_stock"
    assert LabelStock("fine", 4, 2, dots_per_inch=300, dots_per_module=6).module_mm == pytest.approx(0.508)


@pytest.mark.parametrize("size", [(0.5, 2), (4, 0.5), (13, 2)])
def test_a_label_that_is_no_label_is_refused(size):
    with pytest.raises(NotPrinted) as caught:
        LabelStock("odd", *size)
    assert caught.value.code == "bad_stock"


def test_a_page_smaller_than_the_live_area_is_refused():
    with pytest.raises(NotPrinted) as caught:
        PageStock("half", 396, 612)
    assert caught.value.code == "bad_stock"


@pytest.mark.parametrize("stock", PAGES.values(), ids=PAGES)
def test_the_live_area_stands_in_the_middle_of_the_page(stock):
    left, top, width, height = stock.live
    assert (width, height) == (540, pytest.approx(748.8))
    assert 2 * left + width == pytest.approx(stock.width) and 2 * top + height == pytest.approx(stock.height)


@pytest.mark.parametrize("look_up", [page_stock, label_stock])
def test_an_unknown_stock_is_refused_by_name(look_up):
    with pytest.raises(NotPrinted) as caught:
        look_up("papyrus")
    assert caught.value.code == "no_such_stock"


# outside diameters: ANSI C80.3 as printed by the Steel Tube Institute; a flag up to 1/2 in: common practice, no source
@pytest.mark.parametrize(("diameter", "wanted"), [(0.706, "flag-3x1"), (0.922, "wrap-4x2"), (1.510, "wrap-4x2")])
def test_a_tube_too_thin_to_show_the_code_gets_a_flag(diameter, wanted):
    assert label_for(diameter, 33) == wanted
