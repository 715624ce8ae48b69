"""Spoilt documents by the hundred thousand: valid ones with a few places changed, and any JSON at all.

Drawn by the standard library's generator, some twenty times as many a second as a searching test draws.
"""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Callable, Iterator
from typing import Any

from tests.bending.documents import HALF_INCH, Document, corner, feature, leg, run

ABSURD = [1e300, -1e300, math.nan, math.inf, -math.inf, 10**400, -(10**400), 1e-300, -0.0, 0, -1, 1e9, 2**63]
WORDS = [
    "", "62 1/2", "5-2 1/2", "1e300", "-3", "٣", "½", "1/0", "a" * 5000, "\x00", "\ud800", "out", "left", "up", "north",
    "my left", "back", "centre", "start", "end", "wall", "far", "level", "saddle3", "kick", "over", "EMT", "1/2",
    "push-through", "run/1", "factory elbow", "conduit body",
]  # fmt: skip
KEYS = [
    "leg", "corner", "turn", "features", "kind", "rise", "angle", "at", "from", "to", "centre", "radius", "tail",
    "side", "take_up", "gain", "arrow_lead", "path", "bender", "measure", "format", "rack", "allowance", "obstructions",
    "mount", "heads", "faces", "u_bend", "shots", "fitting", "stick", "order", "zero", "tape", "envelope", "springback",
    "over", "pipe", "height", "clear", "from_end", "holds", "at_is", "gap", "threads", "stars", "run_long",
    "bends_elsewhere", "name", "conductors", "joint_at", "no_joint", "hook_grip", "heel", "nameplate_radius", "points",
    "unit", "cut", "mark", "tag", "count", "spacing", "spacings", "sizes", "benders", "align", "number_1",
    "pull_points",
]  # fmt: skip
OVER = feature("saddle4", rise=6.5, angle=30, **{"from": 44, "to": 72})
HUMP = feature("saddle3", centre=40, rise=2, angle=45)
BOX = feature("box_offset", at="start", rise="3/8", angle=10, tail=2)
ENVELOPE = {"floor": 30, "hook": 2, "handle": {"length": 36, "width": 2, "upright_at": 45}}
RUNS: list[Document] = [
    run(leg(112, OVER, obstructions=[{"from": 47, "to": 69, "height": 6}]), corner(90, 30), leg("40 1/2")),
    run(leg(58, feature("kick", rise=3, turn="right", angle=15)), corner(90, "out"), leg(60)),
    run(leg(90, BOX, HUMP), start={"to": "box face", "fitting": "connector"}, run_long={"end": "end", "by": 2},
        stars=["path[0].leg"], threads=["end"], tape="1/32", zero="end", bends_elsewhere=90, stick=120),
    run(leg(60), {**corner(90, "down"), "mount": "wall"}, leg(40), corner(90, "my left"), leg(40), mount="ceiling",
        heads="north"),
    run(leg(80, feature("offset", at=46, rise=5, side=-7, angle=30, holds="far", at_is="level", from_end=True))),
    run(leg(60), {**corner(90), "radius": 24, "shots": 15}, leg(60), {"u_bend": 30, "turn": "out"}, leg(40)),
    run(leg(60), {"fitting": "conduit body", "corner": 90, "turn": "out", "allowance": [1.5, 2]}, leg(40),
        {"fitting": "coupling", "allowance": "1/16"}, leg(40),
        {"fitting": "factory elbow", "corner": 45, "turn": "left", "radius": 12, "allowance": 8}, leg(40)),
    run(leg(150, feature("over", height=6, clear="1/2", **{"from": 60, "to": 80})), corner(90), leg(120,
        feature("over", pipe="2 3/8", centre=60, gap="1/4", clear="1/2"),
        obstructions=[{"pipe": 2, "centre": 58, "gap": 0.25, "clear": 0.5}])),
    run(leg(60), corner(90), leg(50), bender={**HALF_INCH, "hook_grip": 4, "heel": {"small": 2, "large": 8},
        "straight_small": 1, "springback": {"k": 0.02, "c": 1}, "reading_step": 0.5, "envelope": ENVELOPE}),
]  # fmt: skip

MIXED = {"sizes": ["1/2", "3/4"], "spacings": ["2 1/2"], "benders": [None, {"take_up": 6, "gain": "3 1/4"}],
         "align": "bottom", "number_1": "nearest the wall", "side": "left"}  # fmt: skip
RACKS: list[Document] = [
    {**RUNS[0], "rack": {"count": 3, "spacing": 2.5, "side": "left"}, "joint_at": [60], "no_joint": [[70, 80]]},
    {**RUNS[1], "rack": MIXED}, {**RUNS[4], "rack": {**MIXED, "align": "centre"}},
    {**RUNS[5], "rack": {"count": 3, "spacing": 3, "side": "right", "corner": "concentric"}},
    {**RUNS[7], "rack": {"count": 2, "spacing": 4}, "pull_points": [90]},
]  # fmt: skip


