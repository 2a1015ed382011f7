"""Which plans a batch holds: a folder of files, or a list."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from pathlib import Path

from audit.errors import BadUsage, NotReadable

SUFFIXES = frozenset({".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff", ".webp", ".bmp"})
LIST_SUFFIXES = frozenset({".txt", ".tsv", ".lst"})
MARKED = "-marked.pdf"  # our own results are no plans
LONGEST_LIST = 64 * 1024 * 1024  # bytes; a million lines of 64

Plan = tuple[str, tuple[Path, ...]]


def list_plans(given: Path, *, results: Path) -> tuple[Plan, ...]:
    """Name the plans of a batch.

    Parameters
    ----------
    given : Path
        A folder: every PDF or picture in it and below is a plan. Or a text file: a plan a line,
        its sheets parted by tabs, paths from the list's own folder, ``#`` begins a remark.
    results : Path
        Where results go; nothing below it is a plan.

    Returns
    -------
    tuple of (str, tuple of Path)
        A name for each plan, no two alike even where letter case does not count, and its files,
        absolute. In the order of the list, or of the names.

    Raises
    ------
    BadUsage
        If there is not one plan.
    NotReadable
        If the folder or the list is not there or cannot be read.
    """
    if given.is_dir():
        home = given.resolve()
        files: list[tuple[Path, ...]] = [(path,) for path in _walk(home, results.resolve())]
    else:
        home = given.resolve().parent
        files = _read_list(given)
    if not files:
        raise BadUsage(
            f"there is no plan in {given.name or given}",
            advice="give a folder of PDFs or pictures, or a list with a file name a line",
        )
    return tuple(zip(_name_plans([f[0] for f in files], home), files, strict=True))


def _walk(folder: Path, results: Path) -> Iterator[Path]:
    for here, below, names in os.walk(folder):
        below[:] = sorted(b for b in below if Path(here, b) != results and not b.startswith("."))
        for name in sorted(names):
            path = Path(here, name)
            if path.suffix.lower() in SUFFIXES and not name.endswith(MARKED):
                yield path


def _read_list(path: Path) -> list[tuple[Path, ...]]:
    try:
        if path.suffix.lower() not in LIST_SUFFIXES:
            if not path.exists():
                raise FileNotFoundError(2, "there is no such file or folder")
            raise BadUsage(
                f"{path.name} is neither a folder nor a list",
                advice="name the list .txt or .tsv; one plan is audited with plan-audit check",
            )
        with path.open("rb") as stream:
            data = stream.read(LONGEST_LIST + 1)
        if len(data) > LONGEST_LIST:
            raise BadUsage(f"{path.name} is too long for a list", advice="split it")
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise NotReadable(f"{path.name} is no text", advice="save it as UTF-8") from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise NotReadable(f"{path} cannot be read ({reason})", advice="check the name") from error
    home = path.resolve().parent
    lines = (line.split("#")[0].strip() if line.startswith("#") else line for line in _lines(text))
    parted = ([part.strip() for part in line.split("\t") if part.strip()] for line in lines)
    return [tuple(_absolute(home, part) for part in parts) for parts in parted if parts]


def _lines(text: str) -> Iterator[str]:
    return (line.strip(" \r") for line in text.split("\n"))


def _absolute(home: Path, part: str) -> Path:
    if "\0" in part:
        raise NotReadable("a line of the list holds a null character", advice="save it as text")
    return Path(os.path.normpath(home / part))  # as written: a link keeps its own name


def _name_plans(firsts: Sequence[Path], home: Path) -> list[str]:
    """Name plans by where they lie; `-2` and so on where two would be alike."""
    names: list[str] = []
    taken: set[str] = set()
    for path in firsts:
        below = path.relative_to(home) if path.is_relative_to(home) else Path(path.name)
        stem = below.with_suffix("").as_posix()
        name, number = stem, 1
        while name.casefold() in taken:
            number += 1
            name = f"{stem}-{number}"
        taken.add(name.casefold())
        names.append(name)
    return names
