"""More programs that draw dimensions: Asymptote's CAD module, FreeCAD's TechDraw, KiCad.

They draw crowded sheets (`program_clutter`). FreeCAD draws its dimensions to the vertices of a
real view on a page with a template of our own; KiCad's letters are strokes.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from xml.sax.saxutils import escape

from tests.bench.program_parts import HIGH, WIDE, XY, Drawing, Size

SECONDS = 240  # for a program to draw a sheet


def run_program(command: Sequence[str], folder: Path) -> None:
    """Run a program in a folder that is its home as well, without a screen.

    Raises
    ------
    subprocess.CalledProcessError
        If it fails.
    """
    where = {**os.environ, "HOME": str(folder), "QT_QPA_PLATFORM": "offscreen"}
    where.pop("PYTHONPATH", None)
    subprocess.run(command, cwd=folder, env=where, check=True, capture_output=True, timeout=SECONDS)


def _write_job(drawing: Drawing, folder: Path) -> None:
    job = {
        "lines": drawing.lines,
        "pieces": [p for line in drawing.lines for p in _pieces(line, drawing.sizes)],
        "circles": drawing.circles,
        "thin": drawing.thin,
        "rings": drawing.rings,
        "labels": [(label.at, label.text, label.high) for label in drawing.labels],
        "sizes": [(s.a, s.b, s.ends, s.row, s.aside) for s in drawing.sizes],
        "style": drawing.style,
    }
    (folder / "job.json").write_text(json.dumps(job))


def _pieces(line: tuple[XY, XY], sizes: Sequence[Size]) -> list[tuple[XY, XY]]:
    """Part a level or upright line where sizes are measured from it."""
    (ax, ay), (bx, by) = line
    far = math.dist(*line)
    cuts = {0.0, far}
    for x, y in (p for s in sizes for p in (s.a, s.b)):
        along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / far
        aside = ((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / far
        if abs(aside) < 1e-6 and 1e-6 < along < far - 1e-6:
            cuts.add(round(along, 9))
    at = [(ax + (bx - ax) * c / far, ay + (by - ay) * c / far) for c in sorted(cuts)]
    return list(pairwise(at))


# --- Asymptote ----------------------------------------------------------------------------------

OUTSIDE_MM = 14.0  # of a size whose arrowheads stand outside


def draw_asymptote(drawing: Drawing, folder: Path) -> Path:
    """Asymptote's CAD module: measures after DIN 406, whose lines end within the arrowheads."""
    group, dots = (1, 0, 2, 1)[drawing.style], drawing.style == 3
    rows = [
        "import CAD;",
        r'texpreamble("\usepackage[T1]{fontenc}\usepackage{lmodern}");',
        f"sCAD cad=sCAD.Create({group});",
        f"fill(scale(mm)*box((0,0),({WIDE},{HIGH})),white);",
        "pen p=linewidth(0.4mm), t=linewidth(0.13mm);",
    ]
    rows += [_asy_line(a, b, "p") for a, b in drawing.lines]
    rows += [_asy_line(a, b, "t") for a, b in drawing.thin]
    rows += [f"draw(scale(mm)*circle({_asy(c)},{r}),p);" for c, r in drawing.circles]
    rows += [f"draw(scale(mm)*circle({_asy(c)},{r}),t);" for c, r in drawing.rings]
    rows += [
        f'label("{tex(label.text)}",{_asy((label.at[0] - 1, label.at[1] + 0.8))}*mm,E,'
        f"fontsize({tex_size(label.high):.2f})+basealign);"
        for label in drawing.labels
    ]
    for s in drawing.sizes:
        out = "7mm" if math.dist(s.a, s.b) < OUTSIDE_MM else "0"
        rows.append(
            f'cad.MeasureParallel(Label("{tex_stack(s)}",fontsize(10)),{_asy(s.a)}*mm,'
            f"{_asy(s.b)}*mm,{s.aside:.3f}mm,{out},bSmallBound={str(dots).lower()});"
        )
    (folder / "sheet.asy").write_text("\n".join(rows))
    run_program(["asy", "-f", "pdf", "-noV", "-o", "sheet", "sheet.asy"], folder)
    return folder / "sheet.pdf"


