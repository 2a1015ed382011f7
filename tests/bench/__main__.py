"""Run the benchmarks: ``python -m tests.bench [name …] [--full]``."""

from __future__ import annotations

import sys
from importlib import import_module

BENCHES = (
    "lengths",
    "isolation",
    "snapping",
    "find_vector",
    "find_raster",
    "reader",
    "consensus",
    "checks",
    "store",
    "page",
)


def main(arguments: list[str]) -> int:
    """Run the named benchmarks, or all; `--full` for the long versions."""
    names = [argument for argument in arguments if argument != "--full"]
    unknown = sorted(set(names) - set(BENCHES))
    if unknown:
        print(f"no benchmark {', '.join(unknown)}: choose from {', '.join(BENCHES)}")
        return 2
    for name in names or BENCHES:
        import_module(f"tests.bench.{name}").run(full="--full" in arguments)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
