"""From the audit to what the page shows: tabs, ledger, marks, coverage, in plain words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from audit.geometry import Box, Point
from audit.lengths import Unit
from audit.pipeline.lookup import unit_of
from audit.records import (
    CODES,
    Audit,
    Dimension,
    Finding,
    MarkStyle,
    NoScale,
    Reading,
    Scaled,
    Severity,
    Sheet,
    UserSet,
    Verdict,
    View,
)
from audit.report import Ink
from audit.report.evidence import size_lines, witness_lines
from audit.report.ledger import SEVERITY_ORDER, VERDICT_ORDER
from audit.report.marks import mark_key, mark_sheet, mark_style
from audit.report.naming import name_features, name_views, place_of
from audit.report.phrases import (
    SEVERITY_STYLES,
    say_difference,
    say_reader,
    say_verdict,
    sign,
    spell_length,
    spell_measured,
    spell_scaled,
    spell_uncertainty,
    with_unit,
)
from audit.report.seen import see_page
from audit.report.unchecked import list_unchecked
from audit.scale.findings import join_words
from audit.store import Snapshot
from audit.web import models as m
from audit.web.chains import show_chains
from audit.web.deciding import decision_of, options_for, preselect
from audit.web.desk import Busy
from audit.web.fold_showing import list_folds, show_flatness
from audit.web.frames import SheetMap
from audit.web.plans import is_drawn
from audit.web.sheet_showing import list_counts, list_known, list_pieces, list_views
from audit.web.witnesses import say_witnesses
from audit.web.wording import say_typed, say_view

SETTLED = (Verdict.AGREES, Verdict.NOT_CRITICAL, Verdict.NOT_A_DIMENSION)
SUSPECT = (Verdict.DISAGREES,)
SUMS = frozenset({"C102", "C108"})  # of sums made by hand; those that were found have places
ABOUT_THE_VIEW = frozenset({"A103"})  # says nothing of a dimension, even if it names only one


def show_overview(snapshot: Snapshot, busy: Busy | None) -> m.OverviewJson:
    """Show the audit as a whole.

    Parameters
    ----------
    snapshot : Snapshot
    busy : Busy or None

    Returns
    -------
    OverviewJson
    """
    audit = snapshot.audit
    settings = audit.settings
    return m.OverviewJson(
        revision=snapshot.revision,
        name=audit.name,
        unit=settings.unit.value if settings.unit else "",
        tolerance=say_typed(settings.tolerance),
        angle_tolerance=say_typed(settings.angle_tolerance),
        finest=str(settings.finest),
        drafting=settings.drafting.value if settings.drafting else "",
        thickness=say_typed(settings.thickness),
        can_undo=snapshot.can_undo,
        can_redo=snapshot.can_redo,
        busy=m.BusyJson(name=busy.name, says=busy.says, left=busy.left) if busy else None,
        coverage=_coverage(audit.coverage.checked, audit.coverage.texts),
        sheets=tuple(_tab(audit, sheet) for sheet in audit.sheets),
        remarks=tuple(f.text for f in audit.findings if not f.places),
    )


def _coverage(checked: int, texts: int) -> m.CoverageJson:
    return m.CoverageJson(checked=checked, texts=texts)


def _tab(audit: Audit, sheet: Sheet) -> m.TabJson:
    state, count = judge_tab(audit, sheet)
    coverage = audit.coverage_of(sheet.id)
    return m.TabJson(
        id=sheet.id,
        name=sheet.name,
        state=state,
        count=count,
        coverage=_coverage(coverage.checked, coverage.texts),
    )


def judge_tab(audit: Audit, sheet: Sheet) -> tuple[m.TabState, int]:
    """Tell what a sheet's tab says: not begun, so many disagree, so many open, all agree.

    Parameters
    ----------
    audit : Audit
    sheet : Sheet

    Returns
    -------
    TabState, int
        What is decided counts no more.
    """
    decided = {d.dimension for d in audit.decisions}
    own = [d for d in audit.dimensions if d.sheet == sheet.id]
    begun = any(d.verdict not in (Verdict.NOT_CHECKED, Verdict.NOT_SCALED) for d in own)
    if not begun and not decided & {d.id for d in own}:
        return m.TabState.NOT_BEGUN, 0
    warned = {f.dimensions[0] for f in audit.findings if _warns_of_one(f)}
    suspects = {d.id for d in own if d.verdict in SUSPECT or d.id in warned}
    bad = suspects - decided
    lone = [f for f in own_findings(audit, sheet) if f.severity is not Severity.NOTE]
    lone = [f for f in lone if not (f.dimensions and set(f.dimensions) <= decided)]
    if bad or lone:
        return m.TabState.DISAGREES, len(bad) + len(lone)
    coverage = audit.coverage_of(sheet.id)
    left = [d for d in own if d.verdict not in SETTLED and d.id not in decided]
    left_count = max(len(left), coverage.texts - coverage.checked)
    return (m.TabState.OPEN, left_count) if left_count else (m.TabState.ALL_AGREE, 0)


def _warns_of_one(finding: Finding) -> bool:
    return finding.severity is not Severity.NOTE and mark_key(finding).startswith("d")


def own_findings(audit: Audit, sheet: Sheet) -> list[Finding]:
    """List the findings of a sheet that no single dimension stands for."""
    return [
        f
        for f in audit.findings
        if mark_key(f).startswith("f") and any(p.sheet == sheet.id for p in f.places)
    ]


def show_sheet(
    snapshot: Snapshot, sheet: Sheet, *, sheet_map: SheetMap, ink: Ink | None
) -> m.SheetJson:
    """Show one sheet.

    Parameters
    ----------
    snapshot : Snapshot
    sheet : Sheet
    sheet_map : SheetMap
    ink : Ink or None
        What is drawn where, when known.

    Returns
    -------
    SheetJson
    """
    audit = snapshot.audit
    coverage = audit.coverage_of(sheet.id)
    views = [v for v in audit.views if v.sheet == sheet.id]
    unit = unit_of(audit, sheet.id)
    scaled = any(not isinstance(v.scale, NoScale) for v in views)
    return m.SheetJson(
        revision=snapshot.revision,
        id=sheet.id,
        name=sheet.name,
        width=sheet_map.width,
        height=sheet_map.height,
        from_frame=sheet_map.from_frame.rows,
        frame=sheet.frame.value,
        sharp=is_drawn(sheet),
        coarsest=-max(0, math.ceil(math.log2(max(sheet_map.width, sheet_map.height) / 256))),
        digest=sheet.digest[:16],
        coverage=_coverage(coverage.checked, coverage.texts),
        says=say_views(audit, views),
        remarks=sheet.remarks,
        unit=unit.value if unit else "",
        rows=list_rows(audit, sheet),
        marks=place_marks(audit, sheet, sheet_map, ink),
        unchecked=tuple(_unchecked(audit, sheet)),
        known_sizes=list_known(audit, sheet),
        chains=show_chains(audit, sheet),
        views=list_views(audit, sheet),
        pieces=list_pieces(audit, sheet),
        drawn_counts=list_counts(audit, sheet),
        folds=list_folds(audit, sheet),
        flatness=show_flatness(sheet),
        paper_known=sheet.paper_known,
        paper_by_hand=UserSet.PAPER in sheet.user_set,
        has_scale=scaled,
    )


def say_views(audit: Audit, views: Sequence[View]) -> str:
    """Say the scale of a sheet in a few words; that of the view with the most dimensions."""
    if not views:
        return "no scale yet: give a known size"

    def dimensions_of(view: View) -> int:
        return sum(d.view == view.id for d in audit.dimensions)

    return say_view(max(views, key=dimensions_of), audit)


def _unchecked(audit: Audit, sheet: Sheet) -> list[m.UncheckedJson]:
    return [
        m.UncheckedJson(
            key=group.key,
            label=group.label,
            head=group.head,
            why=group.why,
            boxes=tuple(_box(text.box) for text in group.texts),
            texts=group.written,
        )
        for group in list_unchecked(audit, sheet)
    ]


def place_marks(
    audit: Audit, sheet: Sheet, sheet_map: SheetMap, ink: Ink | None
) -> tuple[m.MarkPlaceJson, ...]:
    """Place the marks of a sheet, in map px."""
    seen = see_page(sheet)
    k = sheet_map.width / seen.width
    marked = mark_sheet(audit, sheet, ink=ink)
    return tuple(
        m.MarkPlaceJson(
            key=mark.key,
            label=mark.label,
            mark=show_mark(mark.style),
            centre=_times(mark.shape.centre, k),
            radius=k * max(mark.shape.height, mark.shape.width) / 2,
            inside=mark.style.inside,
            leader=tuple(_times(point, k) for point in mark.leader),
        )
        for mark in marked.marks
    )


def _times(point: Point, k: float) -> tuple[float, float]:
    return (point.x * k, point.y * k)


def show_mark(style: MarkStyle) -> m.MarkJson:
    """Show a mark's style."""
    red, green, blue = (round(255 * part) for part in style.colour)
    colour = f"#{red:02x}{green:02x}{blue:02x}"
    return m.MarkJson(shape=style.shape.value, sign=sign(style), colour=colour, word=style.word)


