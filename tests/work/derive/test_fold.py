"""The rules of the fold, one stick or box at a time. Expected values: the trade's words as the project defines them."""

from tests.work.derive.floor import after, made

ABOARD = (*made("S.1"), *made("S.2"), "05:40 driver-1 pack S.1 into=B7", "05:40 driver-1 pack S.2 into=B7")
ABOARD += ("06:00 driver-1 load B7 load=118 #lod",)


def test_a_later_step_is_believed_and_fills_the_earlier() -> None:
    piece = after("08:00 foreman-1 receive S.1 @Tern/L2 #got").pieces["S.1"]
    assert (piece.step, piece.not_seen[-1], piece.inferred["cut"]) == ("received", "dropped", "got")


def test_a_late_earlier_step_is_seen_and_moves_nothing() -> None:
    piece = after("08:00 foreman-1 receive S.1 @Tern/L2", "09:00 hand-1 bend S.1 @shop").pieces["S.1"]
    assert (piece.step, piece.place) == ("received", "Tern/L2")
    assert "bent" not in piece.not_seen and "cut" in piece.not_seen


def test_received_then_loaded_syncs() -> None:
    answer = after(
        *made("S.1"), "08:00 foreman-1 receive S.1 @Tern/L2", "06:00 driver-1 load S.1 load=118 came=09:00 #l"
    )
    assert answer.pieces["S.1"].step == "received"
    assert (answer.pieces["S.1"].trip, answer.replies["l"]) == ("118", ("ok",))


def test_a_failed_check_takes_back_from_checked_to_bent_only() -> None:
    assert after(*made("S.1")[:3], "06:00 lead check S.1 result=fail").pieces["S.1"].step == "bent"
    assert after(*made("S.1"), "06:00 lead check S.1 result=fail").pieces["S.1"].step == "labelled"


def test_fail_then_pass_lets_it_go() -> None:
    piece = after(*made("S.1"), "06:00 lead check S.1 result=fail", "06:10 lead check S.1 result=pass").pieces["S.1"]
    assert (piece.flags, piece.not_seen, piece.word) == ((), (), "BUNDLE")


def test_labels_printed_before_bending_label_nothing() -> None:
    piece = after("04:00 hand-2 cut S.1", "04:10 hand-1 print S.1 how=batch").pieces["S.1"]
    assert (piece.step, piece.prints, piece.word) == ("cut", 1, "BEND")


def test_a_step_that_does_not_apply_is_neither_asked_nor_missed() -> None:
    piece = after("04:00 hand-2 bend H.1", "05:00 hand-2 label H.1").pieces["H.1"]
    assert (piece.not_seen, piece.flags, piece.word) == (("cut",), (), "BUNDLE")


def test_move_takes_it_from_the_other_truck() -> None:
    answer = after(*ABOARD, "06:50 driver-2 load B7 load=121 move=true #mine")
    assert (answer.pieces["S.1"].load, answer.boxes["B7"].load, answer.replies["mine"]) == ("121", "121", ("ok",))


def test_the_man_who_was_refused_is_not_asked_any_more_once_it_is_his() -> None:
    refused = (*ABOARD, "06:50 driver-2 load B7 load=121 #two")
    assert after(*refused).listed("driver-2") == ("on_other_load",)
    assert after(*refused, "06:55 driver-2 load B7 load=121 move=true").listed("driver-2") == ()


def test_off_loaded_goes_back_to_bundled_in_its_bundle_and_to_labelled_alone() -> None:
    answer = after(*ABOARD, "06:30 driver-1 off_load S.1", "06:31 driver-1 off_load B7 @shop/rack")
    assert (answer.pieces["S.1"].step, answer.pieces["S.1"].place) == ("labelled", "shop")
    assert (answer.pieces["S.2"].step, answer.pieces["S.2"].place) == ("bundled", "shop/rack")


def test_off_loaded_said_on_site_is_seen_there() -> None:
    piece = after(*ABOARD, "08:30 driver-1 off_load B7 @Tern/L2/@hoist").pieces["S.1"]
    assert (piece.step, piece.place, piece.box) == ("dropped", "Tern/L2/@hoist", "B7")


