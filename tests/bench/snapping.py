"""Snapping: RMS error of a distance between two strokes, against the clicks it started from."""

from __future__ import annotations

import math

import numpy as np
from rich.console import Console
from rich.table import Table

from audit.geometry import Point
from audit.snapping import snap_circle, snap_distance
from tests.snapping.drawn import Rendered, degrade, new_page, render

CLICK_SIGMA_PX = 1.5


def draw_distance(rng: np.random.Generator, dpi: int):
    """Two extension lines at any angle, a dimension line with arrows, text: truth in px."""
    page = new_page()
    angle = math.radians(float(rng.choice([0, 0, 90, 90, rng.uniform(0, 180)])))
    u = np.array([math.cos(angle), math.sin(angle)])
    n = np.array([-u[1], u[0]])
    middle = np.array([144.0, 108.0]) + rng.uniform(-8, 8, 2)
    half = rng.uniform(12, 60)
    width = float(rng.choice([0.5, 0.7, 1.0, 1.4, 1.7]))
    ends = [middle - half * u, middle + half * u]
    shape = page.new_shape()
    for end in ends:
        shape.draw_line(tuple(end - 28 * n), tuple(end + 6 * n))
    shape.draw_line(tuple(ends[0]), tuple(ends[1]))
    shape.finish(width=width)
    for end, sign in zip(ends, (1, -1), strict=True):
        tip = [end, end + sign * 7 * u + 1.2 * n, end + sign * 7 * u - 1.2 * n]
        shape.draw_polyline([tuple(p) for p in tip])
        shape.finish(fill=(0, 0, 0), width=0.1, closePath=True)
    shape.commit()
    page.insert_text((middle[0] - 8, middle[1] - 4), "3 1/4", fontsize=9)
    picture = render(page, dpi)
    clicks = [picture.px(*end) for end in ends]
    return picture, clicks


def draw_circle(rng: np.random.Generator, dpi: int):
    """A circle with its centre lines: truth centre and radius in px."""
    page = new_page()
    centre = (144 + float(rng.uniform(-8, 8)), 108 + float(rng.uniform(-8, 8)))
    radius = float(rng.uniform(4, 60))
    shape = page.new_shape()
    shape.draw_circle(centre, radius)
    shape.finish(width=float(rng.choice([0.7, 1.0, 1.4])))
    shape.draw_line((centre[0] - radius - 6, centre[1]), (centre[0] + radius + 6, centre[1]))
    shape.draw_line((centre[0], centre[1] - radius - 6), (centre[0], centre[1] + radius + 6))
    shape.finish(width=0.5, dashes="[12 2 2 2] 0")
    shape.commit()
    picture = render(page, dpi)
    return picture, picture.px(*centre), radius * picture.px_per_pt


def measure(
    dpi: int, *, noise: float, blur: float, count: int, seed: int
) -> tuple[float, float, float, float, int]:
    """Return RMS of snapped and clicked distances, of radii, inside-U share, and failures."""
    rng = np.random.default_rng(seed)
    snapped, clicked, radii, inside, lost = [], [], [], 0, 0
    for _ in range(count):
        picture, truth = draw_distance(rng, dpi)
        gray = degrade(picture.gray, rng, noise=noise, blur=blur)
        clicks = [Point(*(np.array(p) + rng.normal(0, CLICK_SIGMA_PX, 2))) for p in truth]
        true = truth[0].distance(truth[1])
        found = snap_distance(gray, *clicks, px_per_mm=dpi / 25.4)
        if found.remark:
            lost += 1
            continue
        error = found.ends[0].point.distance(found.ends[1].point) - true
        snapped.append(error)
        clicked.append(clicks[0].distance(clicks[1]) - true)
        inside += abs(error) <= 2 * math.hypot(*(end.sigma for end in found.ends))
        picture, centre, radius = draw_circle(rng, dpi)
        gray = degrade(picture.gray, rng, noise=noise, blur=blur)
        start = Point(*(np.array(centre) + rng.normal(0, CLICK_SIGMA_PX, 2)))
        circle = snap_circle(gray, start, radius + float(rng.normal(0, CLICK_SIGMA_PX)))
        if circle is None:
            lost += 1
        else:
            radii.append(circle.radius - radius)
    share = inside / max(1, len(snapped))
    return _rms(snapped), _rms(clicked), _rms(radii), share, lost


def _rms(errors: list[float]) -> float:
    return float(np.sqrt(np.mean(np.square(errors)))) if errors else math.nan


def run(*, full: bool) -> None:
    """Print the table."""
    count = 200 if full else 60
    table = Table(title="snapping: RMS error, px (baseline: the clicks themselves)")
    for column in ("dpi", "picture", "distance", "clicks", "radius", "inside 2u", "lost"):
        table.add_column(column, justify="right")
    for dpi in (150, 200, 300):
        for name, noise, blur in (("clean", 0.0, 0.0), ("noise 12, blur 1 px", 12.0, 1.0)):
            d, c, r, share, lost = measure(dpi, noise=noise, blur=blur, count=count, seed=dpi)
            table.add_row(
                str(dpi), name, f"{d:.3f}", f"{c:.3f}", f"{r:.3f}", f"{share:.3f}", str(lost)
            )
    Console().print(table)


__all__ = ["Rendered", "run"]
