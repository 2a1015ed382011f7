"""What a sheet cannot show: told once for all its views."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.words import rests_on_scale, say_limit
from audit.lengths import MM_PER_INCH, Length, Unit
from audit.records import (
    Dimension,
    DimensionKind,
    Finding,
    Place,
    Scale,
    Scaled,
    Sheet,
    View,
)
from audit.scale.findings import join_words, name_view, say, start_sentence

ENDING = "smaller ones cannot be seen there. Agreement is told as far as this sheet can tell."


def shown_by(dimensions: Iterable[Dimension]) -> float | None:
    """Return the smallest error a view shows: the larger of U and T, for a usual size of it.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Of the view, judged.

    Returns
    -------
    float | None
        Real mm; `None` where no length was measured.
    """
    limits = [
        max(scaled.expanded, tolerance) * (float(MM_PER_INCH) if scaled.unit is Unit.IN else 1.0)
        for _, scaled, tolerance in _lengths(dimensions)
    ]
    return statistics.median(limits) if limits else None


def tell_limits(
    views: Iterable[View], dimensions: Sequence[Dimension], *, sheet: Sheet, unit: Unit
) -> list[Finding]:
    """Say which views, or longer sizes in them, cannot show errors as small as the tolerance.

    Parameters
    ----------
    views : Iterable[View]
        Of the sheet, scaled.
    dimensions : Sequence[Dimension]
        Of the sheet, judged.
    sheet : Sheet
        The one they are on.
    unit : Unit
        To tell the limits in.

    Returns
    -------
    list[Finding]
        One A103 with every such view, or none.
    """
    scaled = [v for v in views if isinstance(v.scale, Scale)]
    coarse = [c for v in scaled if (c := _look(v, dimensions, unit)) is not None]
    if not coarse:
        return []
    return [
        say(
            "A103",
            _say_one(coarse[0]) if len(coarse) == 1 else _say_several(coarse, len(scaled)),
            places=[Place(sheet=sheet.id, box=c.view.box) for c in coarse],
            dimensions=[n for c in coarse for n in c.dimensions],
            rests_on=_rests_on([c.view for c in coarse]),
        )
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Coarse:
    """A view with those of its `count` lengths whose U reaches the tolerance."""

    view: View
    dimensions: tuple[int, ...]
    count: int
    limit: str

    @property
    def is_whole(self) -> bool:
        """Whether the view as a whole is coarse, not some longer sizes alone."""
        return 2 * len(self.dimensions) >= self.count


def _look(view: View, dimensions: Iterable[Dimension], unit: Unit) -> _Coarse | None:
    lengths = _lengths(d for d in dimensions if d.view == view.id)
    coarse = [(d, s) for d, s, tolerance in lengths if s.expanded >= tolerance]
    if not coarse:
        return None
    in_unit = [float(Length(Fraction(s.expanded), s.unit).to(unit).value) for _, s in coarse]
    return _Coarse(
        view=view,
        dimensions=tuple(d.id for d, _ in coarse),
        count=len(lengths),
        limit=say_limit(statistics.median(in_unit), unit),
    )


def _lengths(dimensions: Iterable[Dimension]) -> list[tuple[Dimension, Scaled, float]]:
    """Return measured lengths with their tolerance."""
    return [
        (d, d.scaled, d.tolerance)
        for d in dimensions
        if d.scaled is not None and d.tolerance is not None and d.kind is not DimensionKind.ANGLE
    ]


def _rests_on(views: Sequence[View]) -> tuple[str, ...]:
    if len(views) == 1:
        return rests_on_scale(views[0])
    return (f"the scales of {join_words([name_view(view) for view in views])}",)


def _say_one(coarse: _Coarse) -> str:
    if coarse.is_whole:
        named = start_sentence(name_view(coarse.view))
        return f"{named} shows errors of {coarse.limit} and more; {ENDING}"
    return (
        f"In {name_view(coarse.view)}, {len(coarse.dimensions)} of {coarse.count} sizes show only "
        f"errors of {coarse.limit} and more; {ENDING}"
    )


def _say_several(coarse: Sequence[_Coarse], views: int) -> str:
    """List the views by the limit they share, whole views before single sizes."""
    by_limit: dict[str, list[str]] = {}
    for one in sorted(coarse, key=lambda c: not c.is_whole):
        sizes = "" if one.is_whole else f"{len(one.dimensions)} of {one.count} sizes of "
        by_limit.setdefault(one.limit, []).append(sizes + name_view(one.view))
    listed = [f"{limit} and more in {join_words(named)}" for limit, named in by_limit.items()]
    return f"{len(coarse)} of {views} views show only larger errors: {'; '.join(listed)}; {ENDING}"
