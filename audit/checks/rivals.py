"""Sizes of a small view that contradict each other, so that either may be the wrong one.

A view of two or three sizes on a picture may take its scale from a wrong one: where that happens to
lie at a plain ratio to the scale of the others, the right size beside it is off. Nobody can tell
which of the two is wrong while no third size, there or in a view at the same scale, speaks for one
of them: then neither is called wrong, neither is said to agree, and both are told. And where all
else in such a view is too short to tell its scale, a size would vouch for itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from audit.checks.measuring import Judgement
from audit.checks.unsure import place_of
from audit.checks.words import rests_on_scale, say_measured, say_printed
from audit.lengths import Unit
from audit.records import Finding, PageKind, Scale, ScaleFrom, Sheet, Verdict, View
from audit.scale import ScaledSheet
from audit.scale.findings import join_words, name_view, say, start_sentence
from audit.scale.votes import count_different
from audit.uncertainty import expand, measure

KNOWN = 0.04  # relative, expanded: a size that is drawn no better speaks for any scale nearby
SAME_SCALE = 0.02  # relative; views so near each other share a scale
LEAST_ELSEWHERE = 3  # sizes of other views that speak for a scale of theirs
SEEN = 0.06  # relative, expanded: what knows a scale no better would not show such an error
COMPARED = (Verdict.AGREES, Verdict.DISAGREES)
CONTRADICTED = "it and another size contradict each other, and nothing tells which of them is wrong"
ALONE = "nothing else tells the scale of its view; give a known size in it"


@dataclass(frozen=True, slots=True)
class _Word:
    """What one size says of the scale of its view: log of printed over drawn, and u."""

    result: Judgement
    off: float
    u: float

    @property
    def number(self) -> int:
        return self.result.dimension.id

    @property
    def verdict(self) -> Verdict:
        return self.result.dimension.verdict

    def agrees_with(self, other: _Word) -> bool:
        return abs(self.off - other.off) <= expand(math.hypot(self.u, other.u))


def doubt_rivals(
    results: Sequence[Judgement], view: View, scaled: ScaledSheet, *, voters: Mapping[int, int]
) -> tuple[list[Judgement], list[Finding]]:
    """Ask about sizes of a view of which one is wrong, where nothing tells which.

    Parameters
    ----------
    results : sequence of Judgement
        Every size of the view.
    view : View
        As scaled.
    scaled : ScaledSheet
    voters : mapping of int to int
        By view: how many of its sizes had a say in a scale.

    Returns
    -------
    tuple of (list of Judgement, list of Finding)
        Too close to call are those that contradict each other; one A101 tells of them all. Not
        scaled is a size that nothing else of its view speaks for.
    """
    if not _hangs_on_few(view, scaled, voters):
        return list(results), []
    words = [w for r in results if (w := _word(r, view, scaled)) is not None]
    rivals = _rivals(words)
    doubted = {r.dimension.id for r in rivals}
    alone = {w.number for w in words if _is_alone(w, words)} - doubted
    kept = [_too_close(r) if r.dimension.id in doubted else r for r in results]
    kept = [_not_scaled(r) if r.dimension.id in alone else r for r in kept]
    return kept, [_tell(rivals, view, scaled.sheet)] if rivals else []


def _hangs_on_few(view: View, scaled: ScaledSheet, voters: Mapping[int, int]) -> bool:
    """Whether only a view's own sizes speak for its scale, on a picture."""
    if scaled.sheet.kind is PageKind.VECTOR or view.id in scaled.backed:
        return False
    return not _is_shared(view, scaled, voters)


def _not_scaled(result: Judgement) -> Judgement:
    bare = replace(result.dimension, scaled=None, difference=None, tolerance=None)
    return Judgement(dimension=replace(bare, verdict=Verdict.NOT_SCALED, why=ALONE), measured=None)