def _asy(p: XY) -> str:
    return f"({p[0]:.4f},{p[1]:.4f})"


def _asy_line(a: XY, b: XY, pen: str) -> str:
    return f"draw(scale(mm)*({_asy(a)}--{_asy(b)}),{pen});"


def tex(text: str) -> str:
    """Spell a text for TeX with the T1 encoding.

    Examples
    --------
    >>> tex("Ø5 ±0.1")
    '\\\\O{}5 $\\\\pm$0.1'
    """
    for sign, said in (("±", r"$\pm$"), ("Ø", r"\O{}"), ('"', r"\textquotedbl{}")):
        text = text.replace(sign, said)
    return text


def tex_size(high: float) -> float:
    """TeX points of a Computer Modern face whose capitals are so many mm high."""
    return high / 0.7 * 72.27 / 25.4


def tex_stack(size: Size) -> str:
    """What a dimension prints, two lines over each other, a basic size in its box."""
    shown = r"\\{}".join(tex(line) for line in size.printed)
    if len(size.printed) > 1:
        return rf"\shortstack{{{shown}}}"
    return rf"\setlength{{\fboxsep}}{{2pt}}\fbox{{{shown}}}" if size.form == "boxed" else shown


# --- KiCad --------------------------------------------------------------------------------------

_BOARD = """
import json, pcbnew
job = json.load(open("job.json"))
k = job["style"]
board = pcbnew.NewBoard("sheet.kicad_pcb")
LAYER = pcbnew.Dwgs_User
HIGH = {high}
def at(p):
    return pcbnew.wxPointMM(float(p[0]), float(HIGH - p[1]))
def mm(v):
    return pcbnew.FromMM(float(v))
def draw(shape, wide):
    shape.SetLayer(LAYER); shape.SetWidth(mm(wide)); board.Add(shape)
for rows, wide in ((job["lines"], 0.4), (job["thin"], 0.15)):
    for a, b in rows:
        s = pcbnew.PCB_SHAPE(board); s.SetShape(pcbnew.SHAPE_T_SEGMENT)
        s.SetStart(at(a)); s.SetEnd(at(b)); draw(s, wide)
for rows, wide in ((job["circles"], 0.4), (job["rings"], 0.15)):
    for c, r in rows:
        s = pcbnew.PCB_SHAPE(board); s.SetShape(pcbnew.SHAPE_T_CIRCLE)
        s.SetCenter(at(c)); s.SetEnd(at((c[0] + r, c[1]))); draw(s, wide)
for p, text, high in job["labels"]:
    t = pcbnew.PCB_TEXT(board); t.SetText(text); t.SetPosition(at(p)); t.SetLayer(LAYER)
    t.SetTextSize(pcbnew.wxSizeMM(high, high)); t.SetTextThickness(mm(high / 7))
    t.SetHorizJustify(pcbnew.GR_TEXT_HJUSTIFY_LEFT)
    t.SetVertJustify(pcbnew.GR_TEXT_VJUSTIFY_BOTTOM)
    board.Add(t)
for a, b, ends, printed, aside in job["sizes"]:
    upright = a[0] == b[0]
    if k % 2:
        d = pcbnew.PCB_DIM_ALIGNED(board)
        d.SetHeight(mm(-aside))
    else:
        d = pcbnew.PCB_DIM_ORTHOGONAL(board)
        d.SetOrientation(1 if upright else 0)
        d.SetHeight(mm(ends[0][0] - a[0]) if upright else mm(a[1] - ends[0][1]))
    d.SetStart(at(a)); d.SetEnd(at(b)); d.SetLayer(LAYER)
    d.SetUnitsFormat(0)
    d.SetOverrideTextEnabled(True); d.SetOverrideText(printed)
    d.SetKeepTextAligned(k != 3)
    d.SetTextPositionMode(1 if k == 1 else 0)
    high = (2.2, 2.5, 2.0, 2.4)[k]
    d.Text().SetTextSize(pcbnew.wxSizeMM(high, high)); d.Text().SetTextThickness(mm(high / 8))
    d.SetLineThickness(mm((0.15, 0.2, 0.12, 0.18)[k]))
    d.SetArrowLength(mm((2.0, 2.4, 1.6, 1.27)[k]))
    d.SetExtensionOffset(mm((0.8, 0.0, 1.2, 0.5)[k]))
    d.SetExtensionHeight(mm((1.0, 0.6, 1.5, 0.8)[k]))
    d.Update()
    board.Add(d)
pcbnew.SaveBoard("sheet.kicad_pcb", board)
plot = pcbnew.PLOT_CONTROLLER(board)
how = plot.GetPlotOptions()
how.SetOutputDirectory("."); how.SetPlotFrameRef(False); how.SetAutoScale(False); how.SetScale(1)
how.SetMirror(False); how.SetUseAuxOrigin(False)
plot.SetLayer(LAYER)
plot.OpenPlotfile("out", pcbnew.PLOT_FORMAT_PDF, "sheet")
plot.PlotLayer(); plot.ClosePlot()
"""


