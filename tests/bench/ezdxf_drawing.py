"""A random sheet while it is drawn: its lines, its DIMENSION entities and the truth of each."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Protocol

import numpy as np
from ezdxf.math import Vec2
from ezdxf.render.arrows import ARROWS

from tests.bench.ezdxf_styles import Style
from tests.bench.ezdxf_texts import XY, Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """One dimension as drawn: kind, end points in pt of the sheet's frame, printed text.

    `right` is what should be printed, where something else is.
    """

    kind: str
    ends: tuple[XY, ...]
    text: str
    style: str
    right: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSheet:
    """A one-page PDF and what is on it."""

    pdf: bytes
    truths: tuple[Truth, ...]
    style: str


class Slip(Protocol):
    """A mistake of who lettered the sheet: from what is drawn to what is printed instead."""

    def __call__(self, real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
        """Return the wrong text of a real length whose right one is given; `None`: no mistake."""
        ...


def print_wrong(real: float, right: str, unit: str, rng: np.random.Generator) -> str | None:
    """Print one number in twenty wrong: that must not keep it from being found."""
    if rng.random() >= 0.05:
        return None
    return spell_length(real + step_of(unit) * float(rng.integers(4, 40)), unit)


@dataclass(slots=True)
class Drawing:
    """A sheet while it is drawn; `right` is what its last wrong number should have been."""

    width: float
    height: float
    style: Style
    rng: np.random.Generator
    doc: Any
    space: Any
    factor: float = 1.0
    slip: Slip = print_wrong
    right: str = ""
    texts: list[Text] = field(default_factory=list)
    truths: list[Truth] = field(default_factory=list)


def choose_factor(unit: str, rng: np.random.Generator) -> float:
    """Draw the scale of a view: real length, in the unit's own, to inches on paper."""
    choices = {
        "fraction": [1.0, 2.0, 0.5, 4.0],
        "decimal": [1.0, 2.0, 0.5],
        "mm": [25.4, 25.4 * 2, 25.4 * 5, 25.4 / 2],
        "feet": [48.0, 24.0, 16.0],
    }[unit]
    return float(rng.choice(choices))


def step_of(unit: str) -> float:
    """Smallest step that a unit's numbers are printed to."""
    return {"fraction": 1 / 16, "decimal": 0.005, "mm": 0.5, "feet": 0.5}[unit]


def round_length(sheet: Drawing, paper: float) -> float:
    """Nearest paper length whose real length prints exactly."""
    step = step_of(sheet.style.unit)
    return max(round(paper * sheet.factor / step), 1) * step / sheet.factor


def print_length(sheet: Drawing, paper: float, prefix: str = "") -> str:
    """Text of a dimension; `sheet.right` remembers what it should have been."""
    real = paper * sheet.factor
    right = prefix + spell_length(real, sheet.style.unit)
    wrong = sheet.slip(real, right, sheet.style.unit, sheet.rng)
    sheet.right = right if wrong is not None else ""
    return right if wrong is None else prefix + wrong.removeprefix(prefix)


def spell_length(real: float, unit: str) -> str:
    """Spell a real length (inches; mm for that unit) as a style's unit is printed.

    Examples
    --------
    >>> print(spell_length(3.28125, "fraction"), spell_length(0.5, "decimal"))
    3 9/32 .500
    >>> print(spell_length(40.5, "feet"))
    3'-4 1/2"
    """
    if unit == "mm":
        return f"{real:.1f}".removesuffix(".0")
    if unit == "decimal":
        return f"{real:.3f}".removeprefix("0") if real < 1 else f"{real:.3f}"
    exact = Fraction(round(real * 64), 64)
    if unit == "feet":
        feet, inches = divmod(exact, 12)
        return f"{feet}'-{_mixed(inches)}\"" if feet else f'{_mixed(inches)}"'
    return _mixed(exact)


