"""What the bench checks. Tolerances are common practice in the trade; no standard gives them."""

import json

import pytest

from bending.layout import layout
from shop.tickets import checking
from shop.tickets.cautions import cautions
from tests.tickets import sample


def bench(tag, **changes):
    run = sample.demo_run(tag)
    document = {**run["document"], **changes}
    shoe = sample.PROFILES[document["raceway"], document["size"]]
    return checking.Bench.of(layout({**document, "bender": shoe}), document, 0)


def said(tag, **changes):
    return [(box.words, box.length) for box in checking.boxes(bench(tag, **changes))]


# lengths by hand: run 1 is 19 1/2 and 5'-6" to the back; run 2 is 31 and 44 1/4 less 1/8 at each box;
# run 3 is 98 less two eighths, its saddle 2 7/8 at 41 less an eighth; run 6 is the root of 5 and 7 squared, 8.60
@pytest.mark.parametrize(
    ("tag", "wanted"),
    [
        ("S-04", [("A end to back", '19 1/2"'), ("back to B end", '66"')]),
        ("B-11", [("A end to back", '30 7/8"'), ("back to back", '44 1/4"'), ("back to B end", '30 7/8"')]),
        ("K-07", [("overall", '97 3/4"'), ("high spot", '40 7/8"'), ("rise", '2 7/8"')]),
        ("R-1", [("overall", '80"'), ("true offset", '8 5/8"')]),
        ("P-3", [("A end to back", '58"'), ("back to B end", '26 5/8"'), ("kick", '3"')]),
    ],
)
def test_two_or_three_dimensions_that_a_tape_can_take_on_a_table(tag, wanted):
    assert said(tag) == wanted


def test_what_must_hit_is_written_first_and_held_tighter():
    boxes = checking.boxes(bench("K-07", stars=["path[0].features[1].rise"]))
    assert boxes[0].star and boxes[0].words == "rise"
    assert boxes[0].tolerance == "+1/16 −0" and boxes[1].tolerance == "±1/8"


def test_a_saddle_may_never_be_under():
    found = checking.tolerances(bench("D-02"))
    assert found["path[0].features[0].rise"] == "+1/8 −0"


def test_an_end_that_may_run_long_is_held_loosely():
    found = checking.tolerances(bench("S-04", run_long={"end": "end", "by": "2"}))
    assert found["path[2].leg"] == "±1/4" and found["path[0].leg"] == "±1/8"


def test_a_metric_tape_has_metric_tolerances():
    boxes = checking.boxes(bench("S-04", tape="1 mm"))
    assert {box.tolerance for box in boxes} == {"±3 mm"} and boxes[0].length == "495 mm"  # 19.5 x 25.4


@pytest.mark.parametrize(
    ("tag", "step", "words"),
    [
        ("S-04", 1, "stub 19 1/2, square"),
        ("B-11", 2, "back to back 44 1/4, square"),
        ("K-07", 2, "end 3/8 out, parallel"),
        ("K-07", 4, "both slopes 22½°"),
        ("K-07", 5, "rise 2 7/8, feet in line"),
        ("D-02", 2, "rise 6 1/2, level"),
        ("P-3", 2, "kick 3, square"),
        ("R-1", 2, "offset 8 5/8, parallel"),
        ("F-2", 1, "to back 57, square"),
    ],
)
def test_a_step_is_checked_before_the_next_bend_hides_it(tag, step, words):
    assert checking.after_each(bench(tag))[step] == words


def after_joined(item):
    path = [{"leg": 48}, item, {"leg": 44}]
    document = {"format": "run/1", "tag": "S", "raceway": "EMT", "size": "1/2", "measure": "back", "path": path}
    solved = layout({**document, "bender": sample.PROFILES["EMT", "1/2"]})
    return checking.after_each(checking.Bench.of(solved, document, 0))


