"""What has no room is refused in its place, with what would have: each offer is checked by taking it."""

from __future__ import annotations

from typing import Any

import pytest

from bending.lengths import parse_length
from bending.path import centreline
from bending.problems import Problem, Problems
from bending.run import parse
from tests.bending.documents import ONE_INCH, THREE_QUARTER, Document, corner, feature, leg, run


def problems(document: Document) -> list[Problem]:
    with pytest.raises(Problems) as refused:
        centreline(parse(document))
    return list(refused.value.problems)


def only(document: Document) -> tuple[str, str]:
    (one,) = problems(document)
    return one.at, one.code


def kicked(**fields: Any) -> Document:
    kick = feature("kick", **{"rise": 3, "turn": "right", "angle": 22.5, **fields})
    return run(leg(58, kick), corner(90, "out"), leg("26 3/4"), size="1", bender=ONE_INCH, measure="back")


def test_a_kick_that_wont_fit_beside_its_90_is_told_what_will() -> None:
    (one,) = problems(kicked())
    assert (one.at, one.code) == ("path[0].features[0].rise", "wont_fit")
    assert all(words in one.text for words in ("22½ won't fit beside this 90", "6.61", "15 will", "3 1/16 rise"))


@pytest.mark.parametrize("offer", [{"angle": 15}, {"rise": "3 1/16"}])
def test_what_it_is_told_fits(offer: Document) -> None:
    assert centreline(parse(kicked(**offer))).bends


@pytest.mark.parametrize("less", [{"rise": "3"}, {"angle": 20, "rise": 2.5}])
def test_a_little_less_does_not(less: Document) -> None:
    assert only(kicked(**less))[1] == "wont_fit"


@pytest.mark.parametrize(
    ("raceway", "size", "bender", "angle", "least"),
    # h >= 2 R (1 - cos angle), worked by hand for radii 5.424 and 6.610.
    [("EMT", "3/4", THREE_QUARTER, 30, 1.4533), ("EMT", "1", ONE_INCH, 30, 1.7711), ("EMT", "1", ONE_INCH, 45, 3.872)],
)
def test_the_least_rise_of_an_offset_is_where_its_bends_touch(
    raceway: str, size: str, bender: Document, angle: float, least: float
) -> None:
    def offset(rise: float) -> Document:
        one = feature("offset", at=60, rise=rise, angle=angle)
        return run(leg(120, one), raceway=raceway, size=size, bender=bender)

    assert centreline(parse(offset(least + 1e-3))).bends
    assert only(offset(least - 1e-3)) == ("path[0].features[0].rise", "wont_fit")


def test_the_least_leg_between_two_90s_is_told_and_fits() -> None:
    def back_to_back(length: Any) -> Document:
        return run(leg(40), corner(90), leg(length), corner(90), leg(40), measure="back")

    (one,) = problems(back_to_back(9))
    assert (one.at, one.code) == ("path[2].leg", "leg_too_short")
    least = parse_length(one.text.split("least leg is ")[1])
    assert centreline(parse(back_to_back(least))).straights[1] < 1 / 16
    assert only(back_to_back(least - 1 / 16))[1] == "leg_too_short"


def test_features_that_overlap_are_refused_where_the_second_stands() -> None:
    one, other = feature("offset", at=40, rise=4, angle=30), feature("saddle3", centre=42, rise=2, angle=45)
    assert only(run(leg(120, one, other))) == ("path[0].features[1].centre", "too_close")


def test_features_that_nest_are_refused() -> None:
    outer = feature("saddle4", rise=4, angle=30, **{"from": 40, "to": 90})
    inner = feature("saddle3", centre=65, rise=2, angle=45)
    assert "too_close" in {one.code for one in problems(run(leg(120, outer, inner)))}


@pytest.mark.parametrize(("at", "key"), [(5, "at"), (200, "at")])
def test_a_feature_past_an_end_of_the_pipe_is_refused(at: float, key: str) -> None:
    assert only(run(leg(120, feature("offset", at=at, rise=4, angle=30)))) == (
        f"path[0].features[0].{key}", "past_the_end")  # fmt: skip


def test_a_flat_too_short_for_its_two_bends_is_refused_at_its_far_end() -> None:
    one = feature("saddle4", rise=4, angle=30, **{"from": 40, "to": 41})
    assert only(run(leg(120, one))) == ("path[0].features[0].to", "too_close")


def test_a_kick_that_leaves_its_corner_no_bend_is_refused() -> None:
    kick = feature("kick", at="start", rise=4, angle=15, turn="left")
    assert only(run(leg(60), corner(15, "left"), leg(90, kick))) == ("path[1]", "no_bend_left")


def test_a_corner_and_a_kick_that_add_up_to_more_than_one_bend_are_refused() -> None:
    kick = feature("kick", at="start", rise=10, angle=30, turn="right")
    assert only(run(leg(60), corner(120, "left"), leg(90, kick))) == ("path[1]", "angle_too_large")


def test_every_misfit_is_found() -> None:
    path = [leg(3), corner(90), leg(9), corner(90), leg(60, feature("offset", at=30, rise=0.5, angle=45))]
    assert [(one.at, one.code) for one in problems(run(*path, measure="back"))] == [
        ("path[0].leg", "leg_too_short"), ("path[2].leg", "leg_too_short"),
        ("path[4].features[0].rise", "wont_fit")]  # fmt: skip


def test_ten_thousand_bends_are_refused_by_name() -> None:
    many = [feature("saddle4", rise=4, angle=30, **{"from": 40, "to": 80})] * 100
    path = [leg(90, *many) if number % 2 == 0 else corner(90) for number in range(51)]
    assert only(run(*path)) == ("path", "too_many")
    assert only(run(leg(90), *[corner(90), leg(90)] * 5000)) == ("path", "too_many")