def list_rows(audit: Audit, sheet: Sheet) -> tuple[m.RowJson, ...]:
    """List dimensions and findings of a sheet, worst first."""
    views, features = name_views(audit), name_features(audit)
    ranked: list[tuple[tuple[float, ...], m.RowJson]] = []
    for dimension in audit.dimensions:
        if dimension.sheet == sheet.id:
            row = _dimension_row(
                audit, dimension, view=views.get(dimension.view, ""), feature=features[dimension.id]
            )
            ranked.append((_rank_dimension(audit, dimension), row))
    lone = [*own_findings(audit, sheet), *(f for f in audit.findings if _is_typed_sum(f))]
    ranked += [(_rank_finding(f), _finding_row(sheet, f)) for f in lone]
    ranked.sort(key=lambda pair: pair[0])
    return tuple(row for _, row in ranked)


def _is_typed_sum(finding: Finding) -> bool:
    """Whether a finding is about a sum that was typed: it lies on no sheet, and stands on all."""
    return not finding.places and finding.code in SUMS


def show_row(audit: Audit, number: int) -> m.RowJson | None:
    """Show the row of one dimension; `None` when there is no such dimension."""
    for dimension in audit.dimensions:
        if dimension.id == number:
            view = name_views(audit).get(dimension.view, "")
            feature = name_features(audit)[number]
            return _dimension_row(audit, dimension, view=view, feature=feature)
    return None


