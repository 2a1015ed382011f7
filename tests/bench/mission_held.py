"""Invented plans with one mistake planted in turn, held out: looked at in total only."""

from __future__ import annotations

from tests.bench.mission_plans import LIST, WIDTHS, Plan
from tests.bench.mission_sheets import Board, Sheet


def stool(slip: str) -> Sheet:
    """A stool with rungs, in inches and fractions, quarter size."""
    sheet = Sheet(size=9.0)
    seat = Board(sheet, (120.0, 330.0), 18.0)
    seat.outline(14, 11)
    spots = [(2.0, 2.0), (12.0, 2.0), (2.0, 9.0), (12.0, 9.0)]
    for x, y in spots[: 3 if slip == "count" else 4]:
        seat.hole(x, y, 1.0)
    seat.wide(0, 2, "2", off=30, y=11)
    seat.wide(2, 12, "10 1/2" if slip == "chain" else "10", off=30, y=11)
    seat.wide(12, 14, "2", off=30, y=11)
    seat.wide(0, 14, "14", off=56, y=11)
    if slip != "missing":
        seat.tall(0, 11, "11", off=30)
    seat.leader(2.0, 2.0, 0.5, "(4) 1 DIA HOLES", to=(60, -34))
    seat.title("SEAT", 14, off=30)
    edge = Board(sheet, (470.0, 330.0), 18.0)
    edge.outline(14, 1.25)
    edge.wide(0, 14, "14 3/4" if slip == "views" else "14", off=30, y=1.25)
    edge.tall(0, 1.25, "1 1/4", off=30)
    edge.title("SEAT, FRONT VIEW", 14, off=34)
    leg = Board(sheet, (120.0, 500.0), 18.0)
    thick = 1.25 if slip == "fit" else 1.0
    leg.outline(16, thick)
    leg.wide(0, 16, "16", off=30, y=thick)
    leg.tall(0, thick, "1 1/4 DIA" if slip == "fit" else "1 DIA", off=24)
    many = "3" if slip == "list" else "4"
    leg.title(f"LEG - MAKE {many}", 16, off=34)
    rung = Board(sheet, (120.0, 620.0), 18.0)
    rung.outline(10, 0.625)
    rung.wide(0, 10, "10", off=30, y=0.625)
    rung.tall(0, 0.625, "5/8 DIA", off=24)
    rung.title("RUNG - MAKE 4", 10, off=34)
    sheet.table(
        (560.0, 470.0),
        WIDTHS,
        [
            LIST,
            ("A", "SEAT", "1", "1 1/4", "" if slip == "missing" else "11", "14", "ASH"),
            ("B", "LEG", many, "", "1 1/4" if slip == "fit" else "1", "16", "ASH DOWEL"),
            ("C", "RUNG", "4", "", "5/8", "10", "ASH DOWEL"),
        ],
    )
    sheet.note("SCALE 1:4. SIZES IN INCHES.", (560.0, 600.0))
    sheet.note("GLUE LEGS INTO THE SEAT.", (560.0, 620.0))
    sheet.note("STOOL", (560.0, 690.0), 18.0)
    return sheet


def tool_tray(slip: str) -> Sheet:
    """A tray in millimetres with a handle on pins, 1:3."""
    sheet = Sheet(size=11.0)
    scale = 72 / 25.4 / 3
    end = Board(sheet, (130.0, 260.0), scale)
    end.outline(180, 120)
    rows = [30, 60, 90]
    for y in rows[: 2 if slip == "count" else 3]:
        end.hole(10, y, 6)
        end.hole(170, y, 6)
    end.hole(90, 100, 25.5)
    end.wide(0, 180, "180", off=40, y=120)
    if slip != "missing":
        end.tall(0, 120, "120", off=72)
        for a, b in ((0, 30), (30, 60), (60, 90), (90, 120)):
            end.tall(a, b, "32" if slip == "chain" and a == 30 else "30", off=36)
    end.wide(0, 10, "10", off=-26)
    end.wide(10, 170, "160", off=-26)
    end.leader(170, 60, 3, "6 x Ø6", to=(70, 20))
    end.leader(90, 100, 12.75, "Ø25,5", to=(50, -40))
    end.title("END - 2 REQ'D", 180, off=60)
    top = Board(sheet, (560.0, 300.0), scale)
    top.outline(400, 180)
    top.stroke((12, 0), (12, 180))
    top.stroke((388, 0), (388, 180))
    top.wide(0, 400, "400", off=40, y=180)
    top.tall(0, 180, "108" if slip == "views" else "180", off=36)
    top.title("TRAY, TOP VIEW", 400, off=40)
    handle = Board(sheet, (130.0, 470.0), scale)
    thick = 28 if slip == "fit" else 25
    handle.outline(400, thick)
    handle.wide(0, 400, "400", off=34, y=thick)
    handle.tall(0, thick, f"Ø{thick}", off=30)
    handle.title("HANDLE - 1 REQ'D", 400, off=40)
    pin = Board(sheet, (130.0, 610.0), scale * 3)
    pin.outline(30, 6)
    pin.wide(0, 30, "30", off=30, y=6)
    pin.tall(0, 6, "Ø6", off=30)
    pin.title("PIN (1:1)", 30, off=36)
    many = "9" if slip == "list" else "12"
    sheet.table(
        (620.0, 420.0),
        WIDTHS,
        [
            LIST,
            ("1", "END", "2", "12", "" if slip == "missing" else "120", "180", "PINE"),
            ("2", "HANDLE", "1", "", str(thick), "400", "DOWEL"),
            ("3", "PIN", many, "", "6", "30", "BRASS ROD"),
        ],
    )
    sheet.note("DIMENSIONS IN MM. SCALE 1:3", (620.0, 540.0))
    sheet.note("PINS ARE PRESSED INTO THE ENDS.", (620.0, 560.0))
    sheet.note("HANDLE TURNS IN THE ENDS.", (620.0, 580.0))
    sheet.note("TOOL TRAY", (620.0, 650.0), 18.0)
    return sheet


HELD_OUT: dict[str, Plan] = {"stool, inches": stool, "tool tray, mm": tool_tray}
