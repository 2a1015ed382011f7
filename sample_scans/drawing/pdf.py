"""A one-page PDF, written byte by byte: no dates, no library, nothing that can vary."""

from __future__ import annotations

import hashlib
import math

from drawing.lettering import HELVETICA_CAPITAL
from drawing.marks import Arc, Fill, Mark, Point, Run, Stroke, direction, step
from drawing.sheet import Paper

PT = 72.0  # points to the inch


def pdf_of(paper: Paper) -> bytes:
    """Write a sheet as a PDF of the sheet's own size."""
    height = paper.height
    body = ["1 j", *(_operators(mark, height) for mark in paper.marks)]
    stream = "\n".join(body).encode("cp1252") + b"\n"
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {_n(paper.width * PT)} {_n(height * PT)}] "
        "/Resources << /Font << /F1 5 0 R >> >> /Contents 4 0 R >>".encode(),
        b"<< /Length %d >>\nstream\n" % len(stream) + stream + b"endstream",
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
        b"<< /Title (Marble lift, sheet 1 of 3) >>",
    ]
    return _file(objects)


def _file(objects: list[bytes]) -> bytes:
    out, places = bytearray(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"), []
    for number, body in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    start, mark = len(out), hashlib.sha256(bytes(out)).hexdigest()[:32].encode()
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    for place in places:
        out += b"%010d 00000 n \n" % place
    out += b"trailer\n<< /Size %d /Root 1 0 R /Info 6 0 R /ID [<%b> <%b>] >>\n" % (
        len(objects) + 1, mark, mark,
    )  # fmt: skip
    out += b"startxref\n%d\n%%%%EOF\n" % start
    return bytes(out)


def _operators(mark: Mark, height: float) -> str:
    if isinstance(mark, Stroke):
        points = [_p(p, height) for p in mark.points]
        path = f"{points[0]} m " + " ".join(f"{p} l" for p in points[1:])
        return f"{_pen(mark.width, mark.dash)} {path} {'s' if mark.closed else 'S'}"
    if isinstance(mark, Arc):
        return f"{_pen(mark.width, mark.dash)} {_curves(mark, height)} S"
    if isinstance(mark, Fill):
        a, b, c = (_p(p, height) for p in mark.points)
        return f"{a} m {b} l {c} l f"
    return _text(mark, height)


def _pen(width: float, dash: tuple[float, ...]) -> str:
    return f"{_n(width * PT)} w [{' '.join(_n(d * PT) for d in dash)}] 0 d"


def _curves(arc: Arc, height: float) -> str:
    pieces = max(1, math.ceil(abs(arc.sweep) / 90.0 - 1e-9))
    turn = arc.sweep / pieces
    pull = 4 / 3 * math.tan(math.radians(turn) / 4) * arc.radius
    parts = [f"{_p(step(arc.centre, arc.start, arc.radius), height)} m"]
    for i in range(pieces):
        start, end = arc.start + turn * i, arc.start + turn * (i + 1)
        first = step(step(arc.centre, start, arc.radius), start + 90.0, pull)
        second = step(step(arc.centre, end, arc.radius), end + 90.0, -pull)
        last = step(arc.centre, end, arc.radius)
        parts.append(f"{_p(first, height)} {_p(second, height)} {_p(last, height)} c")
    return " ".join(parts) + (" h" if abs(arc.sweep) == 360.0 else "")


def _text(run: Run, height: float) -> str:
    ux, uy = direction(run.angle)
    safe = run.text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
    matrix = f"{_n(ux)} {_n(-uy)} {_n(uy)} {_n(ux)} {_p(run.origin, height)}"
    return f"BT /F1 {_n(run.height / HELVETICA_CAPITAL * PT)} Tf {matrix} Tm ({safe}) Tj ET"


def _p(point: Point, height: float) -> str:
    return f"{_n(point[0] * PT)} {_n((height - point[1]) * PT)}"


def _n(value: float) -> str:
    """Three places: 0.001 pt is far below anything that matters, and far above rounding noise."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