def _rank_dimension(audit: Audit, dimension: Dimension) -> tuple[float, ...]:
    shared = [f for f in audit.findings if dimension.id in f.dimensions]
    error = any(f.severity is Severity.ERROR and len(f.dimensions) == 1 for f in shared)
    place = 0.5 if error else 1.0 + VERDICT_ORDER.index(dimension.verdict)
    off = -abs(dimension.difference or 0.0) if dimension.verdict is Verdict.DISAGREES else 0.0
    return (place, off, dimension.id)


def _rank_finding(finding: Finding) -> tuple[float, ...]:
    place = {Severity.ERROR: 0.0, Severity.WARNING: 1.5, Severity.NOTE: 3.5}[finding.severity]
    return (place, 0.0, finding.id)


def _dimension_row(audit: Audit, dimension: Dimension, *, view: str, feature: str) -> m.RowJson:
    findings = _sorted([f for f in audit.findings if dimension.id in f.dimensions])
    own = [f for f in findings if mark_key(f) == f"d{dimension.id}"]
    decision = next((d for d in audit.decisions if d.dimension == dimension.id), None)
    warned = any(f.severity is not Severity.NOTE for f in own)
    settled = (dimension.verdict in SETTLED and not warned) or decision is not None
    box = _view_of(audit, dimension.view)
    return m.RowJson(
        key=f"d{dimension.id}",
        number=dimension.id,
        feature=feature,
        view=view,
        kind=dimension.kind,
        mark=show_mark(mark_style(dimension, audit.findings)),
        verdict=dimension.verdict,
        severity=own[0].severity if own else None,
        code=own[0].code if own else None,
        printed=_printed(dimension.reading),
        scaled=_scaled(dimension.scaled, spell_scaled(dimension)),
        says=say_difference(dimension),
        why=dimension.why or "",
        sentence=_sentence(dimension, own),
        evidence=_evidence(audit, dimension, findings, box),
        ends=tuple(
            m.EndJson(point=e.point, kind=e.kind.value, sigma=e.sigma) for e in dimension.ends
        ),
        line=dimension.line,
        boxes=(_box(place_of(dimension)),),
        dimensions=(),
        findings=tuple(f.id for f in findings if f not in own),
        options=options_for(dimension, findings),
        preselected=preselect(dimension, decision, warned=warned),
        decision=decision_of(decision),
        tolerance=say_typed(dimension.tolerance_set) or None,
        shows=say_view(box, audit) if box else "",
        by_hand=dimension.found_by.value == "user",
        needs_you=not settled,
    )


