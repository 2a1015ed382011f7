"""Hypothesis strategies for lengths and the ways they are written."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from audit.lengths import Length, Unit

SHOP_DENOMINATORS = (1, 2, 4, 8, 16, 32, 64)


@st.composite
def shop_lengths(draw: st.DrawFn) -> Length:
    """Inches as shops write them, 0 to 100, in 64ths or coarser."""
    bottom = draw(st.sampled_from(SHOP_DENOMINATORS))
    return Length(Fraction(draw(st.integers(0, 100 * bottom)), bottom), Unit.IN)


any_lengths = st.builds(
    Length,
    st.fractions(min_value=-5000, max_value=5000, max_denominator=4096),
    st.sampled_from((Unit.IN, Unit.MM)),
)
angles = st.builds(
    Length,
    st.fractions(min_value=-360, max_value=360, max_denominator=21600),
    st.just(Unit.DEG),
)
