"""What bare numbers count where nothing printed says so: decided together with the scale."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from audit.lengths import Length, Unit
from audit.pipeline.texts import (
    YOU_SAY,
    SheetUnit,
    guess_unit,
    lacks_unit,
    last_place,
    likely_unit,
    with_unit,
)
from audit.pipeline.whole_millimetres import guess_millimetres, has_decimal_commas
from audit.records import (
    Dimension,
    Finding,
    Place,
    Scale,
    Settings,
    Sheet,
    StatementKind,
)
from audit.scale import ScaledSheet, plan_unit
from audit.scale.findings import say

WHY_SCALE = "Taken as {name} the drawing has a standard scale, as {other} it has none"
WHY_STATED = "Taken as {name} the drawing has the scale that it states, as {other} another"
OPEN = "what scale it is drawn at is not said"
WHY_NEAR = "Taken as {name} the drawing is near a standard scale, as {other} near none; " + OPEN
WHY_LIKELY = "Whether a size agrees with the drawing hardly depends on it, and " + OPEN
WHY_METRIC = "As on most drawings in mm"
BUT_YOU_SAY = " Now they count what you say, "
HANGS_ON_UNIT = frozenset({"S102", "S104", "S106", "S109"})
_NAMES = {Unit.IN: "inches", Unit.MM: "mm", Unit.CM: "centimetres", Unit.M: "metres"}
NOT_AS_STATED = frozenset({"S104", "S106"})
Fix = Callable[[Sequence[Dimension], Settings], ScaledSheet]


@dataclass(frozen=True, slots=True, kw_only=True)
class InUnit:
    """A sheet scaled, its bare numbers in a unit; `settings` are those it is to be judged by."""

    dimensions: tuple[Dimension, ...]
    scaled: ScaledSheet
    settings: Settings


def scale_in_likelier_unit(
    dimensions: Sequence[Dimension], *, sheet: Sheet, fix: Fix, settings: Settings
) -> InUnit:
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
    settings : Settings

    Returns
    -------
    InUnit
        The dimensions in the unit that was taken; S107 says which, and why.
    """
    tried = [_Tried.of(unit, dimensions, fix, settings) for unit in (Unit.IN, Unit.MM)]
    if not any(t.is_stated for t in tried) and tried[0].is_said:
        # only of a stated scale centimetres and metres can be told from millimetres: 1:2 as
        # millimetres is 1:20 as centimetres
        more = [_Tried.of(unit, dimensions, fix, settings) for unit in (Unit.CM, Unit.M)]
        tried += [t for t in more if t.is_stated]
    if has_decimal_commas(dimensions, settings):
        tried = [t for t in tried if t.unit is not Unit.IN]
    best, why = _choose(tried, dimensions, guess_millimetres(dimensions, settings))
    if best is None:
        scaled = fix(dimensions, settings)
        return InUnit(dimensions=tuple(dimensions), scaled=scaled, settings=settings)
    taken = InUnit(dimensions=best.dimensions, scaled=best.scaled, settings=settings)
    if OPEN in why:
        taken = scale_as_likely(best.dimensions, fix=fix, settings=settings)
    told = _unit_finding(sheet, best.unit, why)
    findings = (*taken.scaled.findings, told)
    return replace(taken, scaled=replace(taken.scaled, findings=findings))


def scale_as_likely(dimensions: Sequence[Dimension], *, fix: Fix, settings: Settings) -> InUnit:
    """Scale a sheet in a unit that is no more than likely.

    What the scale is called, and how large the print is, hang on the unit and are left open. Small
    decimals are judged by their last place: the half millimetre allowed otherwise may be a
    twentieth of what they count, and more.

    Parameters
    ----------
    dimensions : sequence of Dimension
        With the unit.
    fix : callable
    settings : Settings

    Returns
    -------
    InUnit
    """
    place = last_place(dimensions)
    if place is not None and settings.tolerance is None and plan_unit(dimensions) is Unit.MM:
        settings = replace(settings, tolerance=Length(place / 2, Unit.MM))
    scaled = _without_names(fix(dimensions, settings))
    return InUnit(dimensions=tuple(dimensions), scaled=scaled, settings=settings)


def tell_other_unit(taken: InUnit, *, sheet: Sheet, says: str) -> InUnit:
    """Tell that a note names a unit that is not counted here (S107).

    Parameters
    ----------
    taken : InUnit
    sheet : Sheet
    says : str
        Where it does.

    Returns
    -------
    InUnit
    """
    unit = plan_unit(taken.dimensions) or Unit.MM
    text = (
        f"On {sheet.name} {says} says what its numbers count. They are compared as they stand, and "
        f"written here as {_NAMES[unit]}. {WHY_LIKELY}."
    )
    findings = (*taken.scaled.findings, _finding(sheet, text))
    return replace(taken, scaled=replace(taken.scaled, findings=findings))


