"""Release: what is OK'd is frozen and becomes needs and pieces, once; who may not is told by code."""

from datetime import timedelta

import pytest

from shop.jobs.codes import is_code
from shop.jobs.models import History
from shop.requests.models import Paper, Revision, Run
from shop.requests.services import question_ask, revision_hold
from shop.work import services
from shop.work.models import Need, Piece, Release
from tests.requests import world as worlds
from tests.requests.world import NOON, licence, refused, straight, stub, three_d, too_many_degrees
from tests.work.floor import standing


def release(world, revision, **more):
    return services.revision_release(revision=revision, actor=more.pop("actor", world.lead), **more)


# What it makes


def test_it_freezes_document_layout_and_profile(world):
    revision = world.ok()
    made = release(world, revision)
    assert (made.document, made.profile, made.number) == (revision.document, world.profile, 1)
    assert made.layout["format"] == "layout/1" and made.shape == revision.shape
    assert is_code(made.code) and (made.released_by, made.released_at) == (world.lead, NOON)


def test_what_is_frozen_stays_when_the_revision_would_change(world):
    made = release(world, world.ok())
    Revision.objects.update(document={}, layout=None)
    made.refresh_from_db()
    assert made.document == stub() and made.layout["pieces"]


def test_a_need_and_a_piece_for_every_copy(world):
    made = release(world, world.ok(quantity=8))
    pieces = list(made.pieces.order_by("copy"))
    assert [piece.copy for piece in pieces] == [*range(1, 9)] == [piece.need.copy for piece in pieces]
    assert Need.objects.count() == 8 and len({piece.code for piece in pieces}) == 8
    assert all(is_code(piece.code) for piece in pieces)


def test_a_new_piece_is_in_the_shop_to_be_cut_and_counts_for_its_run(world):
    piece = release(world, world.ok()).pieces.get()
    assert (piece.step, piece.level, piece.good, piece.word, piece.fills) == ("released", 0, True, "CUT", piece.run)
    assert (piece.flags, piece.not_seen, piece.place, piece.last_record) == ([], [], None, None)


def test_a_straight_one_is_neither_bent_nor_checked(world):
    assert release(world, world.ok(document=straight())).pieces.get().skips == ["bent", "checked"]
    assert release(world, world.ok("S-05")).pieces.get().skips == []


def test_the_paper_is_released_and_the_history_says_how(world):
    revision = world.ok()
    release(world, revision)
    revision.refresh_from_db()
    told = History.objects.get(action="revision.release")
    assert revision.state == Paper.RELEASED and Run.objects.get().released_at == NOON
    assert (told.subject, told.subject_id, told.person) == ("revision", revision.pk, world.lead)
    assert told.data["release"] == 1 and told.data["profile"] == str(world.profile)


def test_pieces_of_a_held_run_are_born_held(floor, world):
    first = floor.release()
    floor.say(None, "hold", "foreman", run=first.revision.run, reason="wall moves")
    b = floor.revise(first.revision.run)
    Revision.objects.filter(pk=b.pk).update(state=Paper.OK)
    assert release(world, b).pieces.get().word == "HOLD"


def test_b_fills_the_needs_of_a(floor, world):
    a = floor.release(quantity=2)
    b = floor.revise(a.revision.run, quantity=3)
    Revision.objects.filter(pk=b.pk).update(state=Paper.OK)
    made = release(world, b)
    assert Need.objects.count() == 3
    assert made.pieces.get(copy=1).need == a.pieces.get(copy=1).need


# Who may not, and when not


def put(revision, state):
    Revision.objects.filter(pk=revision.pk).update(state=state)
    return revision


@pytest.mark.parametrize(
    ("paper", "code"),
    [
        (Paper.DRAFT, "not_sent"),
        (Paper.SENT, "not_ok"),
        (Paper.QUESTION, "question_open"),
        (Paper.HELD, "held"),
        (Paper.CHANGED, "old_revision"),
        (Paper.CANCELLED, "cancelled"),
        (Paper.CLOSED, "closed"),
        (Paper.RELEASED, "already_released"),
    ],
)
def test_only_okd_paper_is_released(world, paper, code):
    revision = put(world.ask(), paper)
    with refused(code):
        release(world, revision)
    assert not Piece.objects.exists() and not Release.objects.exists()


def test_an_open_question_stops_it_even_if_it_was_okd(world):
    revision = world.ask()
    question_ask(revision=revision, text="To what?", actor=world.lead)
    with refused("question_open"):
        release(world, put(revision, Paper.OK))


def test_it_is_released_once(world):
    revision = world.ok()
    release(world, revision)
    with refused("already_released"):
        release(world, revision)
    with refused("already_released"):
        release(world, revision, profile=world.profile)
    assert (Release.objects.count(), Piece.objects.count()) == (1, 1)


def test_a_bender_for_another_conduit_is_refused(world):
    revision = world.ok()
    with refused("wrong_profile"):
        release(world, revision, profile=worlds.profile(size="1/2", name="Other"))


def test_a_conduit_without_a_bender_is_refused(world):
    own = stub(size="1", bender={"take_up": 8, "gain": 4})
    revision = world.ok(document=own)
    with refused("no_profile"):
        release(world, revision)


def test_a_bender_on_which_it_cant_be_solved_is_refused(world):
    """A radius of 5.42 in takes a stub of 8 in; one of 40 in doesn't fit into the leg."""
    revision = world.ok(document=stub(up="12"))
    with refused("not_solved") as refusal:
        release(world, revision, profile=worlds.profile(name="Huge", data={"take_up": 50, "gain": 20}))
    assert refusal.value.limits["problems"]


