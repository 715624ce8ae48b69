"""Holds, remakes, revisions, decisions, words, counts and loads: joins that no clock decides."""

import pytest

from shop.work.derive import derive, word_at
from tests.work.derive.floor import FACTS, after, made, records_of

B_COMES = (*made("K.A.1"), "07:00 lead supersede K-07 rev=B")
DAMAGED = (*made("S.1"), "09:00 foreman-1 receive S.1 @Tern/L2", "09:01 foreman-1 snag S.1 kind=damaged #dmg")
REMADE = (*DAMAGED, "09:02 foreman-1 remake S.1 child=S.1.R1 old=maybe")


def test_an_unhold_lifts_what_it_names_and_nothing_else() -> None:
    held = ("09:00 foreman-1 hold S.1 #h1", "09:10 foreman-2 hold S-04 #h2")
    assert after(*held, "09:20 lead unhold S.1 ^h1").pieces["S.1"].word == "HOLD"
    assert after(*held, "08:00 lead unhold S.1 ^h1,h2").pieces["S.1"].word == "CUT"


def test_a_hold_on_a_box_holds_what_lies_in_it() -> None:
    lines = (*made("S.1"), *made("S.2"), "05:40 driver-1 pack S.1 into=B7", "05:41 driver-1 pack B7 into=C4")
    answer = after(*lines, "06:00 lead hold C4")
    assert (answer.pieces["S.1"].flags, answer.pieces["S.2"].flags) == (("HOLD",), ())


def test_the_remake_counts_once() -> None:
    need = after(*REMADE).needs["S-04"]
    assert (need.asked, need.in_shop, need.here, need.missing, need.over, need.but) == (3, 3, 0, 0, 0, ("S.1",))


def test_a_cancelled_remake_is_dead_uncut_and_over_cut() -> None:
    cancelled = (*REMADE, "10:00 foreman-1 modified S.1 ^dmg", "10:01 foreman-1 cancel_remake S.1 child=S.1.R1")
    assert after(*cancelled).pieces["S.1.R1"].word == "REPLACED"
    answer = after(*cancelled, "10:05 hand-2 cut S.1.R1")
    assert (answer.pieces["S.1.R1"].word, answer.pieces["S.1.R1"].good) == ("OVER", False)
    assert (answer.pieces["S.1"].flags, answer.needs["S-04"].over) == (("FIELD-MODIFIED",), 0)


def test_a_surplus_remake_that_goes_to_stock_is_over_no_more() -> None:
    cancelled = (*REMADE, "10:01 foreman-1 cancel_remake S.1 child=S.1.R1", "10:05 hand-2 label S.1.R1")
    answer = after(*cancelled, "11:00 driver-1 return S.1.R1 for=stock")
    assert ("OVER" in answer.pieces["S.1.R1"].flags, answer.pieces["S.1.R1"].good) == (False, False)


def test_the_old_one_goes_in_anyway_and_the_foreman_is_asked() -> None:
    answer = after(*REMADE, "10:00 installer-1 in S.1")
    assert (answer.pieces["S.1"].step, answer.pieces["S.1"].word) == ("in", "REPLACED")
    assert (answer.needs["S-04"].in_place, answer.needs["S-04"].but) == (0, ("S.1",))
    assert answer.listed("foreman") == ("in_though_dead",)


def test_the_same_remake_twice_is_one() -> None:
    answer = after(
        *REMADE[:-1],
        "09:02 foreman-1 remake S.1 child=S.1.R1 old=maybe #one",
        "09:05 hand-1 remake S.1 child=S.1.R1 old=scrap #two",
    )
    assert answer.replies["two"] == ("already:one",)


def test_old_metal_waits_for_the_lead() -> None:
    answer = after(*B_COMES)
    assert (answer.pieces["K.A.1"].word, answer.pieces["K.A.1"].good) == ("OLD REV", False)
    assert answer.listed("lead") == ("decide_old_rev",)


def test_a_decision_is_for_one_revision() -> None:
    used = (*B_COMES, "07:30 lead decide K.A.1 decision=use rev=B into=K.B.1")
    assert after(*used).pieces["K.A.1"].good
    answer = after(*used, "08:00 foreman-1 supersede K-07 rev=C")
    assert (answer.pieces["K.A.1"].word, answer.listed("lead")) == ("OLD REV", ("decide_old_rev",))


def test_the_foreman_may_let_it_stay_and_the_lead_may_not_say_so() -> None:
    installed = (*B_COMES, "06:30 foreman-1 in K.A.1")
    stays = after(*installed, "08:00 foreman-1 decide K.A.1 decision=use rev=B into=K.B.1")
    assert (stays.pieces["K.A.1"].word, stays.pieces["K.B.1"].word, stays.needs["K-07"].in_place) == (
        "IN",
        "REPLACED",
        1,
    )
    assert after(*installed, "08:00 lead decide K.A.1 decision=scrap rev=B #no").replies["no"] == ("not_yours_now",)


def test_sent_back_is_settled_but_satisfies_nothing() -> None:
    lines = (
        *B_COMES,
        "08:00 foreman-1 receive K.A.1 @Tern/L2",
        "08:10 foreman-1 decide K.A.1 decision=send_back rev=B",
    )
    assert (after(*lines).listed("foreman"), after(*lines).needs["K-07"].here) == ((), 0)


