"""The parts list against the drawings, row by row.

A row is compared when one of its sizes is found in the drawings of its part; then an odd one can
be told. Rows that match nothing may mean anything, and nothing is said of them.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from audit.checks.loops import LegNetwork
from audit.checks.names import read_words
from audit.checks.parts import ROUND_STOCK, PlanPart, thickness_notes
from audit.checks.runs import chain_size
from audit.checks.stations import StationLine
from audit.lengths import CalloutKind, Length, Style, Unit, spell
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    Finding,
    Place,
    Severity,
    Side,
    Statement,
    Verdict,
    ViewKind,
    Witness,
    WitnessKind,
)
from audit.scale.findings import join_words, name_view, say

NEAR_SIZE = Fraction(1, 4)  # a listed size this near a drawn one is the same size misprinted
ENOUGH_ROWS = 3  # rows that fit before a list is known to give finished sizes
ROUGH_MOST = Fraction(3, 2)  # in; a larger allowance for cutting would be odd
FEW_STATIONS = 40  # pairs of more are not tried


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsChecked:
    """Findings of the parts list, and the rows that were compared."""

    findings: tuple[Finding, ...] = ()
    used: tuple[Statement, ...] = ()
    compared: frozenset[int] = field(default_factory=frozenset)


def check_parts(
    parts: Sequence[PlanPart], lines: Sequence[StationLine], audit: Audit
) -> PartsChecked:
    """Compare the rows of the parts list with the drawings.

    Parameters
    ----------
    parts : Sequence[PlanPart]
        From `find_parts`.
    lines : Sequence[StationLine]
        From `find_lines`.
    audit : Audit
        Judged.

    Returns
    -------
    PartsChecked
        Findings P101, P105 and P106; the rows compared.
    """
    compared = [c for p in parts for c in _compare_part(p, lines, audit)]
    fitting = [c for c in compared if not c.odd]
    odd = [c for c in compared if c.odd]
    findings: list[Finding] = []
    if len(odd) > 1 and len(odd) >= len(fitting) and all(_is_rough(c) for c in odd):
        findings.append(_ask_rough(odd))
    else:
        finished = len(fitting) >= ENOUGH_ROWS
        findings += [_tell_row(c, finished=finished) for c in odd]
    findings += _tell_uncovered(parts, audit)
    return PartsChecked(
        findings=tuple(findings),
        used=tuple(c.row for c in compared),
        compared=frozenset(d.id for c in odd for d in c.spans),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Compared:
    """A row against the drawings: `odd` is the listed size nothing drawn gives, `drawn` instead."""

    part: PlanPart
    row: Statement
    odd: Length | None = None
    drawn: Length | None = None
    spans: tuple[Dimension, ...] = ()


def _compare_part(part: PlanPart, lines: Sequence[StationLine], audit: Audit) -> list[_Compared]:
    views = [d for d in part.drawings if d.view is None or d.view.kind is not ViewKind.PICTORIAL]
    if not views:
        return []
    compared = []
    drawn = drawn_sizes(part, lines, audit)
    thick = thickness_notes(audit)
    for row in part.rows:
        sizes = row.form.sizes if row.form is not None else ()
        if not sizes:
            continue
        known = drawn | {n.value for n in thick if n.value is not None}
        columns = row.form.columns if row.form is not None else ()
        left = [
            s
            for k, s in enumerate(sizes)
            if s not in known and not (k < len(columns) and columns[k] == "T")
        ]
        matched = [s for s in sizes if s in drawn]
        if not left and matched:
            compared.append(_Compared(part=part, row=row))
        elif len(left) == 1 and matched:
            compared += _find_misprint(part, row, left[0], lines=lines, audit=audit)
    return compared


def drawn_sizes(part: PlanPart, lines: Sequence[StationLine], audit: Audit) -> set[Length]:
    """Collect the sizes the drawings of a part give: printed, doubled where half is drawn, summed.

    Parameters
    ----------
    part : PlanPart
        With its drawings.
    lines : Sequence[StationLine]
        Of the audit.
    audit : Audit
        For its settings.

    Returns
    -------
    set[Length]
        All that a row of a parts list may repeat.
    """
    sizes: set[Length] = set()
    radii: list[Length] = []
    for drawing in part.drawings:
        half = drawing.view is not None and drawing.view.kind is ViewKind.HALF
        for dimension in drawing.dimensions:
            size = _plain_size(dimension, audit)
            if size is None:
                continue
            sizes.add(size)
            is_radius = _is_radius(dimension)
            if half or is_radius:
                sizes.add(size * 2)
            if is_radius:
                radii.append(size)
    spans = _spans(part, lines)
    sizes |= spans
    # rounded ends: between centres and the radii beyond them
    for span in list(spans | sizes):
        for first, second in itertools.combinations_with_replacement(radii[:8], 2):
            sizes |= {span + first + second, span + first}
    return sizes


def _plain_size(dimension: Dimension, audit: Audit) -> Length | None:
    said = chain_size(dimension, audit.settings)
    if said is None or dimension.verdict is Verdict.NOT_A_DIMENSION:
        return None
    return said[0]


def _is_radius(dimension: Dimension) -> bool:
    callout = dimension.reading.callout if dimension.reading is not None else None
    return dimension.kind is DimensionKind.RADIUS or (
        callout is not None and callout.kind is CalloutKind.RADIUS
    )


def _spans(part: PlanPart, lines: Sequence[StationLine]) -> set[Length]:
    """Every exact distance between two stations of a view: few stations, all pairs."""
    spans: set[Length] = set()
    mine = {d.id for d in part.dimensions}
    for line in lines:
        legs = [leg for leg in line.used if leg.dimension in mine]
        if not legs or len(line.stations) > FEW_STATIONS:
            continue
        network = LegNetwork(legs, len(line.stations))
        ends = sorted({leg.a for leg in legs} | {leg.b for leg in legs})
        for a, b in itertools.combinations(ends, 2):
            span = network.span(a, b)
            if span:
                spans.add(Length(abs(span), line.unit))
    return spans


def _find_misprint(
    part: PlanPart,
    row: Statement,
    odd: Length,
    *,
    lines: Sequence[StationLine],
    audit: Audit,
) -> list[_Compared]:
    """Find the overall of the drawing that an odd listed size must mean, if it is clear."""
    wholes = find_overalls(part, lines, audit)
    sizes = row.form.sizes if row.form is not None else ()
    near = [
        (d, size)
        for d, size in wholes
        if size not in sizes and abs(size - odd).value <= NEAR_SIZE * size.to(odd.unit).value
    ]
    if len(near) != 1:
        return []
    dimension, size = near[0]
    return [_Compared(part=part, row=row, odd=odd, drawn=size, spans=(dimension,))]


def find_overalls(
    part: PlanPart, lines: Sequence[StationLine], audit: Audit
) -> list[tuple[Dimension, Length]]:
    """Return printed sizes that reach from the first to the last station of their direction.

    Where circles or arcs reach beyond, or the view is a half or broken, nothing is overall.

    Parameters
    ----------
    part : PlanPart
        With its drawings.
    lines : Sequence[StationLine]
        From `find_lines`.
    audit : Audit
        For its settings.

    Returns
    -------
    list[tuple[Dimension, Length]]
        The dimension and its size.
    """
    found = []
    for drawing in part.drawings:
        view = drawing.view
        if view is None or view.kind not in (
            ViewKind.TRUE,
            ViewKind.UNKNOWN,
            ViewKind.FLAT_PATTERN,
        ):
            continue
        mine = {d.id: d for d in drawing.dimensions}
        arcs = [d for d in drawing.dimensions if d.kind in _ROUND and len(d.ends) == 2]
        for line in lines:
            legs = [leg for leg in line.used if leg.dimension in mine]
            if not legs:
                continue
            low, high = min(leg.a for leg in legs), max(leg.b for leg in legs)
            for leg in legs:
                whole = mine[leg.dimension]
                size = _plain_size(whole, audit)
                if (leg.a, leg.b) == (low, high) and size is not None and _holds(whole, arcs):
                    found.append((whole, size))
    return found


_ROUND = (DimensionKind.RADIUS, DimensionKind.DIAMETER)


def _holds(whole: Dimension, arcs: Iterable[Dimension]) -> bool:
    """Whether no circle or arc reaches beyond the ends of a size."""
    (ax, ay), (bx, by) = whole.ends[0].point, whole.ends[1].point
    length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    if length == 0:
        return False
    ux, uy = (bx - ax) / length, (by - ay) / length
    for arc in arcs:
        first, second = arc.ends[0].point, arc.ends[1].point
        radius = first.distance(second)
        centre = first
        if arc.kind is DimensionKind.DIAMETER:
            centre, radius = first.midpoint(second), radius / 2
        along = (centre.x - ax) * ux + (centre.y - ay) * uy
        if along - radius < -0.02 * length or along + radius > 1.02 * length:
            return False
    return True


def _is_rough(compared: _Compared) -> bool:
    if compared.odd is None or compared.drawn is None:
        return False
    more = (compared.odd - compared.drawn).to(Unit.IN).value
    return 0 < more <= ROUGH_MOST


def _ask_rough(odd: Sequence[_Compared]) -> Finding:
    names = join_words([c.part.name for c in odd])
    text = (
        f"The parts list gives {names} larger than they are drawn. Does it give rough sizes, "
        "before the last cut? If it gives finished sizes, the list or the drawings are wrong."
    )
    rows = [c.row for c in odd]
    return say("P105", text, places=[Place(sheet=r.sheet, box=r.box) for r in rows])


def _tell_row(compared: _Compared, *, finished: bool) -> Finding:
    odd, drawn, row = compared.odd, compared.drawn, compared.row
    if odd is None or drawn is None:
        raise ValueError("only a row with an odd size is told")
    listed, printed = spell(odd, style=Style.PLAIN), spell(drawn, style=Style.PLAIN)
    [whole] = compared.spans
    measured = whole.verdict is Verdict.AGREES
    both = "drawn and printed" if measured else "printed"
    text = f"{compared.part.name} is listed as {listed}, but {both} {printed} on its drawing."
    if not finished:
        text += " If the list gives rough sizes, that may be meant."
    witnesses = [
        Witness(kind=WitnessKind.STATEMENT, side=Side.FOR, says=f"the parts list says {listed}"),
        *(
            [Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says=f"drawn as {printed}")]
            if measured
            else []
        ),
        Witness(kind=WitnessKind.VIEW, side=Side.AGAINST, says=f"{printed} is printed there"),
    ]
    view = compared.part.drawings[0].view
    finding = say(
        "P101",
        text,
        places=[Place(sheet=row.sheet, box=row.box), compared.part.drawings[0].place],
        severity=None if finished and measured else Severity.WARNING,
        witnesses=witnesses,
        rests_on=(
            "the parts list giving finished sizes",
            *([f"{name_view(view)} showing {compared.part.name}"] if view is not None else []),
        ),
        dimensions=[whole.id],
    )
    return replace(finding, suggestion=printed if measured else None)


def _tell_uncovered(parts: Sequence[PlanPart], audit: Audit) -> list[Finding]:
    """Tell once of names that stand only in the list or only under a drawing.

    Only where every view has a title is it known that a part is nowhere drawn.
    """
    listed = [p for p in parts if p.rows]
    if len(listed) < ENOUGH_ROWS or not all(v.title for v in audit.views):
        return []
    undrawn = [p for p in listed if not p.drawings and not p.is_round]
    unlisted = [p for p in parts if p.drawings and not p.rows]
    said = []
    if undrawn:
        said.append(f"listed but under no drawing: {join_words([p.name for p in undrawn])}")
    if unlisted:
        said.append(f"drawn but not in the list: {join_words([p.name for p in unlisted])}")
    if not said:
        return []
    places = [Place(sheet=r.sheet, box=r.box) for p in undrawn for r in p.rows]
    places += [d.place for p in unlisted for d in p.drawings]
    text = f"Names that do not match: {'; '.join(said)}. Check the spelling, or what is missing."
    return [say("P106", text, places=places)]


def hear_list(
    findings: Iterable[Finding], parts: Sequence[PlanPart], audit: Audit
) -> list[Finding]:
    """Let the parts list speak where printed and drawn disagree (A101).

    Parameters
    ----------
    findings : Iterable[Finding]
        Of the audit; others pass through.
    parts : Sequence[PlanPart]
        From `find_parts`.
    audit : Audit
        For its dimensions.

    Returns
    -------
    list[Finding]
        With a witness more for the printed size; or, where the list gives the drawn size instead,
        an error that names it: two independent witnesses.
    """
    by_id = {d.id: d for d in audit.dimensions}
    owner = {d.id: p for p in parts for d in p.dimensions}
    heard = []
    for finding in findings:
        told = finding
        if finding.code == "A101" and len(finding.dimensions) == 1:
            [number] = finding.dimensions
            if number in owner and number in by_id:
                told = _hear(finding, by_id[number], owner[number])
        heard.append(told)
    return heard


def _comparable(row: Statement, dimension: Dimension) -> tuple[Length, ...]:
    """Listed sizes a dimension can speak of: a hole or a corner has none of the part's outline."""
    form = row.form
    if form is None or dimension.kind is DimensionKind.RADIUS:
        return ()
    if dimension.kind is not DimensionKind.DIAMETER:
        return form.sizes
    material = set(read_words(form.material))
    return form.sizes if material & ROUND_STOCK or "D" in form.columns else ()


