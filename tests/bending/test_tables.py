"""The printed tables, checked against each other: an invariant finds a slip of the hand that a copy can't."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from bending import fill, tables
from bending.layout import layout
from tests.bending.documents import corner, leg, run
from tests.bending.printed import of

EVERY_TUBE = [tables.tube(raceway, size) for raceway in tables.RACEWAYS for size in tables.sizes(raceway)]
RADIUS_SIZES = tables.sizes("RMC")
Row = dict[str, Any]


def test_emt_and_imc_have_ten_sizes_and_rmc_twelve() -> None:
    assert [len(tables.sizes(raceway)) for raceway in tables.RACEWAYS] == [10, 10, 12]


@pytest.mark.parametrize("tube", EVERY_TUBE, ids=lambda tube: f"{tube.size} {tube.outside_diameter}")
def test_inside_is_outside_less_two_walls(tube: tables.Tube) -> None:
    assert tube.inside_diameter == pytest.approx(tube.outside_diameter - 2 * tube.wall, abs=1e-9)


@pytest.mark.parametrize("raceway", tables.RACEWAYS)
def test_diameters_and_walls_grow_with_the_size(raceway: str) -> None:
    tubes = [tables.tube(raceway, size) for size in tables.sizes(raceway)]
    for small, large in pairwise(tubes):
        assert small.outside_diameter < large.outside_diameter
        assert small.inside_diameter < large.inside_diameter
        assert small.wall <= large.wall
        assert small.metric < large.metric


@pytest.mark.parametrize("size", tables.sizes("EMT"))
def test_a_rigid_wall_is_the_thickest_and_tubing_the_thinnest(size: str) -> None:
    assert tables.wall("EMT", size) < tables.wall("IMC", size) < tables.wall("RMC", size)


@pytest.mark.parametrize("printed", of("least_radius"), ids=lambda one: one["id"])
def test_least_radii_are_those_of_the_code(printed: Row) -> None:
    given = printed["inputs"]
    assert tables.least_radius(given["size"], given["how"]) == printed["answer"]["radius"], printed["source"]


@pytest.mark.parametrize("printed", of("least_radius"), ids=lambda one: one["id"])
@pytest.mark.parametrize(("short", "level"), [(0, "ok"), (1 / 64, "rule")])
def test_a_run_bent_to_the_printed_radius_may_stand_and_a_hair_less_may_not(
    printed: Row, short: float, level: str
) -> None:
    given, least = printed["inputs"], printed["answer"]["radius"]
    bender = {"radius": least - short, "arrow_lead": 0, "how": given["how"]}
    document = run(leg(90), corner(90, "left"), leg(90), size=given["size"], raceway="RMC", bender=bender, stick=400)
    (found,) = [check for check in layout(document)["checks"] if check["code"] == "radius"]
    assert found["level"] == level, printed["source"]


@pytest.mark.parametrize("printed", of("tube"), ids=lambda one: one["id"])
def test_the_makers_institute_s_outside_and_wall_give_the_code_s_inside(printed: Row) -> None:
    given, answer = printed["inputs"], printed["answer"]
    tube = tables.tube(given["raceway"], given["size"])
    assert (tube.outside_diameter, tube.wall) == (answer["outside_diameter"], answer["wall"]), printed["source"]
    inside = fill.bore(given["raceway"], given["size"]).inside_diameter
    assert answer["outside_diameter"] - 2 * answer["wall"] == pytest.approx(inside, abs=printed["precision"])


@pytest.mark.parametrize("printed", of("metric_designator"), ids=lambda one: one["id"])
def test_metric_designators_are_the_printed_ones_whatever_the_raceway(printed: Row) -> None:
    size = printed["inputs"]["size"]
    named = {tables.tube(raceway, size).metric for raceway in tables.RACEWAYS if size in tables.sizes(raceway)}
    assert named == {printed["answer"]["metric"]}, printed["source"]


@pytest.mark.parametrize("size", tables.sizes("IMC"))
def test_intermediate_conduit_is_a_little_narrower_outside_and_wider_inside_than_rigid(size: str) -> None:
    imc, rmc = tables.tube("IMC", size), tables.tube("RMC", size)
    assert 0.97 * rmc.outside_diameter < imc.outside_diameter < rmc.outside_diameter
    assert imc.inside_diameter > rmc.inside_diameter
    weights = [tables.weight_per_inch(raceway, size) for raceway in tables.RACEWAYS]
    assert weights == sorted(weights)


@pytest.mark.parametrize("size", tables.sizes("EMT"))
def test_small_tubing_is_thinner_outside_than_conduit_and_large_tubing_is_pipe_size(size: str) -> None:
    """The sizes of ANSI C80.3 and C80.1: from 2-1/2 on both have one outside diameter."""
    emt, rmc = tables.outside_diameter("EMT", size), tables.outside_diameter("RMC", size)
    large = tables.tube("EMT", size).metric >= 63
    assert (emt == rmc) if large else (emt < rmc)


@pytest.mark.parametrize(
    ("size", "how", "millimetres"),
    # NFPA 70 (NEC 2011 Handbook), chapter 9 table 2: the first and the last radius as printed in millimetres.
    [("1/2", "one-shot", 101.6), ("6", "other", 914.4)],
)
def test_radii_agree_with_the_metric_column(size: str, how: str, millimetres: float) -> None:
    assert tables.least_radius(size, how) * 25.4 == pytest.approx(millimetres, abs=0.05)


def test_radii_grow_with_the_size_and_one_shot_is_never_the_larger() -> None:
    one_shot = [tables.least_radius(size) for size in RADIUS_SIZES]
    other = [tables.least_radius(size, "other") for size in RADIUS_SIZES]
    assert one_shot == sorted(one_shot)
    assert other == sorted(other)
    assert all(one <= two for one, two in zip(one_shot, other, strict=True))


@pytest.mark.parametrize("name", ["emt", "imc", "rmc", "bend_radius"])
def test_every_table_names_its_source(name: str) -> None:
    source = tables.source(name)
    assert "NEC" in source.edition
    assert source.page.startswith("chapter 9")
    assert source.unit == "inches"


def test_a_hundred_feet_of_half_inch_tubing_weighs_about_thirty_pounds() -> None:
    # Common practice, no source.
    assert tables.weight_per_inch("EMT", "1/2") * 1200 == pytest.approx(30, abs=1)


@pytest.mark.parametrize(
    ("raceway", "size", "code"),
    [("PVC", "1/2", "unknown_raceway"), ("EMT", "5", "unknown_size"), ("EMT", "0.5", "unknown_size")],
)
def test_what_isnt_printed_is_refused_by_name(raceway: str, size: str, code: str) -> None:
    with pytest.raises(tables.TableError) as refused:
        tables.tube(raceway, size)
    assert refused.value.code == code


@pytest.mark.parametrize(("size", "how", "code"), [("7", "one-shot", "unknown_size"), ("1", "by eye", "unknown_way")])
def test_a_radius_that_isnt_printed_is_refused_by_name(size: str, how: str, code: str) -> None:
    with pytest.raises(tables.TableError) as refused:
        tables.least_radius(size, how)
    assert refused.value.code == code
