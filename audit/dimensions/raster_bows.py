"""Short sizes whose number stands aside: a thin line leads to it from the gap, without a head.

Between ends too near to each other for a number nothing is drawn but tails outside. The number
stands where there is room, and a bow, or a line with a bend, joins it to the middle of the gap
(common practice, no source). Such a line is followed in the ink, so that it may have any form.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.dimensions.candidates import Candidate
from audit.dimensions.ink import Floats, Line
from audit.dimensions.text_places import distance_to_text, place_of_text
from audit.dimensions.texts import SizeText, TextForm
from audit.geometry import Point
from audit.networks.page import PageMaps
from audit.records import DimensionKind

SHORT_PT = (3.0, 60.0)  # between the ends: in more than 21 mm a number has room
NEAR_PT = 12.0  # so much is looked at first
REACH_PT = 75.0  # 26 mm from the gap to the number's near side
MIDDLE = 0.27  # of the gap, to either side of its middle: there the bow begins
BESIDE_PT = 1.0  # of the dimension line and what its ends stand on: their own ink
BEGINS_PT = 3.2  # from the dimension line, at most
LEAST_PT = 6.0  # from the gap to the bow's far end
THIN_PT = 2.0  # width of a bow, all of its ink over its length: scans make lines wider
INK = 77  # of 255
TANGENT_PT = 3.0  # of its far end, by which it is led on over an extension line
OVER_PT, AHEAD_COSINE = 5.0, 0.9  # and how far, and of 26 degrees to either side
AT_TEXT = 0.9  # letter heights between the bow's far end and its text
FAR_OFF = 0.8  # letter heights that such a text stands off the dimension line at least
STRENGTH = 0.7
FORMS = (TextForm.LENGTH, TextForm.DIAMETER, TextForm.UNREADABLE)

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Patch:
    """A piece of the raster around a gap, in the frame of its dimension line.

    `ink` is what is drawn there but for texts, the dimension line and what its ends stand on,
    the last of which is `hidden`;
    `along` and `aside` of every px, pt from the middle of the gap.
    """

    ink: Mask
    hidden: Mask
    along: Floats
    aside: Floats


def lead_bows(
    candidates: Sequence[Candidate],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    px_per_pt: float,
) -> list[Candidate]:
    """Give short distances the numbers that bows lead to from their gaps.

    Parameters
    ----------
    candidates : sequence of Candidate
        In pt.
    texts : sequence of SizeText
        In pt. Where they stand counts, not what they say.
    maps : PageMaps
        For the ink.
    px_per_pt : float
        Px of the raster to a pt.

    Returns
    -------
    list of Candidate
        In the same order; one with a bow takes no text but at its far end.
    """
    sizes = [t for t in texts if t.form in FORMS]
    centres = np.array([t.line.centre for t in sizes], float).reshape(-1, 2)
    found = []
    for candidate in candidates:
        line, gap = _gap_of(candidate)
        far = np.hypot(centres[:, 0] - line.x, centres[:, 1] - line.y)
        near = [sizes[int(k)] for k in np.flatnonzero(far < 1.5 * REACH_PT)] if gap else []
        aside = [t for t in near if _stands_off(t, line, gap)]
        if len(aside) < len(near):  # a gap that holds its number: what crosses there is no bow
            aside = []
        text = _led_to(line, gap, aside, texts, maps, scale=px_per_pt * maps.factor)
        found.append(candidate if text is None else _with_text(candidate, text))
    return found


def _gap_of(candidate: Candidate) -> tuple[Line, float]:
    """Line of a short distance from its middle, and its length; 0 for any other candidate."""
    a, b = candidate.line[0], candidate.line[-1]
    gap, middle = a.distance(b), a.midpoint(b)
    line = Line(middle.x, middle.y, (b.x - a.x) / max(gap, 1e-9), (b.y - a.y) / max(gap, 1e-9))
    short = SHORT_PT[0] < gap < SHORT_PT[1] and not (candidate.leader or candidate.half)
    return line, gap if short and candidate.kind is DimensionKind.DISTANCE else 0.0


def _led_to(
    line: Line,
    gap: float,
    sizes: Sequence[SizeText],
    texts: Sequence[SizeText],
    maps: PageMaps,
    *,
    scale: float,
) -> SizeText | None:
    """Size that a bow from the middle of a gap leads to."""
    if not sizes or not _begins(maps, line, gap, scale):
        return None
    soon = _tail(_patch(maps, line, (gap, NEAR_PT + gap / 2), texts, scale), gap, scale)
    if soon is None:  # a small piece tells that nothing leads away
        return None
    tail = _tail(_patch(maps, line, (gap, REACH_PT + gap / 2), texts, scale), gap, scale)
    return None if tail is None else _text_at(_at(line, *tail), sizes)


def _with_text(candidate: Candidate, text: SizeText) -> Candidate:
    strength = max(candidate.strength, STRENGTH)
    own = place_of_text(text)
    return replace(candidate, places=(own,), strength=strength, number=text.line.centre)


def _at(line: Line, along: float, aside: float) -> Point:
    foot = line.at(along)
    return Point(foot.x - aside * line.uy, foot.y + aside * line.ux)


def _stands_off(text: SizeText, line: Line, gap: float) -> bool:
    """Whether a text stands clear of the gap: one in it or on it needs no bow."""
    corners = [line.place(q) for q in text.line.quad]
    aside = [v for _, v in corners]
    along = [v for v, _ in corners]
    room = FAR_OFF * text.line.height
    beside = max(min(along) - gap / 2, -gap / 2 - max(along)) > 0
    return min(aside) > room or max(aside) < -room or beside


def _begins(maps: PageMaps, line: Line, gap: float, scale: float) -> bool:
    """Whether just beside the middle of a gap there is ink, and not all along it."""
    along = np.arange(-MIDDLE * gap, MIDDLE * gap + 1e-6, 0.5 / scale)
    for sign in (-1.0, 1.0):
        aside = np.full(len(along), sign * (BESIDE_PT + BEGINS_PT) / 2)
        if 0 < int(_dark(maps, line, along, aside, scale).sum()) < 0.8 * len(along) + 2:
            return True
    return False


def _dark(maps: PageMaps, line: Line, along: Floats, aside: Floats, scale: float) -> Mask:
    h, w = maps.dark.shape
    column = ((line.x + along * line.ux - aside * line.uy) * scale).astype(int)
    row = ((line.y + along * line.uy + aside * line.ux) * scale).astype(int)
    inside = (column >= 0) & (column < w) & (row >= 0) & (row < h)
    dark = maps.dark[np.clip(row, 0, h - 1), np.clip(column, 0, w - 1)]
    return np.asarray(inside & (dark > INK))


def _patch(
    maps: PageMaps,
    line: Line,
    size: tuple[float, float],
    texts: Sequence[SizeText],
    scale: float,
) -> _Patch:
    """Turn the raster around a gap so that its dimension line runs level, a px to a px.

    `size` is the gap's, and how far the piece reaches from its middle.
    """
    gap, reach = size
    steps = np.arange(-reach, reach, 1.0 / scale)
    along, aside = np.meshgrid(steps, steps)
    ink = _dark(maps, line, along, aside, scale)
    ink &= np.abs(aside) > BESIDE_PT
    hidden = _under(ink, along + gap / 2, aside) | _under(ink, along - gap / 2, aside)
    ink &= ~hidden
    for text in texts:
        if text.line.centre.distance(Point(line.x, line.y)) < reach + text.line.length:
            quad = [line.place(q) for q in text.line.quad]
            corners = np.round((np.array(quad) + reach) * scale).astype(np.int32)
            letters = np.zeros(ink.shape, np.uint8)
            cv2.fillConvexPoly(letters, corners, 1)
            ink &= letters == 0
    return _Patch(ink=ink, hidden=hidden, along=along, aside=aside)


def _under(ink: Mask, along: Floats, aside: Floats) -> Mask:
    """What an end of a gap stands on: ink that leads straight away from there, up to its end."""
    column: Mask = np.asarray(np.abs(along) < BESIDE_PT)
    inked: Mask = np.asarray(np.any(ink & column, axis=1), np.bool_)
    rows: Floats = aside[:, 0]
    gone: Mask = np.zeros(len(rows), np.bool_)
    for way in (-1.0, 1.0):
        outward = np.flatnonzero(way * rows > BESIDE_PT)[:: int(way)]
        blank = np.flatnonzero(~inked[outward])
        gone[outward[: blank[0] if len(blank) else len(outward)]] = True
    return np.asarray(column & gone.reshape(-1, 1))


def _tail(patch: _Patch, gap: float, scale: float) -> tuple[float, float] | None:
    """Far end of the thin line that begins beside the middle of a gap, along and aside of it."""
    count, label = cv2.connectedComponents(patch.ink.astype(np.uint8), connectivity=8)
    if count < 2:
        return None
    begins = (np.abs(patch.along) < MIDDLE * gap) & (np.abs(patch.aside) < BEGINS_PT)
    best: tuple[float, tuple[float, float]] | None = None
    for k in np.unique(label[begins & patch.ink]).tolist():
        own = label == k
        end = _end_of(own, patch, scale)
        more = None if end is None else _beyond(np.asarray(label, np.int32), k, end[1], patch)
        end = end if more is None else _end_of(own | (label == more), patch, scale)
        if end is not None and end[0] > LEAST_PT and (best is None or end[0] > best[0]):
            best = end
    return None if best is None else best[1]


def _end_of(own: Mask, patch: _Patch, scale: float) -> tuple[float, tuple[float, float]] | None:
    """Length and far end of a thin line, given by its px; `None` where they are none."""
    along, aside = patch.along[own], patch.aside[own]
    first = int(np.argmin(np.abs(aside)))
    far = np.hypot(along - along[first], aside - aside[first])
    last = int(np.argmax(far))
    length = float(far[last])
    if len(along) / scale**2 > THIN_PT * max(length, THIN_PT):
        return None
    return length, (float(along[last]), float(aside[last]))


def _beyond(
    label: NDArray[np.int32], own: int, end: tuple[float, float], patch: _Patch
) -> int | None:
    """Find the line that goes on from the end of another, over what an end of the gap stands on."""
    x, y = patch.along - end[0], patch.aside - end[1]
    far = np.hypot(x, y)
    near = (label == own) & (far < TANGENT_PT)
    ux, uy = -float(x[near].mean()), -float(y[near].mean())
    ahead = x * ux + y * uy > far * math.hypot(ux, uy) * AHEAD_COSINE
    goes_on = patch.ink & (label != own) & (far < OVER_PT) & ahead
    over = patch.hidden & (far < OVER_PT) & ahead
    if not goes_on.any() or not over.any():
        return None
    place = np.argmin(np.where(goes_on, far, np.inf))
    return int(label.flat[place]) if far.flat[place] > far[over].min() else None


def _text_at(p: Point, texts: Sequence[SizeText]) -> SizeText | None:
    """Nearest text within whose reach a bow ends."""
    best: tuple[float, SizeText] | None = None
    for text in texts:
        off = distance_to_text(text, p) / text.line.height
        if off < AT_TEXT and (best is None or off < best[0]):
            best = off, text
    return None if best is None else best[1]
