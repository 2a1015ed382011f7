"""Text at the end of a dimension line that turns off square behind its arrowhead.

ISO 129-1 lets a size that has no room stand at the end of such a line, drawn in one with the
dimension line; CAD programs bend it towards the text.
"""

from __future__ import annotations

from collections.abc import Sequence

from audit.dimensions.candidates import TextPlace
from audit.dimensions.ink import Ink, Line

BEYOND_PT = 3.0  # the dimension line runs on so far past the end, or there is no tail to bend
GAP_PT = 3.0  # in the ink of the tail
AT_CORNER_PT = 1.5  # between the end of the tail and the stroke that goes on from it
SHORTEST_PT, LONGEST_PT = 3.0, 72.0  # of that stroke: a shelf, and no edge of the part
SQUARE_DEG = 82.0


def elbow_places(
    ink: Ink, line: Line, spans: Sequence[tuple[float, float]], low: float, high: float
) -> list[TextPlace]:
    """Find where a dimension line is bent towards its text.

    Parameters
    ----------
    ink : Ink
    line : Line
        The dimension line.
    spans : sequence of tuple of float
        What is drawn of it, along it.
    low : float
        Where it begins, along it.
    high : float
        Where it ends.

    Returns
    -------
    list of TextPlace
        At the far end of each stroke that goes on square from where its ink ends.
    """
    starts = [a for a, b in spans if b > low - GAP_PT and a < low - BEYOND_PT]
    stops = [b for a, b in spans if a < high + GAP_PT and b > high + BEYOND_PT]
    corners = ([min(starts)] if starts else []) + ([max(stops)] if stops else [])
    return [place for corner in corners for place in _shelves(ink, line, corner)]


def _shelves(ink: Ink, line: Line, along: float) -> list[TextPlace]:
    corner = line.at(along)
    places = []
    for i in ink.near(corner, AT_CORNER_PT):
        length = float(ink.lengths[i])
        stroke = ink.line_of(i)
        if not SHORTEST_PT < length < LONGEST_PT:
            continue
        if stroke.turned_from(line.ux, line.uy) < SQUARE_DEG:
            continue
        near, far = sorted(ink.end_points(i), key=corner.distance)
        if corner.distance(near) > AT_CORNER_PT:
            continue
        way = Line(near.x, near.y, (far.x - near.x) / length, (far.y - near.y) / length)
        places.append(TextPlace(line=way, low=0.0, high=length, ink=((0.0, length),), tail=True))
    return places
