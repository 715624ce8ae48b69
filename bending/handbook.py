"""A run's bends by the trade's rules, each with its mark and its hook, and what those would fold up to.

They stand beside the exact marks and are never mixed with them: another mark goes with another hook.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from bending.bender import Profile
from bending.book import NO_RULE, BookMark, Work, Zero
from bending.features import BoxOffset, Feature, Kick, Offset, Saddle3, Saddle4
from bending.fold import fold_stick
from bending.lengths import format_length
from bending.marked_stick import Mark, Shoe, Stick
from bending.path import Bend, Path
from bending.problems import Problems
from bending.rules import (
    RuleError,
    kick_distance,
    offset_marks,
    offset_rule,
    saddle3_marks,
    saddle_rule,
    segment_space,
    stub_mark,
)
from bending.run import Run

TAKE_UP = "take-up and gain as measured on this bender"
SEGMENT = "NJATC, Conduit Fabrication level 2, lesson 4; the first half a space in: common practice, no source"
# Room before and after a feature when it is folded by itself, inches.
ROOM = 1000.0
# Lines in the shoe when a feature is folded flat: up is 0.
WAYS: Mapping[type[Feature], tuple[float, ...]] = {
    BoxOffset: (0.0, 180.0),
    Offset: (0.0, 180.0),
    Saddle3: (0.0, 180.0, 0.0),
    Saddle4: (0.0, 180.0, 180.0, 0.0),
    Kick: (0.0,),
}


def handbook(run: Run, path: Path) -> list[dict[str, Any]]:
    """Every bend of a run by the trade's rules, in the order that they lie along the stick.

    Each entry: ``step``, ``rule``, ``at`` (inches from ``from``), ``text``, ``from``, ``station`` (from its own stick's
    start), ``mark``, ``hook``, ``angle``, ``roll``, ``feature``, ``source``; on a feature's last bend also
    ``folds_to`` and ``asked``, mappings of what was asked for to inches (``folds_to`` is None if the marks run into
    each other). A segment bend has one entry, with its first mark, ``shots`` and the ``space`` between marks (inches).
    A bend that the trade has no rule for has rule ``no_rule`` and no mark.
    """
    entries: list[dict[str, Any]] = []
    zero: Zero | None = Zero("start", 0.0, path.lines[0].begins)
    for number, leg in enumerate(run.legs):
        zero = _leg(entries, Work(run, path, number, leg), zero)
    return entries


def _leg(entries: list[dict[str, Any]], work: Work, zero: Zero | None) -> Zero | None:
    """Write a leg's features and the corner at its end; answers with what the next leg is measured from."""
    shrink = 0.0
    for feature in _in_order(work):
        marks = _feature(feature, work, shrink)
        if isinstance(feature, BoxOffset) and feature.end == "end":
            placed = _placed(marks, Zero("end", work.stick, 0.0), -1)
        else:
            placed = _placed(marks, zero, 1) if zero else [_no_rule("nothing to measure from")] * len(marks)
        _write(entries, work.bends(feature.at), placed, work, (feature, shrink))
        shrink += _shrink(feature)
    return None if work.last else _corner(entries, work, zero, shrink)


def _in_order(work: Work) -> list[Feature]:
    """The leg's features as they lie along it."""
    order = [bend.at for bend in work.path.bends]
    return sorted(work.leg.features, key=lambda feature: order.index(feature.at))


def _placed(marks: Sequence[BookMark], zero: Zero, way: int) -> list[BookMark]:
    """Marks of a leg as distances from what they are measured from."""
    found = []
    for mark in marks:
        at = mark.along - zero.along
        found.append(replace(mark, at=at, measured_from=zero.words, station=zero.station + way * at))
    return found


def _shrink(feature: Feature) -> float:
    """What a feature takes from the leg, by the book; a box offset's is not worth marking."""
    if isinstance(feature, BoxOffset):
        return 0.0
    if isinstance(feature, Offset):
        return feature.true_rise * offset_rule(feature.angle).shrink
    if isinstance(feature, Saddle3):
        return 2 * feature.rise * saddle_rule(feature.angle).move
    share = offset_rule(feature.angle).shrink * feature.rise
    return 2 * share if isinstance(feature, Saddle4) else share


