"""Finished and rough sizes of a part: decided, else printed, else listed, and scaled only last."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audit.checks.missing import implied_thickness
from audit.checks.parts import PlanPart
from audit.lengths import Length, Unit
from audit.records import (
    Audit,
    Decision,
    Dimension,
    DimensionKind,
    FinishedSize,
    Part,
    SizeFrom,
    Statement,
    Verdict,
    ViewKind,
)
from audit.report.naming import name_features
from audit.report.phrases import spell_length, spell_measured, spell_uncertainty, with_unit

PASSED = 0.03  # of a size, by which another must reach past it; more than photos are off
FLAT = (ViewKind.TRUE, ViewKind.UNKNOWN, ViewKind.FLAT_PATTERN, ViewKind.HALF, ViewKind.BROKEN)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeGround:
    """What the sizes of all parts are worked out from."""

    audit: Audit
    parts: tuple[PlanPart, ...]
    decisions: dict[int, Decision]
    given: dict[str, Part]
    features: dict[int, str]

    @classmethod
    def of(cls, audit: Audit, parts: tuple[PlanPart, ...]) -> SizeGround:
        """Collect it from an audit."""
        return cls(
            audit=audit,
            parts=parts,
            decisions={d.dimension: d for d in audit.decisions},
            given={p.name: p for p in audit.parts},
            features=name_features(audit),
        )


def finish_sizes(part: PlanPart, ground: SizeGround) -> tuple[FinishedSize, ...]:
    """Work out the sides of a part: of round stock diameter and length, of a disk its thickness.

    Of any other part they are thickness, width and length.

    Parameters
    ----------
    part : PlanPart
    ground : SizeGround

    Returns
    -------
    tuple of FinishedSize
        Every side of it, those without a size too.
    """
    listed = _listed(part)
    if part.is_disk:
        across = _side("D", listed.get("D"), part, ground)
        return across, _thickness(part, listed.get("T"), ground)
    if part.is_round:
        sides = {"D": listed.get("D"), "L": listed.get("L")}
        return tuple(_side(side, size, part, ground) for side, size in sides.items())
    faces = _faces(part, listed, ground)
    return (_thickness(part, listed.get("T"), ground), *faces)


def _listed(part: PlanPart) -> dict[str, Length]:
    """Sizes of the parts list by side."""
    for row in part.rows:
        sizes = _by_side(row, part)
        if sizes:
            return sizes
    return {}


def _by_side(row: Statement, part: PlanPart) -> dict[str, Length]:
    form = row.form
    if form is None or not form.sizes:
        return {}
    columns: Sequence[str] = form.columns
    if not columns:
        plain = {3: ("T", "W", "L"), 2: ("W", "L"), 1: ("L",)}
        columns = plain.get(len(form.sizes), ())
    sizes = dict(zip(columns, form.sizes, strict=False))
    if part.is_round and "D" not in sizes and len(form.sizes) > 1:
        return {"D": min(form.sizes), "L": max(form.sizes)}
    return sizes


def _faces(
    part: PlanPart, listed: dict[str, Length], ground: SizeGround
) -> tuple[FinishedSize, FinishedSize]:
    """Width and length: listed ones, else the largest printed both ways on its drawings."""
    if "W" in listed and "L" in listed:
        return (
            _side("W", listed["W"], part, ground),
            _side("L", listed["L"], part, ground),
        )
    drawn = sorted(
        (s for s in (_largest(part, way, ground) for way in ("horizontal", "vertical"))),
        key=lambda s: float(s.size.to(Unit.MM)) if s.size is not None else -1.0,
    )
    width, length = (
        FinishedSize(side=side, size=s.size, source=s.source, says=s.says, dimensions=s.dimensions)
        for side, s in zip(("W", "L"), drawn, strict=True)
    )
    if "L" in listed:
        length = _side("L", listed["L"], part, ground)
    return width, length


def _thickness(part: PlanPart, listed: Length | None, ground: SizeGround) -> FinishedSize:
    given = ground.given.get(part.name)
    if given is not None and given.measured_thickness is not None:
        size = given.measured_thickness
        return FinishedSize(side="T", size=size, source=SizeFrom.MEASURED, says="as measured")
    printed = [d for d in part.dimensions if d.kind is DimensionKind.THICKNESS]
    for dimension in printed:
        found = _from_dimension("T", dimension, ground)
        if found is not None:
            return found
    if listed is not None:
        return _side("T", listed, part, ground)
    if given is not None and given.nominal_thickness is not None:
        size = given.nominal_thickness
        return FinishedSize(side="T", size=size, source=SizeFrom.GIVEN, says="typed")
    implied = implied_thickness(part, ground.parts, ground.audit)
    if implied is not None:
        return FinishedSize(
            side="T", size=implied, source=SizeFrom.NOTE, says="by the general note"
        )
    return FinishedSize(side="T", size=None, source=SizeFrom.MISSING, says="ask before cutting")


def _side(side: str, listed: Length | None, part: PlanPart, ground: SizeGround) -> FinishedSize:
    """One listed side; what was decided for the same printed size goes before it."""
    if listed is None:
        return FinishedSize(side=side, size=None, source=SizeFrom.MISSING, says="not listed")
    alike = [d for d in part.dimensions if d.printed == listed and _may_be(side, d, part)]
    for dimension in alike:
        found = _from_dimension(side, dimension, ground)
        if found is not None and found.source is SizeFrom.DECIDED:
            return found
    if not alike:
        return _listed_only(side, listed, part, ground)
    return FinishedSize(
        side=side,
        size=listed,
        source=SizeFrom.PRINTED,
        dimensions=tuple(d.id for d in alike),
    )


def _listed_only(side: str, listed: Length, part: PlanPart, ground: SizeGround) -> FinishedSize:
    """A listed size that no drawing repeats; the drawing that contradicts it is named."""
    mine = {d.id: d for d in part.dimensions}
    for finding in ground.audit.findings:
        numbers = [n for n in finding.dimensions if n in mine]
        if finding.code != "P101" or spell_length(listed) not in finding.text or not numbers:
            continue
        found = _from_dimension(side, mine[numbers[0]], ground)
        if found is not None and found.source is SizeFrom.DECIDED:
            return found
        says = f"listed; drawn {finding.suggestion or 'otherwise'}: on hold"
        return FinishedSize(
            side=side,
            size=listed,
            source=SizeFrom.LISTED,
            says=says,
            dimensions=tuple(numbers),
        )
    return FinishedSize(side=side, size=listed, source=SizeFrom.LISTED, says="listed only")


def _may_be(side: str, dimension: Dimension, part: PlanPart) -> bool:
    """Whether a printed size can be that side of its part: a radius or a bore is none."""
    if not _is_size(dimension):
        return False
    if side == "T":
        sections = {d.view.id for d in part.drawings if d.view and d.view.kind is ViewKind.SECTION}
        across = dimension.kind is DimensionKind.DISTANCE and dimension.view in sections
        return across or dimension.kind is DimensionKind.THICKNESS
    return dimension.kind in (DimensionKind.DISTANCE, DimensionKind.DIAMETER)


def _is_size(dimension: Dimension) -> bool:
    return dimension.verdict is not Verdict.NOT_A_DIMENSION


def _largest(part: PlanPart, way: str, ground: SizeGround) -> FinishedSize:
    """Return the largest size of one direction that runs over all of a flat drawing of a part."""
    found, partial = [], False
    for drawing in part.drawings:
        if drawing.view is not None and drawing.view.kind not in FLAT:
            continue
        lengths = [d for d in drawing.dimensions if _runs(d, way, ground)]
        reached = np.array([e.point for d in lengths for e in d.ends]).reshape(-1, 2)
        whole = [d for d in lengths if not _is_passed(d, reached, ground)]
        partial = partial or len(whole) < len(lengths)
        whole += [d for d in drawing.dimensions if _is_outline(d, drawing.dimensions, ground)]
        sizes = (_from_dimension("L", d, ground) for d in whole)
        found += [s for s in sizes if s is not None and s.size is not None]
    says = "none printed over all of it" if partial else "not printed"
    none = FinishedSize(side="L", size=None, source=SizeFrom.MISSING, says=says)
    return max(found, key=lambda s: float(s.size.to(Unit.MM)) if s.size else 0.0, default=none)


def _runs(dimension: Dimension, way: str, ground: SizeGround) -> bool:
    is_length = dimension.kind is not DimensionKind.DIAMETER and _is_size(dimension)
    return is_length and ground.features.get(dimension.id, "").startswith(way)


def _is_passed(dimension: Dimension, reached: NDArray[np.float64], ground: SizeGround) -> bool:
    """Whether another size of its direction reaches past it: it is then not that of the whole.

    `reached` is where the sizes of its direction end, (n, 2) in the sheet's frame.
    """
    sheet = next((s for s in ground.audit.sheets if s.id == dimension.sheet), None)
    if sheet is None or len(dimension.ends) < 2:
        return False
    first, last = sheet.to_paper.apply_many(np.array([e.point for e in dimension.ends[:2]]))
    span = float(np.hypot(*(last - first)))
    if span == 0.0:
        return False
    along = (last - first) / span
    reach = (sheet.to_paper.apply_many(reached) - first) @ along
    return bool(reach.min() < -PASSED * span or reach.max() > (1 + PASSED) * span)


def _is_outline(dimension: Dimension, others: Iterable[Dimension], ground: SizeGround) -> bool:
    """Whether a diameter may be that of a disk: a larger length beside it makes it a hole."""
    if dimension.kind is not DimensionKind.DIAMETER:
        return False
    lengths = [d for d in others if d.kind is DimensionKind.DISTANCE]
    mine = _large_mm(dimension, ground)
    return not any(_large_mm(d, ground) > mine for d in lengths)


def _large_mm(dimension: Dimension, ground: SizeGround) -> float:
    found = _from_dimension("L", dimension, ground)
    return 0.0 if found is None or found.size is None else float(found.size.to(Unit.MM))


def _from_dimension(side: str, dimension: Dimension, ground: SizeGround) -> FinishedSize | None:
    """Size a dimension gives: decided, printed, and only last scaled; `None` for none."""
    if not _is_size(dimension):
        return None
    decision = ground.decisions.get(dimension.id)
    mine = (dimension.id,)
    value = decision.value if decision is not None else dimension.build_to
    if value is not None and value.unit is not Unit.DEG:
        says = f"decided, No. {dimension.id}"
        if decision is not None and decision.basis == "scaled":
            says = f"scaled and decided, No. {dimension.id}"
        return FinishedSize(
            side=side, size=value, source=SizeFrom.DECIDED, says=says, dimensions=mine
        )
    printed = dimension.printed
    if printed is not None and printed.unit is not Unit.DEG:
        return FinishedSize(side=side, size=printed, source=SizeFrom.PRINTED, dimensions=mine)
    scaled = dimension.scaled
    if scaled is None or scaled.unit is Unit.DEG:
        return None
    value = Length(Fraction(round(scaled.value * 1000), 1000), scaled.unit)
    around = f"{spell_measured(scaled.value, scaled.unit)} ± "
    around += with_unit(spell_uncertainty(scaled.expanded, scaled.unit), scaled.unit)
    return FinishedSize(
        side=side,
        size=value,
        source=SizeFrom.SCALED,
        says=f"scaled {around}, No. {dimension.id}",
        dimensions=mine,
    )


def rough_sizes(sizes: Iterable[FinishedSize], *, allowance: Length) -> tuple[Length | None, ...]:
    """Return sizes to cut first: width and length larger by the allowance, the rest as it is."""
    return tuple(
        None if s.size is None else s.size + allowance if s.side in ("W", "L") else s.size
        for s in sizes
    )
