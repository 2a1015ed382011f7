"""What a person set on a sheet: known sizes, views, laid pieces, counts."""

from __future__ import annotations

from audit.errors import AuditError
from audit.geometry import Point
from audit.lengths import Unit
from audit.pipeline.known import KnownStanding, compare_known
from audit.pipeline.laying import outline_piece
from audit.records import Audit, DrawnCount, KnownSize, LaidPiece, Scale, Sheet, UserSet
from audit.report.laid import spell_piece
from audit.report.naming import name_views
from audit.report.phrases import spell_gap, spell_uncertainty
from audit.web import models as m
from audit.web.wording import say_typed, say_view

MM_PER_IN = 25.4


def list_known(audit: Audit, sheet: Sheet) -> tuple[m.KnownJson, ...]:
    """List the known sizes of a sheet, each with what the others make of it."""
    own = [(n, k) for n, k in enumerate(audit.known_sizes) if k.sheet == sheet.id]
    standings = compare_known([k for _, k in own], sheet)
    return tuple(_known(n, k, s) for (n, k), s in zip(own, standings, strict=True))


def _known(number: int, known: KnownSize, standing: KnownStanding) -> m.KnownJson:
    said = ""
    if standing.residual is not None and standing.expanded is not None:
        unit = known.length.unit
        per = MM_PER_IN if unit is Unit.IN else 1.0
        off, expanded = standing.residual / per, standing.expanded / per
        word = "longer" if off > 0 else "shorter"
        size = "fits the others" if abs(off) <= expanded else f"{spell_gap(off, unit)} {word}"
        said = f"{size} ± {spell_uncertainty(expanded, unit)}"
    return m.KnownJson(
        number=number,
        a=known.a,
        b=known.b,
        length=say_typed(known.length),
        residual=said,
        fits=standing.fits,
        across_fold=standing.across_fold,
    )


def list_views(audit: Audit, sheet: Sheet) -> tuple[m.ViewJson, ...]:
    """List the views of a sheet."""
    names = name_views(audit)
    return tuple(
        m.ViewJson(
            number=view.id,
            name=names[view.id],
            title=view.title,
            kind=view.kind,
            box=(view.box.x0, view.box.y0, view.box.x1, view.box.y1),
            scale=say_view(view, audit),
            stated_scale=view.stated_scale or "",
            has_scale=isinstance(view.scale, Scale),
            tolerance=say_typed(view.tolerance_set),
            dimensions=sum(d.view == view.id for d in audit.dimensions),
            by_hand=UserSet.BOX in view.user_set,
        )
        for view in audit.views
        if view.sheet == sheet.id
    )


def list_pieces(audit: Audit, sheet: Sheet) -> tuple[m.PieceJson, ...]:
    """List the pieces that are kept on a sheet."""
    return tuple(
        m.PieceJson(
            name=piece.name,
            view=piece.view,
            shape=piece.shape,
            size=spell_piece(piece),
            centre=piece.centre,
            angle=piece.angle,
            outline=_outline(audit, sheet, piece),
        )
        for piece in audit.pieces
        if piece.sheet == sheet.id
    )


def _outline(audit: Audit, sheet: Sheet, piece: LaidPiece) -> tuple[Point, ...]:
    view = next((v for v in audit.views if v.id == piece.view), None)
    if view is None or not isinstance(view.scale, Scale):
        return ()
    try:
        return outline_piece(piece, sheet=sheet, scale=view.scale)
    except AuditError:
        return ()


def list_counts(audit: Audit, sheet: Sheet) -> tuple[m.DrawnCountJson, ...]:
    """List what was counted on a sheet."""
    return tuple(
        m.DrawnCountJson(
            name=count.name,
            example=(count.example.x0, count.example.y0, count.example.x1, count.example.y1),
            places=count.places,
            printed=count.printed,
            says=say_count(count),
        )
        for count in audit.drawn_counts
        if count.sheet == sheet.id
    )


def say_count(count: DrawnCount) -> str:
    """Say a count beside the printed number."""
    seen = len(count.places)
    if count.printed is None:
        return f"{seen} seen"
    if seen == count.printed:
        return f"{seen} seen, {count.printed} printed"
    word = "fewer" if seen < count.printed else "more"
    return f"{seen} seen, {abs(seen - count.printed)} {word} than the {count.printed} printed"
