"""`plan-audit read`: the printed text of pictures, one callout each, or all of a sheet."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from audit.cli.checking import make_settings
from audit.cli.printing import console, tell_progress
from audit.errors import EXIT_BAD_INPUT, AuditError, BadUsage
from audit.geometry import Box
from audit.isolation import decode_series
from audit.lengths import Unit
from audit.pipeline.sheet_texts import read_sheet_texts
from audit.reading import Reader, available_readers, bring_upright, hear_readers, vote
from audit.records import Reading, Settings
from audit.report.readings import ReadingJson, tell_reading, write_readings
from audit.report.writing import write_whole
from audit.sheets import load_plan

BATCH = 64  # crops read at once: the network is quicker in batches


def run_read(images: Sequence[Path], *, sheet: bool, unit: str | None, json: str | None) -> int:
    """Read pictures and print what they say.

    Returns
    -------
    int
        0 when every picture could be opened, sure of its text or not; else 2.

    Raises
    ------
    BadUsage
        If nothing here can read pictures.
    """
    settings = make_settings(None, unit)
    readers = available_readers()
    if not readers:
        raise BadUsage("nothing here can read pictures", advice="install Tesseract")
    read = read_sheets if sheet else read_crops
    told: list[ReadingJson] = []
    failed = False
    for path, outcome in read(images, readers, settings):
        if isinstance(outcome, AuditError):
            failed = True
            said = str(outcome)
            named = said if path.name in said else f"{path}: {said}"
            print(f"plan-audit: {named}", file=sys.stderr)
            continue
        told += [
            tell_reading(str(path), r, limit=settings.confidence_limit, placed=sheet)
            for r in outcome
        ]
    _show(told, json)
    return EXIT_BAD_INPUT if failed else 0


Outcome = tuple[Path, "Sequence[Reading | None] | AuditError"]


def read_crops(
    images: Sequence[Path], readers: Sequence[Reader], settings: Settings
) -> Iterator[Outcome]:
    """Read pictures that hold one callout each, in batches."""
    for first in range(0, len(images), BATCH):
        decoded = list(decode_series(images[first : first + BATCH]))
        crops = [d.pixels for d in decoded if d.pixels is not None]
        readings = iter(_read_batch(crops, readers, settings.unit))
        for one in decoded:
            yield one.path, one.error if one.error is not None else [next(readings)]


def _read_batch(
    crops: Sequence[NDArray[np.uint8]], readers: Sequence[Reader], unit: Unit | None
) -> list[Reading | None]:
    upright = bring_upright(crops)
    votes = hear_readers([one.picture for one in upright], readers)
    return [
        vote(
            (*heard, *one.others),
            box=Box(0.0, 0.0, crop.shape[1], crop.shape[0]),
            angle=one.angle,
            unit=unit,
        )
        for heard, one, crop in zip(votes, upright, crops, strict=True)
    ]


def read_sheets(
    images: Sequence[Path],
    readers: Sequence[Reader],  # noqa: ARG001  # the pipeline knows the same ones
    settings: Settings,
) -> Iterator[Outcome]:
    """Find and read every text of whole sheets."""
    for path in images:
        try:
            with load_plan([path]) as plan:
                readings: list[Reading | None] = []
                for sheet in plan.sheets:
                    tell_progress(f"reading {sheet.name}")
                    readings += read_sheet_texts(plan, sheet, unit=settings.unit)
                yield path, readings
        except AuditError as error:
            yield path, error


def _show(told: Sequence[ReadingJson], json: str | None) -> None:
    if json == "-":
        sys.stdout.write(write_readings(told))
        return
    if json is not None:
        write_whole(Path(json), write_readings(told))
    screen = console()
    for one in told:
        sure = "" if one.sure else f"   unsure, {one.confidence:.2f}"
        others = [c for c in one.candidates if c != one.text][:3]
        more = f"   or {', '.join(others)}" if others and not one.sure else ""
        screen.print(f"{one.source}: {one.text or '(nothing read)'}{sure}{more}")
