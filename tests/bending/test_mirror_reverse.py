"""A run told from its other end is the same pipe; told in a mirror it differs in left and right, in nothing else."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings

from bending.fold import fold
from bending.layout import layout
from bending.path import Path, centreline
from bending.problems import Problems
from bending.run import Run, parse
from tests.bending.documents import Document, corner, feature, leg, run, runs
from tests.bending.reversing import backwards, from_its_end, in_a_mirror, seen_from

often = settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
# Told from a kick's slope, a corner may turn more than one bend may, though the bend itself is the same.
TOO_FAR = {"angle_too_large", "out_of_range"}


def solved(document: Document) -> tuple[Run, Path]:
    try:
        read = parse(document)
        return read, centreline(read)
    except Problems:
        assume(False)
        raise


def from_the_other_end(document: Document) -> tuple[Path, Document]:
    read, path = solved(document)
    told = backwards(document, read, path)
    try:
        parse(told)
    except Problems as problems:
        assert {one.code for one in problems.problems} <= TOO_FAR
        assert any(one.kick("start") or one.kick("end") for one in read.legs)
        assume(False)
    return path, told


@often
@given(runs())
def test_a_run_and_its_reverse_are_the_same_pipe(document: Document) -> None:
    path, told = from_the_other_end(document)
    back = centreline(parse(told))
    assert back.length == pytest.approx(path.length, abs=1e-6)
    assert [bend.angle for bend in back.bends] == pytest.approx([bend.angle for bend in path.bends][::-1], abs=1e-6)
    frame = from_its_end(path)
    for one, other in zip(back.points, reversed(path.points), strict=True):
        assert math.dist(one, seen_from(other, path.points[-1], frame)) < 1e-6


@often
@given(runs())
def test_the_reverse_s_marked_stick_folds_to_the_same_pipe(document: Document) -> None:
    path, told = from_the_other_end(document)
    folded = [tuple(point) for piece in fold(layout(told))["pieces"] for point in piece["points"]]
    frame = from_its_end(path)
    for one, other in zip(folded, reversed(path.points), strict=True):
        assert math.dist(one, seen_from(other, path.points[-1], frame)) < 1e-6


def kept(laid: Document) -> list[Any]:
    """All of a layout that doesn't know left from right."""
    marks = [
        {key: mark[key] for key in ("step", "from", "mark", "hook", "feature")}
        for piece in laid["pieces"]
        for mark in piece["marks"]
    ]
    said = [[one["what"], one["at"]] for one in laid["predicted"]]
    rules = [[one["rule"], one["mark"], one["hook"], one["feature"]] for one in laid["handbook"]]
    checks = sorted([one["code"], one["level"], one.get("at", "")] for one in laid["checks"])
    return [marks, said, rules, checks, laid["materials"], len(laid["pieces"])]


def measures(laid: Document) -> list[float]:
    """Every length and angle of it, in order."""
    marks = [mark for piece in laid["pieces"] for mark in piece["marks"]]
    found = [laid["developed_length"], *(piece["cut_length"] for piece in laid["pieces"])]
    found += [mark[key] for mark in marks for key in ("station", "at", "angle", "bend_to")]
    found += [one.get("at", 0.0) for one in laid["handbook"]]
    found += [one["one_degree"] for one in laid["predicted"]]
    return found + [number for piece in laid["size"]["pieces"] for number in (*piece["box"], piece["weight"])]


@often
@given(runs())
def test_a_run_and_its_mirror_differ_in_left_and_right_alone(document: Document) -> None:
    solved(document)
    laid, seen = layout(document), layout(in_a_mirror(document))
    assert kept(seen) == kept(laid)
    assert measures(seen) == pytest.approx(measures(laid), abs=2e-4)
    for piece, other in zip(laid["pieces"], seen["pieces"], strict=True):
        for mark, mirrored in zip(piece["marks"], other["marks"], strict=True):
            off = (mark["roll"] + mirrored["roll"]) % 360
            assert min(off, 360 - off) < 1e-6


@often
@given(runs())
def test_the_mirror_s_stick_folds_to_the_mirrored_pipe(document: Document) -> None:
    _, path = solved(document)
    folded = [point for piece in fold(layout(in_a_mirror(document)))["pieces"] for point in piece["points"]]
    for (x, y, z), other in zip(folded, path.points, strict=True):
        assert math.dist((x, -y, z), other) < 1e-6


def test_a_mirrored_left_line_goes_in_the_shoe_as_the_right_one() -> None:
    stub = run(leg(30), corner(90, "out"), leg(60), corner(45, "left"), leg(40))
    words = [[mark["in_shoe"] for mark in layout(one)["pieces"][0]["marks"]] for one in (stub, in_a_mirror(stub))]
    assert words == [["top", "left"], ["top", "right"]]


def test_twice_turned_about_it_is_told_as_it_was() -> None:
    asked = run(
        leg(80, feature("offset", at=46, rise=5, side=-7, angle=30, at_is="level")), corner(90, "left"), leg(60),
        zero="start", tape="1/16", start={"allowance": 0.125}, end={"allowance": 0},
    )  # fmt: skip
    once = backwards(asked, *solved(asked))
    twice = backwards(once, *solved(once))
    assert layout(twice)["pieces"][0]["cut"] == layout(asked)["pieces"][0]["cut"]
    for one, other in zip(layout(twice)["pieces"][0]["marks"], layout(asked)["pieces"][0]["marks"], strict=True):
        assert (one["station"], one["roll"]) == pytest.approx((other["station"], other["roll"]))
