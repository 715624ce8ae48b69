"""A ticket in every bending order: its marks, hooks, and what each is measured from."""

import pytest

from shop.tickets import compose
from tests.tickets import sample
from tests.tickets.drawn import ticket

EVERY_MARK = {kind: kind for kind in ("arrow", "notch", "star", "centre")}
ORDERS = ("push-through", "last-turned", "centre-out", "back-to-back", "end-for-end", "centres")


@pytest.fixture(autouse=True)
def shoes_with_every_mark(monkeypatch):
    for key, shoe in sample.PROFILES.items():
        monkeypatch.setitem(sample.PROFILES, key, {**shoe, "marks": EVERY_MARK})


def release(tag, order, zero="start"):
    run = sample.demo_run(tag)
    return sample.release({**run, "document": {**run["document"], "order": order, "zero": zero}})


def rows(tag, order, zero="start"):
    return compose.tickets(release(tag, order, zero), number=1, at=sample.AT)[0].bends


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("tag", ["K-07", "B-11", "R-1", "F-2"])
def test_a_ticket_can_be_drawn_in_every_order(tag, order):
    said = ticket(release(tag, order, "end")).text()
    assert tag in said and "ZERO" in said


def test_a_saddle_from_its_centre_out_has_its_hooks_toward_the_centre():
    # run 3 of the trade's ten worked runs: another solver's marks
    found = [(row.mark_at, row.mark, row.toward_zero) for row in rows("K-07", "centre-out")[2:5]]
    assert found == [('41 7/16"', "notch", True), ('34 1/16"', "arrow", False), ('48 13/16"', "arrow", True)]


def test_a_star_says_which_bend_s_back_it_is_measured_from():
    first, second = rows("B-11", "back-to-back")
    assert (first.measured_from, second.measured_from, second.mark) == ("", "back of step 1", "star")
    assert "from back of step 1" in " ".join(ticket(release("B-11", "back-to-back")).text().split())


@pytest.mark.parametrize("zero", ["start", "end"])
def test_bent_end_for_end_each_row_s_lines_are_said_from_its_own_end(zero):
    """Both legs of the U turn the same way: as one walks it left, and from its far end right."""
    far = "end" if zero == "start" else "start"
    found = [(row.measured_from, row.said_from, row.shoe) for row in rows("B-11", "end-for-end", zero)]
    words = {"start": "LEFT", "end": "RIGHT"}
    assert found == [("", zero, words[zero]), ("far end", far, words[far])]


def test_a_stick_that_is_bent_end_for_end_names_both_zeros():
    content = compose.tickets(release("B-11", "end-for-end"), number=1, at=sample.AT)[0]
    assert "From bend 2 on: B end" in content.zero_words
    assert "ZERO 2" in " ".join(ticket(release("B-11", "end-for-end")).text().split())
