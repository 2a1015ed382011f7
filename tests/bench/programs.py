"""Programs that draw dimensions their own way: each makes a PDF of a drawing, or fails.

LibreOffice Draw, TikZ with `tikz-dimline`, LibreCAD, and, in a Python of their own, Matplotlib and
build123d's drafting; Asymptote, FreeCAD and KiCad are in `programs_cad`.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from xml.sax.saxutils import quoteattr

import ezdxf
import pymupdf

from tests.bench.program_parts import HIGH, WIDE, XY, Drawing
from tests.bench.programs_cad import (
    draw_asymptote,
    draw_freecad,
    draw_kicad,
    run_program,
    tex,
    tex_size,
    tex_stack,
)
from tests.bench.programs_plain import draw_gnuplot, draw_xfig

OTHER_PYTHON = "DRAWING_PYTHON"  # variable that names a Python with Matplotlib and build123d


# --- LibreOffice Draw ---------------------------------------------------------------------------

# Marker: name, box and path of its outline, width; how far extension lines run on; text; face; pt.
_OFFICE = (
    ("arrow", "0 0 20 30", "m10 0-10 30h20z", "2.2mm", "1.5mm", "above", "DejaVu Sans", 9),
    ("slim", "0 0 10 40", "m5 0-5 40h10z", "1.4mm", "2.5mm", "below", "Latin Modern Roman", 10),
    (
        "dot",
        "0 0 20 20",
        "m10 0a10 10 0 1 1-.01 0z",
        "1.6mm",
        "1.2mm",
        "above",
        "DejaVu Sans Mono",
        8,
    ),
    ("wide", "0 0 30 20", "m15 0-15 20h30z", "2.5mm", "2mm", "above", "DejaVu Serif", 9),
)
_NAMES = "urn:oasis:names:tc:opendocument:xmlns"
_SPACES = {
    "office": f"{_NAMES}:office:1.0",
    "style": f"{_NAMES}:style:1.0",
    "text": f"{_NAMES}:text:1.0",
    "draw": f"{_NAMES}:drawing:1.0",
    "fo": f"{_NAMES}:xsl-fo-compatible:1.0",
    "svg": f"{_NAMES}:svg-compatible:1.0",
}


def _tag(name: str, inside: str = "", **keys: object) -> str:
    """One XML element; `draw__name` is the attribute draw:name, `_` stands for a dash."""
    said = "".join(
        f" {key.replace('__', ':').replace('_', '-')}={quoteattr(str(value))}"
        for key, value in keys.items()
    )
    return f"<{name}{said}>{inside}</{name}>"


def _graphic(name: str, **keys: object) -> str:
    inside = _tag("style:graphic-properties", **keys)
    return _tag("style:style", inside, style__name=name, style__family="graphic")


def draw_office(drawing: Drawing, folder: Path) -> Path:
    """LibreOffice Draw: its measure objects, as a flat ODF drawing asks for them."""
    mark, box, path, wide, overhang, above, face, size = _OFFICE[drawing.style]
    centred = "true" if mark == "dot" else "false"
    styles = [
        _graphic("edge", draw__fill="none", draw__stroke="solid", svg__stroke_width="0.4mm"),
        _graphic("note", draw__fill="none", draw__stroke="none"),
        _tag(
            "style:style",
            _tag("style:text-properties", fo__font_family=f"'{face}'", fo__font_size=f"{size}pt"),
            style__name="letters",
            style__family="text",
        ),
        _tag(
            "style:page-layout",
            _tag(
                "style:page-layout-properties",
                fo__margin="0mm",
                fo__page_width=f"{WIDE}mm",
                fo__page_height=f"{HIGH}mm",
                style__print_orientation="landscape",
            ),
            style__name="page",
        ),
    ]
    styles += [
        _graphic(
            f"far{aside:g}",
            draw__stroke="solid",
            svg__stroke_width="0.15mm",
            svg__stroke_color="#000000",
            draw__marker_start=mark,
            draw__marker_start_width=wide,
            draw__marker_start_center=centred,
            draw__marker_end=mark,
            draw__marker_end_width=wide,
            draw__marker_end_center=centred,
            draw__line_distance=f"{aside:g}mm",
            draw__guide_overhang=overhang,
            draw__guide_distance="1mm",
            draw__measure_vertical_align=above,
        )
        for aside in sorted({s.aside for s in drawing.sizes})
    ]
    marker = _tag("draw:marker", draw__name=mark, svg__viewBox=box, svg__d=path)
    master = _tag("style:master-page", style__name="sheet", style__page_layout_name="page")
    page = _tag(
        "draw:page", _office_shapes(drawing), draw__name="1", draw__master_page_name="sheet"
    )
    document = _tag(
        "office:document",
        _tag("office:styles", marker)
        + _tag("office:automatic-styles", "".join(styles))
        + _tag("office:master-styles", master)
        + _tag("office:body", _tag("office:drawing", page)),
        **{f"xmlns__{name}": where for name, where in _SPACES.items()},
        office__version="1.2",
        office__mimetype="application/vnd.oasis.opendocument.graphics",
    )
    (folder / "sheet.fodg").write_text(f'<?xml version="1.0" encoding="UTF-8"?>{document}')
    run_program(["soffice", "--headless", "--convert-to", "pdf", "sheet.fodg"], folder)
    return folder / "sheet.pdf"


def _office_shapes(drawing: Drawing) -> str:
    def ends(a: XY, b: XY) -> dict[str, str]:
        return {
            "svg__x1": f"{a[0]:.4f}mm",
            "svg__y1": f"{HIGH - a[1]:.4f}mm",
            "svg__x2": f"{b[0]:.4f}mm",
            "svg__y2": f"{HIGH - b[1]:.4f}mm",
        }

    def box(x: float, top: float, wide: float, high: float) -> dict[str, str]:
        return {
            "svg__x": f"{x:.4f}mm",
            "svg__y": f"{HIGH - top:.4f}mm",
            "svg__width": f"{wide:.4f}mm",
            "svg__height": f"{high:.4f}mm",
        }

    def letters(text: str) -> str:
        return _tag("text:p", _tag("text:span", text, text__style_name="letters"))

    shapes = [_tag("draw:line", draw__style_name="edge", **ends(a, b)) for a, b in drawing.lines]
    shapes += [
        _tag("draw:ellipse", draw__style_name="edge", **box(x - r, y + r, 2 * r, 2 * r))
        for (x, y), r in drawing.circles
    ]
    shapes += [
        _tag(
            "draw:frame",
            _tag("draw:text-box", letters(note)),
            draw__style_name="note",
            **box(x, y, 80, 8),
        )
        for (x, y), note in drawing.notes
    ]
    shapes += [
        _tag(
            "draw:measure",
            letters(s.text),
            draw__style_name=f"far{s.aside:g}",
            **ends(s.a, s.b),
        )
        for s in drawing.sizes
    ]
    return "".join(shapes)


# --- TikZ ---------------------------------------------------------------------------------------

_DIMLINE = (
    "line style={line width=0.3}",
    "line style={line width=0.7}, label style={above=0.5ex}",
    "line style={line width=0.3, arrows=stealth-stealth}",
    "line style={line width=0.3, arrows=|<->|}, label style={above=0.3ex, font=\\footnotesize}",
)


def _font(high: float) -> str:
    size = tex_size(high)
    return rf"\fontsize{{{size:.2f}}}{{{1.2 * size:.2f}}}\selectfont"


def draw_dimline(drawing: Drawing, folder: Path) -> Path:
    """TikZ with `tikz-dimline`: text in a gap of the line or above, heads with a bar or plain."""
    pen = r"\draw[line width=0.4mm]"
    rows = [f"{pen} ({a[0]:.4f},{a[1]:.4f}) -- ({b[0]:.4f},{b[1]:.4f});" for a, b in drawing.lines]
    rows += [f"{pen} ({c[0]:.4f},{c[1]:.4f}) circle ({r});" for c, r in drawing.circles]
    rows += [rf"\node[anchor=west] at ({p[0]},{p[1]}) {{{note}}};" for p, note in drawing.notes]
    thin = r"\draw[line width=0.13mm]"
    rows += [f"{thin} ({a[0]:.4f},{a[1]:.4f}) -- ({b[0]:.4f},{b[1]:.4f});" for a, b in drawing.thin]
    rows += [f"{thin} ({c[0]:.4f},{c[1]:.4f}) circle ({r});" for c, r in drawing.rings]
    rows += [
        rf"\node[anchor=base west,inner sep=0pt,font={_font(t.high)}] at ({t.at[0]:.3f},"
        rf"{t.at[1]:.3f}) {{{tex(t.text)}}};"
        for t in drawing.labels
    ]
    style = _DIMLINE[drawing.style]
    for s in drawing.sizes:
        (ax, ay), (bx, by) = s.ends
        far = f"extension start length={s.aside:.3f}mm, extension end length={s.aside:.3f}mm"
        rows.append(
            rf"\dimline[{far}, {style}]{{({ax:.4f},{ay:.4f})}}{{({bx:.4f},{by:.4f})}}"
            rf"{{{tex_stack(s)}}}"
        )
    sans = r"\renewcommand{\familydefault}{\sfdefault}" if drawing.style % 2 else ""
    text = [
        r"\documentclass{article}\usepackage[T1]{fontenc}",
        rf"\usepackage[paperwidth={WIDE}mm,paperheight={HIGH}mm,margin=0mm]{{geometry}}",
        rf"\usepackage{{tikz-dimline}}\pgfplotsset{{compat=1.10}}\pagestyle{{empty}}{sans}",
        r"\begin{document}\begin{tikzpicture}",
        r"[remember picture,overlay,x=1mm,y=1mm,shift={(current page.south west)}]",
        *rows,
        r"\end{tikzpicture}\end{document}",
    ]
    (folder / "sheet.tex").write_text("\n".join(text))
    for _ in range(2):
        run_program(["pdflatex", "-interaction=batchmode", "sheet.tex"], folder)
    return folder / "sheet.pdf"


# --- LibreCAD -----------------------------------------------------------------------------------

_LIBRECAD = {
    "$DIMTXT": (2.5, 2.8, 2.2, 2.5),
    "$DIMASZ": (2.5, 2.0, 1.8, 3.0),
    "$DIMEXE": (1.25, 1.25, 2.0, 1.0),
    "$DIMEXO": (0.8, 0.8, 1.5, 0.6),
    "$DIMGAP": (0.6, 0.9, 0.8, 0.6),
    "$DIMTSZ": (0.0, 1.6, 0.0, 0.0),
    "$DIMTIH": (0, 0, 1, 0),
}


def draw_librecad(drawing: Drawing, folder: Path) -> Path:
    """LibreCAD: draws dimensions and letters itself, the letters as hairlines."""
    file = ezdxf.new("R2000", setup=False)
    file.header["$INSUNITS"] = 4
    for name, values in _LIBRECAD.items():
        file.header[name] = values[drawing.style]
    space = file.modelspace()
    space.add_line((0, 0), (0.01, 0))
    space.add_line((WIDE, HIGH), (WIDE - 0.01, HIGH))
    for a, b in drawing.lines:
        space.add_line(a, b, dxfattribs={"lineweight": 40})
    for c, r in drawing.circles:
        space.add_circle(c, r, dxfattribs={"lineweight": 40})
    for a, b in drawing.thin:
        space.add_line(a, b, dxfattribs={"lineweight": 13})
    for c, r in drawing.rings:
        space.add_circle(c, r, dxfattribs={"lineweight": 13})
    for p, note in drawing.notes:
        space.add_text(note, height=3, dxfattribs={"insert": p})
    for label in drawing.labels:
        space.add_text(label.text, height=label.high, dxfattribs={"insert": label.at})
    for s in drawing.sizes:
        turn = 90 if s.a[0] == s.b[0] else 0
        space.add_linear_dim(base=s.ends[0], p1=s.a, p2=s.b, angle=turn, text=s.row)
    file.saveas(folder / "sheet.dxf")
    paper = ["-p", f"{WIDE:g}x{HIGH:g}", "-s", "1", "-f", "0,0,0,0"]
    run_program(["librecad", "dxf2pdf", "-m", *paper, "-o", "sheet.pdf", "sheet.dxf"], folder)
    return folder / "sheet.pdf"


# --- Matplotlib and build123d -------------------------------------------------------------------

_PLOT = """
import json, math
import matplotlib as mpl
mpl.use("pdf")
from matplotlib import pyplot as plt
job = json.load(open("job.json"))
k = job["style"]
plt.rcParams["pdf.fonttype"] = 42 if k % 2 else 3
figure = plt.figure(figsize=({wide} / 25.4, {high} / 25.4))
axes = figure.add_axes((0, 0, 1, 1))
axes.set_xlim(0, {wide})
axes.set_ylim(0, {high})
axes.axis("off")
for a, b in job["lines"]:
    axes.plot([a[0], b[0]], [a[1], b[1]], color="k", lw=1.2, solid_capstyle="butt")
