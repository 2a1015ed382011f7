"""Programs without dimensions of their own that people draw them with: Gnuplot and Xfig.

Their lines, arrowheads, letters and signs are the programs'; where things stand is what a
draftsman would do: the number over its line or in a gap in it, heads outside where room is short.
"""

from __future__ import annotations

import math
from pathlib import Path

from tests.bench.program_parts import HIGH, WIDE, XY, Drawing, Size
from tests.bench.programs_cad import run_program

OUTSIDE_MM = 12.0  # shorter lines have their heads outside, pointing at each other
TAIL_MM = 6.0
BEYOND_MM = 1.5
FOOT_MM = 0.8


def _way(s: Size) -> XY:
    (ax, ay), (bx, by) = s.ends
    far = math.dist(*s.ends)
    return (bx - ax) / far, (by - ay) / far


def _moved(p: XY, way: XY, far: float) -> XY:
    return p[0] + far * way[0], p[1] + far * way[1]


def _extensions(s: Size) -> list[tuple[XY, XY]]:
    """Lines from the part to a little past the dimension line."""
    lines = []
    for foot, tip in zip((s.a, s.b), s.ends, strict=True):
        far = math.dist(foot, tip)
        way = ((tip[0] - foot[0]) / far, (tip[1] - foot[1]) / far)
        lines.append((_moved(foot, way, FOOT_MM), _moved(tip, way, BEYOND_MM)))
    return lines


def _arrows(s: Size, gap: float) -> list[tuple[XY, XY]]:
    """Lines with a head at their second end; a gap for the number parts those inside."""
    a, b = s.ends
    way, far = _way(s), math.dist(a, b)
    if far < OUTSIDE_MM:
        return [(_moved(a, way, -TAIL_MM), a), (_moved(b, way, TAIL_MM), b)]
    middle = (far - gap) / 2 if _has_room(s, gap) else far / 2
    return [(_moved(a, way, middle), a), (_moved(b, way, -middle), b)]


def _has_room(s: Size, gap: float) -> bool:
    return 0.0 < gap < math.dist(*s.ends) - OUTSIDE_MM


def _text_at(s: Size, high: float, gap: float, *, level: bool) -> tuple[XY, float]:
    """Middle of a number, and its direction in degrees."""
    (ax, ay), (bx, by) = s.ends
    x, y, upright = (ax + bx) / 2, (ay + by) / 2, s.a[0] == s.b[0]
    turn = 90.0 if upright and not level else 0.0
    if _has_room(s, gap):
        return (x, y), turn
    if upright:
        wide = 0.35 * high * len(s.row) if level else 0.0
        return (x - 0.9 * high - wide, y), turn
    return (x, y + 0.9 * high), turn


# --- Gnuplot ------------------------------------------------------------------------------------

# Heads, face, pt, whether the number stands in a gap, whether all numbers stand level.
_GNUPLOT = (
    ("size 3,15,60 filled", "Helvetica", 9, False, False),
    ("size 2.6,20,90 nofilled", "Times-Roman", 10, True, False),
    ("size 3,12,120 empty", "Courier", 8, False, False),
    ("size 2.2,25,60 filled", "Helvetica", 8, True, True),
)


def draw_gnuplot(drawing: Drawing, folder: Path) -> Path:
    """Gnuplot: its arrows and labels, in PostScript that Ghostscript makes a PDF of."""
    heads, face, size, in_gap, level = _GNUPLOT[drawing.style]
    high = size * 0.72 * 25.4 / 72
    paper = f"{WIDE / 10}cm,{HIGH / 10}cm"
    rows = [
        # letters and lines are halved on EPS
        f'set terminal postscript eps color size {paper} "{face}" {2 * size} lw 2',
        'set output "sheet.eps"',
        "set encoding iso_8859_1",
        "unset border; unset tics; unset key",
        "set lmargin 0; set rmargin 0; set tmargin 0; set bmargin 0",
        f"set xrange [0:{WIDE}]; set yrange [0:{HIGH}]",
    ]
    rows += [_line(a, b, "nohead lw 2.4") for a, b in drawing.lines]
    rows += [_line(a, b, "nohead lw 0.8") for a, b in drawing.thin]
    rows += [_circle(c, r, "2.4") for c, r in drawing.circles]
    rows += [_circle(c, r, "0.8") for c, r in drawing.rings]
    rows += [_label(note, p, "left") for p, note in drawing.notes]
    rows += [_label(label.text, label.at, "left") for label in drawing.labels]
    for s in drawing.sizes:
        gap = 0.75 * high * len(s.row) + 2.0 if in_gap else 0.0
        at, turn = _text_at(s, high, gap, level=level)
        rows += [_line(a, b, "nohead lw 0.8") for a, b in _extensions(s)]
        rows += [_line(a, b, f"head {heads} lw 0.8") for a, b in _arrows(s, gap)]
        rows.append(_label(s.row, at, "center", turn=turn))
    (folder / "sheet.gp").write_text("\n".join([*rows, "plot -1", ""]), encoding="latin-1")
    run_program(["gnuplot", "sheet.gp"], folder)
    run_program(["gs", *_GS, "-sOutputFile=sheet.pdf", "sheet.eps"], folder)
    return folder / "sheet.pdf"


