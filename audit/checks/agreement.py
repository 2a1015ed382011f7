"""Printed against drawn: every dimension of a sheet gets its verdict, and what it comes to.

The drawing alone never says that a printed number is wrong. A disagreement is a warning, and the
printed number stands unless a second witness speaks against it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from audit.checks.closed_sums import settle_by_sums
from audit.checks.contradictions import tell_contradictions
from audit.checks.details import doubt_details, tell_details
from audit.checks.far_off import (
    ASKED_LINES,
    doubt_far_off,
    doubt_many,
    doubt_shared_circles,
    doubt_swapped,
)
from audit.checks.limits import shown_by, tell_limits
from audit.checks.measuring import (
    AT_TOLERANCE,
    FinestSteps,
    Judgement,
    finest_steps,
    judge_dimension,
)
from audit.checks.next_numbers import UsualSteps, settle_by_next, steps_in_view, usual_steps
from audit.checks.rivals import CONTRADICTED, doubt_rivals
from audit.checks.slips import name_slip
from audit.checks.unsure import place_of, tell_unsure
from audit.checks.words import (
    name_dimension,
    rests_on_scale,
    say_difference,
    say_measured,
    say_printed,
)
from audit.lengths import Unit
from audit.records import (
    Dimension,
    Finding,
    NoScale,
    PageKind,
    Place,
    ReadBy,
    Scale,
    Scaled,
    Settings,
    Sheet,
    Side,
    Verdict,
    View,
    Witness,
    WitnessKind,
)
from audit.scale import NOT_SURELY_FOUND, ScaledSheet, plan_unit
from audit.scale.findings import name_view, say, start_sentence
from audit.scale.votes import LEAST_TO_VOUCH, MANY, MOST_WRONG, count_different, is_agreed

COMPARED = frozenset({Verdict.AGREES, Verdict.DISAGREES, Verdict.TOO_CLOSE})
OFF_SHARE = Fraction(1, 3)  # a view of which more disagrees is not to scale
LEAST_FOR_NTS = 4  # compared sizes; fewer disagreements are told one by one
FEW_SHOP = 3  # shop values that are told; more of them say no more than ± does
ASKED_AS_MEASURED = frozenset({NOT_SURELY_FOUND, *ASKED_LINES})
NOT_TO_SCALE = "this view is not to scale"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A judged sheet.

    Attributes
    ----------
    dimensions : tuple of Dimension
        Those of the sheet, in their order, with scaled value, difference, tolerance, verdict, why.
    views : tuple of View
        With `shows`; a view that turned out not to be to scale has lost its scale.
    findings : tuple of Finding
        A1xx and V101, all with id 0: whoever numbers the audit gives them their numbers
        (``dataclasses.replace(finding, id=...)``).
    """

    dimensions: tuple[Dimension, ...]
    views: tuple[View, ...]
    findings: tuple[Finding, ...]


def judge(
    scaled: ScaledSheet, dimensions: Sequence[Dimension], *, settings: Settings | None = None
) -> Judged:
    """Compare everything printed on a sheet with what is drawn.

    Parameters
    ----------
    scaled : ScaledSheet
        From `fix_scales`.
    dimensions : Sequence[Dimension]
        Of the audit; those of other sheets are passed over.
    settings : Settings | None
        `None`: the usual ones.

    Returns
    -------
    Judged
        The dimensions of the sheet, its views, its findings.
    """
    settings = settings or Settings()
    sheet = scaled.sheet
    own = [d for d in dimensions if d.sheet == sheet.id]
    unit = settings.length_unit or plan_unit(own) or plan_unit(dimensions) or Unit.MM
    finest = finest_steps(dimensions, settings=settings)
    steps = usual_steps(own, settings=settings)
    views, findings, judged = [], [], {}
    voting = {left.dimension for left in scaled.left_out}
    voters = Counter(d.view for d in own if d.id in voting)
    for view in scaled.views:
        mine = [d for d in own if d.view == view.id]
        results = _judge_view(
            mine, view, scaled=scaled, settings=settings, unit=unit, finest=finest
        )
        own_steps = steps_in_view(steps, mine, settings=settings)
        results = [_settle(r, own_steps) for r in results]
        seen, results, told = _look_at_view(view, results, scaled, voters, settings)
        views.append(seen)
        findings += told
        judged.update({r.dimension.id: r.dimension for r in results})
    ordered = tuple(judged.get(d.id, _without_view(d)) for d in own)
    findings += tell_contradictions(scaled, own, settings=settings)
    findings += tell_limits(views, ordered, sheet=sheet, unit=unit)
    findings += tell_unsure(ordered, sheet=sheet, settings=settings)
    findings += tell_details(ordered, sheet=sheet)
    return Judged(dimensions=ordered, views=tuple(views), findings=tuple(findings))


