"""What is true about the sample plan: the form of `truth.json`, and reading and writing it.

Standard library only. Every place is in the sheet's own frame: `pt` (points of the page, 72 to the
inch, origin top left, y down) or `px` (stored picture, EXIF not applied, x right, y down, the
first pixel's centre at .5, .5). Sizes are spelled as a shop does (`3 9/32`), inches.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any, get_args, get_origin, get_type_hints

VERSION = 1
Pair = tuple[float, float]
Box = tuple[float, float, float, float]


class BadTruth(ValueError):
    """The truth file does not have the form described in README.md."""


@dataclass(frozen=True, kw_only=True)
class View:
    """One drawn view.

    `box` holds the view with its dimensions and title, `outline` the part alone. `kind`: true,
    half, broken or section. `factor` is real over drawn (2: drawn at half size); `stated` what the
    sheet says, which is the same unless a mistake was planted. `part` is its name in the parts
    list.
    """

    id: int
    part: str
    kind: str
    box: Box
    outline: Box
    factor: str
    stated: str


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """One dimension drawn on the sheet.

    `kind`: distance, radius, diameter or angle. `points`: the two arrow tips of a distance; the
    centre and a point of the arc; two opposite points; the vertex and a point on each leg.
    `text` is the whole callout as printed, `printed` its size, `true` the size that was drawn
    (degrees for an angle). `right`: printed equals true. `stacked`: its fraction has a real bar.
    `text_angle`: direction of writing, degrees counter-clockwise as seen in the frame.
    `across_break`: runs across a break, cannot be scaled.
    """

    id: int
    view: int
    kind: str
    points: tuple[Pair, ...]
    text: str
    printed: str
    true: str
    right: bool
    stacked: bool
    text_box: Box
    text_angle: float
    across_break: bool


@dataclass(frozen=True, kw_only=True)
class Statement:
    """Printed text that is no dimension.

    `kind` as in the tool's own records, and `check rule` for the text of a check rule.
    """

    kind: str
    text: str
    box: Box
    view: int | None


@dataclass(frozen=True, kw_only=True)
class PartsRow:
    """One row of the parts list, as printed; an empty cell is an empty string."""

    item: str
    part: str
    quantity: str
    thickness: str
    width: str
    length: str
    stock: str
    box: Box


@dataclass(frozen=True, kw_only=True)
class SizeText:
    """A text that looks like a size, note or count.

    `about`: dimension, statement or parts-list; `dimension` its number where it is one.
    """

    text: str
    box: Box
    about: str
    dimension: int | None


@dataclass(frozen=True, kw_only=True)
class Known:
    """A length that is true by itself: the printed check rules. `option` is what to type."""

    length: str
    points: tuple[Pair, Pair]
    option: str


@dataclass(frozen=True, kw_only=True)
class Rectangle:
    """The paper's corners, clockwise from the drawing's top left. `option` is what to type."""

    paper: str
    corners: tuple[Pair, Pair, Pair, Pair]
    option: str


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One sheet of the plan.

    `print_factor`: paper inches over drawn inches, right and down. `to_frame`: 3×3, row by row,
    from inches of the original drawing (origin top left of the sheet, y down) to the frame.
    `turn`: degrees clockwise that bring the frame upright. `pixels_sha256`: of the picture's
    pixels before it was packed; `None` for a PDF.
    """

    number: int
    file: str
    frame: str
    width: float
    height: float
    turn: int
    paper: str
    print_factor: Pair
    to_frame: tuple[tuple[float, float, float], ...]
    pixels_sha256: str | None
    points_file: str | None
    views: tuple[View, ...]
    dimensions: tuple[Dimension, ...]
    statements: tuple[Statement, ...]
    parts_list: tuple[PartsRow, ...]
    texts: tuple[SizeText, ...]
    known: tuple[Known, ...]
    rectangle: Rectangle | None


