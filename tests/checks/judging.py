"""Sizes as drawn and as printed, for the checks that judge them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np

from audit.checks import judge
from audit.geometry import Box, Point
from audit.lengths import CalloutKind, Length, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    PageKind,
    Scale,
    ScaleFrom,
    View,
    ViewKind,
)
from audit.scale import ScaledSheet
from tests.checks.simulated import make_sheet, reading_of

MM = 25.4
NONE = ((0.0, 0.0, 0.0),) * 3
SHEET = make_sheet(PageKind.VECTOR, width=792, height=612)
FULL = Scale(x=1.0, y=1.0, covariance=NONE, source=ScaleFrom.KNOWN)


def view(kind=ViewKind.TRUE, scale=FULL, **more):
    return View(id=1, sheet=1, kind=kind, box=Box(0, 0, 792, 612), scale=scale, **more)


def inches(value):
    return Length(Fraction(value), Unit.IN)


def size(printed, drawn, *, number=10, kind=DimensionKind.DISTANCE, sigma=0.01, **more):
    """A dimension with a printed text and a drawn length in inches of paper."""
    callout = more.pop("callout", {})
    unit = more.pop("unit", Unit.IN)
    ends = (
        End(point=Point(100, 100), kind=EndKind.EXTENSION, sigma=sigma),
        End(point=Point(100 + 72 * drawn, 100), kind=EndKind.EXTENSION, sigma=sigma),
    )
    reading = None
    if printed is not None:
        reading = reading_of(Length(Fraction(printed), unit), text=str(printed), **callout)
    return Dimension(id=number, sheet=1, view=1, kind=kind, ends=ends, reading=reading, **more)


def judged(*dimensions, view=None, sheet=SHEET, settings=None, views=1, backed=()):
    shown = view or globals()["view"]()
    every = tuple(replace(shown, id=shown.id + k) for k in range(views))
    scaled = ScaledSheet(
        sheet=sheet, views=every, findings=(), left_out=(), backed=frozenset(backed)
    )
    return judge(scaled, dimensions, settings=settings)


def verdict(dimension, **more):
    return judged(dimension, **more).dimensions[0]


def angle(printed, drawn_deg):
    c, s = np.cos(np.radians(drawn_deg)), np.sin(np.radians(drawn_deg))
    points = (Point(300, 300), Point(400, 300), Point(300 + 100 * c, 300 + 100 * s))
    ends = tuple(End(point=p, kind=EndKind.CORNER, sigma=0.01) for p in points)
    reading = reading_of(Length(Fraction(printed), Unit.DEG), kind=CalloutKind.ANGLE)
    return Dimension(id=5, sheet=1, view=1, kind=DimensionKind.ANGLE, ends=ends, reading=reading)
