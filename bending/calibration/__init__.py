"""Calibration: a bender's numbers from what was bent on it, how sure they are, and what they would change.

``calibration/1``, of which any part may be left out but ``format``, ``raceway`` and ``size``::

    {"format": "calibration/1", "tag": "…", "raceway": "EMT", "size": "1/2", "name": "…",
     "reading": "1/32", "angle_reading": 0.5, "reading_step": 0.5, "nameplate_radius": 4.5, "mark": "arrow",
     "bends": [{"mark": 15, "angle": 90, "cut": 40, "stub": 20, "leg": "22 5/8", "hook": "start"}],
     "springback": [{"bend_to": 93, "angle": 90}], "model": "both",
     "pieces": [{"run": {run/1}, "measured": [{"at": "path[0].leg", "value": "20 1/16"}]}], "find": ["radius"],
     "before": {profile}, "after": {profile}, "runs": [{run/1}]}

Lengths are inches or text, angles degrees; ``reading`` and ``angle_reading`` are the standard errors of one reading.
Stub and leg are measured to the back of the bend. The profile that ``runs`` are tried with is ``after``, else
``before`` with what the bends (else the pieces) and the springback say in its place.

``calibrated/1`` answers with a key for each part: ``shoe`` (of the bends), ``springback``, ``finished`` (of the
pieces), ``bender`` (a profile), ``changes`` (of the runs), and ``checks`` as in a layout.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from bending import tables
from bending.bender import Profile, read_profile
from bending.calibration.bends import ANGLE_READING, MARKS, READING, Readings, Shoe, Trial, from_bends, read_trials
from bending.calibration.change import MOST_RUNS, Change, changes
from bending.calibration.finished import FOUND, Bender, Measured, from_pieces, read_measured
from bending.calibration.springback import MODELS, Pair, Springback, read_pairs, springback
from bending.check import PRACTICE, Check, check
from bending.checks import RADII_DIFFER
from bending.lengths import format_length
from bending.reading import Reader

__all__ = [
    "Bender", "Change", "Measured", "Pair", "Readings", "Shoe", "Springback", "Trial", "calibrate", "changes",
    "from_bends", "from_pieces", "nameplate", "springback",
]  # fmt: skip

# A step of the usual tape: less than this is no news to a hand.
STEP = 1 / 16
_KEYS = (
    "format", "tag", "raceway", "size", "name", "reading", "angle_reading", "reading_step", "nameplate_radius", "mark",
    "bends", "springback", "model", "pieces", "find", "before", "after", "runs",
)  # fmt: skip


@dataclass(frozen=True)
class _Asked:
    """A calibration/1 document, read."""

    tag: str
    name: str
    raceway: str
    size: str
    readings: Readings
    reading_step: float
    nameplate_radius: float | None
    mark: str
    trials: list[Trial]
    pairs: list[Pair]
    model: str
    pieces: list[Measured]
    find: tuple[str, ...]
    before: Profile | None
    after: Profile | None
    runs: list[Mapping[str, Any]]


def calibrate(document: Mapping[str, Any]) -> dict[str, Any]:
    """The ``calibrated/1`` document of a ``calibration/1`` document, both as this module says. Inches and degrees.

    Raises ``Problems``, each at its place: ``missing`` where there is nothing to work from, ``too_few``,
    ``not_told_apart``, ``same_angle``, ``radius_impossible``, ``springback_impossible``, ``not_measurable``,
    ``far_off``, ``two_benders``, ``one_piece_only``, ``no_profile``, and what is wrong with the document itself.
    """
    asked = _read(document)
    answer: dict[str, Any] = {"format": "calibrated/1", "tag": asked.tag}
    shoe = finished = sprung = None
    if asked.trials:
        diameter = tables.outside_diameter(asked.raceway, asked.size)
        shoe = from_bends(asked.trials, diameter, asked.mark, asked.readings)
        answer["shoe"] = shoe.as_json()
    if asked.pairs:
        sprung = springback(asked.pairs, asked.model, asked.reading_step, asked.readings.angle)
        answer["springback"] = sprung.as_json()
    if asked.pieces:
        finished = from_pieces(asked.pieces, asked.find, asked.readings)
        answer["finished"] = finished.as_json()
    found = asked.after or _profile(asked, shoe, finished, sprung)
    if found:
        answer["bender"] = found.as_json()
    if asked.runs and asked.before and found:
        answer["changes"] = [one.as_json() for one in changes(asked.runs, asked.before, found)]
    return {**answer, "checks": list(_checks(asked, shoe, found))}


def _profile(asked: _Asked, shoe: Shoe | None, finished: Bender | None, sprung: Springback | None) -> Profile | None:
    """The profile as it was, with what was found in its place; none where no radius is known."""
    base, geometry = asked.before, shoe or finished
    if geometry is None and base is None:
        return None
    if base is None and geometry is not None:
        base = Profile.from_radius(asked.name, asked.raceway, asked.size, radius=1.0, arrow_lead=0.0)
        base = base if asked.mark == "arrow" else replace(base, marks={"centre": "centre"}, order="centres")
    assert base is not None
    base = replace(
        base,
        nameplate_radius=asked.nameplate_radius or base.nameplate_radius,
        reading_step=asked.reading_step or base.reading_step,
    )
    if geometry is not None:
        base = replace(base, radius=geometry.radius, arrow_lead=geometry.arrow_lead or 0.0)
    return replace(base, springback_k=sprung.k, springback_c=sprung.c) if sprung else base


def nameplate(measured: float, named: float) -> Check:
    """Whether a measured centreline radius is the nameplate's: a caution above 5 percent. Inches.

    A sixteenth of gain moves the radius by 0.146 in, so that the code's table is held against the nameplate.
    """
    words = f"The measured radius is {measured:.2f}, the nameplate says {named:.2f}"
    if abs(measured - named) > RADII_DIFFER * named:
        return check("radius_differs", "caution", f"{words}: test it again.", PRACTICE, "bender")
    return check("radius_differs", "ok", f"{words}.", PRACTICE, "bender")


def _checks(asked: _Asked, shoe: Shoe | None, found: Profile | None) -> Iterator[Check]:
    named = asked.nameplate_radius or (found.nameplate_radius if found else None)
    if found and named:
        yield nameplate(found.radius, named)
    if shoe:
        yield _sure(shoe)
    if shoe and asked.before:
        yield _moved(shoe, asked.before)


def _sure(shoe: Shoe) -> Check:
    stub, far = (format_length(error, "1/32") for error in (shoe.stub_error, shoe.far_leg_error))
    words = f"A 90 by these numbers may come out {stub} off at its stub and {far} at its far leg"
    if max(shoe.stub_error, shoe.far_leg_error) > STEP:
        return check("uncertain", "caution", f"{words}: measure more bends, and more closely.", PRACTICE, "bends")
    return check("uncertain", "ok", f"{words}.", PRACTICE, "bends")


def _moved(shoe: Shoe, before: Profile) -> Check:
    """Whether the bender still makes what its profile says: a change is one where tape and error can tell it."""
    off = shoe.gain - before.gain()
    news = abs(off) > max(STEP, 2 * shoe.gain_error)
    words = (
        f"Gain of a 90 is {format_length(shoe.gain, '1/32')}, the profile says {format_length(before.gain(), '1/32')}"
    )
    if shoe.take_up is not None:
        news = news or abs(shoe.take_up - before.take_up) > max(STEP, 2 * shoe.stub_error)
        was, now = (format_length(one, "1/32") for one in (before.take_up, shoe.take_up))
        words = f"Take-up is {now}, the profile says {was}. {words}"
    if news:
        return check("profile_moved", "caution", f"{words}: use the new numbers?", PRACTICE, "before")
    return check("profile_moved", "ok", f"{words}: it holds.", PRACTICE, "before")


def _read(document: Mapping[str, Any]) -> _Asked:
    reader = Reader()
    mapping = reader.mapping(document, "", _KEYS) or {}
    reader.word(mapping, "format", "", ("calibration/1",), None)
    raceway = reader.word(mapping, "raceway", "", tables.RACEWAYS, None)
    size = reader.word(mapping, "size", "", tables.sizes(raceway), None)
    reader.refuse_if_any()
    asked = _read_parts(reader, mapping, raceway, size)
    _refuse_nothing(reader, asked)
    reader.refuse_if_any()
    return asked


def _read_parts(reader: Reader, mapping: Mapping[str, Any], raceway: str, size: str) -> _Asked:
    length = reader.maybe_length(mapping, "reading", "", least=0.001, most=1)
    angle = reader.maybe_number(mapping, "angle_reading", "", 0.01, 10)
    before, after = (
        read_profile(reader, mapping[key], key, raceway, size) if mapping.get(key) is not None else None
        for key in ("before", "after")
    )
    return _Asked(
        tag=reader.text(mapping, "tag", ""),
        name=reader.text(mapping, "name", ""),
        raceway=raceway,
        size=size,
        readings=Readings(length or READING, angle or ANGLE_READING),
        reading_step=reader.maybe_number(mapping, "reading_step", "", 0, 15) or 0.0,
        nameplate_radius=reader.maybe_length(mapping, "nameplate_radius", ""),
        mark=reader.word(mapping, "mark", "", MARKS, "arrow"),
        trials=read_trials(reader, mapping),
        pairs=read_pairs(reader, mapping),
        model=reader.word(mapping, "model", "", MODELS, "both"),
        pieces=read_measured(reader, mapping),
        find=_read_find(reader, mapping),
        before=before,
        after=after,
        runs=_read_runs(reader, mapping),
    )


def _read_find(reader: Reader, mapping: Mapping[str, Any]) -> tuple[str, ...]:
    words = reader.items(mapping, "find", "", len(FOUND)) or FOUND
    for number, word in enumerate(words):
        if word not in FOUND:
            reader.fault(f"find[{number}]", "unknown_word", f"one of {', '.join(FOUND)} is needed here")
    return tuple(name for name in FOUND if name in words)


def _read_runs(reader: Reader, mapping: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    found = []
    for number, value in enumerate(reader.items(mapping, "runs", "", MOST_RUNS)):
        run = reader.mapping(value, f"runs[{number}]")
        if run is not None:
            found.append(run)
    return found


def _refuse_nothing(reader: Reader, asked: _Asked) -> None:
    if not (asked.trials or asked.pairs or asked.pieces or asked.runs) and not reader.problems:
        reader.fault("bends", "missing", "give bends, springback, pieces, or runs with two profiles")
    if asked.runs and asked.before is None and not reader.problems:
        reader.fault("before", "no_profile", "say which profile these runs were laid out with")
    elif asked.runs and not (asked.trials or asked.pairs or asked.pieces or asked.after) and not reader.problems:
        reader.fault("after", "no_profile", "say which profile these runs are to be tried with, or what was measured")
