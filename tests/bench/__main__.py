"""Run the benchmarks: ``python -m tests.bench [name …] [--full] [--record]``.

`--record` writes what they say to docs/benchmarks.md, with the machine and the versions; what it
says of the others stays. ``python -m tests.bench stranger --from FOLDER [--full] [--show]`` looks
at the drawings of a folder, which nothing here brings along.
"""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

BENCHES = (
    "lengths",
    "isolation",
    "snapping",
    "alike",
    "find_vector",
    "find_raster",
    "hand",
    "plates",
    "photographed",
    "planted",
    "planted_records",
    "mission",
    "growth",
    "stages",
    "photos",
    "creases",
    "reader",
    "reader_hard",
    "reader_loose",
    "reader_in_place",
    "consensus",
    "checks",
    "store",
    "page",
    "soak",
    "batch",
    "workshop",
    "yardsticks",
)
RECORD = Path(__file__).parents[2] / "docs" / "benchmarks.md"


def main(arguments: list[str]) -> int:
    """Run the named benchmarks, or all; `--full` for the long versions."""
    if arguments[:1] == ["stranger"]:
        from tests.bench.stranger import main as look_at_strangers

        return look_at_strangers(arguments[1:])
    names = [argument for argument in arguments if argument not in ("--full", "--record")]
    unknown = sorted(set(names) - set(BENCHES))
    if unknown:
        print(f"no benchmark {', '.join(unknown)}: choose from {', '.join(BENCHES)}")
        return 2
    if "--record" in arguments:
        from tests.bench.record import record

        record(RECORD, names or BENCHES, order=BENCHES, full="--full" in arguments)
        return 0
    for name in names or BENCHES:
        import_module(f"tests.bench.{name}").run(full="--full" in arguments)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
