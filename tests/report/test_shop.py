"""The shop list: sizes and where they come from, spares, tools, set-ups, holds, accounts."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from fractions import Fraction

import pytest

from audit.geometry import Box
from audit.lengths import FormKind, Length, Unit
from audit.records import Decision, DimensionKind, Part, Place, SizeFrom, ToolKind, Verdict
from audit.report.look_again import pick_look_again
from audit.report.shop import make_shop_list
from audit.report.shop_booklet import plan_shop, say_sizes
from audit.report.shop_tables import shop_csv, shop_json
from audit.report.shop_tools import name_drill
from audit.report.tiling import PAPERS
from tests.report.plan_with_parts import dimension, finding, make_plan, statement, view


def inches(text: str) -> Length:
    return Length(Fraction(text), Unit.IN)


def part(shop, name):
    return next(p for p in shop.parts if p.name == name)


def sources(one):
    return [(s.side, s.source) for s in one.sizes]


def test_printed_listed_and_missing_sizes_are_told_apart():
    shop = make_shop_list(make_plan())
    lever, axle = part(shop, "LEVER"), part(shop, "AXLE")
    assert say_sizes(lever) == "3/4 × 2 × 6 in"
    assert sources(lever) == [
        ("T", SizeFrom.LISTED),
        ("W", SizeFrom.PRINTED),
        ("L", SizeFrom.PRINTED),
    ]
    assert say_sizes(axle) == "Ø 1/4 × 5 1/2 in"
    assert {s for _, s in sources(axle)} == {SizeFrom.LISTED}
    assert (axle.drawn, axle.listed) == (False, True)


def test_what_was_decided_is_what_is_cut():
    decided = Decision(dimension=1, value=inches("49/8"), reason="publisher says so")
    lever = part(make_shop_list(make_plan(decisions=(decided,))), "LEVER")
    length = lever.sizes[2]
    assert (length.size, length.source) == (inches("49/8"), SizeFrom.DECIDED)
    assert "No. 1" in length.says
    assert lever.rough[2] == inches("51/8")  # a quarter inch over


def test_rough_sizes_are_larger_by_the_allowance_and_thickness_is_not():
    lever = part(make_shop_list(make_plan(), allowance=inches("1/2")), "LEVER")
    assert lever.rough == (inches("3/4"), inches("5/2"), inches("13/2"))


def test_a_measured_thickness_goes_before_the_listed_one():
    given = Part(name="WHEEL", measured_thickness=inches("31/64"), material="birch plywood")
    wheel = part(make_shop_list(replace(make_plan(), parts=(given,))), "WHEEL")
    assert wheel.sizes[0].size == inches("31/64")
    assert wheel.sizes[0].source is SizeFrom.MEASURED
    assert wheel.material == "birch plywood"


def test_small_parts_and_those_in_numbers_get_spares():
    """A tenth more, two at least: common practice, no source."""
    shop = make_shop_list(make_plan())
    assert [(p.name, p.count, p.spares) for p in shop.parts] == [
        ("LEVER", 2, 0),
        ("WHEEL", 4, 2),
        ("AXLE", 2, 0),
    ]


def test_holes_get_drills_and_the_outline_of_a_disk_gets_none():
    shop = make_shop_list(make_plan())
    lever = [(t.name, t.use, t.times) for t in part(shop, "LEVER").tools]
    assert ("17/64 in drill", "Ø 17/64 in, through", 2) in lever
    assert ("cutter of 3/4 in or less", "R 3/8 in", 1) in lever
    assert [t.name for t in part(shop, "WHEEL").tools] == ["letter F drill (0.257 in)"]


def test_a_wheel_listed_by_diameter_and_thickness_is_a_disk_and_no_board():
    text = "W  HUB WHEEL  2  3 DIA x 3/4  OAK"
    row = statement(text, at=Box(50, 500, 300, 510), kind=FormKind.PARTS_ROW)
    plan = make_plan()
    shop = make_shop_list(replace(plan, statements=(*plan.statements, row)))
    hub = part(shop, "HUB WHEEL")
    assert say_sizes(hub) == "Ø 3 × 3/4 in"
    assert not hub.grain
    hubs = [(s.kind, s.setting) for s in shop.set_ups if "4 × hub wheel" in s.uses]
    assert hubs == [("Stock thickness", "3/4 in oak"), ("Cut round", "3 in")]
    [cells] = [r for r in csv.DictReader(io.StringIO(shop_csv(shop))) if r["part"] == "HUB WHEEL"]
    assert (cells["T or D"], cells["W"], cells["L"], cells["rough W"]) == ("3/4", "Ø 3", "", "")


def axle_with(text: str, **more):
    """The tools of a round part whose drawing has a diameter across it."""
    plan = make_plan()
    box = Box(300, 200, 400, 260)
    ends = ((345, 210), (345, 230))
    size = dimension(7, text, 3, ends, kind=DimensionKind.DIAMETER)
    plan = replace(
        plan,
        views=(*plan.views, view(3, "AXLE", box)),
        dimensions=(*plan.dimensions, replace(size, **more)),
    )
    return [(t.kind, t.name) for t in part(make_shop_list(plan), "AXLE").tools]


def test_the_tenon_of_a_dowel_is_turned_and_a_hole_in_it_is_drilled():
    drilled = [(ToolKind.DRILL, "3/16 in drill")]
    assert axle_with("3/16 DIA") == [(ToolKind.TURN, "turn to Ø 3/16 in")]
    assert axle_with("3/16 DIA THRU") == drilled
    assert axle_with("2 HOLES 3/16 DIA") == drilled
    assert axle_with("3/16 DRILL") == drilled
    assert axle_with("3/16 DIA", sweep=360.0) == drilled
    assert axle_with("3/16 DIA BOTH ENDS")[0][0] is ToolKind.TURN
    assert axle_with("1/4 DIA") == []


def test_a_drill_for_a_size_nobody_checked_says_so():
    plan = make_plan()
    doubtful = replace(plan.dimensions[4], verdict=Verdict.NOT_CHECKED)
    plan = replace(plan, dimensions=(*plan.dimensions[:4], doubtful, *plan.dimensions[5:]))
    [drill] = part(make_shop_list(plan), "WHEEL").tools
    assert drill.note == "not checked: look at the drawing first"


def test_a_bore_as_wide_as_the_stock_is_thick_is_not_taken_for_its_thickness():
    plan = make_plan()
    bore = dimension(7, "Ø 1/2", 2, ((345, 80), (355, 80)), kind=DimensionKind.DIAMETER)
    plan = replace(plan, dimensions=(*plan.dimensions, bore))
    assert part(make_shop_list(plan), "WHEEL").sizes[0].source is SizeFrom.LISTED


def test_a_size_that_another_reaches_past_is_no_side_of_its_part():
    """The 2 in of the lever is a window's where 1/2 in runs from its top edge to the window."""
    above, within = ((58, 45), (58, 60)), ((58, 60), (58, 75))
    lever = unlisted_lever(dimension(7, "1/2", 1, above))
    assert (lever.sizes[1].size, lever.sizes[1].says) == (None, "none printed over all of it")
    assert unlisted_lever(dimension(7, "1/2", 1, within)).sizes[1].size == inches("2")


