"""Drawings for programs to put dimensions in: stepped plates with holes, in mm of paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

import numpy as np

WIDE, HIGH = 297.0, 210.0  # mm of paper
SLIP = 0.06  # share by which a planted number is off

XY = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A dimension to draw: two points in mm of paper (y up), its line `aside` to the left of them.

    The line is level or upright: `upright` says which. `right` is what should stand there when a
    mistake was planted; `form` is what is printed beside the number, see `printed`.
    """

    a: XY
    b: XY
    aside: float
    text: str
    right: str = ""
    form: str = ""

    @property
    def printed(self) -> tuple[str, ...]:
        """Lines that are printed: one, or two over each other.

        Examples
        --------
        >>> Size(a=(0, 0), b=(30, 0), aside=5, text="30", form="limits").printed
        ('30.1', '29.9')
        >>> Size(a=(0, 0), b=(30, 0), aside=5, text="1.20", form="dual").printed
        ('1.20', '[30.5]')
        """
        fine = "0.01" if "." in self.text else "0.1"
        if self.form == "limits":
            middle, off, places = float(self.text), float(fine), len(fine) - 2
            return f"{middle + off:.{places}f}", f"{middle - off:.{places}f}"
        if self.form == "dual":
            inches = "." in self.text
            other = float(self.text) * 25.4 if inches else float(self.text) / 25.4
            return self.text, f"[{other:.1f}]" if inches else f"[{other:.3f}]"
        shapes = {
            "tolerance": f"{self.text} ±{fine}",
            "unequal": f"{self.text} +{fine}/-0",
            "reference": f"({self.text})",
            "typical": f"{self.text} TYP",
        }
        return (shapes.get(self.form, self.text),)

    @property
    def stacked(self) -> str:
        """What is printed, of limits the upper over the lower."""
        return ("/" if self.form == "limits" else " ").join(self.printed)

    @property
    def row(self) -> str:
        """What is printed, in one row: limits the lower first."""
        return "-".join(reversed(self.printed)) if self.form == "limits" else " ".join(self.printed)

    @property
    def ends(self) -> tuple[XY, XY]:
        """Ends on the dimension line."""
        far = math.dist(self.a, self.b)
        nx, ny = -(self.b[1] - self.a[1]) / far, (self.b[0] - self.a[0]) / far
        return tuple((x + self.aside * nx, y + self.aside * ny) for x, y in (self.a, self.b))  # type: ignore[return-value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A level text that belongs to no dimension: foot of its first letter, capitals' height, mm."""

    at: XY
    text: str
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What is to be drawn, in mm of paper with y up; `style` numbers a program's ways to draw.

    Beside the part and its sizes: thin lines, thin rings and labels.
    """

    lines: tuple[tuple[XY, XY], ...]
    circles: tuple[tuple[XY, float], ...]
    notes: tuple[tuple[XY, str], ...]
    sizes: tuple[Size, ...]
    style: int = 0
    thin: tuple[tuple[XY, XY], ...] = ()
    rings: tuple[tuple[XY, float], ...] = ()
    labels: tuple[Label, ...] = ()


# --- parts --------------------------------------------------------------------------------------


def make_drawing(rng: np.random.Generator) -> Drawing:
    """Draw up a sheet: a stepped plate, and often a second part at another scale."""
    unit = str(rng.choice(["mm", "mm", "decimal", "fraction", "feet"]))
    scale = float(
        rng.choice({"mm": [1, 2, 5, 10], "decimal": [1, 2], "fraction": [2, 4]}.get(unit, [24, 48]))
    )
    first = _part(rng, (52.0, 70.0), scale, unit, wide=110.0, high=70.0)
    parts = [first]
    if rng.random() < 0.6:
        parts.append(
            _part(
                rng,
                (215.0, 80.0),
                scale / float(rng.choice([1, 2, 2.5])),
                unit,
                wide=50.0,
                high=60.0,
            )
        )
    sizes = [s for part in parts for s in part.sizes]
    notes = [((60.0, 18.0), f"SCALE 1:{scale:g}"), ((200.0, 12.0), "ALL EDGES DEBURRED")]
    return Drawing(
        lines=(*(x for p in parts for x in p.lines), *_frame()),
        circles=tuple(c for p in parts for c in p.circles),
        notes=tuple(notes),
        sizes=tuple(sizes),
        style=int(rng.integers(4)),
    )


def _frame() -> list[tuple[XY, XY]]:
    x0, y0, x1, y1 = 7.0, 7.0, WIDE - 7, HIGH - 7
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    return [(corners[k], corners[(k + 1) % 4]) for k in range(4)]


def _steps(rng: np.random.Generator, total: float, scale: float, unit: str) -> list[float]:
    """Stations in mm of paper from 0 on, whose true distances can be printed."""
    grid = _grid(unit, scale)
    n = int(rng.integers(2, 6))
    shares = rng.uniform(0.4, 1.6, n)
    if n > 2 and rng.random() < 0.4:
        shares[int(rng.integers(n))] = 0.12
    at = [0.0]
    for share in shares / shares.sum() * total:
        at.append(at[-1] + max(1, round(share / grid)) * grid)
    return at


def _grid(unit: str, scale: float) -> float:
    """Smallest step, mm of paper, that can be printed exactly."""
    return {"mm": 1.0, "decimal": 0.254, "fraction": 25.4 / 16, "feet": 12.7}[unit] / scale


def _part(
    rng: np.random.Generator, at: XY, scale: float, unit: str, *, wide: float, high: float
) -> Drawing:
    x, y = at
    xs = [x + v for v in _steps(rng, wide, scale, unit)]
    ys = [y + v for v in _steps(rng, high * float(rng.uniform(0.6, 1.0)), scale, unit)]
    top = [ys[int(rng.integers(1, len(ys)))] for _ in xs[1:-1]] + [ys[-1]]
    outline: list[XY] = [(xs[0], ys[0])]
    for left, right, h in zip(xs[:-1], xs[1:], top, strict=True):
        outline += [(left, h), (right, h)]
    outline += [(xs[-1], ys[0])]
    lines = [(a, b) for a, b in zip(outline, [*outline[1:], outline[0]], strict=True) if a != b]
    circles = []
    for left, right, h in zip(xs[:-1], xs[1:], top, strict=True):
        if right - left > 12 and h - ys[0] > 12:
            circles.append((((left + right) / 2, (ys[0] + h) / 2), 2.5))

    def size(a: XY, b: XY, aside: float) -> Size:
        return Size(a=a, b=b, aside=aside, text=_print(math.dist(a, b) * scale, unit))

    sizes = [size((a, ys[0]), (b, ys[0]), -9.0) for a, b in pairwise(xs)]
    if len(xs) > 2:
        sizes.append(size((xs[0], ys[0]), (xs[-1], ys[0]), -18.0))
    sizes += [size((xs[0], a), (xs[0], b), 9.0) for a, b in pairwise(ys)]
    if len(ys) > 2:
        sizes.append(size((xs[0], ys[0]), (xs[0], ys[-1]), 18.0))
    for k, ((cx, cy), _) in enumerate(circles[:3]):
        steps = (cx - xs[0]) / _grid(unit, scale)
        if abs(steps - round(steps)) > 1e-6:
            continue
        sizes.append(size((xs[0], ys[-1]), (cx, ys[-1]), 8.0 + 7.5 * k))
        lines.append(((cx, cy - 4), (cx, ys[-1])))
        lines.append(((cx - 4, cy), (cx + 4, cy)))
    return Drawing(lines=tuple(lines), circles=tuple(circles), notes=(), sizes=tuple(sizes))


def _print(real_mm: float, unit: str) -> str:
    if unit == "mm":
        return f"{real_mm:.0f}"
    inches = real_mm / 25.4
    if unit == "decimal":
        return f"{inches:.2f}"
    feet, rest = (divmod(round(inches * 16), 192)) if unit == "feet" else (0, round(inches * 16))
    whole, part = divmod(rest, 16)
    fraction = str(Fraction(part, 16)) if part else ""
    words = " ".join(w for w in (str(whole) if whole or not part else "", fraction) if w)
    if unit == "feet":
        return f"{feet}'-{words}\"" if feet else f'{words}"'
    return words


def with_mistake(sizes: Sequence[Size], rng: np.random.Generator) -> list[Size]:
    """Print one number about six percent off, and differently."""
    order = rng.permutation(len(sizes)).tolist()
    for k in order:
        wrong = _wrong(sizes[k].text, float(rng.choice([-1.0, 1.0])))
        if wrong is not None:
            changed = list(sizes)
            changed[k] = replace(sizes[k], text=wrong, right=sizes[k].text)
            return changed
    return list(sizes)


def _wrong(text: str, way: float) -> str | None:
    if "'" in text or '"' in text or "/" in text:
        feet, _, rest = text.rpartition("'-")
        words = rest.rstrip('"').split()
        value = sum(Fraction(w) for w in words) + 12 * int(feet or 0)
        other = Fraction(round(float(value) * (1 + way * SLIP) * 16), 16)
        if abs(float(other - value)) < 0.04 * float(value):
            return None
        return _print(float(other) * 25.4, "feet" if '"' in text else "fraction")
    value = float(text)
    if "." in text:
        return f"{value * (1 + way * SLIP):.2f}"
    return f"{value * (1 + way * SLIP):.0f}" if value >= 20 else None
