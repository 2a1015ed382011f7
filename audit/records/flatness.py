"""What is left after a photo was made flat: numbers, and how places lie aside."""

from __future__ import annotations

from dataclasses import dataclass

from audit.geometry import Point


@dataclass(frozen=True, slots=True)
class Aside:
    """A place on a sheet, and how far it lies aside of where it should, mm on the paper."""

    place: Point
    dx: float
    dy: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Flatness:
    """How a photo was made flat, and what is left.

    Attributes
    ----------
    by : str
        What it was made flat by, in words.
    lens_before, lens_after : float
        Scatter of the lines that were followed about straight lines, px, without and with the
        lens; equal where no lens was measured.
    k1, k2 : float
        Of the lens, at half the picture's diagonal; 0 where none was measured.
    rms_mm, largest_mm : float
        What is left along the lines, on the paper.
    curled : bool
        The lines bow more than a lens explains: the paper does not lie flat.
    asides : tuple of Aside
        Along the lines, in order; places in the sheet's frame.
    """

    by: str
    lens_before: float
    lens_after: float
    k1: float = 0.0
    k2: float = 0.0
    rms_mm: float
    largest_mm: float
    curled: bool = False
    asides: tuple[Aside, ...] = ()
