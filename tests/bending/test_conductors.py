"""What is to be pulled: fill and jamming as checks, and pull points that end a count of degrees."""

from __future__ import annotations

from typing import Any

import pytest

from bending.layout import layout
from bending.problems import Problems
from tests.bending.documents import Document, corner, leg, run


def check(code: str, **more: Any) -> dict[str, Any] | None:
    checks = layout(run(leg(60), corner(90), leg(60), **more))["checks"]
    return next((one for one in checks if one["code"] == code), None)


def wires(size: str, count: int, insulation: str = "THHN") -> Document:
    return {"size": size, "insulation": insulation, "count": count}


@pytest.mark.parametrize(("count", "level"), [(9, "ok"), (10, "rule")])
def test_nine_12_awg_thhn_fill_half_inch_tubing(count: int, level: str) -> None:
    """NFPA 70 annex C, as printed on porcupinepress.com/2022/06/25: nine of 12 AWG THHN in 1/2 EMT."""
    found = check("fill", conductors=[wires("12", count)])
    assert found is not None
    assert (found["level"], found["at"]) == (level, "conductors")


def test_fill_is_the_sum_of_unlike_conductors() -> None:
    """Steel Tube Institute: three 12, four 10 and eight 8 AWG THWN take 0.4171; 1 in EMT allows 0.346, 1-1/4 0.598."""
    kinds = [wires("12", 3, "THWN"), wires("10", 4, "THWN"), wires("8", 8, "THWN")]
    levels = []
    for size in ("1", "1-1/4"):
        found = check("fill", conductors=kinds, size=size, bender={"radius": 8, "arrow_lead": 0})
        assert found is not None
        assert "0.4171" in found["words"]
        levels.append(found["level"])
    assert levels == ["rule", "ok"]


def test_three_that_may_jam_are_a_caution() -> None:
    """NFPA 70 chapter 9 table 1, informational note 2: 2.8 to 3.2. 8 AWG THHN is 0.216 over, 0.622 / 0.216 = 2.88."""
    jams, passes = check("jamming", conductors=[wires("8", 3)]), check("jamming", conductors=[wires("12", 3)])
    assert jams is not None
    assert jams["level"] == "caution"
    assert passes is None


def test_a_nipple_may_be_fuller() -> None:
    """NFPA 70 chapter 9 table 1 note 4: 60 % up to 24 in; 13 of 12 AWG, 0.6 x 0.304 / 0.0133 = 13.7."""
    levels = [
        next(
            one["level"]
            for one in layout(run(leg(length), conductors=[wires("12", 13)]))["checks"]
            if one["code"] == "fill"
        )
        for length in (24, 25)
    ]
    assert levels == ["ok", "rule"]


def test_without_conductors_nothing_is_said_of_them() -> None:
    assert check("fill") is None


@pytest.mark.parametrize(
    ("conductors", "fault"),
    [
        ([{"size": "12", "count": 3}], ("conductors[0].insulation", "missing")),
        ([{"insulation": "THHN", "count": 3}], ("conductors[0].size", "missing")),
        ([wires("13", 3)], ("conductors[0].size", "unknown_size")),
        ([wires("12", 3, "RUBBER")], ("conductors[0].insulation", "unknown_word")),
        ([wires("12", 0)], ("conductors[0].count", "out_of_range")),
        ([{**wires("12", 1), "count": 2.5}], ("conductors[0].count", "not_whole")),
        ([{**wires("12", 1), "colour": "red"}], ("conductors[0].colour", "unknown_key")),
        (["12"], ("conductors[0]", "not_an_object")),
        ("12", ("conductors", "not_a_list")),
    ],
)
def test_conductors_that_mean_nothing_are_refused_by_name(conductors: Any, fault: tuple[str, str]) -> None:
    with pytest.raises(Problems) as refused:
        check("fill", conductors=conductors)
    assert [(one.at, one.code) for one in refused.value.problems] == [fault]


def turned(*pulls: Any) -> str:
    path: list[Any] = [leg(30)]
    for _ in range(5):
        path += [corner(90), leg(30)]
    checks = layout(run(*path, pull_points=list(pulls)))["checks"]
    return next(one["level"] for one in checks if one["code"] == "total_bends")


def test_a_pull_point_ends_a_count_of_degrees() -> None:
    """NFPA 70 (NEC) 2020, 358.26: 360 degrees between pull points; five 90s are too many, two and three are not."""
    assert turned() == "rule"
    assert turned("60") == "ok"


def test_a_pull_point_past_the_end_is_refused() -> None:
    with pytest.raises(Problems) as refused:
        turned(60, 4000)
    assert [(one.at, one.code) for one in refused.value.problems] == [("pull_points[1]", "out_of_range")]


@pytest.mark.parametrize(("edition", "verified"), [("2020", True), ("2023", False)])
def test_every_code_check_names_the_edition(edition: str, verified: bool) -> None:
    found = check("total_bends", edition=edition)
    assert found is not None
    assert f"(NEC) {edition}" in found["source"]
    assert ("not verified" in found["source"]) != verified
