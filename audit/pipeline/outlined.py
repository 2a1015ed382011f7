"""Drawn pages whose letters are drawn too: exact lines, texts read off the picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.dimensions import FoundPage, find_dimensions
from audit.dimensions.texts import sizes_on_lines
from audit.geometry import Box
from audit.lengths import Unit
from audit.pipeline.looking import line_in_frame, readings_of, text_lines
from audit.pipeline.pictures import look_at_picture
from audit.pipeline.placing import SnapGround
from audit.pipeline.seen_doubts import doubt_seen
from audit.pipeline.stacked_rows import join_stacked_rows
from audit.pipeline.texts import SheetUnit, find_unit, surely_read
from audit.reading import TextLine
from audit.records import Dimension, Reading, Settings, Sheet, VectorPage
from audit.sheets import LoadedPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlinedPage:
    """What was found on a page without a text layer, in the sheet's frame."""

    found: FoundPage
    texts: tuple[TextLine, ...]
    readings: tuple[Reading, ...]
    unit: SheetUnit
    ground: SnapGround
    unheard: int = 0


def look_at_outlined(
    plan: LoadedPlan, sheet: Sheet, page: VectorPage, *, settings: Settings
) -> OutlinedPage:
    """Find the dimensions of a page whose texts must be read off its picture.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
    page : VectorPage
    settings : Settings

    Returns
    -------
    OutlinedPage
        Ends as exact as the page draws them, readings as sure as the readers are.
    """
    seen = look_at_picture(plan, sheet)
    to_frame = seen.ground.image.to_frame
    in_px = text_lines(seen)
    lines = tuple(line_in_frame(line, to_frame) for line in in_px)
    sure = surely_read(readings_of(seen, unit=None), settings)
    unit = find_unit(in_px, settings, sure=sure)
    readings = tuple(
        replace(r, box=line.box)
        for r, line in zip(readings_of(seen, unit=unit.unit), lines, strict=True)
    )
    found = find_dimensions(page, lines, sheet=sheet.id, unit=unit.unit)
    return OutlinedPage(
        found=replace(found, dimensions=_settled(found, readings, unit.unit)),
        texts=lines,
        readings=readings,
        unit=unit,
        ground=seen.ground,
        unheard=seen.unheard,
    )


def _settled(
    found: FoundPage, readings: Sequence[Reading], unit: Unit | None
) -> tuple[Dimension, ...]:
    """Doubt what letters read off a picture are doubted for, where lines stand about them."""
    read = _with_readings(found.dimensions, readings)
    sized = sizes_on_lines(join_stacked_rows(read, readings, unit=unit), unit=unit)
    return doubt_seen(sized, found.leftover)


def _with_readings(
    dimensions: Sequence[Dimension], readings: Sequence[Reading]
) -> tuple[Dimension, ...]:
    """Put what the readers said in the place of what a text layer would have said."""
    said: dict[Box, Reading] = {reading.box: reading for reading in readings}
    return tuple(
        replace(d, reading=said.get(d.reading.box, d.reading)) if d.reading else d
        for d in dimensions
    )
