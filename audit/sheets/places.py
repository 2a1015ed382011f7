"""Known sizes, rectangles and folds as they are typed: ``length @ sheet:x,y x,y``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from audit.errors import BadPlace, NotALength, one_line
from audit.geometry import Point
from audit.lengths import Length, Unit, parse_length
from audit.records import Fold, KnownSize, Sheet

KNOWN_FORM = '"4 in @ 2:100,200 460,200"'
FOLD_FORM = '"3:x,y x,y" or "1 mm @ 3:x,y x,y"'
RECTANGLE_FORM = '"11 x 8.5 in @ 3:x,y x,y x,y x,y"'
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_PLACES = re.compile(r"\s*(?:sheet\s*)?(\d+)\s*:\s*(.*)", re.IGNORECASE | re.DOTALL)
_POINT = re.compile(rf"({_NUMBER})\s*,\s*({_NUMBER})(?:\s+|;|$)")
_TIMES = re.compile(r"\s*(?<![a-z])[x×](?![a-z])\s*", re.IGNORECASE)
_UNIT_AT_END = re.compile(r"""([a-z]+\.?|["'″′”’]+)\s*$""", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownRectangle:
    """A rectangle of known size on a sheet, its corners clockwise from the top left.

    `corners` in the sheet's frame; `width` from the first to the second.
    """

    sheet: int
    corners: tuple[Point, Point, Point, Point]
    width: Length
    height: Length


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedFold:
    """A fold or taped joint that a person marked, and the sheet it lies on."""

    sheet: int
    fold: Fold


def parse_known(text: str, *, unit: Unit | None = None) -> KnownSize:
    """Read a known size as typed.

    Parameters
    ----------
    text : str
        ``length @ sheet:x,y x,y``, in the sheet's frame.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    KnownSize

    Raises
    ------
    BadPlace
        If the text has another form, or the two places are the same.
    NotALength
        If what stands before the @ is no length.

    Examples
    --------
    >>> known = parse_known("4 in @ 2:100,200 460,200")
    >>> known.sheet, known.b, float(known.length)
    (2, Point(x=460.0, y=200.0), 4.0)
    >>> parse_known("4 in @ 1,2 9,2")
    Traceback (most recent call last):
    ...
    audit.errors.BadPlace: '1,2 9,2' has no sheet number: write it as "4 in @ 2:100,200 460,200"
    """
    size, sheet, points = _split(text, count=2, form=KNOWN_FORM)
    length = _parse_size(size, unit=unit, form=KNOWN_FORM)
    a, b = points
    if a == b:
        raise BadPlace("both ends of a known size are the same place", advice=_like(KNOWN_FORM))
    return KnownSize(sheet=sheet, a=a, b=b, length=length)


def parse_rectangle(text: str, *, unit: Unit | None = None) -> KnownRectangle:
    """Read a known rectangle as typed.

    Parameters
    ----------
    text : str
        ``width x height @ sheet:x,y x,y x,y x,y``; a unit after the height alone counts for both.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    KnownRectangle

    Raises
    ------
    BadPlace
        If the text has another form.
    NotALength
        If width or height is no length.

    Examples
    --------
    >>> sheet = parse_rectangle("11 x 8.5 in @ 3:1,2 90,3 88,70 2,69")
    >>> float(sheet.width), float(sheet.height), len(sheet.corners)
    (11.0, 8.5, 4)
    """
    size, sheet, points = _split(text, count=4, form=RECTANGLE_FORM)
    sides = _TIMES.split(size.strip())
    if len(sides) != 2:
        problem = f"'{one_line(size)}' is no width x height"
        raise BadPlace(problem, advice=_like(RECTANGLE_FORM))
    first, second = sides
    shared = _UNIT_AT_END.search(second)
    if shared and not _UNIT_AT_END.search(first):
        first = f"{first} {shared.group(1)}"
    width = _parse_size(first, unit=unit, form=RECTANGLE_FORM)
    height = _parse_size(second, unit=unit, form=RECTANGLE_FORM)
    a, b, c, d = points
    return KnownRectangle(sheet=sheet, corners=(a, b, c, d), width=width, height=height)


def parse_fold(text: str, *, unit: Unit | None = None) -> MarkedFold:
    """Read a fold as typed.

    Parameters
    ----------
    text : str
        ``sheet:x,y x,y`` with two places on the fold, and before them, with an @ between, how far
        the two sides may be shifted: ``1 mm @ sheet:x,y x,y``.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    MarkedFold

    Raises
    ------
    BadPlace
        If the text has another form, or the two places are the same.
    NotALength
        If what stands before the @ is no length.

    Examples
    --------
    >>> marked = parse_fold("1 mm @ 2:306,0 306,792")
    >>> marked.sheet, marked.fold.b, float(marked.fold.step)
    (2, Point(x=306.0, y=792.0), 1.0)
    >>> parse_fold("2:306,0 306,792").fold.step is None
    True
    """
    stepped = text if "@" in text else f"@ {text}"
    size, sheet, points = _split(stepped, count=2, form=FOLD_FORM)
    step = _parse_size(size, unit=unit, form=FOLD_FORM) if size.strip() else None
    a, b = points
    if a == b:
        raise BadPlace("both places on a fold are the same", advice=_like(FOLD_FORM))
    return MarkedFold(sheet=sheet, fold=Fold(a=a, b=b, step=step))


def check_on_sheet(points: tuple[Point, ...], *, sheet: Sheet) -> None:
    """Check that places lie on a sheet.

    Raises
    ------
    BadPlace
        If one does not.
    """
    for point in points:
        if not sheet.box.contains(point):
            unit = "points of 1/72 in" if sheet.frame == "pt" else "pixels"
            raise BadPlace(
                f"{point.x:g},{point.y:g} lies outside sheet {sheet.id}",
                advice=f"it is {sheet.width:g} × {sheet.height:g} {unit}",
            )


def _split(text: str, *, count: int, form: str) -> tuple[str, int, tuple[Point, ...]]:
    size, at, where = text.rpartition("@")
    if not at:
        problem = f"'{one_line(text)}' has no @ before the places"
        raise BadPlace(problem, advice=_like(form))
    found = _PLACES.fullmatch(where)
    if found is None:
        problem = f"'{one_line(where)}' has no sheet number"
        raise BadPlace(problem, advice=_like(form))
    return size, _sheet_number(found.group(1), form=form), _points(found.group(2), count, form)


def _sheet_number(text: str, *, form: str) -> int:
    if len(text) > 6 or int(text) < 1:
        raise BadPlace(f"{text[:20]} is no sheet number", advice=_like(form))
    return int(text)


def _points(text: str, count: int, form: str) -> tuple[Point, ...]:
    text, at, points = text.strip(), 0, []
    while at < len(text):
        found = _POINT.match(text, at)
        if found is None:
            problem = f"'{one_line(text[at:])}' does not start with a place x,y"
            raise BadPlace(problem, advice=_like(form))
        points.append(Point(float(found.group(1)), float(found.group(2))))
        at = found.end()
    if len(points) != count:
        places = "1 place" if len(points) == 1 else f"{len(points)} places"
        raise BadPlace(f"{places} given where {count} are needed", advice=_like(form))
    return tuple(points)


def _parse_size(text: str, *, unit: Unit | None, form: str) -> Length:
    try:
        length = parse_length(text.strip(), unit=unit)
    except NotALength as error:
        bare = unit is None and re.fullmatch(rf"\s*{_NUMBER}\s*", text) is not None
        problem = f"'{one_line(text)}' has no unit" if bare else error.problem
        raise NotALength(problem, advice=_like(form)) from error
    if length.unit is Unit.DEG or length.value <= 0:
        raise BadPlace(f"'{one_line(text)}' is no length above zero", advice=_like(form))
    return length


def _like(form: str) -> str:
    return f"write it as {form}"
