"""Drawn pages that hold more than any plan does: looked at from the top, as far as time allows.

A file may hold millions of lines and tens of thousands of sizes; what is left out is said, and
counts as not checked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.records import Fills, Finding, Glyphs, Place, Sheet, VectorPage
from audit.scale.findings import say

MOST_STROKES = 150_000  # a crowded E-size sheet has about 100,000
MOST_TEXTS = 4_000  # a crowded E-size sheet with its schedules has some 3,000
MOST_NUMBERS = 1_500  # texts that may be sizes: each is looked for a line, and a line for each
MOST_DIMENSIONS = 1_000  # of a sheet; the densest have a few hundred
PART_READ = "D102"
_NUMBER = re.compile(r"(?!.*[a-z].*[a-z]).*\d", re.IGNORECASE)  # figures, one letter at most
_DO = "print it in parts, and check each."


@dataclass(frozen=True, slots=True, kw_only=True)
class Crowd:
    """The part of a page that is looked at, and texts below it; all where `whole`.

    `unlisted` more texts are below it.
    """

    page: VectorPage
    below: tuple[Glyphs, ...] = ()
    unlisted: int = 0
    whole: bool = True


def thin_out(page: VectorPage) -> Crowd:
    """Keep as much of a page, from its top, as can be looked at.

    Parameters
    ----------
    page : VectorPage

    Returns
    -------
    Crowd
        Strokes, fills and texts that begin below the place where there are too many are left out.
    """
    tops = [
        _top_of(page.strokes.ends[:, [1, 3]].min(axis=1, initial=np.inf), MOST_STROKES),
        _top_of(_fill_tops(page.fills), MOST_STROKES),
        _top_of(np.array([text.box.y0 for text in page.texts]), MOST_TEXTS),
        _top_of(np.array([t.box.y0 for t in page.texts if _NUMBER.match(t.text)]), MOST_NUMBERS),
    ]
    end = min(tops)
    if not np.isfinite(end):
        return Crowd(page=page)
    strokes, fills = page.strokes, page.fills
    keep = strokes.ends[:, [1, 3]].min(axis=1) < end
    part = replace(
        page,
        strokes=strokes.chosen(keep),
        arcs=tuple(arc for arc in page.arcs if arc.centre.y < end),
        fills=_chosen(fills, _fill_tops(fills) < end),
        texts=tuple(text for text in page.texts if text.box.y0 < end),
        truncated=True,
    )
    below = tuple(text for text in page.texts if text.box.y0 >= end)
    unlisted = max(0, len(below) - MOST_TEXTS)
    return Crowd(page=part, below=below[:MOST_TEXTS], unlisted=unlisted, whole=False)


def _top_of(tops: NDArray[np.float64], most: int) -> float:
    """Return the height at which the next one would be one too many."""
    return float("inf") if len(tops) <= most else float(np.partition(tops, most)[most])


def _fill_tops(fills: Fills) -> NDArray[np.float64]:
    if not len(fills):
        return np.zeros(0)
    return np.asarray(np.minimum.reduceat(fills.points[:, 1], fills.starts[:-1]), float)


def _chosen(fills: Fills, keep: NDArray[np.bool_]) -> Fills:
    sizes = np.diff(fills.starts)
    return Fills(
        points=fills.points[np.repeat(keep, sizes)],
        starts=np.cumsum([0, *sizes[keep].tolist()]).astype(np.int32),
        paths=fills.paths[keep],
        greys=fills.greys[keep],
    )


def tell_crowded(sheet: Sheet, crowd: Crowd) -> tuple[Finding, ...]:
    """Say that only a part of a page was looked at (D102)."""
    if crowd.whole:
        return ()
    page = crowd.page
    lowest = max(
        [float(page.strokes.ends[:, [1, 3]].min(axis=1).max(initial=0.0))]
        + [text.box.y0 for text in page.texts]
    )
    share = max(1, round(100 * min(1.0, lowest / sheet.height)))
    text = (
        f"{sheet.name} is drawn too densely to be looked at whole: {_beyond(share, sheet.turn)} "
        f"nothing was checked; {_DO}"
    )
    if crowd.unlisted:
        text += f" {crowd.unlisted} of the texts there are not even listed."
    box = Box(0.0, min(lowest, sheet.height), sheet.width, sheet.height)
    return (_finding(text, Place(sheet=sheet.id, box=box)),)


def _beyond(share: int, turn: int) -> str:
    """Say where a page was not looked at: as it is seen, though the frame's top was looked at."""
    return {
        90: f"left of the last {share} % of its width",
        180: f"above the last {share} % of its height",
        270: f"right of the first {share} % of its width",
    }.get(turn, f"below the first {share} % of its height")


def tell_too_many(sheet: Sheet, found: int) -> tuple[Finding, ...]:
    """Say that a sheet has more dimensions than are compared (D102)."""
    if found <= MOST_DIMENSIONS:
        return ()
    text = (
        f"{sheet.name} holds {found} dimensions: only the first {MOST_DIMENSIONS} were checked; "
        f"{_DO}"
    )
    return (_finding(text, Place(sheet=sheet.id, box=sheet.box)),)


def _finding(text: str, place: Place) -> Finding:
    return say(PART_READ, text, places=[place])
