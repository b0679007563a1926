"""Kill a writer thousands of times: `python -m tests.benchmarks.kill --times 3000`."""

import argparse
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from tests.faults.killing import Killing

BATCH = 100


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.kill", description=__doc__)
    parser.add_argument("--times", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=4007)
    parser.add_argument("--dir", type=Path, help="a folder on the disk to write to")
    args = parser.parse_args()
    begin = perf_counter()
    with TemporaryDirectory(prefix="fieldbook-", dir=args.dir) as folder:
        killing = Killing(Path(folder) / "book", seed=args.seed)
        while killing.kills < args.times and not killing.lost:
            killing.kill(min(BATCH, args.times - killing.kills))
            print(f"{killing}  {perf_counter() - begin:,.0f} s", flush=True)
    print("LOST: " + ", ".join(sorted(killing.lost)) if killing.lost else "Nothing is lost.")
    return 1 if killing.lost else 0


if __name__ == "__main__":
    sys.exit(main())
