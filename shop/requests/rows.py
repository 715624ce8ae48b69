"""The rows of the builder: what a foreman says of each end, leg, corner and feature, in the order he measures."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

Picks = tuple[tuple[str, str], ...]

MEASURED_TO: Picks = (
    ("box face", "box face"),
    ("box centre", "box centre"),
    ("KO centre", "KO centre"),
    ("finished floor", "finished floor"),
    ("rough slab", "rough slab"),
    ("top of deck", "top of deck"),
    ("wall face", "wall face"),
    ("ceiling face", "ceiling face"),
    ("strut face", "strut face"),
    ("coupling stop", "coupling, to its stop"),
    ("panel top", "panel top"),
    ("beam or duct edge", "beam or duct edge"),
    ("pipe centre", "pipe centre"),
    ("pipe end", "the pipe's own end"),
)
FITTINGS: Picks = (
    ("", "none"),
    ("set-screw connector", "set-screw connector"),
    ("compression connector", "compression connector"),
    ("coupling", "coupling"),
    ("locknut and bushing", "locknut and bushing"),
    ("hub", "hub"),
)
TURNS: Picks = (("out", "out"), ("in", "in"), ("left", "left"), ("right", "right"))
AT_CORNER: Picks = (("", "usual"), ("back", "back"), ("centre", "centre"), ("inside", "inside"))
AFTER_CORNER: Picks = (("", "the same"), ("usual", "usual"), *AT_CORNER[1:])
FROM: Picks = (("", "leg's start"), ("end", "leg's end"))
ENDS: Picks = (("start", "start"), ("end", "end"))
HOLDS: Picks = (("far", "second bend"), ("near", "first bend"))
AT_IS: Picks = (("pi", "bend's centre"), ("level", "where it is straight"))
SIDES: Picks = (("left", "left"), ("right", "right"))


@dataclass(frozen=True)
class Entry:
    """One field of a row. `sort` is length, angle or pick; `start` stands in a new row; `more` folds it away."""

    name: str
    words: str
    sort: str
    picks: Picks = ()
    start: str = ""
    needed: bool = True
    hint: str = ""
    more: bool = False


@dataclass(frozen=True)
class RowKind:
    words: str
    entries: tuple[Entry, ...]
    hint: str = ""


@dataclass(frozen=True)
class Row:
    """One row as typed: every value is text. `kept` is what the document carries and the builder doesn't show."""

    kind: str
    values: Mapping[str, str] = field(default_factory=dict)
    kept: Mapping[str, Any] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        return self.values.get(name, "")


def _end(which: str) -> RowKind:
    return RowKind(
        f"{which} end",
        (
            Entry("to", "Measured from" if which == "Start" else "Measured to", "pick", MEASURED_TO),
            Entry("fitting", "Fitting", "pick", FITTINGS, needed=False),
            Entry(
                "allowance",
                "Stops short by",
                "length",
                start="0",
                needed=False,
                hint="How far the pipe's end stops short of it; with a minus where it passes it.",
            ),
        ),
    )


_RISE = Entry("rise", "Rise", "length", hint="Centre to centre, the same as bottom to bottom.")
_FROM = Entry("from_end", "Measured from", "pick", FROM, needed=False)
_TURN_OUT = Entry("turn", "Toward", "pick", TURNS, start="out")
_TURN = Entry("turn", "Toward", "pick", TURNS)
_AT_IS = Entry("at_is", "The number is", "pick", AT_IS, start="pi", more=True)


def _angle(start: str) -> Entry:
    return Entry("angle", "Bend", "angle", start=start)


_OFFSET_PLACE = (
    Entry("at", "At", "length", hint="Where the bend that holds stands on the leg."),
    _FROM,
)
_OFFSET_HOW = (Entry("holds", "It holds the", "pick", HOLDS, start="far", more=True), _AT_IS)

ROWS: dict[str, RowKind] = {
    "start": _end("Start"),
    "end": _end("Far"),
    "leg": RowKind("Leg", (Entry("leg", "Length", "length"),)),
    "corner": RowKind(
        "Corner",
        (
            Entry("corner", "Bend", "angle", start="90"),
            Entry("turn", "Turns", "pick", TURNS),
            Entry(
                "measured",
                "Legs measured to its",
                "pick",
                AT_CORNER,
                needed=False,
                hint="Usual is the back of a 90, and the centre of any other bend.",
            ),
            Entry("after", "The next leg from", "pick", AFTER_CORNER, needed=False, more=True),
        ),
    ),
    "box_offset": RowKind(
        "Box offset",
        (
            Entry("at", "At the", "pick", ENDS, start="start"),
            Entry("rise", "Out to the KO", "length", hint="KO centre to pipe centre."),
            _angle("10"),
            Entry("tail", "Straight at the end", "length", needed=False, more=True, hint="Empty: as the bender needs."),
            Entry("turn", "Toward", "pick", TURNS, start="out", more=True),
        ),
    ),
    "offset": RowKind("Offset", (*_OFFSET_PLACE, _RISE, _TURN, _angle("30"), *_OFFSET_HOW)),
    "rolled": RowKind(
        "Rolled offset",
        (
            *_OFFSET_PLACE,
            _RISE,
            _TURN_OUT,
            Entry("side", "And sideways", "length"),
            Entry("side_to", "To the", "pick", SIDES, hint="As you look along the run with the rise up."),
            _angle("30"),
            *_OFFSET_HOW,
        ),
    ),
    "saddle3": RowKind(
        "Three-bend, over a pipe",
        (
            Entry("centre", "Pipe's centre at", "length"),
            _FROM,
            Entry(
                "rise", "Clears by", "length", hint="Size of the pipe and what stays free: the least it may stand off."
            ),
            Entry("angle", "Centre bend", "angle", start="45"),
            _TURN_OUT,
        ),
    ),
    "saddle4": RowKind(
        "Four-bend, over a duct",
        (
            Entry("from", "Up by", "length", hint="Where it must be up, before the first edge."),
            Entry("to", "Down after", "length", hint="Where it may go down, after the second edge."),
            _FROM,
            _RISE,
            _angle("30"),
            _TURN_OUT,
            _AT_IS,
        ),
    ),
    "kick": RowKind(
        "Kick",
        (
            Entry("at", "Next to the corner at the leg's", "pick", ENDS, start="end"),
            Entry("rise", "Kick", "length", hint="Centre of the stub to centre of the run."),
            _TURN,
            _angle("15"),
        ),
    ),
    "other": RowKind("Carried as it is", ()),
}
ADDED = ("box_offset", "offset", "rolled", "saddle3", "saddle4", "kick")
FEATURES = (*ADDED, "other")


def new_row(kind: str, **values: str) -> Row:
    """A row of that kind with what stands in it at first, and the values given."""
    first = {entry.name: entry.start for entry in ROWS[kind].entries}
    return Row(kind, {**first, **values})
