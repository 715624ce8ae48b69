"""A bender's numbers from what was bent on it.

Measured pieces come from folding a marked stick on a bender that the calibration isn't told: the folder shares no code
with it. Regressions are held against NumPy's and the standard library's own.
"""

from __future__ import annotations

import math
import random
import statistics
from typing import Any

import numpy as np
import pytest

from bending import tables
from bending.calibration import Measured, Pair, Readings, Shoe, Trial, calibrate, from_bends, from_pieces, nameplate
from bending.calibration.springback import springback
from bending.fold import fold
from bending.layout import layout
from bending.problems import Problems
from tests.bending.documents import Document, corner, feature, leg, run

D = tables.outside_diameter("EMT", "1/2")
R, A = 4.3, 0.25
CLOSE = Readings(1e-6, 1e-6)


def bent(angle: float, mark: float, cut: float, kind: str = "arrow", hook: str = "start") -> tuple[float, float]:
    """Stub and leg, to the back, that a hand would measure on a stick folded on the bender R, A."""
    pencil = {"step": 1, "station": mark, "mark": kind, "hook": hook, "angle": angle, "roll": 0}
    shoe = {"radius": R, "arrow_lead": A, "outside_diameter": D}
    (piece,) = fold({"format": "layout/1", "bender": shoe, "pieces": [{"cut_length": cut, "marks": [pencil]}]})[
        "pieces"
    ]
    start, corner_at, end = piece["points"]
    back = D / 2 * math.tan(math.radians(angle / 2))
    return math.dist(start, corner_at) + back, math.dist(corner_at, end) + back


def trial(angle: float, mark: float, cut: float, kind: str = "arrow", hook: str = "start") -> Trial:
    stub, far = bent(angle, mark, cut, kind, hook)
    return Trial("", mark, angle, cut, stub, far, hook if kind == "arrow" else "start")


def refused(code: str, document: Document) -> None:
    with pytest.raises(Problems) as found:
        calibrate(document)
    assert code in {one.code for one in found.value.problems}


def asked(**parts: Any) -> Document:
    return {"format": "calibration/1", "raceway": "EMT", "size": "1/2", **parts}


def test_one_90_gives_take_up_and_gain_and_with_them_radius_and_lead() -> None:
    # Two derived rules of the trade: take-up = stub - mark, gain = stub + leg - cut.
    found = from_bends([Trial("", 15, 90, 40, 20, 22.625)], D)
    assert (found.take_up, found.gain) == pytest.approx((5, 2.625))
    assert found.radius == pytest.approx((2.625 - D) / (2 - math.pi / 2))


@pytest.mark.parametrize("angle", [22.5, 45, 90, 120])
@pytest.mark.parametrize("hook", ["start", "end"])
def test_any_angle_and_either_hook_find_the_bender(angle: float, hook: str) -> None:
    found = from_bends([trial(angle, 15 if hook == "start" else 25, 40, hook=hook)], D)
    assert (found.radius, found.arrow_lead) == pytest.approx((R, A), abs=1e-9)


def test_a_centre_mark_finds_the_radius_and_has_no_lead() -> None:
    found = from_bends([trial(90, 20, 45, "centre", "none"), trial(30, 20, 45, "centre", "none")], D, "centre")
    assert found.radius == pytest.approx(R, abs=1e-9)
    assert (found.arrow_lead, found.take_up) == (None, None)


def test_stubs_alone_of_two_angles_are_enough() -> None:
    stubs = [Trial("", 15, angle, None, bent(angle, 15, 40)[0]) for angle in (45, 90)]
    assert from_bends(stubs, D).radius == pytest.approx(R, abs=1e-9)


def test_a_sixteenth_of_gain_moves_the_radius_by_0_146() -> None:
    one, other = (from_bends([Trial("", 15, 90, 40, 20, 22.625 + more)], D) for more in (0, 1 / 16))
    assert other.radius - one.radius == pytest.approx(0.146, abs=5e-4)


