"""What is known to be true about a sample plan, as far as `demo` compares with it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from audit.errors import NotReadable, WrongKind
from audit.geometry import Box, Point


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueDimension:
    """One drawn dimension: where it is, what is printed, whether that is right."""

    id: int
    sheet: int
    kind: str
    points: tuple[Point, ...]
    text: str
    right: bool
    across_break: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueMistake:
    """One planted mistake and the capability that finds it; any one of `codes` reports it."""

    id: str
    what: str
    sheet: int
    dimensions: tuple[int, ...]
    views: tuple[Box, ...]
    capability: str
    codes: tuple[str, ...]
    verdict: str | None
    suggestion: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """All of a sample plan."""

    plan: str
    files: tuple[str, ...]
    known: tuple[str, ...]
    rectangles: tuple[str, ...]
    points: tuple[str, ...]
    dimensions: tuple[TrueDimension, ...]
    mistakes: tuple[TrueMistake, ...]


def read_truth(path: Path) -> Truth:
    """Read a truth file.

    Raises
    ------
    NotReadable
        If there is none.
    WrongKind
        If it has another form.
    """
    try:
        data = json.loads(path.read_text("utf-8"))
    except OSError as error:
        raise NotReadable(
            f"{path} cannot be read", advice="name the folder of the sample plan with --samples"
        ) from error
    except ValueError as error:
        raise WrongKind(f"{path} is no truth file", advice="draw the samples again") from error
    try:
        return _truth(data)
    except (KeyError, TypeError, ValueError) as error:
        raise WrongKind(f"{path} lacks {error}", advice="draw the samples again") from error


def _truth(data: dict[str, list[dict[str, object]]]) -> Truth:
    sheets: list[dict[str, object]] = data["sheets"]
    boxes: dict[tuple[object, object], Box] = {}
    dimensions: list[TrueDimension] = []
    for sheet in sheets:
        for view in _rows(sheet["views"]):
            boxes[(sheet["number"], view["id"])] = Box(*_floats(view["box"]))
        number = int(str(sheet["number"]))
        dimensions += [_dimension(row, number) for row in _rows(sheet["dimensions"])]
    options = [s["rectangle"] for s in sheets if s["rectangle"]]
    known = [k for s in sheets for k in _rows(s["known"])]
    return Truth(
        plan=str(data["plan"]),
        files=tuple(str(s["file"]) for s in sheets),
        known=tuple(str(k["option"]) for k in known),
        rectangles=tuple(str(r["option"]) for r in options if isinstance(r, dict)),
        points=tuple(str(s["points_file"]) for s in sheets if s["points_file"]),
        dimensions=tuple(dimensions),
        mistakes=tuple(_mistake(row, boxes) for row in data["mistakes"]),
    )


def _dimension(row: dict[str, object], sheet: int) -> TrueDimension:
    return TrueDimension(
        id=int(str(row["id"])),
        sheet=sheet,
        kind=str(row["kind"]),
        points=tuple(Point(*_floats(p)) for p in _items(row["points"])),
        text=str(row["text"]),
        right=bool(row["right"]),
        across_break=bool(row["across_break"]),
    )


def _mistake(row: dict[str, object], boxes: dict[tuple[object, object], Box]) -> TrueMistake:
    verdict, suggestion = row["verdict"], row["suggestion"]
    return TrueMistake(
        id=str(row["id"]),
        what=str(row["what"]),
        sheet=int(str(row["sheet"])),
        dimensions=tuple(int(str(i)) for i in _items(row["dimensions"])),
        views=tuple(boxes[(row["sheet"], v)] for v in _items(row["views"])),
        capability=str(row["capability"]),
        codes=tuple(str(c) for c in _items(row["codes"])),
        verdict=None if verdict is None else str(verdict),
        suggestion=None if suggestion is None else str(suggestion),
    )


def _items(value: object) -> list[object]:
    if not isinstance(value, list):
        raise TypeError(f"a list where {value!r} stands")
    return value


def _rows(value: object) -> list[dict[str, object]]:
    rows = _items(value)
    if not all(isinstance(row, dict) for row in rows):
        raise TypeError("records in a list")
    return rows  # type: ignore[return-value]  # checked in the line above


def _floats(value: object) -> list[float]:
    return [float(str(v)) for v in _items(value)]
