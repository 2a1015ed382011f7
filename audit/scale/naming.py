"""Measured scales get their names, in the light of what the sheet itself states."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from audit.geometry import Box
from audit.lengths import FormKind, Unit, parse_statements
from audit.records import Scale, Sheet, Statement, StatementKind, View
from audit.scale.names import (
    CERTAIN,
    COVERAGE,
    FITTED,
    LEAST_OFF,
    ScaleName,
    name_scale,
    print_ratios,
    standard_scales,
)

PRINT_OFF = 0.1  # a print is within 10 % of its stated scale, or at a known print ratio of it
NEAR_VIEW = 0.06  # of a view's size; a title this far below its view belongs to it
TITLE_BLOCK = (0.35, 0.2)  # of the sheet's width and height: a corner, where title blocks stand


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedView:
    """A view with its scale named, and what was stated for it.

    `own` is the scale stated at the view, `general` that of the sheet, both real over drawn;
    `fits` tells whether the drawing is at the stated scale, print effects allowed for. `enlarge`
    is what the sheet says it is to be enlarged by, `enlarged` whether this print has been.
    """

    view: View
    name: ScaleName
    own: Fraction | None
    general: Fraction | None
    fits: bool | None
    enlarge: Fraction | None = None
    enlarged: bool | None = None

    @property
    def stated(self) -> Fraction | None:
        """What holds for this view."""
        return self.own if self.own is not None else self.general


def name_views(
    views: Sequence[View], statements: Iterable[Statement], *, sheet: Sheet, unit: Unit | None
) -> tuple[NamedView, ...]:
    """Name the scale of every scaled view of a sheet.

    Parameters
    ----------
    views : Sequence[View]
        Of this sheet; views without a scale are left out.
    statements : Iterable[Statement]
        Those of this sheet that state a scale count.
    sheet : Sheet
        Where the size of the paper is only a guess nothing is named.
    unit : Unit | None
        What the plan is in, where that is known.

    Returns
    -------
    tuple[NamedView, ...]
        In the order of the views.
    """
    said = _said_scales(views, statements, sheet)
    named = [
        _name_view(v, said.own.get(v.id), said.general, sheet, unit)
        for v in views
        if isinstance(v.scale, Scale)
    ]
    by = enlarge_factor(statements, sheet=sheet)
    if by is None or not sheet.paper_known:
        return tuple(_with_one_print(named, sheet, unit))
    return tuple(_enlarged(n, by, sheet, unit) for n in named)


def _with_one_print(
    named: Sequence[NamedView], sheet: Sheet, unit: Unit | None
) -> Iterator[NamedView]:
    """Name views anew that would be of another print than one that is true to what is stated.

    The views of a sheet share its print. Where one is at the stated scale, another one half as
    large again is no enlarged print, but drawn so.
    """
    true = any(n.fits and n.name.print_factor == 1.0 for n in named)
    for n in named:
        factor = n.name.print_factor
        if true and n.fits and factor is not None and abs(math.log(factor)) > PRINT_OFF:
            yield _drawn_otherwise(n, sheet, unit)
        else:
            yield n


def _drawn_otherwise(named: NamedView, sheet: Sheet, unit: Unit | None) -> NamedView:
    """Name a view of a true print that is not at the scale stated: by a usual scale, or by none."""
    bare = _name_view(named.view, None, None, sheet, unit)
    view, name = bare.view, bare.name
    if name.print_factor != 1.0 and isinstance(view.scale, Scale):
        name = ScaleName(drawn=None)
        view = replace(view, scale=replace(view.scale, drawn=None, print_factor=None))
    return replace(named, view=view, name=name, fits=False)


@dataclass(frozen=True, slots=True)
class _Said:
    """The scales that a sheet states: by view, and for the whole."""

    own: dict[int, Fraction]
    general: Fraction | None


def _said_scales(views: Sequence[View], statements: Iterable[Statement], sheet: Sheet) -> _Said:
    stated = [
        s
        for s in statements
        if s.sheet == sheet.id and s.kind is StatementKind.SCALE and s.factor is not None
    ]
    at_views = [s for s in stated if not _is_general(s, stated, views=views, sheet=sheet)]
    own = {v.id: _own_scale(v, stated, at_views, views=views) for v in views}
    return _Said(
        own={view: factor for view, factor in own.items() if factor is not None},
        general=_general_scale(views, stated, at_views),
    )


def stated_scales(
    views: Sequence[View], statements: Iterable[Statement], *, sheet: Sheet
) -> dict[int, float]:
    """Return what scale is stated for each view of a sheet: at the view, else for the sheet.

    Parameters
    ----------
    views : Sequence[View]
        Of this sheet.
    statements : Iterable[Statement]
        Those of this sheet that state a scale count.
    sheet : Sheet

    Returns
    -------
    dict of int to float
        By view, real over drawn; views that nothing is stated for are left out. Nothing where the
        sheet is to be enlarged, since what is stated may hold before it or after.
    """
    statements = tuple(statements)
    if not sheet.paper_known or enlarge_factor(statements, sheet=sheet) is not None:
        return {}
    said = _said_scales(views, statements, sheet)
    found = {v.id: said.own.get(v.id, said.general) for v in views}
    return {view: float(factor) for view, factor in found.items() if factor}


def enlarge_factor(statements: Iterable[Statement], *, sheet: Sheet) -> Fraction | None:
    """Return what a sheet says it is to be enlarged by, where it says one thing.

    Parameters
    ----------
    statements : Iterable[Statement]
    sheet : Sheet

    Returns
    -------
    Fraction | None
        2 for ``ENLARGE 200%``.
    """
    factors = {
        s.factor
        for s in statements
        if s.sheet == sheet.id and s.kind is StatementKind.ENLARGE and s.factor
    }
    return factors.pop() if len(factors) == 1 else None


def _enlarged(named: NamedView, by: Fraction, sheet: Sheet, unit: Unit | None) -> NamedView:
    """Name a view in the light of a note to enlarge: what is stated holds after enlarging."""
    meant = named.stated or Fraction(1)
    before = _name_view(named.view, None, meant * by, sheet, unit)
    if before.fits:  # not enlarged yet: drawn smaller than stated, as the note says
        return replace(before, own=named.own, general=named.general, enlarge=by, enlarged=False)
    after = named if named.stated is not None else _name_view(named.view, None, meant, sheet, unit)
    if after.fits:
        return replace(after, own=named.own, general=named.general, enlarge=by, enlarged=True)
    return named


def relative_u(scale: Scale) -> float:
    """Return the relative standard uncertainty of the mean of both directions.

    Parameters
    ----------
    scale : Scale
        With its covariance.

    Returns
    -------
    float
        Of sqrt(x y).
    """
    (xx, xy, _), (_, yy, _), _ = scale.covariance
    return math.sqrt(max(xx + yy + 2 * xy, 0.0)) / 2


def _name_view(
    view: View,
    own: Fraction | None,
    general: Fraction | None,
    sheet: Sheet,
    unit: Unit | None,
) -> NamedView:
    if not isinstance(view.scale, Scale):
        raise TypeError("only scaled views are named")
    stated = own if own is not None else general
    u_rel = relative_u(view.scale)
    measured = math.sqrt(view.scale.x * view.scale.y)
    if not sheet.paper_known:
        return NamedView(view=view, name=ScaleName(drawn=None), own=own, general=general, fits=None)
    fits = None if stated is None else is_print_of(float(stated) / measured, u_rel=u_rel)
    if stated is not None and fits:
        name = _stated_name(stated, measured, u_rel)
    else:
        name = name_scale(view.scale.x, view.scale.y, u_rel=u_rel, unit=unit)
    scale = replace(view.scale, drawn=name.drawn, print_factor=name.print_factor)
    return NamedView(
        view=replace(view, scale=scale), name=name, own=own, general=general, fits=fits
    )


def is_print_of(factor: float, *, u_rel: float) -> bool:
    """Tell whether printing can account for a ratio of stated to measured scale.

    Parameters
    ----------
    factor : float
        Size of the print over the size it should have.
    u_rel : float
        Its relative standard uncertainty.

    Returns
    -------
    bool
        True within 10 % of true size, or at one of the known print ratios.
    """
    off = math.log(factor)
    allowed = FITTED + COVERAGE * u_rel
    return abs(off) <= PRINT_OFF or any(
        abs(off - math.log(r.ratio)) <= allowed for r in print_ratios()
    )


def scale_text(factor: Fraction) -> str:
    """Return the usual name of an exact scale.

    Parameters
    ----------
    factor : Fraction
        Real size over drawn size.

    Returns
    -------
    str
        As in ``scales.txt``, else ``1:n``.

    Examples
    --------
    >>> scale_text(Fraction(48)), scale_text(Fraction(3)), scale_text(Fraction(2, 3))
    ('1/4 in = 1 ft', '1:3', '3:2')
    """
    for scale in standard_scales():
        if scale.factor == factor:
            return scale.name
    return f"{factor.denominator}:{factor.numerator}"


def _stated_name(stated: Fraction, measured: float, u_rel: float) -> ScaleName:
    factor = float(stated) / measured
    if abs(math.log(factor)) <= max(CERTAIN * u_rel, LEAST_OFF):
        return ScaleName(drawn=scale_text(stated), factor=stated, print_factor=1.0)
    near = [
        r for r in print_ratios() if abs(math.log(factor / r.ratio)) <= FITTED + COVERAGE * u_rel
    ]
    best = min(near, key=lambda r: abs(math.log(factor / r.ratio)), default=None)
    return ScaleName(
        drawn=scale_text(stated),
        factor=stated,
        print_factor=factor,
        explained=best.name if best else "",
    )


def _own_scale(
    view: View,
    stated: Sequence[Statement],
    at_views: Sequence[Statement],
    *,
    views: Sequence[View],
) -> Fraction | None:
    """Find the scale stated at a view: typed by a person, or printed in it or just below it."""
    if view.stated_scale:
        same = [s.factor for s in stated if s.text == view.stated_scale]
        return same[0] if same else _read_scale(view.stated_scale)
    mine = [
        s
        for s in at_views
        if (view in named if (named := _named_in(s, views)) else _belongs(s.box, view.box))
    ]
    return mine[0].factor if mine else None


def _general_scale(
    views: Sequence[View], stated: Sequence[Statement], at_views: Sequence[Statement]
) -> Fraction | None:
    """Find what holds for the sheet: scales in a title block, or away from every view."""
    free = [
        s
        for s in stated
        if not _named_in(s, views)
        and (s not in at_views or not any(_belongs(s.box, v.box) for v in views))
    ]
    factors = {s.factor for s in free}
    return factors.pop() if len(factors) == 1 else None


def _is_general(
    statement: Statement, stated: Sequence[Statement], *, views: Sequence[View], sheet: Sheet
) -> bool:
    """Whether a stated scale holds for the sheet: of a sheet with one view, or a title block's."""
    if len(views) == 1:
        return True
    if _named_in(statement, views):
        return False
    inside = any(v.box.contains(statement.box.centre) for v in views)
    return _in_title_block(statement.box, sheet) and (not inside or len(stated) == 1)


