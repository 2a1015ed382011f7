"""The planted mistakes, looked up in what was drawn: none can be listed that is not there."""

from __future__ import annotations

import truth as t

from drawing import sheet_1, sheet_2


def planted(sheets: tuple[t.Sheet, ...]) -> tuple[t.Mistake, ...]:
    """List the planted mistakes, sizes first."""
    one, two, three = sheets
    return (*_wrong_sizes(one, two, three), *_on_parts(one, two), *_on_print(one, three))


def _wrong_sizes(one: t.Sheet, two: t.Sheet, three: t.Sheet) -> tuple[t.Mistake, ...]:
    leg, lone = _wrong_in(one, "SIDE PLATE")
    (low,), (knob,) = _wrong_in(two, "LIFT STEP"), _wrong_in(three, "KNOB")
    return (
        _size("chain-short", "3 9/32 printed, 3 3/8 drawn, chained to 5 1/2", one, leg, "C101"),
        t.Mistake(
            id="chain-open",
            what="3/4 + 3 9/32 + 1 3/8 = 5 13/32, not 5 1/2",
            sheet=one.number,
            views=(leg.view,),
            dimensions=_chain_with(one, leg),
            capability="chains",
            codes=("C101",),
            verdict=None,
            suggestion=leg.true,
        ),
        _size("plate-holes-high", "1 5/8 printed, 1 1/2 drawn; nothing else says", one, lone),
        _size("step-low-edge", "2 7/8 printed, 3 drawn; nothing else says", two, low),
        _size("knob-length", "1 1/8 printed and listed, 1 3/8 drawn", three, knob),
    )


def _on_parts(one: t.Sheet, two: t.Sheet) -> tuple[t.Mistake, ...]:
    base = _sized(one, "BASE", "6 1/2")
    bore, rod = _sized(two, "CAM", "Ø 1/4 BORE"), _sized(two, "CAM ROD", "Ø 1/4")
    steps = f"MAKE {sheet_2.PRINTED_STEP_COUNT} lift steps; 8 cams carry one each"
    listed = f"listed {sheet_1.LISTED_BASE_LENGTH} long, drawn and printed 6 1/2"
    plate = "no thickness on the side plate; the general note gives 1/4"
    unsaid = "no thickness on the base; the note excepts it, the parts list is blank"
    turns = "the cam's Ø 1/4 bore must turn on the Ø 1/4 rod: no clearance"
    return (
        _on_view(
            "plate-thickness",
            plate,
            "missing",
            one,
            "SIDE PLATE",
            codes=("M101",),
            suggestion="1/4",
        ),
        _on_view("base-thickness", unsaid, "missing", one, "BASE", codes=("M102",)),
        _on_view(
            "too-few-steps", steps, "counts", two, "LIFT STEP", codes=("P103",), suggestion="8"
        ),
        _on_view(
            "base-length-listed",
            listed,
            "parts list",
            one,
            "BASE",
            base,
            codes=("P101",),
            suggestion="6 1/2",
        ),
        _on_view("cam-bore", turns, "fits", two, "CAM", bore, rod, codes=("F101",)),
    )


def _on_print(one: t.Sheet, three: t.Sheet) -> tuple[t.Mistake, ...]:
    half = "the ramp is drawn at half size; the sheet says full size"
    return (
        _on_view("ramp-half-size", half, "scale", one, "RAMP", codes=("S106",)),
        t.Mistake(
            id="photo-97",
            what="the photographed sheet is a copy at 97 %",
            sheet=three.number,
            views=(),
            dimensions=(),
            capability="print",
            codes=("S102",),
            verdict=None,
            suggestion=None,
        ),
    )


def _size(name: str, what: str, sheet: t.Sheet, wrong: t.Dimension, *also: str) -> t.Mistake:
    return t.Mistake(
        id=name,
        what=what,
        sheet=sheet.number,
        views=(wrong.view,),
        dimensions=(wrong.id,),
        capability="agreement",
        codes=("A101", *also),
        verdict="disagrees",
        suggestion=wrong.true,
    )


def _on_view(
    name: str,
    what: str,
    capability: str,
    sheet: t.Sheet,
    part: str,
    *dimensions: t.Dimension,
    codes: tuple[str, ...] = (),
    suggestion: str | None = None,
) -> t.Mistake:
    views = {d.view for d in dimensions} | set(_views_of(sheet, part))
    return t.Mistake(
        id=name,
        what=what,
        sheet=sheet.number,
        views=tuple(sorted(views)),
        dimensions=tuple(d.id for d in dimensions),
        capability=capability,
        codes=codes,
        verdict=None,
        suggestion=suggestion,
    )


def _views_of(sheet: t.Sheet, part: str) -> tuple[int, ...]:
    return tuple(v.id for v in sheet.views if v.part == part)


def _on(sheet: t.Sheet, part: str) -> list[t.Dimension]:
    return [d for d in sheet.dimensions if d.view in _views_of(sheet, part)]


def _wrong_in(sheet: t.Sheet, part: str) -> list[t.Dimension]:
    return [d for d in _on(sheet, part) if not d.right]


def _sized(sheet: t.Sheet, part: str, text: str) -> t.Dimension:
    (found,) = (d for d in _on(sheet, part) if d.text == text)
    return found


def _chain_with(sheet: t.Sheet, leg: t.Dimension) -> tuple[int, ...]:
    """Numbers of the legs on the leg's own line, left to right, then of the overall."""
    level = {p[1] for p in leg.points}
    across = [d for d in sheet.dimensions if d.view == leg.view and d.kind == "distance"]
    row = [d for d in across if {p[1] for p in d.points} == level]
    row.sort(key=lambda d: d.points[0][0])
    span = row[0].points[0][0], row[-1].points[1][0]
    (overall,) = (d for d in across if (d.points[0][0], d.points[1][0]) == span)
    return (*(d.id for d in row), overall.id)
