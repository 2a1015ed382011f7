"""The shop list of an audit: every part with sizes, tools and cautions, holds first.

Pure: records in, a `ShopList` out; `shop_booklet` prints it, `shop_tables` writes it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from audit.checks.counts import count_of, spare_count
from audit.checks.names import find_names, read_words
from audit.checks.parts import PlanPart, find_parts
from audit.checks.spares import MANY
from audit.lengths import Length, Unit
from audit.records import (
    Audit,
    FinishedSize,
    Hold,
    Part,
    SetUp,
    SheetAccount,
    ShopList,
    ShopPart,
    Tool,
    ToolKind,
    Verdict,
    ViewKind,
)
from audit.report.measures import sheet_unit
from audit.report.naming import name_views
from audit.report.phrases import say_coverage, spell_length, with_unit
from audit.report.shop_holds import find_holds, general_findings
from audit.report.shop_sizes import SizeGround, finish_sizes, rough_sizes
from audit.report.shop_tools import UNSURE, list_tools

# Added to width and length of rough pieces; common practice, no source.
ALLOWANCES = {Unit.IN: Length(Fraction(1, 4), Unit.IN), Unit.MM: Length(Fraction(6), Unit.MM)}
SMALL_MM = 76.2  # a part no longer than 3 in is small: it is lost, breaks, and is hard to hold
THIN_MM = 3.2  # 1/8 in
SHEET_GOODS = frozenset(("PLYWOOD", "PLY", "MDF", "HARDBOARD", "ACRYLIC"))
# Listed under one of these and drawn nowhere, it is bought; common practice, no source.
HARDWARE = frozenset((
    "BOLT", "BRAD", "CASTER", "HINGE", "MAGNET", "NAIL", "NUT", "RIVET", "SCREW", "STAPLE", "TACK",
    "WASHER",
))  # fmt: skip
OPEN_VERDICTS = (Verdict.NOT_CHECKED, Verdict.TOO_CLOSE)


def make_shop_list(audit: Audit, *, allowance: Length | None = None) -> ShopList:
    """Collect what goes to the shop.

    Parameters
    ----------
    audit : Audit
        Judged, with decisions.
    allowance : Length, optional
        What rough widths and lengths are larger by. Default: 1/4 in, or 6 mm.

    Returns
    -------
    ShopList
    """
    first = audit.sheets[0].id if audit.sheets else 0
    unit = sheet_unit(audit, first)
    allowance = allowance or ALLOWANCES[unit]
    every = find_parts(audit)
    mine = _real_parts(every, audit)
    ground = SizeGround.of(audit, every)
    holds = find_holds(audit, mine)
    bought = [p for p in mine if is_bought(p)]
    parts = tuple(_shop_part(p, ground, holds, allowance) for p in mine if p not in bought)
    where = "whole plan" if len(audit.sheets) != 1 else f"sheet {first}"
    return ShopList(
        name=audit.name,
        coverage=say_coverage(audit.coverage, where),
        parts=parts,
        holds=holds,
        set_ups=group_set_ups(parts),
        accounts=_account(audit, mine),
        general=general_findings(audit, holds),
        allowance=allowance,
        metric=unit is Unit.MM,
        bought=tuple(row.text for p in bought for row in p.rows),
    )


def _real_parts(parts: Sequence[PlanPart], audit: Audit) -> tuple[PlanPart, ...]:
    """Leave out titles that are no parts: where a plan lists its parts, the list says which are."""
    given = {p.name for p in audit.parts}
    has_list = any(p.rows for p in parts)
    return tuple(
        p for p in parts if p.rows or p.counts or p.name in given or (p.drawings and not has_list)
    )


def is_bought(part: PlanPart) -> bool:
    """Tell whether a part is hardware that nobody makes: a wooden hinge has a drawing.

    Parameters
    ----------
    part : PlanPart

    Returns
    -------
    bool
        By the last word of its name: SCREW BLOCK is made.

    Examples
    --------
    >>> is_bought(PlanPart(name="WOOD SCREWS #8")), is_bought(PlanPart(name="SCREW BLOCK"))
    (True, False)
    """
    words = [w for w in read_words(part.name) if w.isalpha()]
    return not part.drawings and bool(words) and words[-1] in HARDWARE


def _shop_part(
    part: PlanPart, ground: SizeGround, holds: Iterable[Hold], allowance: Length
) -> ShopPart:
    audit, given = ground.audit, ground.given.get(part.name)
    sizes = finish_sizes(part, ground)
    count, count_says = _count(part, given)
    mine = tuple(h for h in holds if h.part == part.name)
    if count_says:
        mine += (Hold(part=part.name, says=count_says, code="count"),)
    decided = {d.dimension: d.value for d in audit.decisions if d.value is not None}
    outline = frozenset(s.size for s in sizes if s.size is not None and s.side != "T")
    material = given.material if given is not None and given.material else _material(part)
    tools = list_tools(part.dimensions, outline=outline, sizes=decided, round_stock=part.is_round)
    views = tuple(d.view.id for d in part.drawings if d.view is not None)
    sheets = {d.sheet for d in part.drawings} | {r.sheet for r in part.rows}
    return ShopPart(
        name=part.name,
        item=next((r.form.item for r in part.rows if r.form is not None), ""),
        count=count,
        count_says=count_says,
        spares=spares_of(count, sizes),
        material=material,
        sizes=sizes,
        rough=rough_sizes(sizes, allowance=allowance),
        tools=tools,
        grain=_grain(part, material, audit),
        cautions=_cautions(part, sizes, tools, material),
        holds=mine,
        sheets=tuple(sorted(sheets)),
        views=tuple(dict.fromkeys(views)),
        drawn=bool(part.drawings),
        listed=bool(part.rows),
        unchecked=sum(d.verdict in OPEN_VERDICTS for d in part.dimensions),
    )


def _count(part: PlanPart, given: Part | None) -> tuple[int | None, str]:
    if given is not None and given.count is not None:
        return given.count, ""
    count = count_of(part)
    if count is not None:
        return count, ""
    said = sorted({s.count for s in (*part.rows, *part.counts) if s.count is not None})
    if said:
        return None, f"the plan asks for {' and for '.join(map(str, said))}"
    return None, ""


def spares_of(count: int | None, sizes: Sequence[FinishedSize]) -> int:
    """Return the spares worth making: of small parts, and of those made in numbers.

    Parameters
    ----------
    count : int or None
    sizes : sequence of FinishedSize

    Returns
    -------
    int
        0 where a piece is neither likely to be lost or broken, nor one of many.
    """
    if count is None:
        return 0
    return spare_count(count) if count >= MANY or _is_small(sizes) else 0


def _longest_mm(sizes: Sequence[FinishedSize]) -> float | None:
    known = [float(s.size.to(Unit.MM)) for s in sizes if s.size is not None]
    faces = [s for s in sizes if s.side in ("W", "L")]
    return max(known) if known and all(s.size is not None for s in faces) else None


def _is_small(sizes: Sequence[FinishedSize]) -> bool:
    longest = _longest_mm(sizes)
    return longest is not None and longest <= SMALL_MM + 1e-6


def _material(part: PlanPart) -> str:
    return next((r.form.material for r in part.rows if r.form and r.form.material), "")


def _grain(part: PlanPart, material: str, audit: Audit) -> str:
    """Say what is known of the grain: the plan's own words first."""
    views = {d.view.id for d in part.drawings if d.view is not None}
    boxes = [v.box for v in audit.views if v.id in views]
    sheets = {v.sheet for v in audit.views if v.id in views}
    for statement in audit.statements:
        words = statement.text.upper()
        if "GRAIN" not in words:
            continue
        names = [n for _, n in find_names(words, [part.name])]
        near = any(box.overlaps(statement.box) for box in boxes)
        if names or (near and statement.sheet in sheets):
            return f"the plan says: {statement.text}"
    if part.is_round or part.is_disk:
        return ""
    if SHEET_GOODS & set(material.upper().split()):
        return "face grain along the length, unless the plan says otherwise"
    return "grain along the length, unless the plan says otherwise"


