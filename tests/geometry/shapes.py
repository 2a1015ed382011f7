"""Shared strategies: places on a sheet, and views of it that a camera could take."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from audit.geometry import Point, Transform

PLACES = st.tuples(st.floats(-3000, 3000), st.floats(-3000, 3000)).map(lambda p: Point(*p))
SQUARE = np.array([(0.0, 0.0), (1000.0, 0.0), (1000.0, 800.0), (0.0, 800.0)])


@st.composite
def corners(draw) -> np.ndarray:
    """Four corners of a rectangle as a camera may see it: none near a line of two others."""
    moved = [[draw(st.floats(-150, 150)) for _ in range(2)] for _ in range(4)]
    return SQUARE + np.array(moved)


@st.composite
def views(draw) -> Transform:
    """A plane view that keeps the sheet [0, 1000]² in front of the camera."""
    a, b, d, e = (draw(st.floats(-1, 1)) for _ in range(4))
    g, h = (draw(st.floats(-3e-4, 3e-4)) for _ in range(2))
    c, f = (draw(st.floats(-500, 500)) for _ in range(2))
    return Transform(((2 + a, b, c), (d, 2 + e, f), (g, h, 1.0)))