def test_unpacked_by_word_is_labelled_and_no_gap_in_the_bundle() -> None:
    answer = after(*ABOARD[:-1], "05:50 driver-1 unpack S.1")
    assert (answer.pieces["S.1"].step, answer.boxes["B7"].n, answer.boxes["B7"].m) == ("labelled", 1, 1)


def test_emptied_lets_all_out_forgets_who_left_and_takes_no_step_back() -> None:
    answer = after(
        *ABOARD[:-1], "05:50 driver-1 load S.1 load=118", "06:00 foreman-1 in S.1", "06:10 driver-1 empty B7"
    )
    assert (answer.boxes["B7"].n, answer.boxes["B7"].m) == (0, 0)
    assert (answer.pieces["S.2"].step, answer.pieces["S.2"].box) == ("bundled", None)


def test_put_into_a_box_that_is_aboard_is_loaded_unseen() -> None:
    piece = after(*ABOARD, *made("S.3"), "06:05 driver-1 pack S.3 into=B7").pieces["S.3"]
    assert (piece.step, piece.trip, piece.not_seen) == ("loaded", "118", ("loaded",))


def test_put_into_a_box_though_it_stands_later_changes_nothing_and_says_so() -> None:
    answer = after(*made("S.1"), "08:00 foreman-1 receive S.1 @Tern/L2", "09:00 driver-1 pack S.1 into=C4 #late")
    assert (answer.pieces["S.1"].box, answer.replies["late"]) == (None, ("stands_later",))


def test_a_box_goes_into_no_box_that_lies_in_it() -> None:
    answer = after("05:00 driver-1 pack B7 into=C4", "05:10 driver-1 pack C4 into=C4 #self")
    assert (answer.boxes["B7"].box, answer.boxes["C4"].box, answer.replies["self"]) == ("C4", None, ("refused",))


def test_a_cart_goes_on_without_a_word_and_leaves_its_pieces() -> None:
    answer = after(
        *made("S.1"),
        "05:40 driver-1 pack S.1 into=C4",
        "06:00 driver-1 load C4 load=118",
        "09:00 foreman-1 receive C4 @Tern/L2/@hoist",
        "15:00 hand-1 seen C4 @shop",
    )
    assert (answer.pieces["S.1"].place, answer.pieces["S.1"].box) == ("Tern/L2/@hoist", None)
    assert (answer.boxes["C4"].place, list(answer.boxes["C4"].gone)) == ("shop", ["S.1"])


def test_a_bundle_on_a_cart_is_left_with_its_pieces() -> None:
    answer = after(
        *ABOARD[:-1],
        "05:50 driver-1 pack B7 into=C4",
        "06:00 driver-1 load C4 load=118",
        "09:00 foreman-1 receive C4 @Tern/L2/@hoist",
        "1+06:00 driver-1 load C4 load=121",
    )
    assert (answer.boxes["B7"].box, answer.pieces["S.1"].box, answer.boxes["C4"].n) == (None, "B7", 0)
    assert list(answer.boxes["C4"].gone) == ["S.1", "S.2"]


def test_kept_takes_it_back_aboard() -> None:
    piece = after(*ABOARD, "08:00 driver-1 drop B7 @Quillet", "08:05 driver-1 kept B7 load=118").pieces["S.1"]
    assert (piece.step, piece.place, piece.box, piece.word) == ("loaded", "load/118", "B7", "DROP")


def test_another_jobs_ground_counts_as_on_the_truck() -> None:
    answer = after(*ABOARD, "08:00 driver-1 drop B7 @Quillet/L1")
    assert (answer.needs["S-04"].on_truck, answer.needs["S-04"].here, answer.pieces["S.1"].word) == (
        2,
        0,
        "WRONG PLACE",
    )


def test_pulled_out_is_in_the_room_again() -> None:
    piece = after("09:00 foreman-1 in S.1 @Tern/L2/214/N", "10:00 foreman-1 pull S.1").pieces["S.1"]
    assert (piece.step, piece.place, "in" in piece.seen) == ("in the room", "Tern/L2/214/N", False)