def _cautions(
    part: PlanPart, sizes: Sequence[FinishedSize], tools: Sequence[Tool], material: str
) -> tuple[str, ...]:
    """Say what the trade usually warns of; common practice, no source."""
    told = []
    if _is_small(sizes):
        told.append("small: cut and drill it on a longer piece, or hold it in a clamp or jig")
    thick = next((s.size for s in sizes if s.side == "T"), None)
    if thick is not None and float(thick.to(Unit.MM)) <= THIN_MM:
        told.append("thin: back it up with scrap")
    if part.is_round:
        told.append("measure the dowel: it is seldom round or of its nominal size")
        if any(t.kind in (ToolKind.DRILL, ToolKind.BORE) for t in tools):
            told.append("drill round stock in a V-block")
    elif any(t.kind is ToolKind.BORE for t in tools):
        told.append("clamp it to the drill press table before boring")
    if any(s.source.value == "scaled" for s in sizes):
        told.append("a size is scaled: cut a test piece first")
    if any(t.kind is ToolKind.SLOT for t in tools):
        told.append("fit slots to the stock as measured, in scrap first")
    if "PLY" in material.upper() and thick is not None:
        told.append("measure the plywood: it is often thinner than it is called")
    return tuple(told)


def group_set_ups(parts: Iterable[ShopPart]) -> tuple[SetUp, ...]:
    """Group parts by what is set once: thickness, width of cut, stop length, drill, angle.

    Parameters
    ----------
    parts : iterable of ShopPart

    Returns
    -------
    tuple of SetUp
        In the order of work; inside a kind the one with most uses first.
    """
    groups: dict[tuple[int, str], list[tuple[_Setting, bool]]] = defaultdict(list)
    for part in parts:
        for setting in _settings(part):
            groups[setting.order, setting.words].append((setting, bool(part.holds)))
    ordered = sorted(
        groups.values(), key=lambda g: (g[0][0].order, -len(g), -g[0][0].size, g[0][0].words)
    )
    return tuple(
        SetUp(
            kind=group[0][0].kind,
            setting=group[0][0].words,
            uses=tuple(dict.fromkeys(setting.use for setting, _ in group)),
            held=any(held for _, held in group),
        )
        for group in ordered
    )


