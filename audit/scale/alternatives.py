"""What else the doubtful texts of a view may say, weighed together over its sizes.

`17`, heard at 0.25 beside `11` at 0.05, says next to nothing by itself. But where the sure sizes
of its view say one scale, and the length over which it stands says 11 by it to half a percent,
then 17 was hardly printed there. So each doubtful text says several sizes, each as likely as the
networks hold it; a scale is as likely as all sizes of a view together make it:

    p(s) ~ product over sizes of  sum over what it may say of  r_k N(said_k; s, width_k)
                                  + (1 - sum of r_k) W(said - s).

What is chosen so bears the scale only. The reading stays what it was, and stays asked about.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audit.lengths import Callout, Length, Unit, parse_callouts
from audit.records import Dimension, ReadBy, Settings, Sheet, View
from audit.records.doubts import is_measured_away
from audit.scale.chance import (
    LEAST_SHARE,
    LEAST_UNSURE,
    LEAST_WITNESSES,
    MOST_CHANCE,
    MOST_SIZES,
    SLIPS,
    SPREAD,
    WITHIN,
    are_witnesses,
    likeliest_scale,
)
from audit.scale.modes import LEAST_WIDTH
from audit.scale.pairs import Pair, pairs_of_dimensions
from audit.scale.solving import first_widths
from audit.scale.usable import why_not_read

Array = NDArray[np.float64]

LEAST_HEARD = 0.2  # confidence of what was heard best; below, as good as nothing was
LEAST_SAID = 0.02  # probability; below, a network only says that it is no other figure
MOST_SAID = 6  # sizes that one text may say; more is noise
DOUBTED = 0.5  # of what a doubted text is heard with: as likely it is another text's
FINE = 0.04  # relative width; doubtful sizes drawn less exactly agree with too much


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What one size may say: a pair for each, `right` as likely as it is; a sure one says one."""

    pairs: tuple[Pair, ...]

    @property
    def is_sure(self) -> bool:
        """Whether it was read surely."""
        return self.pairs[0].right == 1


def hear_all(
    dimensions: Iterable[Dimension],
    views: Sequence[View],
    *,
    sheet: Sheet,
    settings: Settings,
    unit: Unit | None,
) -> tuple[Heard, ...]:
    """Collect what the doubtful texts of some views may say.

    Parameters
    ----------
    dimensions : iterable of Dimension
    views : sequence of View
        Those wanted, of this sheet.
    sheet : Sheet
    settings : Settings
        Its `confidence_limit` parts sure from doubtful.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    tuple of Heard
        Of letters that our network read off a picture, likeliest first in each.
    """
    wanted = {v.id for v in views}
    found = []
    for d in dimensions:
        if d.view not in wanted or not _is_doubtful(d, settings):
            continue
        pairs = [
            replace(p, right=right)
            for callout, right in _what_it_says(d, unit)
            for p in pairs_of_dimensions(
                [_as_said(d, callout)], views, sheet=sheet, settings=settings
            )
        ]
        if pairs:
            found.append(Heard(pairs=tuple(pairs)))
    return tuple(found)


def _is_doubtful(dimension: Dimension, settings: Settings) -> bool:
    reading = dimension.reading
    if reading is None or reading.by is not ReadBy.NET or reading.confirmed:
        return False
    if reading.confidence < LEAST_HEARD:
        return False
    return why_not_read(dimension, settings) is not None


def _as_said(dimension: Dimension, callout: Callout) -> Dimension:
    """A size as if its text surely said so."""
    if dimension.reading is None:
        return dimension
    sure = replace(dimension.reading, text=callout.text, callout=callout, doubt="", confirmed=True)
    return replace(dimension, reading=sure)


def _what_it_says(dimension: Dimension, unit: Unit | None) -> list[tuple[Callout, float]]:
    """Sizes that a text may say, and how likely each is; together no more than it was heard."""
    reading = dimension.reading
    if reading is None:
        return []
    heard = [(c.text, c.confidence) for c in reading.candidates if c.by is ReadBy.NET]
    if reading.text not in {text for text, _ in heard}:
        heard.append((reading.text, reading.confidence))
    whole = max(1.0, sum(confidence for _, confidence in heard))
    sizes: dict[Length, tuple[Callout, float]] = {}
    for text, confidence in heard:
        callout = _size_of(text, unit)
        if callout is not None and callout.size is not None:
            so_far = sizes.get(callout.size, (callout, 0.0))[1]
            sizes[callout.size] = callout, so_far + confidence / whole
    less = 1.0
    if reading.doubt:
        less = 1.0 if is_measured_away(reading.doubt) else DOUBTED
    said = [(c, p * less) for c, p in sizes.values() if p >= LEAST_SAID]
    return sorted(said, key=lambda row: -row[1])[:MOST_SAID]


def _size_of(text: str, unit: Unit | None) -> Callout | None:
    meanings = parse_callouts(text, unit=unit)
    return next((c for c in meanings if c.size is not None and c.size.unit is not Unit.DEG), None)


