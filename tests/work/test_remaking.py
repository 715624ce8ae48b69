"""Remake: a child R1 for the same need with its own code; the old one is dead, the need counts one."""

import pytest

from shop.jobs.models import History
from shop.requests.models import Paper, Revision
from shop.work import services
from shop.work.models import Piece, Record, Release
from tests.requests.world import licence, profile, refused, stub, three_d, too_many_degrees
from tests.work.floor import standing


@pytest.fixture
def piece(floor):
    floor.release(quantity=2)
    return floor.piece()


def remake(floor, piece, by="hand", **more):
    return services.piece_remake(piece=piece, actor=getattr(floor.world, by), **{"reason": "kinked", **more})


def test_the_child_is_for_the_same_need_with_a_code_of_its_own(floor, piece):
    child = remake(floor, piece)
    assert (child.remake, child.remake_of, child.need, child.copy) == (1, piece, piece.need, 1)
    assert child.code != piece.code and child.release == piece.release
    assert (child.step, child.word, child.fills, str(child)) == ("released", "CUT", piece.run, "S-04 R1, copy 1")


def test_the_old_one_is_scrap_and_says_what_replaces_it(floor, piece):
    child = remake(floor, piece)
    old = standing(piece)
    assert (old.word, old.flags, old.fills, old.replaced_by) == ("SCRAP", ["SCRAP", "REPLACED"], None, child)


def test_an_old_one_that_may_be_of_use_is_replaced_not_scrap(floor, piece):
    remake(floor, piece, old="maybe")
    assert standing(piece).flags == ["REPLACED"]


def test_the_record_tells_who_why_and_what_changes(floor, piece):
    child = remake(floor, piece, "foreman", change="one leg + 1 in", place=floor.world.room)
    record = Record.objects.get(verb="remake")
    assert (record.piece, record.person, record.reason, record.place) == (
        piece,
        floor.world.foreman,
        "kinked",
        floor.world.room,
    )
    assert record.fields == {"old": "scrap", "change": "one leg + 1 in", "child": f"p{child.pk}"}
    told = History.objects.get(action="piece.remake")
    assert (told.subject_id, told.data["of"], told.data["reason"]) == (child.pk, piece.pk, "kinked")


def test_the_same_nonce_again_is_the_same_child(floor, piece):
    first = remake(floor, piece, nonce="n-1")
    assert remake(floor, piece, nonce="n-1") == first and Piece.objects.count() == 3


def test_a_child_can_be_remade(floor, piece):
    first = remake(floor, piece)
    second = remake(floor, first)
    assert (second.remake, second.remake_of, standing(first).replaced_by) == (2, first, second)


def test_a_cancelled_remake_gives_the_first_one_back(floor, piece):
    child = remake(floor, piece, old="maybe")
    floor.say(piece, "cancel_remake", "foreman", others={"child": child})
    assert (standing(piece).word, standing(child).word, standing(child).replaced_by) == ("CUT", "REPLACED", piece)
    assert remake(floor, piece).remake == 2


def test_a_piece_is_remade_once(floor, piece):
    child = remake(floor, piece)
    with refused("already_remade") as refusal:
        remake(floor, piece)
    assert refusal.value.limits["child"] == child.pk and Piece.objects.count() == 3


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"by": "installer"}, "role_not_allowed"),
        ({"old": "burnt"}, "bad_value"),
        ({"reason": "x" * 301}, "text_too_long"),
        ({"nonce": "x" * 65}, "bad_nonce"),
        ({"nonce": "server-1"}, "bad_nonce"),
        ({"by": "foreman", "document": stub("20")}, "change_needs_lead"),
        ({"by": "lead", "document": stub("20", size="1/2")}, "another_conduit"),
        ({"by": "lead", "document": stub("")}, "not_solved"),
        ({"by": "lead", "document": three_d()}, "needs_yes"),
        ({"by": "lead", "document": too_many_degrees()}, "rule_needs_licence"),
    ],
)
def test_a_remake_is_refused_by_code_and_makes_nothing(floor, piece, more, code):
    with refused(code):
        remake(floor, piece, **more)
    assert (Piece.objects.count(), Release.objects.count(), Record.objects.count()) == (2, 1, 0)


def test_metal_of_an_old_revision_is_not_remade(floor, piece):
    floor.revise(piece.run)
    with refused("old_revision"):
        remake(floor, piece)


def test_paper_that_is_closed_still_has_its_remakes(floor, piece):
    Revision.objects.update(state=Paper.CLOSED)
    assert remake(floor, piece).remake == 1


def test_metal_that_became_another_piece_is_not_remade(floor, piece):
    floor.say(piece, "cut")
    b = floor.revise(piece.run)
    Revision.objects.filter(pk=b.pk).update(state=Paper.OK)
    into = services.revision_release(revision=b, actor=floor.world.lead).pieces.get()
    floor.say(piece, "decide", "lead", fields={"decision": "rework", "rev": "B"}, others={"into": into})
    assert standing(piece).dead and standing(into).step == "cut"
    Revision.objects.filter(pk=piece.revision_id).update(state=Paper.RELEASED)
    with refused("dead_piece"):
        remake(floor, piece)


# With a change


def test_the_lead_changes_a_dimension_for_this_one_alone(floor, piece):
    child = remake(floor, piece, "lead", document=stub("20 1/2"), change="stub + 1")
    assert child.release.remake_only and child.release.number == 2
    assert child.release.document == stub("20 1/2") and child.release.layout != piece.release.layout
    assert services.present_release(piece.revision) == piece.release
    assert standing(floor.piece(copy=2)).release == piece.release


def test_a_changed_remake_may_override_a_rule_as_a_release_may(floor, piece):
    licence(floor.world.lead)
    child = remake(floor, piece, "lead", document=too_many_degrees(), override_reason="pull box")
    assert child.release.override_reason == "pull box"


def test_what_was_made_with_its_own_dimensions_is_remade_with_them(floor, piece):
    first = remake(floor, piece, "lead", document=stub("20 1/2"))
    assert remake(floor, first).release == first.release


def test_a_nonce_that_said_something_else_makes_no_child(floor, piece):
    floor.say(piece, "cut", nonce="n-1")
    with refused("nonce_taken"):
        remake(floor, piece, nonce="n-1")
    assert Piece.objects.count() == 2


def test_after_another_bender_was_picked_a_remake_is_for_that_one(floor, piece):
    newer = services.revision_release(revision=piece.revision, actor=floor.world.lead, profile=profile(name="Electric"))
    assert remake(floor, standing(piece)).release == newer