def _is_alone(word: _Word, words: Sequence[_Word]) -> bool:
    """Whether what else agrees in a view, taken together, would not show an error in a size.

    The same number beside it is no second witness.
    """
    if word.verdict is not Verdict.AGREES:
        return False
    others = [
        w for w in words if w is not word and w.verdict is Verdict.AGREES and _count([w, word]) == 2
    ]
    return expand(sum((w.u**-2 for w in others), 0.0) ** -0.5) > SEEN if others else True


def _too_close(result: Judgement) -> Judgement:
    dimension = replace(result.dimension, verdict=Verdict.TOO_CLOSE, why=CONTRADICTED)
    return replace(result, dimension=dimension)


def _rivals(words: Sequence[_Word]) -> list[Judgement]:
    """Those that disagree, then those that the scale rests on; none where it rests on more."""
    words = [w for w in words if expand(w.u) <= KNOWN]
    bearing = [w for w in words if w.verdict is Verdict.AGREES]
    against = [w for w in words if w.verdict is Verdict.DISAGREES]
    if not bearing or not against:
        return []
    most = max(sum(w.agrees_with(other) for w in words) for other in against)
    if _count(bearing) > most:
        return []
    return [w.result for w in (*against, *sorted(bearing, key=lambda w: w.u, reverse=True))]


def _count(words: Sequence[_Word]) -> int:
    """How many different sizes they are: one number over one length is one."""
    sizes = [float(w.result.dimension.printed or 0) for w in words]
    return count_different(np.array(sizes))


def _is_shared(view: View, scaled: ScaledSheet, voters: Mapping[int, int]) -> bool:
    """Whether sizes of other views, or what a person gave, stand behind a view's scale."""
    own = view.scale
    if not isinstance(own, Scale) or own.source is not ScaleFrom.CONSENSUS:
        return True
    near = [
        v.id
        for v in scaled.views
        if v.id != view.id
        and isinstance(v.scale, Scale)
        and abs(math.log(v.scale.x * v.scale.y / (own.x * own.y))) <= 2 * SAME_SCALE
    ]
    return sum(voters.get(number, 0) for number in near) >= LEAST_ELSEWHERE


def _word(result: Judgement, view: View, scaled: ScaledSheet) -> _Word | None:
    """What a size says of the scale; `None` where it was not compared."""
    dimension, measured, own = result.dimension, result.measured, view.scale
    sized, printed = dimension.scaled, dimension.printed
    if measured is None or sized is None or printed is None or not isinstance(own, Scale):
        return None
    if dimension.verdict not in COMPARED or Unit.DEG in (sized.unit, printed.unit):
        return None
    by_view = measure(
        dimension.ends,
        kind=dimension.kind,
        sheet=scaled.sheet,
        scale=own,
        drafting=scaled.judging_scale(dimension.id, view).drafting,
        edge=view.edge,
    )
    u = math.sqrt(max(by_view.u**2 - by_view.part("scale") ** 2, 0.0)) / by_view.value
    drawn = sized.value * by_view.value / measured.value
    return _Word(result, math.log(float(printed.to(sized.unit)) / drawn), u)


def _tell(rivals: Sequence[Judgement], view: View, sheet: Sheet) -> Finding:
    dimensions = [r.dimension for r in rivals]
    names = [say_printed(d) for d in dimensions if d.printed is not None]
    first, bearing = dimensions[0].scaled, names[-1]
    if first is None:
        raise ValueError("only what was measured can contradict")
    drawn = say_measured(first.value, first.expanded, unit=first.unit)
    text = (
        f"{start_sentence(join_words(names))} contradict each other in {name_view(view)}: measured "
        f"by {bearing}, {names[0]} is drawn as {drawn}. One of them is wrong, and nothing else "
        "there tells which. The printed numbers stand until another witness speaks against one."
    )
    return say(
        "A101",
        text,
        places=[place_of(d, sheet) for d in dimensions],
        dimensions=[d.id for d in dimensions],
        rests_on=rests_on_scale(view),
    )