def draw_kicad(drawing: Drawing, folder: Path) -> Path:
    """KiCad's board editor: aligned and level dimensions on a drawing layer, letters as strokes."""
    _write_job(drawing, folder)
    (folder / "job.py").write_text(_BOARD.replace("{high}", f"{HIGH}"))
    run_program(["/usr/bin/python3", "job.py"], folder)
    return next(folder.glob("*out.pdf"))


# --- FreeCAD ------------------------------------------------------------------------------------

_TECHDRAW = """
import json, math, os, sys, time
import FreeCAD, FreeCADGui, Part, TechDraw
from FreeCAD import Vector
FreeCADGui.activateWorkbench("TechDrawWorkbench")
import TechDrawGui
job = json.load(open("job.json"))
k = job["style"]

def fail(kind, what, trace):
    print(kind, what, trace.tb_lineno, flush=True)
    os._exit(1)

sys.excepthook = fail

def wait():
    for _ in range(40):
        FreeCADGui.updateGui()
        time.sleep(0.01)

prefs = FreeCAD.ParamGet("User parameter:BaseApp/Preferences/Mod/TechDraw/Dimensions")
prefs.SetFloat("ArrowSize", (3.0, 2.2, 3.0, 2.5)[k])
prefs.SetInt("ArrowStyle", (0, 1, 0, 2)[k])
colors = FreeCAD.ParamGet("User parameter:BaseApp/Preferences/Mod/TechDraw/Colors")
colors.SetBool("ClearFace", True)
doc = FreeCAD.newDocument("sheet")
page = doc.addObject("TechDraw::DrawPage", "Page")
template = doc.addObject("TechDraw::DrawSVGTemplate", "Template")
page.Template = template
template.Template = os.path.abspath("template.svg")
edges = [Part.makeLine(Vector(*a, 0), Vector(*b, 0)) for a, b in job["pieces"]]
for p in {tuple(p) for a, b, *_ in job["sizes"] for p in (a, b)}:
    if all(math.dist(p, end) > 1e-4 for piece in job["pieces"] for end in piece):
        edges.append(Part.makeLine(Vector(*p, 0), Vector(p[0] + 0.02, p[1], 0)))
edges += [Part.makeCircle(r, Vector(*c, 0)) for c, r in job["circles"]]
shape = doc.addObject("Part::Feature", "Shape")
shape.Shape = Part.makeCompound(edges)
view = doc.addObject("TechDraw::DrawViewPart", "View")
page.addView(view)
view.Source = [shape]
view.Direction = Vector(0, 0, 1)
view.XDirection = Vector(1, 0, 0)
view.ScaleType = "Custom"
view.Scale = 1.0
box = shape.Shape.BoundBox
centre = box.Center
view.X, view.Y = centre.x, centre.y
doc.recompute()
wait()
corners = []
while True:
    try:
        corners.append(view.getVertexByIndex(len(corners)).Point)
    except Exception:
        break
if not corners:
    print("no vertices", flush=True)
    os._exit(1)

def nearest(p):
    far = [math.hypot(c.x - (p[0] - centre.x), c.y - (p[1] - centre.y)) for c in corners]
    best = far.index(min(far))
    if far[best] > 0.01:
        print("no vertex at", p, far[best], flush=True)
        os._exit(1)
    return "Vertex%d" % best

for a, b, ends, printed, aside in job["sizes"]:
    d = doc.addObject("TechDraw::DrawViewDimension", "Dim")
    upright = a[0] == b[0]
    d.Type = "DistanceY" if upright else "DistanceX"
    d.References2D = [(view, nearest(a)), (view, nearest(b))]
    d.Arbitrary = True
    d.FormatSpec = printed
    page.addView(d)
    middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
    d.X, d.Y = middle[0] - centre.x, middle[1] - centre.y
    d.ViewObject.Fontsize = (3.5, 3.0, 3.2, 3.2)[k]
    d.ViewObject.StandardAndStyle = (0, 2, 0, 2)[k]
    d.ViewObject.LineWidth = (0.18, 0.25, 0.18, 0.2)[k]
doc.recompute()
page.ViewObject.doubleClicked()
view.ViewObject.LineWidth = 0.5
wait()
TechDrawGui.exportPageAsPdf(page, os.path.abspath("sheet.pdf"))
os._exit(0)
"""


