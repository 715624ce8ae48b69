"""Published examples, row by row; each source stands in `authority/` and in every failure.

Rows that no reader can look up are worked too, and marked: they are no published check.
"""

import json
import math
from collections import Counter
from pathlib import Path

import pytest

from bending.fold import fold
from bending.handbook import fold_marks
from bending.lengths import format_length, parse_length, round_to_tape
from bending.problems import Problems
from bending.rules import (
    box_offset_rise,
    concentric_radius,
    developed_length,
    kick_distance,
    offset_marks,
    offset_rule,
    parallel_gap,
    parallel_shift,
    saddle3_marks,
    saddle_rule,
    stub_mark,
)
from tests.bending.printed import FOLDER, kind, of, published, row, rows
from tests.bending.test_handbook import LARGE, shoe

# Gains of usual hand shoes: common practice, no source. A stub's mark must not depend on them.
GAINS = {"1/2": 2.625, "3/4": 3.25, "1": 4, "1-1/4": 5.625, "3/4 RMC": 3.875}


def ids(found):
    return [f"{one['id']}{'' if one['counts'] else ' (no citable source)'}" for one in found]


def each(rule):
    found = of(rule)
    return pytest.mark.parametrize("printed", found, ids=ids(found))


def near(printed, **more):
    return {"abs": printed["precision"], **more}


# Stubs, through a laid-out document.


def stub_document(size, take_up, stub, gain):
    name, _, raceway = size.partition(" ")
    return {
        "format": "run/1",
        "raceway": raceway or "EMT",
        "size": name,
        "bender": {"take_up": take_up, "gain": gain},
        "start": {"allowance": 0},
        "end": {"allowance": 0},
        "path": [{"leg": stub}, {"corner": 90, "turn": "out"}, {"leg": 60}],
    }


STUBS = [
    pytest.param(size, take_up, one["inputs"]["stub"], mark, one["precision"], id=f"{name} {size}: {stub}")
    for one, name in zip(of("stub_mark"), ids(of("stub_mark")), strict=True)
    for stub in [one["inputs"]["stub"]]
    for (size, take_up), mark in zip(one["inputs"]["take_up"].items(), one["answer"]["marks"], strict=True)
]


@pytest.mark.parametrize(("size", "take_up", "stub", "mark", "precision"), STUBS)
def test_a_stub_laid_out_has_the_printed_mark(size, take_up, stub, mark, precision):
    from bending.layout import layout

    document = stub_document(size, take_up, stub, GAINS[size])
    if mark is None:
        with pytest.raises(Problems) as caught:
            layout(document)
        assert any(problem.at.startswith("path[0]") for problem in caught.value.problems)
        return
    (found,) = layout(document)["pieces"][0]["marks"]
    assert (found["mark"], found["hook"], found["from"]) == ("arrow", "start", "start")
    assert found["at"] == pytest.approx(mark, abs=precision)
    assert stub_mark(stub, take_up) == pytest.approx(mark, abs=precision)


def test_a_stub_s_mark_does_not_depend_on_the_gain():
    from bending.layout import layout

    marks = [layout(stub_document("1/2", 5, 10, gain))["pieces"][0]["marks"][0]["at"] for gain in (2.4, 2.625, 2.9)]
    assert marks == pytest.approx([5, 5, 5])


# Offsets.


@each("offset_spacing")
def test_an_offset_s_marks_stand_a_multiplier_times_the_rise_apart(printed):
    given = printed["inputs"]
    rule = offset_rule(given["angle"])
    near_mark, far_mark = offset_marks(0, given["rise"], rule)
    tolerance = printed["precision"] + given["rise"] * abs(rule.multiplier - given.get("multiplier", rule.multiplier))
    assert far_mark - near_mark == pytest.approx(printed["answer"]["spacing"], abs=tolerance)


@pytest.mark.parametrize("angle", [10, 15, 22.5, 30, 45, 60])
def test_printed_multipliers_are_the_rounded_cosecant(angle):
    """The table's own invariant: tables/offset_rules.csv against trigonometry."""
    rule = offset_rule(angle)
    assert rule.multiplier == pytest.approx(1 / math.sin(math.radians(angle)), rel=0.045)
    assert 0 < rule.shrink < math.tan(math.radians(angle) / 2)


