"""Calls that look: the audit, sheets, tiles, snaps, crops, downloads, the stream of events."""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Annotated, Any

import cv2
import numpy as np
from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import Response
from sse_starlette.sse import EventSourceResponse

from audit.errors import BadPlace
from audit.geometry import Box, Point
from audit.pipeline.acting import snap_at
from audit.pipeline.lookup import find_sheet
from audit.pipeline.marking import mark_up_audit
from audit.report import to_csv, to_markdown, to_result, write_json
from audit.store import open_audit
from audit.web import models as m
from audit.web.desk import Desk
from audit.web.showing import show_overview, show_sheet

router = APIRouter()
WATCH_S = 2.0  # how often the file is looked at for changes by other programs
CROP_SIDE = 4000.0  # sheet frame units; a longer text is no text
FOREVER = {"Cache-Control": "private, max-age=31536000, immutable"}
PNG: dict[int | str, dict[str, Any]] = {
    200: {"content": {"image/png": {}}, "description": "a picture"}
}
SeenRevision = Annotated[int, Query(ge=0, description="the revision that was seen")]
Number = Annotated[float, Query(allow_inf_nan=False)]


def the_desk(request: Request) -> Desk:
    """Return the open audit."""
    desk: Desk = request.app.state.desk
    return desk


At = Annotated[Desk, Depends(the_desk)]


@router.get("/api/audit")
def get_audit(desk: At) -> m.OverviewJson:
    """Return the audit as a whole: its sheets, coverage, what can be undone."""
    return show_overview(desk.snapshot(), desk.busy)


@router.get("/api/sheets/{number}")
def get_sheet(desk: At, number: int) -> m.SheetJson:
    """Return one sheet: its ledger, marks, coverage, chains and how it lies on its map."""
    snapshot = desk.snapshot()
    sheet = find_sheet(snapshot.audit, number)
    sheet_map = desk.plans.map_of(sheet)
    return show_sheet(snapshot, sheet, sheet_map=sheet_map, ink=desk.plans.ink(sheet))


@router.get("/api/sheets/{number}/tiles/{zoom}/{column}/{row}", responses=PNG)
def get_tile(desk: At, number: int, zoom: int, column: int, row: int) -> Response:
    """Return one tile of a sheet's map: 256 px a side, and one more to overlap."""
    data = desk.plans.tile(desk.page(number), zoom=zoom, column=column, row=row)
    return Response(data, media_type="image/png", headers=FOREVER)


@router.get("/api/sheets/{number}/snap")
def get_snap(desk: At, number: int, x: Number, y: Number, reach: Number = 8.0) -> m.SnapJson:
    """Tell where a point near a place will be put, and on what; sheet frame units."""
    sheet = desk.sheet(number)
    if not sheet.box.grown(abs(reach)).contains((x, y)):
        raise BadPlace("the place lies outside the sheet", advice="point at the sheet")
    snap = snap_at(desk.plans.ground(sheet), Point(x, y), reach=abs(reach))
    return m.SnapJson(
        point=snap.point, kind=snap.kind.value, sigma=snap.sigma, sigma_px=snap.sigma_px
    )


@router.get("/api/sheets/{number}/crop", responses=PNG)
def get_crop(  # noqa: PLR0917  # each is a part of the address
    desk: At, number: int, x0: Number, y0: Number, x1: Number, y1: Number, angle: Number = 0.0
) -> Response:
    """Return a piece of a sheet, turned so that its text runs from left to right."""
    sheet = desk.sheet(number)
    box = Box.around([(x0, y0), (x1, y1)])
    if not 0 < box.width <= CROP_SIDE or not 0 < box.height <= CROP_SIDE:
        raise BadPlace("the piece is empty or too large", advice="give a box around one text")
    pixels = desk.plans.crop(sheet, box, angle=angle)
    _, data = cv2.imencode(".png", np.ascontiguousarray(pixels))
    return Response(data.tobytes(), media_type="image/png", headers=FOREVER)


@router.get("/api/marked-up.pdf", responses={200: {"content": {"application/pdf": {}}}})
def get_markup(desk: At) -> Response:
    """Return the marked-up PDF of the audit as it is now."""
    with tempfile.TemporaryDirectory(prefix="plan-audit-") as folder:
        target = Path(folder) / "marked.pdf"
        with open_audit(desk.file.path, read_only=True) as file:
            mark_up_audit(file, target)
        return _download(target.read_bytes(), "application/pdf", desk, "-marked.pdf")


@router.get("/api/table.csv", responses={200: {"content": {"text/csv": {}}}})
def get_csv(desk: At) -> Response:
    """Return the ledger as CSV."""
    text = to_csv(desk.file.load())
    return _download(text.encode(), "text/csv; charset=utf-8", desk, ".csv")


@router.get("/api/table.md", responses={200: {"content": {"text/markdown": {}}}})
def get_markdown(desk: At) -> Response:
    """Return the ledger as Markdown."""
    text = to_markdown(desk.file.load())
    return _download(text.encode(), "text/markdown; charset=utf-8", desk, ".md")


@router.get("/api/result.json", responses={200: {"content": {"application/json": {}}}})
def get_result(desk: At) -> Response:
    """Return the result JSON, version 1, as `plan-audit check --json` writes it."""
    text = write_json(to_result(desk.file.load()))
    return _download(text.encode(), "application/json", desk, ".json")


def _download(data: bytes, kind: str, desk: Desk, ending: str) -> Response:
    stem = "".join(c if c.isalnum() and c.isascii() else "-" for c in desk.file.path.stem)
    headers = {"Content-Disposition": f'attachment; filename="{stem}{ending}"'}
    return Response(data, media_type=kind, headers=headers)


@router.get("/api/events", responses={200: {"content": {"text/event-stream": {}}}})
async def get_events(desk: At) -> EventSourceResponse:
    """Stream what happens: `revision`, `progress`, `trouble`, as server-sent events."""
    return EventSourceResponse(_events(desk), ping=15)


async def _events(desk: Desk) -> AsyncIterator[dict[str, str]]:
    watch = asyncio.create_task(_watch(desk))
    try:
        yield {"event": "hello", "data": "{}"}
        async for message in desk.bell.listen():
            yield {"event": message.event, "data": message.data}
    finally:
        watch.cancel()


async def _watch(desk: Desk) -> None:
    """Ring when another program has changed the audit."""
    seen = await asyncio.to_thread(lambda: desk.file.revision)
    while True:
        await asyncio.sleep(WATCH_S)
        now = await asyncio.to_thread(lambda: desk.file.revision)
        if now != seen:
            desk.bell.ring("revision", revision=now)
            seen = now
