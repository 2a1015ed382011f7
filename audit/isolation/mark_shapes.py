"""The shapes of the marks as PDF operators; origin bottom left, y up, pt."""

from __future__ import annotations

from collections.abc import Callable

from audit.geometry import Box
from audit.records import MarkShape, MarkStyle, Rgb

PAPER: Rgb = (1.0, 1.0, 1.0)
OUTLINE = 0.16  # width of an outline, share of half the shape's height
ARC = 0.5523  # handle length of a quarter circle drawn as a Bézier, radii

_Path = Callable[[float, float, float, float], str]


def draw_shape(style: MarkStyle, box: Box) -> str:
    """Draw a mark's shape into a box.

    Parameters
    ----------
    style : MarkStyle
    box : Box
        Here with y *up*: y0 is the bottom.

    Returns
    -------
    str
        Operators without the number; solid shapes are filled, the others have a white ground, so
        that a number in them can be read on a busy drawing.
    """
    x, y = box.centre
    half_w, half_h = box.width / 2, box.height / 2
    line = max(0.9, OUTLINE * half_h * 1.15)
    colour = " ".join(f"{v:.3f}" for v in style.colour)
    if style.shape is MarkShape.QUESTION:
        return _question(x, y, half_h, colour)
    if style.shape is MarkShape.DASH:
        return f"q {colour} RG {line * 1.6:.3f} w {box.x0:.3f} {y:.3f} m {box.x1:.3f} {y:.3f} l S Q"
    path = _PATHS[style.shape](x, y, half_w, half_h)
    if style.solid:
        # A thin white rim keeps the shape apart from black lines beside it.
        return f"q {colour} rg 1 1 1 RG 0.6 w {path} B Q"
    return f"q 1 1 1 rg {colour} RG {line:.3f} w 1 j {path} B Q"


def _diamond(x: float, y: float, w: float, h: float) -> str:
    return (
        f"{x:.3f} {y + h:.3f} m {x + w:.3f} {y:.3f} l {x:.3f} {y - h:.3f} l {x - w:.3f} {y:.3f} l h"
    )


def _triangle(x: float, y: float, w: float, h: float) -> str:
    return f"{x:.3f} {y + h:.3f} m {x + w:.3f} {y - h:.3f} l {x - w:.3f} {y - h:.3f} l h"


def _square(x: float, y: float, w: float, h: float) -> str:
    return f"{x - w:.3f} {y - h:.3f} {2 * w:.3f} {2 * h:.3f} re"


def _circle(x: float, y: float, w: float, h: float) -> str:
    k, m = ARC * w, ARC * h
    return (
        f"{x + w:.3f} {y:.3f} m "
        f"{x + w:.3f} {y + m:.3f} {x + k:.3f} {y + h:.3f} {x:.3f} {y + h:.3f} c "
        f"{x - k:.3f} {y + h:.3f} {x - w:.3f} {y + m:.3f} {x - w:.3f} {y:.3f} c "
        f"{x - w:.3f} {y - m:.3f} {x - k:.3f} {y - h:.3f} {x:.3f} {y - h:.3f} c "
        f"{x + k:.3f} {y - h:.3f} {x + w:.3f} {y - m:.3f} {x + w:.3f} {y:.3f} c h"
    )


_PATHS: dict[MarkShape, _Path] = {
    MarkShape.DIAMOND: _diamond,
    MarkShape.LOZENGE: _diamond,
    MarkShape.TRIANGLE: _triangle,
    MarkShape.SQUARE: _square,
    MarkShape.CIRCLE: _circle,
}


def _question(x: float, y: float, half: float, colour: str) -> str:
    """Draw a question mark from a hook, a short stem and a dot; no font needed."""
    r = 0.42 * half  # radius of the hook
    top = y + half - r - 0.1 * half
    k = ARC * r
    hook = (
        f"{x - r:.3f} {top:.3f} m "
        f"{x - r:.3f} {top + k:.3f} {x - k:.3f} {top + r:.3f} {x:.3f} {top + r:.3f} c "
        f"{x + k:.3f} {top + r:.3f} {x + r:.3f} {top + k:.3f} {x + r:.3f} {top:.3f} c "
        f"{x + r:.3f} {top - 0.9 * r:.3f} {x:.3f} {top - 0.9 * r:.3f} "
        f"{x:.3f} {top - 2.1 * r:.3f} c S"
    )
    dot = _circle(x, y - half + 0.16 * half, 0.15 * half, 0.15 * half)
    return (
        f"q 1 1 1 RG {0.62 * half:.3f} w 1 J {hook} "
        f"{colour} RG {0.26 * half:.3f} w {hook} {colour} rg {dot} f Q"
    )
