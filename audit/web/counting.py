"""Counting alike things on the map of a sheet."""

from __future__ import annotations

from fastapi import APIRouter

from audit.geometry import Box, Transform
from audit.pipeline import lookup
from audit.pipeline.counting import printed_count
from audit.pipeline.lookup import view_at
from audit.records import Audit, Sheet
from audit.snapping.alike import find_alike
from audit.web import sheet_models as v
from audit.web.boxes import box_in
from audit.web.looks import At
from audit.web.plans import Plans

MOST_PX = 24e6  # of the searched level; above this a coarser one does
LEAST_SIDE_PX = 14.0  # of the example at that level: smaller ones all look alike


router = APIRouter()


@router.post("/api/sheets/{number}/alike")
def find_alike_places(desk: At, number: int, wanted: v.AskAlike) -> v.FoundAlike:
    """Find what looks like the one a box was drawn around, turned or a little larger too."""
    audit = desk.file.load()
    sheet = lookup.find_sheet(audit, number)
    box = box_in(sheet, wanted.box)
    hits = find_hits(desk.plans, sheet, box, audit=audit, wanted=wanted)
    printed, text = printed_count(audit, sheet, [box, *(_around(h, box) for h in hits)])
    return v.FoundAlike(hits=hits, printed=printed, printed_text=text)


def _around(hit: v.AlikeJson, example: Box) -> Box:
    """Return the box of a find, as large as the example."""
    x, y = hit.centre
    w, h = example.width / 2, example.height / 2
    return Box(x - w, y - h, x + w, y + h)


def find_hits(
    plans: Plans, sheet: Sheet, example: Box, *, audit: Audit, wanted: v.AskAlike
) -> tuple[v.AlikeJson, ...]:
    """Find what looks like an example, in its view or on the whole sheet.

    Parameters
    ----------
    plans : Plans
    sheet : Sheet
    example : Box
        Sheet frame.
    audit : Audit
        For the views.
    wanted : AskAlike

    Returns
    -------
    tuple of AlikeJson
        Best first, sheet frame.
    """
    to_map = plans.map_of(sheet).from_frame
    levels = plans.pyramid(sheet).levels
    on_map = Box.around([to_map.apply(c) for c in example.corners])
    level = 0
    while (
        level + 1 < len(levels)
        and levels[level].size > MOST_PX
        and min(on_map.width, on_map.height) / 2 ** (level + 1) >= LEAST_SIDE_PX
    ):
        level += 1
    to_level = to_map.then(Transform.scaling(0.5**level))
    box = Box.around([to_level.apply(c) for c in example.corners])
    where = None if wanted.whole_sheet else _view_box(audit, sheet, example, to_level)
    found = find_alike(levels[level], box, where=where, turned=wanted.turned)
    back = to_level.inverse()
    return tuple(
        v.AlikeJson(centre=back.apply(f.centre), angle=f.angle, scale=f.scale, score=f.score)
        for f in found
    )


def _view_box(audit: Audit, sheet: Sheet, example: Box, to_level: Transform) -> Box | None:
    number = view_at(audit, sheet, example.centre)
    for view in audit.views:
        if view.id == number and view.box.contains(example.centre):
            return Box.around([to_level.apply(c) for c in view.box.corners])
    return None