def test_a_single_90_is_as_sure_as_three_readings_of_a_tape() -> None:
    """With a true angle, the gain's error is that of stub, leg and cut together: sqrt(3) readings."""
    found = from_bends([Trial("", 15, 90, 40, 20, 22.625)], D, readings=Readings(1 / 32, 1e-9))
    assert found.gain_error == pytest.approx(math.sqrt(3) / 32, rel=1e-6)
    assert found.stub_error == pytest.approx(math.sqrt(2) / 32, rel=1e-6)
    assert found.scatter is None and found.freedom == 0


def off(chance: random.Random, readings: Readings) -> list[Trial]:
    """Four bends on the same bender, every reading off by its own error."""
    made = []
    for angle in (90, 90, 45, 30):
        real = angle + chance.gauss(0, readings.angle)
        mark, cut = 15 + chance.gauss(0, readings.length), 40 + chance.gauss(0, readings.length)
        stub, far = (one + chance.gauss(0, readings.length) for one in bent(real, mark, cut))
        made.append(Trial("", 15, angle, 40, stub, far))
    return made


def test_the_errors_that_are_told_are_those_that_come_about() -> None:
    chance, readings = random.Random(3), Readings(1 / 32, 0.5)
    found = [from_bends(off(chance, readings), D, readings=readings) for _ in range(600)]
    told = from_bends([trial(angle, 15, 40) for angle in (90, 90, 45, 30)], D, readings=readings)
    far_legs = [one.radius * (1 - math.pi / 2) - one.arrow_lead for one in found if one.arrow_lead is not None]
    assert statistics.stdev(one.radius for one in found) == pytest.approx(told.radius_error, rel=0.1)
    assert statistics.stdev(one.take_up for one in found if one.take_up) == pytest.approx(told.stub_error, rel=0.1)
    assert statistics.stdev(far_legs) == pytest.approx(told.far_leg_error, rel=0.1)
    assert statistics.mean(one.scatter or 0 for one in found) == pytest.approx(1, abs=0.1)


def test_readings_worse_than_was_said_make_the_errors_grow() -> None:
    trials = off(random.Random(5), Readings(1 / 4, 0.01))
    said, honest = (from_bends(trials, D, readings=Readings(one, 0.01)) for one in (1 / 64, 1 / 4))
    assert (said.scatter or 0) > 5
    assert said.radius_error == pytest.approx(honest.radius_error * (honest.scatter or 1), rel=0.3)


PAIRS = [Pair(12.0, 10.2), Pair(32.5, 30.1), Pair(47.5, 44.6), Pair(93.5, 90.2), Pair(63.0, 60.3)]


def test_springback_is_the_line_that_other_libraries_draw() -> None:
    found = springback(PAIRS)
    angles, readings = [one.angle for one in PAIRS], [one.bend_to for one in PAIRS]
    line = statistics.linear_regression(angles, readings)
    assert (1 + found.k, found.c) == pytest.approx((line.slope, line.intercept), abs=1e-9)
    _, covariance = np.polyfit(angles, readings, 1, cov=True)
    worse = springback(PAIRS, angle_reading=1e-3)
    assert (worse.k_error, worse.c_error) == pytest.approx(tuple(np.sqrt(np.diag(covariance))), rel=1e-6)


def test_what_to_bend_to_is_as_fine_as_the_bender_shows() -> None:
    found = springback([Pair(93, 90)], "share", reading_step=0.5)
    # 45 (1 + 1/30) = 46.5, and 22.5 + 0.75 = 23.25, which a dial of half degrees shows as 23 or 23 1/2
    readings = dict(found.readings)
    assert readings[45] == 46.5 and readings[22.5] in (23, 23.5) and readings[90] == 93


def test_one_angle_tells_a_share_or_a_constant() -> None:
    pairs = [Pair(93, 90), Pair(92, 90)]
    assert springback(pairs, "share").k == pytest.approx(2.5 / 90)
    assert springback(pairs, "constant").c == pytest.approx(2.5)


SHOE = {"radius": 4.471, "arrow_lead": 0.176}
UP_AND_OVER = run(
    leg(30), corner(90, "out"), leg(60, feature("offset", at=35, rise=4, angle=30)), corner(45, "left"), leg(25),
    bender=SHOE, measure="back",
)  # fmt: skip
HUMPS = run(leg(90, feature("saddle3", centre=40, rise=3, angle=45)), bender=SHOE)


