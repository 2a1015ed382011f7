"""Photos made metric before anything is looked for on them, and what is told of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.errors import BadPlace, BadUsage, one_line
from audit.geometry import Box, Point
from audit.pipeline.flattening import lay_by_corners
from audit.records import Finding, Flatness, Frame, Place, Sheet, UserSet
from audit.scale.findings import say
from audit.sheets import KnownRectangle, LoadedPlan
from audit.sheets.beside import grow_to_table
from audit.sheets.border import Border, BorderKind, NoBorder, find_border
from audit.sheets.lean import NoLean
from audit.sheets.papers import Paper, find_paper
from audit.sheets.photo import (
    flatten_by_paper,
    flatten_by_shape,
    flatten_by_strokes,
    propose_papers,
    shape_of_border,
    tell_flatness,
)

GIVE_CORNERS = "give its four corners with --rectangle"
ASKEW_COSINE = 0.02  # a corner 1.1° off square: no scanner shears as much
BESIDE_STROKES = 0.25  # of the larger side of a drawing: texts further off are not of it
PAPER_FORM = '"a4" or "a4 @ 3"'
_PAPER = re.compile(r"\s*([^@]+?)\s*(?:@\s*(?:sheet\s*)?(\d{1,6})\s*)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class GivenPaper:
    """The size of the paper of one photo, or (sheet 0) of all."""

    paper: Paper
    sheet: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidFlat:
    """A sheet as it will be looked at, and what to tell of how it came to lie.

    `choices`: what else it may be, when its sizes must decide (`settle_paper`). `u_stretch`: how
    uncertain ln(x/y) is of a sheet that its own lines made flat (`settle_stretch`).
    """

    sheet: Sheet
    findings: tuple[Finding, ...] = ()
    choices: tuple[PaperChoice, ...] = ()
    u_stretch: float = 0.0

    @property
    def looked_at(self) -> Sheet:
        """The sheet as it is looked at: flat by the likeliest paper where several are left."""
        return self.choices[0].sheet if self.choices else self.sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperChoice:
    """One of several shapes of paper that a found edge may have, and the sheet made flat by it."""

    paper: Paper
    sheet: Sheet
    findings: tuple[Finding, ...]


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
    flat = lay_by_corners(sheet, lambda: plan.gray(sheet).pixels, given.corners, size)
    return LaidFlat(sheet=_set_by_user(flat), findings=_tell(flat))


def _by_paper(plan: LoadedPlan, sheet: Sheet, paper: Paper) -> LaidFlat:
    if sheet.frame is not Frame.PX:
        raise BadPlace(f"{sheet.name} is no photo", advice="its paper is known from its file")
    border = find_border(plan.gray(sheet).pixels)
    if isinstance(border, NoBorder) or not border.sure:
        own = _by_strokes(plan, sheet, unused=paper)
        if isinstance(own, LaidFlat):
            return own
    if isinstance(border, NoBorder):
        problem = f"the edge of the paper was not found on {sheet.name}: {border.reason}"
        raise BadPlace(problem, advice=GIVE_CORNERS)
    if border.kind is not BorderKind.PAPER or paper not in propose_papers(
        shape_of_border(sheet, border)
    ):
        problem = f"what was found on {sheet.name} has not the shape of {paper.name}"
        found = f"a photo that was cropped looks so; found was {_rectangle_at(sheet, border)}"
        advice = f"{GIVE_CORNERS} ({found})"
        raise BadPlace(problem, advice=advice)
    flat = _flat_by_paper(sheet, border, paper, says=f"taken as {paper.name}")
    doubt = f" It may be another rectangle: {border.doubt}." if border.doubt else ""
    return LaidFlat(sheet=_set_by_user(flat), findings=_tell(flat, doubt))


def _flat_by_paper(sheet: Sheet, border: Border, paper: Paper, *, says: str) -> Sheet:
    done = flatten_by_paper(sheet, border, paper)
    flatness = tell_flatness(done, by=f"{border.kind}, found by itself; {says}")
    return replace(done.sheet, flatness=flatness)


def _by_itself(plan: LoadedPlan, sheet: Sheet) -> LaidFlat:
    """Use the edge of the paper only where it is sure, and say so."""
    border = find_border(plan.gray(sheet).pixels)
    if isinstance(border, NoBorder) or border.kind is not BorderKind.PAPER:
        own = _by_strokes(plan, sheet)
        if isinstance(own, LaidFlat):
            return own
        if isinstance(border, NoBorder) or own.level or not _is_askew(border):
            return LaidFlat(sheet=sheet)
        return LaidFlat(sheet=sheet, findings=(_propose_drawn(sheet, border),))
    papers = propose_papers(shape_of_border(sheet, border))
    shapes = _first_of_each_shape(papers)
    choices = tuple(_choose(sheet, border, paper, papers) for paper in shapes if border.sure)
    if len(choices) == 1:
        return LaidFlat(sheet=choices[0].sheet, findings=choices[0].findings)
    proposed = LaidFlat(sheet=sheet, findings=(_propose(sheet, border, papers),))
    if choices:
        return replace(_by_shape(sheet, border, papers), choices=choices)
    own = _by_strokes(plan, sheet, border if border.sure else None)
    if isinstance(own, NoLean) and not own.level:  # a table has strokes of its own
        own = _by_strokes(plan, sheet, within=border.corners)
    return own if isinstance(own, LaidFlat) else proposed


def _by_shape(sheet: Sheet, border: Border, papers: Sequence[Paper]) -> LaidFlat:
    """Lay a photo flat by an edge that papers of several shapes fit, whichever of them it is."""
    flat, shape = flatten_by_shape(sheet, border)
    text = (
        f"{sheet.name} was made flat by {border.kind}, found by itself; it may be "
        f"{' or '.join(p.name for p in papers[:3])}. Which it is, and how large, the photo does "
        "not tell: say --paper, or give a known size."
    )
    u_stretch = shape.u / shape.ratio
    return LaidFlat(sheet=flat, findings=(_note("D106", text, sheet),), u_stretch=u_stretch)


def _by_strokes(
    plan: LoadedPlan,
    sheet: Sheet,
    edge: Border | None = None,
    *,
    unused: Paper | None = None,
    within: Sequence[Point] = (),
) -> LaidFlat | NoLean:
    """Lay a photo flat by the strokes drawn on it, where the edge of its paper does not do it.

    An edge of no usual shape tells at least where the paper is; else the strokes do. `unused`: the
    paper that was named, whose edge is not all seen. `within`: about the strokes that count.
    """
    within = edge.corners if edge is not None else within
    done = flatten_by_strokes(sheet, plan.gray(sheet).pixels, within=within)
    if isinstance(done, NoLean):
        return done
    flat, lean = done
    places = lean.strokes.reshape(-1, 2) if edge is None else np.array(edge.corners)
    box = Box.around([(float(x), float(y)) for x, y in flat.to_paper.apply_many(places)])
    if edge is None:
        most = BESIDE_STROKES * max(box.width, box.height)
        box = grow_to_table(plan.gray(sheet).pixels, flat.to_paper, box, most=most)
    flat = replace(flat, paper_box=box)
    size = (
        "How large the paper is they do not tell: give a known size, or say --paper where all of "
        "its edge is seen."
        if unused is None
        else f"The edge of its paper is not surely seen: that it is {unused.name} was not used, "
        "give a known size."
    )
    text = (
        f"{sheet.name} was made flat by the lines drawn on it: {lean.share:.0%} of them, by their "
        f"length, are level or plumb on the paper. {size}"
    )
    told = (_note("D106", text, sheet),)
    return LaidFlat(sheet=flat, findings=told, u_stretch=lean.u_stretch)


def _first_of_each_shape(papers: Sequence[Paper]) -> tuple[Paper, ...]:
    """Return the likeliest paper of each shape."""
    shapes: dict[float, Paper] = {}
    for paper in papers:
        shapes.setdefault(round(paper.shape, 2), paper)
    return tuple(shapes.values())


def _choose(sheet: Sheet, border: Border, paper: Paper, papers: Sequence[Paper]) -> PaperChoice:
    """Make a photo flat by one paper; how large it is stays a guess."""
    alike = [p.name for p in papers if round(p.shape, 2) == round(paper.shape, 2)]
    doubt = (
        f" How large the paper is the photo does not tell: say --paper {paper.name.lower()} "
        f"if it is {paper.name}, or give a known size."
    )
    flat = _flat_by_paper(
        sheet, border, paper, says=f"its shape is that of {' or '.join(alike[:2])}"
    )
    flat = replace(flat, paper_known=False)
    return PaperChoice(paper=paper, sheet=flat, findings=_tell(flat, doubt))


def _is_askew(border: Border) -> bool:
    """Whether a drawn border is seen as no scanner shows one: not square, or through a lens."""
    corners = np.array(border.corners)
    sides = np.roll(corners, -1, axis=0) - corners
    sides /= np.linalg.norm(sides, axis=1, keepdims=True)
    lean = np.abs((sides * np.roll(sides, -1, axis=0)).sum(axis=1)).max()
    return bool(lean > ASKEW_COSINE) or border.lens.lens is not None


def _places(border: Border) -> str:
    return " ".join(f"{c.x:.0f},{c.y:.0f}" for c in border.corners)


def _rectangle_at(sheet: Sheet, border: Border) -> str:
    """What to type to use a border that was found; its size is for a person to say."""
    return f'--rectangle "W x H @ {sheet.id}:{_places(border)}"'


def _propose_drawn(sheet: Sheet, border: Border) -> Finding:
    text = (
        f"{sheet.name} looks like a photo, and the edge of its paper was not found. A border drawn "
        f"on it was, at {_places(border)}: measure its two sides on the paper and give them, "
        f"{_rectangle_at(sheet, border)}. It was not used."
    )
    return _note("D107", text, sheet)


def _set_by_user(sheet: Sheet) -> Sheet:
    return replace(sheet, user_set=sheet.user_set | {UserSet.PAPER})


def _tell(sheet: Sheet, doubt: str = "") -> tuple[Finding, ...]:
    """Tell how a photo was made flat (D106), where more than its corners was seen."""
    if sheet.flatness is None:
        return ()
    text = f"{sheet.name} was made flat by {sheet.flatness.by}. {say_flatness(sheet.flatness)}"
    return (_note("D106", text + doubt, sheet),)


def say_flatness(flatness: Flatness) -> str:
    """Say what is left of lens and curl after a photo was made flat.

    Examples
    --------
    >>> say_flatness(Flatness(by="", lens_before=0.2, lens_after=0.2, rms_mm=0.04, largest_mm=0.1))
    'The lens bends no line measurably. Along the sides 0.04 mm is left (rms), at most 0.10 mm.'
    """
    bent = (
        "The lens bends no line measurably."
        if flatness.k1 == flatness.k2 == 0.0
        else f"The lens is corrected: lines bent by {flatness.lens_before:.1f} px are straight to "
        f"{flatness.lens_after:.1f} px."
    )
    left = (
        f" Along the sides {flatness.rms_mm:.2f} mm is left (rms), at most "
        f"{flatness.largest_mm:.2f} mm."
    )
    curl = (
        " The paper does not lie flat there: weigh it down and photograph it again, or trust "
        "sizes near that side less."
        if flatness.curled
        else ""
    )
    return f"{bent}{left}{curl}"


def _propose(sheet: Sheet, border: Border, papers: Sequence[Paper]) -> Finding:
    shape = (
        f"shaped like {' or '.join(p.name for p in papers[:3])}" if papers else "of no usual shape"
    )
    fits = "its shape fits several papers" if papers else "a photo that was cropped looks so"
    text = (
        f"A sheet {shape} was found on {sheet.name} at {_places(border)}, but not surely "
        f"({border.doubt or fits}). It was not used, and what is measured here may lean as "
        f"the photo does: {'say --paper, or ' if papers else ''}give its size with its corners, "
        f"{_rectangle_at(sheet, border)}."
    )
    return _note("D107", text, sheet)


def _note(code: str, text: str, sheet: Sheet) -> Finding:
    return say(code, text, places=[Place(sheet=sheet.id, box=sheet.box)])
