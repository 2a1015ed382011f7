"""Errata of an audit file written out, and those of another owner laid onto it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from audit.errors import BadInput, one_line
from audit.geometry import Box, Point, Transform
from audit.pipeline.recognising import (
    AnotherSheet,
    Likeness,
    Registered,
    look_at_sheet_image,
    register,
)
from audit.pipeline.shop import cut_crops
from audit.pipeline.unpacking import OpenedAudit
from audit.records import (
    Audit,
    Booklet,
    Dimension,
    OutsideErrata,
    PageKind,
    Proposal,
    Sheet,
)
from audit.report.errata import list_errata
from audit.report.errata_file import (
    ErrataFile,
    ErrataSheet,
    ErratumJson,
    compose_errata_file,
    pack_likeness,
    read_errata_file,
    unpack_likeness,
)
from audit.report.errata_letter import plan_letter
from audit.report.naming import place_of
from audit.report.tiling import Paper

LOOK_DPI = 150.0  # of drawn pages; pictures are looked at as stored
SAME_PLACE_MM = 2.0  # on the paper; ends of one dimension as two people's tools found them
IDENTICAL = "the same file"
ADVICE = "load it into the audit of the plan it was written for"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    """A sheet of the file on one of ours: the way there, and how it was recognised."""

    ours: Sheet
    to_ours: Transform
    says: str


def write_errata(opened: OpenedAudit) -> str:
    """Compose the errata file of an audit.

    Parameters
    ----------
    opened : OpenedAudit

    Returns
    -------
    str
    """
    errata = list_errata(opened.audit)
    used = {e.sheet for e in errata}
    sheets = [
        _describe(opened, sheet)
        for sheet in opened.audit.sheets
        if sheet.id in used and sheet.id in opened.opened
    ]
    told = {sheet.id for sheet in sheets}
    return compose_errata_file(opened.audit.name, sheets, [e for e in errata if e.sheet in told])


def _describe(opened: OpenedAudit, sheet: Sheet) -> ErrataSheet:
    likeness = _look(opened, sheet)
    return ErrataSheet(
        id=sheet.id,
        name=one_line(sheet.name)[:200],
        page=sheet.page,
        frame=sheet.frame.value,
        width=sheet.width,
        height=sheet.height,
        digest=sheet.digest,
        likeness=pack_likeness(likeness.places, likeness.looks, likeness.per_px),
    )


def _look(opened: OpenedAudit, sheet: Sheet) -> Likeness:
    there = opened.sheet(sheet.id)
    drawn = sheet.kind in (PageKind.VECTOR, PageKind.BOTH, PageKind.EMPTY)
    image = opened.plan.gray(there, dpi=LOOK_DPI if drawn else None)
    return look_at_sheet_image(np.asarray(image.pixels), image.to_frame)


def make_letter(opened: OpenedAudit, paper: Paper) -> Booklet:
    """Compose the letter to the publisher, with a piece of the sheet beside each question."""
    audit = opened.audit
    about = {e.dimension for e in list_errata(audit) if e.dimension is not None}
    crops = cut_crops(opened, [d for d in audit.dimensions if d.id in about])
    by_number = {e.number: crops[e.dimension] for e in list_errata(audit) if e.dimension in crops}
    return plan_letter(audit, paper, crops=by_number)


def lay_errata(opened: OpenedAudit, data: bytes, *, name: str) -> OutsideErrata:
    """Lay the errata of another owner onto the sheets of an audit.

    Parameters
    ----------
    opened : OpenedAudit
    data : bytes
        Of the errata file.
    name : str
        What the file is called.

    Returns
    -------
    OutsideErrata
        Proposals in the frames of this audit's sheets; nothing is decided by them.

    Raises
    ------
    BadInput
        If none of its sheets is a sheet of this audit, or it holds no errata.
    """
    file = read_errata_file(data)
    if not file.errata:
        raise BadInput("this file holds no errata", advice="there is nothing to load")
    laid, refused = _lay_sheets(opened, file)
    if not laid:
        reason = f": {refused[0]}" if refused else ""
        problem = f"these errata are of another plan{reason}"
        raise BadInput(problem, advice=ADVICE)
    proposals = [
        _proposal(one, laid[one.sheet], opened.audit) for one in file.errata if one.sheet in laid
    ]
    return OutsideErrata(
        digest=hashlib.sha256(data).hexdigest(),
        name=one_line(name)[:200],
        proposals=tuple(proposals),
        registered=(*(sheet.says for sheet in laid.values()), *refused),
    )


def _lay_sheets(opened: OpenedAudit, file: ErrataFile) -> tuple[dict[int, _Laid], tuple[str, ...]]:
    """Find ours for every sheet of the file: by its bytes, else by what is printed on it."""
    laid: dict[int, _Laid] = {}
    refused = []
    looks: dict[int, Likeness] = {}
    for theirs in file.sheets:
        same = _same_file(theirs, opened.audit)
        found = same if same is not None else _recognise(theirs, opened, looks)
        if isinstance(found, _Laid):
            laid[theirs.id] = found
        else:
            refused.append(f"their sheet {theirs.id} ({one_line(theirs.name)}) is none of these")
    return laid, tuple(refused)


def _same_file(theirs: ErrataSheet, audit: Audit) -> _Laid | None:
    for sheet in audit.sheets:
        alike = (sheet.page, sheet.frame.value) == (theirs.page, theirs.frame)
        if theirs.digest and sheet.digest == theirs.digest and alike:
            says = f"their sheet {theirs.id} is sheet {sheet.id}: {IDENTICAL}"
            return _Laid(ours=sheet, to_ours=Transform(), says=says)
    return None


def _recognise(
    theirs: ErrataSheet, opened: OpenedAudit, looks: dict[int, Likeness]
) -> _Laid | AnotherSheet:
    places, descriptors = unpack_likeness(theirs.likeness)
    other = Likeness(places=places, looks=descriptors, per_px=theirs.likeness.per_px)
    best: tuple[int, Sheet, Registered] | None = None
    for sheet in opened.audit.sheets:
        if sheet.id not in opened.opened:
            continue
        if sheet.id not in looks:
            looks[sheet.id] = _look(opened, sheet)
        found = register(other, looks[sheet.id])
        if isinstance(found, Registered) and (best is None or found.agreeing > best[0]):
            best = (found.agreeing, sheet, found)
    if best is None:
        return AnotherSheet("it looks otherwise")
    _, sheet, found = best
    off = found.residual * _mm_per_unit(sheet)
    says = (
        f"their sheet {theirs.id} is sheet {sheet.id}: {found.agreeing} of {found.distinct} places "
        f"agree, ± {off:.2g} mm"
    )
    return _Laid(ours=sheet, to_ours=found.to_ours, says=says)


def _mm_per_unit(sheet: Sheet) -> float:
    steps = sheet.to_paper.jacobian(sheet.box.centre)
    return float(np.sqrt(abs(np.linalg.det(steps))))


def _proposal(one: ErratumJson, laid: _Laid, audit: Audit) -> Proposal:
    box = Box.around(laid.to_ours.apply(c) for c in Box(*_sorted(one.box)).corners)
    ends = tuple(laid.to_ours.apply(Point(*end)) for end in one.ends)
    match = _match(ends, laid.ours, audit)
    return Proposal(
        sheet=laid.ours.id,
        box=box if match is None else place_of(match),
        dimension=None if match is None else match.id,
        code=one.code,
        severity=one.severity,
        text=one_line(one.text),
        printed=one_line(one.printed),
        suggestion=one_line(one.suggestion),
        decided=None if one.decided is None else one.decided.to_length(),
        reason=one_line(one.reason),
        hold=one.hold,
        cut=one.cut,
        cut_note=one_line(one.cut_note),
    )


def _sorted(box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = box
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _match(ends: Sequence[Point], sheet: Sheet, audit: Audit) -> Dimension | None:
    """Find our dimension whose ends lie where theirs were laid."""
    reach = SAME_PLACE_MM / max(_mm_per_unit(sheet), 1e-9)
    near = []
    for dimension in audit.dimensions:
        mine = [end.point for end in dimension.ends]
        if dimension.sheet != sheet.id or len(mine) != len(ends) or not ends:
            continue
        off = min(
            max(a.distance(b) for a, b in zip(mine, order, strict=True))
            for order in (list(ends), list(ends)[::-1])
        )
        if off <= reach:
            near.append((off, dimension.id, dimension))
    return min(near)[2] if near else None
