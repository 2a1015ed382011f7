"""Signs of drawings that no font at hand has, drawn as strokes: ⌴ ⌵ ↧ ⌲ ⌳ ℄.

Shapes as in ASME Y14.5 and ISO 129-1, as high as the capitals beside them; from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

XY = tuple[float, float]

HIGH = 0.7  # ems, as capitals; widths are less than the standards' so that lines keep their colour
SIDE = 0.08  # ems of white before and after
STROKE, BOLD_STROKE = 0.07, 0.12  # ems, as the stems of the letters beside them


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """One sign, in ems: how far it moves on, and its strokes, (x, y up from the base line)."""

    advance: float
    strokes: tuple[tuple[XY, ...], ...]

    def path(self, x: float, y: float, size: float) -> str:
        """Return the operators of its strokes with its base line at (x, y up), pt."""
        return " ".join(
            f"{x + px * size:.3f} {y + py * size:.3f} {'l' if k else 'm'}"
            for stroke in self.strokes
            for k, (px, py) in enumerate(stroke)
        )


def _sign(width: float, *strokes: tuple[XY, ...]) -> Sign:
    moved = tuple(tuple((SIDE + x * width, y * HIGH) for x, y in stroke) for stroke in strokes)
    return Sign(advance=width + 2 * SIDE, strokes=moved)


_CENTRE = ((0.72, 0.78), (0.5, 1.0), (0.22, 0.9), (0.1, 0.55), (0.22, 0.2), (0.5, 0.1), (0.72, 0.3))

SIGNS = {
    "⌴": _sign(0.9, ((0.0, 0.8), (0.0, 0.0), (1.0, 0.0), (1.0, 0.8))),
    "⌵": _sign(0.9, ((0.0, 0.9), (0.5, 0.0), (1.0, 0.9))),
    "↧": _sign(
        0.6,
        ((0.0, 1.0), (1.0, 1.0)),
        ((0.5, 1.0), (0.5, 0.0)),
        ((0.2, 0.35), (0.5, 0.0), (0.8, 0.35)),
    ),
    "⌲": _sign(0.9, ((0.0, 0.9), (0.0, 0.1), (1.0, 0.5), (0.0, 0.9))),
    "⌳": _sign(0.9, ((0.0, 0.85), (0.0, 0.0), (1.0, 0.0), (0.0, 0.85))),
    "℄": _sign(0.7, _CENTRE, ((0.5, 0.7), (0.5, -0.15), (0.95, -0.15))),
}