def _feature(feature: Feature, work: Work, shrink: float) -> list[BookMark]:
    """A feature's marks by the book, as distances along its leg (a box offset at the far end: from that end)."""
    if isinstance(feature, BoxOffset):
        return _box_offset(feature, work.path.lines[work.number].begins)
    if isinstance(feature, Offset):
        return _offset(feature, work.leg.length, shrink)
    if isinstance(feature, Saddle3):
        return _saddle3(feature, work.leg.length, shrink)
    if isinstance(feature, Saddle4):
        return _saddle4(feature, work.leg.length, shrink)
    if isinstance(feature, Kick):
        return [_kick(feature, work, shrink)]
    raise TypeError(f"no rule for a {feature.kind}")


def _box_offset(feature: BoxOffset, begins: float) -> list[BookMark]:
    """The first mark at the tail, the other a multiplier times the rise from it; hook to the near end."""
    rule = offset_rule(feature.angle)
    first = feature.tail + (begins if feature.end == "start" else 0.0)
    ats = (first, first + rule.multiplier * feature.rise)
    marks = [BookMark("multiplier", at, "arrow", feature.end, rule.source) for at in ats]
    return marks if feature.end == "start" else marks[::-1]


def _offset(feature: Offset, length: float, shrink: float) -> list[BookMark]:
    """Toward an obstruction the hook faces the far end, so that the pipe is up before the edge; past one, the near."""
    rule, past = offset_rule(feature.angle), feature.holds == "near"
    spot = length - feature.spot_along if feature.from_end else feature.spot_along
    near, far = offset_marks(spot + shrink, feature.true_rise, rule, past)
    hook, name = ("start", "offset past") if past else ("end", "offset toward")
    return [BookMark(name, at, "arrow", hook, rule.source) for at in (near, far)]


def _saddle3(feature: Saddle3, length: float, shrink: float) -> list[BookMark]:
    """The centre bend on the notch, the outer ones on the arrow with the hook toward the middle."""
    rule = saddle_rule(feature.angle)
    centre = length - feature.centre if feature.from_end else feature.centre
    first, middle, last = saddle3_marks(centre + shrink, feature.rise, rule)
    return [
        BookMark("three-bend", first, "arrow", "end", rule.source),
        BookMark("three-bend", middle, "notch", "start", rule.source),
        BookMark("three-bend", last, "arrow", "start", rule.source),
    ]


def _saddle4(feature: Saddle4, length: float, shrink: float) -> list[BookMark]:
    """Two offsets, one toward the obstruction and one past it; the second is laid on after the first's shrink."""
    rule = offset_rule(feature.angle)
    ends = (length - feature.far, length - feature.near) if feature.from_end else (feature.near, feature.far)
    up = offset_marks(ends[0] + shrink, feature.rise, rule)
    down = offset_marks(ends[1] + shrink + feature.rise * rule.shrink, feature.rise, rule, past=True)
    toward = [BookMark("offset toward", at, "arrow", "end", rule.source) for at in up]
    return toward + [BookMark("offset past", at, "arrow", "start", rule.source) for at in down]


def _kick(feature: Kick, work: Work, shrink: float) -> BookMark:
    """A multiplier times the kick from the back of the 90, to the centre of the kick."""
    rule = offset_rule(feature.angle)
    apart = kick_distance(feature.rise, rule)
    if feature.end == "start":
        return BookMark("kick", _from_back(work) + apart, "centre", "none", rule.source)
    back = work.to_back() + shrink + feature.rise * rule.shrink
    return BookMark("kick", back - apart, "centre", "none", rule.source)


def _from_back(work: Work) -> float:
    """Where the back of the corner at a leg's start stands, along the leg."""
    diameter = work.profile.outside_diameter
    return {"centre": -diameter / 2, "inside": -diameter}.get(work.leg.from_reference, 0.0)


def _corner(entries: list[dict[str, Any]], work: Work, zero: Zero | None, shrink: float) -> Zero | None:
    """A 90 by its take-up, a segment 90 by its developed length; the trade has no such rule for any other angle."""
    corner, following = work.path.corners[work.number], work.run.legs[work.number + 1]
    if corner.asked.fitting:
        # The next stick has a start of its own.
        return Zero("start", 0.0, work.path.lines[work.number + 1].begins + corner.asked.fitting.after)
    if corner.asked.segment:
        return _segment(entries, work, zero, shrink)
    bend = work.path.bends[corner.first]
    mark = _take_up(bend, work, zero, shrink)
    _write(entries, [bend], [mark], work, None)
    if mark.rule == NO_RULE:
        return None
    profile = work.profile
    ends = mark.station + profile.arrow_lead + profile.arc(90)
    back = ends - profile.radius - profile.outside_diameter / 2
    return Zero(f"back of step {len(entries)}", back, _from_back(replace(work, leg=following)))


