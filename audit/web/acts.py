"""Calls that act: add a plan, give a known size, place, move, type, decide, undo."""

from __future__ import annotations

import tempfile
import unicodedata
from pathlib import Path
from typing import Annotated

import anyio
from fastapi import APIRouter, Query, Request

from audit.errors import BadUsage, TooLarge, one_line
from audit.geometry import Box, Point
from audit.isolation import Limits
from audit.lengths import Unit
from audit.pipeline import acting, lookup
from audit.pipeline.same_lines import find_printed_twin
from audit.records import Dimension, DimensionKind, Verdict
from audit.store import (
    AddDimension,
    AddKnownSize,
    CorrectReading,
    Decide,
    MoveEnds,
    RemoveDimension,
    RemoveKnownSize,
    SetAside,
    SetDimensionTolerance,
    SetVerdict,
    WithdrawDecision,
)
from audit.web import counting, link_acts, piece_acts, sheet_acts, sum_acts
from audit.web import models as m
from audit.web.deciding import make_decision
from audit.web.desk import Desk
from audit.web.looks import At, SeenRevision
from audit.web.showing import show_row

router = APIRouter()
for more in (sum_acts, link_acts, sheet_acts, piece_acts, counting):
    router.include_router(more.router)
NAME_LENGTH = 120
OPENED = "C106"  # a chain that what was decided opens


@router.post("/api/plans", status_code=201)
async def add_plan(
    desk: At, request: Request, name: Annotated[str, Query(min_length=1, max_length=400)]
) -> m.AddedJson:
    """Take a plan file in: its bytes are the body. What is on it is looked for afterwards."""
    label = safe_name(name)
    with tempfile.TemporaryDirectory(prefix="plan-audit-") as folder:
        place = Path(folder) / f"plan{safe_suffix(label)}"
        await _receive(request, place, limit=Limits().file_bytes, name=label)
        sheets = await anyio.to_thread.run_sync(desk.add_plan, place, label)
    revision = await anyio.to_thread.run_sync(lambda: desk.file.revision)
    return m.AddedJson(revision=revision, sheets=sheets)


def safe_name(name: str) -> str:
    """Make a label of a client's file name: its last part, printable, not too long."""
    last = one_line(unicodedata.normalize("NFC", name)).replace("\\", "/").rpartition("/")[2]
    last = last.strip(". ") or "plan"
    stem, dot, suffix = last.rpartition(".")
    if len(last) <= NAME_LENGTH:
        return last
    return f"{stem[:NAME_LENGTH]}{dot}{suffix[:8]}" if dot else last[:NAME_LENGTH]


def safe_suffix(name: str) -> str:
    """Return the suffix of a name, when it is a plain one."""
    suffix = Path(name).suffix.lower()
    plain = suffix[1:].isascii() and suffix[1:].isalnum()
    return suffix if plain and len(suffix) <= 6 else ""


async def _receive(request: Request, place: Path, *, limit: int, name: str) -> None:
    got = 0
    async with await anyio.open_file(place, "wb") as stream:
        async for chunk in request.stream():
            got += len(chunk)
            if got > limit:
                problem = f"{name} is larger than {limit // 2**20} MiB"
                raise TooLarge(problem, advice="scan it at a lower resolution, or split it")
            await stream.write(chunk)


@router.delete("/api/search")
def stop_search(desk: At) -> m.DoneJson:
    """Stop looking for dimensions; what is confirmed stays."""
    desk.stop_looking()
    return m.DoneJson(revision=desk.file.revision)


@router.post("/api/sheets/{number}/search", status_code=202)
def start_search(desk: At, number: int) -> m.DoneJson:
    """Look through the file of a sheet again; what a person did stays."""
    sheet = desk.sheet(number)
    desk.look_for(sheet.digest, sheet.source)
    return m.DoneJson(revision=desk.file.revision)