def test_nobody_loses_count_of_the_shots_of_a_large_bend():
    # spacing by the book, 24 x 1.57 / 15 = 2.51 (NJATC, Conduit Fabrication, level 2, lesson 4, divides by the shots)
    said = after_joined({"corner": 90, "turn": "left", "radius": 24})
    assert said[1] == "15 shots of 6°, 2 1/2 apart"
    assert [said[step] for step in (2, 3, 14)] == ["so far 12°", "so far 18°", "so far 84°"]
    assert said[15] == "to back 48, square"


def test_a_return_bend_is_checked_across_its_backs():
    # a width of 20 between centres and a diameter of 0.706
    assert after_joined({"u_bend": 20, "turn": "left"}) == {1: "to back 48, square", 2: "back to back 20 11/16, square"}


def test_nothing_is_checked_before_it_is_bent():
    after = checking.after_each(bench("K-07"))
    assert 1 not in after and 6 not in after


def test_marks_in_another_order_are_checked_when_their_feature_is_done():
    found = bench("K-07")
    for mark, step in zip(found.marks, (1, 2, 4, 3, 5, 6, 7), strict=True):
        mark["step"] = step
    after = checking.after_each(
        checking.Bench(sorted(found.marks, key=lambda m: m["step"]), found.dimensions, {}, "1/16")
    )
    assert after[5] == "rise 2 7/8, feet in line" and 3 not in after and 4 not in after


@pytest.mark.parametrize(
    ("tag", "has", "lacks"),
    [
        ("S-04", ["90s square"], ["right hand, not mirrored", "ends in line, parallel"]),
        ("K-07", ["flat, no dog leg", "ends in line, parallel"], ["90s square", "right hand, not mirrored"]),
        ("P-3", ["right hand, not mirrored", "90s square"], ["not over length"]),
        ("R-1", ["right hand, not mirrored"], ["90s square"]),
    ],
)
def test_only_what_the_shape_has_is_ticked(tag, has, lacks):
    ticks = checking.ticks(bench(tag))
    assert set(has) <= set(ticks) and not set(lacks) & set(ticks)


def lines(tag, kind="hand", weight=None, **changes):
    run = sample.demo_run(tag)
    document = {**run["document"], **changes}
    solved = layout({**document, "bender": sample.PROFILES[document["raceway"], document["size"]]})
    pounds = solved["size"]["pieces"][0]["weight"] if weight is None else weight
    return cautions(json.loads(json.dumps(solved["pieces"][0])), pounds, document["raceway"], kind)


def test_cautions_are_never_more_than_three_lines():
    assert all(len(lines(tag, "hydraulic", 80)) <= 3 for tag in ("S-04", "K-07", "H-9", "G-1", "L-21"))


def test_the_swing_is_the_longest_pipe_past_a_bend_rounded_up_to_feet():
    # run 3: 98.839 in cut, first mark at 1.885 with the hook to zero: 96.95 in, 8.08 ft
    assert "up to 9 ft of pipe moves past bend 1" in lines("K-07")[0]


def test_every_sheet_asks_for_eye_protection_and_reamed_ends():
    for tag in ("S-04", "K-07", "L-21"):
        said = " ".join(lines(tag))
        assert "Eye protection" in said and "Ream both ends" in said


@pytest.mark.parametrize(("tag", "weight", "two"), [("S-04", 3, False), ("S-04", 51, True), ("H-9", 8, True)])
def test_two_people_over_ten_feet_with_a_bend_or_over_fifty_pounds(tag, weight, two):
    assert ("Two people" in " ".join(lines(tag, weight=weight))) is two


def test_a_straight_stick_over_ten_feet_swings_nothing():
    said = " ".join(lines("L-21", path=[{"leg": "150"}]))
    assert "Swing" not in said and "Two people" not in said


def test_threaded_conduit_is_threaded_before_it_is_bent():
    assert "Thread before bending" in " ".join(lines("G-1"))
    assert "Thread" not in " ".join(lines("K-07"))


def test_a_hydraulic_bender_has_its_own_caution():
    assert "Pins and pivot shoes" in " ".join(lines("K-07", "hydraulic"))
