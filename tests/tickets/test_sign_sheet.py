"""A place's sign: its own words as large as they go, its code, what to do there."""

import pytest
from hypothesis import given

from shop.jobs.models import Job, Place, PlaceKind
from shop.tickets.faults import NotPrinted
from tests.tickets import sample
from tests.tickets.drawn import sign
from tests.tickets.reading import height_in, weight_of
from tests.tickets.test_label_sheet import PLACES, RARELY, inside


def hoist(name="Hoist", kind=PlaceKind.DROP, above="L2"):
    job = Job(name="Tern Hall", time_zone="America/Chicago")
    root = Place(job=job, name="Tern Hall", kind=PlaceKind.JOB)
    level = Place(job=job, name=above, kind=PlaceKind.LEVEL, parent=root)
    return Place(job=job, name=name, kind=kind, parent=level, code=sample.CODE)


def test_the_place_s_own_name_is_the_largest_thing_and_is_read_from_ten_feet():
    pages = sign(hoist())
    largest = max(pages.chars(), key=lambda char: char["size"])
    # height = distance / 150: common practice in sign making
    assert largest["text"] in "Hoist" and height_in(largest) >= 120 / 150


def test_what_it_lies_in_stands_above_it_in_order():
    pages = sign(hoist())
    tops = [pages.word(word)["top"] for word in ("Tern", "L2", "Hoist")]
    assert tops == sorted(tops)


@pytest.mark.parametrize("stock", ["letter", "a4"])
def test_the_code_is_read_back(stock):
    assert sign(hoist(), stock).codes(dpi=110) == [f"HTTP://LOCALHOST:8000/Q/{sample.CODE}"]


@pytest.mark.parametrize("kind", PlaceKind.values)
def test_every_kind_of_place_says_three_things_to_do(kind):
    text = sign(hoist(kind=kind)).text()
    assert all(str(step) in text for step in (1, 2, 3)) and "print 1" in text and "QK7R MD3 HXD" in text


def test_a_place_of_the_shop_names_the_shop(settings):
    settings.SHOP_NAME = "Shop in the yard"
    shop = Place(name="Shop", kind=PlaceKind.SHOP)
    assert "Shop in the yard" in sign(Place(name="Rack", kind=PlaceKind.RACK, parent=shop, code=sample.CODE)).text()


def test_the_sign_has_a_ruler():
    assert "If a tape says no, print again at 100 %" in sign(hoist()).text()


@RARELY
@given(name=PLACES, above=PLACES)
def test_any_name_stands_on_the_sign_or_fails_by_name(name, above):
    try:
        pages = sign(hoist(name, above=above))
    except NotPrinted as refusal:
        assert refusal.code in ("missing_glyph", "too_long")
    else:
        assert inside(pages) and any(weight_of(char) == "800" for char in pages.chars())