_GS = ("-q", "-dBATCH", "-dNOPAUSE", "-dEPSCrop", "-dAutoRotatePages=/None", "-sDEVICE=pdfwrite")


def _line(a: XY, b: XY, how: str) -> str:
    return (
        f"set arrow from {a[0]:.4f},{a[1]:.4f} to {b[0]:.4f},{b[1]:.4f} {how} lc rgb 'black' front"
    )


def _circle(c: XY, r: float, wide: str) -> str:
    style = f"fs empty border rgb 'black' lw {wide} front"
    return f"set object circle at {c[0]:.4f},{c[1]:.4f} size first {r:.4f} {style}"


def _label(text: str, p: XY, how: str, *, turn: float = 0.0) -> str:
    said = text.replace("\\", "").replace('"', '\\"')
    return f'set label "{said}" at {p[0]:.4f},{p[1]:.4f} {how} rotate by {turn:g} noenhanced front'


# --- Xfig ---------------------------------------------------------------------------------------

_UNIT = 1200 / 25.4  # of a Fig file, to a mm
# Type and style of the heads, their width and length in mm; PostScript font; pt; as above.
_XFIG = (
    ((1, 1, 1.3, 2.8), 16, 9, False, False),
    ((2, 1, 1.8, 3.0), 0, 10, True, False),
    ((0, 0, 1.6, 2.2), 12, 9, False, False),
    ((3, 0, 1.4, 2.6), 17, 8, True, True),
)


def draw_xfig(drawing: Drawing, folder: Path) -> Path:
    """Xfig: polylines with its heads and PostScript texts, made a PDF by fig2dev."""
    head, font, size, in_gap, level = _XFIG[drawing.style]
    high = size * 0.72 * 25.4 / 72
    rows = ["#FIG 3.2", "Landscape", "Center", "Inches", "A4", "100.00", "Single", "-2", "1200 2"]
    corners = [((x, y), (x, y)) for x, y in ((0.0, 0.0), (WIDE, HIGH))]
    rows += [_polyline(a, b, 1) for a, b in (*corners, *drawing.thin)]
    rows += [_polyline(a, b, 2) for a, b in drawing.lines]
    rows += [_ellipse(c, r, 2) for c, r in drawing.circles]
    rows += [_ellipse(c, r, 1) for c, r in drawing.rings]
    rows += [_string(note, p, font, size, 0) for p, note in drawing.notes]
    rows += [
        _string(t.text, t.at, font, round(t.high / 0.72 * 72 / 25.4), 0) for t in drawing.labels
    ]
    for s in drawing.sizes:
        gap = 0.75 * high * len(s.row) + 2.0 if in_gap else 0.0
        (x, y), turn = _text_at(s, high, gap, level=level)
        foot = (x + high / 2, y) if turn else (x, y - high / 2)
        rows += [_polyline(a, b, 1) for a, b in _extensions(s)]
        rows += [_polyline(a, b, 1, head=head) for a, b in _arrows(s, gap)]
        rows.append(_string(s.row, foot, font, size, 1, turn=math.radians(turn)))
    (folder / "sheet.fig").write_text("\n".join([*rows, ""]), encoding="latin-1")
    run_program(["fig2dev", "-L", "eps", "sheet.fig", "sheet.eps"], folder)
    run_program(["gs", *_GS, "-sOutputFile=sheet.pdf", "sheet.eps"], folder)
    return folder / "sheet.pdf"


def _fig(p: XY) -> str:
    return f"{round(p[0] * _UNIT)} {round((HIGH - p[1]) * _UNIT)}"


def _polyline(
    a: XY, b: XY, thick: int, *, head: tuple[int, int, float, float] | None = None
) -> str:
    row = f"2 1 0 {thick} 0 7 50 -1 -1 0.000 0 0 -1 {int(head is not None)} 0 2\n"
    if head is not None:
        kind, style, wide, long = head
        row += f"\t{kind} {style} 1.00 {wide * _UNIT:.2f} {long * _UNIT:.2f}\n"
    return f"{row}\t {_fig(a)} {_fig(b)}"


def _ellipse(c: XY, r: float, thick: int) -> str:
    radius = round(r * _UNIT)
    rim = _fig((c[0] + r, c[1]))
    return f"1 3 0 {thick} 0 7 50 -1 -1 0.000 1 0.0000 {_fig(c)} {radius} {radius} {_fig(c)} {rim}"


def _string(text: str, p: XY, font: int, size: int, place: int, *, turn: float = 0.0) -> str:
    said = "".join(c if ord(c) < 128 else f"\\{ord(c):03o}" for c in text.replace("\\", ""))
    return f"4 {place} 0 50 -1 {font} {size} {turn:.4f} 4 100 100 {_fig(p)} {said}\\001"