def _placing(
    sheet: int, kind: DimensionKind, wanted: m.Placed | m.MovePoints, text: str = ""
) -> acting.Placing:
    points = tuple(Point(x, y) for x, y in wanted.points)
    free = frozenset(wanted.free)
    return acting.Placing(sheet=sheet, kind=kind, points=points, free=free, text=text)


@router.post("/api/known-sizes", status_code=201)
def add_known_size(desk: At, wanted: m.AddKnown) -> m.DoneJson:
    """Give a known size: two places and the true length between them."""
    audit = desk.at(wanted.revision)
    placing = _placing(wanted.sheet, DimensionKind.DISTANCE, wanted)
    sheet = lookup.find_sheet(audit, wanted.sheet)
    acting.check_placing(placing, sheet)
    known = acting.make_known(desk.plans.ground(sheet), audit, placing, wanted.length)
    return m.DoneJson(revision=desk.record(AddKnownSize(known=known), revision=wanted.revision))


@router.delete("/api/known-sizes/{number}")
def remove_known_size(desk: At, number: int, revision: SeenRevision) -> m.DoneJson:
    """Take a known size away."""
    known = desk.at(revision).known_sizes
    if not 0 <= number < len(known):
        raise BadUsage(f"there is no known size {number}", advice="look at the sheet as it is now")
    return m.DoneJson(revision=desk.record(RemoveKnownSize(known=known[number]), revision=revision))


@router.post("/api/dimensions", status_code=201)
def add_dimension(desk: At, wanted: m.AddDimension) -> m.DoneJson:
    """Place a dimension; the text beside it is read. One that is there already is only named."""
    audit = desk.at(wanted.revision)
    sheet = lookup.find_sheet(audit, wanted.sheet)
    placing = _placing(sheet.id, wanted.kind, wanted, wanted.text)
    acting.check_placing(placing, sheet)
    made, twin = acting.make_dimension(desk.plans.ground(sheet), audit, placing)
    if twin is not None:
        says = f"this is dimension {twin.id} already"
        row = show_row(audit, twin.id)
        return m.DoneJson(revision=wanted.revision, key=f"d{twin.id}", row=row, says=says)
    number = desk.file.snapshot().next_number
    own = [d for d in audit.dimensions if d.sheet == sheet.id]
    printed = find_printed_twin(made, own, sheet)
    revision = desk.record(AddDimension(dimension=made), revision=wanted.revision)
    return _done(desk, number, revision, _say_printed_twin(printed))


def _say_printed_twin(printed: Dimension | None) -> str:
    if printed is None or printed.reading is None:
        return ""
    return (
        f"Between these lines {printed.reading.text} is printed (dimension {printed.id}): "
        "Same as makes the two one"
    )


@router.delete("/api/dimensions/{number}")
def remove_dimension(desk: At, number: int, revision: SeenRevision) -> m.DoneJson:
    """Take away a dimension that was placed by hand."""
    return m.DoneJson(revision=desk.record(RemoveDimension(dimension=number), revision=revision))


@router.put("/api/dimensions/{number}/points")
def move_points(desk: At, number: int, wanted: m.MovePoints) -> m.DoneJson:
    """Put the points of a dimension somewhere else."""
    audit = desk.at(wanted.revision)
    dimension = lookup.find_dimension(audit, number)
    sheet = lookup.find_sheet(audit, dimension.sheet)
    kind = dimension.kind if dimension.kind in acting.PLACEABLE else DimensionKind.DISTANCE
    placing = _placing(sheet.id, kind, wanted)
    acting.check_placing(placing, sheet)
    ends, _, _ = acting.place_ends(desk.plans.ground(sheet), sheet, placing)
    entry = MoveEnds(dimension=number, ends=ends, line=tuple(end.point for end in ends))
    return _done(desk, number, desk.record(entry, revision=wanted.revision))


