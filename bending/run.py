"""The run format, ``run/1``: a document in, frozen data out, or every problem found in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bending import tables
from bending.bender import ORDERS, Profile, lacking, read_profile
from bending.corners import Corner
from bending.features import Feature
from bending.lengths import TAPES
from bending.over import Pick, resolved
from bending.problems import Problems
from bending.reading import Reader, shown
from bending.reading_features import Measures
from bending.reading_path import MOUNTS, Leg, read_path
from bending.reading_pull import Wires, read_conductors, read_places, read_stretches
from bending.stands import first_stand

REFERENCES = ("back", "centre", "inside")
ENDS = ("start", "end")
# Of the code, as an adopting body may have it; the first is taken where a run doesn't say.
EDITIONS = ("2020", "2023")

_RUN_KEYS = (
    "format", "tag", "mount", "heads", "faces", "raceway", "size", "bender", "measure", "start", "end", "path", "rack",
    "stars", "run_long", "zero", "order", "tape", "stick", "joint_at", "no_joint", "conductors", "bends_elsewhere",
    "pull_points", "threads", "edition",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class End:
    """An end of the run: what the foreman measured to, the fitting's words, and how far short the conduit stops."""

    to: str
    fitting: str
    allowance: float


@dataclass(frozen=True, slots=True)
class RunLong:
    """Conduit left long at one end, to be cut in the field: inches."""

    end: str
    by: float


@dataclass(frozen=True, slots=True)
class Run:
    """One run as it was asked for: inches and degrees; ``corners[i]`` joins ``legs[i]`` and the next."""

    tag: str
    mount: str
    raceway: str
    size: str
    profile: Profile
    start: End
    end: End
    legs: tuple[Leg, ...]
    corners: tuple[Corner, ...]
    stars: tuple[str, ...]
    run_long: RunLong | None
    zero: str
    order: str
    tape: str
    stick: float | None
    conductors: tuple[Wires, ...]
    bends_elsewhere: float
    pull_points: tuple[float, ...]
    threads: tuple[str, ...]
    joint_at: tuple[float, ...] = ()
    no_joint: tuple[tuple[float, float], ...] = ()
    edition: str = EDITIONS[0]
    picked: tuple[Pick, ...] = ()

    @property
    def features(self) -> tuple[Feature, ...]:
        return tuple(feature for leg in self.legs for feature in leg.features)


def parse(document: Mapping[str, Any], profiles: Mapping[str, Profile] | None = None) -> Run:
    """Read a ``run/1`` document. ``profiles`` are those that ``bender`` may name.

    Raises ``Problems`` with every fault found, each at its place in the document.
    """
    reader = Reader()
    mapping = reader.mapping(document, "", _RUN_KEYS)
    if mapping is None:
        raise Problems(reader.problems)
    reader.word(mapping, "format", "", ("run/1",), None)
    if mapping.get("rack") is not None:
        reader.fault("rack", "rack_of_pipes", "one run is needed here, and this is a rack: take its pipes one by one")
    profile = _read_bender(reader, mapping, profiles or {})
    run = _read_run(reader, mapping, profile or _STAND_IN)
    reader.refuse_if_any()
    return resolved(run)


# Reading goes on with this after a bender that can't be read, to find the other faults; nothing is solved with it.
_STAND_IN = Profile("", "EMT", "1/2", 0.706, 4.0, 0.0, hook_grip=1.0)