def test_what_cant_be_bent_is_never_released(world):
    short = worlds.profile(name="Long hook", data={"hook_grip": 30})
    licence(world.lead)
    revision = world.ok()
    with refused("cannot") as refusal:
        release(world, revision, profile=short, override_reason="do it")
    assert [check["level"] for check in refusal.value.limits["checks"]] == ["cannot"]


def test_a_run_in_three_dimensions_needs_its_yes(world):
    revision = world.ok(document=three_d(), three_d_yes=True)
    Revision.objects.update(three_d_yes=False)
    with refused("needs_yes"):
        release(world, revision)


# A rule


def test_a_rule_needs_a_licence_and_a_reason(world):
    revision = world.ok(document=too_many_degrees())
    with refused("rule_needs_licence"):
        release(world, revision, override_reason="pull box in between")
    licence(world.lead)
    with refused("rule_needs_reason"):
        release(world, revision, override_reason=" ")
    made = release(world, revision, override_reason="pull box in between")
    told = History.objects.get(action="revision.release").data
    assert made.override_reason == told["reason"] == "pull box in between" and told["overrides"] == ["total_bends"]


@pytest.mark.parametrize(
    ("days", "valid"),
    [
        ({"since": NOON.date()}, True),
        ({"since": NOON.date() + timedelta(days=1)}, False),
        ({"since": NOON.date() - timedelta(days=9), "until": NOON.date()}, True),
        ({"since": NOON.date() - timedelta(days=9), "until": NOON.date() - timedelta(days=1)}, False),
    ],
)
def test_a_licence_counts_on_its_days(world, days, valid):
    licence(world.lead, **days)
    revision = world.ok(document=too_many_degrees())
    if valid:
        assert release(world, revision, override_reason="pull box").pieces.count() == 1
    else:
        with refused("rule_needs_licence"):
            release(world, revision, override_reason="pull box")


def test_a_reason_that_no_rule_asked_for_is_not_kept(world):
    assert release(world, world.ok(), override_reason="just so").override_reason == ""


def test_a_reason_must_fit(world):
    with refused("text_too_long"):
        release(world, world.ok(), override_reason="x" * 301)


# Again, on another bender


def test_another_bender_kills_the_older_ticket_and_takes_its_pieces(world):
    revision = world.ok(quantity=2)
    older = release(world, revision)
    codes = set(older.pieces.values_list("code", flat=True))
    newer = release(world, revision, profile=worlds.profile(name="Electric"))
    older.refresh_from_db()
    assert (newer.number, newer.pieces.count(), older.pieces.count(), Piece.objects.count()) == (2, 2, 0, 2)
    assert older.dead and not newer.dead and older.replaced_at == NOON
    assert set(newer.pieces.values_list("code", flat=True)) == codes
    assert services.present_release(revision) == newer


def test_the_review_shows_what_was_released_last(world):
    revision = world.ok()
    release(world, revision)
    electric = worlds.profile(name="Electric", data={"take_up": 7})
    made = release(world, revision, profile=electric)
    revision.refresh_from_db()
    assert (revision.profile, revision.layout) == (electric, made.layout)


def test_what_is_cut_stays_with_its_bender(floor, world):
    older = floor.release(quantity=2)
    floor.say(floor.piece(copy=2), "cut")
    with refused("pieces_cut") as refusal:
        release(world, older.revision, profile=worlds.profile(name="Electric"))
    assert refusal.value.limits["pieces"] == ["S-04, copy 2"]
    older.refresh_from_db()
    assert not older.dead and Release.objects.count() == 1 and standing(floor.piece()).release == older


def test_a_ticket_of_an_old_revision_is_dead(floor):
    older = floor.release()
    floor.revise(older.revision.run)
    assert Release.objects.get().dead and Release.objects.get().replaced_at is None


# In one act


def test_ok_and_release_in_one_act(world):
    made = services.revision_ok_and_release(revision=world.ask(), actor=world.lead)
    assert made.revision.state == Paper.RELEASED and made.revision.ok_by == world.lead


def test_ok_and_release_is_both_or_neither(world):
    revision = world.ask(document=too_many_degrees())
    with refused("rule_needs_licence"):
        services.revision_ok_and_release(revision=revision, actor=world.lead)
    revision.refresh_from_db()
    assert (revision.state, revision.ok_at) == (Paper.SENT, None)


def test_ok_and_release_takes_what_is_okd_already(world):
    assert services.revision_ok_and_release(revision=world.ok(), actor=world.lead).number == 1


def test_holding_comes_before_releasing(world):
    revision = world.ok()
    revision_hold(revision=revision, actor=world.lead, reason="wall moves")
    with refused("held"):
        services.revision_ok_and_release(revision=revision, actor=world.lead)


def test_a_run_longer_than_the_shops_stick_becomes_pieces_of_every_copy(world):
    """Trade practice: one whole stick and the rest."""
    long = {"path": [{"leg": "150"}, {"corner": 90, "turn": "left"}, {"leg": "40"}]}
    made = release(world, world.ok(document=stub() | long, quantity=3))
    assert made.layout["pieces"][0]["cut_length"] == 120
    assert sorted(made.pieces.values_list("copy", "part")) == [(copy, part) for copy in (1, 2, 3) for part in (1, 2)]


def test_a_document_that_says_how_long_its_sticks_are_is_heard(world):
    long = {"path": [{"leg": "150"}, {"corner": 90, "turn": "left"}, {"leg": "40"}], "stick": 240}
    assert len(release(world, world.ok(document=stub() | long)).layout["pieces"]) == 1
