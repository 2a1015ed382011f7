"""Sizes that are missing, after conventions and notes have been heard.

A thickness is looked for where one view shows a part alone: in its callouts, in another view, in
the parts list, in the notes. Positions: what printed sizes do not reach from the rest of a view,
unless symmetry about a station implies it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from audit.checks.candidates import Candidates, list_candidates, measure_gap
from audit.checks.general_notes import check_general_notes
from audit.checks.names import find_names, read_words
from audit.checks.parts import PlanPart, nearest_view, thickness_notes
from audit.checks.relations import is_exception_note
from audit.checks.stations import StationLine
from audit.checks.words import name_dimension
from audit.geometry import Box
from audit.lengths import CalloutKind, Length, Style, spell
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    Finding,
    PageKind,
    Place,
    Statement,
    StatementKind,
    TextState,
    View,
    ViewKind,
)
from audit.scale.findings import join_words, name_view, say

ALONE = frozenset({ViewKind.TRUE, ViewKind.HALF, ViewKind.FLAT_PATTERN, ViewKind.UNKNOWN})
SAME_MM = 0.3  # of the real part, or three sigma: implied positions must meet this well
NEAR_EDGE = 0.25  # of a view's longer side: a text so near that was not understood may be its size
LEAST_LEGS = 3  # of a line before a size beside it is called unreached


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingChecked:
    """Findings of missing sizes, and the statements that gave one."""

    findings: tuple[Finding, ...] = ()
    used: tuple[Statement, ...] = ()


def check_missing(
    parts: Sequence[PlanPart], lines: Iterable[StationLine], audit: Audit
) -> MissingChecked:
    """Find sizes that nothing gives, and those that only a note or a convention gives.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    lines : Iterable[StationLine]
        From `find_lines`.
    audit : Audit
        Judged.

    Returns
    -------
    MissingChecked
        Findings M101 to M103.
    """
    thick, used = _check_thickness(parts, audit)
    implied, more = check_general_notes(parts, audit)
    positions = _check_positions(parts, lines, audit)
    return MissingChecked(findings=(*thick, *implied, *positions), used=(*used, *more))


def _check_thickness(
    parts: Sequence[PlanPart], audit: Audit
) -> tuple[list[Finding], list[Statement]]:
    notes = [n for n in thickness_notes(audit) if _is_for_all(n)]
    names = [p.name for p in parts]
    excepted = _exceptions(names, audit)
    implied: list[tuple[PlanPart, Length]] = []
    findings: list[Finding] = []
    used: list[Statement] = []
    for part in parts:
        if not _needs_thickness(part, audit):
            continue
        exception = excepted.get(part.name)
        if len(notes) == 1 and notes[0].value is not None and exception is None:
            implied.append((part, notes[0].value))
            used.append(notes[0])
        elif not notes and exception is None and audit.settings.thickness is not None:
            continue  # a person gave the thickness of what is printed without
        elif listed_thickness(part) is None and (exception is not None or _asks(parts)):
            findings.append(_tell_missing(part, exception))
            used += [exception] if exception is not None else []
    findings += [_tell_implied(list(group), notes) for group in [implied] if group]
    told, compared = _check_stock_notes(parts, audit)
    return findings + told, used + compared


def implied_thickness(part: PlanPart, parts: Iterable[PlanPart], audit: Audit) -> Length | None:
    """Return how thick a part is by the parts list, or by a note for all parts.

    Parameters
    ----------
    part : PlanPart
        One of `parts`.
    parts : Iterable[PlanPart]
        Of the plan.
    audit : Audit
        For its notes.

    Returns
    -------
    Length | None
        `None` when nothing says so, and no default was set.
    """
    listed = listed_thickness(part)
    if listed is not None:
        return listed
    notes = [n for n in thickness_notes(audit) if _is_for_all(n)]
    excepted = _exceptions([p.name for p in parts], audit)
    if not notes and not part.is_round:
        return audit.settings.thickness
    if len(notes) != 1 or part.name in excepted or part.is_round:
        return None
    return notes[0].value


def _is_for_all(note: Statement) -> bool:
    """Whether a note speaks of all parts: ALL PARTS 1/4 THICK, ALL STOCK 1/4."""
    words = read_words(note.form.subject if note.form is not None else "")
    return not words or bool({"PART", "STOCK", "PIECE", "MATERIAL", "WOOD"} & set(words))


def _exceptions(names: Sequence[str], audit: Audit) -> dict[str, Statement]:
    return {
        name: note
        for note in audit.statements
        if note.kind is StatementKind.NOTE and is_exception_note(note.text)
        for _, name in find_names(note.text, names)
    }


def _needs_thickness(part: PlanPart, audit: Audit) -> bool:
    """Whether a part is shown in one titled view only, and nothing beside it says how thick."""
    drawings = [d for d in part.drawings if d.view is not None]
    if len(drawings) != 1 or part.is_round or not (part.rows or part.counts):
        return False
    [drawing] = drawings
    view = drawing.view
    if view is None or view.kind not in ALONE:
        return False
    if any(v.sheet == view.sheet and _may_size_an_edge(v, audit) for v in audit.views):
        return False
    if any(_is_thickness(d) for d in drawing.dimensions):
        return False
    return not stock_notes_near(view, audit)


def _may_size_an_edge(view: View, audit: Audit) -> bool:
    """Whether an untitled view may be the edge of a part, and something in it says how thick.

    An edge that nothing is written on gives no thickness; on a picture it may not have been read.
    """
    if view.title:
        return False
    if any(s.id == view.sheet and s.kind is not PageKind.VECTOR for s in audit.sheets):
        return True
    near = view.box.grown(NEAR_EDGE * max(view.box.width, view.box.height))
    texts = [t for t in audit.texts if t.sheet == view.sheet and t.state is TextState.NOT_CHECKED]
    sized = any(d.view == view.id for d in audit.dimensions)
    return sized or any(near.contains(t.box.centre) for t in texts)


def stock_notes_near(view: View, audit: Audit) -> tuple[Statement, ...]:
    """Return the notes of stock and thickness that stand under a view."""
    return tuple(
        s
        for s in audit.statements
        if s.sheet == view.sheet
        and s.kind is StatementKind.STOCK
        and (nearest := nearest_view(s, audit)) is not None
        and nearest.id == view.id
    )


def _is_thickness(dimension: Dimension) -> bool:
    callout = dimension.reading.callout if dimension.reading is not None else None
    return dimension.kind is DimensionKind.THICKNESS or (
        callout is not None and callout.kind is CalloutKind.THICKNESS
    )


def listed_thickness(part: PlanPart) -> Length | None:
    """Return the thickness that the parts list gives a part, if any."""
    for row in part.rows:
        form = row.form
        if form is None:
            continue
        if "T" in form.columns:
            return form.sizes[form.columns.index("T")]
        if not form.columns and len(form.sizes) > 2:
            return form.sizes[0]
    return None


def _asks(parts: Iterable[PlanPart]) -> bool:
    """Whether the plan gives thicknesses at all, so that a lack of one means something."""
    return any(listed_thickness(p) is not None for p in parts)


def _check_stock_notes(
    parts: Iterable[PlanPart], audit: Audit
) -> tuple[list[Finding], list[Statement]]:
    """Compare a thickness written under a drawing with the parts list."""
    told, compared = [], []
    for part in parts:
        listed = listed_thickness(part)
        notes = [n for d in part.drawings if d.view for n in stock_notes_near(d.view, audit)]
        for note in notes:
            if listed is None or note.value is None:
                continue
            compared.append(note)
            if note.value != listed:
                sizes = [spell(s, style=Style.PLAIN) for s in (listed, note.value)]
                text = (
                    f"{part.name} is listed {sizes[0]} thick, but “{note.text}” stands under its "
                    "drawing."
                )
                places = [Place(sheet=s.sheet, box=s.box) for s in (note, *part.rows)]
                told.append(say("P101", text, places=places))
    return told, compared


def _tell_implied(
    implied: Sequence[tuple[PlanPart, Length]], notes: Sequence[Statement]
) -> Finding:
    value = spell(implied[0][1], style=Style.PLAIN)
    names = join_words([p.name for p, _ in implied])
    listed = [t for p, _ in implied if (t := listed_thickness(p)) is not None]
    text = (
        f"No thickness is printed on {names}; the note “{notes[0].text}” gives {value} "
        "(implied by the general note)."
    )
    if listed and all(t == implied[0][1] for t in listed):
        text += " The parts list says the same."
    finding = say(
        "M101",
        text,
        places=[d.place for p, _ in implied for d in p.drawings],
        rests_on=[f"the note “{notes[0].text}”"],
    )
    return replace(finding, suggestion=value)


def _tell_missing(part: PlanPart, exception: Statement | None) -> Finding:
    text = f"No thickness is given for {part.name}"
    if exception is not None:
        text += f": the note “{exception.text}” takes it out of the general note"
        text += ", and the parts list leaves it blank" if part.rows else ""
    elif part.rows:
        text += ", neither on its drawing nor in the parts list"
    text += ". Ask the publisher, or take it from the part it goes with."
    places = [d.place for d in part.drawings]
    places += [Place(sheet=r.sheet, box=r.box) for r in part.rows]
    return say("M102", text, places=places)


@dataclass(frozen=True, slots=True)
class _Floating:
    """Stations of a line that nothing ties to the others, and the dimensions on them."""

    line: StationLine
    group: frozenset[int]
    main: frozenset[int]
    dimensions: tuple[int, ...]


def _check_positions(
    parts: Sequence[PlanPart], lines: Iterable[StationLine], audit: Audit
) -> list[Finding]:
    """Tell once a group what printed sizes do not reach, part by part in the order of the list."""
    by_id = {d.id: d for d in audit.dimensions}
    views = {v.id: v for v in audit.views}
    found = []
    for line in lines:
        view = views[line.view]
        if view.kind not in ALONE or line.u_scale is None or len(line.used) < LEAST_LEGS:
            continue
        found += [(view, floating) for floating in _unreached(line)]
    order = [d.view.id for p in parts for d in p.drawings if d.view is not None]
    place = {view: k for k, view in enumerate(order)}
    found.sort(key=lambda pair: (place.get(pair[0].id, len(place)), pair[0].id))
    return [
        _tell_floating(view, [by_id[n] for n in f.dimensions], _candidates(f, parts, audit))
        for view, f in found
    ]


def _candidates(floating: _Floating, parts: Sequence[PlanPart], audit: Audit) -> Candidates:
    gap = measure_gap(floating.line, floating.group, floating.main)
    return Candidates() if gap is None else list_candidates(gap, floating.line, parts, audit)


def _unreached(line: StationLine) -> list[_Floating]:
    """Return each group of stations that nothing ties to the largest one."""
    groups = _groups(line)
    if len(groups) < 2:
        return []
    main = max(groups, key=lambda g: (len(g), -min(g)))
    if sum(leg.a in main for leg in line.used) < LEAST_LEGS - 1:
        return []
    return [
        _Floating(line, frozenset(group), frozenset(main), dimensions)
        for group in groups
        if group is not main
        and (dimensions := _on_stations(group, line))
        and not _is_implied(group, main, line)
    ]


def _on_stations(group: set[int], line: StationLine) -> tuple[int, ...]:
    """Return the dimensions on some stations; a size for reference alone places nothing."""
    return tuple(sorted({leg.dimension for leg in line.used if leg.a in group}))


def _groups(line: StationLine) -> list[set[int]]:
    groups: list[set[int]] = []
    for leg in line.legs:
        touching = [g for g in groups if leg.a in g or leg.b in g]
        merged = {leg.a, leg.b}.union(*touching)
        groups = [g for g in groups if g not in touching] + [merged]
    return groups


def _is_implied(group: set[int], main: set[int], line: StationLine) -> bool:
    """Whether symmetry places a group: centred on a station, or between two of them."""
    place = [s.place for s in line.stations]
    middle = (min(place[k] for k in group) + max(place[k] for k in group)) / 2
    sigma = max(s.sigma for s in line.stations)
    allowed = max(SAME_MM, 3 * sigma)
    centres = [place[k] for k in main]
    centres += [(place[a] + place[b]) / 2 for a, b in itertools.combinations(sorted(main), 2)]
    return any(abs(middle - c) <= allowed for c in centres)


def _tell_floating(view: View, found: Sequence[Dimension], candidates: Candidates) -> Finding:
    names = join_words([name_dimension(d) for d in found])
    verb = "is" if len(found) == 1 else "are"
    text = (
        f"In {name_view(view)} the position of {names} {verb} not given: no printed size reaches "
        "there from the others, and no symmetry implies it."
    )
    if candidates.phrases:
        text += f" From the end of what is placed it may be: {'; '.join(candidates.phrases)}."
    if candidates.others:
        text += (
            f" {candidates.value} is suggested; {candidates.others} other "
            f"{'value fits' if candidates.others == 1 else 'values fit'} as well."
        )
    boxes = [Box.around([e.point for e in d.ends]) for d in found]
    finding = say(
        "M103",
        text,
        places=[Place(sheet=view.sheet, box=b) for b in boxes],
        dimensions=[d.id for d in found],
        rests_on=[f"the scale of {name_view(view)}"],
    )
    return replace(finding, suggestion=candidates.value)