def _mixed(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def add_style(sheet: Drawing) -> None:
    """Enter a sheet's style as its dimension style."""
    s = sheet.style
    d = sheet.doc.dimstyles.new("S")
    d.dxf.dimtxt, d.dxf.dimasz, d.dxf.dimtad, d.dxf.dimgap = s.height, s.arrow_size, s.above, s.gap
    d.dxf.dimexo, d.dxf.dimexe, d.dxf.dimscale = s.offset, s.beyond, 1
    d.dxf.dimlwd = d.dxf.dimlwe = s.width
    d.dxf.dimtxsty = "OpenSans"
    d.dxf.dimtsz = s.tick
    d.dxf.dimtih = d.dxf.dimtoh = int(s.horizontal)
    if s.arrow:
        name = getattr(ARROWS, s.arrow)
        ARROWS.create_block(sheet.doc.blocks, name)
        d.set_arrows(blk=name)


def draw_line(s: Drawing, a: XY, b: XY, width: int, linetype: str = "Continuous") -> None:
    """Draw a line; its width in hundredths of a mm."""
    s.space.add_line(a, b, dxfattribs={"lineweight": width, "linetype": linetype, "ltscale": 0.15})


def draw_outline(s: Drawing, points: list[XY], *, close: bool = True) -> None:
    """Draw a thick outline."""
    s.space.add_lwpolyline(points, close=close, dxfattribs={"lineweight": 50})


def draw_centre_line(s: Drawing, a: XY, b: XY) -> None:
    """Draw a thin chain line."""
    draw_line(s, a, b, 18, "CENTER")


def draw_hole(s: Drawing, c: XY, r: float) -> None:
    """Draw a circle with its centre lines."""
    s.space.add_circle(c, r, dxfattribs={"lineweight": 50})
    reach = r + 0.08
    draw_centre_line(s, (c[0] - reach, c[1]), (c[0] + reach, c[1]))
    draw_centre_line(s, (c[0], c[1] - reach), (c[0], c[1] + reach))


def draw_hatch(s: Drawing, points: list[XY]) -> None:
    """Hatch an area."""
    hatch = s.space.add_hatch(dxfattribs={"lineweight": 13})
    hatch.set_pattern_fill("ANSI31", scale=0.035)
    hatch.paths.add_polyline_path(points, is_closed=True)


def _take(s: Drawing, entity: Any, kind: str, ends: tuple[XY, ...], text: str) -> None:
    entity.render()
    found = False
    for part in entity.dimension.virtual_entities():
        if part.dxftype() in ("MTEXT", "TEXT"):
            at = part.dxf.insert
            height = part.dxf.char_height if part.dxftype() == "MTEXT" else part.dxf.height
            align = int(part.dxf.attachment_point) if part.dxftype() == "MTEXT" else 5
            angle = _upright(float(part.dxf.get("rotation", 0.0)))
            s.texts.append(
                Text(text, (at.x, at.y), angle, height, s.style.texts, s.style.font, align)
            )
            found = True
    assert found
    s.truths.append(Truth(kind=kind, ends=ends, text=text, style=s.style.name, right=s.right))


def _upright(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0


def dimension_length(s: Drawing, a: XY, b: XY, base: XY, angle: float, *, prefix: str = "") -> None:
    """Dimension a length across (0) or up (90 degrees); none where it is very short."""
    length = abs(b[0] - a[0]) if angle == 0 else abs(b[1] - a[1])
    if length < 0.05:
        return
    text = print_length(s, length, prefix)
    entity = s.space.add_linear_dim(base=base, p1=a, p2=b, angle=angle, dimstyle="S", text=text)
    ends = ((a[0], base[1]), (b[0], base[1])) if angle == 0 else ((base[0], a[1]), (base[0], b[1]))
    _take(s, entity, "distance", ends, text)


def dimension_slope(s: Drawing, a: XY, b: XY, distance: float) -> None:
    """Dimension the distance of two points along its own direction."""
    text = print_length(s, math.dist(a, b))
    entity = s.space.add_aligned_dim(p1=a, p2=b, distance=-distance, dimstyle="S", text=text)
    n = Vec2(b[0] - a[0], b[1] - a[1]).normalize().orthogonal() * -distance
    ends = ((a[0] + n.x, a[1] + n.y), (b[0] + n.x, b[1] + n.y))
    _take(s, entity, "distance", ends, text)


def dimension_radius(s: Drawing, c: XY, r: float, angle: float) -> None:
    """Dimension an arc by its radius."""
    text = print_length(s, r, "R ")
    entity = s.space.add_radius_dim(center=c, radius=r, angle=angle, dimstyle="S", text=text)
    tip = (c[0] + r * math.cos(math.radians(angle)), c[1] + r * math.sin(math.radians(angle)))
    _take(s, entity, "radius", (c, tip), text)


def dimension_diameter(s: Drawing, c: XY, r: float, angle: float) -> None:
    """Dimension a circle across."""
    text = print_length(s, 2 * r, "Ø ")
    entity = s.space.add_diameter_dim(center=c, radius=r, angle=angle, dimstyle="S", text=text)
    dx, dy = r * math.cos(math.radians(angle)), r * math.sin(math.radians(angle))
    _take(s, entity, "diameter", ((c[0] - dx, c[1] - dy), (c[0] + dx, c[1] + dy)), text)


def dimension_angle(s: Drawing, c: XY, r: float, start: float, stop: float) -> None:
    """Dimension an angle between two directions."""
    text, s.right = f"{stop - start:.0f}°", ""
    entity = s.space.add_angular_dim_cra(
        center=c,
        radius=r,
        start_angle=start,
        end_angle=stop,
        distance=0.25,
        dimstyle="S",
        text=text,
    )
    reach = r + 0.25
    legs = tuple(
        (c[0] + reach * math.cos(math.radians(t)), c[1] + reach * math.sin(math.radians(t)))
        for t in (start, stop)
    )
    _take(s, entity, "angle", (c, *legs), text)


def write_note(s: Drawing, text: str, at: XY, height: float = 0.1, align: int = 4) -> None:
    """Write a text on a sheet; `at` in inches from its lower left, its middle there for 5."""
    s.texts.append(Text(text, at, 0.0, height, "inline", "Helvetica", align))
