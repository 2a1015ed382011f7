"""One sheet: found, placed, scaled and judged."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.checks import Judged, account_for, doubt_breaks, judge
from audit.dimensions import find_dimensions
from audit.lengths import Unit
from audit.networks.at_once import Beside
from audit.pipeline.abutting import doubt_abutting
from audit.pipeline.crowding import (
    MOST_DIMENSIONS,
    Crowd,
    tell_crowded,
    tell_too_many,
    thin_out,
)
from audit.pipeline.framed import strokes_and_circles
from audit.pipeline.gridded import measure_grid, stated_square
from audit.pipeline.lettered_names import name_by_lettering
from audit.pipeline.numbering import number_dimensions
from audit.pipeline.page_kinds import is_outlined, is_picture_page
from audit.pipeline.placing import SnapGround, join_known, place_rows, prepare_ground, snap_known
from audit.pipeline.repeats import count_repeats
from audit.pipeline.shared_lines import doubt_shared_lines
from audit.pipeline.stepped_holes import doubt_stepped_holes
from audit.pipeline.texts import (
    SheetUnit,
    collect_statements,
    collect_texts,
    find_unit,
    surely_read,
    with_unit,
)
from audit.pipeline.unit_and_scale import (
    InUnit,
    is_likely,
    scale_as_likely,
    scale_in_likelier_unit,
    tell_counted,
    tell_other_unit,
)
from audit.pipeline.viewing import give_views
from audit.pipeline.witnessing import witness_texts
from audit.pipeline.written import join_written
from audit.reading import TextLine, join_texts
from audit.records import (
    Dimension,
    Finding,
    KnownSize,
    PageKind,
    Place,
    Reading,
    Settings,
    Sheet,
    SheetText,
    Statement,
    VectorPage,
    View,
)
from audit.scale import ScaledSheet, fix_scales
from audit.scale.findings import say
from audit.sheets import LoadedPlan, PointRow

log = logging.getLogger(__name__)

LARGE_PICTURE = 0.04  # of the page: smaller pictures are logos
UNDERLAY = 0.8  # of the page: a larger picture under drawn lines is texture, not what is measured


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundSheet:
    """What is on a sheet, before any scale: the result of looking, not of judging."""

    sheet: Sheet
    views: tuple[View, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    statements: tuple[Statement, ...] = ()
    texts: tuple[SheetText, ...] = ()
    known_sizes: tuple[KnownSize, ...] = ()
    findings: tuple[Finding, ...] = ()
    unit: SheetUnit = SheetUnit(None, "nothing was read")  # noqa: RUF009  # frozen


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedSheet:
    """A sheet with scales and verdicts; `compared` are the statements a scale was compared with."""

    found: FoundSheet
    views: tuple[View, ...]
    dimensions: tuple[Dimension, ...]
    texts: tuple[SheetText, ...]
    findings: tuple[Finding, ...]
    compared: tuple[Statement, ...] = ()


def look_at_sheet(
    plan: LoadedPlan,
    sheet: Sheet,
    *,
    rows: Sequence[PointRow] = (),
    known_sizes: Sequence[KnownSize] = (),
    placed_known: Sequence[KnownSize] = (),
    settings: Settings,
    first_id: int = 1,
) -> FoundSheet:
    """Find everything on a sheet and place what the user gave.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
    rows : sequence of PointRow
        Points of any sheet; those of this one are placed.
    known_sizes : sequence of KnownSize
        Of any sheet; they are snapped to the marks they were meant for.
    placed_known : sequence of KnownSize
        Of any sheet, placed before; one given anew, of another length, takes its place.
    settings : Settings
    first_id : int
        Number of the sheet's first dimension.

    Returns
    -------
    FoundSheet
    """
    crowd = _vector_page(plan, sheet)
    page = crowd.page if crowd is not None else None
    written_below = crowd is not None and any(text.visible for text in crowd.below)
    sheet = _with_pictures(sheet, page)
    if page is None and sheet.kind is not PageKind.EMPTY:
        drawn = _look_at_picture(plan, sheet, settings)
    elif page is not None and is_outlined(page) and not written_below:
        drawn = _look_at_outlined(plan, sheet, page, settings)
    else:
        drawn = _look_at_page(plan, sheet, crowd, settings)
    unit = drawn.unit
    placed = place_rows(plan, sheet, rows, unit=unit.unit)
    found = drawn.dimensions
    if unit.unit is None:
        unit = _unit_of_typed(placed) or unit
        placed = with_unit(placed, unit.unit) if unit.unit else placed
        found = with_unit(found, unit.unit) if unit.unit else found
    known = tuple(snap_known(plan, sheet, k) for k in known_sizes if k.sheet == sheet.id)
    known = join_known([k for k in placed_known if k.sheet == sheet.id], known)
    unheard = drawn.unheard
    if placed:
        from audit.pipeline.pictures import (  # noqa: PLC0415  # as below
            count_placed_unheard,
            read_placed,
            without_twins,
        )

        unheard -= count_placed_unheard()
        ground = drawn.ground or prepare_ground(plan, sheet)
        seen = None if drawn.ground is None else [text.box for text in drawn.texts]
        placed = read_placed(ground, sheet, placed, found=found, texts=seen, unit=unit.unit)
        found = without_twins(found, placed)
        unheard += count_placed_unheard()
    written = join_written(drawn.texts, drawn.leftover, sheet=sheet.id, unit=unit.unit)
    statements = written.statements + collect_statements(
        written.leftover, sheet=sheet.id, unit=unit.unit
    )
    gridded: tuple[Finding, ...] = ()
    square = stated_square(sheet, statements)
    if square is not None and not known:
        known, gridded = measure_grid(drawn.ground or prepare_ground(plan, sheet), sheet, square)
    texts = collect_texts(
        written.texts, statements, sheet=sheet.id, unit=unit.unit, readings=drawn.readings
    )
    dimensions = number_dimensions([*placed, *found], first_id)
    views, dimensions = give_views(sheet, drawn.views, dimensions)
    views = name_by_lettering(views, statements)
    dimensions = _with_repeats(dimensions, views, page=page, ground=drawn.ground)
    return FoundSheet(
        sheet=sheet,
        views=views,
        dimensions=dimensions,
        statements=statements,
        texts=texts,
        known_sizes=known,
        findings=_source_findings(sheet, crowd)
        + drawn.findings
        + gridded
        + _not_looked_for(sheet, page)
        + _not_heard(sheet, unheard)
        + (_not_readable(sheet, dimensions) if drawn.ground or placed else ()),
        unit=unit,
    )


def _with_repeats(
    dimensions: Sequence[Dimension],
    views: Sequence[View],
    *,
    page: VectorPage | None,
    ground: SnapGround | None,
) -> tuple[Dimension, ...]:
    """Count how often holes are drawn that are printed with a number."""
    if page is not None:
        return count_repeats(dimensions, views, page.arcs)
    if ground is None:
        return tuple(dimensions)
    from audit.pipeline.drawn_rings import count_drawn_repeats  # noqa: PLC0415  # as below

    return count_drawn_repeats(dimensions, views, ground)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """What the tool found on a sheet by itself; `readings` and `ground` only for pictures.

    `unheard` texts were to have a second reading and have none.
    """

    dimensions: tuple[Dimension, ...]
    views: tuple[View, ...]
    texts: tuple[TextLine, ...]
    leftover: tuple[TextLine, ...]
    unit: SheetUnit
    readings: tuple[Reading, ...] = ()
    ground: SnapGround | None = None
    unheard: int = 0
    findings: tuple[Finding, ...] = ()


def _look_at_page(
    plan: LoadedPlan, sheet: Sheet, crowd: Crowd | None, settings: Settings
) -> _Drawn:
    page = crowd.page if crowd is not None else None
    seen = witness_texts(plan, sheet, join_texts(page) if page is not None else ())
    unit = find_unit(seen.lines, settings)
    dimensions, views, leftover = _find(page, seen.lines, sheet=sheet, unit=unit.unit)
    settled = tuple(
        replace(d, reading=seen.settle(d.reading, unit=unit.unit)) if d.reading else d
        for d in dimensions[:MOST_DIMENSIONS]
    )
    below: tuple[TextLine, ...] = ()
    if crowd is not None and crowd.below:
        below = join_texts(replace(crowd.page, texts=crowd.below))
    ends = strokes_and_circles(page)
    settled = doubt_abutting(settled, leftover, ends=ends)
    return _Drawn(
        dimensions=doubt_stepped_holes(doubt_shared_lines(settled, leftover, ends=ends), leftover),
        views=views,
        texts=(*seen.lines, *below),
        leftover=leftover,
        unit=unit,
        findings=tell_too_many(sheet, len(dimensions)),
    )


def _not_readable(sheet: Sheet, dimensions: Sequence[Dimension]) -> tuple[Finding, ...]:
    from audit.pipeline.pictures import tell_unread  # noqa: PLC0415  # as below

    return tell_unread(sheet, dimensions)


def _load_what_looks_at_pictures() -> None:
    """Load what a drawn page does without: it loads slowly."""
    from audit.networks.page import load_network  # noqa: PLC0415
    from audit.pipeline import looking  # noqa: F401, PLC0415

    load_network()


def _look_at_picture(plan: LoadedPlan, sheet: Sheet, settings: Settings) -> _Drawn:
    with Beside() as beside:
        loaded = beside.start(_load_what_looks_at_pictures)
        # asked for here: an interrupt comes here, and stops a worker that hangs
        ground = prepare_ground(plan, sheet)
        loaded()
    from audit.pipeline.fine_lettering import tell_small_lettering  # noqa: PLC0415
    from audit.pipeline.looking import (  # noqa: PLC0415
        find_all,
        line_in_frame,
        readings_of,
        text_lines,
    )
    from audit.pipeline.pictures import see_ground  # noqa: PLC0415

    seen = see_ground(ground, sheet)
    lines = text_lines(seen)
    sure = surely_read(readings_of(seen, unit=None), settings)
    unit = find_unit(lines, settings, sure=sure)
    readings = readings_of(seen, unit=unit.unit)
    found = find_all(seen, lines, readings, sheet=sheet, unit=unit.unit)
    to_frame = seen.ground.image.to_frame
    return _Drawn(
        dimensions=found.dimensions,
        views=found.views,
        texts=tuple(line_in_frame(line, to_frame) for line in lines),
        leftover=found.leftover,
        unit=unit,
        readings=readings,
        ground=seen.ground,
        unheard=seen.unheard,
        findings=tell_small_lettering(sheet, seen.spots, finer=seen.ground.finer),
    )


def _look_at_outlined(
    plan: LoadedPlan, sheet: Sheet, page: VectorPage, settings: Settings
) -> _Drawn:
    from audit.pipeline.outlined import look_at_outlined  # noqa: PLC0415  # as above

    seen = look_at_outlined(plan, sheet, page, settings=settings)
    return _Drawn(
        dimensions=seen.found.dimensions,
        views=seen.found.views,
        texts=seen.texts,
        leftover=seen.found.leftover,
        unit=seen.unit,
        readings=seen.readings,
        ground=seen.ground,
        unheard=seen.unheard,
    )


def _vector_page(plan: LoadedPlan, sheet: Sheet) -> Crowd | None:
    """Read what a page draws; `None` for a picture, also one with a few lines laid over it."""
    if sheet.kind not in (PageKind.VECTOR, PageKind.BOTH):
        return None
    page = plan.vector_page(sheet)
    return None if is_picture_page(sheet, page) else thin_out(page)


def _with_pictures(sheet: Sheet, page: VectorPage | None) -> Sheet:
    """Remember where on a page of both kinds pictures lie; one laid under it all is paper."""
    if sheet.kind is not PageKind.BOTH:
        return sheet
    if page is None:
        return replace(sheet, pictures=(sheet.box,))
    whole = sheet.width * sheet.height
    kept = tuple(box for box in page.images if box.width * box.height < UNDERLAY * whole)
    return replace(sheet, pictures=kept)


def _find(
    page: VectorPage | None, texts: Sequence[TextLine], *, sheet: Sheet, unit: Unit | None
) -> tuple[tuple[Dimension, ...], tuple[View, ...], tuple[TextLine, ...]]:
    if page is None:
        return (), (), tuple(texts)
    found = find_dimensions(page, texts, sheet=sheet.id, unit=unit)
    return found.dimensions, found.views, found.leftover


def _unit_of_typed(placed: Sequence[Dimension]) -> SheetUnit | None:
    """What the sizes a person typed count, when the sheet itself says nothing."""
    printed = [d.printed for d in placed]
    units = {p.unit for p in printed if p is not None and p.unit is not Unit.DEG}
    return SheetUnit(units.pop(), "the sizes you typed") if len(units) == 1 else None


def _source_findings(sheet: Sheet, crowd: Crowd | None) -> tuple[Finding, ...]:
    told = []
    whole = (Place(sheet=sheet.id, box=sheet.box),)
    if any("repair" in remark for remark in sheet.remarks):
        text = f"{sheet.name} was damaged and repaired while opening; compare it with the paper."
        told.append(say("D101", text, places=whole))
    if crowd is not None and not crowd.whole:
        told += tell_crowded(sheet, crowd)
    elif crowd is not None and crowd.page.truncated:
        text = f"{sheet.name} holds more than the limits allow; what was left out is not checked."
        told.append(say("D102", text, places=whole))
    return tuple(told)


def _not_looked_for(sheet: Sheet, page: VectorPage | None) -> tuple[Finding, ...]:
    """Say that a picture set into a drawn page was not searched: silence is no approval."""
    if page is None:
        return ()
    whole = page.width * page.height
    large = [box for box in page.images if box.width * box.height > LARGE_PICTURE * whole]
    if not large:
        return ()
    text = (
        f"The pictures on {sheet.name} were not searched: only points you give there are checked."
    )
    places = tuple(Place(sheet=sheet.id, box=box) for box in large)
    return (say("D105", text, places=places),)


def _not_heard(sheet: Sheet, count: int) -> tuple[Finding, ...]:
    """Say that texts have one reading that were to have two."""
    if not count:
        return ()
    texts = "1 text" if count == 1 else f"{count} texts"
    text = f"Tesseract failed or took too long over {texts} on {sheet.name}: only our own reader "
    text += "read them."
    return (say("D108", text, places=[Place(sheet=sheet.id, box=sheet.box)]),)


def judge_sheet(
    found: FoundSheet, *, others: Sequence[Dimension] = (), settings: Settings
) -> JudgedSheet:
    """Give a sheet its scales and verdicts.

    Parameters
    ----------
    found : FoundSheet
    others : sequence of Dimension
        Of the other sheets: the plan's finest step and unit are those of the whole plan.
    settings : Settings

    Returns
    -------
    JudgedSheet
    """
    by = _scale(found, settings)
    dimensions, scaled, settings = by.dimensions, by.scaled, by.settings
    everything = [*dimensions, *(d for d in others if d.sheet != found.sheet.id)]
    judged: Judged = judge(scaled, everything, settings=settings)
    judged = doubt_breaks(judged, sheet=found.sheet)
    texts = account_for(
        found.texts,
        judged.dimensions,
        statements=found.statements,
        used=scaled.compared,
        known=found.known_sizes,
    )
    return JudgedSheet(
        found=replace(found, dimensions=dimensions),
        views=judged.views,
        dimensions=judged.dimensions,
        texts=texts,
        findings=found.findings + scaled.findings + judged.findings,
        compared=scaled.compared,
    )


def _scale(found: FoundSheet, settings: Settings) -> InUnit:
    def fix(dimensions: Sequence[Dimension], settings: Settings) -> ScaledSheet:
        return fix_scales(
            found.sheet,
            found.views,
            dimensions=dimensions,
            known_sizes=found.known_sizes,
            statements=found.statements,
            settings=settings,
        )

    if found.unit.likely:
        taken = scale_as_likely(found.dimensions, fix=fix, settings=settings)
        if is_likely(found.findings):
            return taken
        return tell_other_unit(taken, sheet=found.sheet, says=found.unit.says)
    if found.unit.unit is not None:
        scaled = fix(found.dimensions, settings)
        taken = InUnit(dimensions=found.dimensions, scaled=scaled, settings=settings)
        if any(f.code == "S107" for f in found.findings):  # told when the sheet was looked at
            return taken
        return tell_counted(taken, sheet=found.sheet, unit=found.unit.unit, says=found.unit.says)
    return scale_in_likelier_unit(found.dimensions, sheet=found.sheet, fix=fix, settings=settings)