for c, r in job["circles"]:
    axes.add_patch(plt.Circle(c, r, fill=False, lw=1.2))
for p, note in job["notes"]:
    axes.text(*p, note, fontsize=9)
heads = ("<->", "<|-|>", "<|-|>,head_width=.12,head_length=.5", "<->,head_width=.12")[k]
for (feet, tips, text) in job["sizes"]:
    for foot, tip in zip(feet, tips):
        far = math.dist(foot, tip)
        end = [t + 1.5 * (t - f) / far for f, t in zip(foot, tip)]
        axes.plot([foot[0], end[0]], [foot[1], end[1]], color="k", lw=0.5)
    style = dict(arrowstyle=heads, lw=0.5, shrinkA=0, shrinkB=0, color="k")
    axes.annotate("", *tips, arrowprops=style)
    (ax, ay), (bx, by) = tips
    x, y, upright = (ax + bx) / 2, (ay + by) / 2, ax == bx
    turn = 90 if upright and k != 3 else 0
    if k in (0, 3):
        box = dict(fc="white", ec="none", pad=0.6)
        axes.text(x, y, text, fontsize=8, rotation=turn, ha="center", va="center", bbox=box)
    elif upright:
        axes.text(x - 0.8, y, text, fontsize=8, rotation=turn, ha="right", va="center")
    else:
        axes.text(x, y + 0.8, text, fontsize=8, ha="center", va="bottom")
