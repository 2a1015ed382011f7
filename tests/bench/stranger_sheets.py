"""Sheets cut out of other people's DXF drawings, with the truth of their DIMENSION entities.

Dimensions that stand near each other, with all that is drawn around them, become one page at a
usual scale. Texts are put in as real PDF text or left as outlines, as ezdxf's drawing add-on draws
them. The truth is the entity's: its definition points, its measurement, the text in its block.
"""

from __future__ import annotations

import io
import logging
import math
import unicodedata
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import ezdxf.bbox
import numpy as np
import pikepdf
import pymupdf
from ezdxf import recover
from ezdxf.addons.drawing import RenderContext, config, layout
from ezdxf.addons.drawing import pymupdf as drawing_backend
from ezdxf.addons.drawing.frontend import UniversalFrontend
from ezdxf.addons.drawing.pipeline import RenderPipeline2d
from ezdxf.lldxf.const import DXFError
from ezdxf.math import BoundingBox2d, Vec2

from tests.bench.ezdxf_drawing import BenchSheet, Truth

TEXT_MM = 2.5  # height of a dimension's text on the paper
# Denominators of scales in use: ISO 5455:1979 and the steps between them that drawings have.
SCALES = (0.5, 1, 2, 2.5, 4, 5, 10, 20, 25, 40, 50, 60, 75, 80, 100, 150, 200, 250, 300, 500, 1000)
NEAR = 22.0  # text heights between dimensions of one sheet
MARGIN = 14.0  # text heights around the dimensions
LARGEST_MM = 900.0  # sides beyond an A0 sheet's are left out
FEWEST = 3  # dimensions of a sheet worth cutting
AS_SAID = 0.012  # share by which a printed number may differ from its length and be rounding
CAP = 0.718  # of Helvetica, cap height to size

ODD = "not as drawn"  # typed over by the drafter, or of a detail drawn larger: earns a finding
LINEAR, ALIGNED, DIAMETER, RADIUS = 0, 1, 3, 4  # DXF group 70 of a DIMENSION, low bits
XY = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class StrangeSheet:
    """A window of a drawing: its file's name, the page, and what else was drawn on it.

    `others` counts dimensions of kinds that are not looked for or print no number.
    """

    name: str
    page: BenchSheet
    others: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Size:
    entity: Any
    kind: str
    ends: tuple[XY, ...]
    text: str
    height: float
    box: BoundingBox2d
    right: str = ""
    wrong: str = ""


def read_drawing(path: Path) -> Any:
    """Open a DXF file as well as it can be; ezdxf's own words about its faults are dropped."""
    logging.getLogger("ezdxf").setLevel(logging.ERROR)
    document, _ = recover.readfile(path)
    return document


def cut_sheets(
    path: Path, *, outlined: bool = False, plant: np.random.Generator | None = None
) -> Iterator[StrangeSheet]:
    """Cut the sheets out of a drawing.

    Parameters
    ----------
    path : Path
        A DXF file.
    outlined : bool
        Leave the texts as outlines, without a text layer.
    plant : numpy.random.Generator, optional
        Print one number in twenty six percent off; at least one of a sheet.
    """
    document = read_drawing(path)
    space = document.modelspace()
    sizes = [size for e in space.query("DIMENSION") for size in [_size_of(e)] if size is not None]
    cache = ezdxf.bbox.Cache()
    boxes = [(e, ezdxf.bbox.extents([e], fast=True, cache=cache)) for e in space]
    for number, group in enumerate(_groups(sizes), 1):
        telling = [s for s in group if s.text]
        if len(telling) < FEWEST:
            continue
        height = float(np.median([s.height for s in telling]))
        scale = min(SCALES, key=lambda n: abs(math.log(height / n / TEXT_MM)))
        window = BoundingBox2d(v for s in group for v in (s.box.extmin, s.box.extmax))
        window.grow(MARGIN * height)
        if max(window.size) / scale > LARGEST_MM:
            continue
        if plant is not None:
            telling = _with_mistakes(telling, plant)
        inside = {
            id(e)
            for e, box in boxes
            if box.has_data
            and max(box.size.x, box.size.y) < 3 * max(window.size)
            and window.has_overlap(BoundingBox2d([box.extmin, box.extmax]))
        }
        page = _draw(document, inside, window, scale, telling, outlined=outlined)
        yield StrangeSheet(
            name=f"{path.stem} {number}",
            page=BenchSheet(
                pdf=page,
                truths=tuple(_truth(s, window, scale) for s in telling),
                style=path.stem,
            ),
            others=len(group) - len(telling),
        )


