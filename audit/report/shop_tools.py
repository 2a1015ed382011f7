"""Drills, cutters and settings that printed sizes ask for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from audit.lengths import Callout, CalloutKind, Length, Mark, Unit
from audit.lengths.tables import drill_sizes
from audit.records import Dimension, DimensionKind, Tool, ToolKind, Verdict
from audit.report.phrases import spell_length, with_unit

LARGEST_DRILL = {Unit.IN: Fraction(1, 2), Unit.MM: Fraction(13)}  # of common sets; no source
DRILL_STEP = {Unit.IN: 64, Unit.MM: 10}  # steps of common sets: 1/64 in, 0.1 mm
SAME_DRILL = Fraction(1, 2000)  # in; named drills that differ less are one (letter E, 1/4)
UNSURE = "not checked: look at the drawing first"
SLOT_WORDS = frozenset(("SLOT", "DADO", "GROOVE", "RABBET", "REBATE", "KERF", "NOTCH"))
ROUND = (CalloutKind.DIAMETER, CalloutKind.RADIUS)
HOLE_MARKS = frozenset(
    {
        *(Mark.THROUGH, Mark.DEEP, Mark.DRILL, Mark.BORE, Mark.REAM, Mark.TAP, Mark.INSIDE),
        *(Mark.COUNTERBORE, Mark.COUNTERSINK, Mark.SPOTFACE, Mark.CLEARANCE, Mark.BOLT_CIRCLE),
    }
)


def list_tools(
    dimensions: Iterable[Dimension],
    *,
    outline: frozenset[Length],
    sizes: dict[int, Length],
    round_stock: bool = False,
) -> tuple[Tool, ...]:
    """List what the printed sizes of a part's drawings ask for.

    Parameters
    ----------
    dimensions : iterable of Dimension
        Of all its drawings.
    outline : frozenset of Length
        Diameters that are the part's own outline, not holes.
    sizes : dict of int to Length
        Decided sizes, by dimension.
    round_stock : bool
        Whether the part is of round stock: a diameter drawn across it is turned, not drilled.

    Returns
    -------
    tuple of Tool
        Alike ones once, in the order of the drawings.
    """
    tools: dict[tuple[str, str], Tool] = {}
    for dimension in dimensions:
        callout = dimension.reading.callout if dimension.reading is not None else None
        if callout is None or callout.reference or callout.size is None:
            continue
        size = sizes.get(dimension.id, callout.size)
        turned = round_stock and _is_turned(dimension, callout) and size not in outline
        found = (
            [_turn(dimension, callout, size)]
            if turned
            else _tools_of(dimension, callout, size, outline)
        )
        for tool in found:
            told = replace(tool, note=UNSURE) if _is_unsure(dimension) else tool
            tools.setdefault((tool.key, tool.use), told)
    return tuple(tools.values())


def _is_turned(dimension: Dimension, callout: Callout) -> bool:
    """Whether a diameter on round stock is that of a tenon or neck: drawn across, and no hole.

    A diameter without an arc is drawn as a length; what says drill, hole or through is a hole.
    """
    across = dimension.sweep is None and len(dimension.ends) > 1
    says_hole = callout.drill or callout.thread or callout.further or callout.second
    is_hole = bool(says_hole or callout.noun or HOLE_MARKS & callout.marks)
    return dimension.kind is DimensionKind.DIAMETER and across and not is_hole


def _turn(dimension: Dimension, callout: Callout, size: Length) -> Tool:
    diameter = size * 2 if callout.kind is CalloutKind.RADIUS else size
    return Tool(
        kind=ToolKind.TURN,
        name=f"turn to Ø {_spell(diameter)}",
        key=f"turn {diameter.to(Unit.MM).value}",
        use=f"Ø {_spell(diameter)}",
        times=callout.count or 1,
        note="as drawn, the outside of a tenon or neck and no hole: look at the drawing",
        dimension=dimension.id,
    )


def _is_unsure(dimension: Dimension) -> bool:
    """Whether a size was read by a machine only, and nothing agreed with it."""
    reading = dimension.reading
    sure = reading is not None and reading.confirmed
    return dimension.verdict is Verdict.NOT_CHECKED and not sure


def _tools_of(
    dimension: Dimension, callout: Callout, size: Length, outline: frozenset[Length]
) -> list[Tool]:
    times, number = callout.count or 1, dimension.id
    found: list[Tool] = []
    if callout.thread is not None:
        return [_tap(callout, times, number)]
    if size.unit is Unit.DEG:
        return _angle(dimension, size, times)
    if dimension.kind is DimensionKind.DIAMETER and size not in outline:
        diameter = size * 2 if callout.kind is CalloutKind.RADIUS else size
        found.append(_drill(diameter, callout, times, number))
    if dimension.kind is DimensionKind.RADIUS:
        found.append(_cutter(size, times, number))
    if SLOT_WORDS & set(callout.noun.replace("S ", " ").split()):
        found.append(_slot(size, callout, times, number))
    if dimension.kind is DimensionKind.CHAMFER:
        found.append(_chamfer(size, callout, times, number))
    for further in callout.further:
        if further.thread is not None:
            found.append(_tap(further, times, number))
        elif further.size is not None and further.marks & {Mark.COUNTERBORE, Mark.COUNTERSINK}:
            found.append(_drill(further.size, further, times, number))
    return found


def _spell(size: Length) -> str:
    return with_unit(spell_length(size), size.unit)


def name_drill(size: Length) -> tuple[str, str]:
    """Name the drill of a diameter, and say what to know where there is none of just this size.

    Parameters
    ----------
    size : Length

    Returns
    -------
    (str, str)
        The name, and a note or nothing.

    Examples
    --------
    >>> name_drill(Length(Fraction(3, 16), Unit.IN))
    ('3/16 in drill', '')
    >>> name_drill(Length(Fraction(257, 1000), Unit.IN))
    ('letter F drill (0.257 in)', '')
    >>> name_drill(Length(Fraction(26, 100), Unit.IN))
    ('drill of 0.26 in', 'none of just this size; nearest letter G, 0.001 in larger')
    >>> name_drill(Length(Fraction(6), Unit.MM)), name_drill(Length(Fraction(3, 4), Unit.IN))[0]
    (('6 mm drill', ''), '3/4 in bit')
    """
    spelled = _spell(size)
    if size.value > LARGEST_DRILL[size.unit]:
        return f"{spelled} bit", "Forstner or spade bit"
    if (size.value * DRILL_STEP[size.unit]).denominator == 1:
        return f"{spelled} drill", ""
    if size.unit is Unit.MM:
        return f"drill of {spelled}", "none of just this size in common sets"
    name, diameter = _nearest(size.value)
    if diameter == size.value:
        return f"{name} drill ({spelled})", ""
    way = "larger" if diameter > size.value else "smaller"
    note = f"none of just this size; nearest {name}, {_thousandths(diameter - size.value)} {way}"
    return f"drill of {spelled}", note


def _thousandths(gap: Fraction) -> str:
    return f"{float(abs(gap)):.4f}".rstrip("0").ljust(5, "0") + " in"


def _nearest(value: Fraction) -> tuple[str, Fraction]:
    """Nearest drill by name, letter, number or 64th of an inch."""
    known = {_say_name(name): size.value for name, size in drill_sizes().items()}
    known |= {_spell(Length(Fraction(k, 64), Unit.IN)): Fraction(k, 64) for k in range(1, 33)}
    return min(known.items(), key=lambda item: (abs(item[1] - value), item[0]))


def _say_name(name: str) -> str:
    return f"letter {name}" if name.isalpha() else f"No. {name}"


def _drill(size: Length, callout: Callout, times: int, number: int) -> Tool:
    name, note = name_drill(size)
    if callout.drill:
        name, note = f"{_say_name(callout.drill)} drill ({_spell(size)})", ""
    words = _hole_words(callout)
    kind = ToolKind.BORE if size.value > LARGEST_DRILL[size.unit] else ToolKind.DRILL
    return Tool(
        kind=kind,
        name=name,
        key=f"drill {size.to(Unit.MM).value}",
        use=f"Ø {_spell(size)}{words}",
        times=times,
        note=note,
        dimension=number,
    )


def _hole_words(callout: Callout) -> str:
    """Say how a hole goes: through, how deep, counterbored."""
    words = ""
    if Mark.COUNTERBORE in callout.marks:
        words += ", counterbore"
    if Mark.COUNTERSINK in callout.marks:
        words += ", countersink"
    if Mark.THROUGH in callout.marks:
        words += ", through"
    depth = callout.second
    if depth is not None and depth.unit is not Unit.DEG:
        words += f", {_spell(depth)} deep"
    return words


def _tap(callout: Callout, times: int, number: int) -> Tool:
    thread = callout.thread
    assert thread is not None  # the caller looked
    pitch = f"-{thread.threads_per_inch}" if thread.threads_per_inch is not None else ""
    name = f"{thread.size}{pitch}"
    wood = thread.series == "wood"
    return Tool(
        kind=ToolKind.TAP,
        name=f"{name} wood screw: pilot hole" if wood else f"{name} tap",
        key=f"tap {name}",
        use=callout.text,
        times=times,
        note="try the pilot hole in scrap" if wood else "drill the tap hole first",
        dimension=number,
    )


def _cutter(size: Length, times: int, number: int) -> Tool:
    return Tool(
        kind=ToolKind.CUTTER,
        name=f"cutter of {_spell(size * 2)} or less",
        key=f"radius {size.to(Unit.MM).value}",
        use=f"R {_spell(size)}",
        times=times,
        note="where it is an inside corner; sand or saw an outside one",
        dimension=number,
    )


def _slot(size: Length, callout: Callout, times: int, number: int) -> Tool:
    return Tool(
        kind=ToolKind.SLOT,
        name=f"cutter of {_spell(size)}",
        key=f"slot {size.to(Unit.MM).value}",
        use=f"{callout.noun.lower()} {_spell(size)}",
        times=times,
        note="fit it to the measured thickness of what goes in",
        dimension=number,
    )


def _chamfer(size: Length, callout: Callout, times: int, number: int) -> Tool:
    angle = callout.second if callout.second is not None else Length(Fraction(45), Unit.DEG)
    return Tool(
        kind=ToolKind.CHAMFER,
        name=f"{spell_length(angle)}° chamfer",
        key=f"chamfer {angle.value}",
        use=f"{_spell(size)} wide",
        times=times,
        dimension=number,
    )


def _angle(dimension: Dimension, size: Length, times: int) -> list[Tool]:
    if size.value % 90 == 0:
        return []
    name = f"set {spell_length(size)}°"
    return [
        Tool(
            kind=ToolKind.ANGLE,
            name=name,
            key=f"angle {size.value}",
            use=f"{spell_length(size)}°",
            times=times,
            dimension=dimension.id,
        )
    ]
