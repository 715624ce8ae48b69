"""The bridge between rows and bending: a run as typed is solved on a profile of the shop, or told what is wrong."""

import hashlib
import logging
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from django.conf import settings

from bending.bender import Profile as BendingProfile
from bending.fold import fold
from bending.layout import layout_of_run
from bending.path import MOST_BENDS
from bending.problems import Problem, Problems
from bending.run import parse
from bending.walk import walk
from shop.jobs import clock
from shop.requests.models import Profile

PER_INCH = 16
# What stands exactly between two sixteenths must not fall either way by the last digit of a float.
NUDGE = 1e-4
# Two directions of bending are one when they differ by less than this many degrees: no hand sees it.
SAME_ROLL = 0.01
# Inches of pipe below which there is nothing to see.
LEAST_DRAWN = 0.01
SOLVER_FAULT = "solver_fault"
# What arithmetic on numbers nobody thought of can raise; anything else is a broken machine and is let through.
UNFORESEEN = (ArithmeticError, AssertionError, AttributeError, LookupError, RecursionError, TypeError, ValueError)

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Solved:
    """A layout, or the problems that stand against it: never both, never neither.

    `three_d`: the run leaves one plane, or lies in one that isn't square to its surface, so that its mirror image is
    easily bent instead. `reads`: the run in words. `shape`: alike for runs that are alike to 1/16 in. `parts`: sticks.
    """

    layout: dict[str, Any] | None
    problems: list[dict[str, str]] = field(default_factory=list)
    three_d: bool = False
    reads: str = ""
    shape: str = ""
    parts: int = 1


@dataclass(frozen=True)
class Sketch:
    """A run's centreline whether it fits or not, for its picture only: start, points of intersection, end, in inches.

    `radii` and `places` (in the document) are of the points between; `diameter` is the pipe's outside.
    """

    points: list[tuple[float, float, float]]
    radii: list[float]
    places: list[str]
    diameter: float


def profile_for(raceway: str, size: str) -> Profile | None:
    """The shop's present profile for this conduit: of the benders in use, the one dated last; None if there is none."""
    rows = Profile.objects.filter(raceway=raceway, size=size, bender__retired_at=None, since__lte=clock.now())
    return rows.select_related("bender").order_by("-since", "-version", "-pk").first()


def bending_profile(profile: Profile) -> BendingProfile:
    """The profile as bending reads it. Raises `bending.problems.Problems` where its data are wrong."""
    return BendingProfile.from_json(_bender(profile), profile.raceway, profile.size)


def solve(document: Any, profile: Profile | None = None) -> Solved:
    """Solves a run/1 document on the shop's profile; without one, on what the document itself says of its bender."""
    asked = _asked(document, profile)
    try:
        return _solved(asked, layout_of_run(asked))
    except Problems as found:
        return Solved(None, [problem.as_json() for problem in found.problems])
    except UNFORESEEN:
        log.exception("a run could not be solved: %.2000r", asked)
        words = "This run can't be worked out. It was noted for whoever keeps this site; try other numbers."
        return Solved(None, [Problem("", SOLVER_FAULT, words).as_json()])


def sketch(document: Any, profile: Profile | None = None) -> Sketch | None:
    """What a run that can't be bent would look like; None where its numbers can't be read or mean nothing."""
    asked = _asked(document, profile)
    try:
        run = parse(asked)
        path = (
            walk(run).path if len(run.corners) + sum(feature.bends for feature in run.features) <= MOST_BENDS else None
        )
    except (Problems, *UNFORESEEN):
        return None
    if path is None or not _can_be_drawn(path.points):
        return None
    radii, places = [bend.radius for bend in path.bends], [bend.at for bend in path.bends]
    return Sketch(list(path.points), radii, places, run.profile.outside_diameter)


def _asked(document: Any, profile: Profile | None) -> Any:
    """What the solver reads: the document on the shop's bender, from its sticks unless it says how long those are."""
    if not (profile and isinstance(document, Mapping)):
        return document
    return {"stick": settings.STICK, **document, "bender": _bender(profile)}


def _can_be_drawn(points: Sequence[tuple[float, float, float]]) -> bool:
    """Whether there is any pipe: one whose ends were taken off all of its length is none."""
    long = sum(math.dist(*ends) for ends in pairwise(points))
    return math.isfinite(long) and long > LEAST_DRAWN


def checks_at(layout_kept: Mapping[str, Any], level: str) -> list[dict[str, Any]]:
    """The checks of a layout at one level: cannot, rule, caution or ok."""
    return [check for check in layout_kept.get("checks", []) if check["level"] == level]


def _bender(profile: Profile) -> dict[str, Any]:
    name = f"{profile.bender.name}, version {profile.version}"
    return {**profile.data, "name": name}


def _solved(asked: Mapping[str, Any], found: dict[str, Any]) -> Solved:
    return Solved(
        layout=found,
        three_d=is_three_d(found),
        reads=str(found.get("reads", "")),
        shape=shape_of(found, f"{asked['size']} {asked['raceway']}"),
        parts=len(found["pieces"]),
    )


def _turns(found: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The marks, and the fittings that turn between two sticks, as they lie along the run."""
    turns: list[Mapping[str, Any]] = []
    for piece in found["pieces"]:
        turns += sorted(piece["marks"], key=lambda mark: mark["station"])
        turns += [piece["then"]] if (piece.get("then") or {}).get("angle") else []
    return turns


def is_three_d(found: Mapping[str, Any]) -> bool:
    """Whether a layout's bends and turning fittings go in more than two directions, or in two that aren't square to the
    surface.

    Rolls are told in the frame that is carried along: a run stays in one plane when they are alike or opposite.
    """
    planes = [turn["roll"] % 180 for turn in _turns(found)]
    return any(_apart(plane, planes[0]) or (_apart(plane, 0) and _apart(plane, 90)) for plane in planes)


def _apart(plane: float, other: float) -> bool:
    between = abs(plane - other) % 180
    return min(between, 180 - between) > SAME_ROLL


def shape_of(found: Mapping[str, Any], conduit: str) -> str:
    """A short text that is the same for two finished runs that are alike to 1/16 in and 0.1 degree.

    Which way the first bend goes makes no difference: the same pipe is turned round in the hand.
    """
    turns = _turns(found)
    bends = [(round(turn["angle"], 1), round(turn["roll"] - turns[0]["roll"], 1) % 360) for turn in turns]
    straight = [[_sixteenths(math.dist(*leg)) for leg in pairwise(piece["points"])] for piece in fold(found)["pieces"]]
    return hashlib.sha256(repr((conduit, bends, straight)).encode()).hexdigest()[:20]


def _sixteenths(inches: float) -> int:
    return math.floor(inches * PER_INCH + 0.5 + NUDGE)