def tell_counted(taken: InUnit, *, sheet: Sheet, unit: Unit, says: str) -> InUnit:
    """Tell that bare numbers of a sheet count centimetres or metres, and are written in mm (S107).

    Parameters
    ----------
    taken : InUnit
    sheet : Sheet
    unit : Unit
    says : str
        What says so.

    Returns
    -------
    InUnit
        The same where they count inches or mm, or every size has its unit printed.
    """
    bare = [d.reading.callout for d in taken.dimensions if d.reading and d.reading.callout]
    if unit.counted is unit or all(c.unit_printed for c in bare):
        return taken
    verb = "say" if says.endswith(("sizes", YOU_SAY)) else "says"
    text = (
        f"On {sheet.name} {says} {verb} that its numbers count {_NAMES[unit]}. They are written "
        f"here in mm: {unit.times} mm for each."
    )
    findings = (*taken.scaled.findings, _finding(sheet, text))
    return replace(taken, scaled=replace(taken.scaled, findings=findings))


def is_likely(findings: Iterable[Finding]) -> bool:
    """Whether one of a sheet's findings says that its unit is no more than likely."""
    return any(f.code == "S107" and OPEN in f.text for f in findings)


def told_by_settings(findings: Iterable[Finding], settings: Settings) -> tuple[Finding, ...]:
    """Say beside what numbers were taken to count (S107) what the user says, as long as he does.

    Parameters
    ----------
    findings : iterable of Finding
        As stored.
    settings : Settings

    Returns
    -------
    tuple of Finding
        Without what is only told because the user says so: judging tells it anew.
    """
    says = f"{BUT_YOU_SAY}{_NAMES[settings.unit]}." if settings.unit else ""
    return tuple(
        replace(f, text=f.text.partition(BUT_YOU_SAY)[0] + says) if f.code == "S107" else f
        for f in findings
        if f.code != "S107" or f" {YOU_SAY} say " not in f.text
    )


def _choose(
    tried: Sequence[_Tried], dimensions: Sequence[Dimension], metric: SheetUnit
) -> tuple[_Tried | None, str]:
    """Choose a unit, and say why; none where no number lacks one."""
    stated, true = [t for t in tried if t.is_stated], [t for t in tried if t.is_true]
    named = [t for t in tried if t.named]
    guessed, likely = guess_unit(dimensions), likely_unit(dimensions)
    # small decimals count centimetres or inches as well as mm: a print at 94 % is no witness there
    fitting = stated or true or ([] if last_place(dimensions) else named)
    # a print at 98 % explains many a scale: how the numbers are printed goes before it, but not
    # where a scale speaks for the other unit alone
    if len(fitting) == 1 and (stated or true):
        return fitting[0], WHY_STATED if stated else WHY_SCALE
    # a scale that is only near is no witness against the numbers
    if metric.unit is not None and (guessed.unit is None or not metric.likely):
        why = f"{WHY_METRIC}, {metric.says}" + (f", and {OPEN}" if metric.likely else "")
        return next(t for t in tried if t.unit is metric.unit), why
    if len(fitting) == 1 and guessed.unit is None:  # of the print's size it proves nothing
        return fitting[0], WHY_NEAR
    if guessed.unit is not None and guessed.unit in {t.unit for t in named or tried}:
        why = f"As on most drawings in mm, {guessed.says}"
        return next(t for t in tried if t.unit is guessed.unit), why
    if any(lacks_unit(d) for d in dimensions):
        return next((t for t in tried if t.unit is likely), tried[0]), WHY_LIKELY
    return None, ""


def _without_names(scaled: ScaledSheet) -> ScaledSheet:
    """Leave out what scales are called, and what is told by that."""
    views = tuple(
        replace(v, scale=replace(v.scale, drawn=None, print_factor=None))
        if isinstance(v.scale, Scale)
        else v
        for v in scaled.views
    )
    findings = tuple(f for f in scaled.findings if f.code not in HANGS_ON_UNIT)
    return replace(scaled, views=views, findings=findings)


@dataclass(frozen=True, slots=True)
class _Tried:
    """A sheet scaled as if its bare numbers counted a unit; `named`: a standard scale fits."""

    unit: Unit
    dimensions: tuple[Dimension, ...]
    scaled: ScaledSheet

    @classmethod
    def of(
        cls, unit: Unit, dimensions: Sequence[Dimension], fix: Fix, settings: Settings
    ) -> _Tried:
        """Scale a sheet in a unit."""
        read = with_unit(dimensions, unit)
        return cls(unit, read, fix(read, settings))

    @property
    def is_said(self) -> bool:
        """Whether a scale is stated for some view."""
        return any(s.kind is StatementKind.SCALE for s in self.scaled.compared)

    @property
    def is_stated(self) -> bool:
        """Whether the views have the scales that are stated for them."""
        return self.is_said and not any(f.code in NOT_AS_STATED for f in self.scaled.findings)

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
    name, other = _NAMES[unit], _NAMES[Unit.MM if unit is Unit.IN else Unit.IN]
    text = (
        f"Nothing printed on {sheet.name} says what its numbers count. "
        f"{why.format(name=name, other=other)}; so they are taken as {name}."
    )
    return _finding(sheet, text)


def _finding(sheet: Sheet, text: str) -> Finding:
    return say("S107", text, places=[Place(sheet=sheet.id, box=sheet.box)])
