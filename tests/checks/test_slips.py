"""Slips worth naming, and coincidences that are not."""

from __future__ import annotations

from fractions import Fraction

import pytest

from audit.checks import name_slip
from audit.lengths import Callout, CalloutKind, Length, Unit


def said(value, *, unit=Unit.IN, kind=CalloutKind.DISTANCE, step=Fraction(0)):
    return Callout(text=str(value), kind=kind, size=Length(Fraction(value), unit), step=step)


@pytest.mark.parametrize(
    ("callout", "scaled", "words"),
    [
        (said("3/4", kind=CalloutKind.RADIUS), 0.375, "as a diameter it fits"),
        (said("3/4", kind=CalloutKind.DIAMETER), 1.5, "as a radius it fits"),
        (said("3/4"), 1.5, "twice as much fits (1 1/2)"),
        (said("5/2"), 1.25, "half of it fits (1 1/4)"),
        (said(40), 1.575, "read as millimetres it fits"),
        (said(2, unit=Unit.MM), 50.8, "read as inches it fits"),
        (said("7/16"), 1.4375, "1 7/16"),
        (said("39/16"), 1.4375, "too many (1 7/16)"),
        (said("5/16"), 5 / 32, "half of it fits (5/32)"),
        (said("37/16"), 2.15625, "other denominator (2 5/32)"),
        (said("5/32"), 0.3125, "twice as much fits (5/16)"),
        (said("3.215", step=Fraction(1, 1000)), 3.125, "two digits swapped (3 1/8)"),
        (said(72, unit=Unit.MM), 27.0, "two digits swapped (27)"),
        (said("85/4"), 12.25, "two digits swapped (12 1/4)"),
        (said(30, unit=Unit.DEG), 60.0, "complement"),
    ],
)
def test_likely_slips_are_named(callout, scaled, words):
    assert words in name_slip(callout, scaled, allowed=0.02)


def test_an_ordinary_difference_is_not_explained_away():
    assert name_slip(said("27/8"), 3.28, allowed=0.02) is None


def test_a_shop_fraction_is_no_number_of_millimetres():
    assert name_slip(said("717/32"), 0.882, allowed=0.02) is None
    decimal = said("22.4", step=Fraction(1, 10))
    assert name_slip(decimal, 0.882, allowed=0.02) == "read as millimetres it fits"


def test_a_coarse_sheet_explains_nothing():
    """With U of half an inch half the slips would fit anything."""
    assert name_slip(said("3/4"), 1.5, allowed=0.5) is None


def test_a_callout_without_a_size_has_no_slip():
    assert name_slip(Callout(text="DO", size=None), 1.0, allowed=0.01) is None