def _size_of(entity: Any) -> _Size | None:
    """Take what a dimension says of itself; `None` for one without a block to draw."""
    block = entity.get_geometry_block()
    if block is None:
        return None
    texts = [e for e in block if e.dxftype() in ("TEXT", "MTEXT")]
    box = ezdxf.bbox.extents(block, fast=True)
    if not texts or not box.has_data:
        return None
    text = "\n".join(_plain(t) for t in texts).strip()
    height = texts[0].dxf.char_height if texts[0].dxftype() == "MTEXT" else texts[0].dxf.height
    kind, ends = _kind_and_ends(entity)
    length = math.dist(ends[0], ends[1]) if ends else 0.0
    number = _number(text)
    known = bool(kind) and number is not None and length > 0
    return _Size(
        entity=entity,
        kind=kind,
        ends=ends,
        text=text if known else "",
        height=height,
        box=BoundingBox2d([box.extmin, box.extmax]),
        right="" if number is None or _says(number, entity, length) else ODD,
    )


def _plain(text: Any) -> str:
    return str(text.plain_text() if text.dxftype() == "MTEXT" else text.dxf.text)


def _number(text: str) -> float | None:
    bare = text.replace(",", "").lstrip("RØ%cC ")
    try:
        return float(bare)
    except ValueError:
        return None


def _says(number: float, entity: Any, length: float) -> bool:
    """Whether a printed number is the length, in drawing units or by the style's own factor."""
    factor = abs(float(entity.override().get("dimlfac", 1.0))) or 1.0
    said = [length * factor, length]
    return any(abs(number - s) <= max(AS_SAID * s, 0.51) for s in said)


def _kind_and_ends(entity: Any) -> tuple[str, tuple[XY, ...]]:
    """Kind and ends, on the dimension line; nothing for kinds that are not looked for here."""
    kind = entity.dimtype
    d = entity.dxf
    if kind in (LINEAR, ALIGNED):
        a, b, at = (Vec2(p) for p in (d.defpoint2, d.defpoint3, d.defpoint))
        way = Vec2.from_deg_angle(d.get("angle", 0.0)) if kind == LINEAR else (b - a)
        if way.magnitude == 0:
            return "", ()
        way = way.normalize()
        ends = tuple(at + way * way.dot(p - at) for p in (a, b))
        return "distance", tuple((p.x, p.y) for p in ends)
    if kind in (DIAMETER, RADIUS):
        a, b = Vec2(d.defpoint), Vec2(d.defpoint4)
        return ("diameter" if kind == DIAMETER else "radius"), ((a.x, a.y), (b.x, b.y))
    return "", ()


def _groups(sizes: Sequence[_Size]) -> list[list[_Size]]:
    """Dimensions that stand near each other, those with most of them first."""
    parent = list(range(len(sizes)))

    def root(k: int) -> int:
        while parent[k] != k:
            k = parent[k]
        return k

    grown = []
    for size in sizes:
        box = BoundingBox2d([size.box.extmin, size.box.extmax])
        box.grow(NEAR * size.height / 2)
        grown.append(box)
    for i, box in enumerate(grown):
        for j in range(i):
            if root(i) != root(j) and box.has_overlap(grown[j]):
                parent[root(i)] = root(j)
    groups: dict[int, list[_Size]] = {}
    for k, size in enumerate(sizes):
        groups.setdefault(root(k), []).append(size)
    return sorted(groups.values(), key=len, reverse=True)


def _with_mistakes(sizes: Sequence[_Size], rng: np.random.Generator) -> list[_Size]:
    """Print one number in twenty six percent off, and at least one."""
    may = [k for k, s in enumerate(sizes) if not s.right and (_number(s.text) or 0) >= 20]
    wrong = set(rng.permutation(may)[: max(1, round(len(sizes) / 20))].tolist())
    done = []
    for k, size in enumerate(sizes):
        if k not in wrong:
            done.append(size)
            continue
        value = (_number(size.text) or 0.0) * (1 + 0.06 * float(rng.choice([-1, 1])))
        text = f"{value:,.0f}" if "," in size.text else f"{value:.0f}"
        head = size.text[: len(size.text) - len(size.text.lstrip("RØ%cC "))]
        done.append(replace(size, wrong=head + text, right=size.text))
    return done


def _truth(size: _Size, window: BoundingBox2d, scale: float) -> Truth:
    k = 72 / 25.4 / scale
    ends = tuple(((x - window.extmin.x) * k, (window.extmax.y - y) * k) for x, y in size.ends)
    text = size.wrong or size.text
    return Truth(kind=size.kind, ends=ends, text=text, style="", right=size.right)


# --- the page --------------------------------------------------------------------------------


