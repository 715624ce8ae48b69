"""A piece's page: the one word, the step to record, its life."""

import pytest
from django.urls import reverse

from shop.tracking.acts import BY_KEY, next_act
from shop.tracking.words import shout
from shop.work.derive.vocabulary import ACTIONS, SHOUTED, VERBS
from tests.work.floor import records, standing


@pytest.fixture
def piece(floor):
    floor.release()
    return floor.piece()


def record(visit, piece, by, act, nonce="n1", **said):
    return visit(by, reverse("piece-record", args=[piece.pk]), act=act, nonce=nonce, **said)


def test_every_word_has_a_look_and_a_sentence(piece):
    for word in {*SHOUTED, *ACTIONS.values(), "IN", "CLOSED"}:
        piece.word = word
        assert shout(piece).says


def test_a_word_without_a_look_is_an_error(piece):
    piece.word = "PERHAPS"
    with pytest.raises(ValueError, match="PERHAPS"):
        shout(piece)


def test_every_act_is_a_verb_of_the_records():
    assert {act.verb for act in BY_KEY.values()} <= set(VERBS)


def test_the_page_shows_the_word_first(visit, piece):
    assert ">CUT<" in visit("hand", reverse("piece", args=[piece.pk])).content.decode()


def test_one_tap_records_the_next_step(visit, piece):
    assert record(visit, piece, "hand", "cut").status_code == 302
    assert standing(piece).step == "cut"


def test_the_same_form_sent_twice_is_one_record(visit, piece):
    record(visit, piece, "hand", "cut")
    before = records()
    record(visit, piece, "hand", "cut")
    assert records() == before


def test_what_an_act_needs_is_asked_for_and_nothing_is_recorded(visit, piece):
    before = records()
    answer = record(visit, piece, "driver", "load", load=" ")
    assert answer.status_code == 422 and "Say which load" in answer.content.decode()
    assert records() == before


@pytest.mark.parametrize(
    ("act", "field", "typed"),
    [
        ("load", "load", "1" * 31),
        ("pack", "box", "B" * 31),
        ("damaged", "reason", "x" * 301),
        ("hold", "reason", "y" * 301),
    ],
)
def test_what_was_typed_is_still_there_after_a_no(visit, piece, act, field, typed):
    answer = record(visit, piece, "lead", act, **{field: typed})
    assert answer.status_code == 422 and typed in answer.content.decode()


def test_a_remakes_reason_is_still_there_after_a_no(visit, piece):
    answer = visit("hand", reverse("piece-remake", args=[piece.pk]), reason="kinked at bend 2", old="perhaps")
    assert answer.status_code == 422 and "kinked at bend 2" in answer.content.decode()


def test_a_driver_loads_and_drops_and_a_foreman_receives_and_sets(visit, world, floor, piece):
    floor.make(piece)
    record(visit, piece, "driver", "load", "n1", load="118")
    assert standing(piece).load == "118" and standing(piece).word == "DROP"
    record(visit, piece, "driver", "drop", "n2", place=world.hoist.pk)
    record(visit, piece, "foreman", "receive", "n3", place=world.hoist.pk)
    record(visit, piece, "installer", "in", "n4")
    assert (standing(piece).step, standing(piece).place) == ("in", world.room)


def test_nothing_is_proposed_for_a_load_or_a_bundle_before_one_was_said(visit, floor, piece):
    floor.make(piece)
    typed = visit("driver", reverse("piece", args=[piece.pk])).context["typed"]
    assert (typed["load"], typed["box"]) == ("", "")


def test_a_piece_off_the_truck_is_proposed_to_be_left_where_it_was_to_go(visit, world, floor):
    floor.release("S-09", drop=world.hoist)
    piece = floor.piece("S-09")
    floor.make(piece)
    record(visit, piece, "driver", "load", load="118")
    assert visit("driver", reverse("piece", args=[piece.pk])).context["typed"]["place"] == world.hoist.pk


def test_a_piece_is_proposed_to_be_received_where_it_was_left(visit, world, floor, piece):
    floor.make(piece)
    record(visit, piece, "driver", "drop", place=world.other_room.pk)
    assert visit("foreman", reverse("piece", args=[piece.pk])).context["typed"]["place"] == world.other_room.pk


def test_a_role_sees_no_key_for_what_it_may_not_say(world, piece):
    assert next_act(piece, world.hand) == BY_KEY["cut"]
    assert next_act(piece, world.installer) is None


def test_saying_what_the_role_may_not_say_is_refused_and_kept(visit, piece):
    answer = record(visit, piece, "installer", "cut")
    assert answer.status_code == 409 and standing(piece).step == "released"


def test_under_scrap_stands_nothing_of_what_else_was_wrong_with_it(visit, piece):
    record(visit, piece, "lead", "hold", nonce="n0", reason="wall moves")
    record(visit, piece, "hand", "scrap-kinked")
    answer = visit("hand", reverse("piece", args=[piece.pk]))
    assert set(standing(piece).flags) > {"SCRAP"}
    assert (answer.context["lines"], standing(piece).flags_told) == ([], ["SCRAP"])


def test_a_scrapped_piece_says_so_and_its_remake_takes_its_place(visit, piece):
    record(visit, piece, "hand", "scrap-kinked")
    assert standing(piece).word == "SCRAP"
    visit("hand", reverse("piece-remake", args=[piece.pk]), reason="kinked", old="scrap", nonce="m1")
    child = standing(piece).remakes.get()
    assert (child.remake, child.word) == (1, "CUT")


def test_a_remake_needs_a_reason(visit, piece):
    answer = visit("hand", reverse("piece-remake", args=[piece.pk]), reason="", old="scrap", nonce="m1")
    assert answer.status_code == 422 and not standing(piece).remakes.exists()


def test_steps_that_nobody_saw_stand_in_the_life(visit, world, floor, piece):
    floor.say(piece, "receive", "foreman", place=world.hoist)
    content = visit("foreman", reverse("piece", args=[piece.pk])).content.decode()
    assert content.count("nobody saw it") == len(standing(piece).not_seen) > 3


def test_the_page_asks_the_same_number_of_queries_however_long_the_life(queries, floor, piece):
    path = reverse("piece", args=[piece.pk])
    floor.make(piece)
    few = queries("hand", path)
    for _ in range(6):
        floor.say(piece, "seen", "driver", place=floor.world.rack)
    assert queries("hand", path) == few <= 20
