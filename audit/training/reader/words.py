"""Words printed on plan sheets: trade words, materials, parts, and ordinary English.

Compiled from common practice, no source; only their spelling matters to the generator.
"""

from __future__ import annotations

from audit.networks.trade_words import TRADE_WORDS

SUFFIXES = (
    "R", "RAD", "RAD.", "R.", "DIA", "DIA.", "D", "D.", "TYP", "TYP.", "(TYP)", "(TYP.)", "REF",
    "REF.", "(REF)", "THRU", "THRU ALL", "DEEP", "DP", "DP.", "MAX", "MAX.", "MIN", "MIN.", "NTS",
    "N.T.S.", "EQ SP", "EQ. SP.", "EQUALLY SPACED", "B.C.", "BC", "O.C.", "OC", "PCD", "P.C.D.",
    "STK", "STK.", "STOCK", "LG", "LG.", "LONG", "WIDE", "THK", "THK.", "THICK", "HIGH", "SQ",
    "SQ.", "SQUARE", "HEX", "HEX.", "DRILL", "DR.", "REAM", "TAP", "BORE", "HOLE", "HOLES", "SLOT",
    "C'BORE", "CBORE", "C BORE", "C'SK", "CSK", "C'SINK", "SPOTFACE", "S.F.", "CHAMFER", "CHAM.",
    "FILLET", "KNURL", "KEYWAY", "KERF", "BEVEL", "TAPER", "DOWEL", "PIN", "RIVET", "SCREW", "BOLT",
    "PLY", "PLYWOOD", "BOTH SIDES", "BOTH ENDS", "EACH END", "EACH SIDE", "FAR SIDE", "NEAR SIDE",
    "ALL AROUND", "TO FIT", "TO SUIT", "APPROX", "APPROX.", "OPP", "OPP.", "OD", "O.D.", "ID",
    "I.D.", "BASIC", "CTRS", "CENTERS", "CENTRES", "ON CENTER", "CLEAR", "CLR", "CLR.", "STROKE",
    "TRAVEL", "PRESS FIT", "SLIP FIT", "DRIVE FIT", "LOOSE", "FINISH", "F.A.O.", "FAO", "GRIND",
    "ROUGH", "PITCH", "TEETH", "TURNS", "COILS", "GA", "GA.", "GAUGE", "WALL", "WIRE", "PIPE",
    "FLAT", "ROUND", "FACE", "BEND", "B.L.", "PLACES", "PL", "PLCS", "PLS", "REQ'D", "REQD", "PCS",
    "PC", "EA", "EACH", "PAIR", "SETS", "TIMES", "MATL", "MAT'L", "SIZE", "SPACES", "DIVISIONS",
)  # fmt: skip

NOTE_WORDS = tuple(sorted(TRADE_WORDS))

PREFIXES = (
    "R", "R ", "R", "Ø", "Ø ", "Ø", "R=", "R = ", "SR", "SØ", "SØ ", "CR", "□", "□ ", "t=", "t = ",
    "T=", "C", "⌴Ø", "⌴ Ø", "⌴", "⌵", "⌵Ø", "⌵ Ø", "↧", "↧ ", "D=", "DIA ", "DIA. ", "RAD ", "OD ",
    "ID ", "=", "L=", "H=", "W=", "R. ", "RAD. ", "DRILL ", "BORE ", "TAP ", "DEPTH ", "TO ", "+",
    "-", "℄ ", "PITCH ", "a=", "A=", "B=", "E=", "S=", "h=", "Ø=", "*", "REAM ", "No. ", "NO. ", "#",
)  # fmt: skip

THREAD_TAILS = (
    "", "", "", " UNC", " UNF", " NC", " NF", " TAP", " THD", " THD.", " UNC-2B", " UNC-2A",
    " UNF-3A", "-2A", "-2B", " NC-2", " N.C.", " N.F.", " U.S.S.", " S.A.E.", " THREAD", " TAP THRU",
)  # fmt: skip