@each("offset_table")
def test_a_table_s_multipliers_and_shrinks_are_printed_so(printed):
    rule, answer = offset_rule(printed["inputs"]["angle"]), printed["answer"]
    assert {name: getattr(rule, name) for name in answer} == answer, printed["source"]
    exact = 1 / math.sin(math.radians(rule.angle))
    assert "multiplier" not in answer or exact == pytest.approx(rule.multiplier, **near(printed))


def test_a_ten_degree_offset_s_multiplier_is_six():
    """Common practice, no source."""
    assert offset_rule(10).multiplier == 6
    assert round_to_tape(0.375 * offset_rule(10).shrink) <= 1 / 16


@each("offset_to_obstruction")
def test_before_an_obstruction_the_far_mark_moves_off_by_the_shrink(printed):
    given, answer = printed["inputs"], printed["answer"]
    rule = offset_rule(given["angle"])
    assert (rule.shrink, rule.multiplier) == (given["shrink"], given["multiplier"])
    back, far = offset_marks(given["distance"], given["rise"], rule)
    assert far == pytest.approx(answer["mark1"], **near(printed))
    for name in {"mark2", "mark2_derived"} & set(answer):
        assert back == pytest.approx(answer[name], **near(printed))


@each("shrink")
def test_shrink_is_rise_times_the_table_s_figure(printed):
    pairs = zip(printed["inputs"]["rise"], printed["inputs"]["angle_derived"], strict=True)
    shrinks = [rise * offset_rule(angle).shrink for rise, angle in pairs]
    assert shrinks == [pytest.approx(one, **near(printed)) for one in printed["answer"]["shrink"]]


@each("box_offset_rise")
def test_two_five_degree_bends_six_apart_rise_about_half_an_inch(printed):
    first, second = printed["inputs"]["marks"]
    angle, asked = printed["inputs"]["angle"], printed["answer"]["rise_derived"]
    assert box_offset_rise(second - first, angle) == pytest.approx(asked, **near(printed))
    rows = [(LARGE + first, "arrow", "start", angle, 0), (LARGE + second, "arrow", "start", angle, 180)]
    assert fold_marks(rows, shoe("1/2"))[1]["pi"][2] == pytest.approx(asked, abs=0.01)


@each("parallel_ends_aligned_gap")
def test_parallel_offsets_with_their_ends_in_line_close_up_in_the_slope(printed):
    gap = parallel_gap(printed["inputs"]["spacing"], printed["inputs"]["angle"])
    assert gap == pytest.approx(printed["answer"]["gap"], **near(printed))


@each("parallel_shift")
def test_moving_each_next_offset_keeps_the_gap(printed):
    shift = parallel_shift(printed["inputs"]["spacing"], printed["inputs"]["angle"])
    assert shift == pytest.approx(printed["answer"]["shift"], **near(printed))


@each("concentric_radii")
def test_each_next_radius_is_larger_by_half_of_both_diameters_and_the_gap(printed):
    given, radii = printed["inputs"], [printed["inputs"]["r1"]]
    for _ in printed["answer"]["radii"]:
        radii.append(concentric_radius(radii[-1], given["od"], given["gap"], given["od"]))
    assert radii[1:] == pytest.approx(printed["answer"]["radii"], **near(printed)), printed["source"]


def test_a_maker_s_pair_of_concentric_radii_agrees():
    printed = row("W30")
    given = printed["inputs"]
    found = concentric_radius(given["r1"], given["od"], given["gap"], given["od"])
    assert found == pytest.approx(printed["answer"]["r2"], **near(printed))


def test_a_parallel_group_s_marks_move_by_the_whole_adjustment():
    printed = row("W17")
    moved = printed["inputs"]["mark2_a"] - printed["inputs"]["adjust"]
    assert moved == pytest.approx(printed["answer"]["mark2_c"], **near(printed))


# Kicks.


@each("kick_distance")
def test_a_kick_s_centre_stands_a_multiplier_from_the_back_of_the_90(printed):
    distance = kick_distance(printed["inputs"]["kick"], offset_rule(printed["inputs"]["angle"]))
    assert distance == pytest.approx(printed["answer"]["distance"], **near(printed))
    assert round(distance) == printed["answer"]["rounded"]


# Saddles, folded.


def test_the_three_bend_table():
    printed = row("W21")
    rule = saddle_rule(45)
    table = [saddle3_marks(0, height, rule) for height in printed["inputs"]["height"]]
    assert [middle for _, middle, _ in table] == pytest.approx(printed["answer"]["move"], **near(printed))
    assert [last - middle for _, middle, last in table] == pytest.approx(printed["answer"]["spread"], **near(printed))
    assert [middle - first for first, middle, _ in table] == pytest.approx(printed["answer"]["spread"], **near(printed))


