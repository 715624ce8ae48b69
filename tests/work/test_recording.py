"""Records: each nonce once, times fixed when stored, rows folded from them, what can't be taken kept for its maker."""

from datetime import UTC, datetime, timedelta

import pytest

from shop.jobs import clock
from shop.jobs.models import History
from shop.requests.services import revision_cancel
from shop.work import services
from shop.work.models import Line, Piece, Record, RecordName, RecordPiece, RefusedRecord
from tests.requests.world import NOON, refused
from tests.work.floor import later, standing


@pytest.fixture
def piece(floor):
    floor.release(quantity=2)
    return floor.piece()


# One record


def test_a_record_moves_the_pieces_row(floor, piece):
    done = floor.say(piece, "cut", minutes=5, place=floor.world.rack)
    assert done.replies == ("ok",) and not done.repeated
    assert (done.piece.step, done.piece.word, done.piece.place) == ("cut", "BEND", floor.world.rack)
    assert (done.piece.last_record, done.piece.seen_at) == (done.record, later(5))
    assert standing(piece).step == "cut"


def test_a_record_says_who_what_when_and_where(floor, piece):
    record = floor.say(piece, "scrap", minutes=5, place=floor.world.bin, reason="kinked").record
    assert (record.person, record.role, record.piece) == (floor.world.hand, "hand", piece)
    assert (record.done_at, record.at, record.recorded_at, record.phone_clock) == (*[later(5)] * 3, False)
    assert (record.reason, record.place, record.device) == ("kinked", floor.world.bin, "hand")


def test_a_record_is_never_changed_nor_deleted(floor, piece):
    record = floor.say(piece, "cut").record
    with pytest.raises(TypeError):
        record.save()
    with pytest.raises(TypeError):
        record.delete()


def test_every_record_is_a_line_of_history(floor, piece):
    floor.say(piece, "scrap", reason="kinked")
    told = History.objects.get(action="record.scrap")
    assert (told.subject, told.subject_id, told.person, told.job) == (
        "piece",
        piece.pk,
        floor.world.hand,
        floor.world.job,
    )
    assert told.data == {"nonce": "r1", "tag": "S-04", "reason": "kinked"}


def test_without_a_device_the_servers_clock_stands_for_all_three(world, floor, piece):
    with clock.at(later(7)):
        record = services.record_add(verb="cut", piece=piece, actor=world.hand, nonce="n-1").record
    assert (record.done_at, record.sent_at, record.at) == (later(7),) * 3


def test_a_later_step_fills_the_earlier_ones_as_not_seen(floor, piece):
    floor.say(piece, "in", "installer")
    row = standing(piece)
    assert (row.step, row.level, row.place) == ("in", 3, floor.world.room)
    assert row.not_seen == [
        "cut",
        "bent",
        "checked",
        "labelled",
        "bundled",
        "loaded",
        "dropped",
        "received",
        "in the room",
    ]


def test_load_and_bundle_are_words_for_now(floor, piece):
    floor.say(piece, "pack", "driver", fields={"into": " 4C "}, place=floor.world.rack)
    assert standing(piece).box == "4C"
    floor.say(piece, "load", "driver", fields={"load": "118"})
    row = standing(piece)
    assert (row.load, row.trip, row.level, row.place) == ("118", "118", 1, None)


def test_the_other_copy_stays_as_it_is(floor, piece):
    floor.say(piece, "cut")
    assert floor.piece(copy=2).step == "released"


# The same nonce


def test_the_same_nonce_again_is_answered_from_the_one_that_is_stored(floor, piece):
    first = floor.say(piece, "cut", nonce="n-1")
    again = floor.say(piece, "bend", nonce="n-1")
    assert again.record == first.record and again.repeated and again.replies == ("ok",)
    assert Record.objects.count() == 1 and standing(piece).step == "cut"
    assert History.objects.filter(action__startswith="record.").count() == 1


def test_the_same_scan_by_another_man_is_already(floor, piece):
    floor.say(piece, "cut", nonce="n-1")
    assert floor.say(piece, "cut", "lead").replies == ("already:n-1",)


# Clocks (the worked times are of the rule itself: skew at sending, five minutes either way)


