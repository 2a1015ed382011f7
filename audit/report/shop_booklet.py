"""The shop sheet as a booklet: holds first, cut list, set-ups, part by part, all accounted for."""

from __future__ import annotations

from collections.abc import Iterable

from audit.records import (
    Block,
    Booklet,
    Bullet,
    Cell,
    Column,
    Heading,
    Hold,
    Paragraph,
    Rgb,
    Severity,
    ShopList,
    ShopPart,
    SizeFrom,
    Table,
    Tool,
)
from audit.report.phrases import CAUTIONS, SEVERITY_STYLES, count_of, spell_length, with_unit
from audit.report.tiling import Paper

ALERT: Rgb = (0.835, 0.369, 0.0)
PT_PER_MM = 72 / 25.4
_STOP = SEVERITY_STYLES[Severity.ERROR]
QUIET = (SizeFrom.PRINTED,)  # a size that comes from here needs no word
CUT_LIST = (
    Column(head="", share=0.035),
    Column(head="Part", share=0.235),
    Column(head="Make", share=0.085),
    Column(head="Stock", share=0.15),
    Column(head="Finished T × W × L", share=0.30),
    Column(head="Rough", share=0.175),
    Column(head="Sheet", share=0.06),
)
SET_UPS = (
    Column(head="", share=0.035),
    Column(head="Set-up", share=0.16),
    Column(head="Setting", share=0.22),
    Column(head="For", share=0.585),
)


def plan_shop(
    shop: ShopList,
    paper: Paper,
    *,
    look_again: tuple[Block, ...] = (),
    outside: tuple[Block, ...] = (),
    laid: tuple[Block, ...] = (),
) -> Booklet:
    """Compose the shop sheet.

    Parameters
    ----------
    shop : ShopList
    paper : Paper
    look_again : tuple of Block
        From `look_again_blocks`; its pages come last.
    outside : tuple of Block
        What other owners report, from `outside_blocks`.
    laid : tuple of Block
        Pieces that were laid on the drawing.

    Returns
    -------
    Booklet
    """
    return Booklet(
        title=shop.name,
        subtitle="Shop sheet: what to cut, to which size, with which set-up",
        opening=_opening(shop),
        page_width=paper.width * PT_PER_MM,
        page_height=paper.height * PT_PER_MM,
        blocks=(
            *_holds(shop),
            *outside,
            *_cut_list(shop),
            *_bought(shop),
            *_set_ups(shop),
            *_part_by_part(shop),
            *laid,
            *_accounts(shop),
            *_cautions(),
            *look_again,
        ),
        foot="Printed dimensions govern. Cut a test piece first.",
    )


def _opening(shop: ShopList) -> str:
    """What was checked and what may be cut; a size on hold that no part owns may be any part's."""
    first = shop.coverage[:1].upper() + shop.coverage[1:]
    free = [p for p in shop.parts if not p.holds]
    ready = sum(all(s.size is not None for s in p.sizes) for p in free)
    loose = ready > 0 and any(not hold.part for hold in shop.holds)
    unless = ", unless a size on hold that is tied to no part is theirs" if loose else ""
    wanting = _wanting(len(free) - ready)
    return (
        f"{first}. {count_of(ready, 'part', 'parts')} of {len(shop.parts)} may be cut now{unless}."
        f"{wanting}"
    )


def _wanting(parts: int) -> str:
    if not parts:
        return ""
    wants = "part wants" if parts == 1 else "parts want"
    return f" {parts} {wants} a size that is not known: ask before cutting."


def _holds(shop: ShopList) -> list[Block]:
    blocks: list[Block] = [Heading(text="Do not cut yet")]
    if not shop.holds:
        none = "Nothing is on hold. What was not checked is still not right: see the coverage."
        blocks.append(Paragraph(text=none))
    blocks += [_hold(hold) for hold in shop.holds]
    if shop.general:
        blocks.append(Heading(text="About the sheets", level=2))
        blocks += [Bullet(text=text) for text in shop.general]
    return blocks


def _hold(hold: Hold) -> Bullet:
    number = hold.dimension if hold.dimension is not None else hold.finding
    lines = (f"Suggestion: {hold.suggestion}",) if hold.suggestion else ()
    return Bullet(
        head=hold.part.title() if hold.part else "A size that is tied to no part",
        text=hold.says,
        lines=lines,
        style=_STOP,
        label="" if number is None else str(number),
        tick=True,
        loud=True,
    )


def _cut_list(shop: ShopList) -> list[Block]:
    allowance = with_unit(spell_length(shop.allowance), shop.allowance.unit)
    return [
        Heading(text="Cut list", aside=f"rough = {allowance} over, in width and length"),
        Table(columns=CUT_LIST, rows=tuple(_row(p) for p in shop.parts)),
        Paragraph(
            text="Numbers without a word are printed on a drawing. “Listed” stands in the parts "
            "list only; “decided” and “scaled” were chosen here. Spares: a tenth more, two at "
            "least, of small parts and of those made in numbers.",
            size=8.5,
            soft=True,
        ),
    ]


def _bought(shop: ShopList) -> list[Block]:
    if not shop.bought:
        return []
    rows = [Bullet(text=row, tick=True) for row in shop.bought]
    return [Heading(text="Bought, not made", aside="as the parts list has it", level=2), *rows]


