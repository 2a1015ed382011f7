"""A program that works on an audit until it is killed, saying what was confirmed.

Run as ``python -m tests.store.killed``. For each line ``path seed`` on standard input it forks a
child that opens the audit and acts at random for ever; the child writes its number, then a line for
each action that returned: kind, number, revision. Forking once loaded keeps 500 kills affordable.
"""

from __future__ import annotations

import os
import random
import sys
from pathlib import Path

from audit.errors import AuditError
from audit.store import open_audit
from tests.store.builders import make_found
from tests.store.scripted import WORDS, act


def work(path: Path, seed: int) -> None:
    rng = random.Random(seed)
    with open_audit(path) as file:
        first = file.add_run(make_found(), revision=file.revision)
        os.write(1, f"run 0 {first}\n".encode())
        while True:
            word, n = rng.choice(WORDS), rng.randrange(61)
            revision = act(file, word, n)
            if revision is not None:
                os.write(1, f"{word} {n} {revision}\n".encode())


def main() -> None:
    for line in sys.stdin:
        path, seed = line.rsplit(" ", 1)
        child = os.fork()
        if child == 0:
            os.write(1, f"child {os.getpid()} 0\n".encode())
            try:
                work(Path(path), int(seed))
            except AuditError as error:
                os.write(1, f"error {error} 0\n".encode())
            os._exit(1)
        os.waitpid(child, 0)
        os.write(1, b"end 0 0\n")


if __name__ == "__main__":
    main()