@pytest.mark.parametrize("size", ["1/2", "3/4"])
@pytest.mark.parametrize("line", range(4))
def test_the_three_bend_table_folds_to_its_height(size, line):
    """NAVEDTRA 14026 table 5-4, heights 1 to 4: within an eighth on the usual 1/2 and 3/4 shoes."""
    printed = row("W21")
    height, move, spread = (
        printed[part][name][line] for part, name in (("inputs", "height"), ("answer", "move"), ("answer", "spread"))
    )
    assert folded_saddle(size, LARGE + move, spread)[2] == pytest.approx(height, abs=1 / 8)


def folded_saddle(size, middle, spread):
    from bending.handbook import high_spot

    marks = [
        (middle - spread, "arrow", "end", 22.5, 0),
        (middle, "notch", "start", 45, 180),
        (middle + spread, "arrow", "start", 22.5, 0),
    ]
    return high_spot(fold_marks(marks, shoe(size))[1])


@each("saddle3")
def test_a_three_bend_saddle_s_marks_and_what_they_fold_to(printed):
    given, answer = printed["inputs"], printed["answer"]
    rule = saddle_rule(45)
    assert (rule.move, rule.spread) == (given["shrink"], given["spread"])
    found = saddle3_marks(given["centre"], given["height"], rule)
    assert found == pytest.approx((answer["b"], answer["a"], answer["c"]), **near(printed))
    high = folded_saddle("1/2", LARGE + answer["a"], answer["c"] - answer["a"])
    assert high[2] == pytest.approx(given["height"], abs=1 / 8)
    assert high[0] - LARGE == pytest.approx(given["centre"], abs=1 / 8)


@each("saddle3_practice")
def test_the_centre_bend_goes_on_the_notch_and_the_outer_ones_face_it(printed):
    answer = printed["answer"]
    rule = saddle_rule(printed["inputs"]["angle"])
    assert (rule.move, rule.spread) == (answer["shrink_per_inch"], answer["spread_per_inch"])
    assert (answer["centre_mark"], answer["outer_mark"], answer["outer_hook"]) == ("notch", "arrow", "centre")


@each("saddle4_shrink")
def test_a_four_bend_saddle_shrinks_by_two_offsets(printed):
    given, answer = printed["inputs"], printed["answer"]
    rule = offset_rule(given["angle"])
    assert rule.multiplier * given["height"] == pytest.approx(answer["pair_spacing"], **near(printed))
    assert 2 * rule.shrink * given["height"] == pytest.approx(answer["total_shrink"], **near(printed))
    assert folded_four_bend(given["height"], answer["pair_spacing"]) == pytest.approx(answer["end"], abs=1 / 8)


def folded_four_bend(height, spacing):
    """How far apart the ends of a 72 in stick come, folded on a 1/2 EMT shoe."""
    profile = shoe("1/2")
    ats = (20, 20 + spacing, 40, 40 + spacing)
    rows = [
        {"step": n, "station": at, "mark": "arrow", "hook": "start", "angle": 30, "roll": roll}
        for n, (at, roll) in enumerate(zip(ats, (0, 180, 180, 0), strict=True), 1)
    ]
    bender = {"radius": profile.radius, "arrow_lead": profile.arrow_lead, "outside_diameter": 0.706}
    piece = {"cut_length": 72, "marks": rows}
    return fold({"format": "layout/1", "bender": bender, "pieces": [piece]})["pieces"][0]["points"][-1][0]


# Developed lengths, by the page's own factor and of a bend that was laid out.

LENGTHS = [
    pytest.param(radius, given.get("angle", 90), factor, length, one["precision"], id=f"{name} R {radius}")
    for rule, part in (
        ("developed_length", "dl"),
        ("segment_tan_rule", "dl"),
        ("segment_gap_rule", "dl"),
        ("segment_90_two_legs", "dl"),
    )
    for one, name in zip(of(rule), ids(of(rule)), strict=True)
    for given, radius, length in [(one["inputs"], one["inputs"]["clr"], one["answer"][part])]
    for factor in [given.get("factor") or given.get("dl_factor") or given.get("quarter_pi_factor", 0) / 90]
]
LENGTHS += [
    pytest.param(radius, 90, 1.57 / 90, length, row("W30")["precision"], id=f"W30 (no citable source) R {radius}")
    for radius, length in ((36, row("W30")["answer"]["dl1"]), (40.375, row("W30")["answer"]["dl2"]))
]