def _hear(finding: Finding, dimension: Dimension, part: PlanPart) -> Finding:
    if any(w.kind is WitnessKind.STATEMENT for w in finding.witnesses):
        return finding
    listed = {s for row in part.rows if row.form for s in _comparable(row, dimension)}
    printed, scaled = dimension.printed, dimension.scaled
    if printed is None or scaled is None or not listed:
        return finding
    size = spell(printed, style=Style.PLAIN)
    if printed in listed:
        witness = Witness(
            kind=WitnessKind.STATEMENT, side=Side.FOR, says=f"the parts list says {size} too"
        )
        text = f"{finding.text} The parts list says {size} too."
        return replace(finding, witnesses=(*finding.witnesses, witness), text=text)
    near = [
        s
        for s in listed
        if s.unit is scaled.unit and abs(float(s) - scaled.value) <= scaled.expanded
    ]
    if len(near) != 1:
        return finding
    drawn = spell(near[0], style=Style.PLAIN)
    witness = Witness(
        kind=WitnessKind.STATEMENT, side=Side.AGAINST, says=f"the parts list says {drawn}"
    )
    first = finding.text.removesuffix(STANDS).rstrip()
    return replace(
        finding,
        severity=Severity.ERROR,
        grade=f"{finding.grade}+{WitnessKind.STATEMENT.value}",
        witnesses=(*finding.witnesses, witness),
        rests_on=(*finding.rests_on, "the parts list giving finished sizes"),
        text=f"{first} The parts list gives {drawn}, as drawn.",
        suggestion=drawn,
    )


STANDS = "The printed number stands unless a second witness speaks against it."