def choose_together(
    sure: Sequence[Pair], heard: Sequence[Heard], *, floor: float, stretch: float = 0.0
) -> tuple[Pair, ...]:
    """Find what the doubtful texts of one view say, where its sizes agree on a scale so.

    Parameters
    ----------
    sure : sequence of Pair
        Of the view, those that vote already.
    heard : sequence of Heard
        The others of that view.
    floor : float
        Least scatter of the drawing, mm of paper.
    stretch : float
        Of the paper, log of y over x.

    Returns
    -------
    tuple of Pair
        One for each doubtful text that agrees with the scale; none where another scale has a
        probability of 1 % and more, or too few sizes agree.
    """
    every = [*(Heard(pairs=(p,)) for p in sure), *heard]
    if not heard or not LEAST_WITNESSES <= len(every) <= MOST_SIZES:
        return ()
    table = _Table.of(every, floor=floor, stretch=stretch)
    witnesses = table.only(_witnesses(every))
    scale, chance = witnesses.weigh()
    fits = table.fitting(scale)
    agree = [k for k in witnesses.owners if fits[k] is not None]
    share = sum(every[k].is_sure for k in agree)
    least = (LEAST_SHARE if share else LEAST_UNSURE) * len(witnesses.owners)
    if chance > MOST_CHANCE or len(agree) < max(LEAST_WITNESSES, least):
        return ()
    if _speak_against(every, fits):
        return ()
    return tuple(pair for pair in fits[len(sure) :] if pair is not None)


def _speak_against(every: Sequence[Heard], fits: Sequence[Pair | None]) -> bool:
    """Whether most sure sizes do not agree with the scale."""
    sure = [fit is not None for one, fit in zip(every, fits, strict=True) if one.is_sure]
    return 2 * sum(sure) < len(sure)


def _witnesses(every: Sequence[Heard]) -> list[int]:
    """Places of sizes that count: of those that say one number over one length the surest."""
    first = [one.pairs[0] for one in every]
    said = ([p.real for p in first], [p.drawn for p in first], [p.right for p in first])
    return [int(k) for k in np.flatnonzero(are_witnesses(*map(np.array, said)))]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Table:
    """What sizes say, a row for each thing that each may say; `owners` are their places."""

    pairs: tuple[Pair, ...]
    owner: NDArray[np.intp]
    said: Array
    widths: Array
    right: Array
    owners: tuple[int, ...]

    @classmethod
    def of(cls, every: Sequence[Heard], *, floor: float, stretch: float) -> _Table:
        pairs = tuple(p for one in every for p in one.pairs)
        half = math.exp(stretch / 2)
        drawn = np.hypot([p.dx * half for p in pairs], [p.dy / half for p in pairs])
        return cls(
            pairs=pairs,
            owner=np.repeat(np.arange(len(every)), [len(one.pairs) for one in every]),
            said=np.log([p.real for p in pairs]) - np.log(drawn),
            widths=np.maximum(first_widths(pairs, floor), LEAST_WIDTH),
            right=np.array([p.right for p in pairs]) * (1 - SLIPS),
            owners=tuple(range(len(every))),
        )

    def only(self, owners: Sequence[int]) -> _Table:
        """Leave out all other sizes."""
        keep = np.isin(self.owner, owners)
        return _Table(
            pairs=tuple(p for p, k in zip(self.pairs, keep, strict=True) if k),
            owner=self.owner[keep],
            said=self.said[keep],
            widths=self.widths[keep],
            right=self.right[keep],
            owners=tuple(owners),
        )

    def weigh(self) -> tuple[float, float]:
        """The log scale that the sizes make likeliest, and the probability of all others."""
        return likeliest_scale(self.said, self.widths, self._log_products)

    def _log_products(self, scales: Array) -> Array:
        off = self.said[None, :] - scales[:, None]
        true = self.right * np.exp(-0.5 * (off / self.widths) ** 2)
        true = true / (self.widths * math.sqrt(2 * math.pi))
        wrong = np.exp(-np.abs(off) / SPREAD) / (2 * SPREAD)
        logs = np.zeros(len(scales))
        for k in self.owners:
            own = self.owner == k
            left = max(1.0 - float(self.right[own].sum()), 0.0)
            logs += np.log(true[:, own].sum(axis=1) + left * wrong[:, own][:, 0])
        return logs

    def fitting(self, scale: float) -> list[Pair | None]:
        """What each size says that agrees with a scale; `None` where nothing does."""
        off = np.abs(self.said - scale)
        tells = (self.widths <= FINE) | (self.right >= 1 - SLIPS)
        fits = (off <= WITHIN * self.widths) & tells
        best: list[Pair | None] = [None] * len(self.owners)
        for place, k in enumerate(self.owners):
            rows = np.flatnonzero(fits & (self.owner == k))
            if len(rows):
                best[place] = self.pairs[int(rows[np.argmax(self.right[rows])])]
        return best
