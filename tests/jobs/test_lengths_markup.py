"""Numbers on pages: a fraction that can be read, copied and heard; a trade size that is never a fraction."""

import re
from fractions import Fraction
from types import SimpleNamespace

import pytest
from django.utils.html import strip_tags
from hypothesis import given
from hypothesis import strategies as st

from shop.jobs.templatetags.numbers import degrees, feet, inches, length, size

SIXTEENTHS = st.integers(min_value=0, max_value=16 * 1200)


def spoken(markup):
    return re.search(r'aria-label="([^"]*)"', markup).group(1)


def read_back(text):
    """Inches of copied text, by the standard library alone: a whole number, a blank, a fraction."""
    return sum(Fraction(part) for part in text.replace("⁄", "/").removesuffix("″").split())


@given(SIXTEENTHS)
def test_a_copied_length_reads_back_as_the_same_number(sixteenths):
    assert read_back(strip_tags(inches(sixteenths / 16))) == Fraction(sixteenths, 16)


@given(SIXTEENTHS)
def test_a_length_is_spoken_as_the_same_number(sixteenths):
    words, unit = spoken(inches(sixteenths / 16)).rsplit(" ", 1)
    assert sum(Fraction(part) for part in words.split()) == Fraction(sixteenths, 16)
    assert unit in {"inch", "inches"}


def test_whole_number_numerator_and_denominator_are_parts_of_their_own():
    # 13/16 = 0.8125: arithmetic
    assert inches(98.8125) == (
        '<span class="q" role="img" aria-label="98 13/16 inches">98 '
        '<span class="f"><b>13</b><i>⁄</i><em>16</em></span><u>″</u></span>'
    )


def test_under_an_inch_there_is_no_whole_number():
    assert strip_tags(inches(0.375)) == "3⁄8″" and spoken(inches(0.375)) == "3/8 inch"


def test_one_inch_is_not_inches():
    assert spoken(inches(1)) == "1 inch" and spoken(inches(1.5)) == "1 1/2 inches"


def test_below_zero_has_a_minus_that_is_spoken():
    assert strip_tags(inches(-3.5)) == "−3 1⁄2″" and spoken(inches(-3.5)) == "minus 3 1/2 inches"


def test_nothing_shows_nothing():
    assert inches(None) == feet(None) == length(None) == degrees(None) == ""


def test_a_metric_shop_reads_millimetres_without_an_inch_mark(settings):
    settings.TAPE = "1 mm"
    # 62 1/2 in = 1587.5 mm, by the inch of 25.4 mm (international yard and pound, 1959)
    assert strip_tags(inches(62.5)) == "1588 mm" and feet(62.5) == ""


@pytest.mark.parametrize(
    ("number", "words"),
    [(62.5, "5′-2½″"), (58, "4′-10″"), (98.8125, "8′-2 13⁄16″"), (24, "2′-0″"), (12.0625, "1′-0 1⁄16″")],
)
def test_feet_stand_small_beside_the_inches(number, words):
    # twelve inches to the foot: arithmetic
    assert strip_tags(feet(number)) == words


def test_under_a_foot_there_is_no_second_form():
    assert feet(11.9375) == "" and "feet" not in length(6)


@pytest.mark.parametrize(
    ("angle", "words"), [(22.5, "22½°"), (90, "90°"), (112.3, "112.3°"), (0.5, "½°"), (-11.25, "−11¼°")]
)
def test_degrees_close_up(angle, words):
    assert degrees(angle) == words


def test_a_trade_size_is_plain():
    assert size(SimpleNamespace(size="1-1/4", raceway="EMT")) == "1-1/4 EMT"