def measured(document: Document, places: list[str], bender: tuple[float, float], share: float = 0.0) -> Measured:
    """What somebody would read off the finished piece, found anew from the folded points."""
    laid = layout(document)
    piece = laid["pieces"][0]
    marks = [{**mark, "angle": mark["angle"] * (1 + share)} for mark in piece["marks"]]
    shoe = {**laid["bender"], "radius": bender[0], "arrow_lead": bender[1]}
    (folded,) = fold({**laid, "bender": shoe, "pieces": [{**piece, "marks": marks}]}, rounded=True)["pieces"]
    points = np.array(folded["points"])
    back = [D / 2 * math.tan(math.radians(mark["angle"]) / 2) for mark in sorted(marks, key=lambda one: one["station"])]
    way = (points[2] - points[1]) / np.linalg.norm(points[2] - points[1])
    slope = points[3] - points[2]
    known = {
        "path[0].leg": float(np.linalg.norm(points[1] - points[0])) + back[0],
        "path[2].leg": float((points[-2] - points[1]) @ way) + back[0] + back[-1],
        "path[4].leg": float(np.linalg.norm(points[-1] - points[-2])) + back[-1],
        "path[2].features[0].rise": float(np.linalg.norm(np.cross(slope, way))),
        "path[1].corner": 90 * (1 + share),
    }
    return Measured(document, tuple((place, known[place]) for place in places))


EVERY = ["path[0].leg", "path[2].leg", "path[4].leg", "path[2].features[0].rise", "path[1].corner"]


def test_a_finished_piece_gives_the_bender_that_made_it() -> None:
    found = from_pieces([measured(UP_AND_OVER, EVERY, (R, A), 0.01)])
    assert (found.radius, found.arrow_lead) == pytest.approx((R, A), abs=1e-6)
    assert found.angle_error == pytest.approx(0.9, abs=1e-6)
    assert found.was == (4.471, 0.176)


def test_what_isnt_looked_for_stays_as_it_was() -> None:
    found = from_pieces([measured(UP_AND_OVER, ["path[0].leg"], (4.471, 0.3))], ["arrow_lead"])
    assert (found.radius, found.angle_error) == (4.471, 0)
    assert found.arrow_lead == pytest.approx(0.3, abs=1e-9)


def test_a_saddle_s_rise_is_what_the_conduit_clears() -> None:
    (asked_rise,) = [one for one in layout(HUMPS)["predicted"] if one["what"] == "rise"]
    found = from_pieces([Measured(HUMPS, (("path[0].features[0].rise", asked_rise["predicted"]),))], ["angle_error"])
    assert found.angle_error == pytest.approx(0, abs=1e-4)


def test_a_stub_alone_tells_take_up_and_not_radius_from_lead() -> None:
    with pytest.raises(Problems) as found:
        from_pieces([measured(UP_AND_OVER, ["path[0].leg", "path[0].leg"], (R, A))], ["radius", "arrow_lead"])
    assert found.value.problems[0].code == "not_told_apart"


def test_the_nameplate_is_doubted_above_five_percent() -> None:
    assert [nameplate(radius, 4.0)["level"] for radius in (4.19, 4.21, 3.79)] == ["ok", "caution", "caution"]


STUB = run(leg(20), corner(90, "out"), leg(60), measure="back", tag="S-04", bender="usual")
SHORT = run(leg(10), corner(90, "out"), leg(60), measure="back", tag="S-05", bender="usual")
OTHER = run(leg(20), corner(90, "out"), leg(60), size="3/4", bender="usual")
BEFORE = {"name": "usual", "take_up": 5, "gain": 2.625, "hook_grip": 4}


def test_another_take_up_moves_the_mark_and_another_gain_the_cut() -> None:
    after = {**BEFORE, "take_up": 5.125, "gain": 2.75}
    first, *_, last = calibrate(asked(before=BEFORE, after=after, runs=[STUB, SHORT, OTHER]))["changes"]
    assert (first["cut_change"], first["mark_change"]) == pytest.approx((-0.125, -0.125))
    assert (first["tag"], first["could"], first["can"]) == ("S-04", True, True)
    assert last == {"number": 2, "tag": "", "applies": False, "could": False, "can": False, "other_marks": False}


