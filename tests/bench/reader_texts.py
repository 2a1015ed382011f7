"""Callouts for the reader's benchmark: written here, apart from what training draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Rng = np.random.Generator


@dataclass(frozen=True, slots=True)
class Printed:
    """A callout: `before` and `after` in line, `top` over `bottom` between them when stacked."""

    kind: str
    before: str
    top: str = ""
    bottom: str = ""
    after: str = ""

    @property
    def text(self) -> str:
        """What is printed, fractions as ``a b/c``."""
        if not self.top:
            return f"{self.before}{self.after}"
        gap = " " if self.before[-1:].isdigit() else ""
        return f"{self.before}{gap}{self.top}/{self.bottom}{self.after}"


def shop(rng: Rng) -> tuple[str, str]:
    """A fraction of an inch as rulers have it."""
    bottom = int(rng.choice([2, 4, 8, 16, 32, 64]))
    return str(int(rng.integers(0, bottom // 2)) * 2 + 1), str(bottom)


def off_list(rng: Rng) -> tuple[str, str]:
    """A fraction that no ruler has."""
    while True:
        top, bottom = int(rng.integers(1, 64)), int(rng.integers(3, 64))
        if bottom not in (2, 4, 8, 16, 32, 64) or top >= bottom:
            return str(top), str(bottom)


def stacked(rng: Rng) -> Printed:
    """A stacked shop fraction, mostly with whole inches, at times with a sign or a mark."""
    top, bottom = shop(rng)
    whole = str(rng.integers(1, 40)) if rng.random() < 0.7 else ""
    before = str(rng.choice(["", "", "", "R ", "2X "])) + whole
    return Printed("stacked", before, top, bottom, str(rng.choice(["", "", '"', " TYP"])))


def stacked_off_list(rng: Rng) -> Printed:
    """A stacked fraction that no ruler has."""
    top, bottom = off_list(rng)
    return Printed("off-list", str(rng.integers(1, 20)) if rng.random() < 0.7 else "", top, bottom)


def inline(rng: Rng) -> Printed:
    """An inline fraction."""
    top, bottom = shop(rng)
    whole = f"{rng.integers(1, 40)}{rng.choice([' ', '-'])}" if rng.random() < 0.7 else ""
    return Printed("inline", f"{whole}{top}/{bottom}{rng.choice(['', chr(34), chr(34)])}")


def inline_off_list(rng: Rng) -> Printed:
    """An inline fraction that no ruler has."""
    top, bottom = off_list(rng)
    return Printed("off-list", f"{rng.integers(1, 20)} {top}/{bottom}")


def decimal(rng: Rng) -> Printed:
    """A decimal: leading point, leading whole, comma."""
    value = f"{rng.uniform(0, 30):.{rng.integers(2, 4)}f}"
    forms = [value, value, value.replace(".", ","), f".{rng.integers(100, 1000)}"]
    return Printed("decimal", str(rng.choice(forms)))


def feet(rng: Rng) -> Printed:
    """Feet and inches."""
    return Printed("feet-inches", f"{rng.integers(1, 30)}'-{rng.integers(0, 12)}\"")


def feet_stacked(rng: Rng) -> Printed:
    """Feet, inches and a stacked fraction."""
    top, bottom = shop(rng)
    return Printed("feet-inches", f"{rng.integers(1, 30)}'-{rng.integers(0, 12)}", top, bottom, '"')


def metric(rng: Rng) -> Printed:
    """Millimetres."""
    number = str(rng.integers(3, 900)) + str(rng.choice(["", "", ".5", ",25"]))
    return Printed("metric", number + str(rng.choice(["", " mm", "mm"])))


def signed(rng: Rng) -> Printed:
    """A radius or diameter, with a count or a word."""
    number = f".{rng.integers(100, 1000)}" if rng.random() < 0.5 else str(rng.integers(2, 80))
    before = str(rng.choice(["R", "Ø", "R ", "Ø ", "4X Ø", "2X R", "3X "]))
    return Printed("signed", before + number + str(rng.choice(["", "", " TYP", " THRU", " REF"])))


def toleranced(rng: Rng) -> Printed:
    """A size with plus-minus, an angle, a reference, a second unit."""
    size = f"{rng.uniform(0.1, 9):.3f}"
    forms = (
        f"{size} ±.{rng.integers(1, 10):03d}",
        f"{rng.integers(5, 90)}°",
        f"({size})",
        f"{size} [{rng.uniform(3, 90):.1f}]",
        f"{rng.integers(5, 90)}°30'",
    )
    return Printed("toleranced", str(rng.choice(forms)))


def named(rng: Rng) -> Printed:
    """A thread, a drill, a chamfer, a count, a note."""
    n = int(rng.integers(2, 20))
    forms = (
        "1/4-20 UNC", f"#{n} DRILL", f"M{n} x 1", "1/16 x 45°", f"MAKE {n}", f"{n} REQ'D",
        "ALL PARTS 1/4 THICK", f"DRILL {n} HOLES", "SECTION A-A", f"SCALE 1:{n}", f"{n} PLACES",
        "3/4 PLYWOOD", f"Ø{n} B.C.",
    )  # fmt: skip
    return Printed("named", str(rng.choice(forms)))


def as_drawn(rng: Rng) -> Printed:
    """What stands most on drawings of today: bare, signed and counted sizes, short remarks."""
    n, whole = int(rng.integers(2, 13)), int(rng.integers(2, 500))
    small, three = (
        f".{rng.integers(1, 100):02d}",
        f"{rng.integers(0, 20)}.{rng.integers(0, 1000):03d}",
    )
    top, bottom = shop(rng)
    forms = (
        str(whole), str(whole), f"{whole}.5", f"{whole},5", three, small, f"R{n}", f"R{small}",
        f"Ø{whole}", f"Ø{three}", f"{n}X Ø{three}", f"{n}x Ø{n}", f"{n}X R{small}", f"{n}X {three}",
        f"Ø{n} THRU", f"Ø{whole} (X{n})", f"R{n} (TYP)", f"{whole} TYP", f"{three} REF",
        f"({whole})", f"({three})", f"[{whole}.{n}]", f"{rng.integers(5, 175)}°",
        f"{rng.integers(5, 90)}.5°", f"{whole} ±0.1", f"{three} ±.005", f"Ø{whole} H7", f"M{n}",
        f"M{n}x1.25", f"M{n} - 6H",
        f"{n}X M{n}x0.7", f'{n}"', f'{n} {top}/{bottom}"', f"{n}'-{n % 12}\"", f"{n}' - 0\"",
        f"{n}'-{n % 12} {top}/{bottom}\"", f"{whole}mm", f"{whole} mm", f"C{n}", f"{n}x45°",
        "1/4-20 UNC - 2B", f"{n} PLCS", f"{n} PLACES", f"SCALE 1:{n}", "DETAIL A", "SECTION B-B",
        f"{top}/{bottom}", f"{n} {top}/{bottom}", f"{n}-{top}/{bottom}", f'{top}/{bottom}" THK',
        f"Ø{top}/{bottom}", f"R{top}/{bottom}", f"{n}X Ø{n} {top}/{bottom}",
        f"+{small}", f"-{small}", f"{n}.0", f"0.{n}", f"{whole}.{n:02d}", "TYP", "REF",
        f"Ø{n}.{n}", f"SR{n}", f"SØ{n}",
    )  # fmt: skip
    return Printed("as drawn", str(rng.choice(forms)))


MIXED = (inline, decimal, decimal, feet, metric, signed, signed, toleranced, named)
FRACTIONS = (stacked, stacked, stacked, feet_stacked)
OFF_LIST = (stacked_off_list, inline_off_list)
AS_DRAWN = (*[as_drawn] * 8, stacked, stacked, *MIXED)


def draw_printed(rng: Rng, makers: tuple, count: int) -> list[Printed]:
    """As many callouts as asked, the makers taking turns."""
    return [makers[k % len(makers)](rng) for k in range(count)]
