"""`python -m shop.work.derive FILE`: what is derived from each scenario of a file, one JSON line each."""

import sys
from pathlib import Path

from shop.work.derive.scenario import replay


def main(arguments: list[str]) -> int:
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m shop.work.derive FILE\n")
        return 2
    for line in replay(Path(arguments[0])):
        sys.stdout.write(line + "\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
