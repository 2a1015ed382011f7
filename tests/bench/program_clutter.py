"""What stands on a real sheet beside its dimensions, and what real sheets print with a number.

Zones along the border, a title block and a hole table full of numbers, notes, item balloons,
feature control frames, hidden lines, a section's hatching and a pictorial view with sizes of its
own: none of it is a dimension. A number is printed with limits or a tolerance, in two units, in a
box, in parentheses.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from tests.bench.program_parts import HIGH, WIDE, XY, Drawing, Label, Size, make_drawing

EDGE, STRIP = 7.0, 5.0  # mm: the outer border, and how far the inner one stands from it
SMALL = 2.2  # mm, letters of tables
DECORATED = 0.45  # share of sizes with more than a number
LETTER_WIDE = 2.0  # mm, with the gap to the next letter
HEADS = 5.0  # mm of both arrowheads of a size, and the gaps about its text
COS30, SIN30 = math.cos(math.radians(30)), 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class _Clutter:
    """Thin and dashed lines, circles and texts, as they gather."""

    thin: list[tuple[XY, XY]]
    rings: list[tuple[XY, float]]
    labels: list[Label]

    def box(self, x: float, y: float, wide: float, high: float) -> None:
        corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high), (x, y)]
        self.thin.extend(pairwise(corners))

    def write(self, x: float, y: float, text: str, high: float = SMALL) -> None:
        self.labels.append(Label(at=(x, y), text=text, high=high))

    def arrow(self, tail: XY, tip: XY) -> None:
        """A leader with an arrowhead of two strokes."""
        self.thin.append((tail, tip))
        way = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
        for turn in (-0.26, 0.26):
            barb = (tip[0] + 2.4 * math.cos(way + turn), tip[1] + 2.4 * math.sin(way + turn))
            self.thin.append((tip, barb))


def make_crowded(rng: np.random.Generator) -> Drawing:
    """Draw up a sheet as `make_drawing` does, and crowd it as real sheets are."""
    bare = make_drawing(rng)
    unit = "inch" if any("." in s.text for s in bare.sizes) else "other"
    if all(s.text.isdigit() for s in bare.sizes):
        unit = "mm"
    said = next(text for _, text in bare.notes if text.startswith("SCALE"))
    clutter = _Clutter(thin=[], rings=[], labels=[])
    _border(clutter)
    _title_block(clutter, rng, said if rng.random() < 0.6 else "SCALE AS NOTED", unit)
    _hole_table(clutter, rng)
    _notes(clutter, unit)
    _balloons(clutter, bare)
    _control_frame(clutter, bare)
    _hidden_and_section(clutter, bare)
    _pictorial(clutter, bare)
    return replace(
        bare,
        notes=(),
        thin=tuple(clutter.thin),
        rings=tuple(clutter.rings),
        labels=tuple(clutter.labels),
        sizes=tuple(_decorated(bare.sizes, unit, rng)),
    )


def _border(c: _Clutter) -> None:
    x0, y0, x1, y1 = EDGE + STRIP, EDGE + STRIP, WIDE - EDGE - STRIP, HIGH - EDGE - STRIP
    c.box(x0, y0, x1 - x0, y1 - y0)
    for k in range(8):
        x = x0 + (x1 - x0) * k / 8
        for low in (EDGE, y1):
            c.thin.append(((x, low), (x, low + STRIP)))
            c.write(x + (x1 - x0) / 16 - 1, low + 1.3, str(8 - k))
    for k in range(4):
        y = y0 + (y1 - y0) * k / 4
        for left in (EDGE, x1):
            c.thin.append(((left, y), (left + STRIP, y)))
            c.write(left + 1.6, y + (y1 - y0) / 8, "DCBA"[3 - k])


def _title_block(c: _Clutter, rng: np.random.Generator, scale: str, unit: str) -> None:
    x, y, wide = WIDE - EDGE - STRIP - 110, EDGE + STRIP, 110.0
    c.box(x, y, wide, 28)
    for level in (7.0, 14.0, 21.0):
        c.thin.append(((x, y + level), (x + wide, y + level)))
    for far in (30.0, 62.0, 88.0):
        c.thin.append(((x + far, y), (x + far, y + 21)))
    number = int(rng.integers(10000, 99999))
    rows = (
        (
            f"{scale}",
            f"SHEET {int(rng.integers(1, 4))} OF 3",
            f"REV {int(rng.integers(1, 9))}",
            "A",
        ),
        ("DRAWN 14.03.2021", "MASS 0.482 kg", "WT 1.06", f"{number}"),
        (".X ±0.5", ".XX ±0.25", "Ra 3.2", "ISO 2768"),
    )
    for k, row in enumerate(rows):
        for far, text in zip((0.0, 30.0, 62.0, 88.0), row, strict=True):
            c.write(x + far + 1.5, y + 7 * k + 2.3, text)
    c.write(x + 2, y + 23, f"STEPPED PLATE {number}-04", 3.0)
    if unit == "inch":
        c.write(x + 62, y + 23, "DIMENSIONS IN INCHES", 2.2)
    if unit == "mm":
        c.write(x + 62, y + 23, "DIMENSIONS IN MM", 2.2)


def _hole_table(c: _Clutter, rng: np.random.Generator) -> None:
    x, y = 14.0, HIGH - EDGE - STRIP - 22
    for k in range(5):
        c.thin.append(((x, y + 5 * k), (x + 62, y + 5 * k)))
    for far in (0.0, 12.0, 28.0, 44.0, 62.0):
        c.thin.append(((x + far, y), (x + far, y + 20)))
    rows = [("TAG", "X LOC", "Y LOC", "SIZE")]
    for k in range(3):
        at = rng.integers(5, 90, 2)
        rows.append((f"A{k + 1}", f"{at[0]}.5", f"{at[1]}", f"Ø {int(rng.integers(4, 12))} THRU"))
    for k, row in enumerate(rows):
        for far, text in zip((0.0, 12.0, 28.0, 44.0), row, strict=True):
            c.write(x + far + 1.2, y + 15 - 5 * k + 1.4, text)


def _notes(c: _Clutter, unit: str) -> None:
    edges = "0.02 MAX" if unit == "inch" else "0.5 MAX"
    for k, text in enumerate(
        ("NOTES:", f"1. BREAK SHARP EDGES {edges}", "2. MATERIAL: 6061-T6", "3. MAKE 2")
    ):
        c.write(14.5, 33 - 4.5 * k, text, 2.5)


def _balloons(c: _Clutter, bare: Drawing) -> None:
    _, y = bare.lines[0][0]
    right = max(max(a[0], b[0]) for a, b in bare.lines if max(a[0], b[0]) < 180)
    for k in range(2):
        middle = (right + 12.0, y + 12.0 + 14.0 * k)
        c.rings.append((middle, 3.6))
        c.write(middle[0] - 0.8, middle[1] - 1.2, str(k + 1), 2.5)
        c.arrow((middle[0] - 3.6, middle[1]), (right, middle[1] - 2))


def _control_frame(c: _Clutter, bare: Drawing) -> None:
    """A feature control frame under a hole's callout, with a leader to the hole."""
    if not bare.circles:
        return
    (cx, cy), radius = bare.circles[-1]
    x, y = min(cx + 14.0, WIDE - EDGE - STRIP - 30.0), min(cy + 40.0, HIGH - 64.0)
    for far, wide, text in (
        (0.0, 6.0, ""),
        (6.0, 12.0, "Ø0.2"),
        (18.0, 5.0, "A"),
        (23.0, 5.0, "B"),
    ):
        c.box(x + far, y, wide, 5)
        c.write(x + far + 1.2, y + 1.4, text)
    c.rings.append(((x + 3, y + 2.5), 1.4))
    c.thin.extend([((x + 1, y + 2.5), (x + 5, y + 2.5)), ((x + 3, y + 0.5), (x + 3, y + 4.5))])
    lean = math.atan2(y + 2.5 - cy, x - 3 - cx)
    c.thin.append(((x, y + 2.5), (x - 3, y + 2.5)))
    c.arrow((x - 3, y + 2.5), (cx + radius * math.cos(lean), cy + radius * math.sin(lean)))