@dataclass(frozen=True, slots=True)
class _Setting:
    """One thing set for a part: in which order of work, of which kind, how large (mm)."""

    order: int
    kind: str
    words: str
    use: str
    size: float = 0.0


_SIDES = {
    "T": (0, "Stock thickness"),
    "D": (1, "Round stock"),
    "W": (2, "Rip to width"),
    "L": (3, "Stop for length"),
}
DISK = (11, "Cut round")  # what has a diameter and a thickness is sawn out of a board
_TOOLS = {
    ToolKind.DRILL: (4, "Drill"),
    ToolKind.BORE: (4, "Drill"),
    ToolKind.TAP: (5, "Tap"),
    ToolKind.CUTTER: (6, "Radius"),
    ToolKind.SLOT: (7, "Slot"),
    ToolKind.ANGLE: (8, "Angle"),
    ToolKind.CHAMFER: (9, "Chamfer"),
    ToolKind.TURN: (10, "Turn"),
}


def _settings(part: ShopPart) -> list[_Setting]:
    """Everything that is set for a part."""
    made = "?" if part.count is None else str(part.count + part.spares)
    pieces = f"{made} × {part.name.lower()}"
    found = []
    for size in part.sizes:
        if size.size is None:
            continue
        order, kind = _SIDES[size.side]
        if size.side == "D" and len(part.sizes) > 1 and part.sizes[1].side == "T":
            order, kind = DISK
        words = with_unit(spell_length(size.size), size.size.unit)
        if (size.side == "T" or kind == "Round stock") and part.material:
            words = f"{words} {part.material.lower()}"
        large = float(size.size.to(Unit.MM))
        found.append(_Setting(order, kind, words, pieces, large))
    for tool in part.tools:
        order, kind = _TOOLS[tool.kind]
        words = tool.use if tool.kind is ToolKind.CUTTER else tool.name
        times = f" ({tool.times} on each)" if tool.times > 1 else ""
        unsure = " (not checked)" if tool.note == UNSURE else ""
        found.append(_Setting(order, kind, words, f"{pieces}{times}{unsure}"))
    return found


def _account(audit: Audit, parts: Sequence[PlanPart]) -> tuple[SheetAccount, ...]:
    """Go through every sheet: which parts are drawn there, what belongs to none."""
    names = name_views(audit)
    owned = {d.view.id for p in parts for d in p.drawings if d.view is not None}
    accounts = []
    for sheet in audit.sheets:
        views = [v for v in audit.views if v.sheet == sheet.id]
        loose = [names[v.id] for v in views if v.id not in owned and _counts(v.id, audit)]
        drawn = [p.name for p in parts if any(d.sheet == sheet.id for d in p.drawings)]
        undrawn = [
            p.name for p in parts if not p.drawings and any(r.sheet == sheet.id for r in p.rows)
        ]
        accounts.append(
            SheetAccount(
                sheet=sheet.id,
                name=sheet.name,
                views=len(views),
                parts=tuple(drawn),
                loose=tuple(loose),
                undrawn=tuple(undrawn),
            )
        )
    return tuple(accounts)


def _counts(view: int, audit: Audit) -> bool:
    """Whether a view shows anything of a part: a rule or a frame has no sizes."""
    kind = next(v.kind for v in audit.views if v.id == view)
    return kind is not ViewKind.UNKNOWN or any(d.view == view for d in audit.dimensions)
