"""Conductor fill: the code's own counts and a published example, and the tables against themselves."""

import math
from itertools import pairwise

import pytest

from bending import fill, tables
from bending.fill import Conductor, conductor, fill_limit, jam_ratio, least_size, most_conductors
from tests.bending.printed import of

BORES = [(raceway, size) for raceway in tables.RACEWAYS for size in tables.sizes(raceway)]
SIZES = ["14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0", "250", "300", "350", "400", "500"]
CONDUCTORS = [(insulation, size) for insulation in ("THHN", "XHHW") for size in SIZES]


def alike(size, count, insulation="THHN"):
    return [(conductor(insulation, size), count)]


@pytest.mark.parametrize("printed", of("annex_count"), ids=lambda one: one["id"])
def test_counts_are_those_of_the_code_s_annex(printed):
    given = printed["inputs"]
    one = conductor(given["insulation"], given["conductor"])
    assert most_conductors(given["raceway"], given["size"], one) == printed["answer"]["count"], printed["source"]


@pytest.mark.parametrize("printed", of("annex_count"), ids=lambda one: one["id"])
def test_the_annex_s_count_fits_and_one_more_does_not(printed):
    given, count = printed["inputs"], printed["answer"]["count"]
    fits = [fill.fill("EMT", given["size"], alike(given["conductor"], n)).fits for n in (count, count + 1)]
    assert fits == [True, False], printed["source"]


def mixed(given):
    return [(conductor(given["insulation"], size), count) for size, count in given["conductors"].items()]


def test_unlike_sizes_are_summed():
    """Steel Tube Institute: fifteen THWN conductors of three sizes."""
    (printed,) = of("conductor_areas")
    chosen, answer = mixed(printed["inputs"]), printed["answer"]
    assert [one.area * n for one, n in chosen] == pytest.approx(list(answer["areas"].values()), abs=1e-9)
    found = fill.fill("EMT", "1", chosen).area
    assert found == pytest.approx(answer["sum"], abs=printed["precision"]), printed["source"]


@pytest.mark.parametrize("printed", of("fill_verdict"), ids=lambda one: one["id"])
def test_unlike_sizes_that_are_too_many_for_one_size_go_into_the_next(printed):
    given, answer = printed["inputs"], printed["answer"]
    found = fill.fill(given["raceway"], given["size"], mixed(given))
    assert (found.fits, found.allowed) == (answer["fits"], answer["allowed"]), printed["source"]
    least = least_size(given["raceway"], mixed(given))
    assert (least == given["size"]) is answer["fits"]


@pytest.mark.parametrize("printed", of("bore_area"), ids=lambda one: one["id"])
def test_areas_are_those_that_the_code_prints(printed):
    given, answer = printed["inputs"], printed["answer"]
    bore = fill.bore(given["raceway"], given["size"])
    assert (bore.inside_diameter, bore.total) == (given["inside_diameter"], answer["total"]), printed["source"]
    assert bore.forty == answer["forty"]
    worked = math.pi / 4 * given["inside_diameter"] ** 2
    assert worked == pytest.approx(answer["total"], abs=printed["precision"])


@pytest.mark.parametrize(("raceway", "size"), BORES)
def test_printed_areas_are_those_of_the_printed_diameter(raceway, size):
    bore = fill.bore(raceway, size)
    # Third decimals: two prints of the table differ by 0.001 where it rounded a square of a rounded number.
    assert bore.total == pytest.approx(math.pi / 4 * bore.inside_diameter**2, abs=1.1e-3)
    assert bore.forty == pytest.approx(0.4 * bore.total, abs=1e-3)


@pytest.mark.parametrize(("raceway", "size"), BORES)
def test_the_bore_is_the_tube_s_inside(raceway, size):
    assert fill.bore(raceway, size).inside_diameter == tables.inside_diameter(raceway, size)


@pytest.mark.parametrize(("insulation", "size"), CONDUCTORS)
def test_printed_conductor_areas_are_those_of_the_printed_diameter(insulation, size):
    one = conductor(insulation, size)
    # The diameter's last thousandth moves the area by this much.
    assert one.area == pytest.approx(math.pi / 4 * one.diameter**2, abs=math.pi / 2 * one.diameter * 5e-4 + 5e-5)


@pytest.mark.parametrize("insulation", ["THHN", "XHHW"])
def test_conductors_grow_with_their_size(insulation):
    every = [conductor(insulation, size) for size in SIZES]
    assert all(a.diameter < b.diameter and a.area < b.area for a, b in pairwise(every))