def _judge_view(
    dimensions: Iterable[Dimension],
    view: View,
    *,
    scaled: ScaledSheet,
    settings: Settings,
    unit: Unit,
    finest: FinestSteps,
) -> list[Judgement]:
    return [
        judge_dimension(d, view, scaled=scaled, settings=settings, unit=unit, finest=finest)
        for d in dimensions
    ]


def _settle(result: Judgement, steps: UsualSteps) -> Judgement:
    return replace(result, dimension=settle_by_next(result.dimension, steps))


def _without_view(dimension: Dimension) -> Dimension:
    return replace(
        dimension,
        scaled=None,
        difference=None,
        tolerance=None,
        verdict=Verdict.NOT_SCALED,
        why="it belongs to no view of this sheet",
    )


def _look_at_view(
    view: View,
    results: list[Judgement],
    scaled: ScaledSheet,
    voters: Mapping[int, int],
    settings: Settings,
) -> tuple[View, list[Judgement], list[Finding]]:
    """Decide what holds for a view as a whole before single sizes are told."""
    sheet = scaled.sheet
    doubted = doubt_details([r.dimension for r in results])
    doubted = doubt_swapped([_doubt_far_off(d, view, scaled) for d in doubted])
    doubted = doubt_shared_circles(doubted)
    asked = [replace(r, dimension=d) for r, d in zip(results, doubted, strict=True)]
    if view.id not in scaled.backed:
        if _is_found_badly(results, asked, view, sheet):
            lines = doubt_many([r.dimension for r in asked])
            asked = [replace(r, dimension=d) for r, d in zip(asked, lines, strict=True)]
        if _is_not_to_scale(results, asked, view):
            return _withdraw(view, results, sheet)
    view = replace(view, shows=shown_by(r.dimension for r in results))
    results, told = doubt_rivals(asked, view, scaled, voters=voters)
    summed = settle_by_sums([r.dimension for r in results], view, sheet=sheet, settings=settings)
    results = [replace(r, dimension=d) for r, d in zip(results, summed, strict=True)]
    if isinstance(view.scale, Scale):
        told += _tell_too_close(view, results, sheet)
        told += [
            _tell_disagreement(r, view, sheet)
            for r in results
            if r.dimension.verdict is Verdict.DISAGREES
        ]
    return view, results, told


def _doubt_far_off(dimension: Dimension, view: View, scaled: ScaledSheet) -> Dimension:
    """Ask about what is far off by the scale it is judged by: parts of a view have their own."""
    own = scaled.judging_scale(dimension.id, view).scale
    return doubt_far_off(dimension, replace(view, scale=own))


def _is_not_to_scale(results: Sequence[Judgement], asked: Sequence[Judgement], view: View) -> bool:
    """Whether too much of a view disagrees for single alarms.

    What is `asked` about as hardly its line's number is no alarm, as long as most of it agrees.
    """
    off, sizes = _count_off(results)
    return _is_off(asked if 2 * (sizes - off) > sizes else results, view)


def _is_off(results: Iterable[Judgement], view: View, *, strange: int = 0) -> bool:
    """Whether more of a view disagrees than a third of it, `strange` lines among them.

    Where other views vouch for its scale, one or two wrong sizes of few are still alarms.
    """
    off, sizes = (count + strange for count in _count_off(results))
    others = view.scale.agreeing - (sizes - off) if isinstance(view.scale, Scale) else 0
    if is_agreed(sizes - off, sizes, vouched=others >= LEAST_TO_VOUCH):
        return False
    return sizes >= LEAST_FOR_NTS and off > OFF_SHARE * sizes


def _is_found_badly(
    results: Sequence[Judgement], asked: Sequence[Judgement], view: View, sheet: Sheet
) -> bool:
    """Whether most of a view on a picture agrees beyond chance, and more is off than mistakes.

    Lines that may be no dimensions, and would disagree, count among what is off.
    """
    strange = sum(r.dimension.why == NOT_SURELY_FOUND for r in results)
    if sheet.kind is PageKind.VECTOR or not _is_off(results, view, strange=strange):
        return False
    compared = [r.dimension for r in asked if r.dimension.verdict in COMPARED]
    agree = [d for d in compared if d.verdict is Verdict.AGREES and d.printed is not None]
    sizes = np.array([float(d.printed) for d in agree if d.printed is not None])
    many = count_different(sizes) >= MANY and 2 * len(agree) > len(compared)
    return many and _count_off(asked)[0] > MOST_WRONG


def _count_off(results: Iterable[Judgement]) -> tuple[int, int]:
    """Count the compared sizes that disagree beyond all doubt, and all of them."""
    compared = [r.dimension for r in results if r.dimension.verdict in COMPARED]
    return sum(_is_surely_off(d) for d in compared), len(compared)