def test_a_bore_is_no_side_of_its_part():
    lever = unlisted_lever(without=2)
    assert (lever.sizes[1].size, lever.sizes[1].says) == (None, "not printed")


def unlisted_lever(*more, without=None):
    plan = make_plan()
    kept = tuple(d for d in plan.dimensions if d.id != without)
    return part(make_shop_list(replace(plan, statements=(), dimensions=(*kept, *more))), "LEVER")


@pytest.mark.parametrize(
    ("size", "name"),
    [
        # ANSI B94.11M twist drill sizes, from memory
        ("201/1000", "No. 7 drill (0.201 in)"),
        ("413/1000", "letter Z drill (0.413 in)"),
        ("1/64", "1/64 in drill"),
        ("1/4", "1/4 in drill"),
        ("1", "1 in bit"),
    ],
)
def test_drills_go_by_the_names_they_are_sold_under(size, name):
    assert name_drill(inches(size))[0] == name


def test_a_size_no_drill_has_is_said_to_have_none():
    name, note = name_drill(inches("26/100"))
    assert name == "drill of 0.26 in"
    assert "none of just this size" in note
    assert "letter G, 0.001 in larger" in note


def test_parts_that_share_a_setting_stand_together():
    plan = make_plan()
    given = (Part(name="WHEEL", nominal_thickness=inches("3/4"), measured_thickness=inches("3/4"),
                  material="OAK"),)  # fmt: skip
    shop = make_shop_list(replace(plan, parts=given))
    stock = next(s for s in shop.set_ups if s.setting == "3/4 in oak")
    assert stock.uses == ("2 × lever", "6 × wheel")
    assert shop.set_ups[0].kind == "Stock thickness"


