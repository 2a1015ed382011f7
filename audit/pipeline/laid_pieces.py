"""The pieces a person laid on the drawing, as blocks of the shop sheet."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.errors import AuditError
from audit.geometry import Box
from audit.lengths import Unit
from audit.pipeline.cropping import cut_crop
from audit.pipeline.laying import Laid, LaidEdge, lay_piece
from audit.pipeline.lookup import unit_of
from audit.pipeline.placing import prepare_ground
from audit.pipeline.unpacking import OpenedAudit
from audit.records import Block, Crop, Heading, LaidPiece, Paragraph, SideBySide, View
from audit.report.laid import say_edge, spell_piece
from audit.report.naming import name_views
from audit.report.seen import see_page
from audit.scale import measure_folds

ROOM = 0.35  # around a piece, of its longer side: what it lies on is to be seen
STROKE_PX, HALO_PX = 2, 5
SHADE = 0.82  # of the brightness that is left inside the piece


def laid_blocks(opened: OpenedAudit) -> tuple[Block, ...]:
    """Compose what there is to see of the pieces that were laid on the drawing and kept.

    Parameters
    ----------
    opened : OpenedAudit

    Returns
    -------
    tuple of Block
        Nothing where none was.
    """
    views = {view.id: view for view in opened.audit.views}
    pieces = [(p, views[p.view]) for p in opened.audit.pieces if p.view in views]
    if not pieces:
        return ()
    return (
        Heading(text="Pieces laid on the drawing", aside="over or short of each drawn edge"),
        Paragraph(
            text="A first piece cut, or a piece of stock, laid on its view in its real size. Lay "
            "the real one on the paper too before you trust a number here.",
            soft=True,
        ),
        *(_block(opened, piece, view) for piece, view in pieces),
    )


def _block(opened: OpenedAudit, piece: LaidPiece, view: View) -> Block:
    head = f"{piece.name}: {spell_piece(piece)} on {name_views(opened.audit)[view.id]}"
    place = f"{head} (sheet {piece.sheet})"
    try:
        laid = _lay(opened, piece, view)
    except AuditError as error:  # the view may have lost its scale since
        return SideBySide(head=place, crop=None, facts=(("not laid", error.problem),), tick=True)
    unit = unit_of(opened.audit, piece.sheet) or piece.width.unit
    facts = [(e.side, _say(e, unit)) for e in laid.edges]
    if piece.angle:
        facts.append(("turned", f"{piece.angle:g}°"))
    return SideBySide(head=place, crop=_crop(opened, piece, laid), facts=tuple(facts), tick=True)


def _say(edge: LaidEdge, unit: Unit) -> str:
    return say_edge(edge.over, edge.expanded, unit, across_fold=edge.across_fold)[1]


def _lay(opened: OpenedAudit, piece: LaidPiece, view: View) -> Laid:
    sheet = next(s for s in opened.audit.sheets if s.id == piece.sheet)
    there = opened.sheet(piece.sheet)
    ground = prepare_ground(opened.plan, replace(sheet, id=there.id))
    sheet = measure_folds(sheet, opened.audit.known_sizes)
    return lay_piece(ground, piece, sheet=sheet, view=view)


def _crop(opened: OpenedAudit, piece: LaidPiece, laid: Laid) -> Crop | None:
    """Cut out the place and draw the outline of the piece over it."""
    around = Box.around(laid.outline)
    box = around.grown(ROOM * max(around.width, around.height))
    pixels = cut_crop(opened, piece.sheet, box)
    if pixels is None:
        return None
    page = see_page(opened.sheet(piece.sheet))
    seen = page.place_box(box)
    rows, columns = pixels.shape
    places = [
        (
            (place.x - seen.x0) / seen.width * columns - 0.5,
            (place.y - seen.y0) / seen.height * rows - 0.5,
        )
        for place in (page.place(point) for point in laid.outline)
    ]
    return Crop(pixels=_outlined(pixels, np.array(places)))


def _outlined(pixels: NDArray[np.uint8], places: NDArray[np.float64]) -> NDArray[np.uint8]:
    """Shade the piece and draw its outline in a white halo: seen on paper and on ink."""
    line = np.rint(places * 8).astype(np.int32).reshape(-1, 1, 2)
    inside = np.zeros(pixels.shape, np.uint8)
    cv2.fillPoly(inside, [line], 1, shift=3)
    drawn = np.ascontiguousarray(np.where(inside, pixels * SHADE, pixels).astype(np.uint8))
    for width, ink in ((HALO_PX, 255), (STROKE_PX, 90)):
        cv2.polylines(drawn, [line], True, ink, width, cv2.LINE_AA, shift=3)
    return np.asarray(drawn, np.uint8)
