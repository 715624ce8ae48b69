"""How quick layouts are: `python -m tests.bench.layouts [--runs 10000]`.

Mixed runs go through the command line as JSON Lines, each laid out with its checks, predictions and handbook. Prints
processor time a run on one core, the peak of memory as the file grows, cost a bend as a run grows, and how many times a
CAD kernel's bare centreline wire that is, of the same runs in the same process. Nothing is asserted: figures belong to
a machine.
"""

from __future__ import annotations

import importlib.util
import io
import json
import math
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from bending.__main__ import main as command
from bending.fold import fold
from bending.layout import layout
from bending.problems import Problems
from tests.bending.printed import of

Document = dict[str, Any]
# A machine that others use too is quiet for some of them.
SPELL = 250
SHOES = [
    ("EMT", "1/2", {"take_up": 5, "gain": "2 5/8"}, 4.48), ("EMT", "3/4", {"take_up": 6, "gain": "3 1/4"}, 5.43),
    ("EMT", "1", {"take_up": 8, "gain": 4}, 6.62), ("RMC", "3/4", {"take_up": 8, "gain": "3 7/8"}, 6.6),
]  # fmt: skip
ONE = """
import resource, sys
from bending.__main__ import main
with open(sys.argv[1], encoding="utf-8") as runs, open("/dev/null", "w") as nowhere:
    main(["layout", "-"], runs, nowhere)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def feature(chance: random.Random, radius: float, here: float) -> tuple[Document, float]:
    """An offset, a saddle or something to be cleared, with room about it; and where the next may stand."""
    angle, kind = chance.choice([22.5, 30, 45]), chance.choice(["offset", "saddle3", "saddle4", "over"])
    rise = round((2 * radius * (1 - math.cos(math.radians(angle))) + chance.uniform(1, 5)) * 8) / 8
    slope = (rise + radius) / math.tan(math.radians(angle / 2)) + 6
    if kind == "over":
        made = {"kind": kind, "from": here + 40, "to": here + 60, "height": rise, "clear": "1/2"}
        return made, here + 100
    made = {"kind": kind, "angle": angle, "rise": rise, "turn": chance.choice(["out", "left", "in", "right"])}
    if kind == "offset":
        return {**made, "at": here + slope, "side": chance.choice([0, 0, 3])}, here + slope + 24
    if kind == "saddle3":
        return {**made, "centre": here + slope}, here + 2 * slope
    return {**made, "from": here + slope, "to": here + slope + 30}, here + 2 * slope + 30


def mixed(chance: random.Random, tag: str) -> Document:
    """One to three legs, with a box offset, a kick, offsets and saddles among them: twice the bends of a usual run."""
    raceway, size, bender, radius = chance.choice(SHOES)
    path: list[Document] = []
    corners = chance.choice([0, 1, 1, 2])
    for number in range(corners + 1):
        features, here = [], 16.0
        if number == 0 and chance.random() < 0.4:
            features.append({"kind": "box_offset", "at": "start", "rise": "3/8", "angle": 10, "tail": 3})
            here += 16
        for _ in range(chance.choice([0, 0, 1, 1, 2])):
            made, here = feature(chance, radius, here)
            features.append(made)
        if number < corners and chance.random() < 0.2:
            features.append({"kind": "kick", "rise": 4, "angle": 15, "turn": "out"})
            here += 36
        leg: Document = {"leg": here + 20, "features": features}
        if chance.random() < 0.3:
            leg["obstructions"] = [{"pipe": 2, "centre": 8, "gap": 6, "clear": "1/2"}]
        path += [leg, {"corner": 90, "turn": chance.choice(["left", "right"])}]
    ends = {"fitting": "set-screw connector", "allowance": "1/8", "to": "box face"}
    return {"format": "run/1", "tag": tag, "raceway": raceway, "size": size, "bender": bender, "path": path[:-1],
            "start": ends, "end": ends}  # fmt: skip


def lines(count: int) -> Iterator[str]:
    chance = random.Random(20)
    return (json.dumps(mixed(chance, f"K-{number}")) for number in range(count))


def written(folder: Path, count: int) -> Path:
    path = folder / f"{count}.jsonl"
    with path.open("w", encoding="utf-8") as target:
        target.writelines(f"{line}\n" for line in lines(count))
    return path


class Tally(io.TextIOBase):
    """What the command printed, counted and thrown away."""

    def __init__(self) -> None:
        self.layouts = self.problems = self.bends = 0

    def write(self, text: str) -> int:
        self.layouts += '"format": "layout/1"' in text[:40]
        self.problems += '"format": "problems/1"' in text[:40]
        self.bends += text.count('"in_shoe"')
        return len(text)


def spent(call: Callable[..., Any], *given: Any) -> float:
    """Processor time of one call, seconds."""
    begun = time.process_time()
    call(*given)
    return time.process_time() - begun


def quickness(path: Path, count: int) -> None:
    tally, spells = Tally(), list[float]()
    with path.open(encoding="utf-8") as source:
        while lines := list(islice(source, SPELL)):
            spells.append(spent(command, ["layout", "-"], io.StringIO("".join(lines)), tally) / len(lines))
    printed = [one["inputs"]["run"] for one in of("ten_runs")]
    ten = sum(min(spent(layout, run) for _ in range(20)) for run in printed) / len(printed)
    print(f"the trade's ten runs: {1000 * ten:.2f} ms each")
    each, bends = [1000 * one for one in (sum(spells) / len(spells), min(spells))], tally.bends / tally.layouts
    print(f"{count} mixed runs, {bends:.1f} bends each: {each[0]:.2f} ms a run, {each[1]:.2f} in the quickest {SPELL}")
    print(f"  {tally.layouts} laid out, {tally.problems} refused", flush=True)


def memory(folder: Path, counts: list[int]) -> None:
    peaks = []
    for count in counts:
        told = subprocess.run(
            [sys.executable, "-c", ONE, str(written(folder, count))], capture_output=True, text=True, check=True
        )
        peaks.append(int(told.stdout) / 1024)
        print(f"peak memory at {count:>6} runs: {peaks[-1]:.1f} MiB, {peaks[-1] / peaks[0]:.2f} of the first")


def long_run(bends: int) -> Document:
    """Legs with an offset each and corners between them: three bends a leg."""
    bender, path = {"take_up": 5, "gain": "2 5/8"}, list[Document]()
    for number in range(math.ceil((bends + 1) / 3)):
        offset = {"kind": "offset", "at": 40, "rise": 4, "angle": 30, "turn": ["out", "in", "left"][number % 3]}
        path += [{"leg": 80, "features": [offset]}, {"corner": 90, "turn": ["left", "out", "right"][number % 3]}]
    return {"format": "run/1", "raceway": "EMT", "size": "1/2", "bender": bender, "path": path[:-1]}


def linear() -> None:
    base = 0.0
    for bends in (5, 11, 26, 50, 101, 200):
        document = long_run(bends)
        seconds = min(spent(layout, document) for _ in range(7))
        made = len(layout(document)["pieces"][0]["marks"])
        base = base or seconds / made
        each = seconds / made
        print(f"{made:>4} bends: {1000 * seconds:>7.2f} ms, {1000 * each:.3f} a bend, {each / base:.2f}x")


def against_the_kernel(count: int) -> None:
    """A layout of each run beside the kernel's wire of the same centreline, its places given."""
    if importlib.util.find_spec("OCP") is None:
        print("no CAD kernel here (cadquery-ocp-novtk)")
        return
    from tests.bending import kernel

    ratios, ours, theirs = [], 0.0, 0.0
    for line in lines(count):
        document = json.loads(line)
        try:
            (piece,) = fold(layout(document))["pieces"]
        except Problems:
            continue
        mine, wire = spent(layout, document), min(spent(kernel.wire, piece) for _ in range(2))
        ours, theirs = ours + mine, theirs + wire
        ratios.append(mine / wire)
    print(f"{len(ratios)} runs against the kernel's bare wire: {ours / theirs:.1f} times in all, ", end="")
    print(f"median {statistics.median(ratios):.1f}, {1000 * theirs / len(ratios):.3f} ms a wire")


def main() -> None:
    count = int(sys.argv[sys.argv.index("--runs") + 1]) if "--runs" in sys.argv else 10_000
    with tempfile.TemporaryDirectory() as folder:
        quickness(written(Path(folder), count), count)
        memory(Path(folder), [max(1, count // 10), count])
    linear()
    against_the_kernel(min(count, 1000))


if __name__ == "__main__":
    main()
