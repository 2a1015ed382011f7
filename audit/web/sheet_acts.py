"""Calls on views, paper and known sizes, so that a wrong proposal can be put right."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from fastapi import APIRouter

from audit.errors import BadUsage
from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.pipeline import acting, lookup
from audit.pipeline.flattening import flatten_by
from audit.pipeline.folding import add_fold, change_fold, drop_fold
from audit.pipeline.laying_flat import say_flatness
from audit.pipeline.viewing import NO_SCALE_YET
from audit.records import Audit, Sheet, View
from audit.store import (
    AddView,
    AssignView,
    ChangeKnownSize,
    ChangeSettings,
    EditView,
    MergeViews,
    RenameAudit,
    SetViewTolerance,
)
from audit.web import models as m
from audit.web import sheet_models as v
from audit.web.looks import At, SeenRevision

router = APIRouter()
LEAST_SIDE = 4.0  # sheet frame units; a smaller view shows nothing
NO_ANGLE = "write 1/64 in or 0.5 mm"


@router.post("/api/views", status_code=201)
def add_view(desk: At, wanted: v.AddViewBody) -> m.DoneJson:
    """Draw a view by hand; what lies in its box goes over to it."""
    audit = desk.at(wanted.revision)
    sheet = lookup.find_sheet(audit, wanted.sheet)
    made = View(
        id=0,
        sheet=sheet.id,
        kind=wanted.kind,
        box=_box_on(sheet, wanted.box),
        title=" ".join(wanted.title.split()),
        scale=NO_SCALE_YET,
    )
    return m.DoneJson(revision=desk.record(AddView(view=made), revision=wanted.revision))


@router.put("/api/views/{number}")
def edit_view(desk: At, number: int, wanted: v.EditViewBody) -> m.DoneJson:
    """Change the kind, title, box or stated scale of a view."""
    audit = desk.at(wanted.revision)
    view = find_view(audit, number)
    box = None
    if wanted.box is not None:
        box = _box_on(lookup.find_sheet(audit, view.sheet), wanted.box)
    title = None if wanted.title is None else " ".join(wanted.title.split())
    stated = None if wanted.stated_scale is None else wanted.stated_scale.strip()
    entry = EditView(view=number, kind=wanted.kind, box=box, title=title, stated_scale=stated)
    return m.DoneJson(revision=desk.record(entry, revision=wanted.revision))


@router.post("/api/views/{number}/join")
def join_view(desk: At, number: int, wanted: v.JoinViews) -> m.DoneJson:
    """Join a view into another one of its sheet; its dimensions move along."""
    entry = MergeViews(view=number, into=wanted.into)
    return m.DoneJson(revision=desk.record(entry, revision=wanted.revision))


@router.put("/api/views/{number}/tolerance")
def set_view_tolerance(desk: At, number: int, wanted: v.SetViewToleranceBody) -> m.DoneJson:
    """Give a view a tolerance of its own, or take it away."""
    audit = desk.at(wanted.revision)
    view = find_view(audit, number)
    tolerance = _length(wanted.tolerance or "", unit=lookup.unit_of(audit, view.sheet))
    entry = SetViewTolerance(view=number, tolerance=tolerance)
    return m.DoneJson(revision=desk.record(entry, revision=wanted.revision))


@router.put("/api/dimensions/{number}/view")
def assign_view(desk: At, number: int, wanted: v.AssignViewBody) -> m.DoneJson:
    """Say which view of its sheet a dimension belongs to."""
    entry = AssignView(dimension=number, view=wanted.view)
    revision = desk.record(entry, revision=wanted.revision)
    return m.DoneJson(revision=revision, key=f"d{number}")


@router.put("/api/sheets/{number}/paper")
def flatten_sheet(desk: At, number: int, wanted: v.FlattenBody) -> m.DoneJson:
    """Make a photo flat from the four corners of a rectangle whose two sides are known."""
    audit = desk.at(wanted.revision)
    sheet = lookup.find_sheet(audit, number)
    unit = lookup.unit_of(audit, number)
    sizes = [_length(text, unit=unit) for text in (wanted.width, wanted.height)]
    if sizes[0] is None or sizes[1] is None:
        raise BadUsage("a rectangle has two sides", advice="give both, such as 11 in and 8 1/2 in")
    corners = [Point(x, y) for x, y in wanted.corners]
    entry = flatten_by(
        sheet, lambda: desk.plans.pixels(sheet), corners, width=sizes[0], height=sizes[1]
    )
    revision = desk.record(entry, revision=wanted.revision)
    left = f": {say_flatness(entry.flatness)}" if entry.flatness else ""
    return m.DoneJson(revision=revision, says=f"The sheet is measured as flat paper now{left}")


@router.post("/api/sheets/{number}/folds", status_code=201)
def mark_fold(desk: At, number: int, wanted: v.FoldBody) -> m.DoneJson:
    """Mark a fold or taped joint through two places, and how far its sides may be shifted."""
    audit = desk.at(wanted.revision)
    step = _length(wanted.step, unit=lookup.unit_of(audit, number))
    points = [Point(x, y) for x, y in wanted.points]
    entry = add_fold(lookup.find_sheet(audit, number), points, step=step)
    revision = desk.record(entry, revision=wanted.revision)
    return m.DoneJson(revision=revision, says="What runs across it was judged anew")


@router.put("/api/sheets/{number}/folds/{fold}")
def edit_fold(desk: At, number: int, fold: int, wanted: v.EditFoldBody) -> m.DoneJson:
    """Say how far the sides of a fold may be shifted; empty: not known."""
    audit = desk.at(wanted.revision)
    step = _length(wanted.step, unit=lookup.unit_of(audit, number))
    entry = change_fold(lookup.find_sheet(audit, number), fold, step=step)
    return m.DoneJson(revision=desk.record(entry, revision=wanted.revision))


@router.delete("/api/sheets/{number}/folds/{fold}")
def remove_fold(desk: At, number: int, fold: int, revision: SeenRevision) -> m.DoneJson:
    """Take a fold away."""
    entry = drop_fold(lookup.find_sheet(desk.at(revision), number), fold)
    return m.DoneJson(revision=desk.record(entry, revision=revision))


@router.put("/api/known-sizes/{number}")
def change_known(desk: At, number: int, wanted: v.ChangeKnown) -> m.DoneJson:
    """Give a known size another length."""
    audit = desk.at(wanted.revision)
    if not 0 <= number < len(audit.known_sizes):
        raise BadUsage(f"there is no known size {number}", advice="look at the sheet as it is now")
    known = audit.known_sizes[number]
    length = acting.type_length(wanted.length, unit=lookup.counted_on(audit, known.sheet))
    if length.unit is Unit.DEG:
        raise BadUsage("a known size is a length", advice="write 4 in or 100 mm")
    entry = ChangeKnownSize(known=known, becomes=replace(known, length=length))
    return m.DoneJson(revision=desk.record(entry, revision=wanted.revision))


@router.put("/api/settings")
def change_settings(desk: At, wanted: m.ChangeSettings) -> m.DoneJson:
    """Judge by other settings, or give the audit another name."""
    audit = desk.at(wanted.revision)
    if wanted.name is not None:
        entry: RenameAudit | ChangeSettings = RenameAudit(name=" ".join(wanted.name.split()))
        return m.DoneJson(revision=desk.record(entry, revision=wanted.revision))
    settings = audit.settings
    if wanted.unit is not None:
        settings = replace(settings, unit=Unit(wanted.unit) if wanted.unit else None)
    if wanted.tolerance is not None:
        settings = replace(settings, tolerance=_length(wanted.tolerance, unit=settings.length_unit))
    if wanted.thickness is not None:
        settings = replace(settings, thickness=_length(wanted.thickness, unit=settings.length_unit))
    if wanted.angle_tolerance is not None:
        settings = replace(settings, angle_tolerance=_angle(wanted.angle_tolerance))
    if wanted.finest is not None:
        settings = replace(settings, finest=Fraction(wanted.finest or "1/64"))
    if wanted.drafting is not None:
        settings = replace(settings, drafting=wanted.drafting or None)
    revision = desk.record(ChangeSettings(settings=settings), revision=wanted.revision)
    return m.DoneJson(revision=revision)


def find_view(audit: Audit, number: int) -> View:
    """Return a view of an audit.

    Raises
    ------
    BadUsage
        If there is no such view.
    """
    for view in audit.views:
        if view.id == number:
            return view
    raise BadUsage(f"there is no view {number}", advice="look at the sheet as it is now")


def _box_on(sheet: Sheet, box: m.BoxJson) -> Box:
    """Cut a box down to its sheet."""
    drawn = Box.around([box[:2], box[2:]])
    cut = Box(
        max(drawn.x0, 0.0),
        max(drawn.y0, 0.0),
        min(drawn.x1, sheet.width),
        min(drawn.y1, sheet.height),
    )
    if cut.x1 - cut.x0 < LEAST_SIDE or cut.y1 - cut.y0 < LEAST_SIDE:
        raise BadUsage("the box is too small", advice="draw it around the whole view")
    return cut


def _length(text: str, *, unit: Unit | None) -> Length | None:
    if not text.strip():
        return None
    length = acting.type_length(text.strip(), unit=unit)
    if length.unit is Unit.DEG:
        raise BadUsage(f"'{text}' is an angle", advice=NO_ANGLE)
    return length


def _angle(text: str) -> Length:
    if not text.strip():
        return Length(Fraction(1), Unit.DEG)
    length = acting.type_length(text.strip(), unit=Unit.DEG)
    if length.unit is not Unit.DEG:
        raise BadUsage(f"'{text}' is no angle", advice="write 1° or 0.5°")
    return length
