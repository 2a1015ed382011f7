"""Points, boxes, directions."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

PARALLEL_SIN = 1e-9  # sine of the angle below which two lines have no usable crossing


class Point(NamedTuple):
    """A place in some frame; x to the right, y down."""

    x: float
    y: float

    def distance(self, other: Point) -> float:
        """Return the straight distance to `other`, in this frame's unit."""
        return math.hypot(other.x - self.x, other.y - self.y)

    def moved(self, dx: float, dy: float) -> Point:
        """Return this point shifted by (dx, dy)."""
        return Point(self.x + dx, self.y + dy)

    def midpoint(self, other: Point) -> Point:
        """Return the point half way to `other`."""
        return Point((self.x + other.x) / 2, (self.y + other.y) / 2)


class Box(NamedTuple):
    """An upright rectangle, x0 <= x1 and y0 <= y1."""

    x0: float
    y0: float
    x1: float
    y1: float

    @classmethod
    def around(cls, points: Iterable[tuple[float, float]]) -> Box:
        """Return the smallest box around some points.

        Raises
        ------
        ValueError
            If there are no points.
        """
        xs, ys = zip(*points, strict=True)
        return cls(min(xs), min(ys), max(xs), max(ys))

    @property
    def width(self) -> float:
        """Horizontal size."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Vertical size."""
        return self.y1 - self.y0

    @property
    def centre(self) -> Point:
        """Middle of the box."""
        return Point((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """The four corners, clockwise from the top left."""
        return (
            Point(self.x0, self.y0),
            Point(self.x1, self.y0),
            Point(self.x1, self.y1),
            Point(self.x0, self.y1),
        )

    def grown(self, by: float) -> Box:
        """Return the box with `by` added on all four sides."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def union(self, other: Box) -> Box:
        """Return the smallest box around both."""
        return Box(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )

    def overlaps(self, other: Box) -> bool:
        """Tell whether the two boxes share any area or edge."""
        return (
            self.x0 <= other.x1
            and other.x0 <= self.x1
            and self.y0 <= other.y1
            and other.y0 <= self.y1
        )

    def contains(self, point: tuple[float, float]) -> bool:
        """Tell whether a point lies inside or on the edge."""
        return self.x0 <= point[0] <= self.x1 and self.y0 <= point[1] <= self.y1


def direction_deg(a: tuple[float, float], b: tuple[float, float]) -> float:
    """Direction from `a` to `b` in degrees, counter-clockwise as seen (y down), in (-180, 180].

    Examples
    --------
    >>> direction_deg((0, 0), (1, 0)), direction_deg((0, 0), (0, -1))
    (0.0, 90.0)
    """
    angle = math.degrees(math.atan2(a[1] - b[1], b[0] - a[0]))
    return 180.0 if angle == -180.0 else angle + 0.0


def angle_between(first_deg: float, second_deg: float) -> float:
    """Smallest angle between two undirected lines, in degrees, 0 to 90.

    Examples
    --------
    >>> angle_between(179.0, 1.0), angle_between(10, 10)
    (2.0, 0.0)
    """
    turn = abs(first_deg - second_deg) % 180.0
    return min(turn, 180.0 - turn)


def project_onto(
    point: tuple[float, float], a: tuple[float, float], b: tuple[float, float]
) -> tuple[float, float]:
    """Place of a point relative to the line from `a` to `b`.

    Returns
    -------
    tuple of float
        `(along, aside)`: distance from `a` along the line, and signed distance from it
        (positive on the clockwise side as seen, y down). Same unit as the points.

    Raises
    ------
    ValueError
        If `a` and `b` are the same point.
    """
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    if length == 0:
        raise ValueError("a line needs two different points")
    px, py = point[0] - a[0], point[1] - a[1]
    return (px * dx + py * dy) / length, (dx * py - dy * px) / length


def intersect_lines(
    a: tuple[float, float],
    b: tuple[float, float],
    c: tuple[float, float],
    d: tuple[float, float],
) -> Point | None:
    """Crossing of the endless lines through a, b and c, d; `None` when (nearly) parallel.

    Examples
    --------
    >>> intersect_lines((0, 0), (2, 0), (1, -1), (1, 1))
    Point(x=1.0, y=0.0)
    >>> intersect_lines((0, 0), (2, 0), (0, 1), (2, 1)) is None
    True
    """
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = ux * vy - uy * vx
    if abs(cross) <= PARALLEL_SIN * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    t = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / cross
    return Point(a[0] + t * ux, a[1] + t * uy)
