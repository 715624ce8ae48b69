"""A piece's label read back at the printer's own dots: both codes, the words, every stock."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.tickets.faults import NotPrinted
from shop.tickets.specs import LABELS, LabelStock
from tests.tickets import sample
from tests.tickets.drawn import demo_label, label
from tests.tickets.reading import Pages

MINE = LabelStock("Ours 100 x 60 mm", 100 / 25.4, 60 / 25.4)
FINE = LabelStock("Fine 4 x 2", 4, 2, dots_per_inch=300, dots_per_module=6)
TALL = LabelStock("Tall flag 4 x 1.5", 4, 1.5, flag=True)
STOCKS = {**LABELS, "mine": MINE, "fine": FINE, "tall": TALL}


def address(code: str = sample.CODE) -> str:
    return f"HTTP://LOCALHOST:8000/Q/{code}"


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)
@pytest.mark.parametrize("tag", ["S-04", "B-11", "K-07", "F-2", "G-1"])
def test_both_codes_are_read_in_one_bit_black_at_the_printer_s_dots(tag, stock):
    assert demo_label(tag, stock).codes(dpi=stock.dots_per_inch) == [address()] * 2


@pytest.mark.parametrize("stock", LABELS)
def test_a_long_address_still_has_both_its_codes(stock, settings):
    settings.LABEL_ADDRESS = "https://" + "a" * 25 + ".com"  # 29 signs: the longest host that fits 33 modules
    found = demo_label("K-07", stock).codes()
    assert found == [f"HTTPS://{'A' * 25}.COM/Q/{sample.CODE}"] * 2


def test_an_address_too_long_for_the_flag_fails_by_name(settings):
    settings.LABEL_ADDRESS = "https://" + "a" * 40 + ".com"
    with pytest.raises(NotPrinted) as caught:
        demo_label("K-07", "flag-3x1")
    assert caught.value.code == "code_too_large"


@pytest.mark.parametrize("stock", STOCKS.values(), ids=STOCKS)
def test_every_module_lies_on_whole_dots(stock):
    pages = demo_label("K-07", stock)
    dot = 72 / stock.dots_per_inch
    curves = [curve for curve in pages.pages[0].objects.get("curve", ()) if len(curve["pts"]) > 100]
    assert len(curves) in (0, 2)
    boxes = [rect for rect in pages.pages[0].rects if rect["width"] == pytest.approx(7 * stock.dots_per_module * dot)]
    assert boxes or curves
    for box in boxes:
        for edge in (box["x0"] / dot, box["top"] / dot):
            assert edge == pytest.approx(round(edge), abs=0.01)


@pytest.mark.parametrize("stock", LABELS)
def test_the_label_is_of_the_stock_s_size(stock):
    page = demo_label("K-07", stock).pages[0]
    assert (page.width, page.height) == pytest.approx((LABELS[stock].width, LABELS[stock].height))


@pytest.mark.parametrize("stock", LABELS)
def test_the_label_says_what_the_trade_needs(stock):
    text = " ".join(demo_label("S-04", stock, copy=3, box="4C").text().split())
    for words in ("3/4 EMT", "S-04", "copy 3 of 8", "Tern Hall", "L2, Deck stubs", "REV A", "THIS FACE OUT", "4C"):
        assert words in text
    assert "QK7R MD3 HXD" in text and "66 by 19 1/2" in text


@pytest.mark.parametrize("stock", LABELS)
def test_both_ends_are_named_by_place(stock):
    text = " ".join(demo_label("B-11", stock).text().split())
    assert "A box face, box 214-3" in text and "B box face, box 214-4" in text


@pytest.mark.parametrize("stock", LABELS)
def test_a_remake_says_so_loudly(stock):
    text = demo_label("K-07", stock, remake=1).text()
    assert "REMAKE" in text and "K-07 R1" in " ".join(text.split())


@pytest.mark.parametrize("stock", LABELS)
def test_a_label_bears_no_bend_marks(stock):
    text = demo_label("K-07", stock).text()
    assert not any(mark in text for mark in ("31 11/16", "39 3/16", "48 13/16"))


def test_a_must_hit_dimension_stands_beside_the_face():
    assert "40 7/8 high spot" in demo_label("K-07").text()


def test_words_on_a_dark_band_are_white():
    band = [char for char in demo_label("F-2").chars() if char["top"] < 25]
    assert band and {char["non_stroking_color"] for char in band} <= {(1, 1, 1), (1.0, 1.0, 1.0)}


def test_the_label_is_the_same_bytes_each_time():
    assert demo_label("K-07").pdf == demo_label("K-07").pdf


LETTERS = st.characters(
    codec="utf-8", min_codepoint=0x20, max_codepoint=0x4FF, exclude_categories=("Cc", "Cf", "Cn", "Mn", "Me", "Co")
)
NAMES = st.text(LETTERS, min_size=1, max_size=30).filter(str.strip)
PLACES = st.text(LETTERS, min_size=1, max_size=80).filter(str.strip)
RARELY = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def inside(pages: Pages) -> bool:
    """Whether every sign's ink stands on its page, left to right and on the line."""
    return all(
        char["x0"] >= -0.1 and char["x1"] <= page.width + 0.1 and char["top"] + 0.2 * char["size"] >= 0
        and char["bottom"] <= page.height + 0.3 * char["size"]
        for page in pages.pages
        for char in page.chars
    )  # fmt: skip


@pytest.mark.parametrize("stock", LABELS)
@RARELY
@given(tag=NAMES, place=PLACES)
def test_any_tag_and_place_stands_on_the_label_or_fails_by_name(stock, tag, place):
    release = sample.release(sample.demo_run("K-07"))
    release.revision.run.tag, release.revision.run.place.full_name = tag, place
    try:
        pages = label(release, stock)
    except NotPrinted as refusal:
        assert refusal.code in ("missing_glyph", "too_long")
    else:
        assert inside(pages) and pages.codes() == [address()] * 2


@pytest.mark.parametrize("tag", ["K-07 Überführung", "Κουτί-7", "Щит-12", "Çatı 4"])
def test_latin_greek_and_cyrillic_tags_are_printed(tag):
    release = sample.release(sample.demo_run("K-07"))
    release.revision.run.tag = tag
    assert tag.split()[0] in label(release).text()
