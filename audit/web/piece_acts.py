"""Calls on what is laid on a sheet or counted there."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import count

from fastapi import APIRouter

from audit.errors import BadUsage
from audit.geometry import Point
from audit.lengths import Unit
from audit.pipeline import lookup
from audit.pipeline.laying import Laid, LaidEdge, lay_piece
from audit.records import Audit, DrawnCount, LaidPiece, Sheet
from audit.report.laid import say_edge, spell_piece
from audit.scale import measure_folds
from audit.store import LayPiece, RemoveCount, RemovePiece, SetCount
from audit.web import models as m
from audit.web import sheet_models as v
from audit.web import sum_models as s
from audit.web.boxes import box_in
from audit.web.looks import At, SeenRevision
from audit.web.piece_sizes import parse_size
from audit.web.sheet_acts import find_view

router = APIRouter()
MM_PER_IN = 25.4


@router.post("/api/sheets/{number}/piece")
def try_piece(desk: At, number: int, wanted: v.PieceBody) -> v.LaidJson:
    """Lay a piece of a given size on a view: its outline, and the overhang at each edge."""
    audit = desk.file.load()
    sheet = lookup.find_sheet(audit, number)
    piece = _piece(audit, sheet, wanted, name="piece")
    laid = lay_piece(
        desk.plans.ground(sheet),
        piece,
        sheet=measure_folds(sheet, audit.known_sizes),
        view=find_view(audit, piece.view),
    )
    unit = lookup.unit_of(audit, number) or piece.width.unit
    return show_laid(laid, piece, unit)


@router.put("/api/sheets/{number}/pieces")
def keep_piece(desk: At, number: int, wanted: v.KeepPiece) -> m.DoneJson:
    """Keep a laid piece; one of the same name is replaced."""
    audit = desk.at(wanted.revision)
    sheet = lookup.find_sheet(audit, number)
    name = " ".join(wanted.name.split()) or _free("piece", (p.name for p in audit.pieces))
    entry = LayPiece(piece=_piece(audit, sheet, wanted, name=name))
    revision = desk.record(entry, revision=wanted.revision)
    return m.DoneJson(revision=revision, says=f"{name} is kept")


@router.delete("/api/pieces")
def drop_piece(desk: At, name: s.Name, revision: SeenRevision) -> m.DoneJson:
    """Take a piece away that was kept."""
    return m.DoneJson(revision=desk.record(RemovePiece(name=name), revision=revision))


@router.put("/api/sheets/{number}/counts")
def keep_count(desk: At, number: int, wanted: v.KeepCount) -> m.DoneJson:
    """Keep what was counted on a sheet; one of the same name is replaced."""
    audit = desk.at(wanted.revision)
    sheet = lookup.find_sheet(audit, number)
    name = " ".join(wanted.name.split()) or _free("count", (c.name for c in audit.drawn_counts))
    made = DrawnCount(
        name=name,
        sheet=sheet.id,
        example=box_in(sheet, wanted.box),
        places=tuple(Point(x, y) for x, y in wanted.places),
        printed=wanted.printed,
    )
    revision = desk.record(SetCount(count=made), revision=wanted.revision)
    return m.DoneJson(revision=revision, says=f"{name} is kept: {len(made.places)}")


@router.delete("/api/counts")
def drop_count(desk: At, name: s.Name, revision: SeenRevision) -> m.DoneJson:
    """Take a count away."""
    return m.DoneJson(revision=desk.record(RemoveCount(name=name), revision=revision))


def _free(word: str, names: Iterable[str]) -> str:
    taken = set(names)
    return next(f"{word} {n}" for n in count(1) if f"{word} {n}" not in taken)


def _piece(audit: Audit, sheet: Sheet, wanted: v.PieceBody, *, name: str) -> LaidPiece:
    centre = Point(*wanted.centre)
    view = lookup.view_at(audit, sheet, centre)
    if view == 0:
        raise BadUsage("there is no view here", advice="lay the piece on a view")
    unit = lookup.unit_of(audit, sheet.id)
    width, height = parse_size(wanted.size, shape=wanted.shape, unit=unit)
    return LaidPiece(
        name=name,
        sheet=sheet.id,
        view=view,
        shape=wanted.shape,
        width=width,
        height=height,
        centre=centre,
        angle=math.remainder(wanted.angle, 360.0),
    )


def show_laid(laid: Laid, piece: LaidPiece, unit: Unit) -> v.LaidJson:
    """Show a laid piece, its overhang in the unit of the sheet."""
    return v.LaidJson(
        view=piece.view,
        size=spell_piece(piece),
        unit=unit.value,
        outline=laid.outline,
        edges=tuple(_edge(edge, unit) for edge in laid.edges),
    )


def _edge(edge: LaidEdge, unit: Unit) -> v.LaidEdgeJson:
    per = MM_PER_IN if unit is Unit.IN else 1.0
    state, says = say_edge(edge.over, edge.expanded, unit, across_fold=edge.across_fold)
    seen = edge.over is not None and edge.expanded is not None
    return v.LaidEdgeJson(
        side=edge.side,
        at=edge.at,
        line=edge.line if seen else None,
        over=edge.over / per if edge.over is not None and seen else None,
        uncertainty=edge.expanded / per if edge.expanded is not None and seen else None,
        says=says,
        state=state,
    )