def test_open_findings_and_holds_come_first_and_name_their_parts():
    held = Decision(dimension=2, value=None, reason="asked", hold=True)
    plan = make_plan(
        decisions=(held,),
        findings=(
            finding(90, "A101", "6 in is printed, but it is drawn as 5.9.", 1),
            finding(91, "P103", "AXLE: the plan says 2, but the notes need 4."),
            finding(92, "S105", "plan.pdf is stretched."),
        ),
    )
    shop = make_shop_list(plan)
    assert [(h.part, h.code) for h in shop.holds] == [
        ("LEVER", ""),
        ("LEVER", "A101"),
        ("AXLE", "P103"),
    ]
    assert shop.general == ("plan.pdf is stretched.",)
    booklet = plan_shop(shop, PAPERS["letter"])
    assert booklet.blocks[0].text == "Do not cut yet"
    assert booklet.opening.endswith("1 part of 3 may be cut now.")


def test_of_a_hole_and_a_pin_that_do_not_go_together_neither_is_cut():
    row = next(s for s in make_plan().statements if s.subject == "AXLE")
    at = Place(sheet=row.sheet, box=row.box)
    said = finding(90, "F101", "The hole of LEVER is for the AXLE.", 1, places=(at,))
    holds = make_shop_list(make_plan(findings=(said,))).holds
    assert [h.part for h in holds] == ["LEVER", "AXLE"]


def test_a_size_on_hold_that_no_part_owns_may_be_that_of_any_part():
    shop = make_shop_list(make_plan(findings=(finding(90, "A101", "6 in is not drawn so.", 1),)))
    assert "unless" not in plan_shop(shop, PAPERS["letter"]).opening
    shop = replace(shop, holds=(*shop.holds, replace(shop.holds[0], part="")))
    opening = plan_shop(shop, PAPERS["letter"]).opening
    assert opening.endswith(
        "may be cut now, unless a size on hold that is tied to no part is theirs."
    )


def test_a_part_that_lacks_a_size_may_not_be_cut_now():
    shop = make_shop_list(make_plan())
    assert plan_shop(shop, PAPERS["letter"]).opening.endswith("3 parts of 3 may be cut now.")
    unknown = replace(shop.parts[0].sizes[0], size=None, source=SizeFrom.MISSING)
    lever = replace(shop.parts[0], sizes=(unknown, *shop.parts[0].sizes[1:]))
    opening = plan_shop(replace(shop, parts=(lever, *shop.parts[1:])), PAPERS["letter"]).opening
    assert "2 parts of 3 may be cut now." in opening
    assert opening.endswith(" 1 part wants a size that is not known: ask before cutting.")


