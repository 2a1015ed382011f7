"""What a missing position may be, in the order in which a maker should believe it.

Derived from what is printed, then what the mating part prints, then another view of the part, and
last what the drawing measures: the last resort.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from audit.checks.measuring import finest_steps
from audit.checks.parts import PlanPart
from audit.checks.relations import read_joints
from audit.checks.runs import chain_size
from audit.checks.stations import StationLine
from audit.checks.words import name_dimension, say_length, say_measured
from audit.lengths import Length, Unit, shop_values
from audit.records import Audit, Dimension, DimensionKind, StatementKind

FEW_SHOP = 3  # shop values that are listed; of more the nearest is named, and how many fit
LENGTHS = frozenset({DimensionKind.DISTANCE, DimensionKind.ORDINATE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """The drawn distance over which no printed size reaches; both values in `unit`."""

    value: float
    expanded: float
    unit: Unit
    a: int
    b: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """What a missing position may be.

    `phrases` stand in the order to believe them; `value` is the first that names one, as printed;
    `others` counts the other values that fit as well.
    """

    phrases: tuple[str, ...] = ()
    value: str | None = None
    others: int = 0


def measure_gap(line: StationLine, group: Iterable[int], main: Iterable[int]) -> Gap | None:
    """Measure from the nearer end of what is placed to what is not.

    Parameters
    ----------
    line : StationLine
        With a scale.
    group : Iterable[int]
        Stations nothing ties to the others.
    main : Iterable[int]
        The others.

    Returns
    -------
    Gap | None
        `None` when the drawing cannot speak.
    """
    place = [s.place for s in line.stations]
    placed = sorted(main, key=lambda k: place[k])
    floating = sorted(group, key=lambda k: place[k])
    ends = [(abs(place[k] - place[m]), k, m) for m in (placed[0], placed[-1]) for k in floating]
    _, k, m = min(ends)
    drawn = line.drawn_between(m, k)
    if drawn is None:
        return None
    return Gap(value=drawn[0], expanded=drawn[1], unit=line.unit, a=m, b=k)


def list_candidates(
    gap: Gap, line: StationLine, parts: Sequence[PlanPart], audit: Audit
) -> Candidates:
    """List what the gap may be.

    Parameters
    ----------
    gap : Gap
        From `measure_gap`.
    line : StationLine
        It was measured on.
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        For notes and settings.

    Returns
    -------
    Candidates
    """
    found: list[tuple[str, str]] = []
    for leg in line.legs:
        ends = {leg.a, leg.b}
        if leg.reference and ends == {gap.a, gap.b}:
            size = Length(leg.value, line.unit)
            found.append((f"{say_length(size)} is given for reference", _plain(size)))
    owner = next((p for p in parts for d in p.drawings if d.view and d.view.id == line.view), None)
    if owner is not None:
        for mate in _mates(owner, parts, audit):
            found += _same_in(mate.dimensions, gap, audit, where=f"{mate.name} prints")
        others = [d for d in owner.dimensions if d.view != line.view]
        found += _same_in(others, gap, audit, where="another view prints")
    shop = shop_values(
        max(gap.value - gap.expanded, 0.0), gap.value + gap.expanded, unit=gap.unit,
        finest=finest_steps(audit.dimensions, settings=audit.settings).of(gap.unit),
    )  # fmt: skip
    scaled = f"drawn as {say_measured(gap.value, gap.expanded, unit=gap.unit)}"
    words = [w for w, _ in found]
    if shop.nearest is not None:
        few = 0 < len(shop.candidates) <= FEW_SHOP
        words.append(f"{scaled} ({' or '.join(shop.candidates) if few else shop.nearest})")
        found.append(("", shop.nearest))
    else:
        words.append(scaled)
    value = found[0][1] if found else None
    # the nearest shop value may lie outside: then it is named, and does not fit
    fitting = {v for phrase, v in found if phrase} | set(shop.candidates)
    return Candidates(phrases=tuple(words), value=value, others=len(fitting - {value}))


def _mates(owner: PlanPart, parts: Sequence[PlanPart], audit: Audit) -> list[PlanPart]:
    """Parts that a note says go together with this one."""
    names = [p.name for p in parts]
    joints = [
        joint
        for note in audit.statements
        if note.kind is StatementKind.NOTE
        for joint in read_joints(note.text, names)
    ]
    near = {j.other for j in joints if j.part == owner.name}
    near |= {j.part for j in joints if j.other == owner.name}
    return [p for p in parts if p.name in near and p is not owner]


def _same_in(
    dimensions: Iterable[Dimension], gap: Gap, audit: Audit, *, where: str
) -> list[tuple[str, str]]:
    """Printed lengths that are as long as the gap is drawn."""
    found: list[tuple[str, str]] = []
    for dimension in dimensions:
        said = chain_size(dimension, audit.settings) if dimension.kind in LENGTHS else None
        if said is None or said[0].unit is not gap.unit:
            continue
        if abs(float(said[0]) - gap.value) <= gap.expanded:
            phrase = f"{where} {name_dimension(dimension)}"
            if phrase not in [w for w, _ in found]:
                found.append((phrase, _plain(said[0])))
    return found


def _plain(size: Length) -> str:
    return say_length(size).removesuffix(" in").removesuffix(" mm").removesuffix("°")
