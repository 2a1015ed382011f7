"""Names of features nobody has named: view, direction, order."""

from __future__ import annotations

from collections import defaultdict

from audit.geometry import Box, NotInvertible, Point, direction_deg
from audit.records import Audit, Dimension, DimensionKind, Sheet
from audit.report.phrases import name_ordinal, name_view
from audit.report.seen import SeenPage, see_page

# A dimension that runs within this of an axis of the sheet is called horizontal or vertical, deg.
AXIS_SLACK_DEG = 5.0

_DIRECTED = (DimensionKind.DISTANCE, DimensionKind.ORDINATE)


def name_views(audit: Audit) -> dict[int, str]:
    """Name every view, by its id; two views of one title keep their numbers.

    A view that a person gave to a part is called by the part.
    """
    given = {view: part.name for part in audit.parts for view in part.views}
    plain = {v.id: name_view(v.id, given.get(v.id, v.title), v.kind) for v in audit.views}
    titles = list(plain.values())
    return {
        view: f"{title} (view {view})" if titles.count(title) > 1 else title
        for view, title in plain.items()
    }


def name_features(audit: Audit) -> dict[int, str]:
    """Name every dimension by direction or kind, and by its order in the view.

    Parameters
    ----------
    audit : Audit

    Returns
    -------
    dict of int to str
        By dimension id: ``vertical 2nd``, ``radius``, ``slanting 1st``. Order is that of reading:
        from the top down, then from left to right. One of its kind has no number.
    """
    sheets = {sheet.id: sheet for sheet in audit.sheets}
    pages = {sheet.id: see_page(sheet) for sheet in audit.sheets}
    groups: dict[tuple[int, int, str], list[Dimension]] = defaultdict(list)
    for dimension in audit.dimensions:
        word = _word(dimension, sheets.get(dimension.sheet))
        groups[dimension.sheet, dimension.view, word].append(dimension)
    names = {}
    for (_, _, word), members in groups.items():
        members.sort(key=lambda d: _reading_order(d, pages.get(d.sheet)))
        for rank, dimension in enumerate(members, start=1):
            names[dimension.id] = word if len(members) == 1 else f"{word} {name_ordinal(rank)}"
    return names


def place_of(dimension: Dimension) -> Box:
    """Box of a dimension in its sheet's frame: its text, else its line, else its ends."""
    if dimension.reading is not None:
        return dimension.reading.box
    points = dimension.line or tuple(end.point for end in dimension.ends)
    return Box.around(points) if points else Box(0.0, 0.0, 0.0, 0.0)


def _word(dimension: Dimension, sheet: Sheet | None) -> str:
    if dimension.kind not in _DIRECTED or len(dimension.ends) < 2 or sheet is None:
        return dimension.kind.value
    a, b = (end.point for end in dimension.ends[:2])
    return _direction_word(direction_on_paper(sheet, a, b))


def direction_on_paper(sheet: Sheet, a: Point, b: Point) -> float:
    """Tell which way one place lies from another on the flat paper, held as the page is seen.

    Parameters
    ----------
    sheet : Sheet
    a : Point
        In the sheet's frame.
    b : Point
        Likewise.

    Returns
    -------
    float
        Degrees. A photo that was made flat may itself lie askew, its paper does not; where the
        photo's transform has no value, the direction is that on the page.
    """
    page = see_page(sheet)
    try:
        on_paper = page.from_frame.inverse().then(sheet.to_paper)
        (along_x, _), (along_y, _) = on_paper.jacobian(page.place(sheet.box.centre))
        turn = direction_deg(sheet.to_paper.apply(a), sheet.to_paper.apply(b))
    except (NotInvertible, ZeroDivisionError):
        return direction_deg(page.place(a), page.place(b))
    return turn - 90.0 * round(direction_deg((0.0, 0.0), (along_x, along_y)) / 90.0)


def _direction_word(direction: float) -> str:
    turn = direction % 180.0
    if min(turn, 180.0 - turn) <= AXIS_SLACK_DEG:
        return "horizontal"
    return "vertical" if abs(turn - 90.0) <= AXIS_SLACK_DEG else "slanting"


def _reading_order(dimension: Dimension, page: SeenPage | None) -> tuple[float, float, int]:
    box = place_of(dimension)
    centre = page.place(box.centre) if page is not None else box.centre
    # Rows of about a line of lettering: two texts side by side are read from left to right.
    return (round(centre.y / 9.0), centre.x, dimension.id)
