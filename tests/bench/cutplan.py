"""How good and how quick the cut plan is: `python -m tests.bench.cutplan [--long]`.

Prints new sticks, the proven bound and seconds, beside best-fit-decreasing on the same pieces in the same run. Nothing
is asserted: figures belong to a machine. `--long` adds the plans of thousands of different lengths (minutes).
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

from bending.cutplan import cutplan
from tests.bending.printed import of

Parts = dict[str, Any]
BLADE, STICK, SECONDS = 0.0625, 120, 38
HEAD = f"{'parts':<40}{'pieces':>7}{'best fit':>10}{'used':>7}{'bound':>7}{'ratio':>8}{'seconds':>9}{'x best fit':>12}"


def parts(pieces: list[float], **more: Any) -> Parts:
    return {"stick": STICK, "kerf": BLADE, "pieces": pieces, "seconds": SECONDS, **more}


def printed() -> Iterator[tuple[str, Parts]]:
    for one in of("cut_plan"):
        given = one["inputs"]
        times = {float(length): count for length, count in given.get("times", {}).items()}
        pieces = given.get("pieces") or [length for length, count in times.items() for _ in range(count)]
        yield one["id"], parts(pieces, stick=given["stick"], kerf=given["kerf"])


def few_lengths(count: int, seed: int) -> Parts:
    """14 lengths of 18 to 62 in, to the sixteenth."""
    chance = random.Random(seed)
    lengths = [round(chance.uniform(18, 62) * 16) / 16 for _ in range(14)]
    return parts([chance.choice(lengths) for _ in range(count)])


def uniform(count: int, seed: int, low: float, high: float, sixteenths: bool) -> Parts:
    chance = random.Random(seed)
    lengths = [chance.uniform(low, high) for _ in range(count)]
    return parts([round(length * 16) / 16 for length in lengths] if sixteenths else lengths)


def with_drops(count: int, drops: int, seed: int) -> Parts:
    chance = random.Random(seed)
    return uniform(count, seed, 12, 80, True) | {"drops": [chance.uniform(24, 100) for _ in range(drops)]}


def short() -> Iterator[tuple[str, Parts]]:
    yield from printed()
    for seed in range(3):
        yield f"14 lengths, seed {seed}", few_lengths(1000, seed)
    yield "14 lengths", few_lengths(5000, 0)
    yield "20 to 80 in, sixteenths", uniform(200, 0, 20, 80, True)
    yield "20 to 80 in, any length", uniform(200, 0, 20, 80, False)
    yield "12 to 80 in and 30 off-cuts", with_drops(200, 30, 0)
    for count in (200, 1000):
        yield "6 to 110 in, any length", uniform(count, 0, 6, 110, False)


def long() -> Iterator[tuple[str, Parts]]:
    yield "20 to 80 in, sixteenths", uniform(1000, 0, 20, 80, True)
    for sixteenths, name in ((True, "sixteenths"), (False, "any length")):
        yield f"12 to 60 in, {name}", uniform(5000, 1, 12, 60, sixteenths)
    for seed in range(4):
        for sixteenths, name in ((True, "sixteenths"), (False, "any length")):
            yield f"6 to 110 in, {name}, seed {seed}", uniform(5000, seed, 6, 110, sixteenths)


def timed(call: Callable[[], Any]) -> tuple[Any, float]:
    start = time.perf_counter()
    found = call()
    return found, time.perf_counter() - start


def line(name: str, document: Parts) -> str:
    base, base_seconds = timed(lambda: cutplan({**document, "seconds": 0}))
    plan, seconds = timed(lambda: cutplan(document))
    if seconds < 1:
        seconds = statistics.median([seconds, *(timed(lambda: cutplan(document))[1] for _ in range(4))])
    ratio = plan["used"] / base["used"] if base["used"] else 1.0
    figures = f"{len(document['pieces']):>7}{base['used']:>10}{plan['used']:>7}{plan['bound']:>7}"
    return f"{name:<40}{figures}{ratio:>8.4f}{seconds:>9.3f}{seconds / base_seconds:>12.1f}"


def main() -> None:
    cutplan(few_lengths(100, 9))  # the first plan of a process warms the solver up
    print(HEAD)
    for name, document in [*short(), *(long() if "--long" in sys.argv else ())]:
        print(line(name, document), flush=True)


if __name__ == "__main__":
    main()