def test_screws_are_bought_and_get_no_spares_set_ups_or_grain():
    plan = make_plan()
    screw = replace(plan.statements[2], text="4 | 6 | WOOD SCREW | #8 x 1 1/4",
                    subject="WOOD SCREW", count=6)  # fmt: skip
    shop = make_shop_list(replace(plan, statements=(*plan.statements, screw)))
    assert shop.bought == ("4 | 6 | WOOD SCREW | #8 x 1 1/4",)
    assert "WOOD SCREW" not in [p.name for p in shop.parts]
    assert not any("screw" in use for s in shop.set_ups for use in s.uses)
    texts = [getattr(b, "text", "") for b in plan_shop(shop, PAPERS["letter"]).blocks]
    at = texts.index("Bought, not made")
    assert texts[at + 1] == "4 | 6 | WOOD SCREW | #8 x 1 1/4"
    assert json.loads(shop_json(shop))["bought"] == list(shop.bought)


def test_hardware_that_is_drawn_is_made():
    plan = make_plan()
    names = tuple(
        replace(s, subject="HINGE") if s.subject == "WHEEL" else s for s in plan.statements
    )
    views = tuple(replace(v, title="HINGE") if v.title == "WHEEL" else v for v in plan.views)
    shop = make_shop_list(replace(plan, statements=names, views=views))
    assert "HINGE" in [p.name for p in shop.parts]
    assert shop.bought == ()


def test_a_decision_settles_its_finding_but_not_a_chain_it_opens():
    decided = Decision(dimension=1, value=inches("6"), reason="printed stands")
    plan = make_plan(
        decisions=(decided,),
        findings=(
            finding(90, "A101", "6 in is printed, but it is drawn as 5.9.", 1),
            finding(91, "C106", "With what was decided a chain is open.", 1),
        ),
    )
    assert [h.code for h in make_shop_list(plan).holds] == ["C106"]


def test_a_count_that_was_given_settles_the_finding_about_counts():
    open_one = (finding(91, "P103", "AXLE: the plan says 2, but the notes need 4."),)
    plan = make_plan(findings=open_one)
    assert make_shop_list(plan).holds
    given = replace(plan, parts=(Part(name="AXLE", count=4),))
    shop = make_shop_list(given)
    assert not shop.holds
    assert part(shop, "AXLE").count == 4


def test_every_sheet_accounts_for_its_views_and_listed_parts():
    account = make_shop_list(make_plan()).accounts[0]
    assert account.parts == ("LEVER", "WHEEL")
    assert account.undrawn == ("AXLE",)
    assert not account.complete


def test_hostile_names_become_no_formula_and_no_second_row():
    plan = make_plan()
    evil = '=HYPERLINK("http://x")\n"'
    parts = (Part(name="WHEEL", material=evil), Part(name="@SUM(A1)", count=2))
    text = shop_csv(make_shop_list(replace(plan, parts=parts)))
    rows = list(csv.reader(io.StringIO(text)))
    assert len({len(row) for row in rows}) == 1
    assert not [cell for row in rows[1:] for cell in row if cell.startswith(("=", "@", "+", "-"))]


def test_json_holds_every_part_with_exact_sizes():
    data = json.loads(shop_json(make_shop_list(make_plan())))
    assert data["version"] == 1
    assert [p["name"] for p in data["parts"]] == ["LEVER", "WHEEL", "AXLE"]
    assert data["parts"][0]["sizes"][0]["size"] == {"value": "3/4", "unit": "in"}


def test_held_sizes_are_looked_at_first():
    held = Decision(dimension=2, value=None, reason="asked", hold=True)
    plan = make_plan(decisions=(held, Decision(dimension=1, value=inches("6"))))
    wrong = replace(plan.dimensions[2], verdict=Verdict.DISAGREES)
    plan = replace(plan, dimensions=(*plan.dimensions[:2], wrong, *plan.dimensions[3:]))
    picked = pick_look_again(plan, make_shop_list(plan))
    assert [d.id for d in picked] == [2, 3, 1]


def test_a_plan_without_parts_still_makes_a_sheet():
    bare = replace(make_plan(), statements=(), views=(), dimensions=())
    shop = make_shop_list(bare)
    assert shop.parts == ()
    assert plan_shop(shop, PAPERS["a4"]).blocks
    assert shop_csv(shop).count("\r\n") == 1