figure.savefig("sheet.pdf")
"""


def draw_matplotlib(drawing: Drawing, folder: Path) -> Path:
    """Matplotlib: arrows of annotations, texts in white boxes on the line or beside it."""
    sizes = [((s.a, s.b), s.ends, s.text) for s in drawing.sizes]
    script = _PLOT.replace("{wide}", f"{WIDE}").replace("{high}", f"{HIGH}")
    _run_script(drawing, sizes, script, folder)
    return folder / "sheet.pdf"


def _run_script(drawing: Drawing, sizes: Sequence[object], script: str, folder: Path) -> None:
    """Run a script with a Python that has what it imports, the drawing beside it as JSON."""
    job = {
        "lines": drawing.lines,
        "circles": drawing.circles,
        "notes": drawing.notes,
        "sizes": sizes,
        "style": drawing.style,
    }
    (folder / "job.json").write_text(json.dumps(job))
    (folder / "job.py").write_text(script)
    run_program([os.environ[OTHER_PYTHON], "job.py"], folder)


_BUILD = """
import json, sys
from build123d import *
job = json.load(open("job.json"))
draft = Draft(
    font_size=2.6,
    head_type=HeadType.{head},
    arrow_length=2.2,
    line_width=0.15,
    pad_around_text=0.8,
    extension_gap=1.0,
)
svg = ExportSVG(unit=Unit.MM, margin=0)
svg.add_layer("solid", fill_color=(0, 0, 0), line_weight=0.02)
svg.add_layer("edge", line_weight=0.4)
for a, b in job["lines"]:
    svg.add_shape(Edge.make_line((*a, 0), (*b, 0)), layer="edge")