def test_returned_for_good_is_no_longer_for_its_need() -> None:
    answer = after("09:00 foreman-1 in B.1", "10:00 foreman-1 pull B.1", "12:00 driver-1 return B.1 for=stock")
    assert (answer.pieces["B.1"].step, answer.pieces["B.1"].need, answer.needs["B-11"].missing) == ("labelled", None, 1)


def test_short_at_receive_is_nowhere_and_missing() -> None:
    answer = after(
        *ABOARD, "08:58 foreman-1 receive B7 @Tern/L2 count=1 of=2 #c", "08:59 foreman-1 snag S.2 kind=short ^c"
    )
    assert (answer.pieces["S.2"].step, answer.pieces["S.2"].place, answer.pieces["S.2"].word) == (
        "loaded",
        None,
        "SHORT",
    )
    assert (answer.needs["S-04"].here, answer.boxes["B7"].open, answer.listed("lead")) == (
        1,
        False,
        ("find_or_remake",),
    )


def test_found_under_the_tarp_clears_short_and_tells_where() -> None:
    answer = after(
        *ABOARD,
        "08:58 foreman-1 receive B7 @Tern/L2 count=1 of=2 #c",
        "08:59 foreman-1 snag S.2 kind=short ^c",
        "11:00 driver-1 receive S.2 @Tern/L2/@hoist #tarp",
    )
    assert (answer.pieces["S.2"].flags, answer.pieces["S.2"].found) == ((), ("tarp", "Tern/L2/@hoist"))
    assert answer.listed("lead") == ()


def test_a_later_full_count_brings_back_who_was_named_short() -> None:
    answer = after(
        *ABOARD,
        "08:58 foreman-1 receive B7 @Tern/L2 count=1 of=2 #c",
        "08:59 foreman-1 snag S.2 kind=short ^c",
        "09:30 foreman-2 receive B7 @Tern/L2 count=2 of=2",
    )
    assert (answer.pieces["S.2"].step, answer.pieces["S.2"].box, answer.pieces["S.2"].flags) == ("received", "B7", ())


def test_a_short_is_heard_at_its_count_so_who_is_seen_after_that_is_found() -> None:
    counted = (*ABOARD, "08:58 foreman-1 receive B7 @Tern/L2 count=1 of=2 #c", "09:40 foreman-1 snag S.2 kind=short ^c")
    piece = after(*counted, "09:30 installer-1 in S.2").pieces["S.2"]
    assert (piece.step, piece.flags) == ("in", ())


def test_who_was_in_before_the_count_is_not_short_and_the_counter_hears_it() -> None:
    counted = (
        *ABOARD,
        "08:58 foreman-1 receive B7 @Tern/L2 count=1 of=2 #c",
        "08:59 foreman-1 snag S.2 kind=short ^c #s",
    )
    answer = after(*counted, "08:30 installer-1 in S.2")
    assert (answer.pieces["S.2"].word, answer.replies["s"]) == ("IN", ("stands_later",))


def test_short_of_nothing_that_was_counted_is_short_all_the_same() -> None:
    answer = after(*made("S.1"), "08:59 foreman-1 snag S.1 kind=short #s")
    assert (answer.pieces["S.1"].word, answer.pieces["S.1"].place, answer.needs["S-04"].missing) == ("SHORT", None, 0)
    assert answer.listed("lead") == ("find_or_remake",)


def test_a_cleared_short_was_never_short() -> None:
    lines = (
        *ABOARD,
        "08:58 foreman-1 receive B7 @Tern/L2 count=2 of=2 #c",
        "08:59 foreman-2 snag S.2 kind=short ^c #s",
    )
    assert after(*lines, "09:30 foreman-1 clear S.2 ^s").pieces["S.2"].box == "B7"