def test_an_annulled_supersede_is_withdrawn() -> None:
    lines = (*made("K.A.1"), "07:00 lead supersede K-07 rev=B #b", "07:10 lead annul ^b")
    assert after(*lines).pieces["K.A.1"].word == "BUNDLE"


def test_an_annul_in_the_wrong_hands_only_asks_the_lead() -> None:
    answer = after("09:00 foreman-1 in S.1 #oops", "09:10 foreman-2 annul ^oops #no")
    assert (answer.pieces["S.1"].step, answer.replies["no"], answer.listed("foreman-2")) == (
        "in",
        ("ask_lead",),
        ("ask_lead",),
    )


def test_a_wrong_in_is_annulled_by_its_maker() -> None:
    answer = after(*made("S.1"), "09:00 foreman-1 in S.1 #oops", "09:10 foreman-1 annul ^oops")
    assert (answer.pieces["S.1"].step, answer.replies["oops"]) == ("labelled", ("annulled",))


@pytest.mark.parametrize(
    ("place", "word"),
    [("Tern/L2/@hoist", "RECEIVE"), ("Tern/@gate", "RECEIVE"), ("Quillet", "WRONG PLACE"), ("shop", "WRONG PLACE")],
)
def test_the_word_at_a_known_place(place: str, word: str) -> None:
    lines = records_of(*made("S.1"), "06:00 driver-1 load S.1 load=118", "08:00 driver-1 drop S.1 @Tern/L2")
    assert word_at("S.1", place, lines, FACTS) == word


def test_an_assembly_stands_at_its_least_stick() -> None:
    answer = after("04:00 hand-1 bend H.1", "04:10 hand-1 bend H.2", "09:00 foreman-1 in H.1")
    assert (answer.assemblies["H-9", 1], answer.needs["H-9"].in_shop, answer.needs["H-9"].in_place) == ("bent", 1, 0)


def test_dropped_is_shown_inside_here() -> None:
    need = after("08:00 driver-1 drop S.1 @Tern/L2", "08:10 foreman-1 receive S.2 @Tern/L2").needs["S-04"]
    assert (need.here, need.dropped) == (2, 1)


def test_used_elsewhere_opens_its_own_need_and_fills_the_one_named() -> None:
    answer = after(*made("S.1"), "14:00 foreman-1 elsewhere S.1 @Tern/L3/301 need=B-11")
    assert (answer.needs["B-11"].in_place, answer.needs["B-11"].over, answer.needs["S-04"].in_shop) == (1, 1, 3)


def test_a_load_tells_who_is_aboard_and_who_is_to_follow() -> None:
    lines = (
        "05:00 driver-1 plan S.1 load=118",
        "05:00 driver-1 plan S.2 load=118 #p",
        "05:00 driver-1 plan S.3 load=118",
    )
    answer = after(
        *lines, "05:10 office unplan S.2 ^p", "06:00 driver-1 load S.1 load=118", "06:00 driver-1 load B.1 load=118"
    )
    load = answer.loads["118"]
    assert (load.lines, load.n, load.m) == ({"B.1": "added", "S.1": "aboard", "S.3": "to follow"}, 1, 2)


def test_what_the_other_truck_has_is_said_by_its_number() -> None:
    answer = after("05:00 driver-1 plan S.1 load=118", "06:00 driver-2 load S.1 load=121")
    assert answer.loads["118"].lines == {"S.1": "on load 121"}


def test_a_closed_batch_leaves_the_unbent_open_by_name() -> None:
    answer = after("04:00 hand-1 bend S.1", "17:00 lead close_batch b1")
    batch = answer.batches["b1"]
    assert (batch.n, batch.m, batch.closed, "S.2" in batch.open, answer.pieces["S.2"].step) == (
        1,
        8,
        True,
        True,
        "released",
    )


def test_a_refused_record_is_kept_and_told_to_its_maker_alone() -> None:
    answer = after("09:00 viewer-1 in S.1 #no", "09:00 hand-1 supersede K-07 rev=B #nor")
    assert (answer.replies["no"], answer.replies["nor"]) == (("refused",), ("refused",))
    assert (answer.listed("viewer-1"), answer.listed("lead"), answer.pieces["S.1"].step) == (
        ("refused",),
        (),
        "released",
    )


def test_a_wrong_clock_is_told_to_its_maker_and_the_lead() -> None:
    answer = derive(records_of("12:00 driver-1 seen S.1 @Tern/L2 came=10:00 #fast"), FACTS)
    assert (answer.listed("driver-1"), answer.listed("lead")) == (("phone_clock",), ("phone_clock",))


def test_a_load_remembers_what_came_on_it_after_that_went_on() -> None:
    lines = (
        "05:00 driver-1 plan S.1 load=118",
        "06:00 driver-1 load S.1 load=118",
        "09:00 foreman-1 receive S.1 @Tern/L2",
    )
    answer = after(*lines, "12:00 driver-2 load S.1 load=121 again=true")
    assert (answer.loads["118"].lines, answer.loads["118"].n) == ({"S.1": "received"}, 1)
    assert answer.loads["121"].lines == {"S.1": "added"}