def say_at(floor, piece, done, sent, came):
    words = floor.words("cut", "hand", 0, {"piece": piece, "done_at": later(done), "sent_at": later(sent)})
    with clock.at(later(came)):
        return services.record_add(**words).record


@pytest.mark.parametrize(
    ("minutes", "at", "marked"),
    [
        ((60, 60, 60), 60, False),
        ((60, 63, 64), 60, False),
        ((60, 180, 180), 60, False),
        ((90, 150, 120), 60, True),
        ((30, 90, 120), 60, True),
        ((200, 120, 120), 120, True),
        ((-60, 120, 120), 120, True),
    ],
    ids=["at once", "four minutes late", "offline", "fast clock", "slow clock", "in the future", "before it was made"],
)
def test_the_time_is_fixed_when_it_is_stored(floor, piece, minutes, at, marked):
    record = say_at(floor, piece, *minutes)
    assert (record.at, record.phone_clock) == (later(at), marked)


def test_a_wrong_clock_is_told_to_its_maker_and_the_lead(floor, piece):
    done = floor.say(piece, "cut", done_at=later(500), sent_at=later(5))
    assert done.replies == ("phone_clock",)
    found = set(Line.objects.values_list("code", "person__username", "role", "piece"))
    assert found == {("phone_clock", "hand", "", piece.pk), ("phone_clock", None, "lead", piece.pk)}


# Other pieces, names, runs


def test_an_annul_strikes_and_an_annulled_annul_does_not(floor, piece):
    floor.say(piece, "scrap", nonce="n-1")
    assert standing(piece).word == "SCRAP"
    assert floor.say(None, "annul", annuls="n-1", nonce="n-2", reason="wrong one").replies == ("ok",)
    assert (standing(piece).word, standing(piece).step) == ("CUT", "released")
    floor.say(None, "annul", annuls="n-2", nonce="n-3")
    assert standing(piece).word == "SCRAP"


def test_an_annul_that_comes_before_what_it_annuls(floor, piece):
    floor.say(None, "annul", annuls="n-1", minutes=9)
    floor.say(piece, "scrap", nonce="n-1", minutes=8)
    assert standing(piece).word == "CUT"


def test_another_mans_annul_has_no_effect_and_he_is_told(floor, piece):
    floor.say(piece, "scrap", nonce="n-1")
    assert floor.say(None, "annul", "driver", annuls="n-1").replies == ("ask_lead",)
    assert standing(piece).word == "SCRAP"
    line = Line.objects.get(code="ask_lead")
    assert (line.person, line.piece, line.record.verb) == (floor.world.driver, None, "annul")


def test_a_hold_of_a_run_holds_its_pieces_until_it_is_named(floor, piece):
    run = piece.run
    floor.say(None, "hold", "foreman", run=run, nonce="n-1", reason="wall moves")
    assert {row.word for row in Piece.objects.all()} == {"HOLD"} and all(row.good for row in Piece.objects.all())
    floor.say(None, "unhold", "foreman", run=run, names=["n-1"])
    assert {row.word for row in Piece.objects.all()} == {"CUT"}


def test_a_swap_changes_the_metal_of_two_codes(floor, piece):
    other = floor.piece(copy=2)
    floor.say(piece, "cut")
    floor.say(piece, "swap", others={"other": other})
    assert (standing(piece).step, standing(other).step) == ("released", "cut")
    assert list(RecordPiece.objects.values_list("word", "piece")) == [("other", other.pk)]


def test_what_a_record_names_can_be_looked_up(floor, piece):
    floor.say(piece, "snag", nonce="n-1", fields={"kind": "damaged"})
    floor.say(piece, "clear", names=["n-1", "n-0", "n-1"])
    assert sorted(RecordName.objects.values_list("named", flat=True)) == ["n-0", "n-1"]
    assert standing(piece).flags == []


def test_used_elsewhere_fills_the_other_need_and_opens_its_own(floor, piece):
    other = floor.release("S-05").revision.run
    floor.make(piece)
    floor.say(piece, "elsewhere", "foreman", place=floor.world.other_room, others={"need": other})
    row = standing(piece)
    assert (row.fills, row.step, row.flags, row.last_record.for_run) == (other, "in", ["USED ELSEWHERE"], other)


