"""3×3 maps from inches of a drawing to the pixels of a picture."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drawing.marks import Point

Row = tuple[float, float, float]
DIGITS = 12  # kept of every entry, so that the last bits of sin and cos do not matter


@dataclass(frozen=True, kw_only=True)
class Plane:
    """A projective map, row by row."""

    rows: tuple[Row, Row, Row]

    def __call__(self, point: Point) -> Point:
        """Map a point."""
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        x, y = point
        w = g * x + h * y + i
        return (a * x + b * y + c) / w, (d * x + e * y + f) / w

    def scale(self, point: Point) -> float:
        """Pixels to the inch at a place, the mean of all directions."""
        x, y = self(point)
        right, down = self((point[0] + 0.01, point[1])), self((point[0], point[1] + 0.01))
        cross = (right[0] - x) * (down[1] - y) - (right[1] - y) * (down[0] - x)
        return math.sqrt(abs(cross)) * 100

    def then(self, after: Plane) -> Plane:
        """Do this map first, then another."""
        return Plane(rows=_product(after.rows, self.rows))

    def rounded(self) -> Plane:
        """Keep `DIGITS` significant digits, last entry 1."""
        last = self.rows[2][2]
        return Plane(
            rows=tuple(tuple(float(f"{v / last:.{DIGITS}g}") for v in row) for row in self.rows)
        )

    def inverse(self) -> Plane:
        """Return the opposite map."""
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        rows = (
            (e * i - f * h, c * h - b * i, b * f - c * e),
            (f * g - d * i, a * i - c * g, c * d - a * f),
            (d * h - e * g, b * g - a * h, a * e - b * d),
        )
        return Plane(rows=rows).rounded()


def _product(m: tuple[Row, ...], n: tuple[Row, ...]) -> tuple[Row, Row, Row]:
    return tuple(
        tuple(sum(m[i][k] * n[k][j] for k in range(3)) for j in range(3)) for i in range(3)
    )


def shift(x: float, y: float) -> Plane:
    return Plane(rows=((1.0, 0.0, x), (0.0, 1.0, y), (0.0, 0.0, 1.0)))


def stretch(x: float, y: float) -> Plane:
    return Plane(rows=((x, 0.0, 0.0), (0.0, y, 0.0), (0.0, 0.0, 1.0)))


def turn(degrees: float) -> Plane:
    """Turn clockwise as seen (y down)."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return Plane(rows=((c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0)))
