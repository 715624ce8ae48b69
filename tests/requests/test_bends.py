"""The bridge to bending: what is right is solved on the shop's own bender, what is wrong is told, never a traceback."""

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.jobs import clock
from shop.requests import bends
from shop.requests.models import Bender, Profile
from tests.requests import world as worlds
from tests.requests.world import NOON, stub, three_d

SHOE = Profile(bender=Bender(name="Hand shoe"), raceway="EMT", size="3/4", data=worlds.USUAL["3/4"])


def solve(document):
    return bends.solve(document, SHOE)


def test_a_stub_is_solved_on_the_benders_take_up():
    """Mark = stub less take-up, 19 1/2 - 6 (the trade's rule: NJATC Conduit Fabrication, level 1, lesson 5)."""
    solved = solve(stub())
    assert solved.layout["pieces"][0]["marks"][0]["station"] == pytest.approx(13.5)
    assert solved.layout["bender"]["name"] == "Hand shoe, version 1"
    assert solved.problems == [] and solved.parts == 1 and "19 1/2" in solved.reads


def test_without_a_profile_the_documents_own_bender_is_taken():
    own = bends.solve(stub(bender={"take_up": 7, "gain": "3 1/4"}))
    assert own.layout["pieces"][0]["marks"][0]["station"] == pytest.approx(12.5)


def test_without_any_bender_the_problem_says_so():
    problems = bends.solve(stub()).problems
    assert [(one["at"], one["code"]) for one in problems] == [("bender", "missing")]


def test_a_fault_is_a_plain_dictionary_with_its_place():
    solved = solve(stub(up="5-2 1/2"))
    assert solved.layout is None
    assert [set(one) for one in solved.problems] == [{"at", "code", "text"}]
    assert solved.problems[0]["at"] == "path[0].leg"


@pytest.mark.parametrize(
    "document", [None, 7, "run", [], {}, {"path": {}}, {"format": "run/1", "path": [[]]}, stub(path=None)]
)
def test_what_is_no_run_gets_problems(document):
    solved = solve(document)
    assert solved.layout is None and solved.problems
    assert bends.SOLVER_FAULT not in [one["code"] for one in solved.problems]


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers(-100, 400) | st.floats(allow_nan=True) | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=8,
)
SPOTS = ("path", "leg", "corner", "turn", "start", "size", "raceway", "measure", "tape", "order", "stick", "threads")


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(st.sampled_from(SPOTS), JUNK, max_size=3), JUNK)
def test_whatever_is_written_in_a_run_it_is_solved_or_told(said, inner):
    document = stub() | said
    document["path"] = said.get(
        "path", [{"leg": inner}, {"corner": said.get("corner", 90), "turn": "out"}, {"leg": "50"}]
    )
    solved = solve(document)
    assert (solved.layout is None) == bool(solved.problems)
    assert bends.SOLVER_FAULT not in [one["code"] for one in solved.problems]


def test_a_fault_of_the_solver_itself_is_told_and_noted(monkeypatch, caplog):
    monkeypatch.setattr(bends, "layout_of_run", lambda document: 1 / 0)
    assert [one["code"] for one in solve(stub()).problems] == [bends.SOLVER_FAULT]
    assert "could not be solved" in caplog.text


# Three dimensions


def offset(**more):
    return {"kind": "offset", "at": "40", "angle": 30, "rise": "4", **more}


@pytest.mark.parametrize(
    ("document", "leaves"),
    [
        (stub(), False),
        (stub(turn="left"), False),
        (three_d(), True),
        (stub(path=[{"leg": "80", "features": [offset()]}]), False),
        (stub(path=[{"leg": "80", "features": [offset(turn="left")]}]), False),
        (stub(path=[{"leg": "80", "features": [offset(side=-5)]}]), True),
        (stub(path=[{"leg": "75"}]), False),
    ],
    ids=["stub out", "stub left", "out then left", "offset", "offset left", "rolled", "straight"],
)
def test_a_run_leaves_one_plane_or_it_does_not(document, leaves):
    solved = solve(document)
    assert solved.layout and solved.three_d is leaves


def round_a_body(turn):
    """Out by a conduit body, then a bend."""
    body = {"fitting": "conduit body", "corner": 90, "turn": "out", "allowance": 2}
    return stub(path=[{"leg": "30"}, body, {"leg": "30"}, {"corner": 90, "turn": turn}, {"leg": "30"}])


@pytest.mark.parametrize(("turn", "leaves"), [("left", True), ("out", False)])
def test_a_fitting_that_turns_may_lead_out_of_the_plane(turn, leaves):
    solved = solve(round_a_body(turn))
    assert solved.layout and solved.three_d is leaves


# Alike


def test_the_same_sticks_round_a_fitting_the_other_way_are_not_alike():
    assert solve(round_a_body("left")).shape != solve(round_a_body("right")).shape


def test_a_stub_turned_round_in_the_hand_is_alike():
    assert solve(stub()).shape == solve(stub(turn="left")).shape


def test_a_sixteenth_is_not_alike_and_a_hundredth_is():
    assert solve(stub("19 1/2")).shape != solve(stub("19 9/16")).shape
    assert solve(stub("19 1/2")).shape == solve(stub(19.51)).shape


def test_a_length_between_two_sixteenths_is_alike_to_itself_in_other_writing():
    assert solve(stub("19 17/32")).shape == solve(stub(19.53125)).shape


def test_a_run_and_its_mirror_are_not_alike():
    mirrored = three_d()
    mirrored["path"][3] = {"corner": 90, "turn": "right"}
    assert solve(three_d()).shape != solve(mirrored).shape


def test_the_same_lengths_in_another_conduit_are_not_alike():
    half = Profile(bender=SHOE.bender, raceway="EMT", size="1/2", data=worlds.USUAL["1/2"])
    assert solve(stub()).shape != bends.solve(stub(size="1/2"), half).shape


# Which bender


def test_the_present_profile_is_the_last_dated_of_the_benders_in_use(world):
    newer = worlds.profile(since=NOON - timedelta(days=1))
    worlds.profile(since=NOON + timedelta(days=1))
    retired = worlds.profile(name="Sold", since=NOON)
    retired.bender.retired_at = NOON
    retired.bender.save()
    assert bends.profile_for("EMT", "3/4") == newer
    with clock.at(NOON + timedelta(days=2)):
        assert bends.profile_for("EMT", "3/4").since > NOON


def test_a_conduit_without_a_bender_has_no_profile(world):
    assert bends.profile_for("RMC", "4") is None


def test_a_profile_is_read_as_bending_reads_it(world):
    shoe = bends.bending_profile(world.profile)
    assert (shoe.take_up, shoe.gain(90)) == (pytest.approx(6), pytest.approx(3.25))