def _hidden_and_section(c: _Clutter, bare: Drawing) -> None:
    """A hidden edge along the part's foot, and a hatched strip within its first step."""
    (x, y), (_, top) = bare.lines[0]
    high = min(8.0, 0.4 * (top - y))
    right = min(b[0] for a, b in bare.lines[:8] if b[0] > x + 1)
    at = x
    while at + 2 < x + 90:
        c.thin.append(((at, y + 4.0), (at + 2, y + 4.0)))
        at += 3.0
    for k in range(int((right - x) / 1.5)):
        foot = x + 1.5 * k
        far = min(high, right - foot)
        c.thin.append(((foot, y), (foot + far, y + far)))


def _pictorial(c: _Clutter, bare: Drawing) -> None:
    """A box seen from a corner, with two sizes along its slanted edges, true in the part only."""
    x, y = 232.0, 163.0
    wide, deep, high = 30.0, 18.0, 10.0
    a = (x + wide * COS30, y + wide * SIN30)
    b = (x - deep * COS30, y + deep * SIN30)
    d = (a[0] - deep * COS30, a[1] + deep * SIN30)

    def up(p: XY) -> XY:
        return (p[0], p[1] + high)

    foot = (x, y)
    c.thin.extend([(foot, a), (foot, b), (foot, up(foot)), (a, up(a)), (b, up(b))])
    c.thin.extend([(up(foot), up(a)), (up(foot), up(b)), (up(a), up(d)), (up(b), up(d))])
    for near, far, text in ((foot, a, bare.sizes[0].text), (foot, b, bare.sizes[-1].text)):
        low = ((near[0], near[1] - 6), (far[0], far[1] - 6))
        c.thin.extend(
            ((p[0], p[1] - 1), (q[0], q[1] - 1.5)) for p, q in zip((near, far), low, strict=True)
        )
        c.arrow(low[0], low[1])
        c.arrow(low[1], low[0])
        middle = ((low[0][0] + low[1][0]) / 2, (low[0][1] + low[1][1]) / 2)
        c.write(middle[0] - 4, middle[1] - 4, text, 2.5)


def _decorated(sizes: Sequence[Size], unit: str, rng: np.random.Generator) -> list[Size]:
    """Print more than the number with sizes that have room; those without room for it are left out.

    A sheet in two units prints all sizes in both.
    """
    dual = unit != "other" and rng.random() < 0.25
    done = []
    for s in sizes:
        form = "dual" if dual else _form(unit, rng)
        full = replace(s, form=form)
        done += [one for one in (full, s) if _has_room(one)][:1]
    return done


def _has_room(size: Size) -> bool:
    letters = len(" ".join(size.printed))
    return math.dist(size.a, size.b) > LETTER_WIDE * letters + HEADS


def _form(unit: str, rng: np.random.Generator) -> str:
    if rng.random() >= DECORATED:
        return ""
    if unit == "other":
        return str(rng.choice(["reference", "typical"]))
    return str(rng.choice(["tolerance", "limits", "boxed", "reference", "typical", "unequal"]))
