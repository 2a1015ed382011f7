"""What bare numbers count where nothing printed says so: decided together with the scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from audit.lengths import Unit
from audit.pipeline.texts import guess_unit, lacks_unit, likely_unit, with_unit
from audit.records import CODES, Dimension, Finding, Place, Scale, Sheet, StatementKind
from audit.scale import ScaledSheet

WHY_SCALE = "Taken as {name} the drawing has a standard scale, as {other} it has none"
WHY_STATED = "Taken as {name} the drawing has the scale that it states, as {other} another"
WHY_LIKELY = "Whether a size agrees with the drawing hardly depends on it"
NOT_AS_STATED = frozenset({"S104", "S106"})
Fix = Callable[[Sequence[Dimension]], ScaledSheet]


def scale_in_likelier_unit(
    dimensions: Sequence[Dimension], *, sheet: Sheet, fix: Fix
) -> tuple[tuple[Dimension, ...], ScaledSheet]:
    """Scale a sheet whose bare numbers nothing gives a unit, and say what they were taken as.

    A stated scale decides, or a standard one, or how the numbers are printed. Where none does they
    are judged in the likelier unit all the same: printed against drawn is a comparison of ratios.

    Parameters
    ----------
    dimensions : sequence of Dimension
        Read without a unit.
    sheet : Sheet
    fix : callable
        Gives the sheet its scales by dimensions that have a unit.

    Returns
    -------
    tuple of tuple of Dimension and ScaledSheet
        The dimensions in the unit that was taken; S107 says which, and why.
    """
    tried = [_Tried.of(unit, dimensions, fix) for unit in (Unit.IN, Unit.MM)]
    stated, true = [t for t in tried if t.is_stated], [t for t in tried if t.is_true]
    named = [t for t in tried if t.named]
    guessed, fitting = guess_unit(dimensions), stated or true or named
    # a print at 98 % explains many a scale: how the numbers are printed goes before it, but not
    # where a scale speaks for the other unit alone
    if len(fitting) == 1 and (stated or true or guessed.unit is None):
        best, why = fitting[0], WHY_STATED if stated else WHY_SCALE
    elif guessed.unit is not None and guessed.unit in {t.unit for t in named or tried}:
        best = next(t for t in tried if t.unit is guessed.unit)
        why = f"As on most drawings in mm, {guessed.says}"
    elif any(lacks_unit(d) for d in dimensions):
        likely = likely_unit(dimensions)
        best, why = next(t for t in tried if t.unit is likely), WHY_LIKELY
    else:
        return tuple(dimensions), fix(dimensions)
    told = _unit_finding(sheet, best.unit, why)
    return best.dimensions, replace(best.scaled, findings=(*best.scaled.findings, told))


@dataclass(frozen=True, slots=True)
class _Tried:
    """A sheet scaled as if its bare numbers counted a unit; `named`: a standard scale fits."""

    unit: Unit
    dimensions: tuple[Dimension, ...]
    scaled: ScaledSheet

    @classmethod
    def of(cls, unit: Unit, dimensions: Sequence[Dimension], fix: Fix) -> _Tried:
        """Scale a sheet in a unit."""
        read = with_unit(dimensions, unit)
        return cls(unit, read, fix(read))

    @property
    def is_stated(self) -> bool:
        """Whether the views have the scales that are stated for them."""
        said = any(s.kind is StatementKind.SCALE for s in self.scaled.compared)
        return said and not any(f.code in NOT_AS_STATED for f in self.scaled.findings)

    @property
    def named(self) -> bool:
        """Whether some view has a standard scale."""
        return any(isinstance(v.scale, Scale) and v.scale.drawn for v in self.scaled.views)

    @property
    def is_true(self) -> bool:
        """Whether some view has a standard scale, printed true to size."""
        return any(
            isinstance(v.scale, Scale) and v.scale.drawn and v.scale.print_factor == 1.0
            for v in self.scaled.views
        )


def _unit_finding(sheet: Sheet, unit: Unit, why: str) -> Finding:
    code = CODES["S107"]
    name = "inches" if unit is Unit.IN else "mm"
    other = "mm" if unit is Unit.IN else "inches"
    text = (
        f"Nothing printed on {sheet.name} says what its numbers count. "
        f"{why.format(name=name, other=other)}; so they are taken as {name}."
    )
    return Finding(
        id=0,
        code=code.code,
        severity=code.severity,
        places=(Place(sheet=sheet.id, box=sheet.box),),
        text=text,
    )
