"""Random sheets with known dimensions, drawn by ezdxf from DIMENSION entities.

The truth comes from the entities, the lines and arrowheads from ezdxf's drawing add-on and its
PyMuPDF back end. Texts are put in as real PDF text where ezdxf computed them, because that back
end turns all text into outlines. Development and held-out styles are kept apart.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from typing import Any, Protocol

import ezdxf
import numpy as np
import pikepdf
import pymupdf
from ezdxf.addons.drawing import Frontend, RenderContext, config, layout
from ezdxf.addons.drawing import pymupdf as drawing_backend
from ezdxf.math import BoundingBox2d, Vec2
from ezdxf.render.arrows import ARROWS

XY = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """A way of dimensioning; lengths in inches on the paper."""

    name: str
    arrow: str = ""
    arrow_size: float = 0.12
    tick: float = 0.0
    height: float = 0.11
    above: int = 1
    gap: float = 0.05
    offset: float = 0.06
    beyond: float = 0.08
    width: int = 18
    texts: str = "inline"
    font: str = "Helvetica"
    unit: str = "fraction"
    horizontal: bool = False


DEVELOPMENT = (
    Style(name="filled above", texts="stack bar"),
    Style(name="filled broken", above=0, texts="stack fill", arrow_size=0.09, height=0.1),
    Style(name="open30 above", arrow="open_30", unit="decimal", texts="characters"),
    Style(
        name="architectural tick",
        arrow="architectural_tick",
        unit="feet",
        texts="words",
        height=0.1,
    ),
    Style(name="oblique", tick=0.08, unit="mm", above=1, font="Times-Roman"),
    Style(name="dot small broken", arrow="dot_small", above=0, texts="diagonal", offset=0.0),
    Style(name="closed blank", arrow="closed_blank", unit="mm", gap=0.03, beyond=0.05),
    Style(name="closed above", arrow="closed", unit="decimal", height=0.12, width=25),
    Style(name="dot above", arrow="dot", arrow_size=0.06, unit="mm", texts="words"),
    Style(name="origin", arrow="origin_indicator", arrow_size=0.08, unit="mm", gap=0.08),
    Style(name="filled box", arrow="box_filled", arrow_size=0.06, above=0, texts="diagonal"),
    Style(name="dot blank", arrow="dot_blank", arrow_size=0.06, unit="decimal", offset=0.1),
    Style(
        name="heavy tick", arrow="architectural_tick", arrow_size=0.1, width=30, texts="stack bar"
    ),
    Style(
        name="heavy tick mm",
        arrow="architectural_tick",
        arrow_size=0.08,
        width=40,
        unit="mm",
        font="Courier",
    ),
    Style(name="heavy oblique", tick=0.09, width=35, texts="stack bare", above=0),
    Style(
        name="small tick", arrow="architectural_tick", arrow_size=0.06, unit="decimal", height=0.09
    ),
    Style(name="heavy filled", arrow_size=0.1, width=35, texts="stack bar"),
    Style(name="heavy open", arrow="open_30", arrow_size=0.1, width=35, unit="mm"),
    Style(name="filled box above", arrow="box_filled", arrow_size=0.07, unit="mm"),
)
HELD_OUT = (
    Style(name="open90 broken", arrow="right_angle", above=0, texts="stack bar", height=0.125),
    Style(name="small filled", arrow_size=0.06, height=0.08, width=13, beyond=0.03),
    Style(name="open above", arrow="open", unit="decimal", font="Courier", height=0.09),
    Style(name="large filled broken", arrow_size=0.18, above=0, unit="feet", texts="stack bare"),
    Style(
        name="tick thick", arrow="architectural_tick", arrow_size=0.09, width=35, texts="stack bare"
    ),
    Style(name="small ring", arrow="dot_smallblank", unit="mm", texts="characters"),
    Style(name="second origin", arrow="origin_indicator_2", arrow_size=0.09, unit="decimal"),
    Style(name="blunt filled", arrow="ez_arrow_filled", texts="words", unit="feet", height=0.1),
    Style(name="blunt blank broken", arrow="ez_arrow_blank", above=0, unit="mm", gap=0.07),
    Style(
        name="tick level", tick=0.1, unit="decimal", horizontal=True, above=0, font="Times-Roman"
    ),
    Style(name="filled level", horizontal=True, above=0, texts="stack bar", offset=0.03),
)


def random_style(rng: np.random.Generator, number: int) -> Style:
    """Draw a style at random, for a set nobody has looked at."""
    arrows = """
        closed_filled closed_filled open_30 open right_angle closed closed_blank architectural_tick
        dot dot_small dot_blank dot_smallblank origin_indicator box_filled
        ez_arrow ez_arrow_blank ez_arrow_filled oblique
        """.split()  # noqa: SIM905  # a word list reads best as one
    arrow = str(rng.choice(arrows))
    small = arrow in ("dot", "dot_blank", "box_filled", "origin_indicator")
    tick = float(rng.uniform(0.06, 0.12)) if arrow == "oblique" else 0.0
    height = float(rng.uniform(0.08, 0.13))
    return Style(
        name=f"random {number}",
        arrow="" if tick or arrow == "closed_filled" else arrow,
        arrow_size=float(rng.uniform(0.05, 0.08) if small else rng.uniform(0.08, 0.16)),
        tick=tick,
        height=height,
        above=int(rng.integers(2)),
        gap=float(rng.uniform(0.3, 0.7)) * height,
        offset=float(rng.uniform(0.0, 0.1)),
        beyond=float(rng.uniform(0.03, 0.12)),
        width=int(rng.choice([13, 18, 25, 35])),
        texts=str(rng.choice(list(_LAYOUTS))),
        font=str(rng.choice(list(_BASE14))),
        unit=str(rng.choice(["fraction", "decimal", "mm", "feet"])),
        horizontal=bool(rng.random() < 0.2),
    )


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
    return spell_length(real + _step(unit) * float(rng.integers(4, 40)), unit)


@dataclass(slots=True)
class _Text:
    text: str
    centre: XY
    angle: float
    height: float
    texts: str
    font: str
    align: int = 5


@dataclass(slots=True)
class _Sheet:
    width: float
    height: float
    style: Style
    rng: np.random.Generator
    doc: Any
    space: Any
    factor: float = 1.0
    slip: Slip = print_wrong
    right: str = ""
    texts: list[_Text] = field(default_factory=list)
    truths: list[Truth] = field(default_factory=list)


def make_sheet(
    style: Style,
    rng: np.random.Generator,
    *,
    slip: Slip = print_wrong,
    factor: float | None = None,
    views: Sequence[View] | None = None,
    most: int | None = None,
    title: View | None = None,
) -> BenchSheet:
    """Draw one sheet with several views, a border, a title block and notes.

    Parameters
    ----------
    style : Style
    rng : numpy.random.Generator
    slip : Slip
        What goes wrong with the printed numbers.
    factor : float, optional
        Real length to a length on paper of every view; drawn at random otherwise.
    views : sequence of View, optional
        What is drawn; `EVERY_VIEW` otherwise.
    most : int, optional
        So many views at most.
    title : callable, optional
        Writes what stands below a view; its name, count and scale otherwise.
    """
    sizes = [(11.0, 8.5), (12.0, 9.0), (17.0, 11.0), (22.0, 17.0)]
    width, height = sizes[int(rng.choice(4, p=[0.5, 0.2, 0.2, 0.1]))]
    doc = ezdxf.new("R2010", setup=True)
    sheet = _Sheet(width, height, style, rng, doc, doc.modelspace(), slip=slip)
    _add_style(sheet)
    _border(sheet)
    columns, rows = int((width - 1.2) // 4.9), int((height - 2.2) // 3.1)
    views, title = views or EVERY_VIEW, title or _title
    for place in range(rows * columns)[:most]:
        row, column = divmod(place, columns)
        x = 0.9 + column * (width - 1.2) / columns
        y = 2.2 + row * (height - 2.2) / rows
        sheet.factor = factor or choose_factor(style.unit, rng)
        views[int(rng.integers(len(views)))](sheet, x + 0.75, y + 0.85)
        title(sheet, x + 2.0, y)
    turn = int(rng.choice([0, 0, 90, 270]))
    return BenchSheet(pdf=_pdf(sheet, turn), truths=_turned(sheet, turn), style=style.name)


def choose_factor(unit: str, rng: np.random.Generator) -> float:
    """Draw the scale of a view: real length, in the unit's own, to inches on paper."""
    choices = {
        "fraction": [1.0, 2.0, 0.5, 4.0],
        "decimal": [1.0, 2.0, 0.5],
        "mm": [25.4, 25.4 * 2, 25.4 * 5, 25.4 / 2],
        "feet": [48.0, 24.0, 16.0],
    }[unit]
    return float(rng.choice(choices))