def _segment(entries: list[dict[str, Any]], work: Work, zero: Zero | None, shrink: float) -> Zero | None:
    """One entry for all shots: the first centre mark half a space inside the start of the bend, then a space each."""
    corner, mark, after = (
        work.path.corners[work.number],
        _no_rule("a segment bend's start is known for a 90 only"),
        zero,
    )
    space, reach = segment_space(corner.radius, corner.angle, corner.shots), corner.radius + work.to_side
    if zero is not None and abs(corner.angle - 90) < 1e-6:
        starts = work.to_back() + shrink - zero.along - reach
        at, ends = starts + space / 2, starts + space * corner.shots
        mark = BookMark("segment", zero.along + at, "centre", "none", SEGMENT, at, zero.words, zero.station + at)
        back = _from_back(replace(work, leg=work.run.legs[work.number + 1]))
        after = replace(zero, along=back + reach - ends)
    _write(entries, [work.path.bends[corner.first]], [mark], work, None)
    spaced = {"space": space, "space_text": format_length(space, work.run.tape)} if mark.rule != NO_RULE else {}
    entries[-1] |= {"angle": corner.angle, "shots": corner.shots, **spaced}
    return after if spaced else None


def _take_up(bend: Bend, work: Work, zero: Zero | None, shrink: float) -> BookMark:
    if zero is None or abs(bend.angle - 90) > 1e-6:
        return _no_rule("a take-up is known for a 90 only")
    try:
        at = stub_mark(work.to_back() + shrink - zero.along, work.profile.take_up)
    except RuleError as error:
        return _no_rule(error.text)
    return BookMark("take-up", zero.along + at, "arrow", "start", TAKE_UP, at, zero.words, zero.station + at)


def _no_rule(why: str) -> BookMark:
    return BookMark(NO_RULE, 0.0, "none", "none", why)


def _write(
    entries: list[dict[str, Any]],
    bends: Sequence[Bend],
    marks: Sequence[BookMark],
    work: Work,
    of: tuple[Feature, float] | None,
) -> None:
    """One entry a bend; the last one of a feature says what they fold up to."""
    for bend, mark in zip(bends, marks, strict=True):
        entry: dict[str, Any] = {"step": len(entries) + 1, "rule": mark.rule, "source": mark.source}
        entry |= {"mark": mark.mark, "hook": mark.hook, "angle": bend.angle, "roll": bend.roll, "feature": bend.at}
        if mark.rule != NO_RULE:
            text = format_length(mark.at, work.run.tape)
            entry |= {"at": mark.at, "text": text, "from": mark.measured_from, "station": mark.station}
        entries.append(entry)
    if of is not None and marks[0].rule != NO_RULE:
        entries[-1] |= _proof(*of, marks, work)


def _proof(feature: Feature, shrink: float, marks: Sequence[BookMark], work: Work) -> dict[str, Any]:
    """What was asked of a feature, and what its marks alone fold up to."""
    asked = dict(_asked(feature, work))
    bends = _fold_alone(feature, marks, work)
    return {"asked": asked, "folds_to": bends and dict(_found(feature, bends, ROOM + shrink))}


def _fold_alone(feature: Feature, marks: Sequence[BookMark], work: Work) -> list[Mapping[str, Any]] | None:
    """A feature's bends folded flat on a long stick of their own, its leg's zero ``ROOM`` from the stick's start.

    A kick is folded with its 90, square to it. None if the marks run into each other, or if a kick's corner is no 90.
    """
    if isinstance(feature, Kick) and not _beside_a_90(feature, work):
        return None
    angles = {Kick: (feature.angle,), Saddle3: (feature.angle / 2, feature.angle, feature.angle / 2)}
    rows = list(zip(marks, angles.get(type(feature), (feature.angle,) * len(marks)), WAYS[type(feature)], strict=True))
    if isinstance(feature, Kick):
        rows = _with_its_90(feature, rows, work)
    way = -1 if isinstance(feature, BoxOffset) and feature.end == "end" else 1
    return fold_marks([(ROOM + way * mark.along, mark.mark, mark.hook, a, r) for mark, a, r in rows], work.profile)