for c, r in job["circles"]:
    svg.add_shape(Pos(*c) * Edge.make_circle(r), layer="edge")
for p, note in job["notes"]:
    svg.add_shape(Pos(*p) * Text(note, 3, align=(Align.MIN, Align.MIN)), layer="solid")
for a, b, aside, text in job["sizes"]:
    try:
        line = ExtensionLine([a, b], offset=-aside, draft=draft, label=text)
        svg.add_shape(line, layer="solid")
    except ValueError as error:
        print(text, error, file=sys.stderr)
svg.add_shape(Edge.make_line((0, 0, 0), (0.01, 0, 0)), layer="edge")
svg.add_shape(Edge.make_line(({wide}, {high}, 0), ({wide} - 0.01, {high}, 0)), layer="edge")
svg.write("sheet.svg")
"""


def draw_build123d(drawing: Drawing, folder: Path) -> Path:
    """build123d: dimensions as solid faces, letters as outlines."""
    head = ("STRAIGHT", "CURVED", "FILLETED", "STRAIGHT")[drawing.style]
    script = _BUILD.format(head=head, wide=WIDE, high=HIGH)
    sizes = [(s.a, s.b, s.aside, s.text) for s in drawing.sizes]
    _run_script(drawing, sizes, script, folder)
    picture = pymupdf.open(folder / "sheet.svg")
    (folder / "sheet.pdf").write_bytes(picture.convert_to_pdf())
    return folder / "sheet.pdf"


PROGRAMS: dict[str, tuple[str, Callable[[Drawing, Path], Path]]] = {
    "office": ("soffice", draw_office),
    "dimline": ("pdflatex", draw_dimline),
    "librecad": ("librecad", draw_librecad),
    "matplotlib": ("", draw_matplotlib),
    "build123d": ("", draw_build123d),
    "dimline crowded": ("pdflatex", draw_dimline),
    "librecad crowded": ("librecad", draw_librecad),
    "asymptote crowded": ("asy", draw_asymptote),
    "freecad crowded": ("freecad", draw_freecad),
    "kicad crowded": ("kicad", draw_kicad),
    "gnuplot crowded": ("gnuplot gs", draw_gnuplot),
    "xfig crowded": ("fig2dev gs", draw_xfig),
}


def is_there(program: str) -> bool:
    """Whether a program is installed."""
    commands = PROGRAMS[program][0].split()
    if not commands:
        return bool(os.environ.get(OTHER_PYTHON))
    return all(shutil.which(command) for command in commands)
