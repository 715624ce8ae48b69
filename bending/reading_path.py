"""Legs of a run document, and what joins them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bending.corners import Corner
from bending.features import BoxOffset, Feature, Kick
from bending.reading import Reader
from bending.reading_corners import KINDS, Join, read_join
from bending.reading_features import Measures, Side, read_feature
from bending.reading_obstructions import Obstruction, read_obstructions
from bending.stands import PEOPLES_WORDS, Stand, moved, turn_of
from bending.vectors import START, Frame

MOST_LEGS = 200
MOST_FEATURES = 100
# On all legs together: each feature is a bend or more, and a path has at most 500 of them.
MOST_IN_ALL = 500
REFERENCES = ("back", "centre", "inside")

MOUNTS = ("wall", "ceiling", "deck", "free")


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg: its length between two references (``back``, ``centre``, ``inside``, or ``end`` at a run's end).

    ``key`` is its name in the document: ``leg``, or ``u_bend`` for the width of a return bend.
    """

    at: str
    length: float
    from_reference: str
    to_reference: str
    features: tuple[Feature, ...]
    obstructions: tuple[Obstruction, ...]
    stand: Stand
    key: str = "leg"

    @property
    def place(self) -> str:
        """Where its length stands in the document."""
        return f"{self.at}.{self.key}"

    def kick(self, end: str) -> Kick | None:
        """The kick at this end of the leg (``start`` or ``end``), if it has one."""
        for feature in self.features:
            if isinstance(feature, Kick) and feature.end == end:
                return feature
        return None


def read_path(reader: Reader, mapping: Mapping[str, Any], run: Measures) -> tuple[tuple[Leg, ...], tuple[Corner, ...]]:
    """The legs and the corners between them; a return bend is two corners and the leg across. Faults go to the
    reader."""
    items = reader.items(mapping, "path", "", 2 * MOST_LEGS - 1)
    if not items:
        if not reader.problems or reader.problems[-1].at != "path":
            reader.fault("path", "missing", "a path with at least one leg is needed")
        return (), ()
    if not _alternates(reader, items) or _too_many(reader, items):
        return (), ()
    joins = [read_join(reader, item, f"path[{2 * n + 1}]", run.profile) for n, item in enumerate(items[1::2])]
    legs, corners, stand, frame = list[Leg](), list[Corner](), run.stand, START
    for number, item in enumerate(items[::2]):
        beside = (joins[number - 1].corner if number else None, joins[number].corner if number < len(joins) else None)
        side = Side(*beside, stand, frame)
        legs.append(_read_leg(reader, item, f"path[{2 * number}]", run, side))
        if number < len(joins):
            before = side._replace(frame=_kicked(frame, legs[-1]))
            join = _turned(reader, items[2 * number + 1], joins[number], before)
            frame = _joined(join, legs, corners, before)
            stand = _next_stand(reader, items[2 * number + 1], join.corner.at, stand, frame)
    return tuple(legs), tuple(corners)


def _too_many(reader: Reader, items: Sequence[Mapping[str, Any]]) -> bool:
    """Counted before any is read: a hundred on each of two hundred legs would take a while to refuse."""
    before = len(reader.problems)
    for key in ("features", "obstructions"):
        found = (item.get(key) for item in items[::2])
        count = sum(len(one) for one in found if isinstance(one, list | tuple))
        if count > MOST_IN_ALL:
            reader.fault("path", "too_many", f"a run has at most {MOST_IN_ALL} {key}; this one has {count}")
    return len(reader.problems) > before


def _joined(join: Join, legs: list[Leg], corners: list[Corner], before: Side) -> Frame:
    """Write down what follows a leg; answers with the frame after it."""
    corner, frame = join.corner, before.frame.carried(join.corner.angle, join.corner.turn)
    corners.append(corner)
    if join.width is not None:
        legs.append(Leg(corner.at, join.width, "centre", "centre", (), (), before.stand, "u_bend"))
        corners.append(corner)
        frame = frame.carried(corner.angle, corner.turn)
    return frame


def _kicked(frame: Frame, leg: Leg) -> Frame:
    kick = leg.kick("end")
    return frame.carried(kick.angle, kick.turn) if kick else frame


