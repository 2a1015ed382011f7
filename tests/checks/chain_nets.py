"""Random networks of printed sizes with known mistakes, as dimensions on a sheet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from audit.geometry import Box, Point
from audit.lengths import Length, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    NoScale,
    PageKind,
    Scale,
    ScaleFrom,
    View,
    ViewKind,
)
from tests.checks.simulated import make_sheet, reading_of

PT = 72.0
EXACT = ((1e-10, 0.0, 0.0), (0.0, 1e-10, 0.0), (0.0, 0.0, 1e-12))
FULL = Scale(x=1.0, y=1.0, covariance=EXACT, source=ScaleFrom.KNOWN)


@dataclass(frozen=True)
class Net:
    """A drawn network; `wrong` maps the spoiled dimensions to their true sizes."""

    sheets: tuple
    views: tuple
    dimensions: tuple
    wrong: dict


def draw_net(
    rng,
    *,
    stations=12,
    per_station=1.5,
    wrong=0,
    sigma_in=0.0025,
    scaled=True,
    places=None,
    step=64,
):
    """Draw a tree of sizes and more legs until there are `per_station` each, then spoil some."""
    gaps = rng.integers(8, 96, stations - 1)
    at = [Fraction(0), *(Fraction(int(g), step) for g in np.cumsum(gaps))]
    pairs = {(int(rng.integers(0, k)), k) for k in range(1, stations)}
    most = stations * (stations - 1) // 2
    while len(pairs) < min(most, round(per_station * stations)):
        a, b = sorted(rng.choice(stations, 2, replace=False).tolist())
        pairs.add((a, b))
    legs = [(a, b, at[b] - at[a]) for a, b in sorted(pairs)]
    spoiled = {}
    for k in rng.permutation(len(legs)).tolist():
        if len(spoiled) == wrong:
            break
        if not _in_loop(legs, k):
            continue
        a, b, size = legs[k]
        off = Fraction(int(rng.integers(1, 9)), 16) * int(rng.choice([-1, 1]))
        off = off if size + off > 0 else -off
        legs[k] = (a, b, size + off)
        spoiled[100 + k] = size
    return net_of(legs, at, spoiled, rng, sigma_in=sigma_in, scaled=scaled, places=places)


def _in_loop(legs, k):
    a, b, _ = legs[k]
    seen, row = {a}, [a]
    for node in row:
        for j, (p, q, _) in enumerate(legs):
            if j != k and node in (p, q):
                other = q if node == p else p
                if other not in seen:
                    seen.add(other)
                    row.append(other)
    return b in seen


def net_of(legs, at, spoiled, rng, *, sigma_in=0.0025, scaled=True, places=None, turn=0.0, by=1.0):
    """Draw given legs: every end a little off; printed exactly, or to so many places."""
    width = 200 + float(at[-1]) * PT
    sheet = make_sheet(PageKind.VECTOR, width=width, height=2000.0)
    scale = FULL if scaled else NoScale(reason="none was given")
    view = View(id=1, sheet=1, kind=ViewKind.TRUE, box=Box(90, 90, width - 90, 1000), scale=scale)
    dimensions = []
    for k, (a, b, size) in enumerate(legs):
        y = 100 + 900.0 * k / len(legs)
        ends = tuple(
            End(
                point=Point(100 + PT * (float(at[s]) + rng.normal(0, sigma_in)), y),
                kind=EndKind.EXTENSION,
                sigma=max(sigma_in, 1e-4) * PT,
            )
            for s in (a, b)
        )
        printed, step = size, Fraction(0)
        if places is not None:
            printed, step = Fraction(round(size * 10**places), 10**places), Fraction(1, 10**places)
        reading = reading_of(Length(printed, Unit.IN), step=step, box=Box(100, y, 110, y + 8))
        dimensions.append(
            Dimension(
                id=100 + k,
                sheet=1,
                view=1,
                kind=DimensionKind.DISTANCE,
                ends=ends,
                line=tuple(e.point for e in ends),
                reading=reading,
            )
        )
    return Net((sheet,), (view,), tuple(dimensions), spoiled)


def with_printed(dimension, size, **callout):
    """The same dimension with another printed size."""
    reading = reading_of(Length(Fraction(size), Unit.IN), box=dimension.reading.box, **callout)
    return replace(dimension, reading=reading)