def _named_in(statement: Statement, views: Sequence[View]) -> list[View]:
    """Return the views whose title a stated scale stands behind: DOWEL (FULL SIZE).

    Of titles that begin alike it is the longest, and whole words are meant.
    """
    text = statement.text.upper()
    named = [v for v in views if v.title and _begins(text, v.title.upper())]
    longest = max((len(v.title) for v in named), default=0)
    return [v for v in named if len(v.title) == longest]


def _begins(text: str, title: str) -> bool:
    return text.startswith(title) and not text[len(title) : len(title) + 1].isalnum()


def _in_title_block(text: Box, sheet: Sheet) -> bool:
    """Whether a text stands in a corner of the sheet, whichever way the sheet is turned."""
    across = min(text.centre.x, sheet.width - text.centre.x)
    up = min(text.centre.y, sheet.height - text.centre.y)
    wide, high = TITLE_BLOCK if sheet.turn % 180 == 0 else TITLE_BLOCK[::-1]
    return across <= wide * sheet.width and up <= high * sheet.height


def _belongs(text: Box, view: Box) -> bool:
    return view.grown(NEAR_VIEW * max(view.width, view.height)).contains(text.centre)


def _read_scale(text: str) -> Fraction | None:
    """Read what a person typed or a view's title says: ``1:2``, ``1/4" = 1'-0"``, ``HALF SIZE``."""
    for said in (text, f"SCALE {text}"):
        for form in parse_statements(said, unit=None):
            if form.kind is FormKind.SCALE and form.factor is not None:
                return form.factor
    return None