def test_used_elsewhere_for_another_shape_fills_nothing(floor, piece):
    other = floor.release("S-05", document=piece.release.document | {"path": [{"leg": "75"}]}).revision.run
    floor.say(piece, "elsewhere", "foreman", place=floor.world.other_room, others={"need": other})
    assert (standing(piece).fills, standing(piece).good) == (None, False)


def test_used_for_a_run_whose_shape_changes_counts_no_longer_until_that_is_withdrawn(floor, piece):
    other = floor.release("S-05").revision.run
    floor.say(piece, "elsewhere", "foreman", place=floor.world.other_room, others={"need": other})
    b = floor.revise(other, document=piece.release.document | {"path": [{"leg": "75"}]})
    assert standing(piece).fills is None
    revision_cancel(revision=b, actor=floor.world.foreman)
    assert standing(piece).fills == other


# B is sent


def test_sending_b_makes_metal_of_a_old(floor, piece):
    floor.say(piece, "cut")
    b = floor.revise(piece.run)
    record = Record.objects.get(verb="supersede")
    assert (record.run, record.person, record.fields, record.role) == (
        piece.run,
        floor.world.foreman,
        {"rev": "B"},
        "foreman",
    )
    assert {row.word for row in Piece.objects.all()} == {"OLD REV"}
    assert not Piece.objects.filter(good=True).exists() and b.letter == "B"
    assert list(Line.objects.values_list("code", "role", "piece")) == [("decide_old_rev", "lead", piece.pk)]


def test_withdrawing_b_gives_the_metal_back(floor, piece):
    floor.say(piece, "cut")
    b = floor.revise(piece.run)
    revision_cancel(revision=b, actor=floor.world.foreman)
    assert (standing(piece).word, standing(piece).good, Line.objects.count()) == ("BEND", True, 0)


def test_who_may_not_annul_may_not_withdraw(floor, piece):
    b = floor.revise(piece.run)
    with clock.at(NOON + timedelta(hours=25)), refused("ask_lead"):
        revision_cancel(revision=b, actor=floor.world.foreman)
    b.refresh_from_db()
    assert b.state == "sent" and standing(piece).word == "OLD REV"
    with clock.at(NOON + timedelta(hours=25)):
        revision_cancel(revision=b, actor=floor.world.lead)
    assert standing(piece).word == "CUT"


def test_the_leads_decision_uses_old_metal_for_b(floor, piece):
    floor.say(piece, "cut")
    floor.revise(piece.run)
    floor.say(piece, "decide", "lead", fields={"decision": "use", "rev": "B"})
    assert (standing(piece).word, standing(piece).good) == ("BEND", True)


# Refused


@pytest.mark.parametrize(
    ("said", "code"),
    [
        (("fly", "hand", {}), "unknown_verb"),
        (("cut", "installer", {}), "role_not_allowed"),
        (("check", "hand", {}), "missing_field"),
        (("check", "hand", {"fields": {"result": "so so"}}), "bad_value"),
        (("cut", "hand", {"fields": {"colour": "red"}}), "unknown_field"),
        (("drop", "driver", {}), "missing_place"),
        (("clear", "foreman", {}), "missing_names"),
        (("load", "driver", {"fields": {"load": " "}}), "unknown_load"),
        (("load", "driver", {"fields": {"load": "x" * 31}}), "bad_value"),
        (("pack", "driver", {"fields": {"into": ""}}), "unknown_box"),
        (("swap", "hand", {"fields": {"other": "p99999"}}), "unknown_piece"),
        (("elsewhere", "foreman", {"fields": {"need": "r99999"}}), "missing_place"),
        (("supersede", "foreman", {"fields": {"rev": "B"}}), "own_service"),
        (("remake", "foreman", {"fields": {"old": "scrap"}}), "own_service"),
        (("release", "lead", {}), "own_service"),
        (("empty", "driver", {}), "wrong_subject"),
        (("cut", "hand", {"reason": "x" * 301}), "text_too_long"),
        (("cut", "hand", {"reason": "\0"}), "bad_value"),
        (("cut", "hand", {"fields": {"note": "\ud800"}}), "bad_value"),
        (("cut", "hand", {"device": ""}), "bad_value"),
        (("cut", "hand", {"seq": 2**63}), "bad_value"),
        (("cut", "hand", {"names": ["x" * 65]}), "bad_value"),
        (("cut", "hand", {"done_at": datetime(2027, 3, 4)}), "bad_time"),
        (("cut", "hand", {"done_at": datetime(1, 1, 1, tzinfo=UTC)}), "bad_time"),
    ],
)
def test_what_cant_be_taken_is_refused_by_code_and_kept_for_its_maker(floor, piece, said, code):
    verb, by, more = said
    with refused(code):
        floor.say(piece, verb, by, **more)
    kept = RefusedRecord.objects.get()
    assert (kept.code, kept.nonce, kept.person.username, kept.piece, kept.said["verb"]) == (code, "r1", by, piece, verb)
    assert not Record.objects.exists() and standing(piece).step == "released"
    assert History.objects.get(action="record.refuse").data == {"nonce": "r1", "code": code}


