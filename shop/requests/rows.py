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
    ("set-screw coupling", "set-screw coupling"),
    ("compression coupling", "compression coupling"),
    ("threaded coupling", "threaded coupling"),
    ("locknut and bushing", "locknut and bushing"),
    ("hub", "hub"),
)
TURNS: Picks = (("out", "out"), ("in", "in"), ("left", "left"), ("right", "right"))
AT_CORNER: Picks = (("", "usual"), ("back", "back"), ("centre", "centre"), ("inside", "inside"))
AFTER_CORNER: Picks = (("", "the same"), ("usual", "usual"), *AT_CORNER[1:])
FROM: Picks = (("", "leg's start"), ("end", "leg's end"))
ENDS: Picks = (("start", "start"), ("end", "end"))
HOLDS: Picks = (("far", "second bend"), ("near", "first bend"))
AT_IS: Picks = (("pi", "where the lines meet"), ("level", "where it is straight"))
SIDES: Picks = (("left", "left"), ("right", "right"))


@dataclass(frozen=True)
class Entry:
    """One field of a row. `sort` is length, angle, pick or text; `start` stands in a new row; `more` folds it away."""

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
        f"{which} end" if which == "Far" else which,
        (
            Entry("to", "Measured from" if which == "Start" else "Measured to", "pick", MEASURED_TO),
            Entry("name", "Which one", "text", needed=False, hint="Box C-3; panel P-3, KO 4. The label says it."),
            Entry("fitting", "Fitting", "pick", FITTINGS, needed=False),
            Entry(
                "allowance",
                "Stops short by",
                "length",
                start="0",
                needed=False,
                hint="With a minus where the pipe passes it.",
            ),
        ),
    )


_RISE = Entry("rise", "Rise", "length", hint="Centre to centre.")
_FROM = Entry("from_end", "Measured from", "pick", FROM, needed=False)
_TURN_OUT = Entry("turn", "Toward", "pick", TURNS, start="out")
_TURN = Entry("turn", "Toward", "pick", TURNS)
_AT_IS = Entry("at_is", "The number is", "pick", AT_IS, start="pi", more=True)


def _angle(start: str) -> Entry:
    return Entry("angle", "Bend", "angle", start=start)


_AT = Entry("at", "At", "length")
_HOLDS = Entry("holds", "Which bend stands there", "pick", HOLDS, start="far", more=True)

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
            Entry("rise", "Out to the KO", "length", hint="KO centre to pipe centre."),
            _angle("10"),
            Entry("at", "At the leg's", "pick", ENDS, start="start"),
            Entry("tail", "Straight at the end", "length", needed=False, more=True, hint="Empty: as the bender needs."),
            Entry("turn", "Toward", "pick", TURNS, start="out", more=True),
        ),
    ),
    "offset": RowKind("Offset", (_AT, _RISE, _angle("30"), _FROM, _TURN, _HOLDS, _AT_IS)),
    "rolled": RowKind(
        "Rolled offset",
        (
            _AT,
            _RISE,
            Entry("side", "Sideways", "length", hint="Seen along the run, with the rise up."),
            _angle("30"),
            Entry("side_to", "To the", "pick", SIDES),
            _FROM,
            _TURN_OUT,
            _HOLDS,
            _AT_IS,
        ),
    ),
    "saddle3": RowKind(
        "Three-bend, over a pipe",
        (
            Entry("centre", "Pipe's centre at", "length"),
            Entry("rise", "Clears by", "length", hint="All that must pass under it, with what stays free."),
            Entry("angle", "Centre bend", "angle", start="45"),
            _FROM,
            _TURN_OUT,
        ),
    ),
    "saddle4": RowKind(
        "Four-bend, over a duct",
        (
            Entry("from", "Up at", "length", hint="Before the first edge."),
            Entry("to", "Down at", "length", hint="After the second edge."),
            _RISE,
            _angle("30"),
            _FROM,
            _TURN_OUT,
            _AT_IS,
        ),
    ),
    "kick": RowKind(
        "Kick",
        (
            Entry("rise", "Kick", "length", hint="Centre of stub to centre of run."),
            _angle("15"),
            _TURN,
            Entry("at", "The corner is at the leg's", "pick", ENDS, start="end"),
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
