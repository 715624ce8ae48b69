"""The pictures that a foreman starts from: each stands for rows that he then fills."""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.requests.rows import Row, new_row


@dataclass(frozen=True)
class Shape:
    """`line` is the pipe of its picture, an SVG path in a box of 128 by 84."""

    key: str
    words: str
    line: str
    rows: tuple[Row, ...]


def _run(*middle: Row, start: Row | None = None, end: Row | None = None) -> tuple[Row, ...]:
    return (start or new_row("start"), *middle, end or new_row("end"))


def _at_box(which: str) -> Row:
    return new_row(which, to="box face", fitting="set-screw connector", allowance="1/8")


def _leg() -> Row:
    return new_row("leg")


def _corner(turn: str) -> Row:
    return new_row("corner", turn=turn)


SHAPES = (
    Shape("stub", "Stub 90", "M42 8V60Q42 74 56 74H120", _run(_leg(), _corner("out"), _leg())),
    Shape(
        "box_to_box",
        "Box to box",
        "M22 44H34C42 44 40 56 48 56H80C88 56 86 44 94 44H106",
        _run(
            _leg(),
            new_row("box_offset", at="start"),
            new_row("box_offset", at="end"),
            start=_at_box("start"),
            end=_at_box("end"),
        ),
    ),
    Shape(
        "offset", "Offset", "M4 62H38Q44 62 48 58L76 28Q80 24 86 24H124", _run(_leg(), new_row("offset", turn="out"))
    ),
    Shape(
        "offset_90",
        "90 + offset",
        "M4 72H28Q34 72 38 68L52 54Q56 50 62 50H84Q96 50 96 38V8",
        _run(_leg(), _corner("out"), _leg(), new_row("offset")),
    ),
    Shape(
        "kick_90",
        "Kick + 90",
        "M12 72L52 44Q56 41 61 39L82 31Q96 26 96 42V78",
        _run(_leg(), new_row("kick"), _corner("out"), _leg()),
    ),
    Shape(
        "u",
        "U, two 90s",
        "M30 80V36Q30 20 46 20H82Q98 20 98 36V80",
        _run(_leg(), _corner("left"), _leg(), _corner("left"), _leg()),
    ),
    Shape(
        "over_pipe",
        "Over a pipe",
        "M4 64H26Q32 64 35 59L48 37Q64 20 80 37L93 59Q96 64 102 64H124",
        _run(_leg(), new_row("saddle3")),
    ),
    Shape(
        "over_duct",
        "Over a duct",
        "M4 66H16Q21 66 24 61L38 34Q41 28 47 28H81Q87 28 90 34L104 61Q107 66 112 66H124",
        _run(_leg(), new_row("saddle4")),
    ),
    Shape(
        "z",
        "Z",
        "M8 68H50Q64 68 64 54V32Q64 18 78 18H120",
        _run(_leg(), _corner("left"), _leg(), _corner("right"), _leg()),
    ),
    Shape("rolled", "Rolled offset", "M4 64H38Q44 64 49 60L86 26Q90 22 96 22H124", _run(_leg(), new_row("rolled"))),
    Shape("straight", "Straight cut", "M10 44H118", _run(_leg())),
    Shape("free", "Leg by leg", "M10 70H34V42L72 18L92 58H120", _run(_leg(), new_row("corner"), _leg())),
)
BY_KEY = {shape.key: shape for shape in SHAPES}


def shape_of(rows: Sequence[Row]) -> Shape:
    """The picture whose rows these look like, else leg by leg."""
    kinds = [row.kind for row in rows]
    return next((shape for shape in SHAPES if [row.kind for row in shape.rows] == kinds), BY_KEY["free"])