def anything(chance: random.Random, deep: int = 0) -> Any:
    """Any JSON value, most of them small."""
    kind = chance.randrange(5 if deep > 4 else 8)
    if kind < 2:
        return chance.choice(ABSURD)
    if kind == 2:
        return chance.choice([None, True, False, chance.randint(-9, 400), chance.uniform(-50, 400)])
    if kind < 5:
        return chance.choice(WORDS)
    if kind == 5:
        return [anything(chance, deep + 1) for _ in range(chance.randrange(5))]
    return {chance.choice(KEYS): anything(chance, deep + 1) for _ in range(chance.randrange(6))}


def holders(value: Any) -> Iterator[Any]:
    """Every list and object in a document that isn't empty."""
    if isinstance(value, dict | list) and value:
        yield value
        for inner in value.values() if isinstance(value, dict) else value:
            yield from holders(inner)


def spoilt(chance: random.Random, good: Document) -> Any:
    """A document with one to four places changed, dropped, doubled, renamed or moved."""
    document = copy.deepcopy(good)
    for _ in range(chance.randint(1, 4)):
        every = list(holders(document))
        if every:
            _spoil(chance, chance.choice(every), every)
    return document


def _spoil(chance: random.Random, holder: Any, every: list[Any]) -> None:
    key = chance.choice(list(holder) if isinstance(holder, dict) else range(len(holder)))
    way = chance.randrange(8)
    if way < 3:
        holder[key] = anything(chance)
    elif way == 3:
        holder[key] = chance.choice(ABSURD)
    elif way == 4:
        del holder[key]
    elif way == 5:
        holder[key] = copy.deepcopy(chance.choice(every))
    elif isinstance(holder, dict):
        holder[chance.choice(KEYS)] = holder.pop(key)
    else:
        holder.extend(copy.deepcopy(holder[key]) for _ in range(chance.choice([1, 1, 3, 250])))


def nudged(chance: random.Random, good: Document) -> Any:
    """A document with some of its numbers larger, smaller or the other way: most of it can still be read."""
    document = copy.deepcopy(good)
    places = [
        (holder, key)
        for holder in holders(document)
        for key in (holder if isinstance(holder, dict) else range(len(holder)))
        if isinstance(holder[key], int | float) and not isinstance(holder[key], bool)
    ]
    for holder, key in chance.sample(places, min(len(places), chance.randint(1, 3))):
        holder[key] = holder[key] * chance.choice([0, -1, 0.01, 0.5, 2, 10, chance.uniform(0.3, 3)])
    return document


def documents(seed: int, goods: list[Document]) -> Iterator[Any]:
    """Random, spoilt and nudged documents without end."""
    chance = random.Random(seed)
    while True:
        kind, good = chance.randrange(10), chance.choice(goods)
        yield anything(chance) if kind < 1 else spoilt(chance, good) if kind < 6 else nudged(chance, good)


def makers() -> dict[str, tuple[Callable[[Any], Any], list[Document]]]:
    """What reads documents, each with good ones to spoil."""
    from bending.calibration import calibrate
    from bending.export import centreline, lra_csv
    from bending.fold import fold
    from bending.layout import layout
    from bending.points import of_document

    laid = [layout(one) for one in RUNS]
    model = {"points": [[0, 0, 0], [0, 0, 500], [1500, 0, 500, 300], [1500, 900, 500]], "unit": "mm", "tag": "M"}
    return {
        "layout": (layout, RUNS),
        "rack": (layout, RACKS),
        "fold": (fold, laid),
        "points": (of_document, [{**model, "raceway": "EMT", "size": "1/2", "bender": HALF_INCH}]),
        "calibrate": (calibrate, [_calibration()]),
        "export": (centreline, laid),
        "table": (lra_csv, laid),
    }


def _calibration() -> Document:
    measured = [
        {"at": "path[0].leg", "value": 60},
        {"at": "path[1].corner", "value": 89},
        {"at": "path[2].leg", "value": 50},
    ]
    bends = [{"mark": 15, "cut": 40, "stub": 20, "leg": "22 5/8"}, {"mark": 25, "cut": 40, "leg": 20, "hook": "end"}]
    pairs = [{"bend_to": 93, "angle": 90}, {"bend_to": 31, "angle": 30}]
    return {"format": "calibration/1", "raceway": "EMT", "size": "1/2", "bends": bends, "before": HALF_INCH,
            "springback": pairs, "runs": RUNS[:2], "pieces": [{"run": RUNS[-1], "measured": measured}],
            "reading_step": 0.5, "nameplate_radius": 4}  # fmt: skip
