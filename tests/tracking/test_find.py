"""Anything that stands on a label or a ticket finds its piece."""

import pytest
from django.urls import reverse

from shop.jobs import services as jobs
from shop.jobs.codes import printed
from shop.tracking.queries import find


@pytest.fixture
def piece(floor):
    floor.release(quantity=3)
    return floor.piece(copy=2)


def urls(hits):
    return [hit.url for hit in hits]


def test_a_code_opens_the_piece(visit, piece):
    answer = visit("installer", f"/q/{piece.code}/")
    assert answer.url == reverse("piece", args=[piece.pk])


def test_the_address_on_the_label_is_in_capitals(visit, piece):
    assert visit("installer", f"/Q/{piece.code}").url == reverse("piece", args=[piece.pk])


def test_a_code_may_be_typed_small_with_blanks(world, piece):
    assert urls(find(world.installer, printed(piece.code).lower())) == [reverse("piece", args=[piece.pk])]


def test_the_last_six_are_enough(world, piece):
    assert urls(find(world.foreman, piece.code[-6:])) == [reverse("piece", args=[piece.pk])]


def test_a_tag_and_a_copy_find_one_piece(world, piece):
    assert urls(find(world.foreman, "s-04 2")) == [reverse("piece", args=[piece.pk])]


def test_a_tag_finds_all_its_copies(world, piece):
    assert len(find(world.foreman, "S-04")) == 3


def test_a_room_is_found_by_its_name(world, piece):
    assert urls(find(world.foreman, "room 214")) == [reverse("area", args=[world.room.pk])]


def test_a_place_sign_opens_its_area(visit, world):
    assert visit("driver", f"/q/{world.hoist.code}/").url == reverse("area", args=[world.hoist.pk])


def test_a_ticket_says_whether_it_is_dead(world, floor, piece):
    release = piece.release
    assert "an old ticket" not in find(world.hand, release.code)[0].words
    floor.revise(piece.run)
    assert "an old ticket" in find(world.hand, release.code)[0].words


def test_another_jobs_code_is_not_found(visit, floor, piece):
    stranger = jobs.person_add(username="else", title="Installer", role="installer", password=None, actor=None)
    assert find(stranger, piece.code) == []


@pytest.mark.parametrize(
    "typed", ["", " ", "QQQQQQQQQQ", "S-04 99999999999999999999", "S-04 R٣", "%", "\x00", "S-04 R"]
)
def test_nonsense_finds_nothing_and_breaks_nothing(visit, piece, typed):
    answer = visit("foreman", f"{reverse('code-typed')}?q={typed}")
    assert answer.status_code in (200, 404)


def test_an_unknown_code_says_how_a_code_looks(visit, piece):
    answer = visit("foreman", "/q/AAAAAAAAAA/")
    assert answer.status_code == 404 and "Nothing has that code" in answer.content.decode()
