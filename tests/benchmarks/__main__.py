"""Run the benchmarks: `python -m tests.benchmarks`."""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Protocol

from tests.benchmarks.forecasting import measure_forecast
from tests.benchmarks.race import HEADS, Row
from tests.benchmarks.reading import measure_merge, measure_open
from tests.benchmarks.recording import measure_record
from tests.benchmarks.waiting import measure_frame, measure_key, measure_summary


class Benchmark(Protocol):
    """Measures something in a folder, and gives each row as soon as it has it."""

    def __call__(self, folder: Path, *, quick: bool) -> Iterator[Row]: ...


BENCHMARKS: dict[str, Benchmark] = {
    "record": measure_record,
    "open": measure_open,
    "merge": measure_merge,
    "summary": measure_summary,
    "forecast": measure_forecast,
    "frame": measure_frame,
    "key": measure_key,
}


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="no book over 20,000 entries")
    parser.add_argument("--only", choices=BENCHMARKS, metavar="NAME", help=", ".join(BENCHMARKS))
    parser.add_argument("--dir", type=Path, help="a folder on the disk to measure, not in memory")
    args = parser.parse_args()
    missed = 0
    print(HEADS)
    with TemporaryDirectory(prefix="fieldbook-", dir=args.dir) as folder:
        for name in [args.only] if args.only else BENCHMARKS:
            for row in BENCHMARKS[name](Path(folder), quick=args.quick):
                print(row, flush=True)
                missed += row.missed
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
