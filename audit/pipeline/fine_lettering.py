"""Pictures whose lettering is small, made finer before anything is traced or read on them.

Copies saved from the web and photos that a message carried show letters a dozen pixels high, and
their file says nothing true of the paper. What looks for arrowheads and texts was made for the
fineness of scans: there the lettering itself tells how much finer a picture has to be.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from audit.pipeline.placing import MOST_PX, MOST_SIDE_PX, SnapGround
from audit.reading import TextSpot
from audit.records import Finding, Place, Sheet
from audit.scale.findings import say
from audit.sheets.load import resample

SMALL_PX = 22.0  # height of texts; scans of 200 dpi and more show them higher
WANTED_PX = 28.0  # as high as scans of 300 dpi show them
LETTER_MM = 2.8  # usual height of lettering on drawings, fractions included (ISO 3098: 2.5, 3.5)
LEAST_TIMES, MOST_TIMES = 1.05, 3.0  # less gains nothing: it would be tried again and again
COARSE_DPI = 190.0  # scans of 150 dpi are coarse, those of 200 are not
FEW_TEXTS = 5
# Usual height of texts, stored px, under which half of the sizes cannot be read surely, measured on
# photographs through the tests' camera and on copies from the web: from 9.3 px up most are.
LEGIBLE_PX = 9.3
SMALL_SHEET_MM = 190.0  # of its longer side; A5 is 210
FAR_OFF = 1.6  # times as large or small: other lettering than the networks were trained for


def lettering_px(spots: Sequence[TextSpot]) -> float | None:
    """Tell the usual height of the texts of a picture, px; `None` where there are too few."""
    heights = [s.height for s in spots if s.length > s.height]
    return float(np.median(heights)) if len(heights) >= FEW_TEXTS else None


def doubt_fineness(
    ground: SnapGround, find: Callable[[SnapGround], Sequence[TextSpot]]
) -> SnapGround:
    """Forget what a file says of the paper where that would be small, and its lettering tiny.

    Whoever saves a picture small for the web often leaves in the file what the scanner wrote. A
    piece cut out of a scan is small, too, but its lettering has the usual height.

    Parameters
    ----------
    ground : SnapGround
    find : callable
        Finds the texts of a ground.

    Returns
    -------
    SnapGround
        Of unknown fineness where its lettering is not that of the paper stated.
    """
    stated = ground.px_per_mm
    if stated is None or max(ground.image.pixels.shape) > SMALL_SHEET_MM * stated:
        return ground
    unknown = replace(ground, px_per_mm=None)
    height = lettering_px(find(unknown))
    tiny = height is not None and height * FAR_OFF < LETTER_MM * stated
    return unknown if tiny else ground


def is_coarse(ground: SnapGround) -> bool:
    """Tell whether small lettering may be made finer: of scans of usual fineness it is as it is."""
    return ground.px_per_mm is None or ground.px_per_mm * 25.4 < COARSE_DPI


def make_lettering_finer(ground: SnapGround, spots: Sequence[TextSpot]) -> SnapGround:
    """Interpolate a coarse picture, or one of unknown fineness, whose lettering is small.

    Parameters
    ----------
    ground : SnapGround
    spots : sequence of TextSpot
        Its texts, px of the ground.

    Returns
    -------
    SnapGround
        With lettering as high as on usual scans, and the fineness that follows from it; the same
        one where its lettering is high enough, or nobody can tell.
    """
    height = lettering_px(spots)
    if not is_coarse(ground) or height is None or height >= SMALL_PX:
        return ground
    pixels = ground.image.pixels
    room = min(math.sqrt(MOST_PX / pixels.size), MOST_SIDE_PX / max(pixels.shape))
    times = min(WANTED_PX / height, MOST_TIMES, room)
    if times < LEAST_TIMES:
        return ground
    image = resample(ground.image, factor=times)
    return replace(
        ground,
        image=image,
        from_frame=image.to_frame.inverse(),
        px_per_mm=times * (ground.px_per_mm or height / LETTER_MM),
        finer=times * ground.finer,
    )


def tell_small_lettering(
    sheet: Sheet, spots: Sequence[TextSpot], *, finer: float
) -> tuple[Finding, ...]:
    """Say that a picture is too coarse to be read well (D109), where its lettering is.

    Parameters
    ----------
    sheet : Sheet
    spots : sequence of TextSpot
        Its texts, px of the ground.
    finer : float
        Px of the ground to one that is stored.

    Returns
    -------
    tuple of Finding
    """
    height = lettering_px(spots)
    if height is None or height / finer >= LEGIBLE_PX:
        return ()
    text = (
        f"Lettering on {sheet.name} is only about {height / finer:.0f} pixels high, and figures "
        "look alike: scan it finer, or photograph it from nearer. What is not read surely is asked "
        "about."
    )
    return (say("D109", text, places=[Place(sheet=sheet.id, box=sheet.box)]),)
