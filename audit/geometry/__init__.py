"""Plane geometry every layer shares: points, boxes, transforms, line and circle fits.

Pure functions over small frozen values and numpy arrays. The frame of a number is in its name
(`_px`, `_pt`, `_paper`, `_real`); this layer does not care which.
"""

from __future__ import annotations

from audit.geometry.fits import CircleFit, LineFit, fit_circle, fit_line
from audit.geometry.lens import Lens
from audit.geometry.plane import (
    Box,
    Point,
    angle_between,
    direction_deg,
    intersect_lines,
    project_onto,
)
from audit.geometry.transforms import NotInvertible, Transform

__all__ = [
    "Box",
    "CircleFit",
    "Lens",
    "LineFit",
    "NotInvertible",
    "Point",
    "Transform",
    "angle_between",
    "direction_deg",
    "fit_circle",
    "fit_line",
    "intersect_lines",
    "project_onto",
]