def test_what_was_refused_stays_refused_when_it_is_sent_again(floor, piece):
    for _ in range(2):
        with refused("role_not_allowed"):
            floor.say(piece, "cut", "installer", nonce="n-1")
    assert RefusedRecord.objects.count() == 1


def test_its_maker_puts_away_what_was_refused_and_nobody_else_does(floor, piece):
    with refused("role_not_allowed"):
        floor.say(piece, "cut", "installer")
    kept = RefusedRecord.objects.get()
    with refused("not_yours"):
        services.refused_read(refused=kept, actor=floor.world.lead)
    for _ in range(2):
        services.refused_read(refused=kept, actor=floor.world.installer)
    assert RefusedRecord.objects.get().read_at == NOON
    assert History.objects.filter(action="record.refused_read").count() == 1


def test_a_record_is_about_one_thing(floor, piece):
    with refused("one_subject"):
        floor.say(piece, "hold", "foreman", run=piece.run)
    with refused("one_subject"):
        floor.say(None, "cut")
    assert RefusedRecord.objects.count() == 2


@pytest.mark.parametrize("nonce", ["", "x" * 65, "\0", "server-1"])
def test_a_record_needs_a_nonce_of_its_own(floor, piece, nonce):
    with refused("bad_nonce"):
        floor.say(piece, "cut", nonce=nonce)
    assert not RefusedRecord.objects.exists() and not Record.objects.exists()


def test_the_servers_own_records_are_not_annulled_by_a_scan(floor, piece):
    b = floor.revise(piece.run)
    with refused("own_service"):
        floor.say(None, "annul", "lead", annuls=f"server-rev-{b.pk}")


# A queue


def test_a_queue_is_stored_at_once_and_answered_one_by_one(floor, piece):
    queue = [
        floor.saying(piece, "cut", nonce="n-1"),
        floor.saying(piece, "cut", "installer", nonce="n-2"),
        floor.saying(piece, "bend", nonce="n-3"),
        floor.saying(piece, "cut", nonce="n-1"),
        floor.saying(piece, "cut", nonce=""),
    ]
    with clock.at(later(9)):
        found = services.records_add(queue)
    assert [bool(one.record) for one in found] == [True, False, True, True, False]
    assert [one.repeated for one in found] == [False, False, False, True, False]
    assert [[problem.code for problem in one.refused] for one in found] == [
        [],
        ["role_not_allowed"],
        [],
        [],
        ["bad_nonce"],
    ]
    assert {one.piece.step for one in found if one.piece} == {"bent"}
    assert Record.objects.count() == 2 and RefusedRecord.objects.count() == 1


def test_a_queue_sent_twice_is_one(floor, piece):
    queue = [floor.saying(piece, verb) for verb in ("cut", "bend")] + [floor.saying(piece, "cut", "installer")]
    with clock.at(later(9)):
        first, second = services.records_add(queue), services.records_add(queue)
    assert [one.record for one in first] == [one.record for one in second]
    assert [one.refused for one in first] == [one.refused for one in second]
    assert all(one.repeated for one in second) and Record.objects.count() == 2


def test_an_empty_queue_is_nothing(world):
    assert services.records_add([]) == []
