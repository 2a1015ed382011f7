"""Audit the sample plan through the page's own HTTP calls, and print what came of it.

Every click on the page is one of these calls, so a script can do the whole job. Run it with
nothing else open:

    python docs/audit_over_http.py [FOLDER [SHEET…]]

It starts `plan-audit open` on an empty audit in FOLDER (made if missing, default: `out/http`),
adds the three sample sheets or those that are named, waits until all dimensions are found, gives
the two rules printed on the scan as known sizes, and takes the marked-up PDF and the table away.
"""

from __future__ import annotations

import contextlib
import json
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import httpx

SAMPLES = Path(__file__).resolve().parents[1] / "sample_scans"
SHEETS = ("marble-lift-1.pdf", "marble-lift-2.png", "marble-lift-3.jpg")
SCAN = SHEETS[1]
# Two ends of each of its printed rules, in pixels: 4 in across, 4 in up.
RULES = ([[269, 1581], [1079, 1591]], [[2099, 1072], [2109, 277]])
PATIENCE_S = 600.0


@contextlib.contextmanager
def serve(folder: Path) -> Iterator[httpx.Client]:
    """Start the server on a new audit; the address it prints lets this script in."""
    folder.mkdir(parents=True, exist_ok=True)
    program = [sys.executable, "-c", "from audit.cli.main import run; run()"]
    child = subprocess.Popen(
        [*program, "open", "--no-browser"], stdout=subprocess.PIPE, text=True, cwd=folder
    )
    try:
        assert child.stdout is not None
        address, _, token = child.stdout.readline().split()[1].partition("/?token=")
        bearer = {"Authorization": f"Bearer {token}"}
        with httpx.Client(base_url=address, headers=bearer, timeout=PATIENCE_S) as page:
            yield page
    finally:
        child.send_signal(signal.SIGINT)
        child.wait(PATIENCE_S)


def ask(page: httpx.Client, method: str, route: str, **more: Any) -> Any:
    """Make one call; what is wrong comes back in one line."""
    answer = page.request(method, route, **more)
    if answer.is_error:
        error = answer.json()["error"]
        raise SystemExit(f"{method} {route}: {error['problem']}: {error['advice']}")
    return answer.json()


def events(page: httpx.Client) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield what the server says happens, as it happens."""
    with page.stream("GET", "/api/events") as stream:
        event = ""
        for line in stream.iter_lines():
            name, _, value = line.partition(":")
            if name == "event":
                event = value.strip()
            elif name == "data":
                yield event, json.loads(value)


def wait_until_found(page: httpx.Client) -> None:
    """Follow the stream of events until nothing is looked for any more."""
    for event, said in events(page):
        if event == "trouble":
            print(f"trouble: {said['problem']}", file=sys.stderr)
        if event in {"hello", "progress"} and ask(page, "GET", "/api/audit")["busy"] is None:
            return


def add_sheets(page: httpx.Client, names: Sequence[str]) -> None:
    """Take sample sheets in, one after the other, and find their dimensions."""
    for name in names:
        data = (SAMPLES / name).read_bytes()
        ask(page, "POST", "/api/plans", params={"name": name}, content=data)
        wait_until_found(page)


def give_known_sizes(page: httpx.Client, sheet: int) -> None:
    """Give the two printed rules of the scan their true length."""
    for points in RULES:
        revision = ask(page, "GET", "/api/audit")["revision"]
        known = {"revision": revision, "sheet": sheet, "points": points, "length": "4 in"}
        ask(page, "POST", "/api/known-sizes", json=known)


def show(page: httpx.Client) -> None:
    """Print coverage first, then what asks for a decision."""
    for tab in ask(page, "GET", "/api/audit")["sheets"]:
        covered = tab["coverage"]
        print(f"sheet {tab['id']}: {covered['checked']} of {covered['texts']} checked")
        for row in ask(page, "GET", f"/api/sheets/{tab['id']}")["rows"]:
            if row["needs_you"] and row["verdict"] == "disagrees":
                printed = row["printed"]["text"]
                print(f"  {row['mark']['sign']} {row['number']} {printed}: {row['says']}")


def take_away(page: httpx.Client, folder: Path) -> None:
    """Write the marked-up PDF and the table beside the audit."""
    for route, name in (("/api/marked-up.pdf", "marked.pdf"), ("/api/table.csv", "table.csv")):
        (folder / name).write_bytes(page.get(route).raise_for_status().content)


def main(folder: Path, names: Sequence[str] = SHEETS) -> None:
    """Do the whole job."""
    with serve(folder) as page:
        add_sheets(page, names)
        if SCAN in names:
            give_known_sizes(page, sheet=names.index(SCAN) + 1)
        show(page)
        take_away(page, folder)
    print(f"wrote {folder / 'marked.pdf'} and {folder / 'table.csv'}")


if __name__ == "__main__":
    main(Path((*sys.argv[1:], "out/http")[0]), sys.argv[2:] or SHEETS)