def _read_run(reader: Reader, mapping: Mapping[str, Any], profile: Profile) -> Run:
    start, end = _read_end(reader, mapping, "start"), _read_end(reader, mapping, "end")
    measure = reader.word(mapping, "measure", "", REFERENCES, "") or None
    mount = reader.word(mapping, "mount", "", MOUNTS, "free")
    stand = first_stand(reader, mapping, mount)
    measures = Measures(measure, profile, bool(start.fitting), bool(end.fitting), stand)
    legs, corners = read_path(reader, mapping, measures)
    return Run(
        tag=reader.text(mapping, "tag", ""),
        mount=mount,
        raceway=profile.raceway,
        size=profile.size,
        profile=profile,
        start=start,
        end=end,
        legs=legs,
        corners=corners,
        stars=tuple(_read_texts(reader, mapping, "stars")),
        run_long=_read_run_long(reader, mapping),
        zero=reader.word(mapping, "zero", "", ENDS, "start"),
        order=_read_order(reader, mapping, profile),
        tape=reader.word(mapping, "tape", "", TAPES, "1/16"),
        stick=reader.maybe_length(mapping, "stick", ""),
        conductors=read_conductors(reader, mapping),
        bends_elsewhere=reader.maybe_number(mapping, "bends_elsewhere", "", 0, 3600) or 0.0,
        pull_points=read_places(reader, mapping, "pull_points"),
        threads=_read_threads(reader, mapping),
        joint_at=read_places(reader, mapping, "joint_at"),
        no_joint=read_stretches(reader, mapping, "no_joint"),
        edition=reader.word(mapping, "edition", "", EDITIONS, EDITIONS[0]),
    )


def _read_bender(reader: Reader, mapping: Mapping[str, Any], profiles: Mapping[str, Profile]) -> Profile | None:
    raceway = reader.word(mapping, "raceway", "", tables.RACEWAYS, None)
    before = len(reader.problems)
    size = reader.word(mapping, "size", "", tables.sizes(raceway), None)
    if len(reader.problems) > before:
        return None
    bender = mapping.get("bender")
    if bender is None:
        reader.fault("bender", "missing", "name a bender, or give its radius and arrow_lead, or its take_up and gain")
        return None
    if isinstance(bender, str):
        return named_bender(reader, bender, profiles, (raceway, size), "bender")
    return read_profile(reader, bender, "bender", raceway, size)


def named_bender(
    reader: Reader, name: str, profiles: Mapping[str, Profile], conduit: tuple[str, str], place: str
) -> Profile | None:
    """The profile of this name, for this raceway and size; what is wrong goes to the reader, and None comes back."""
    raceway, size = conduit
    profile = profiles.get(name)
    if profile is None:
        reader.fault(place, "unknown_bender", f"no profile is called {shown(name)!r}")
    elif (profile.raceway, profile.size) != (raceway, size):
        words = f"{shown(name)!r} is a profile for {profile.size} {profile.raceway}, not for {size} {raceway}"
        reader.fault(place, "wrong_bender", words)
    else:
        return profile
    return None


def _read_end(reader: Reader, mapping: Mapping[str, Any], key: str) -> End:
    end = reader.maybe_mapping(mapping, key, "", ("to", "fitting", "allowance")) or {}
    allowance = reader.maybe_length(end, "allowance", key, least=-1000, most=1000)
    return End(reader.text(end, "to", key), reader.text(end, "fitting", key), allowance or 0.0)


def _read_run_long(reader: Reader, mapping: Mapping[str, Any]) -> RunLong | None:
    long = reader.maybe_mapping(mapping, "run_long", "", ("end", "by"))
    if long is None:
        return None
    return RunLong(reader.word(long, "end", "run_long", ENDS, None), reader.length(long, "by", "run_long", most=1000))


def _read_order(reader: Reader, mapping: Mapping[str, Any], profile: Profile) -> str:
    """The order asked for, or the bender's usual one."""
    order = reader.word(mapping, "order", "", ORDERS, profile.order)
    lacks = profile.lacks(order)
    if lacks:
        place = "order" if mapping.get("order") is not None else "bender"
        reader.fault(place, "order_without_mark", lacking(order, lacks))
    return order


def _read_texts(reader: Reader, mapping: Mapping[str, Any], key: str) -> list[str]:
    texts = []
    for number, value in enumerate(reader.items(mapping, key, "", 100)):
        if isinstance(value, str) and len(value) <= 200:
            texts.append(value)
        else:
            reader.fault(f"{key}[{number}]", "not_text", "text is needed here")
    return texts


def _read_threads(reader: Reader, mapping: Mapping[str, Any]) -> tuple[str, ...]:
    threads = _read_texts(reader, mapping, "threads")
    for number, end in enumerate(threads):
        if end not in ENDS:
            reader.fault(f"threads[{number}]", "unknown_word", "start or end is needed here")
    return tuple(threads)
