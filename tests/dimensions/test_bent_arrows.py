"""Open arrowheads with bent barbs, with the outline that PGF gives its tip `to` (pgf manual)."""

from __future__ import annotations

import pytest

from audit.dimensions.bent_arrows import find_bent_arrows
from audit.dimensions.ink import Ink
from audit.lengths import Unit
from tests.dimensions.page_builder import PageBuilder, shown

# Of PGF's `to`, in line widths from the tip: where each curve ends, and its two control points.
BARB = ((-0.9, 0.12), (-2.4, 1.2), (-2.64, 2.4))


def bent_head(builder, tip, way, *, width=0.8):
    """Draw two bent barbs in one path, pointing to the right for `way` 1."""
    x, y = tip[0], builder.height - tip[1]

    def place(p, side):
        return f"{x + way * width * p[0]:.4f} {y + side * width * p[1]:.4f}"

    a, b, far = BARB
    builder.raw(
        f"{width} w [] 0 d {place(far, 1)} m {place(b, 1)} {place(a, 1)} {x:.4f} {y:.4f} c "
        f"{place(a, -1)} {place(b, -1)} {place(far, -1)} c S"
    )


def test_bent_barbs_end_a_dimension():
    builder = PageBuilder()
    builder.rectangle((100, 260, 300, 340))
    for x in (100, 180, 300):
        builder.line((x, 196), (x, 255))
    for a, b in ((100, 180), (180, 300)):
        builder.line((a + 0.5, 200), (b - 0.5, 200), 0.8)
        bent_head(builder, (a + 0.4, 200), -1)
        bent_head(builder, (b - 0.4, 200), 1)
        builder.text(str(b - a), ((a + b) / 2, 192))
    found = sorted(shown(d) for d in builder.find(Unit.MM).dimensions)
    assert found == [("distance", "120", 120.0), ("distance", "80", 80.0)]


@pytest.mark.parametrize("way", [1, -1])
def test_tip_and_direction_are_those_of_the_cusp(way):
    builder = PageBuilder()
    bent_head(builder, (200, 300), way)
    [(tip, ux, uy, length, _)] = find_bent_arrows(Ink(builder.page()))
    assert tip == pytest.approx((200, 300), abs=0.01)
    assert (ux, uy) == pytest.approx((way, 0), abs=0.01)
    assert length == pytest.approx(2.64 * 0.8, rel=0.05)


def test_an_arc_without_a_cusp_is_no_arrowhead():
    builder = PageBuilder()
    builder.raw("0.5 w 200 300 m 203 306 206 306 209 300 c S")
    builder.raw("0.5 w 250 300 m 252 305 254 305 256 300 c 258 295 260 295 262 300 c S")
    assert find_bent_arrows(Ink(builder.page())) == []
