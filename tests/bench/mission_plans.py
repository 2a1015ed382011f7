"""Invented plans with one mistake planted in turn, of the kinds that cost stock.

A chain that does not add up, two views that disagree, a size nobody wrote, a count that the
drawing does not show, a list that asks for fewer than there are places, a hole its pin cannot
enter. Each plan is drawn right when nothing is planted.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

from tests.bench.mission_sheets import Board, Sheet

LIST = ("ITEM", "PART", "QTY", "T", "W", "L", "MATERIAL")
WIDTHS = (36.0, 110.0, 36.0, 44.0, 50.0, 60.0, 110.0)

Plan = Callable[[str], Sheet]


def peg_rack(slip: str) -> Sheet:
    """A rail with pegs, in shop fractions, half size."""
    sheet = Sheet()
    rail = Board(sheet, (110.0, 270.0), 36.0)
    rail.outline(16, 2.5)
    spots = [2, 5, 8, 11, 14]
    drawn = [x for x in spots if not (slip == "count" and x == 11)]
    for x in drawn:
        rail.hole(x, 1.25, 0.5)
    steps = [0, *drawn, 16]
    for k, (a, b) in enumerate(itertools.pairwise(steps)):
        text = "3 1/4" if slip == "chain" and k == 2 else str(b - a)
        rail.wide(a, b, text, off=34, y=2.5)
    rail.wide(0, 16, "16", off=62, y=2.5)
    rail.tall(0, 1.25, "1 1/4", off=26)
    if slip != "missing":
        rail.tall(0, 2.5, "2 1/2", off=58)
    rail.leader(5, 1.25, 0.25, "5X Ø 1/2", to=(34, 62))
    rail.title("RAIL", 16, off=90)
    end = Board(sheet, (860.0, 270.0), 36.0)
    end.outline(0.75, 2.5)
    end.wide(0, 0.75, "3/4", off=34, y=2.5)
    if slip != "missing":
        end.tall(0, 2.5, "2 3/4" if slip == "views" else "2 1/2", off=30)
    end.title("RAIL, END VIEW", 0.75, off=60)
    peg = Board(sheet, (110.0, 520.0), 36.0)
    thick = 0.625 if slip == "fit" else 0.5
    peg.outline(3.5, thick)
    peg.wide(0, 3.5, "3 1/2", off=30, y=thick)
    peg.tall(0, thick, "Ø 5/8" if slip == "fit" else "Ø 1/2", off=30)
    many = "4" if slip == "list" else "5"
    peg.title(f"PEG - MAKE {many}", 3.5, off=40)
    foot = Board(sheet, (420.0, 560.0), 36.0)
    foot.outline(4, 2.5)
    for x in (0.75, 3.25):
        foot.hole(x, 1.25, 0.1875)
    foot.wide(0, 0.75, "3/4", off=28, y=2.5)
    foot.wide(0.75, 3.25, "2 1/2", off=28, y=2.5)
    foot.wide(3.25, 4, "3/4", off=28, y=2.5)
    foot.wide(0, 4, "4", off=54, y=2.5)
    foot.tall(0, 2.5, "2 1/2", off=30)
    foot.leader(3.25, 1.25, 0.09375, "2X Ø 3/16", to=(50, 30))
    foot.title("BRACKET - MAKE 2", 4, off=40)
    dowel = "5/8" if slip == "fit" else "1/2"
    width = "" if slip == "missing" else "2 1/2"
    sheet.table(
        (720.0, 420.0),
        WIDTHS,
        [
            LIST,
            ("1", "RAIL", "1", "3/4", width, "16", "OAK"),
            ("2", "PEG", many, "", dowel, "3 1/2", "DOWEL"),
            ("3", "BRACKET", "2", "3/4", "2 1/2", "4", "OAK"),
        ],
    )
    sheet.note("ALL DIMENSIONS IN INCHES. SCALE 1:2", (720.0, 560.0))
    sheet.note("ONE PEG IS GLUED INTO EACH HOLE OF THE RAIL.", (720.0, 580.0))
    sheet.note("PEG RACK", (720.0, 640.0), 16.0)
    return sheet


def drawer(slip: str) -> Sheet:
    """A drawer in whole millimetres, 1:4."""
    sheet = Sheet()
    scale = 72 / 25.4 / 4
    front = Board(sheet, (110.0, 220.0), scale)
    front.outline(400, 140)
    front.wide(0, 400, "400", off=34, y=140)
    if slip != "missing":
        front.tall(0, 140, "140", off=34)
    front.hole(200, 70, 30)
    front.wide(0, 200, "200", off=-28)
    front.leader(200, 70, 15, "Ø30", to=(40, -20))
    front.title("DRAWER FRONT", 400, off=58)
    side = Board(sheet, (560.0, 220.0), scale)
    side.outline(450, 120)
    spots = [20, 40, 60, 80, 100]
    drawn = spots[:4] if slip == "count" else spots
    for y in drawn:
        side.hole(9, y, 8)
    side.wide(0, 450, "450", off=34, y=120)
    side.tall(0, 120, "120", off=70)
    for k, (a, b) in enumerate(zip([0, *drawn], [*drawn, 120], strict=True)):
        text = "22" if slip == "chain" and k == 2 else str(b - a)
        side.tall(a, b, text, off=36)
    side.leader(9, drawn[-1], 4, "5X Ø8", to=(60, 25))
    side.title("DRAWER SIDE - MAKE 2", 450, off=26)
    back = Board(sheet, (110.0, 430.0), scale)
    back.outline(364, 105)
    back.wide(0, 364, "364", off=34, y=105)
    back.tall(0, 105, "105", off=34)
    back.title("DRAWER BACK", 364, off=36)
    plan = Board(sheet, (560.0, 640.0), scale)
    plan.outline(400, 468)
    plan.wide(0, 400, "440" if slip == "views" else "400", off=34, y=468)
    plan.tall(0, 468, "468", off=34)
    plan.stroke((0, 18), (400, 18))
    plan.stroke((18, 18), (18, 468))
    plan.stroke((382, 18), (382, 468))
    plan.tall(0, 18, "18", off=-30, x=400)
    plan.tall(18, 468, "450", off=-30, x=400)
    plan.title("DRAWER, PLAN VIEW", 400, off=40)
    pin = Board(sheet, (110.0, 560.0), scale * 4)
    thick = 10 if slip == "fit" else 8
    pin.outline(40, thick)
    pin.wide(0, 40, "40", off=28, y=thick)
    pin.tall(0, thick, f"Ø{thick}", off=28)
    pin.title("DOWEL (FULL SIZE)", 40, off=34)
    many = "8" if slip == "list" else "10"
    height = "" if slip == "missing" else "140"
    sheet.table(
        (110.0, 640.0),
        WIDTHS,
        [
            LIST,
            ("1", "DRAWER FRONT", "1", "18", height, "400", "OAK"),
            ("2", "DRAWER SIDE", "2", "18", "120", "450", "PLYWOOD"),
            ("3", "DRAWER BACK", "1", "18", "105", "364", "PLYWOOD"),
            ("4", "DOWEL", many, "", str(thick), "40", "BEECH DOWEL"),
        ],
    )
    sheet.note("ALL DIMENSIONS IN MM. SCALE 1:4", (880.0, 660.0))
    sheet.note("DOWELS ARE GLUED INTO THE DRAWER SIDES.", (880.0, 680.0))
    sheet.note("DRAWER", (880.0, 740.0), 16.0)
    return sheet


def wall_box(slip: str) -> Sheet:
    """A small wall box in centimetres with commas, 1:3."""
    sheet = Sheet()
    scale = 72 / 2.54 / 3
    side = Board(sheet, (120.0, 300.0), scale)
    side.outline(18.6, 22.4)
    side.wide(0, 18.6, "18,6", off=40, y=22.4)
    if slip != "missing":
        side.tall(0, 22.4, "22,4", off=70)
    rows = [2.2, 11.2, 20.2]
    spots = [(x, y) for x in (3.0, 15.6) for y in rows]
    drawn = [s for s in spots if not (slip == "count" and s == (15.6, 11.2))]
    for x, y in drawn:
        side.hole(x, y, 0.65)
    for k, (a, b) in enumerate(zip([0, *rows], [*rows, 22.4], strict=True)):
        if slip == "missing" and k == 3:
            continue
        text = f"{b - a:.1f}".replace(".", ",")
        side.tall(a, b, "9,6" if slip == "chain" and k == 1 else text, off=36)
    side.wide(0, 3, "3", off=-28)
    side.wide(3, 15.6, "12,6", off=-28)
    side.leader(15.6, 20.2, 0.325, "6X Ø0,65", to=(60, -20))
    side.title("SIDE", 18.6, off=56)
    front = Board(sheet, (470.0, 300.0), scale)
    front.outline(31.8, 22.4)
    front.wide(0, 31.8, "38,1" if slip == "views" else "31,8", off=40, y=22.4)
    if slip != "missing":
        front.tall(0, 22.4, "22,4", off=36)
    front.stroke((1.2, 0), (1.2, 22.4))
    front.stroke((30.6, 0), (30.6, 22.4))
    front.wide(0, 1.2, "1,2", off=-28)
    front.wide(1.2, 30.6, "29,4", off=-28)
    front.wide(30.6, 31.8, "1,2", off=-28)
    front.title("BOX, FRONT VIEW", 31.8, off=56)
    top = Board(sheet, (470.0, 620.0), scale)
    top.outline(31.8, 18.6)
    top.wide(0, 31.8, "31,8", off=40, y=18.6)
    top.tall(0, 18.6, "18,6", off=36)
    top.title("BOX, TOP VIEW", 31.8, off=40)
    pin = Board(sheet, (120.0, 520.0), scale * 3)
    thick = 0.8 if slip == "fit" else 0.6
    said = f"Ø{thick:.1f}".replace(".", ",")
    pin.outline(4.0, thick)
    pin.wide(0, 4.0, "4", off=30, y=thick)
    pin.tall(0, thick, said, off=30)
    many = "10" if slip == "list" else "12"
    pin.title("SHELF PIN (FULL SIZE)", 4.0, off=36)
    deep = "" if slip == "missing" else "22,4"
    sheet.table(
        (830.0, 430.0),
        (30.0, 100.0, 32.0, 36.0, 40.0, 46.0, 76.0),
        [
            LIST,
            ("1", "SIDE", "2", "1,2", "18,6", deep, "BIRCH PLY"),
            ("2", "SHELF", "3", "1,2", "17,4", "29,2", "BIRCH PLY"),
            ("3", "SHELF PIN", many, "", said[1:], "4", "STEEL ROD"),
        ],
    )
    sheet.note("ALL DIMENSIONS IN CM. SCALE 1:3", (830.0, 560.0))
    sheet.note("SHELF PINS SLIDE INTO THE SIDES.", (830.0, 580.0))
    sheet.note("WALL BOX", (830.0, 640.0), 16.0)
    return sheet


def cart(slip: str) -> Sheet:
    """A toy cart in decimal inches, half size."""
    sheet = Sheet()
    wheel = Board(sheet, (120.0, 300.0), 36.0)
    wheel.sheet.circle(wheel.at(2.5, 2.5), 2.5 * 36, 1.3)
    bore = 0.5 if slip == "fit" else 0.53125
    wheel.hole(2.5, 2.5, bore)
    for k in range(6):
        if slip == "count" and k == 4:
            continue
        angle = math.radians(60 * k + 30)
        wheel.hole(2.5 + 1.5 * math.cos(angle), 2.5 + 1.5 * math.sin(angle), 0.5)
    wheel.wide(0, 5, "Ø 5.000", off=40, y=5)
    first = (2.5 + 1.5 * math.cos(math.pi / 6), 2.5 + 1.5 * math.sin(math.pi / 6))
    wheel.leader(*first, 0.25, "6X Ø .500 EQ SP", to=(70, -40))
    wheel.leader(2.5, 2.5, bore / 2, "Ø .500" if slip == "fit" else "Ø .531", to=(120, 40))
    wheel.title("WHEEL - MAKE 4", 5, off=40)
    edge = Board(sheet, (420.0, 300.0), 36.0)
    edge.outline(0.75, 5)
    edge.wide(0, 0.75, ".750", off=40, y=5)
    edge.tall(0, 5, "5.500" if slip == "views" else "5.000", off=-34, x=0.75)
    edge.title("WHEEL, EDGE VIEW", 0.75, off=40)
    deck = Board(sheet, (560.0, 300.0), 36.0)
    deck.outline(12, 5)
    for x in (2.5, 9.5):
        deck.stroke((x - 0.25, 0), (x - 0.25, 5), dash="[5 2.5] 0")
        deck.stroke((x + 0.25, 0), (x + 0.25, 5), dash="[5 2.5] 0")
    deck.wide(0, 2.5, "2.500", off=36, y=5)
    deck.wide(2.5, 9.5, "7.250" if slip == "chain" else "7.000", off=36, y=5)
    deck.wide(9.5, 12, "2.500", off=36, y=5)
    deck.wide(0, 12, "12.000", off=64, y=5)
    if slip != "missing":
        deck.tall(0, 5, "5.000", off=36)
    deck.title("DECK", 12, off=40)
    axle = Board(sheet, (120.0, 520.0), 36.0)
    axle.outline(7, 0.5)
    axle.wide(0, 7, "7.000", off=30, y=0.5)
    axle.tall(0, 0.5, "Ø .500", off=30)
    axle.title("AXLE - MAKE 2", 7, off=36)
    wide = "" if slip == "missing" else "5.000"
    sheet.table(
        (560.0, 440.0),
        WIDTHS,
        [
            LIST,
            ("1", "DECK", "1", ".750", wide, "12.000", "MAPLE"),
            ("2", "WHEEL", "2" if slip == "list" else "4", ".750", "5.000", "5.000", "MAPLE"),
            ("3", "AXLE", "2", "", ".500", "7.000", "STEEL ROD"),
        ],
    )
    sheet.note("DIMENSIONS IN INCHES. SCALE 1:2", (560.0, 570.0))
    sheet.note("WHEELS TURN FREELY ON THE AXLES.", (560.0, 590.0))
    sheet.note("EACH AXLE CARRIES TWO WHEELS.", (560.0, 610.0))
    sheet.note("TOY CART", (560.0, 660.0), 16.0)
    return sheet


DEVELOPMENT: dict[str, Plan] = {
    "peg rack, inches": peg_rack,
    "drawer, mm": drawer,
    "wall box, cm": wall_box,
    "toy cart, decimals": cart,
}
SLIPS = ("chain", "views", "missing", "count", "list", "fit")
