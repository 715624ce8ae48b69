"""Directions as people stand. Expected words: a man's own left and right, worked out by hand for each surface."""

from __future__ import annotations

from typing import Any

import pytest

from bending.drawing.stance import stance_of
from bending.layout import layout
from bending.problems import Problems
from bending.run import Run, parse
from bending.stands import COMPASS
from tests.bending.documents import Document, corner, feature, leg, run

STANCES: list[Document] = [
    *({"mount": "wall", "heads": heads, "faces": "east"} for heads in ("up", "down", "my left", "my right")),
    *({"mount": mount, "heads": heads} for mount in ("ceiling", "deck") for heads in COMPASS),
]


def bent(turn: Any, **how: Any) -> Document:
    return run(leg(60), corner(90, turn), leg(60), **how)


def codes(document: Document) -> set[tuple[str, str]]:
    with pytest.raises(Problems) as refused:
        parse(document)
    return {(one.at, one.code) for one in refused.value.problems}


def turned(document: Document) -> float:
    return parse(document).corners[0].turn


@pytest.mark.parametrize(
    ("mount", "heads", "word", "turn"),
    [
        ("ceiling", "north", "my left", 270), ("ceiling", "north", "my right", 90), ("ceiling", "north", "down", 0),
        ("ceiling", "north", "up", 180), ("ceiling", "north", "east", 90), ("ceiling", "east", "north", 270),
        ("deck", "north", "my left", 90), ("deck", "north", "up", 0), ("deck", "south", "west", 270),
        ("wall", "up", "my left", 90), ("wall", "down", "my left", 270), ("wall", "my right", "up", 90),
        ("wall", "my left", "up", 270), ("wall", "up", "off", 0), ("wall", "up", "toward", 180),
    ],
)  # fmt: skip
def test_his_word_is_the_frames_turn(mount: str, heads: str, word: str, turn: float) -> None:
    assert turned(bent(word, mount=mount, heads=heads)) == turn


def test_a_wall_that_looks_north_has_east_on_his_left() -> None:
    assert turned(bent("east", mount="wall", heads="up", faces="north")) == 90


@pytest.mark.parametrize("how", STANCES)
@pytest.mark.parametrize("word", ["up", "down", "off", "toward", "my left", "my right", *COMPASS])
def test_the_drawing_stands_where_the_reading_does(how: Document, word: str) -> None:
    stance = stance_of(how)
    assert stance is not None
    assert parse(bent(0, **how)).legs[0].stand.way(word) == pytest.approx(stance.way(word))


@pytest.mark.parametrize(
    ("how", "word"),
    [
        ({"mount": "wall", "heads": "up"}, "down"),
        ({"mount": "wall", "heads": "my right"}, "my left"),
        ({"mount": "ceiling", "heads": "west"}, "west"),
    ],
)
def test_a_word_along_the_leg_is_refused(how: Document, word: str) -> None:
    assert codes(bent(word, **how)) == {("path[1].turn", "along_the_leg")}


@pytest.mark.parametrize(
    ("how", "word"),
    [
        ({}, "up"),
        ({"mount": "wall"}, "up"),
        ({"mount": "ceiling"}, "north"),
        ({"mount": "wall", "heads": "up"}, "east"),
    ],
)
def test_a_word_that_nothing_gives_a_meaning_is_refused(how: Document, word: str) -> None:
    assert codes(bent(word, **how)) == {("path[1].turn", "no_stance")}


@pytest.mark.parametrize(
    ("how", "wanted"),
    [
        ({"mount": "wall", "heads": "north"}, ("heads", "unknown_word")),
        ({"mount": "ceiling", "heads": "up"}, ("heads", "unknown_word")),
        ({"mount": "deck", "heads": "north", "faces": "north"}, ("faces", "no_wall")),
        ({"faces": "north"}, ("faces", "no_stance")),
    ],
)
def test_heads_and_faces_belong_to_their_mount(how: Document, wanted: tuple[str, str]) -> None:
    assert codes(bent(0, **how)) == {wanted}


def onto(mount: str, turn: str) -> Document:
    """Along a ceiling to the north, then down the wall at its end, and to his left there."""
    second = {**corner(90, turn), "mount": mount}
    path = [leg(60), second, leg(60), corner(90, "my left"), leg(40)]
    return run(*path, mount="ceiling", heads="north")


def test_down_from_the_ceiling_the_carried_out_is_the_walls() -> None:
    """He faces the wall at the north end: his left there is west, as it was under the ceiling."""
    west = parse(bent("west", mount="ceiling", heads="north")).legs[0].stand.way("west")
    down = parse(onto("wall", "down"))
    assert down.legs[1].stand.mount == "wall"
    assert down.legs[1].stand.way("my left") == pytest.approx(west)
    assert down.corners[1].turn == 270


@pytest.mark.parametrize(("mount", "turn"), [("deck", "down"), ("ceiling", "down"), ("wall", "west")])
def test_a_new_surface_that_the_carried_out_does_not_point_off_is_refused(mount: str, turn: str) -> None:
    assert ("path[1].mount", "out_not_off_surface") in codes(onto(mount, turn))


def test_a_features_turn_may_be_his_word() -> None:
    saddle = feature("saddle3", centre=40, rise=3, angle=45, turn="up")
    found: Run = parse(run(leg(80, saddle), mount="wall", heads="my left"))
    assert found.legs[0].features[0].turn == 270


def test_after_an_end_kick_the_corner_is_named_from_the_kicked_pipe() -> None:
    kick = feature("kick", rise=4, angle=15, turn="off")
    assert turned(run(leg(80, kick), corner(90, "up"), leg(40), mount="wall", heads="my right")) == 90


@pytest.mark.parametrize("how", STANCES)
@pytest.mark.parametrize("turn", [0, 180])
def test_a_run_read_back_says_a_word_that_means_the_same_turn(how: Document, turn: float) -> None:
    said = layout(bent(turn, **how))["reads"].split("a 90 ")[1].split(",")[0].split(";")[0]
    assert turned(bent(said, **how)) == turn


@pytest.mark.parametrize("how", STANCES)
def test_the_frames_left_is_never_said_to_one_who_stands(how: Document) -> None:
    said = layout(bent("left", **how))["reads"]
    assert "a 90 left" not in said and "a 90 " in said
