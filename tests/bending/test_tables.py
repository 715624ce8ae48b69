"""The printed tables, checked against each other: an invariant finds a slip of the hand that a copy can't."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from bending import tables

EVERY_TUBE = [tables.tube(raceway, size) for raceway in tables.RACEWAYS for size in tables.sizes(raceway)]
RADIUS_SIZES = tables.sizes("RMC")


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


@pytest.mark.parametrize(
    ("raceway", "size", "area"),
    # NFPA 70 (NEC 2011 Handbook), chapter 9 table 4, total area: square inches.
    [("EMT", "1/2", 0.304), ("EMT", "3/4", 0.533), ("EMT", "1", 0.864), ("EMT", "1-1/4", 1.496),
     ("EMT", "1-1/2", 2.036), ("EMT", "2", 3.356), ("EMT", "2-1/2", 5.858), ("EMT", "3", 8.846),
     ("EMT", "3-1/2", 11.545), ("EMT", "4", 14.753), ("IMC", "1/2", 0.342), ("IMC", "3/4", 0.586),
     ("IMC", "1", 0.959), ("IMC", "2-1/2", 5.135), ("IMC", "3", 7.922), ("IMC", "3-1/2", 10.584),
     ("IMC", "4", 13.631)],
)  # fmt: skip
def test_the_inside_gives_the_area_that_the_code_prints(raceway: str, size: str, area: float) -> None:
    assert math.pi / 4 * tables.inside_diameter(raceway, size) ** 2 == pytest.approx(area, abs=1.1e-3)


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