def _view_of(audit: Audit, number: int) -> View | None:
    return next((v for v in audit.views if v.id == number), None)


def _sorted(findings: Sequence[Finding]) -> list[Finding]:
    return sorted(findings, key=lambda f: (SEVERITY_ORDER.index(f.severity), len(f.dimensions)))


def _sentence(dimension: Dimension, own: Sequence[Finding]) -> str:
    speaking = [f for f in own if f.code not in ABOUT_THE_VIEW]
    if speaking:
        return say_witnesses(dimension, speaking) or speaking[0].text
    said = say_verdict(dimension)
    if dimension.reading is not None and dimension.reading.doubt:
        said += f"; {dimension.reading.doubt}"
    return f"{said[:1].upper()}{said[1:]}."


def _evidence(
    audit: Audit, dimension: Dimension, findings: Sequence[Finding], view: View | None
) -> tuple[str, ...]:
    """Say everything behind a verdict, for who asks why."""
    lines = list(size_lines(dimension))
    if dimension.tolerance is not None and dimension.scaled is not None:
        unit = dimension.scaled.unit
        allowed = dimension.tolerance
        said = spell_measured(allowed, unit) if unit is Unit.IN else f"{allowed:.4g}"
        lines.append(f"Tolerance: {with_unit(said, unit)}")
    if view is not None:
        lines.append(f"View: {say_view(view, audit)}")
    lines.append(f"Stands on: {_say_ends(dimension)}")
    for finding in findings:
        lines += [f"{finding.code} · {CODES[finding.code].title}"]
        lines += [finding.text, *witness_lines(finding)]
    if dimension.why:
        lines.append(dimension.why)
    return tuple(dict.fromkeys(lines))


def _say_ends(dimension: Dimension) -> str:
    words = [_end_word(end.kind.value) for end in dimension.ends]
    alike = len(words) > 1 and len(set(words)) == 1
    return f"{words[0]} at each end" if alike else join_words(words)


def _end_word(kind: str) -> str:
    article = "an" if kind == "outline" else "a"
    words = {"free": "nothing drawn", "extension": "a thin line", "exact": "an exact place"}
    return words.get(kind, f"{article} {kind}")


def _finding_row(sheet: Sheet, finding: Finding) -> m.RowJson:
    title = CODES[finding.code].title if finding.code in CODES else finding.severity.value
    boxes = tuple(_box(p.box) for p in finding.places if p.sheet == sheet.id)
    return m.RowJson(
        key=f"f{finding.id}",
        number=finding.id,
        feature=title,
        view="",
        kind=None,
        mark=show_mark(SEVERITY_STYLES[finding.severity]),
        verdict=None,
        severity=finding.severity,
        code=finding.code,
        printed=None,
        scaled=None,
        says="",
        why="",
        sentence=finding.text,
        evidence=(f"{finding.code} · {title}", *witness_lines(finding)),
        ends=(),
        line=(),
        boxes=boxes,
        dimensions=finding.dimensions,
        findings=(),
        options=(),
        preselected=None,
        decision=None,
        tolerance=None,
        shows="",
        by_hand=False,
        needs_you=finding.severity is not Severity.NOTE,
    )


def _printed(reading: Reading | None) -> m.PrintedJson | None:
    if reading is None:
        return None
    size = reading.callout.size if reading.callout else None
    return m.PrintedJson(
        text=reading.text,
        value=spell_length(size) if size else None,
        unit=size.unit.value if size else None,
        box=_box(reading.box),
        angle=reading.angle,
        confidence=reading.confidence,
        by=say_reader(reading.by),
        confirmed=reading.confirmed,
        doubt=reading.doubt,
        candidates=tuple(
            m.CandidateJson(text=c.text, confidence=c.confidence, by=say_reader(c.by))
            for c in reading.candidates[:4]
        ),
    )


def _scaled(scaled: Scaled | None, says: str) -> m.ScaledJson | None:
    if scaled is None or not math.isfinite(scaled.value):
        return None
    finite = math.isfinite(scaled.expanded)
    return m.ScaledJson(
        value=scaled.value,
        says=says,
        uncertainty=scaled.expanded if finite else None,
        uncertainty_says=spell_uncertainty(scaled.expanded, scaled.unit),
        unit=scaled.unit.value,
        nearest=scaled.nearest,
        candidates=scaled.candidates,
    )


def _box(box: Box) -> m.BoxJson:
    return (box.x0, box.y0, box.x1, box.y1)