def test_closed_is_an_account_beside_the_step() -> None:
    answer = after(*made("S.1"), "09:00 office close S.1 account=scrapped")
    assert (answer.pieces["S.1"].step, answer.pieces["S.1"].rank, answer.pieces["S.1"].good) == ("closed", 4, False)
    assert after("09:00 foreman-1 in S.1", "10:00 office close S.1 account=unknown").pieces["S.1"].account == "in"


def test_a_swap_moves_the_metal_and_leaves_the_tag() -> None:
    answer = after(*ABOARD, "08:00 foreman-1 hold B.1", "09:00 hand-1 swap S.1 other=B.1 base=0")
    assert (answer.pieces["B.1"].step, answer.pieces["B.1"].box, answer.pieces["B.1"].word) == ("loaded", "B7", "HOLD")
    assert (answer.pieces["S.1"].step, answer.pieces["S.1"].flags) == ("released", ())
    assert answer.boxes["B7"].inside == ("B.1", "S.2")


def test_reworked_metal_is_cut_where_it_lies() -> None:
    answer = after(
        *made("K.A.1"), "07:00 lead supersede K-07 rev=B", "07:30 lead decide K.A.1 decision=rework rev=B into=K.B.1"
    )
    assert (answer.pieces["K.B.1"].step, answer.pieces["K.B.1"].place) == ("cut", "shop/rack")
    assert (answer.pieces["K.A.1"].word, answer.pieces["K.A.1"].dead, answer.pieces["K.A.1"].place) == (
        "REPLACED",
        True,
        None,
    )


def test_after_a_final_count_another_that_is_not_brings_nobody_back() -> None:
    final = (*ABOARD, "08:58 foreman-1 receive B7 @Tern/L2 count=1 of=2 final=true #c")
    answer = after(*final, "08:59 foreman-1 snag S.2 kind=short ^c", "09:30 foreman-2 receive B7 @Tern/L2 count=2 of=2")
    assert (answer.pieces["S.2"].word, len(answer.boxes["B7"].counts)) == ("SHORT", 2)


def test_dropped_where_its_bundle_is_not_is_out_of_it() -> None:
    piece = after(*ABOARD, "08:00 driver-1 drop S.1 @Tern/L2/@hoist #d").pieces["S.1"]
    assert (piece.box, piece.left) == (None, ("B7", "d", "drop"))


def test_in_said_again_without_a_place_keeps_the_place() -> None:
    piece = after("09:00 foreman-1 in S.1 @Tern/L2/214/N", "09:10 foreman-2 in S.1").pieces["S.1"]
    assert piece.place == "Tern/L2/214/N"


def test_seen_in_the_shop_is_on_no_truck() -> None:
    piece = after(*ABOARD, "15:00 hand-1 seen B7 @shop/rack").pieces["S.1"]
    assert (piece.load, piece.trip, piece.box, piece.step) == (None, "118", "B7", "loaded")


def test_pulled_out_is_no_longer_used_elsewhere() -> None:
    answer = after("14:00 foreman-1 elsewhere S.1 @Tern/L3/301 need=B-11", "15:00 foreman-1 pull S.1")
    assert (answer.pieces["S.1"].need, answer.pieces["S.1"].flags[0]) == ("S-04", "WRONG PLACE")


def test_put_into_its_bundle_again_it_is_no_gap() -> None:
    again = (*ABOARD, "06:30 driver-1 off_load S.1", "06:40 driver-1 pack S.1 into=B7 @shop")
    assert (after(*again).boxes["B7"].n, after(*again).boxes["B7"].m) == (2, 2)
    assert after(*again, "06:50 driver-1 unpack S.1").boxes["B7"].m == 1


def test_one_that_was_found_gone_before_is_not_reckoned_with_by_a_later_count() -> None:
    """Named short of two; then one of one was expected and none was there: that one is named by nobody."""
    lines = (*ABOARD, "08:58 foreman-1 receive B7 @Tern/L2 count=1 of=2 #c", "08:59 foreman-1 snag S.2 kind=short ^c")
    box = after(*lines, "09:30 foreman-1 receive B7 @Tern/L2 count=0 of=1").boxes["B7"]
    assert (box.unnamed, box.candidates) == (1, ("S.1",))
