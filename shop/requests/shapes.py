"""The pictures that a foreman starts from: each stands for rows that he then fills."""

from dataclasses import dataclass

from shop.requests.rows import Row, new_row


@dataclass(frozen=True)
class Shape:
    key: str
    words: str
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
    Shape("stub", "Stub 90", _run(_leg(), _corner("out"), _leg())),
    Shape(
        "box_to_box",
        "Box to box",
        _run(
            _leg(),
            new_row("box_offset", at="start"),
            new_row("box_offset", at="end"),
            start=_at_box("start"),
            end=_at_box("end"),
        ),
    ),
    Shape("offset", "Offset", _run(_leg(), new_row("offset", turn="out"))),
    Shape("offset_90", "90 + offset", _run(_leg(), _corner("out"), _leg(), new_row("offset"))),
    Shape("kick_90", "Kick + 90", _run(_leg(), new_row("kick"), _corner("out"), _leg())),
    Shape("u", "U, two 90s", _run(_leg(), _corner("left"), _leg(), _corner("left"), _leg())),
    Shape("over_pipe", "Over a pipe", _run(_leg(), new_row("saddle3"))),
    Shape("over_duct", "Over a duct", _run(_leg(), new_row("saddle4"))),
    Shape("z", "Z", _run(_leg(), _corner("left"), _leg(), _corner("right"), _leg())),
    Shape("rolled", "Rolled offset", _run(_leg(), new_row("rolled"))),
    Shape("straight", "Straight cut", _run(_leg())),
    Shape("free", "Leg by leg", _run(_leg(), new_row("corner"), _leg())),
)
BY_KEY = {shape.key: shape for shape in SHAPES}
