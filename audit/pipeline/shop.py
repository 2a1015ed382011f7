"""The shop sheet of an audit file, with crops of the sizes to look at again."""

from __future__ import annotations

import logging
from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.errors import AuditError
from audit.geometry import Box
from audit.lengths import Length
from audit.pipeline.unpacking import OpenedAudit
from audit.records import Booklet, Dimension
from audit.report.errata_letter import outside_blocks
from audit.report.look_again import crop_box, look_again_blocks, pick_look_again
from audit.report.shop import make_shop_list
from audit.report.shop_booklet import plan_shop
from audit.report.tiling import Paper

log = logging.getLogger(__name__)

CROP_DPI = 200.0
CROP_SIDE = 900  # px, the longer side of a crop in a report


def make_shop_booklet(
    opened: OpenedAudit, paper: Paper, *, allowance: Length | None = None
) -> Booklet:
    """Compose the shop sheet of an audit, with the sizes to look at again.

    Parameters
    ----------
    opened : OpenedAudit
    paper : Paper
    allowance : Length, optional
        Of rough sizes.

    Returns
    -------
    Booklet
    """
    shop = make_shop_list(opened.audit, allowance=allowance)
    picked = pick_look_again(opened.audit, shop)
    crops = cut_crops(opened, picked)
    return plan_shop(
        shop,
        paper,
        look_again=look_again_blocks(opened.audit, picked, crops),
        outside=tuple(outside_blocks(opened.audit)),
    )


def cut_crops(opened: OpenedAudit, dimensions: Iterable[Dimension]) -> dict[int, NDArray[np.uint8]]:
    """Cut a piece of its sheet out for each dimension, upright as seen.

    Parameters
    ----------
    opened : OpenedAudit
    dimensions : iterable of Dimension

    Returns
    -------
    dict of int to ndarray of uint8
        By number; one that cannot be cut is left out.
    """
    return {
        dimension.id: pixels
        for dimension in dimensions
        if (pixels := cut_crop(opened, dimension.sheet, crop_box(dimension))) is not None
    }


def cut_crop(opened: OpenedAudit, sheet: int, box: Box) -> NDArray[np.uint8] | None:
    """Cut a box out of a sheet, upright as seen; `None` where that fails."""
    there = opened.opened.get(sheet)
    if there is None:
        return None
    try:
        pixels = opened.plan.crop(there, box, angle=float(there.turn), dpi=CROP_DPI)
    except AuditError as error:  # a report without a crop is still a report
        log.warning("no crop: %s", error)
        return None
    longer = max(pixels.shape)
    if longer <= CROP_SIDE:
        return pixels
    scale = CROP_SIDE / longer
    size = (max(1, round(pixels.shape[1] * scale)), max(1, round(pixels.shape[0] * scale)))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8)