@dataclass(frozen=True, kw_only=True)
class Mistake:
    """One planted mistake.

    `capability` finds it: agreement, chains, missing, counts, parts list, fits, scale or print.
    `codes`: finding codes, any of which reports it; empty while no code is agreed.
    `verdict`: what each of `dimensions` must be judged; `None` where no single size is wrong.
    `suggestion`: the value that should be offered, if any.
    """

    id: str
    what: str
    sheet: int
    views: tuple[int, ...]
    dimensions: tuple[int, ...]
    capability: str
    codes: tuple[str, ...]
    verdict: str | None
    suggestion: str | None


@dataclass(frozen=True, kw_only=True)
class Truth:
    """Everything that is true about the plan."""

    version: int
    plan: str
    sheets: tuple[Sheet, ...]
    mistakes: tuple[Mistake, ...]

    def dimension(self, number: int) -> Dimension:
        """Return a dimension by its number, unique in the plan."""
        return next(d for s in self.sheets for d in s.dimensions if d.id == number)


def load_truth(path: Path) -> Truth:
    """Read a truth file.

    Raises
    ------
    BadTruth
        If it is not JSON, of another version, or has a field too many or too few.
    """
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except ValueError as wrong:
        raise BadTruth(f"{path.name} is not JSON: {wrong}") from wrong
    truth: Truth = _build(Truth, data, path.name)
    if truth.version != VERSION:
        raise BadTruth(f"{path.name} has version {truth.version}, wanted {VERSION}")
    return truth


def _build(kind: Any, value: Any, place: str) -> Any:
    if is_dataclass(kind):
        names = {f.name for f in fields(kind)}
        if not isinstance(value, dict) or set(value) != names:
            odd = sorted(names ^ set(value)) if isinstance(value, dict) else "not an object"
            raise BadTruth(f"{place}: fields do not fit: {odd}")
        hints = get_type_hints(kind)
        return kind(**{n: _build(hints[n], value[n], f"{place}.{n}") for n in sorted(names)})
    if get_origin(kind) is tuple:
        return _build_tuple(get_args(kind), value, place)
    allowed = get_args(kind) or (kind,)
    for each in allowed:
        if is_dataclass(each) and value is not None:
            return _build(each, value, place)
    if float in allowed and type(value) is int:
        return float(value)
    if type(value) not in allowed:
        raise BadTruth(f"{place}: {value!r} is not {kind}")
    return value


def _build_tuple(inner: tuple[Any, ...], value: Any, place: str) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise BadTruth(f"{place}: not a list")
    kinds = [inner[0]] * len(value) if inner[-1] is Ellipsis else list(inner)
    if len(kinds) != len(value):
        raise BadTruth(f"{place}: {len(value)} values, wanted {len(kinds)}")
    return tuple(
        _build(k, v, f"{place}[{i}]") for i, (k, v) in enumerate(zip(kinds, value, strict=True))
    )


def dump_truth(truth: Truth) -> str:
    """Write a truth file: one record a line, so that a change shows in a comparison."""
    return _indent(asdict(truth), 0) + "\n"


def _indent(value: Any, depth: int) -> str:
    flat = json.dumps(value, ensure_ascii=False)
    is_deep = (isinstance(value, dict | list | tuple) and depth < 2) or _holds_records(value)
    if not is_deep or not value:
        return flat
    pad, end = "  " * (depth + 1), "\n" + "  " * depth
    if isinstance(value, dict):
        rows = [f"{pad}{json.dumps(k)}: {_indent(v, depth + 1)}" for k, v in value.items()]
        return "{\n" + ",\n".join(rows) + end + "}"
    return "[\n" + ",\n".join(pad + _indent(v, depth + 1) for v in value) + end + "]"


def _holds_records(value: Any) -> bool:
    if isinstance(value, dict):
        return any(_holds_records(v) for v in value.values())
    return isinstance(value, list | tuple) and any(isinstance(v, dict) for v in value)