def _turned(reader: Reader, item: Mapping[str, Any], join: Join, side: Side) -> Join:
    """A corner with one of his words put into degrees, now that the leg before it is known."""
    word, corner = item.get("turn"), join.corner
    if not isinstance(word, str) or word not in PEOPLES_WORDS:
        return join
    turn = turn_of(reader, side.stand, side.frame, word, f"{corner.at}.turn")
    return join._replace(corner=replace(corner, turn=turn))


def _next_stand(reader: Reader, item: Mapping[str, Any], at: str, stand: Stand, frame: Frame) -> Stand:
    mount = reader.word(item, "mount", at, MOUNTS, "")
    return moved(reader, stand, mount, frame, f"{at}.mount") if mount else stand


def _alternates(reader: Reader, items: Any) -> bool:
    before = len(reader.problems)
    for number, item in enumerate(items):
        place, kinds = f"path[{number}]", KINDS if number % 2 else ("leg",)
        wanted = " or ".join(kinds)
        if not isinstance(item, Mapping):
            reader.fault(place, "not_an_object", f"a {wanted} is needed here")
        elif not any(kind in item for kind in kinds):
            reader.fault(place, "not_alternating", f"a {wanted} is needed here: they take turns with legs")
    if len(items) % 2 == 0:
        reader.fault(f"path[{len(items) - 1}]", "not_alternating", "a path ends with a leg")
    return len(reader.problems) == before


def _read_leg(reader: Reader, item: Mapping[str, Any], at: str, run: Measures, side: Side) -> Leg:
    reader.mapping(item, at, ("leg", "from", "to", "features", "obstructions"))
    features = []
    for number, value in enumerate(reader.items(item, "features", at, MOST_FEATURES)):
        feature = read_feature(reader, value, f"{at}.features[{number}]", run, side)
        if feature is not None:
            features.append(feature)
    _refuse_two_at_one_end(reader, features)
    kicks = {feature.end: feature for feature in features if isinstance(feature, Kick)}
    _refuse_kick_beside_fitting(reader, kicks, side)
    length = reader.length(item, "leg", at)
    return Leg(
        at,
        length,
        _reference(reader, item, f"{at}.from", side.before, _usual(run, side.before, "start" in kicks)),
        _reference(reader, item, f"{at}.to", side.after, _usual(run, side.after, "end" in kicks)),
        tuple(features),
        tuple(one.placed(length) for one in read_obstructions(reader, item, at, run, side)),
        side.stand,
    )


def _usual(run: Measures, corner: Corner | None, kicked: bool) -> str:
    """Back at a 90, centre at any other angle, unless the run says.

    A kick's corner counts as a 90, also when its angle cures the kick.
    """
    return run.measure or ("back" if kicked or (corner and corner.angle == 90) else "centre")


def _reference(reader: Reader, item: Mapping[str, Any], place: str, corner: Corner | None, usual: str) -> str:
    """The reference that a leg's end says, else the usual one; ``end`` where there is no corner."""
    at, key = place.rsplit(".", 1)
    if corner is None:
        if item.get(key) is not None:
            reader.fault(place, "no_corner", "this end of the run has no corner to measure to")
        return "end"
    if corner.fitting and corner.radius is None:
        if item.get(key) not in (None, "centre"):
            reader.fault(place, "no_back", f"a leg is measured to the centre of a {corner.fitting.kind}")
        return "centre"
    return reader.word(item, key, at, REFERENCES, usual)


def _refuse_kick_beside_fitting(reader: Reader, kicks: Mapping[str, Kick], side: Side) -> None:
    """A bought part turns by its own angle, or not at all: it can't make up for a kick after it."""
    for end, corner in (("start", side.before), ("end", side.after)):
        if end in kicks and corner and corner.fitting and (end == "start" or corner.angle == 0):
            words = f"a {corner.fitting.kind} can't take up a kick here: bend an offset instead"
            reader.fault(kicks[end].at, "kick_beside_fitting", words)


def _refuse_two_at_one_end(reader: Reader, features: list[Feature]) -> None:
    taken: set[str] = set()
    for feature in features:
        if isinstance(feature, BoxOffset | Kick):
            if feature.end in taken:
                reader.fault(
                    feature.at, "two_at_one_end", f"another feature stands at this leg's {feature.end} already"
                )
            taken.add(feature.end)