def _row(part: ShopPart) -> tuple[Cell, ...]:
    held = bool(part.holds)
    name = f"{part.item}  {part.name.title()}".strip()
    lines = ["HOLD: see the first page"] if held else []
    if part.unchecked:
        lines.append(f"{count_of(part.unchecked, 'size', 'sizes')} of it not sure")
    if not part.drawn:
        lines.append("listed, not tied to a drawing")
    if not part.listed:
        lines.append("drawn, not in the parts list")
    return (
        Cell(tick=True),
        Cell(text=name, bold=True, lines=tuple(lines), colour=ALERT if held else None),
        Cell(text=_make(part), lines=_spares(part)),
        Cell(text=_stock(part) or "not given", soft=not _stock(part), lines=()),
        Cell(text=say_sizes(part), lines=tuple(_words(part)), bold=True),
        Cell(text=_rough(part)),
        Cell(text=", ".join(map(str, part.sheets)), soft=True),
    )


def _make(part: ShopPart) -> str:
    return "?" if part.count is None else str(part.count)


def _spares(part: ShopPart) -> tuple[str, ...]:
    return (f"+ {part.spares} spare",) if part.spares else ()


def _stock(part: ShopPart) -> str:
    return part.material.lower()


def say_sizes(part: ShopPart) -> str:
    """Say the finished sizes of a part in one line: ``1/4 × 2 3/16 × 3 1/4 in``."""
    spelled, unit = [], ""
    for size in part.sizes:
        prefix = "Ø " if size.side == "D" else ""
        if size.size is None:
            spelled.append("?")
        else:
            spelled.append(f"{prefix}{spell_length(size.size)}")
            unit = size.size.unit.value
    return f"{' × '.join(spelled)} {unit}".strip()


def _words(part: ShopPart) -> Iterable[str]:
    """Say what sizes come from, those alike in one line: ``T, W: listed only``."""
    sides: dict[str, list[str]] = {}
    for size in part.sizes:
        if size.source not in QUIET:
            sides.setdefault(size.says or size.source.value, []).append(size.side)
    return (f"{', '.join(names)}: {says}" for says, names in sides.items())


def _rough(part: ShopPart) -> str:
    known = [r for r in part.rough if r is not None]
    if len(known) < len(part.rough) or not known:
        return "–"
    sides = [s for s, size in zip(part.rough, part.sizes, strict=True) if size.side in ("W", "L")]
    unit = known[0].unit.value
    if not sides:
        return "–"
    return f"{' × '.join(spell_length(s) for s in sides if s is not None)} {unit}"


def _set_ups(shop: ShopList) -> list[Block]:
    rows = []
    last = ""
    for set_up in shop.set_ups:
        kind = set_up.kind if set_up.kind != last else ""
        last = set_up.kind
        held = ("waits for a part on hold",) if set_up.held else ()
        rows.append(
            (
                Cell(tick=True),
                Cell(text=kind, soft=True),
                Cell(text=set_up.setting, bold=True, lines=held),
                Cell(text=", ".join(set_up.uses)),
            )
        )
    if not rows:
        return []
    aside = "one setting, all parts that share it"
    return [Heading(text="Set-ups", aside=aside), Table(columns=SET_UPS, rows=tuple(rows))]


def _part_by_part(shop: ShopList) -> list[Block]:
    blocks: list[Block] = [Heading(text="Part by part", aside="drills, cutters, grain, cautions")]
    for part in shop.parts:
        lines = [_tool_line(tool) for tool in part.tools]
        lines += [part.grain] if part.grain else []
        lines += list(part.cautions)
        sizes = say_sizes(part)
        head = (
            f"{part.name.title()}  ({_make(part)}{' + ' + str(part.spares) if part.spares else ''})"
        )
        held = "On hold. " if part.holds else ""
        blocks.append(Bullet(head=head, text=f"{held}{sizes}", lines=tuple(lines), tick=True))
    return blocks


def _tool_line(tool: Tool) -> str:
    times = f", {tool.times} times" if tool.times > 1 else ""
    note = f" ({tool.note})" if tool.note else ""
    use = f": {tool.use}" if tool.use not in tool.name else ""
    return f"{tool.name}{use}{times}{note}"


def _accounts(shop: ShopList) -> list[Block]:
    blocks: list[Block] = [Heading(text="All parts accounted for", aside="sheet by sheet")]
    for account in shop.accounts:
        drawn = ", ".join(name.title() for name in account.parts) or "no part"
        lines = []
        if account.loose:
            lines.append(f"belongs to no part: {', '.join(account.loose)}")
        if account.undrawn:
            listed = ", ".join(name.title() for name in account.undrawn)
            lines.append(f"listed here, tied to no drawing: {listed}")
        if account.complete:
            lines.append("every view belongs to a part")
        blocks.append(
            Bullet(
                head=f"Sheet {account.sheet}: {account.name}",
                text=f"{count_of(account.views, 'view', 'views')}; drawn: {drawn}",
                lines=tuple(lines),
                tick=True,
            )
        )
    return blocks


def _cautions() -> list[Block]:
    return [Heading(text="Cautions"), *(Bullet(text=text) for text in CAUTIONS)]
