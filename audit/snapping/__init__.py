"""From a click or a proposal to a sub-pixel point on a stroke, corner, crossing or circle.

Pixel frame throughout: x right, y down, the first pixel's centre at (.5, .5).
"""

from __future__ import annotations

from audit.snapping.alike import Alike, find_alike
from audit.snapping.circles import SnappedCircle, snap_circle
from audit.snapping.ends import SnappedEnds, snap_angle, snap_distance, snap_round
from audit.snapping.points import Snap, SnapKind, snap_point
from audit.snapping.strokes import SnappedStroke, find_strokes, refine_stroke

__all__ = [
    "Alike",
    "Snap",
    "SnapKind",
    "SnappedCircle",
    "SnappedEnds",
    "SnappedStroke",
    "find_alike",
    "find_strokes",
    "refine_stroke",
    "snap_angle",
    "snap_circle",
    "snap_distance",
    "snap_point",
    "snap_round",
]