@router.put("/api/dimensions/{number}/reading")
def type_reading(desk: At, number: int, wanted: m.TypeReading) -> m.DoneJson:
    """Confirm or retype what is printed; null: nothing is."""
    audit = desk.at(wanted.revision)
    dimension = lookup.find_dimension(audit, number)
    text = (wanted.text or "").strip()
    reading = acting.type_reading(audit, dimension, text) if text else None
    entry = CorrectReading(dimension=number, reading=reading)
    return _done(desk, number, desk.record(entry, revision=wanted.revision))


@router.put("/api/dimensions/{number}/decision")
def decide(desk: At, number: int, wanted: m.MakeDecision) -> m.DoneJson:
    """Choose what to build to."""
    audit = desk.at(wanted.revision)
    decision = make_decision(audit, lookup.find_dimension(audit, number), wanted)
    revision = desk.record(Decide(decision=decision), revision=wanted.revision)
    opened = [
        f.text for f in desk.file.load().findings if f.code == OPENED and number in f.dimensions
    ]
    return _done(desk, number, revision, says=opened[0] if opened else "")


@router.delete("/api/dimensions/{number}/decision")
def withdraw(desk: At, number: int, revision: SeenRevision) -> m.DoneJson:
    """Take a decision back."""
    return _done(desk, number, desk.record(WithdrawDecision(dimension=number), revision=revision))


@router.put("/api/dimensions/{number}/standing")
def set_standing(desk: At, number: int, wanted: m.SetStanding) -> m.DoneJson:
    """Say that a dimension is not critical, or none at all, or judge it like any other."""
    verdict = None if wanted.standing == "judged" else Verdict(wanted.standing)
    entry = SetVerdict(dimension=number, verdict=verdict, reason=wanted.reason)
    return _done(desk, number, desk.record(entry, revision=wanted.revision))


@router.put("/api/dimensions/{number}/tolerance")
def set_tolerance(desk: At, number: int, wanted: m.SetTolerance) -> m.DoneJson:
    """Give one dimension a tolerance of its own, or take it away."""
    audit = desk.at(wanted.revision)
    dimension = lookup.find_dimension(audit, number)
    text = (wanted.tolerance or "").strip()
    is_angle = dimension.kind is DimensionKind.ANGLE
    unit = Unit.DEG if is_angle else lookup.unit_of(audit, dimension.sheet)
    tolerance = acting.type_length(text, unit=unit) if text else None
    if tolerance is not None and (tolerance.unit is Unit.DEG) != is_angle:
        raise BadUsage(
            f"'{text}' does not fit this dimension", advice="write 1/64 in, 0.5 mm or 1°"
        )
    entry = SetDimensionTolerance(dimension=number, tolerance=tolerance)
    return _done(desk, number, desk.record(entry, revision=wanted.revision))


@router.put("/api/texts/aside")
def put_aside(desk: At, wanted: m.PutAside) -> m.DoneJson:
    """Say that a text needs no check, and why."""
    if not wanted.why.strip():
        raise BadUsage("no reason is given", advice="say why this text needs no check")
    box = Box.around([wanted.box[:2], wanted.box[2:]])
    entry = SetAside(sheet=wanted.sheet, box=box, text=wanted.text, why=wanted.why.strip())
    return m.DoneJson(revision=desk.record(entry, revision=wanted.revision))


@router.post("/api/undo")
def undo(desk: At, wanted: m.Seen) -> m.DoneJson:
    """Take back the last thing a person did."""
    return m.DoneJson(revision=desk.undo(revision=wanted.revision))


@router.post("/api/redo")
def redo(desk: At, wanted: m.Seen) -> m.DoneJson:
    """Do again what was undone last."""
    return m.DoneJson(revision=desk.redo(revision=wanted.revision))


def _done(desk: Desk, number: int, revision: int, says: str = "") -> m.DoneJson:
    row = show_row(desk.file.load(), number)
    return m.DoneJson(revision=revision, key=f"d{number}", row=row, says=says)