def _step(unit: str) -> float:
    return {"fraction": 1 / 16, "decimal": 0.005, "mm": 0.5, "feet": 0.5}[unit]


def _round(sheet: _Sheet, paper: float) -> float:
    """Nearest paper length whose real length prints exactly."""
    step = _step(sheet.style.unit)
    return max(round(paper * sheet.factor / step), 1) * step / sheet.factor


def _printed(sheet: _Sheet, paper: float, prefix: str = "") -> str:
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


def _add_style(sheet: _Sheet) -> None:
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


# --- views -----------------------------------------------------------------------------------


def _plate(s: _Sheet, x: float, y: float) -> None:
    rng = s.rng
    w, h = _round(s, rng.uniform(2.2, 3.0)), _round(s, rng.uniform(0.9, 1.4))
    _outline(s, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    count = int(rng.integers(1, 4))
    xs = np.sort(rng.uniform(0.3, w - 0.3, count))
    xs = [_round(s, v) for v in xs if v > 0.25]
    xs = [v for i, v in enumerate(xs) if i == 0 or v - xs[i - 1] > 0.45]
    cy = _round(s, h / 2)
    for v in xs:
        radius = _round(s, rng.uniform(0.08, 0.16))
        _hole(s, (x + v, y + cy), radius)
        if rng.random() < 0.6:
            _diameter(s, (x + v, y + cy), radius, float(rng.uniform(30, 60)))
    stops = [x, *(x + v for v in xs), x + w]
    for a, b in pairwise(stops):
        inner = [y + cy if v not in (x, x + w) else y for v in (a, b)]
        _linear(s, (a, inner[0]), (b, inner[1]), (a, y - 0.35), 0)
    _linear(s, (x, y), (x + w, y), (x, y - 0.68), 0)
    _linear(s, (x, y), (x, y + h), (x - 0.4, y), 90)
    if rng.random() < 0.5:
        _linear(s, (x + w, y), (x + w - 0.0, y + cy), (x + w + 0.4, y), 90)
    if rng.random() < 0.3:
        _hatch(s, [(x, y), (x + w, y), (x + w, y + h * 0.2), (x, y + h * 0.2)])


def _bracket(s: _Sheet, x: float, y: float) -> None:
    rng = s.rng
    w, h = _round(s, rng.uniform(1.8, 2.8)), _round(s, rng.uniform(1.2, 1.6))
    t, u = _round(s, rng.uniform(0.35, 0.6)), _round(s, rng.uniform(0.35, 0.6))
    r = _round(s, rng.uniform(0.12, 0.25))
    corner = (x + t, y + u)
    _outline(s, [(x + t, y + h), (x, y + h), (x, y), (x + w, y), (x + w, y + u)], close=False)
    _line(s, (x + w, y + u), (corner[0] + r, corner[1]), 50)
    _line(s, (x + t, y + h), (corner[0], corner[1] + r), 50)
    centre = (corner[0] + r, corner[1] + r)
    s.space.add_arc(centre, r, 180, 270, dxfattribs={"lineweight": 50})
    _radius(s, centre, r, 225)
    _linear(s, (x, y), (x, y + h), (x - 0.4, y), 90)
    _linear(s, (x, y), (x + w, y), (x, y - 0.4), 0)
    _linear(s, (x, y + h), (x + t, y + h), (x, y + h + 0.35), 0)
    _linear(s, (x + w, y), (x + w, y + u), (x + w + 0.35, y), 90)


def _shaft(s: _Sheet, x: float, y: float) -> None:
    rng = s.rng
    lengths = [_round(s, v) for v in rng.uniform(0.5, 1.1, int(rng.integers(2, 4)))]
    radii = [_round(s, v) for v in rng.uniform(0.2, 0.55, len(lengths))]
    axis = y + 0.7
    at = x
    top = axis + max(radii) + 0.35
    for length, r in zip(lengths, radii, strict=True):
        _outline(
            s, [(at, axis - r), (at + length, axis - r), (at + length, axis + r), (at, axis + r)]
        )
        _linear(s, (at, axis + r), (at + length, axis + r), (at, top), 0)
        at += length
    _linear(s, (x, axis - radii[0]), (at, axis - radii[-1]), (x, axis - max(radii) - 0.4), 0)
    _linear(s, (x, axis - radii[0]), (x, axis + radii[0]), (x - 0.45, y), 90, prefix="Ø")
    _linear(s, (at, axis - radii[-1]), (at, axis + radii[-1]), (at + 0.45, y), 90, prefix="Ø")
    _centre_line(s, (x - 0.15, axis), (at + 0.15, axis))


def _wedge(s: _Sheet, x: float, y: float) -> None:
    rng = s.rng
    w, h = _round(s, rng.uniform(1.8, 2.6)), _round(s, rng.uniform(0.8, 1.4))
    top = _round(s, w * rng.uniform(0.3, 0.6))
    _outline(s, [(x, y), (x + w, y), (x + top, y + h), (x, y + h)])
    _linear(s, (x, y), (x + w, y), (x, y - 0.4), 0)
    _linear(s, (x, y + h), (x + top, y + h), (x, y + h + 0.4), 0)
    _linear(s, (x, y), (x, y + h), (x - 0.4, y), 90)
    _aligned(s, (x + w, y), (x + top, y + h), 0.4)
    steep = math.degrees(math.atan2(h, top - w))
    _angular(s, (x + w, y), 0.7 * min(h, w - top + 0.3), steep, 180.0)


def _disc(s: _Sheet, x: float, y: float) -> None:
    rng = s.rng
    r = _round(s, rng.uniform(0.6, 0.85))
    c = (x + 1.2, y + 0.8)
    _hole(s, c, r)
    inner = _round(s, r * rng.uniform(0.3, 0.45))
    s.space.add_circle(c, inner, dxfattribs={"lineweight": 50})
    s.space.add_circle(
        c, r * 0.75, dxfattribs={"lineweight": 18, "linetype": "CENTER", "ltscale": 0.1}
    )
    _diameter(s, c, r, float(rng.uniform(35, 55)))
    if rng.random() < 0.5:
        _radius(s, c, inner, float(rng.uniform(130, 160)))
    _linear(s, (c[0] - r, c[1]), (c[0] + r, c[1]), (x, c[1] - r - 0.4), 0)


def _steps(s: _Sheet, x: float, y: float) -> None:
    rng = s.rng
    wide = list(rng.choice([0.5, 0.8, 1.0], 4))
    wide[int(rng.integers(4))] = float(rng.choice([0.15, 0.2, 0.3]))
    widths = [_round(s, v) for v in wide]
    heights = [_round(s, v) for v in rng.uniform(0.3, 1.0, 4)]
    points = [(x, y)]
    at = x
    for w, h in zip(widths, heights, strict=True):
        points += [(at, y + h), (at + w, y + h)]
        at += w
    points.append((at, y))
    _outline(s, points)
    at = x
    total = 0.0
    for i, w in enumerate(widths):
        total += w
        if rng.random() < 0.5 or w > 0.3:
            _linear(s, (at, y), (at + w, y), (x, y - 0.35), 0)
        at += w
        if i > 1:
            _linear(s, (x, y + heights[0]), (at, y + heights[i]), (x, y + 1.2 + 0.27 * (i - 2)), 0)
    _linear(s, (x, y), (x, y + heights[0]), (x - 0.4, y), 90)


def _links(s: _Sheet, x: float, y: float) -> None:
    """A rack: chains of narrow links, each as wide as its number at least."""
    rng = s.rng
    widths = [_round(s, v) for v in rng.choice([0.1, 0.14, 0.18, 0.24, 0.3, 0.4, 0.6], 6)]
    steps = [_round(s, v) for v in rng.choice([0.15, 0.2, 0.3], 3)]
    w, h = sum(widths), _round(s, rng.uniform(0.5, 0.9))
    _outline(s, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    at = x
    for width in widths:
        if _fits(s, width):
            _linear(s, (at, y), (at + width, y), (x, y - 0.35), 0)
        at += width
        if at < x + w - 0.01:
            _line(s, (at, y), (at, y + h), 50)
    _linear(s, (x, y), (x + w, y), (x, y - 0.65), 0)
    at = y
    for step in steps:
        if _fits(s, step):
            _linear(s, (x + w, at), (x + w, at + step), (x + w + 0.4, y), 90)
        at += step
    _line(s, (x + w, y + h), (x + w, at), 50)


def _fits(s: _Sheet, paper: float) -> bool:
    """Whether the number of a link stands between its lines."""
    text = spell_length(paper * s.factor, s.style.unit)
    size = s.style.height * 72 / _CAP[s.style.font]
    return _width(text, s.style.font, size) / 72 + 0.03 < paper


View = Callable[[_Sheet, float, float], None]
EVERY_VIEW: tuple[View, ...] = (_plate, _bracket, _shaft, _wedge, _disc, _steps)
ROUND_VIEWS: tuple[View, ...] = (_bracket, _wedge, _disc)
LINK_VIEWS: tuple[View, ...] = (_links,)

# --- entities --------------------------------------------------------------------------------


def _line(s: _Sheet, a: XY, b: XY, width: int, linetype: str = "Continuous") -> None:
    s.space.add_line(a, b, dxfattribs={"lineweight": width, "linetype": linetype, "ltscale": 0.15})


def _outline(s: _Sheet, points: list[XY], *, close: bool = True) -> None:
    s.space.add_lwpolyline(points, close=close, dxfattribs={"lineweight": 50})


def _centre_line(s: _Sheet, a: XY, b: XY) -> None:
    _line(s, a, b, 18, "CENTER")


def _hole(s: _Sheet, c: XY, r: float) -> None:
    s.space.add_circle(c, r, dxfattribs={"lineweight": 50})
    reach = r + 0.08
    _centre_line(s, (c[0] - reach, c[1]), (c[0] + reach, c[1]))
    _centre_line(s, (c[0], c[1] - reach), (c[0], c[1] + reach))


def _hatch(s: _Sheet, points: list[XY]) -> None:
    hatch = s.space.add_hatch(dxfattribs={"lineweight": 13})
    hatch.set_pattern_fill("ANSI31", scale=0.035)
    hatch.paths.add_polyline_path(points, is_closed=True)


def _take(s: _Sheet, entity: Any, kind: str, ends: tuple[XY, ...], text: str) -> None:
    entity.render()
    found = False
    for part in entity.dimension.virtual_entities():
        if part.dxftype() in ("MTEXT", "TEXT"):
            at = part.dxf.insert
            height = part.dxf.char_height if part.dxftype() == "MTEXT" else part.dxf.height
            align = int(part.dxf.attachment_point) if part.dxftype() == "MTEXT" else 5
            angle = _upright(float(part.dxf.get("rotation", 0.0)))
            s.texts.append(
                _Text(text, (at.x, at.y), angle, height, s.style.texts, s.style.font, align)
            )
            found = True
    assert found
    s.truths.append(Truth(kind=kind, ends=ends, text=text, style=s.style.name, right=s.right))


def _upright(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0


def _linear(s: _Sheet, a: XY, b: XY, base: XY, angle: float, *, prefix: str = "") -> None:
    length = abs(b[0] - a[0]) if angle == 0 else abs(b[1] - a[1])
    if length < 0.05:
        return
    text = _printed(s, length, prefix)
    entity = s.space.add_linear_dim(base=base, p1=a, p2=b, angle=angle, dimstyle="S", text=text)
    ends = ((a[0], base[1]), (b[0], base[1])) if angle == 0 else ((base[0], a[1]), (base[0], b[1]))
    _take(s, entity, "distance", ends, text)


def _aligned(s: _Sheet, a: XY, b: XY, distance: float) -> None:
    text = _printed(s, math.dist(a, b))
    entity = s.space.add_aligned_dim(p1=a, p2=b, distance=-distance, dimstyle="S", text=text)
    n = Vec2(b[0] - a[0], b[1] - a[1]).normalize().orthogonal() * -distance
    ends = ((a[0] + n.x, a[1] + n.y), (b[0] + n.x, b[1] + n.y))
    _take(s, entity, "distance", ends, text)


def _radius(s: _Sheet, c: XY, r: float, angle: float) -> None:
    text = _printed(s, r, "R ")
    entity = s.space.add_radius_dim(center=c, radius=r, angle=angle, dimstyle="S", text=text)
    tip = (c[0] + r * math.cos(math.radians(angle)), c[1] + r * math.sin(math.radians(angle)))
    _take(s, entity, "radius", (c, tip), text)


def _diameter(s: _Sheet, c: XY, r: float, angle: float) -> None:
    text = _printed(s, 2 * r, "Ø ")
    entity = s.space.add_diameter_dim(center=c, radius=r, angle=angle, dimstyle="S", text=text)
    dx, dy = r * math.cos(math.radians(angle)), r * math.sin(math.radians(angle))
    _take(s, entity, "diameter", ((c[0] - dx, c[1] - dy), (c[0] + dx, c[1] + dy)), text)


def _angular(s: _Sheet, c: XY, r: float, start: float, stop: float) -> None:
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


def write_note(s: _Sheet, text: str, at: XY, height: float = 0.1, align: int = 4) -> None:
    """Write a text on a sheet; `at` in inches from its lower left, its middle there for 5."""
    s.texts.append(_Text(text, at, 0.0, height, "inline", "Helvetica", align))


def _title(s: _Sheet, x: float, y: float) -> None:
    factor = s.factor / (25.4 if s.style.unit == "mm" else 1)
    scale = f"1:{factor:g}" if factor >= 1 else f"{1 / factor:g}:1"
    name = str(s.rng.choice(["SIDE PLATE", "LIFT STEP", "CAM", "GUIDE", "CRANK"]))
    write_note(s, f"{name}   MAKE {int(s.rng.integers(1, 7))}", (x, y - 0.02), 0.12, 5)
    write_note(s, f"SCALE {scale}", (x, y - 0.2), 0.09, 5)


def _border(s: _Sheet) -> None:
    w, h = s.width, s.height
    _outline(s, [(0.25, 0.25), (w - 0.25, 0.25), (w - 0.25, h - 0.25), (0.25, h - 0.25)])
    _outline(s, [(0.45, 0.45), (w - 0.45, 0.45), (w - 0.45, h - 0.45), (0.45, h - 0.45)])
    for i in range(1, 8):
        x = 0.45 + (w - 0.9) * i / 8
        for y0, y1 in ((0.25, 0.45), (h - 0.45, h - 0.25)):
            _line(s, (x, y0), (x, y1), 25)
            write_note(s, str(9 - i), (x - (w - 0.9) / 16, (y0 + y1) / 2), 0.1, 5)
    for i in range(1, 4):
        y = 0.45 + (h - 0.9) * i / 4
        for x0, x1 in ((0.25, 0.45), (w - 0.45, w - 0.25)):
            _line(s, (x0, y), (x1, y), 25)
            write_note(s, "ABCD"[i], ((x0 + x1) / 2, y - (h - 0.9) / 8), 0.1, 5)
    _table(s, w - 4.45, 0.45)
    for i, text in enumerate(
        ("NOTES", "1. ALL PARTS 1/4 THICK UNLESS NOTED", "2. BREAK SHARP EDGES 1/32 MAX")
    ):
        write_note(s, text, (0.7, 1.3 - 0.18 * i))


def _table(s: _Sheet, x: float, y: float) -> None:
    for i in range(6):
        _line(s, (x, y + 0.22 * i), (x + 4.0, y + 0.22 * i), 25)
    for dx in (0, 0.5, 2.2, 2.8, 4.0):
        _line(s, (x + dx, y), (x + dx, y + 1.1), 25)
    rows = [
        ("ITEM", "NAME", "QTY", "SIZE"),
        ("1", "STEP", "6", "3/8 X 7/8 X 4"),
        ("2", "CAM", "4", "1 5/8 DIA"),
        ("3", "AXLE", "2", "1/4 X 2 1/2"),
        ("4", "BASE", "1", "3/4 X 6 X 9"),
    ]
    for i, row in enumerate(rows):
        for dx, text in zip((0.08, 0.58, 2.28, 2.88), row, strict=True):
            write_note(s, text, (x + dx, y + 1.1 - 0.22 * i - 0.11), 0.09)


# --- PDF -------------------------------------------------------------------------------------


def _pdf(s: _Sheet, turn: int) -> bytes:
    back = drawing_backend.PyMuPdfBackend()
    options = config.Configuration(
        text_policy=config.TextPolicy.IGNORE,
        background_policy=config.BackgroundPolicy.OFF,
        color_policy=config.ColorPolicy.BLACK,
    )
    Frontend(RenderContext(s.doc), back, config=options).draw_layout(s.space)
    page = layout.Page(s.width, s.height, layout.Units.inch, margins=layout.Margins.all(0))
    lines = back.get_pdf_bytes(
        page,
        settings=layout.Settings(fit_page=False, scale=25.4),
        render_box=BoundingBox2d([Vec2(0, 0), Vec2(s.width, s.height)]),
    )
    return _with_text(lines, s, turn)


def _with_text(lines: bytes, s: _Sheet, turn: int) -> bytes:
    pdf = pikepdf.open(io.BytesIO(lines))
    page = pdf.pages[0]
    fonts = pikepdf.Dictionary()
    for name in ("Helvetica", "Times-Roman", "Courier"):
        fonts[f"/{name}"] = pdf.make_indirect(
            pikepdf.Dictionary(
                Type=pikepdf.Name.Font,
                Subtype=pikepdf.Name.Type1,
                BaseFont=pikepdf.Name(f"/{name}"),
                Encoding=pikepdf.Name.WinAnsiEncoding,
            )
        )
    if "/Resources" not in page:
        page.Resources = pikepdf.Dictionary()
    page.Resources.Font = fonts
    content = "\n".join(_text_operators(t) for t in s.texts)
    page.contents_coalesce()
    old = page.Contents.read_bytes()
    w, h = s.width * 72, s.height * 72
    before = {0: "1 0 0 1 0 0", 90: f"0 1 -1 0 {h} 0", 270: f"0 -1 1 0 0 {w}"}[turn]
    if turn:
        page.MediaBox = pikepdf.Array([0, 0, h, w])
        page.Rotate = turn
        for key in ("/CropBox", "/TrimBox", "/ArtBox", "/BleedBox"):
            if key in page:
                del page[key]
    body = f"q {before} cm\nq\n".encode() + old + b"\nQ\n" + content.encode("cp1252") + b"\nQ"
    page.Contents = pdf.make_stream(body)
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def _turned(s: _Sheet, turn: int) -> tuple[Truth, ...]:
    """Truth in the sheet's frame: unrotated page, y down."""
    w, h = s.width * 72, s.height * 72

    def place(p: XY) -> XY:
        x, y = p[0] * 72, p[1] * 72
        if turn == 90:  # user (x, y) -> (h - y, x), page is h wide and w high
            return h - y, w - x
        if turn == 270:
            return y, x
        return x, h - y

    return tuple(replace(t, ends=tuple(place(p) for p in t.ends)) for t in s.truths)


_BASE14 = {"Helvetica": "helv", "Times-Roman": "tiro", "Courier": "cour"}
_CAP = {"Helvetica": 0.718, "Times-Roman": 0.662, "Courier": 0.6}


def _width(text: str, font: str, size: float) -> float:
    plain = text.replace("Ø", "O").replace("°", "*")  # as wide, and in every width table
    return float(pymupdf.get_text_length(plain, fontname=_BASE14[font], fontsize=size))


def _text_operators(t: _Text) -> str:
    size = t.height * 72 / _CAP[t.font]
    parts = re.split(r"(\d+/\d+)", t.text) if t.texts not in ("inline", "characters") else [t.text]
    layouts: list[tuple[Callable[..., tuple[str, float]], str]] = []
    for part in parts:
        if part:
            stacked = re.fullmatch(r"\d+/\d+", part) is not None
            layouts.append((_LAYOUTS[t.texts] if stacked else _LAYOUTS["inline"], part))
    if t.texts == "characters":
        layouts = [(_LAYOUTS["characters"], t.text)]
    pieces, x = [], 0.0
    for draw, part in layouts:
        operators, advance = draw(part, x, size, t.font)
        pieces.append(operators)
        x += advance
    a = math.radians(t.angle)
    c, n = math.cos(a), math.sin(a)
    dx = {1: 0.0, 2: x / 2, 0: x}[t.align % 3]
    dy = {0: t.height * 72, 1: t.height * 36, 2: 0.0}[(t.align - 1) // 3]
    px, py = t.centre[0] * 72, t.centre[1] * 72
    ox, oy = px - dx * c + dy * n, py - dx * n - dy * c
    return f"q {c:.6f} {n:.6f} {-n:.6f} {c:.6f} {ox:.4f} {oy:.4f} cm\n" + "\n".join(pieces) + " Q"


def _show(text: str, x: float, y: float, size: float, font: str) -> str:
    safe = text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
    return f"BT /{font} {size:.4f} Tf {x:.4f} {y:.4f} Td ({safe}) Tj ET"


def _inline(text: str, x: float, size: float, font: str) -> tuple[str, float]:
    return _show(text, x, 0, size, font), _width(text, font, size)


def _characters(text: str, x: float, size: float, font: str) -> tuple[str, float]:
    out, at = [], x
    for letter in text:
        if letter != " ":
            out.append(_show(letter, at, 0, size, font))
        at += _width(letter, font, size)
    return "\n".join(out), at - x


def _stacked(text: str, x: float, size: float, font: str, bar: str) -> tuple[str, float]:
    top, bottom = text.split("/")
    small = 0.7 * size
    cap = _CAP[font] * size
    wide = max(_width(top, font, small), _width(bottom, font, small))
    middle = cap / 2
    lift = 0.12 * size if bar else 0.04 * size
    out = [
        _show(top, x + (wide - _width(top, font, small)) / 2, middle + lift, small, font),
        _show(
            bottom,
            x + (wide - _width(bottom, font, small)) / 2,
            middle - lift - _CAP[font] * small,
            small,
            font,
        ),
    ]
    if bar == "stroke":
        out.append(f".5 w {x:.3f} {middle:.3f} m {x + wide:.3f} {middle:.3f} l S")
    if bar == "fill":
        out.append(f"{x:.3f} {middle - 0.25:.3f} {wide:.3f} .5 re f")
    return "\n".join(out), wide + 0.05 * size


def _diagonal(text: str, x: float, size: float, font: str) -> tuple[str, float]:
    top, bottom = text.split("/")
    small = 0.62 * size
    out, at = [], x
    for piece, y, height in (
        (top, 0.3 * size, small),
        ("/", 0.0, size),
        (bottom, -0.05 * size, small),
    ):
        out.append(_show(piece, at, y, height, font))
        at += _width(piece, font, height)
    return "\n".join(out), at - x


_LAYOUTS: dict[str, Callable[..., tuple[str, float]]] = {
    "inline": _inline,
    "words": _inline,
    "characters": _characters,
    "diagonal": _diagonal,
    "stack bar": lambda *a: _stacked(*a, "stroke"),
    "stack fill": lambda *a: _stacked(*a, "fill"),
    "stack bare": lambda *a: _stacked(*a, ""),
}
