"""The error that is planted on a plate: one number, 6 % off."""

from __future__ import annotations

from fractions import Fraction

from tests.bench.plates_pen import Rng

SLIP = Fraction(6, 100)  # of a planted error
WITHIN = (0.045, 0.08)  # what is left of it when the wrong number is rounded to a step


class Slip:
    """Makes the n-th size that is asked for 6 % wrong."""

    def __init__(self, rng: Rng, which: int) -> None:
        self.way, self.left = int(rng.choice([-1, 1])), which

    def __call__(self, right: Fraction) -> Fraction:
        self.left -= 1
        if self.left != 0:
            return right
        step = Fraction(1, 8) if right > 2 else Fraction(1, 32)
        wrong = round(right * (1 + SLIP * self.way) / step) * step
        if WITHIN[0] < abs(wrong / right - 1) < WITHIN[1]:
            return wrong
        self.left = 1  # a size too small for it: the next one
        return right