# The start page is a browser, which does not run everywhere.
_NO_START_PAGE = """<?xml version="1.0" encoding="UTF-8" standalone="no" ?>
<FCParameters><FCParamGroup Name="Root"><FCParamGroup Name="BaseApp">
<FCParamGroup Name="Preferences"><FCParamGroup Name="General">
<FCText Name="AutoloadModule">NoneWorkbench</FCText></FCParamGroup>
<FCParamGroup Name="Mod"><FCParamGroup Name="Start">
<FCBool Name="ShowOnStartup" Value="0"/></FCParamGroup></FCParamGroup>
</FCParamGroup></FCParamGroup></FCParamGroup></FCParameters>
"""


def draw_freecad(drawing: Drawing, folder: Path) -> Path:
    """FreeCAD's TechDraw: dimensions of a view's vertices, the rest in the page's template."""
    _write_job(drawing, folder)
    (folder / "template.svg").write_text(_template(drawing))
    (folder / "job.py").write_text(_TECHDRAW)
    (folder / "user.cfg").write_text(_NO_START_PAGE)
    run_program(["freecad", "-u", "user.cfg", "job.py"], folder)
    return folder / "sheet.pdf"


def _template(drawing: Drawing) -> str:
    """An SVG page in mm with all that is neither the part nor its sizes."""

    def line(a: XY, b: XY) -> str:
        return f'<line x1="{a[0]}" y1="{HIGH - a[1]}" x2="{b[0]}" y2="{HIGH - b[1]}"/>'

    rows = [line(a, b) for a, b in drawing.thin]
    rows += [f'<circle cx="{c[0]}" cy="{HIGH - c[1]}" r="{r}"/>' for c, r in drawing.rings]
    texts = [
        f'<text x="{t.at[0]}" y="{HIGH - t.at[1]}" font-size="{t.high / 0.72:.2f}">'
        f"{escape(t.text)}</text>"
        for t in drawing.labels
    ]
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE}mm" height="{HIGH}mm" '
        f'viewBox="0 0 {WIDE} {HIGH}"><g fill="none" stroke="black" stroke-width="0.18">'
        f'{"".join(rows)}</g><g font-family="osifont, sans-serif">{"".join(texts)}</g></svg>'
    )
