"""What spoilt documents do: `python -m tests.bench.broken [--count 100000] [--seed 1] [--of layout]`.

Each must be solved whole or answered with typed problems. Prints how many were, by code, and the slowest. Exit status 1
if anything else came out, with what did it.
"""

from __future__ import annotations

import argparse
import gc
import json
import re
import time
import traceback
from collections import Counter
from collections.abc import Callable
from itertools import islice
from typing import Any

from bending.problems import Problems
from tests.bending.spoiling import documents, makers

# Seconds of processor time. A calibration may bring two hundred runs, each laid out twice; a rack is sixty pipes.
LIMIT = {"calibrate": 1.0, "rack": 0.5}
USUAL_LIMIT = 0.050
# Letters: what is longer may take longer, if only to be read.
LARGE = 300_000


def outcome(make: Callable[[Any], Any], document: Any) -> str:
    """``solved``, a code, or what is wrong with the answer."""
    try:
        json.dumps(make(document), allow_nan=False)
        return "solved"
    except Problems as refused:
        json.dumps(refused.as_json(), allow_nan=False)
        bad = [one for one in refused.problems if not re.fullmatch(r"[a-z_]+", one.code) or not one.text]
        return f"! no proper problem: {bad[0]}" if bad else refused.problems[0].code
    except Exception:
        # Whatever it is, it is what is looked for here.
        return f"! {traceback.format_exc(limit=-3)}"


def tried(make: Callable[[Any], Any], document: Any) -> tuple[str, float]:
    begun = time.process_time()
    found = outcome(make, document)
    return found, time.process_time() - begun


def hunt(name: str, count: int, seed: int) -> bool:
    """Print what ``count`` documents came to; whether all were answered properly and in time."""
    make, goods = makers()[name]
    limit = LIMIT.get(name, USUAL_LIMIT)
    tally, slowest = Counter[str](), list[tuple[float, str, int]]()
    for document in islice(documents(seed, goods), count):
        found, seconds = tried(make, document)
        if seconds > limit:
            gc.collect()
            seconds = min(seconds, *(tried(make, document)[1] for _ in range(3)))
        if found.startswith("!"):
            print(f"{found}\n  from {repr(document)[:2000]}", flush=True)
        tally[found[:1] if found.startswith("!") else found] += 1
        if len(slowest) < 3 or seconds > slowest[-1][0]:
            slowest = sorted([*slowest, (seconds, found[:40], len(repr(document)))], reverse=True)[:3]
    print(f"{name}: {count} documents, {tally['solved']} solved, {tally['!']} wrong, {len(tally)} outcomes")
    print(f"  most: {', '.join(f'{what} {times}' for what, times in tally.most_common(8))}")
    print("  slowest: " + ", ".join(f"{1000 * one:.1f} ms ({what}, {size} letters)" for one, what, size in slowest))
    return tally["!"] == 0 and all(seconds < limit for seconds, _, size in slowest if size < LARGE)


def main() -> int:
    reads = argparse.ArgumentParser(prog="python -m tests.bench.broken")
    reads.add_argument("--count", type=int, default=100_000)
    reads.add_argument("--seed", type=int, default=1)
    reads.add_argument("--of", choices=sorted(makers()))
    given = reads.parse_args()
    rest = {name: given.count // 10 for name in makers()} | {"layout": given.count}
    wanted = {given.of: given.count} if given.of else rest
    return 0 if all([hunt(name, count, given.seed) for name, count in wanted.items()]) else 1


if __name__ == "__main__":
    raise SystemExit(main())
