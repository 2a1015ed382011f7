"""Parts that go together: hole and pin, drill and thread, depth and stock, wall and edge.

A fit needs an intent. Where the plan gives none, the sizes that meet are asked about and nothing
is wrong. Dowels are neither round nor of their nominal size: the text says to measure them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.circles import check_circles
from audit.checks.cutters import check_cutters, find_cutters
from audit.checks.missing import implied_thickness
from audit.checks.noted_pins import find_noted_pins, joints_of
from audit.checks.parts import PlanPart
from audit.checks.parts_list import find_overalls
from audit.checks.places import place_of
from audit.checks.relations import FREE_INTENTS, Intent, Joint, read_joints
from audit.checks.runs import chain_size
from audit.checks.said_fits import TIGHT_MOST, Told, check_said_fits, find_said
from audit.checks.screws import check_screws
from audit.checks.stations import StationLine
from audit.checks.stock import check_stock
from audit.checks.tables import inches_of
from audit.checks.taps import check_tap
from audit.checks.words import say_length
from audit.checks.zones import check_zones, join_limits, why_wrong
from audit.lengths import (
    CalloutKind,
    Length,
    Mark,
    Style,
    Unit,
    general_tolerance,
    read_general_class,
    spell,
)
from audit.records import (
    Audit,
    Dimension,
    DimensionKind,
    Finding,
    Place,
    Severity,
    Side,
    Statement,
    StatementKind,
    Witness,
    WitnessKind,
)
from audit.scale.findings import join_words, say

NEAR_PIN = Fraction(1, 4)  # share of the pin's size a hole for it may differ by
PRESS_MOST = Length(Fraction(1, 64), Unit.IN)  # a hole so much larger holds nothing by pressing
GLUE_MOST = Length(Fraction(1, 16), Unit.IN)  # glue fills no wider gap; common practice, no source
ACROSS = frozenset({Mark.THROUGH, Mark.DRILL, Mark.DEEP, Mark.BORE, Mark.REAM})
FULL_CIRCLE = 180.0  # degrees drawn, from which on a hole is seen along its axis
DOWEL_CARE = "Dowels are seldom round or of their nominal size: measure, and drill a test hole."


@dataclass(frozen=True, slots=True, kw_only=True)
class FitsChecked:
    """Findings of fits, and the notes that gave intents."""

    findings: tuple[Finding, ...] = ()
    used: tuple[Statement, ...] = ()


@dataclass(frozen=True, slots=True)
class Hole:
    """A printed hole of a part, and its diameter."""

    part: PlanPart
    dimension: Dimension
    size: Length


def check_fits(
    parts: Sequence[PlanPart], lines: Sequence[StationLine], audit: Audit
) -> FitsChecked:
    """Check what goes together.

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
    FitsChecked
        Findings F101 to F110.
    """
    names = [p.name for p in parts]
    noted = {pin.part.name: pin for pin in find_noted_pins(audit, names)}
    everyone = [*names, *noted]
    joints = [
        (joint, note)
        for note in audit.statements
        if note.kind is StatementKind.NOTE
        for joint in read_joints(note.text, everyone)
    ]
    joints += joints_of(tuple(noted.values()), everyone)
    by_name = {p.name: p for p in (*parts, *(pin.part for pin in noted.values()))}
    findings: list[Finding] = []
    used: list[Statement] = []
    taken: set[int] = set()
    told: set[Told] = set()
    for joint, note in joints:
        pair = _hole_and_pin(joint, by_name, audit)
        if pair is None:
            continue
        hole, pin, size = pair
        used += [note, *([noted[pin.name].note] if pin.name in noted else [])]
        taken.add(hole.dimension.id)
        tight = _tell_fit(joint, note, hole=hole, pin=pin, size=size)
        findings += tight
        told |= {(note.text, hole.size, size)} if tight else set()
        findings += _tell_may_bind(joint, hole=hole, pin=pin, size=size, audit=audit)
    findings += _ask(parts, [j for j, _ in joints], taken, audit)
    findings += [f for d in audit.dimensions for f in check_tap(d)]
    findings += _check_depths(parts, audit)
    findings += _check_walls(parts, lines, audit)
    findings += check_stock(parts, audit)
    findings += check_screws(audit.dimensions)
    findings += check_said_fits(audit, told)
    findings += check_circles(parts, audit.dimensions)
    findings += check_zones(audit.dimensions)
    findings += check_cutters(parts, audit)
    used += [cutter.note for cutter in find_cutters(audit, names)]
    used += find_said(audit)
    return FitsChecked(findings=tuple(findings), used=tuple(dict.fromkeys(used)))


def pin_size(part: PlanPart, audit: Audit) -> Length | None:
    """Return the diameter of a round part: listed, else the largest printed on its drawing.

    Parameters
    ----------
    part : PlanPart
        Made of dowel, rod or tube by the parts list.
    audit : Audit
        For its settings.

    Returns
    -------
    Length | None
        `None` when it is not round stock, or two rows differ.
    """
    if not part.is_round:
        return None
    sizes = {s for row in part.rows if row.form for s in [_listed_diameter(row)] if s is not None}
    if sizes:
        return sizes.pop() if len(sizes) == 1 else None
    turned = {h.size for h in holes_of(part, audit) if not _is_through(h.dimension)}
    if part.rows:
        return max(turned, key=float, default=None)
    return turned.pop() if len(turned) == 1 else None


def _listed_diameter(row: Statement) -> Length | None:
    form = row.form
    if form is None or not form.sizes:
        return None
    if "D" in form.columns:
        return form.sizes[form.columns.index("D")]
    return min(form.sizes)


def holes_of(part: PlanPart, audit: Audit) -> list[Hole]:
    """Return the diameters printed on a part that are not its own outline.

    Parameters
    ----------
    part : PlanPart
        With its drawings.
    audit : Audit
        For its settings.

    Returns
    -------
    list[Hole]
        In the order of its dimensions.
    """
    outline = {s for row in part.rows for s in _outline_sizes(row)}
    found = []
    for dimension in part.dimensions:
        callout = dimension.reading.callout if dimension.reading is not None else None
        if callout is None or dimension.kind is not DimensionKind.DIAMETER:
            continue
        size = _round_size(dimension, audit)
        if size is not None and (part.is_round or size not in outline):
            found.append(Hole(part, dimension, size))
    return found


def _outline_sizes(row: Statement) -> tuple[Length, ...]:
    """Listed sizes seen on the face of a part: all but its thickness."""
    form = row.form
    if form is None:
        return ()
    if form.columns:
        return tuple(s for s, c in zip(form.sizes, form.columns, strict=True) if c != "T")
    return form.sizes[1:] if len(form.sizes) > 2 else form.sizes


def _round_size(dimension: Dimension, audit: Audit) -> Length | None:
    said = chain_size(dimension, audit.settings)
    callout = dimension.reading.callout if dimension.reading is not None else None
    if said is None or callout is None:
        return None
    return said[0] * 2 if callout.kind is CalloutKind.RADIUS else said[0]


def _hole_and_pin(
    joint: Joint, by_name: dict[str, PlanPart], audit: Audit
) -> tuple[Hole, PlanPart, Length] | None:
    """Find the hole of one part that the other, round one goes into."""
    if joint.other is None:
        return None
    first, second = by_name[joint.part], by_name[joint.other]
    for holed, pin in ((first, second), (second, first)):
        sizes = _journals(pin, audit)
        pairs = [(h, min(sizes, key=_off(h.size))) for h in holes_of(holed, audit) if sizes]
        near = [(h, size) for h, size in pairs if _may_take(h.size, size)]
        # a part has other holes than that of its pin; one that suits is the pin's
        suiting = [p for p in near if _why_wrong(joint.intent, p[0].size - p[1]) is None]
        if near:
            hole, size = min(suiting or near, key=lambda pair: _off(pair[0].size)(pair[1]))
            return hole, pin, size
    return None


def _off(hole: Length) -> Callable[[Length], Fraction]:
    """Return by how much a pin's size is another than a hole's, mm."""
    return lambda pin: abs(hole - pin).to(Unit.MM).value


def _journals(pin: PlanPart, audit: Audit) -> set[Length]:
    """Diameters of a round part that may go into a hole: its own, and those it is turned to."""
    size = pin_size(pin, audit)
    if not pin.is_round:
        return set()
    turned = {h.size for h in holes_of(pin, audit) if not _is_through(h.dimension)}
    return turned | ({size} if size is not None else set())


def _is_through(dimension: Dimension) -> bool:
    """Whether a diameter on a rod is that of a hole across it."""
    callout = dimension.reading.callout if dimension.reading is not None else None
    return callout is not None and bool(ACROSS & callout.marks)


def _may_take(hole: Length, pin: Length) -> bool:
    return bool(abs(hole - pin).value <= NEAR_PIN * pin.to(hole.unit).value)


def _tell_fit(
    joint: Joint, note: Statement, *, hole: Hole, pin: PlanPart, size: Length
) -> list[Finding]:
    wrong = _why_wrong_by_zone(joint.intent, hole, pin) or _why_wrong(
        joint.intent, hole.size - size
    )
    if wrong is None:
        return []
    said = f"{say_length(hole.size)} hole of {hole.part.name}"
    text = f"The {said} is for the {say_length(size)} {pin.name}, which {wrong}."
    if joint.intent in FREE_INTENTS:
        least, usual = (size + inches_of("running clearance", r) for r in ("least", "usual"))
        words = [_say_usual(s) for s in (least, usual)]
        text += f" For a part that {_MOVES[joint.intent]} {words[0]} to {words[1]} is usual."
    text += f" {DOWEL_CARE}"
    pins = [d for d in pin.dimensions if d.kind is DimensionKind.DIAMETER and d.printed == size]
    places = [place_of(hole.dimension), *(place_of(d) for d in pins[:1])]
    places += [Place(sheet=row.sheet, box=row.box) for row in pin.rows]
    return [
        say(
            "F101",
            text,
            places=places,
            dimensions=[hole.dimension.id, *(d.id for d in pins[:1])],
            witnesses=[
                Witness(kind=WitnessKind.PRINTED, side=Side.FOR, says=f"{said} is printed"),
                Witness(
                    kind=WitnessKind.MATING,
                    side=Side.AGAINST,
                    says=f"{pin.name} is {say_length(size)}",
                ),
                Witness(kind=WitnessKind.STATEMENT, side=Side.AGAINST, says=note.text),
            ],
            rests_on=[
                f"the note “{note.text}”",
                f"{pin.name} going into this hole of {hole.part.name}",
            ],
        )
    ]


def _say_usual(size: Length) -> str:
    """Say a size of the inch table; in mm to the tenth, which drills come in."""
    if size.unit is not Unit.MM:
        return spell(size, style=Style.PLAIN)
    return f"{float(size):.1f} mm"


_MOVES = {Intent.TURNS: "turns", Intent.SLIDES: "slides", Intent.CLEARANCE: "goes in loosely"}


def _tell_may_bind(
    joint: Joint, *, hole: Hole, pin: PlanPart, size: Length, audit: Audit
) -> list[Finding]:
    """Tell of a clearance that the general tolerances of the plan may use up."""
    callout = hole.dimension.reading.callout if hole.dimension.reading is not None else None
    named = next(((s, c) for s in audit.statements if (c := read_general_class(s.text))), None)
    room = (hole.size - size).to(Unit.MM)
    if joint.intent not in FREE_INTENTS or named is None or room.value <= 0:
        return []
    if callout is None or callout.fit or callout.tolerance is not None:
        return []
    note, grade = named
    allowed = [general_tolerance(s, grade) for s in (hole.size, size)]
    off = sum((a.value for a in allowed if a is not None), Fraction(0))
    if off < room.value:
        return []
    text = (
        f"The {say_length(hole.size)} hole of {hole.part.name} leaves the {say_length(size)} "
        f"{pin.name} {float(room):.3g} mm of clearance, and both may be off by {float(off):.3g} mm "
        f"together (ISO 2768-1, class {grade}): it may bind. Give the two a fit."
    )
    return [
        say(
            "F101",
            text,
            severity=Severity.NOTE,
            places=[place_of(hole.dimension), Place(sheet=note.sheet, box=note.box)],
            dimensions=[hole.dimension.id],
            rests_on=[f"the note “{note.text}”"],
        )
    ]


def _why_wrong_by_zone(intent: Intent, hole: Hole, pin: PlanPart) -> str | None:
    """Hear the fit that is printed with the sizes, which says more than they do."""
    callout = hole.dimension.reading.callout if hole.dimension.reading is not None else None
    pins = [d.reading.callout for d in pin.dimensions if d.reading and d.reading.callout]
    zoned = next((c for c in pins if c.fit), None)
    limits = join_limits(callout, zoned) if callout is not None else None
    return None if limits is None else why_wrong(intent, limits)


def _why_wrong(intent: Intent, room: Length) -> str | None:
    """Say what is wrong with a hole that is `room` larger than its pin."""
    if intent in FREE_INTENTS and room.value <= 0:
        thick = f"it is {say_length(-room)} too thick to go in" if room.value else ""
        return f"must be free in it ({intent.value}): {thick or 'there is no clearance'}"
    if intent in (Intent.PRESSED, Intent.GLUED) and room < -TIGHT_MOST:
        return f"is {intent.value} in: it is {say_length(-room)} too thick to go in"
    if intent is Intent.PRESSED and room > PRESS_MOST:
        return f"is pressed in: it is {say_length(room)} too loose to hold"
    if intent is Intent.THREADS and room.value >= 0:
        return "threads into it: the hole is as large as the thread, and nothing holds"
    if intent is Intent.GLUED and room > GLUE_MOST:
        return f"is glued in: the gap of {say_length(room)} is more than glue fills"
    return None


def _ask(
    parts: Sequence[PlanPart], joints: Sequence[Joint], taken: set[int], audit: Audit
) -> list[Finding]:
    """Ask once about holes and pins of one size whose intent the plan does not give.

    Holes in `taken` have their pin by a note: another pin of that size is none of theirs.
    """
    answered = {(j.part, j.other) for j in joints} | {(j.other, j.part) for j in joints}
    alone = {j.part for j in joints if j.other is None}
    asked = [
        (hole, pin)
        for pin in parts
        if pin.name not in alone and (size := pin_size(pin, audit)) is not None
        for holed in parts
        if holed is not pin and (holed.name, pin.name) not in answered
        for hole in holes_of(holed, audit)
        if hole.size == size and not holed.is_round and hole.dimension.id not in taken
    ]
    if not asked:
        return []
    words = join_words([f"{say_length(h.size)} of {h.part.name} and {p.name}" for h, p in asked])
    text = (
        f"Hole and pin of one size: {words}. Does it turn, or is it glued or pressed? As drawn it "
        f"holds, and does not turn. {DOWEL_CARE}"
    )
    return [
        say(
            "F102",
            text,
            places=[place_of(h.dimension) for h, _ in asked],
            dimensions=list(dict.fromkeys(h.dimension.id for h, _ in asked)),
        )
    ]


def _check_depths(parts: Iterable[PlanPart], audit: Audit) -> list[Finding]:
    """Find blind holes, seen along their axis, that are deeper than the part is thick."""
    told = []
    for part in parts:
        thick = implied_thickness(part, parts, audit)
        if thick is None:
            continue
        for dimension in part.dimensions:
            deep = _depth_of(dimension)
            if deep is not None and deep > thick:
                text = (
                    f"The hole in {part.name} is to be {say_length(deep)} deep, but the part is "
                    f"{say_length(thick)} thick: it comes through."
                )
                place = [place_of(dimension)]
                told.append(say("F105", text, places=place, dimensions=[dimension.id]))
    return told


def _depth_of(dimension: Dimension) -> Length | None:
    callout = dimension.reading.callout if dimension.reading is not None else None
    if callout is None or dimension.kind is not DimensionKind.DIAMETER:
        return None
    if dimension.sweep is None or dimension.sweep < FULL_CIRCLE or Mark.DEEP not in callout.marks:
        return None
    second = callout.second
    return second if second is not None and second.unit is not Unit.DEG else None


def _check_walls(
    parts: Iterable[PlanPart], lines: Sequence[StationLine], audit: Audit
) -> list[Finding]:
    """Find holes that leave little wood to the outer edges of their part."""
    least = inches_of("wall", "least")
    told = []
    for part in parts:
        for whole, size in find_overalls(part, lines, audit):
            length = whole.ends[0].point.distance(whole.ends[1].point)
            per_unit = float(size) / length
            own = pin_size(part, audit)
            for hole in holes_of(part, audit):
                if own is not None and hole.size >= own:
                    continue  # the diameter of the rod itself
                wall = _wall(hole.dimension, whole) * per_unit
                if 0 < wall < float(least.to(size.unit)) * (1 - 1e-6):
                    name = say_length(hole.size)
                    text = (
                        f"The {name} hole of {part.name} leaves {wall:.3f} {size.unit.value} to "
                        "the edge; it may break out. Mind the grain."
                    )
                    place = [place_of(hole.dimension)]
                    told.append(say("F104", text, places=place, dimensions=[hole.dimension.id]))
    return told


def _wall(hole: Dimension, whole: Dimension) -> float:
    """Smallest distance from a hole to the ends of an overall size, in the sheet's frame."""
    (ax, ay), (bx, by) = whole.ends[0].point, whole.ends[1].point
    length = whole.ends[0].point.distance(whole.ends[1].point)
    centre = hole.middle
    radius = hole.ends[0].point.distance(hole.ends[1].point) / 2
    along = ((centre.x - ax) * (bx - ax) + (centre.y - ay) * (by - ay)) / length
    return min(along, length - along) - radius
