"""Each dimension measured with the scale estimated without it, and compared with its text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from audit.checks.vouching import VOUCHED, is_vouched
from audit.lengths import MM_PER_INCH, Unit, shop_values
from audit.records import (
    Dimension,
    DimensionKind,
    EndKind,
    NoScale,
    Scaled,
    Settings,
    UserSet,
    Verdict,
    View,
    ViewKind,
)
from audit.scale import (
    NOT_SURELY_FOUND,
    ScaledSheet,
    full_tolerance,
    is_surely_found,
    size_of_ends,
    why_not_read,
    why_not_scaled,
)
from audit.uncertainty import Measured, decide_on_sheet, is_by_own_limit, measure

SET_ASIDE = frozenset({Verdict.NOT_CRITICAL, Verdict.NOT_A_DIMENSION})
FINEST_MM = (Fraction(1), Fraction(1, 2), Fraction(1, 10))  # steps metric plans are printed in
FINEST_DEG = Fraction(1, 2)
FINEST_SHOP = 64  # no shop rule is divided finer
ENOUGH_PRINTED = 4  # sizes a plan must print before its own finest step is believed

# What would settle a size that is too close to call, by what makes it uncertain.
SETTLES = {
    "ends": "place its ends more exactly, or scan the sheet finer",
    "scale": "a longer known size would settle it",
    "rectification": "a flat scan would settle it",
    "stretch": "a known size nearer to it would settle it",
    "drafting": "the drawing is no truer than that; a chain or another view would settle it",
    "edge": "say which edge of the thick lines counts",
    "fold": "it runs across a fold or joint; a known size across it would settle it",
}
AT_TOLERANCE = "it is off by about as much as the tolerance; set a smaller one if it matters"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """A judged dimension, and how it was measured (`None` when it was not)."""

    dimension: Dimension
    measured: Measured | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FinestSteps:
    """The finest steps a plan itself prints, for inches and for millimetres."""

    inch: Fraction
    mm: Fraction

    def of(self, unit: Unit) -> Fraction:
        """Return the step of one unit."""
        if unit is Unit.DEG:
            return FINEST_DEG
        return self.inch if unit is Unit.IN else self.mm


def judge_dimension(
    dimension: Dimension,
    view: View,
    *,
    scaled: ScaledSheet,
    settings: Settings,
    unit: Unit,
    finest: FinestSteps,
) -> Judgement:
    """Measure one dimension and compare it with what is printed.

    Parameters
    ----------
    dimension : Dimension
        Of a view of this sheet.
    view : View
        As scaled.
    scaled : ScaledSheet
        Holds the scale without this dimension.
    settings : Settings
        Limits and tolerances.
    unit : Unit
        For a length that has no printed unit.
    finest : FinestSteps
        Of the plan.

    Returns
    -------
    Judgement
        With scaled value, difference, tolerance, verdict, and why.
    """
    bare = replace(dimension, scaled=None, difference=None, tolerance=None, why=None)
    left = scaled.judging_scale(dimension.id, view)
    why = why_not_scaled(dimension, view, sheet=scaled.sheet)
    if why is None and isinstance(left.scale, NoScale):
        why = f"{left.scale.reason}; {left.scale.advice}"
    if why is not None or isinstance(left.scale, NoScale):
        return Judgement(dimension=_unscaled(bare, why, settings), measured=None)
    measured = measure(
        dimension.ends,
        kind=dimension.kind,
        sheet=scaled.sheet,
        scale=left.scale,
        drafting=left.drafting,
        edge=view.edge,
    )
    if not measured.value > 0:
        return Judgement(
            dimension=_unscaled(bare, "its lines are as thick as it is long", settings),
            measured=None,
        )
    sized = _with_size(bare, measured, unit=unit, finest=finest)
    tolerance = full_tolerance(dimension, view, settings=settings, unit=_unit_of(sized))
    compared = _compare(replace(sized, tolerance=tolerance), measured, view=view, settings=settings)
    wrong = compared.verdict is Verdict.DISAGREES
    if wrong and not is_surely_found(dimension, sheet=scaled.sheet):
        compared = _verdict(compared, Verdict.NOT_CHECKED, NOT_SURELY_FOUND)
        compared = replace(compared, difference=None)
    return Judgement(dimension=_keep_users(dimension, compared), measured=measured)


def finest_steps(dimensions: Iterable[Dimension], *, settings: Settings) -> FinestSteps:
    """Find the finest steps a plan itself prints.

    Parameters
    ----------
    dimensions : Iterable[Dimension]
        Of the plan, or of one sheet.
    settings : Settings
        Inch plans are never taken as finer than its `finest`.

    Returns
    -------
    FinestSteps
        Where too few sizes are printed to tell: the `finest` of the settings, and 0.5 mm.
    """
    sizes = [d.printed for d in dimensions if d.printed is not None]
    inches = [s.value for s in sizes if s.unit is Unit.IN]
    metric = [s.value for s in sizes if s.unit is Unit.MM]
    shop = [v.denominator for v in inches if FINEST_SHOP % v.denominator == 0]
    inch = max(Fraction(1, max(shop, default=FINEST_SHOP)), settings.finest)
    fit = [s for s in FINEST_MM if all((v / s).denominator == 1 for v in metric)]
    return FinestSteps(
        inch=inch if len(inches) >= ENOUGH_PRINTED else settings.finest,
        mm=(fit or FINEST_MM[-1:])[0] if len(metric) >= ENOUGH_PRINTED else FINEST_MM[1],
    )


def _unit_of(dimension: Dimension) -> Unit:
    return dimension.scaled.unit if dimension.scaled is not None else Unit.MM


def _unscaled(dimension: Dimension, why: str | None, settings: Settings) -> Dimension:
    """Say why there is no measured size; a text that is not sure is told first."""
    unread = why_not_read(dimension, settings)
    if unread is not None:
        return _keep_users(dimension, _verdict(dimension, Verdict.NOT_CHECKED, unread))
    return _keep_users(dimension, _verdict(dimension, Verdict.NOT_SCALED, why))


def _verdict(dimension: Dimension, verdict: Verdict, why: str | None) -> Dimension:
    return replace(dimension, verdict=verdict, why=why)


def _keep_users(before: Dimension, after: Dimension) -> Dimension:
    """Leave alone what a person decided: not critical, not a dimension."""
    if before.verdict in SET_ASIDE or UserSet.VERDICT in before.user_set:
        return replace(after, verdict=before.verdict, why=before.why)
    return after


def _with_size(
    dimension: Dimension, measured: Measured, *, unit: Unit, finest: FinestSteps
) -> Dimension:
    """Put the measured size in the printed unit, with the shop values inside its uncertainty."""
    printed = dimension.printed
    if dimension.kind is DimensionKind.ANGLE:
        value = measured.value
        if printed is not None and printed.unit is Unit.DEG and printed.value > 180:
            value = 360.0 - value
        return replace(dimension, scaled=_scaled(value, measured.expanded, Unit.DEG, FINEST_DEG))
    own = printed.unit if printed is not None and printed.unit is not Unit.DEG else unit
    factor = size_of_ends(dimension) * (float(MM_PER_INCH) if own is Unit.IN else 1.0)
    return replace(
        dimension,
        scaled=_scaled(measured.value / factor, measured.expanded / factor, own, finest.of(own)),
    )


def _scaled(value: float, expanded: float, unit: Unit, finest: Fraction) -> Scaled:
    shop = shop_values(value - expanded, value + expanded, unit=unit, finest=finest)
    return Scaled(
        value=value,
        expanded=expanded,
        unit=unit,
        nearest=shop.nearest,
        candidates=shop.candidates,
    )


def _compare(
    dimension: Dimension, measured: Measured, *, view: View, settings: Settings
) -> Dimension:
    scaled, printed = dimension.scaled, dimension.printed
    if dimension.reading is None:
        return _verdict(dimension, Verdict.NOT_PRINTED, "nothing is printed here")
    unread = why_not_read(dimension, settings)
    vouched = unread is not None and is_vouched(dimension, settings)
    if vouched:
        unread = None
    if unread is not None or printed is None or scaled is None or dimension.tolerance is None:
        return _verdict(dimension, Verdict.NOT_CHECKED, unread)
    difference = float(printed.to(scaled.unit)) - scaled.value
    verdict = decide_on_sheet(
        difference, dimension.tolerance, expanded=scaled.expanded, size=scaled.value
    )
    judged = replace(dimension, difference=difference, verdict=verdict)
    if vouched:
        return replace(judged, why=VOUCHED)
    if verdict is Verdict.TOO_CLOSE:
        return replace(judged, why=_what_settles(judged, measured))
    if verdict is Verdict.DISAGREES and _is_half(judged, view):
        why = "a half view shows only half of it"
        return replace(judged, verdict=Verdict.NOT_SCALED, why=why, difference=None)
    if verdict is Verdict.AGREES and scaled.expanded >= dimension.tolerance:
        return replace(judged, why="as far as this sheet can tell")
    return judged


def _what_settles(dimension: Dimension, measured: Measured) -> str:
    """Say what would settle a size that is too close to call: better paper, or another limit."""
    scaled, tolerance = dimension.scaled, dimension.tolerance
    if scaled is None or tolerance is None:
        raise ValueError("only a measured size is too close to call")
    if not is_by_own_limit(tolerance, expanded=scaled.expanded):
        return AT_TOLERANCE
    return SETTLES[measured.largest.name]


def _is_half(dimension: Dimension, view: View) -> bool:
    """Whether a size that ends on the centre line of a half view is drawn by half."""
    if view.kind is not ViewKind.HALF or dimension.printed is None or dimension.scaled is None:
        return False
    if not any(e.kind is EndKind.CENTRE for e in dimension.ends):
        return False
    whole = 2 * dimension.scaled.value
    allowed = (dimension.tolerance or 0.0) + 2 * dimension.scaled.expanded
    return abs(float(dimension.printed.to(dimension.scaled.unit)) - whole) <= allowed
