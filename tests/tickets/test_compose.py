"""From rows to what the paper says."""

from datetime import timedelta

import pytest

from shop.jobs.sizes import SIZE_COLOURS, contrast, ink_on
from shop.tickets import compose
from shop.tickets.booking import book_rows
from shop.tickets.compose import shoe_words
from shop.tickets.content import BendRow, TradeSize
from shop.tickets.faults import NotPrinted
from tests.tickets import sample


def ticket(tag="K-07", piece=None, release=None, **changes):
    found = release or sample.release(sample.demo_run(tag), **changes)
    return compose.tickets(found, number=1, at=sample.AT, piece=piece)[0]


@pytest.mark.parametrize(("roll", "word"), [(0, "TOP"), (90, "LEFT"), (180, "BOTTOM"), (270, "RIGHT")])
def test_the_line_in_the_shoe_is_a_word(roll, word):
    assert shoe_words(word.lower(), roll, "start") == (word, "")


# the trade's run 6: 305.5 is 54 1/2 from top toward the RIGHT line, and the second bend exactly opposite
@pytest.mark.parametrize(
    ("roll", "zero", "said"),
    [
        (305.5, "start", ("54½° from TOP", "toward RIGHT")),
        (125.5, "start", ("54½° from BOTTOM", "toward LEFT")),
        (54.5, "end", ("54½° from TOP", "toward RIGHT")),
    ],
)
def test_an_odd_roll_is_said_from_the_nearer_line_toward_a_side(roll, zero, said):
    assert shoe_words(f"{roll}°", roll, zero) == said


def test_a_later_release_is_a_re_ticket():
    release = sample.release(sample.demo_run("K-07"))
    assert ticket(release=release).loud == ()
    release.number = 2
    assert ticket(release=release).loud == ("RE-TICKET",)


def test_a_rush_has_its_hour_in_the_job_s_own_time():
    assert ticket(rush=True).loud == ("RUSH Tue 6:20",)  # 12:20 in UTC, Chicago in November


def test_a_later_revision_is_told():
    assert ticket(number=3).loud == ("REV C",)


def test_a_remade_piece_is_told_and_is_one():
    release = sample.release(sample.demo_run("S-04"))
    content = ticket(release=release, piece=sample.piece(release, remake=2))
    assert content.loud == ("REMAKE R2",) and content.tag == "S-04 R2" and content.quantity == 1


def test_without_a_day_the_sheet_says_so():
    assert ticket(needed_at=None).needed == "no day given"


def test_a_reading_is_told_only_where_the_bender_springs_back():
    release = sample.release(sample.demo_run("K-07"))
    release.layout["pieces"][0]["marks"][3]["bend_to"] = 46.5
    assert [bend.go_to for bend in ticket(release=release).bends] == [None, None, None, 46.5, None, None, None]


def test_an_untested_bender_is_told():
    release = sample.release(sample.demo_run("K-07"))
    release.profile.tested_at = None
    assert "NOT TESTED" in ticket(release=release).bender


def test_ends_to_thread_and_the_end_that_runs_long_are_told():
    release = sample.release(sample.demo_run("G-1"))
    release.layout["pieces"][0]["threads"] = ["start", "end"]
    release.document = {**release.document, "run_long": {"end": "end", "by": '2"'}}
    assert (
        ticket(release=release).zero_more
        == "Thread A and B end before bending. B end runs 2 long: cut it in the field."
    )


def test_the_shop_s_own_names_of_the_marks_are_used():
    release = sample.release(sample.demo_run("K-07"))
    release.profile.data = {**release.profile.data, "marks": {"arrow": "front of hook"}}
    assert ticket(release=release).names["arrow"] == "front of hook"


def test_a_stick_longer_than_ten_feet_is_told():
    assert ticket("H-9").cut_more == ("longer than 10 ft",)