def _beside_a_90(feature: Kick, work: Work) -> bool:
    line = work.path.lines[work.number]
    corner = work.path.bends[line.first if feature.end == "start" else line.last]
    return abs(corner.angle - 90) < 1e-6


def _with_its_90(
    feature: Kick, rows: list[tuple[BookMark, float, float]], work: Work
) -> list[tuple[BookMark, float, float]]:
    """The 90 that a kick is measured from, on its own mark."""
    profile, mark = work.profile, rows[0][0]
    if feature.end == "start":
        back = _from_back(work)
        ninety = replace(mark, along=back - profile.arc(90) + profile.radius + profile.outside_diameter / 2)
        ninety = replace(ninety, along=ninety.along - profile.arrow_lead, mark="arrow", hook="start")
        return [(ninety, 90.0, 90.0), *rows]
    back = mark.along + kick_distance(feature.rise, offset_rule(feature.angle))
    return [*rows, (replace(mark, along=back - profile.take_up, mark="arrow", hook="start"), 90.0, 90.0)]


def fold_marks(
    marks: Sequence[tuple[float, str, str, float, float]], profile: Profile
) -> list[Mapping[str, Any]] | None:
    """The bends of (station, mark, hook, angle, roll), inches and degrees, on one bender's long stick, as ``fold``
    gives them; None if they run into each other."""
    pencilled = tuple(
        Mark(step, station, None, "start", mark, hook, angle, roll, None)
        for step, (station, mark, hook, angle, roll) in enumerate(marks, 1)
    )
    stick = Stick(max(mark[0] for mark in marks) + ROOM, None, 0.0, pencilled, None)
    shoe = Shoe(profile.radius, profile.arrow_lead, profile.outside_diameter)
    try:
        return list(fold_stick(stick, shoe)["bends"])
    except Problems:
        return None


def _asked(feature: Feature, work: Work) -> Iterator[tuple[str, float]]:
    """What was asked of a feature: its rise, and its place along the leg."""
    length = work.leg.length
    yield "rise", feature.true_rise if isinstance(feature, Offset) else feature.rise
    if isinstance(feature, Offset):
        yield "at", length - feature.spot_along if feature.from_end else feature.spot_along
    if isinstance(feature, Saddle3):
        yield "centre", length - feature.centre if feature.from_end else feature.centre
    if isinstance(feature, Saddle4):
        near, far = (length - feature.far, length - feature.near) if feature.from_end else (feature.near, feature.far)
        yield "from", near
        yield "to", far


def _found(feature: Feature, bends: Sequence[Mapping[str, Any]], zero: float) -> Iterator[tuple[str, float]]:
    """The same of the folded marks: the rise, and where the points of intersection (or the high spot) stand."""
    if isinstance(feature, Kick):
        apart = math.dist(bends[0]["pi"], bends[1]["pi"])
        yield "rise", apart * math.sin(math.radians(feature.angle))
        return
    high = high_spot(bends[1]) if isinstance(feature, Saddle3) else bends[1]["pi"]
    yield "rise", abs(high[2])
    if isinstance(feature, Offset):
        yield "at", bends[0 if feature.holds == "near" else 1]["pi"][0] - zero
    if isinstance(feature, Saddle3):
        yield "centre", high[0] - zero
    if isinstance(feature, Saddle4):
        yield "from", bends[1]["pi"][0] - zero
        yield "to", bends[2]["pi"][0] - zero


def high_spot(bend: Mapping[str, Any]) -> tuple[float, float, float]:
    """The middle of a bend's arc: that much inside its point of intersection, toward the middle of its chord."""
    inside = bend["radius"] * (1 / math.cos(math.radians(bend["angle"]) / 2) - 1)
    middle = [(a + b) / 2 for a, b in zip(bend["start"], bend["end"], strict=True)]
    share = inside / math.dist(middle, bend["pi"])
    x, y, z = (pi + (m - pi) * share for pi, m in zip(bend["pi"], middle, strict=True))
    return x, y, z