@pytest.mark.parametrize(("radius", "angle", "factor", "length", "precision"), LENGTHS)
def test_a_bend_s_developed_length(radius, angle, factor, length, precision):
    assert developed_length(radius, angle, factor) == pytest.approx(length, abs=precision)
    # The page's factor against the exact one is all that a laid-out bend may differ by.
    rounding = radius * angle * abs(factor - math.radians(1))
    assert laid_out_bend(radius, angle) == pytest.approx(length, abs=precision + rounding)


def laid_out_bend(radius, angle=90):
    """Stick used up by the one bend of a laid-out run: 2 RMC."""
    low, high = laid_out_corner(radius, angle=angle)[1]
    return high - low


def laid_out_corner(radius, stub=80, leg=80, angle=90):
    from bending.layout import layout

    document = stub_document("2 RMC", 0, stub, 0)
    document["bender"] = {"radius": radius, "arrow_lead": 0}
    document["path"][1]["corner"] = angle
    document["path"][2]["leg"] = leg
    found = layout({**document, "stick": None})
    return found, fold(found)["pieces"][0]["bends"][0]["stations"]


def test_a_large_90_s_straights_and_its_whole_length():
    """NJATC Conduit Fabrication, level 2, lesson 4: both straights, the bend and their sum on 2 RMC."""
    printed = row("W01")
    given, answer = printed["inputs"], printed["answer"]
    found, (low, high) = laid_out_corner(given["clr"], given["stub"], given["leg"])
    rounding = given["clr"] * (math.pi / 2 - given["quarter_pi_factor"])
    assert low == pytest.approx(answer["d1"], **near(printed))
    assert found["developed_length"] - high == pytest.approx(answer["d2"], **near(printed))
    assert found["developed_length"] == pytest.approx(answer["total"] + rounding, **near(printed))


# Fractions of an inch.


@each("length_sum")
def test_fractions_add_up_as_a_lesson_prints_them(printed):
    given = printed["inputs"]
    found = parse_length(given["first"]) + given["sign"] * parse_length(given["second"])
    assert format_length(found) == printed["answer"]["sum"], printed["source"]


# The list itself.


def test_no_printed_row_lies_unused():
    tests = [path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py")]
    for one in rows():
        names = {f'"{one["rule"]}"', f'"{one["id"]}"', f"'{one['rule']}'"}
        assert any(name in text for name in names for text in tests), one["id"]


# What was promised to be there; the count of each kind is taken from the data, never written by hand.
PROMISED = {"fill counts": 20, "table radii": 20, "cut plans": 5, "segments and concentric": 6}


def counted():
    found = Counter()
    for one in rows():
        found[kind(one)] += published(one)
    return found


@pytest.mark.parametrize(("what", "least"), PROMISED.items())
def test_there_are_as_many_published_checks_of_a_kind_as_promised(what, least):
    assert counted()[what] >= least


def test_sixty_published_checks_or_more_have_a_citable_source():
    found = counted()
    assert found.total() >= 60
    # The promise isn't kept by long tables alone.
    assert sum(found[what] for what in ("marks", "segments and concentric", "geometry and lengths")) >= 20


def test_every_row_that_counts_names_its_source_edition_and_page():
    pages = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json"))]
    for page in pages:
        assert all(page[name].strip() for name in ("source", "edition", "page", "unit"))
        assert page["counts"] or page.get("why_not") or not page.get("rows")
    cited = [one for one in rows() if published(one)]
    assert all(len(one["source"].split(", ")) >= 3 and "precision" in one and one["inputs"] for one in cited)


def test_what_is_from_memory_or_has_no_page_is_no_published_check():
    doubtful = ("memory", "not seen", "none", "not a published")
    for one in rows():
        assert not (published(one) and any(word in one["source"] for word in doubtful)), one["id"]


def test_a_row_whose_answer_was_worked_out_is_no_published_check():
    assert [published(row(name)) for name in ("W23", "W18-rest", "C03", "W11")] == [0, 0, 0, 0]
    assert [published(row(name)) for name in ("W12", "W21", "W18", "W15")] == [4, 6, 1, 1]


def test_rows_without_a_citable_source_do_not_count():
    uncounted = {one["id"] for one in rows() if not one["counts"]}
    assert {"W24", "W25", "W26", "W27", "W30", "W31", "W34", "W35", "W36", "W40", "W41", "W43", "W44"} <= uncounted
    assert {"G02", "G03"} <= uncounted