def test_the_book_stands_beside_the_front_bend_by_bend():
    release = sample.release(sample.demo_run("K-07"))
    rows = book_rows(release.layout, 0)
    fronts = [mark["text"].rstrip('"') for mark in release.layout["pieces"][0]["marks"]]
    assert [row.front.split(",")[0] for row in rows] == fronts
    # the centre of a three-bend on the notch: Goodheart-Willcox 2015, p. 91
    assert [row.mark for row in rows[2:5]] == ["arrow", "notch", "arrow"]


def test_a_bend_without_a_rule_says_so():
    run = sample.demo_run("S-04")
    run["document"]["path"][1]["corner"] = 60
    rows = book_rows(sample.release(run).layout, 0)
    assert rows[0].mark_at == "–" and rows[0].rule.startswith("no rule")


def test_a_label_has_one_length_for_a_straight_through_piece_and_a_box_for_any_other():
    k07, s04 = (sample.release(sample.demo_run(tag)) for tag in ("K-07", "S-04"))
    assert compose.label(sample.piece(k07), number=1, at=sample.AT).overall == "overall 97 3/4"
    assert compose.label(sample.piece(s04), number=1, at=sample.AT).overall == "66 by 19 1/2"


@pytest.mark.parametrize("colour", SIZE_COLOURS.values(), ids=SIZE_COLOURS)
def test_black_or_white_reads_on_every_size_s_colour(colour):
    assert contrast(ink_on(colour), colour) >= 7  # WCAG 2.2, 1.4.6


def test_contrast_is_the_standard_s():
    # WCAG 2: black on white is 21, #767676 on white 4.54
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)


BEND = {
    "step": 1, "mark_at": '13 1/2"', "mark": "arrow", "hook": "start", "zero": "start", "shoe": "TOP", "roll": 0.0,
    "angle": 90.0,
}  # fmt: skip


@pytest.mark.parametrize(
    "wrong",
    [{"mark_at": "soon"}, {"mark": "cross"}, {"hook": "left"}, {"angle": 0}, {"roll": 360}, {"step": 0}, {"shoe": " "}],
    ids=str,
)
def test_content_that_can_t_be_true_is_refused(wrong):
    BendRow(**BEND)
    with pytest.raises(NotPrinted) as caught:
        BendRow(**{**BEND, **wrong})
    assert caught.value.code == "bad_content"


def test_a_colour_that_is_none_is_refused():
    with pytest.raises(NotPrinted):
        TradeSize("EMT", "3/4", "blue")


def test_times_are_told_in_the_job_s_zone():
    release = sample.release(sample.demo_run("K-07"), needed_at=sample.AT + timedelta(hours=20))
    assert ticket(release=release).needed == "needed Wed Nov 25, 2:20"


def in_two():
    """Box to panel, with a conduit body between."""
    body = {"fitting": "conduit body", "corner": 90, "turn": "off", "allowance": 2}
    document = {
        "format": "run/1", "tag": "LB-1", "raceway": "EMT", "size": "3/4", "mount": "wall", "heads": "up",
        "start": {"to": "box face", "fitting": "connector", "allowance": "1/8"}, "end": {"to": "panel top"},
        "run_long": {"end": "end", "by": 2}, "path": [{"leg": 48}, body, {"leg": 44}],
    }  # fmt: skip
    return sample.release(sample.run_of(document))


def test_a_stick_between_others_ends_at_what_joins_them_and_not_at_the_run_s_ends():
    first, second = compose.tickets(in_two(), number=1, at=sample.AT)
    assert first.fittings == ("box face; connector", "piece 2; conduit body")
    assert second.fittings == ("piece 1; conduit body", f"panel top; {compose.NO_FITTING}")
    assert second.zero_words == "A end, piece 1"
    assert ("2 long" in first.zero_more, "2 long" in second.zero_more) == (False, True)


def test_a_label_says_by_what_its_piece_goes_on():
    release = in_two()
    labels = [compose.label(sample.piece(release, part=part), number=1, at=sample.AT) for part in (1, 2)]
    assert [(one.a_end, one.b_end) for one in labels] == [
        ("box face", "conduit body to piece 2"), ("conduit body to piece 1", "panel top")]  # fmt: skip
