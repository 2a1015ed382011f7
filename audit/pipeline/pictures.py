"""The printed text of dimensions placed on a picture: found near them, and read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from audit.geometry import Box
from audit.lengths import Unit
from audit.pipeline.placing import SnapGround, prepare_ground
from audit.reading import Reader, TextSpot, available_readers, find_text_near, vote
from audit.records import (
    CODES,
    Candidate,
    Dimension,
    Finding,
    PageKind,
    Place,
    Reading,
    Sheet,
    SheetText,
)
from audit.sheets import LoadedPlan


def find_on_picture(
    plan: LoadedPlan, sheet: Sheet, placed: Sequence[Dimension], *, unit: Unit | None
) -> tuple[tuple[Dimension, ...], tuple[SheetText, ...], tuple[Finding, ...]]:
    """Read the texts of placed dimensions that nobody typed.

    Parameters
    ----------
    plan : LoadedPlan
    sheet : Sheet
    placed : sequence of Dimension
        Ends snapped, in the sheet's frame.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    dimensions : tuple of Dimension
        With readings where a text was found.
    texts : tuple of SheetText
        Size-like texts found that no dimension has; empty in this version of the stage.
    findings : tuple of Finding
        D103 where nothing here can read pictures.
    """
    if not placed or sheet.kind is PageKind.EMPTY:
        return tuple(placed), (), ()
    readers = _readers()
    ground = prepare_ground(plan, sheet)
    read = tuple(
        _read(ground, d, readers, turn=sheet.turn, unit=unit)
        if d.reading is None
        else _find_typed(ground, d, d.reading, turn=sheet.turn)
        for d in placed
    )
    silent = any(d.reading is None for d in placed)
    return read, (), (_no_reader(sheet),) if silent and not readers else ()


@cache
def _readers() -> tuple[Reader, ...]:
    return available_readers()


def _read(
    ground: SnapGround,
    dimension: Dimension,
    readers: Sequence[Reader],
    *,
    turn: int,
    unit: Unit | None,
) -> Dimension:
    spots = _spots(ground, dimension, turn=turn)
    readings = [r for spot in spots if (r := _read_spot(ground, spot, readers, unit=unit))]
    if not readings:
        return dimension
    return replace(dimension, reading=max(readings, key=_worth))


def _find_typed(
    ground: SnapGround, dimension: Dimension, typed: Reading, *, turn: int
) -> Dimension:
    """Give a typed text the place of the printed one, so that marks keep off it."""
    spots = _spots(ground, dimension, turn=turn)
    if not spots:
        return dimension
    box = _in_frame(ground, spots[0])
    return replace(dimension, reading=replace(typed, box=box, angle=spots[0].angle))


def _spots(ground: SnapGround, dimension: Dimension, *, turn: int) -> tuple[TextSpot, ...]:
    ends = [ground.from_frame.apply(end.point) for end in dimension.ends]
    return find_text_near(
        ground.image.pixels, ends[0], ends[-1], px_per_mm=ground.px_per_mm, turn=turn
    )


def _in_frame(ground: SnapGround, spot: TextSpot) -> Box:
    to_frame = ground.image.to_frame
    return Box.around([to_frame.apply(corner) for corner in spot.box.corners])


def _worth(reading: Reading) -> tuple[bool, float]:
    return reading.callout is not None, reading.confidence


def _read_spot(
    ground: SnapGround, spot: TextSpot, readers: Sequence[Reader], *, unit: Unit | None
) -> Reading | None:
    votes: list[Candidate] = []
    for reader in readers:
        votes += reader.read([spot.crop])[0]
    return vote(votes, box=_in_frame(ground, spot), angle=spot.angle, unit=unit)


def _no_reader(sheet: Sheet) -> Finding:
    code = CODES["D103"]
    text = (
        f"Nothing here can read the printed sizes of {sheet.name}: type them, or install Tesseract."
    )
    return Finding(
        id=0,
        code=code.code,
        severity=code.severity,
        places=(Place(sheet=sheet.id, box=sheet.box),),
        text=text,
    )