def test_the_columns_of_two_insulations_are_not_mixed_up():
    """NEC 2008 chapter 9 table 5: 250 and 300 kcmil, which a page on the web has exchanged."""
    assert [conductor("THWN-2", size).area for size in ("250", "300")] == [0.3970, 0.4608]
    assert [conductor("XHHW", size).area for size in ("250", "300")] == [0.3904, 0.4536]


@pytest.mark.parametrize("printed", of("fill_limit"), ids=lambda one: one["id"])
def test_limits_are_those_of_the_code(printed):
    given = printed["inputs"]
    assert fill_limit(given["conductors"], given["length"]) == printed["answer"]["limit"], printed["source"]


@pytest.mark.parametrize(("length", "limit"), [(24, 0.60), (0.5, 0.60), (24.001, 0.40)])
def test_a_nipple_may_be_fuller(length, limit):
    """NFPA 70 (NEC 2011) chapter 9 table 1, note 4: 60 % up to 24 in."""
    assert fill_limit(9, length) == limit


def test_a_nipple_holds_what_its_fuller_bore_holds():
    """0.6 x 0.304 / 0.0133 = 13.71: 13 conductors, because 0.71 doesn't go up."""
    assert most_conductors("EMT", "1/2", conductor("THHN", "12"), length=24) == 13


def test_eight_tenths_of_a_conductor_goes_up_and_less_does_not():
    """NFPA 70 chapter 9 table 1, note 7 (number from memory); 1/2 EMT allows 0.122 square inches."""
    assert most_conductors("EMT", "1/2", Conductor(0.1, 0.122 / 4.8)) == 5
    assert most_conductors("EMT", "1/2", Conductor(0.1, 0.122 / 4.79)) == 4


def test_unlike_sizes_get_nothing_rounded_up():
    """0.1219 and 0.1221 square inches against the 0.122 that 1/2 EMT allows."""
    two = [(Conductor(0.1, 0.05), 2), (Conductor(0.1, 0.0219), 1)]
    over = [(Conductor(0.1, 0.05), 2), (Conductor(0.1, 0.0221), 1)]
    assert [fill.fill("EMT", "1/2", some).fits for some in (two, over)] == [True, False]


def test_a_conductor_that_does_not_fit_alone_is_counted_none():
    assert most_conductors("EMT", "1/2", conductor("THHN", "500")) == 0


def test_no_size_holds_everything():
    assert least_size("EMT", alike("500", 9)) is None


@pytest.mark.parametrize(
    ("diameter", "may_jam"), [(0.622 / 2.79, False), (0.622 / 2.81, True), (0.622 / 3.19, True), (0.622 / 3.21, False)]
)
def test_three_conductors_may_jam_between_the_printed_ratios(diameter, may_jam):
    """NFPA 70 chapter 9 table 1, informational note 2: 2.8 to 3.2."""
    found = fill.fill("EMT", "1/2", [(Conductor(diameter, 0.01), 3)])
    assert found.may_jam is may_jam
    assert found.jam_ratio == pytest.approx(0.622 / diameter)


@pytest.mark.parametrize("count", [1, 2, 4])
def test_only_three_conductors_jam(count):
    assert fill.fill("EMT", "1/2", [(Conductor(0.2, 0.01), count)]).jam_ratio is None


def test_three_conductors_of_one_size_may_stand_in_several_rows():
    one = conductor("THHN", "10")
    assert fill.fill("EMT", "1/2", [(one, 1), (one, 2)]).jam_ratio == pytest.approx(jam_ratio(0.622, 0.164))


@pytest.mark.parametrize(
    ("call", "code"),
    [
        (lambda: conductor("PVC", "12"), "unknown_insulation"),
        (lambda: conductor("THHN", "13"), "unknown_size"),
        (lambda: fill.bore("EMT", "5"), "unknown_size"),
        (lambda: fill.bore("PVC", "1"), "unknown_raceway"),
    ],
)
def test_what_no_table_has_is_refused_by_code(call, code):
    with pytest.raises(tables.TableError) as caught:
        call()
    assert caught.value.code == code


@pytest.mark.parametrize(("count", "length"), [(0, None), (3, 0), (3, -1), (3, math.nan)])
def test_no_conductors_and_no_length_are_refused(count, length):
    with pytest.raises(ValueError, match="fill"):
        fill_limit(count, length)


@pytest.mark.parametrize(
    "name", ["fill-limits", "fill-emt", "fill-imc", "fill-rmc", "conductors-thhn", "conductors-xhhw"]
)
def test_every_table_names_source_edition_page_and_unit(name):
    head = tables.source(name)
    assert all((head.source, head.edition, head.page, head.unit))
