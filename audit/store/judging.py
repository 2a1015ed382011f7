"""Verdicts worked out anew after a person changed something, without finding anything again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

from audit.geometry import Box
from audit.records import Audit, Dimension, SheetText, UserSet, View
from audit.store.actions import lay_aside
from audit.store.codec import dump_record
from audit.store.kinds import Judged, JudgedDimension, JudgedText, TextPlace
from audit.store.runs import number_findings
from audit.store.state import State, by_id

_TextKey = tuple[int, Box, int]


def judgement_of(state: State, judged: Audit) -> Judged:
    """Return what judging changed, as small as it can be said.

    Parameters
    ----------
    state : State
        Before judging.
    judged : Audit
        The same audit with verdicts, scales, texts' states and findings worked out; findings may
        carry any numbers, as long as they differ from each other.

    Returns
    -------
    Judged

    Notes
    -----
    `ValueError` if dimensions or views were added or taken away.
    """
    _refuse_other_records(state, judged)
    findings = number_findings(state, judged.findings, state.head.next_number)
    texts, dropped, added = _changed_texts(state, judged.texts)
    return Judged(
        dimensions=_changed_dimensions(state, judged.dimensions),
        views=_changed_views(state, judged.views),
        texts=texts,
        dropped_texts=dropped,
        added_texts=added,
        findings=tuple(f for f in findings if state.findings.get(f.id) != f),
        gone=tuple(sorted(state.findings.keys() - {f.id for f in findings})),
    )


def _refuse_other_records(state: State, judged: Audit) -> None:
    by_id(judged.findings)
    same_dimensions = by_id(judged.dimensions).keys() == state.dimensions.keys()
    if not same_dimensions or by_id(judged.views).keys() != state.views.keys():
        raise ValueError("judging may not add or take away dimensions or views; that needs a run")


def _changed_dimensions(state: State, judged: Iterable[Dimension]) -> tuple[JudgedDimension, ...]:
    pairs = ((_judged_dimension(state.dimensions[d.id]), _judged_dimension(d)) for d in judged)
    return tuple(now for before, now in pairs if dump_record(before) != dump_record(now))


def _judged_dimension(dimension: Dimension) -> JudgedDimension:
    return JudgedDimension(
        id=dimension.id,
        scaled=dimension.scaled,
        difference=dimension.difference,
        tolerance=dimension.tolerance,
        verdict=dimension.verdict,
        why=dimension.why,
    )


def _changed_views(state: State, judged: Iterable[View]) -> tuple[View, ...]:
    pairs = ((state.views[v.id], _judged_view(state.views[v.id], v)) for v in judged)
    return tuple(now for before, now in pairs if dump_record(before) != dump_record(now))


def _judged_view(view: View, judged: View) -> View:
    """Take over everything of a judged view but what was found or set by a person."""
    return replace(
        judged,
        id=view.id,
        sheet=view.sheet,
        kind=view.kind,
        box=view.box,
        title=view.title,
        stated_scale=view.stated_scale,
        tolerance_set=view.tolerance_set,
        user_set=view.user_set,
    )


def _keyed(texts: Iterable[SheetText]) -> Iterator[tuple[_TextKey, SheetText]]:
    seen: Counter[tuple[int, Box]] = Counter()
    for text in texts:
        place = (text.sheet, text.box)
        yield (*place, seen[place]), text
        seen[place] += 1


def _changed_texts(
    state: State, judged: Iterable[SheetText]
) -> tuple[tuple[JudgedText, ...], tuple[TextPlace, ...], tuple[SheetText, ...]]:
    before = dict(_keyed(state.texts))
    now = dict(_keyed(judged))
    changed = tuple(
        JudgedText(nth=key[2], text=text)
        for key, text in now.items()
        if key in before and before[key] != text
    )
    dropped = tuple(TextPlace(sheet=s, box=b, nth=n) for s, b, n in before if (s, b, n) not in now)
    return changed, dropped, tuple(text for key, text in now.items() if key not in before)


def apply_judgement(state: State, judged: Judged) -> State:
    """Return the state after a judgement; what it speaks of and is gone by now is passed over."""
    dimensions = dict(state.dimensions)
    for d in judged.dimensions:
        if d.id in dimensions:
            dimensions[d.id] = _with_verdict(dimensions[d.id], d)
    views = dict(state.views)
    for v in judged.views:
        if v.id in views:
            views[v.id] = _judged_view(views[v.id], v)
    after = replace(
        state,
        dimensions=dimensions,
        views=views,
        texts=_texts(state.texts, judged),
        added_texts=judged.added_texts,
    )
    for aside in after.set_asides:
        after = replace(after, texts=lay_aside(after.texts, aside))
    return _with_findings(after, judged)


def _with_verdict(dimension: Dimension, judged: JudgedDimension) -> Dimension:
    measured = replace(
        dimension,
        scaled=judged.scaled,
        difference=judged.difference,
        tolerance=judged.tolerance,
    )
    if UserSet.VERDICT in dimension.user_set:
        return measured
    return replace(measured, verdict=judged.verdict, why=judged.why)


def _texts(texts: tuple[SheetText, ...], judged: Judged) -> tuple[SheetText, ...]:
    changed = {(c.text.sheet, c.text.box, c.nth): c.text for c in judged.texts}
    dropped = {(p.sheet, p.box, p.nth) for p in judged.dropped_texts}
    if not changed and not dropped:
        return texts
    return tuple(changed.get(key, t) for key, t in _keyed(texts) if key not in dropped)


def _with_findings(state: State, judged: Judged) -> State:
    gone = {n: state.findings[n] for n in judged.gone if n in state.findings}
    kept = {n: f for n, f in state.findings.items() if n not in gone}
    findings = by_id((kept | {f.id: f for f in judged.findings}).values())
    lost = {n: f for n, f in (state.lost_findings | gone).items() if n not in findings}
    largest = max((f.id for f in judged.findings), default=0)
    head = replace(
        state.head,
        next_number=max(state.head.next_number, largest + 1),
        dirty=frozenset(),
        due=False,
    )
    return replace(state, head=head, findings=findings, lost_findings=lost)
