"""Folds and joints of a sheet: how large their step is, as sizes across them tell.

Words used here: a *step* is by how much one side of a fold stands off where it belongs; a length
runs *across* a fold when its ends lie on both sides of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audit.geometry import Box, Point
from audit.lengths import Style, spell
from audit.records import (
    Dimension,
    Finding,
    Fold,
    KnownSize,
    NoScale,
    Place,
    Scale,
    Sheet,
    View,
)
from audit.scale.findings import say
from audit.scale.known import scale_from_known
from audit.scale.pairs import Pair, pairs_of_known, usable_known
from audit.uncertainty import combine, real_changes, real_matrix

LEAST_ACROSS = 3  # printed sizes across a fold before their common offset is told
CLEAR_OFFSET = 3.0  # standard uncertainties of that offset
LEAST_OFFSET_MM = 0.3  # on the paper; a smaller step is not worth a word


def measure_folds(sheet: Sheet, known_sizes: Sequence[KnownSize]) -> Sheet:
    """Measure the steps nobody has stated by known sizes across them.

    The scale comes from the known sizes that run across no fold; what one across a fold then
    differs by is taken as the size of the step. A step in another direction than that of the known
    size is not seen by it, so a few of them running differently are better than one.

    Parameters
    ----------
    sheet : Sheet
    known_sizes : sequence of KnownSize
        Of any sheets.

    Returns
    -------
    Sheet
        Its folds with `measured`.
    """
    if all(fold.step is not None for fold in sheet.folds):
        return sheet
    bare = replace(sheet, folds=())
    scale = _scale_beside(bare, sheet, known_sizes)
    folds = tuple(replace(f, measured=_measure(f, sheet, known_sizes, scale)) for f in sheet.folds)
    return replace(sheet, folds=folds)


def _scale_beside(bare: Sheet, sheet: Sheet, known_sizes: Sequence[KnownSize]) -> Scale | None:
    beside = [k for k in usable_known(known_sizes, sheet=bare) if not sheet.folds_between(k.a, k.b)]
    if not beside:
        return None
    scale = scale_from_known(pairs_of_known(beside, sheet=bare), page=sheet.kind).scale
    return scale if isinstance(scale, Scale) else None


def _measure(
    fold: Fold, sheet: Sheet, known_sizes: Sequence[KnownSize], scale: Scale | None
) -> float | None:
    """Root mean square of what known sizes across this fold alone differ by, mm of paper."""
    if fold.step is not None or scale is None:
        return None
    bare = replace(sheet, folds=())
    across = [
        k for k in usable_known(known_sizes, sheet=bare) if sheet.folds_between(k.a, k.b) == (fold,)
    ]
    offsets = [_offset(pair, scale) for pair in pairs_of_known(across, sheet=bare)]
    if not offsets:
        return None
    return math.sqrt(sum(off**2 + u**2 for off, u in offsets) / len(offsets))


def _offset(pair: Pair, scale: Scale) -> tuple[float, float]:
    """How much longer a pair is drawn than it should be, and the standard uncertainty, mm."""
    vector = np.array([pair.dx, pair.dy])
    real = real_matrix(scale) @ vector
    per_paper = float(np.hypot(*real)) / pair.drawn
    by_scale = real @ real_changes(vector, scale) / float(real @ real)
    u_scale = pair.drawn * combine(by_scale, scale.covariance)
    off = pair.drawn - pair.real / per_paper
    return off, math.hypot(pair.u_paper, pair.u_real / per_paper, u_scale)


def fold_findings(
    sheet: Sheet,
    dimensions: Sequence[Dimension],
    *,
    views: Sequence[View],
    pairs: Sequence[Pair],
    known_sizes: Sequence[KnownSize],
) -> tuple[Finding, ...]:
    """Tell of every fold what runs across it, and what that carries (S111).

    Parameters
    ----------
    sheet : Sheet
        With its folds measured.
    dimensions : sequence of Dimension
        Of any sheets.
    views : sequence of View
        Of this sheet, with their scales.
    pairs : sequence of Pair
        Usable dimensions of this sheet, folds left aside.
    known_sizes : sequence of KnownSize
        Of any sheets.

    Returns
    -------
    tuple of Finding
        One a fold.
    """
    return tuple(
        _tell(n, fold, sheet, dimensions, views, pairs, known_sizes)
        for n, fold in enumerate(sheet.folds, start=1)
    )


def _tell(  # noqa: PLR0917  # each is one side of what there is to tell
    number: int,
    fold: Fold,
    sheet: Sheet,
    dimensions: Sequence[Dimension],
    views: Sequence[View],
    pairs: Sequence[Pair],
    known_sizes: Sequence[KnownSize],
) -> Finding:
    own = [d for d in dimensions if d.sheet == sheet.id and _is_across(fold, d)]
    name = f"fold {number} of {sheet.name}" if len(sheet.folds) > 1 else f"the fold of {sheet.name}"
    count = f"{len(own)} dimension{'' if len(own) == 1 else 's'}"
    if not own:
        text = f"No dimension runs across {name}; it changes nothing that was measured."
    else:
        one = len(own) == 1
        text = f"{count} run{'s' if one else ''} across {name}. {_say_step(fold, one=one)}"
        if fold.u_paper is None:
            text += _say_printed(views, pairs, {d.id for d in own})
    unused = [
        k for k in known_sizes if k.sheet == sheet.id and fold.parts(k.a, k.b) and fold.step is None
    ]
    if unused:
        what = "A known size runs" if len(unused) == 1 else f"{len(unused)} known sizes run"
        text += f" {what} across it and did not help to set the scale."
    return say(
        "S111",
        text,
        places=[Place(sheet=sheet.id, box=_box(fold, sheet))],
        dimensions=[d.id for d in own],
    )


def _say_step(fold: Fold, *, one: bool) -> str:
    carry = "Its scaled value carries the step" if one else "Their scaled values carry the step"
    if fold.step is not None:
        size = f"{spell(fold.step, style=Style.PLAIN)} {fold.step.unit.value}"
        return f"{carry}, up to {size} either way, as you said."
    if fold.measured is not None:
        size = f"{2 * fold.measured:.2f} mm on the paper (k = 2)"
        return f"{carry}, {size}, as the known sizes across it tell."
    return (
        f"{'It is' if one else 'They are'} not scaled: nobody has said how far the two sides are "
        "shifted. Give a known size on one side and one across, or say how large the step may be."
    )


def _say_printed(views: Sequence[View], pairs: Sequence[Pair], across: set[int]) -> str:
    """Say by how much printed sizes across it are drawn longer, as a hint, never as a measure."""
    scales = {v.id: v.scale for v in views}
    found = [
        _offset(p, scale)[0]
        for p in pairs
        if p.source in across and isinstance(scale := scales.get(p.view, NoScale(reason="")), Scale)
    ]
    if len(found) < LEAST_ACROSS:
        return ""
    middle = float(np.median(found))
    scatter = 1.4826 * float(np.median(np.abs(np.array(found) - middle)))
    u = max(scatter, 0.05) / math.sqrt(len(found))
    if abs(middle) < max(LEAST_OFFSET_MM, CLEAR_OFFSET * u):
        return ""
    word = "longer" if middle > 0 else "shorter"
    return (
        f" The {len(found)} printed sizes across it are drawn {abs(middle):.1f} mm {word} on the "
        "paper than the rest of their views lets expect."
    )


def _is_across(fold: Fold, dimension: Dimension) -> bool:
    return fold.parts(*(end.point for end in dimension.ends))


def _box(fold: Fold, sheet: Sheet) -> Box:
    """Box around the fold as far as it runs over the sheet."""
    a, b = run_over(fold, sheet)
    return Box.around([a, b])


def run_over(fold: Fold, sheet: Sheet) -> tuple[Point, Point]:
    """Return where a fold enters and leaves its sheet, sheet frame.

    Parameters
    ----------
    fold : Fold
    sheet : Sheet

    Returns
    -------
    tuple of Point
        The places themselves where the line misses the sheet.
    """
    (dx, dy), low, high = (fold.b.x - fold.a.x, fold.b.y - fold.a.y), -math.inf, math.inf
    for at, way, size in ((fold.a.x, dx, sheet.width), (fold.a.y, dy, sheet.height)):
        if way != 0.0:
            ends = sorted((-at / way, (size - at) / way))
            low, high = max(low, ends[0]), min(high, ends[1])
    if not low < high or not math.isfinite(high - low):
        return fold.a, fold.b
    return fold.a.moved(low * dx, low * dy), fold.a.moved(high * dx, high * dy)