class _Lettering(RenderPipeline2d):
    """Keeps the texts of a drawing instead of drawing them."""

    def __init__(self, back: Any) -> None:
        super().__init__(back)
        self.kept: list[tuple[str, Any, float, float]] = []

    def draw_text(
        self, text: str, transform: Any, properties: Any, cap_height: float, dxftype: str = "TEXT"
    ) -> None:
        """Keep one line of text: its letters, where it goes, cap height, width before it goes."""
        face = properties.font or self.default_font_face
        width = self.text_engine.get_text_line_width(text, face, cap_height)
        self.kept.append((text, transform, cap_height, width))


def _draw(
    document: Any,
    inside: Set[int],
    window: BoundingBox2d,
    scale: float,
    sizes: Sequence[_Size],
    *,
    outlined: bool,
) -> bytes:
    back = drawing_backend.PyMuPdfBackend()
    options = config.Configuration(
        background_policy=config.BackgroundPolicy.OFF, color_policy=config.ColorPolicy.BLACK
    )
    pipeline = RenderPipeline2d(back) if outlined else _Lettering(back)
    before = _reletter(sizes)
    try:
        UniversalFrontend(RenderContext(document), pipeline, options).draw_layout(
            document.modelspace(), filter_func=lambda e: id(e) in inside
        )
    except DXFError as error:  # one broken entity of a stranger's file
        logging.getLogger(__name__).warning("%s", error)
    finally:
        for text, was in before:
            _letter(text, was)
    w, h = window.size.x / scale, window.size.y / scale
    page = layout.Page(w, h, layout.Units.mm, margins=layout.Margins.all(0))
    pdf = back.get_pdf_bytes(
        page,
        settings=layout.Settings(fit_page=False, scale=1 / scale, crop_at_margins=True),
        render_box=window,
    )
    if isinstance(pipeline, _Lettering):
        return _with_texts(pdf, pipeline.kept, window, scale)
    return pdf


def _reletter(sizes: Sequence[_Size]) -> list[tuple[Any, str]]:
    """Print what is wrong in the place of what is right; what stood there, to put it back."""
    before = []
    for size in sizes:
        block = size.entity.get_geometry_block() if size.wrong else None
        for text in block or ():
            if text.dxftype() in ("TEXT", "MTEXT") and _number(_plain(text)) is not None:
                before.append((text, text.text if text.dxftype() == "MTEXT" else text.dxf.text))
                _letter(text, size.wrong)
    return before


def _letter(text: Any, said: str) -> None:
    if text.dxftype() == "MTEXT":
        text.text = said
    else:
        text.dxf.text = said


def _with_texts(
    pdf: bytes, texts: Sequence[tuple[str, Any, float, float]], window: BoundingBox2d, scale: float
) -> bytes:
    file = pikepdf.open(io.BytesIO(pdf))
    page = file.pages[0]
    font = pikepdf.Dictionary(
        Type=pikepdf.Name.Font,
        Subtype=pikepdf.Name.Type1,
        BaseFont=pikepdf.Name.Helvetica,
        Encoding=pikepdf.Name.WinAnsiEncoding,
    )
    if "/Resources" not in page:
        page.Resources = pikepdf.Dictionary()
    page.Resources.Font = pikepdf.Dictionary(Helvetica=file.make_indirect(font))
    k = 72 / 25.4 / scale
    shown = [_show(*text, window=window, k=k) for text in texts]
    page.contents_coalesce()
    old = page.Contents.read_bytes()
    page.Contents = file.make_stream(b"q\n" + old + b"\nQ\n" + b"\n".join(shown))
    out = io.BytesIO()
    file.save(out)
    return out.getvalue()


def _show(
    text: str, transform: Any, cap: float, width: float, *, window: BoundingBox2d, k: float
) -> bytes:
    """PDF operators of one text; nothing for letters that a standard font does not have."""
    a, b = transform.transform((0, 0, 0)), transform.transform((1, 0, 0))
    up = transform.transform((0, 1, 0))
    latin = unicodedata.normalize("NFKD", text.replace("%%c", "Ø").replace("⌀", "Ø"))
    letters = latin.encode("cp1252", "ignore")
    if not letters.strip() or not window.inside(Vec2(a)):
        return b""
    size = cap * k * (up - a).magnitude / CAP
    wide = pymupdf.get_text_length(letters.decode("cp1252").replace("Ø", "O"), "helv", size)
    squeeze = 100.0 if not wide else 100.0 * width * k * (b - a).magnitude / wide
    c, s = (b.x - a.x) / (b - a).magnitude, (b.y - a.y) / (b - a).magnitude
    x, y = (a.x - window.extmin.x) * k, (a.y - window.extmin.y) * k
    safe = letters.replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)")
    head = f"BT /Helvetica {size:.3f} Tf {min(max(squeeze, 50), 160):.1f} Tz "
    place = f"{c:.5f} {s:.5f} {-s:.5f} {c:.5f} {x:.3f} {y:.3f} Tm ("
    return head.encode() + place.encode() + safe + b") Tj ET"
