"""The sheet: words fit, wrap or are refused; nothing leaves the page; the same content gives the same bytes."""

import pytest

from shop.tickets import fonts
from shop.tickets.canvas import Paper, fit, wrapped
from shop.tickets.faults import NotPrinted
from shop.tickets.figures import FRACTION, READABLE_SIZE, figure, figure_width
from shop.tickets.specs import LABELS, PAGES
from tests.tickets.reading import glyph


@pytest.mark.parametrize("weight", ["400", "600", "800"])
@pytest.mark.parametrize("sign", "0123456789AHK")
def test_digits_and_capitals_are_as_high_as_the_sums_say(weight, sign):
    low, high = glyph(weight, sign)
    assert fonts.CAPITAL <= high - low < fonts.CAPITAL + 0.03  # round signs overshoot


def test_a_fraction_s_digits_are_a_fifth_of_an_inch_high_at_the_readable_size():
    assert READABLE_SIZE * FRACTION * fonts.CAPITAL / 72 >= 0.2


@pytest.mark.parametrize(("words", "sign"), [("K-07 ★", "★"), ("東", "東"), ("ا", "ا"), ("a\u0007b", "\u0007")])
def test_a_sign_that_the_typeface_lacks_fails_by_name(words, sign):
    with pytest.raises(NotPrinted) as caught:
        fonts.checked(words, 800)
    assert caught.value.code == "missing_glyph" and caught.value.limits["sign"] == sign


def test_letters_written_in_two_signs_are_printed_as_one():
    assert fonts.clean("Cafe\u0301 \n wall") == "Café wall"


def test_words_take_the_largest_size_that_fits():
    assert fit("Corridor C", 300, (30, 20, 10)).size == 30
    assert fit("Corridor C", 100, (30, 20, 10)).size == 20


def test_long_words_wrap_before_they_shrink():
    block = fit("Tern Hall, L1, Corridor C, North wall", 130, (12, 8), lines=2)
    assert block.size == 12 and len(block.lines) == 2


def test_what_fits_at_no_size_is_refused_by_name():
    with pytest.raises(NotPrinted) as caught:
        fit("Corridor" * 20, 100, (30, 20, 10), lines=2, what="The place")
    assert caught.value.code == "too_long" and caught.value.limits["what"] == "The place"


def test_a_number_is_never_parted_from_its_fraction():
    for room in range(40, 200, 4):
        lines = wrapped("back to back 44 1/4, square", room, 400, 11) or []
        assert not any(line.endswith("44") for line in lines)


def test_a_line_may_end_after_a_hyphen_but_not_inside_a_trade_size():
    assert wrapped("cross-connect", 40, 400, 11) == ["cross-", "connect"]
    assert wrapped("1-1/4 EMT", 20, 400, 11) is None


def test_nothing_is_drawn_outside_the_live_area():
    sheet = Paper("x").sheet(PAGES["letter"])
    for draw in (
        lambda: sheet.text(530, 100, "over the edge", 12),
        lambda: sheet.line(0, 0, 10, 749),
        lambda: sheet.rect(-1, 0, 10, 10, stroke=1),
        lambda: sheet.circle(3, 3, 5, pen=1),
        lambda: sheet.rects([(539, 0, 2, 2)]),
    ):
        with pytest.raises(NotPrinted) as caught:
            draw()
        assert caught.value.code == "outside_page"


def test_a_fraction_is_set_apart_from_its_whole_number():
    whole, both = figure_width(figure('31"'), 20), figure_width(figure('31 11/16"'), 20)
    alone = figure_width(figure('11/16"'), 20) - figure_width(figure('0"'), 20) + fonts.width("0", 800, 20)
    assert both - whole - alone >= 0.1 * 20


def test_the_same_content_gives_the_same_bytes():
    def drawn():
        paper = Paper("x")
        paper.sheet(LABELS["wrap-4x2"]).text(10, 30, "K-07", 20, weight=800)
        return paper.finish()

    assert drawn() == drawn()
