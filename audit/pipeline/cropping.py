"""Pieces of the sheets of an audit, for reports."""

from __future__ import annotations

import logging

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.errors import AuditError
from audit.geometry import Box
from audit.pipeline.unpacking import OpenedAudit

log = logging.getLogger(__name__)

CROP_DPI = 200.0
CROP_SIDE = 900  # px, the longer side of a crop in a report


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
