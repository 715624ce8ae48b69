"""A finished piece in other programs' forms, read back by libraries that aren't ours."""

from __future__ import annotations

import csv
import io
import math

import ezdxf
import pytest
from hypothesis import HealthCheck, assume, given, settings

from bending.export import centreline, centreline_csv, dxf, lra_csv
from bending.fold import fold
from bending.layout import layout
from bending.lra import Row, points
from bending.problems import Problems
from tests.bending.documents import Document, corner, leg, run, runs

OUT_AND_BACK = run(leg(30), corner(90, "out"), leg(30), corner(45, "left"), leg(40), tag="K-1")
patient = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


def laid_out(document: Document) -> dict:
    try:
        return layout(document)
    except Problems:
        assume(False)
        raise


def read_back(text: str) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(text))


@patient
@given(runs())
def test_the_lines_and_arcs_of_a_dxf_are_the_folded_stick(document: Document) -> None:
    laid = laid_out(document)
    folded = fold(laid)["pieces"][0]
    arcs = read_back(dxf(laid)).modelspace().query("ARC")
    assert len(arcs) == len(folded["bends"])
    for arc, bend in zip(arcs, folded["bends"], strict=True):
        # start_point and end_point are worked out by the library, in the drawing's own axes.
        ends = {tuple(round(value, 5) for value in point) for point in (arc.start_point, arc.end_point)}
        for place in (bend["start"], bend["end"]):
            assert min(math.dist(place, end) for end in (arc.start_point, arc.end_point)) < 1e-6
        assert len(ends) == 2
        assert (arc.dxf.end_angle - arc.dxf.start_angle) % 360 == pytest.approx(bend["angle"], abs=1e-6)


def test_a_dxf_is_sound_in_inches_and_has_a_layer_a_piece() -> None:
    drawing = read_back(dxf(layout(OUT_AND_BACK)))
    assert not drawing.audit().errors
    # $INSUNITS 1 is inches (DXF reference, header variables)
    assert drawing.header["$INSUNITS"] == 1
    assert {one.dxf.layer for one in drawing.modelspace()} == {"PIECE_1"}


def test_the_parts_of_a_centreline_follow_each_other_and_add_up() -> None:
    found = centreline(layout(OUT_AND_BACK))
    (piece,) = found["pieces"]
    for one, other in zip(piece["parts"], piece["parts"][1:], strict=False):
        assert math.dist(one["to"], other["from"]) < 1e-9
    sizes = [
        math.dist(part["from"], part["to"]) if part["kind"] == "line" else part["radius"] * math.radians(part["angle"])
        for part in piece["parts"]
    ]
    assert sum(sizes) == pytest.approx(piece["cut_length"], abs=1e-9)


def test_the_csv_has_a_row_a_part_and_no_minus_nought() -> None:
    text = centreline_csv(layout(OUT_AND_BACK))
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["kind"] for row in rows] == ["line", "arc", "line", "arc", "line"]
    assert "-0.000000000" not in text


@patient
@given(runs())
def test_the_table_of_length_rotation_and_angle_gives_the_points_back(document: Document) -> None:
    laid = laid_out(document)
    read = list(csv.DictReader(io.StringIO(lra_csv(laid))))
    table = [
        Row(
            float(row["length"]),
            0.0,
            *(float(row[key]) if row[key] else None for key in ("rotation", "angle")),
            0.0,
            0.0,
        )
        for row in read
    ]
    places, asked = points(table), fold(laid)["pieces"][0]["points"]
    assert [math.dist(one, places[0]) for one in places] == pytest.approx(
        [math.dist(one, asked[0]) for one in asked], abs=1e-5
    )


@pytest.mark.parametrize("angle", [1e-300, 1e-12, 1e-5, 1e-3])
def test_a_bend_of_next_to_nothing_has_no_plane_and_breaks_nothing(angle: float) -> None:
    laid = layout(OUT_AND_BACK)
    laid["pieces"][0]["marks"][0]["angle"] = angle
    (piece,) = centreline(laid)["pieces"]
    assert [part["kind"] for part in piece["parts"]].count("arc") == (2 if angle > 1e-4 else 1)
    assert len(read_back(dxf(laid)).modelspace()) == len(piece["parts"])
