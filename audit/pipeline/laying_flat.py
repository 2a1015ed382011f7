"""Photos made metric before anything is looked for on them, and what is told of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.errors import BadPlace, BadUsage, one_line
from audit.records import CODES, Finding, Frame, Place, Sheet, UserSet
from audit.sheets import KnownRectangle, LoadedPlan
from audit.sheets.border import Border, BorderKind, NoBorder, find_border
from audit.sheets.papers import Paper, find_paper
from audit.sheets.photo import (
    Flattened,
    flatten_by_corners,
    flatten_by_paper,
    propose_papers,
    shape_of_border,
)
from audit.sheets.rectify import rectify

CORNER_SIGMA_PX = 1.5  # a corner clicked by hand at 1:1; common practice, no source
CORNER_SIGMA_PT = 0.3
GIVE_CORNERS = "give its four corners with --rectangle"
PAPER_FORM = '"a4" or "a4 @ 3"'
_PAPER = re.compile(r"\s*([^@]+?)\s*(?:@\s*(?:sheet\s*)?(\d{1,6})\s*)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class GivenPaper:
    """The size of the paper of one photo, or (sheet 0) of all."""

    paper: Paper
    sheet: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidFlat:
    """A sheet as it will be looked at, and what to tell of how it came to lie."""

    sheet: Sheet
    findings: tuple[Finding, ...] = ()


def parse_paper(text: str) -> GivenPaper:
    """Read a paper as typed: a name, and the sheet it is for.

    Raises
    ------
    BadUsage
        If no paper is called that, or the text has another form.

    Examples
    --------
    >>> parse_paper("Letter @ 2").sheet, parse_paper("a3").paper.name
    (2, 'A3')
    """
    found = _PAPER.fullmatch(text)
    if found is None:
        raise BadUsage(f"'{one_line(text)}' is no paper", advice=f"write it as {PAPER_FORM}")
    return GivenPaper(find_paper(found.group(1)), int(found.group(2) or 0))


def lay_flat(
    plan: LoadedPlan,
    sheet: Sheet,
    *,
    rectangles: Sequence[KnownRectangle] = (),
    papers: Sequence[GivenPaper] = (),
) -> LaidFlat:
    """Fix how a sheet lies on its paper: as given, else by what is found on a photo.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
    rectangles : sequence of KnownRectangle
        Of any sheets; the last one of this sheet counts.
    papers : sequence of GivenPaper

    Returns
    -------
    LaidFlat

    Raises
    ------
    BadPlace
        If a given rectangle makes no sense, or the edge of a given paper is not found.
    """
    mine = [r for r in rectangles if r.sheet == sheet.id]
    if mine:
        return _by_rectangle(plan, sheet, mine[-1])
    given = _paper_of(sheet, papers)
    if given is not None:
        return _by_paper(plan, sheet, given)
    if sheet.frame is Frame.PX and not sheet.paper_known and UserSet.PAPER not in sheet.user_set:
        return _by_itself(plan, sheet)
    return LaidFlat(sheet=sheet)


def _paper_of(sheet: Sheet, papers: Sequence[GivenPaper]) -> Paper | None:
    named = [p.paper for p in papers if p.sheet == sheet.id]
    if named:
        return named[-1]
    general = [p.paper for p in papers if p.sheet == 0]
    open_photo = sheet.frame is Frame.PX and not sheet.paper_known
    return general[-1] if general and open_photo else None


def _by_rectangle(plan: LoadedPlan, sheet: Sheet, given: KnownRectangle) -> LaidFlat:
    size = (given.width, given.height)
    if sheet.frame is Frame.PT:
        flat = rectify(sheet, given.corners, *size, sigma=CORNER_SIGMA_PT)
        return LaidFlat(sheet=_set_by_user(flat))
    gray = plan.gray(sheet).pixels
    done = flatten_by_corners(sheet, gray, given.corners, size, sigma=CORNER_SIGMA_PX)
    told = (_tell(sheet, done, "the sides of the given rectangle"),) if done.seen else ()
    return LaidFlat(sheet=_set_by_user(done.sheet), findings=told)


def _by_paper(plan: LoadedPlan, sheet: Sheet, paper: Paper) -> LaidFlat:
    if sheet.frame is not Frame.PX:
        raise BadPlace(f"{sheet.name} is no photo", advice="its paper is known from its file")
    border = find_border(plan.gray(sheet).pixels)
    if isinstance(border, NoBorder):
        problem = f"the edge of the paper was not found on {sheet.name}: {border.reason}"
        raise BadPlace(problem, advice=GIVE_CORNERS)
    if border.kind is not BorderKind.PAPER or paper not in propose_papers(
        shape_of_border(sheet, border)
    ):
        problem = f"what was found on {sheet.name} has not the shape of {paper.name}"
        raise BadPlace(problem, advice=GIVE_CORNERS)
    done = flatten_by_paper(sheet, border, paper)
    doubt = f" It may be another rectangle: {border.doubt}." if border.doubt else ""
    told = _tell(sheet, done, f"{border.kind}, found by itself and taken as {paper.name}", doubt)
    return LaidFlat(sheet=_set_by_user(done.sheet), findings=(told,))


def _by_itself(plan: LoadedPlan, sheet: Sheet) -> LaidFlat:
    """Use the edge of the paper only where it is sure, and say so."""
    border = find_border(plan.gray(sheet).pixels)
    if isinstance(border, NoBorder) or border.kind is not BorderKind.PAPER:
        return LaidFlat(sheet=sheet)
    papers = propose_papers(shape_of_border(sheet, border))
    shapes = {round(p.shape, 2) for p in papers}
    if not border.sure or len(shapes) != 1:
        return LaidFlat(sheet=sheet, findings=(_propose(sheet, border, papers),))
    done = flatten_by_paper(sheet, border, papers[0])
    names = " or ".join(p.name for p in papers[:2])
    doubt = (
        f" How large the paper is the photo does not tell: say --paper {papers[0].name.lower()} "
        f"if it is {papers[0].name}, or give a known size."
    )
    told = _tell(
        sheet, done, f"{border.kind}, found by itself; its shape is that of {names}", doubt
    )
    guessed = replace(done.sheet, paper_known=False)
    return LaidFlat(sheet=guessed, findings=(told,))


def _set_by_user(sheet: Sheet) -> Sheet:
    return replace(sheet, user_set=sheet.user_set | {UserSet.PAPER})


def _tell(sheet: Sheet, done: Flattened, by: str, doubt: str = "") -> Finding:
    lens = done.lens.lens
    bent = (
        "The lens bends no line measurably."
        if lens is None
        else f"The lens is corrected: lines bent by {done.lens.before:.1f} px are straight to "
        f"{done.lens.after:.1f} px."
    )
    left = (
        f" Along the sides {done.residuals.rms_mm:.2f} mm is left (rms), at most "
        f"{done.curl_mm:.2f} mm."
    )
    curl = (
        " The paper does not lie flat there: weigh it down and photograph it again, or trust "
        "sizes near that side less."
        if done.is_curled
        else ""
    )
    text = f"{sheet.name} was made flat by {by}. {bent}{left}{curl}{doubt}"
    return _note("D106", text, sheet)


def _propose(sheet: Sheet, border: Border, papers: Sequence[Paper]) -> Finding:
    places = " ".join(f"{c.x:.0f},{c.y:.0f}" for c in border.corners)
    shape = (
        f"shaped like {' or '.join(p.name for p in papers[:3])}" if papers else "of no usual size"
    )
    why = border.doubt or "its shape fits several papers"
    text = (
        f"A sheet {shape} was found on {sheet.name} at {places}, but not surely ({why}). "
        "It was not used: say --paper, or give its corners with --rectangle."
    )
    return _note("D107", text, sheet)


def _note(code: str, text: str, sheet: Sheet) -> Finding:
    return Finding(
        id=0,
        code=code,
        severity=CODES[code].severity,
        places=(Place(sheet=sheet.id, box=sheet.box),),
        text=text,
    )