def _is_surely_off(dimension: Dimension) -> bool:
    """Whether a size disagrees by what no right one does: a few by less leave a view its scale."""
    if dimension.verdict is not Verdict.DISAGREES or dimension.scaled is None:
        return False
    expanded = dimension.scaled.expanded
    most = max(dimension.tolerance or 0.0, expanded) + expanded
    return abs(dimension.difference or 0.0) > most


def _withdraw(
    view: View, results: list[Judgement], sheet: Sheet
) -> tuple[View, list[Judgement], list[Finding]]:
    """Take back what was measured in a view that is not to scale; what is printed is kept."""
    off = [r for r in results if r.dimension.verdict is Verdict.DISAGREES]
    compared = [r for r in results if r.dimension.verdict in COMPARED]
    text = (
        f"{start_sentence(name_view(view))} is not to scale: {len(off)} of its {len(compared)} "
        "compared sizes disagree with the drawing. Nothing in it is measured; its printed sizes "
        "still count in sums."
    )
    finding = say(
        "V101",
        text,
        places=[Place(sheet=sheet.id, box=view.box)],
        dimensions=[r.dimension.id for r in off],
        rests_on=rests_on_scale(view),
    )
    bare = [Judgement(dimension=_unmeasured(r.dimension), measured=None) for r in results]
    no_scale = NoScale(reason=NOT_TO_SCALE, advice="use its printed sizes only")
    return replace(view, scale=no_scale, shows=None), bare, [finding]


def _unmeasured(dimension: Dimension) -> Dimension:
    bare = replace(dimension, scaled=None, difference=None, tolerance=None)
    asked = dimension.why in ASKED_AS_MEASURED  # there is nothing left to ask it for
    if asked or dimension.verdict in COMPARED or dimension.verdict is Verdict.NOT_PRINTED:
        return replace(bare, verdict=Verdict.NOT_SCALED, why=NOT_TO_SCALE)
    return bare


def _tell_too_close(view: View, results: Iterable[Judgement], sheet: Sheet) -> list[Finding]:
    close = [
        r.dimension
        for r in results
        if r.dimension.verdict is Verdict.TOO_CLOSE and r.dimension.why != CONTRADICTED
    ]
    if not close:
        return []
    listed = "; ".join(f"{name_dimension(d)}: {d.why}" for d in close)
    text = f"Too close to call in {name_view(view)}: {listed}."
    if any(d.why != AT_TOLERANCE for d in close):
        text += " The difference is within what this sheet can show."
    return [
        say(
            "A102",
            text,
            places=[place_of(d, sheet) for d in close],
            dimensions=[d.id for d in close],
            rests_on=rests_on_scale(view),
        )
    ]


def _tell_disagreement(result: Judgement, view: View, sheet: Sheet) -> Finding:
    dimension = result.dimension
    scaled, reading = dimension.scaled, dimension.reading
    if scaled is None or reading is None or reading.callout is None or dimension.printed is None:
        raise ValueError("only a compared dimension can disagree")
    printed = say_printed(dimension)
    drawn = say_measured(scaled.value, scaled.expanded, unit=scaled.unit)
    difference = dimension.difference or 0.0
    off = say_difference(difference, scaled.unit, expanded=scaled.expanded)
    text = (
        f"{printed} is printed, but it is drawn as {drawn}{_shop(scaled)}: the print says {off} "
        f"{'more' if difference > 0 else 'less'}. The printed number stands unless a second "
        "witness speaks against it."
    )
    allowed = (dimension.tolerance or 0.0) + scaled.expanded
    slip = name_slip(reading.callout, scaled.value, allowed=allowed)
    if slip is not None and reading.callout.size is not None:
        text += f" A slip is likely: {slip}."
    witnesses = (
        Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says=f"{printed} is printed"),
        Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says=f"drawn as {drawn}"),
    )
    return say(
        "A101",
        text,
        places=[place_of(dimension, sheet)],
        dimensions=[dimension.id],
        witnesses=witnesses,
        rests_on=(*rests_on_scale(view), *_rests_on_reading(dimension)),
    )


def _shop(scaled: Scaled) -> str:
    """Name the shop values inside the uncertainty, when they say something: not a row of tenths."""
    if not 0 < len(scaled.candidates) <= FEW_SHOP or scaled.unit is Unit.DEG:
        return ""
    return f" ({' or '.join(scaled.candidates)})"


def _rests_on_reading(dimension: Dimension) -> tuple[str, ...]:
    reading = dimension.reading
    if reading is None or reading.confirmed or reading.by is ReadBy.USER:
        return ()
    return (f"the reading “{reading.text}”",)