def test_a_run_that_can_be_bent_no_more_says_why() -> None:
    after = {**BEFORE, "take_up": 7}
    _, short = calibrate(asked(before=BEFORE, after=after, runs=[STUB, SHORT]))["changes"]
    assert (short["could"], short["can"]) == (True, False)
    assert short["why"] and all(reason["code"] for reason in short["why"])


def test_a_days_first_test_bend_holds_or_is_news() -> None:
    good = {"mark": 15, "cut": 40, "stub": 20, "leg": 22.625}
    levels = []
    for stub in (20, 20.5):
        found = calibrate(asked(bends=[{**good, "stub": stub, "leg": 42.625 - stub}], before=BEFORE))
        levels.append({one["code"]: one["level"] for one in found["checks"]}["profile_moved"])
    assert levels == ["ok", "caution"]


def test_what_is_found_is_a_profile_that_a_run_can_use() -> None:
    bends = [{"mark": "15", "cut": "40", "stub": "20", "leg": "22 5/8"}]
    pairs = [{"bend_to": 93, "angle": 90}, {"bend_to": 31, "angle": 30}]
    found = calibrate(asked(bends=bends, springback=pairs, name="bench 2", nameplate_radius=4, reading_step=0.5))
    marks = layout({**STUB, "bender": found["bender"]})["pieces"][0]["marks"]
    assert (marks[0]["station"], marks[0]["bend_to"]) == pytest.approx((15, 93))
    assert {one["code"]: one["level"] for one in found["checks"]}["radius_differs"] == "caution"


@pytest.mark.parametrize(
    ("code", "parts"),
    [
        ("missing", {}),
        ("missing", {"bends": [{"mark": 15}]}),
        ("missing", {"bends": [{"mark": 15, "leg": 22}]}),
        ("not_told_apart", {"bends": [{"mark": 15, "stub": 20}, {"mark": 16, "stub": 21}]}),
        ("radius_impossible", {"bends": [{"mark": 15, "cut": 40, "stub": 20, "leg": 20.5}]}),
        ("same_angle", {"springback": [{"bend_to": 93, "angle": 90}, {"bend_to": 92, "angle": 90}]}),
        ("too_few", {"springback": [{"bend_to": 93, "angle": 90}]}),
        ("springback_impossible", {"springback": [{"bend_to": 180, "angle": 90}], "model": "share"}),
        ("no_profile", {"runs": [STUB]}),
        ("no_profile", {"runs": [STUB], "before": BEFORE}),
        ("too_few", {"pieces": [{"run": {**STUB, "bender": SHOE}, "measured": []}]}),
        ("not_measurable", {"pieces": [{"run": HUMPS, "measured": [{"at": "path[7].leg", "value": 3}] * 3}]}),
        ("far_off", {"pieces": [{"run": HUMPS, "measured": [{"at": "path[0].leg", "value": 3}] * 3}]}),
        ("unknown_bender", {"pieces": [{"run": STUB, "measured": [{"at": "path[0].leg", "value": 3}] * 3}]}),
        ("unknown_word", {"find": ["springback"], "runs": []}),
        ("not_finite", {"bends": [{"mark": math.nan, "stub": 20}]}),
        ("too_long", {"bends": [{"mark": 1e300, "stub": 20}]}),
        ("too_many", {"bends": [{"mark": 15, "stub": 20}] * 201}),
        ("unknown_key", {"bend": []}),
    ],
)
def test_what_says_nothing_is_refused_by_name(code: str, parts: dict[str, Any]) -> None:
    refused(code, asked(**parts))


def test_pieces_of_two_benders_are_not_one() -> None:
    one = measured(UP_AND_OVER, EVERY, (R, A))
    other = Measured({**UP_AND_OVER, "bender": {"radius": 5, "arrow_lead": 0}}, one.readings)
    with pytest.raises(Problems) as found:
        from_pieces([one, other])
    assert found.value.problems[0].code == "two_benders"


def test_a_shoe_is_told_with_what_its_errors_mean() -> None:
    found = from_bends([trial(90, 15, 40)], D)
    assert isinstance(found, Shoe)
    assert set(found.as_json()["errors"]) == {"radius", "arrow_lead", "stub", "gain", "far_leg"}
