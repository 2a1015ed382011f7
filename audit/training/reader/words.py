"""Words printed on plan sheets: trade words, materials, parts, and ordinary English.

Compiled from common practice, no source; only their spelling matters to the generator.
"""

from __future__ import annotations

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

NOTE_WORDS = (
    "ALL", "PARTS", "PART", "UNLESS", "NOTED", "OTHERWISE", "SPECIFIED", "BREAK", "SHARP", "EDGES",
    "CORNERS", "ROUND", "SAND", "GLUE", "CUT", "FROM", "WITH", "GRAIN", "ACROSS", "MAKE", "DRILL",
    "AFTER", "BEFORE", "ASSEMBLY", "MATCH", "FIT", "SEE", "DETAIL", "SECTION", "VIEW", "SIDE",
    "FRONT", "TOP", "END", "REAR", "BACK", "LEFT", "RIGHT", "PLAN", "ELEVATION", "BOTTOM", "INSIDE",
    "OUTSIDE", "CENTER", "LINE", "LAYOUT", "PATTERN", "TEMPLATE", "FULL", "HALF", "SIZE", "SCALE",
    "SHEET", "OF", "DRAWN", "CHECKED", "DATE", "TITLE", "NO.", "NAME", "ITEM", "QTY", "QUANTITY",
    "MATERIAL", "DESCRIPTION", "REMARKS", "STEEL", "BRASS", "ALUMINUM", "ALUMINIUM", "C.R.S.",
    "CRS", "H.R.S.", "C.I.", "BRONZE", "COPPER", "OAK", "MAPLE", "WALNUT", "PINE", "BIRCH", "ASH",
    "CHERRY", "CEDAR", "POPLAR", "MDF", "PLYWOOD", "HARDBOARD", "ACRYLIC", "NYLON", "RUBBER",
    "FELT", "LEATHER", "BASE", "LID", "FRAME", "RAIL", "STILE", "LEG", "APRON", "SHELF", "PANEL",
    "WHEEL", "AXLE", "SHAFT", "CRANK", "HANDLE", "KNOB", "LEVER", "LINK", "ARM", "BRACKET", "PLATE",
    "BLOCK", "BUSHING", "BEARING", "COLLAR", "SPACER", "WASHER", "NUT", "SPRING", "GEAR", "PULLEY",
    "BELT", "CHAIN", "HOPPER", "CHUTE", "TRACK", "MARBLE", "BALL", "CAM", "FOLLOWER", "PAWL",
    "RATCHET", "RACK", "PINION", "WORM", "HOUSING", "COVER", "GASKET", "PISTON", "CYLINDER",
    "VALVE", "ROD", "TUBE", "ANGLE", "CHANNEL", "BEAM", "POST", "BRACE", "STRUT", "RIB", "SPAR",
    "FUSELAGE", "WING", "FLOOR", "ROOF", "DOOR", "WINDOW", "STAIR", "STEP", "RISER", "TREAD",
    "NOTE", "NOTES", "TOLERANCE", "TOLERANCES", "FRACTIONS", "DECIMALS", "ANGLES", "INCHES",
    "MILLIMETERS", "DIMENSIONS", "IN", "ARE", "AND", "THE", "TO", "BE", "FOR", "ON", "AT", "OR",
    "NOT", "HARDEN", "TEMPER", "ANNEAL", "PAINT", "PLATED", "ZINC", "CHROME", "BLACK", "OILED",
    "WELD", "BRAZE", "SOLDER", "CAST", "FORGE", "REMOVE", "BURRS", "DO", "SCRIBE", "PUNCH",
    "CENTERLINE", "DATUM", "EQUAL", "SPACED", "APPLY", "USE", "WOOD", "SCREWS", "NAILS", "BRADS",
    "DADO", "RABBET", "GROOVE", "TENON", "MORTISE", "DOVETAIL", "MITER", "NOTCH", "RELIEF",
    "COUNTERSINK", "COUNTERBORE", "CLEARANCE", "OPPOSITE", "HAND", "AS", "SHOWN", "EXCEPT",
    "LENGTH", "WIDTH", "HEIGHT", "DEPTH", "RADIUS", "DIAMETER", "THREAD", "LOCATION", "SUIT",
)  # fmt: skip

PREFIXES = (
    "R", "R ", "R", "Ø", "Ø ", "Ø", "R=", "R = ", "SR", "SØ", "SØ ", "CR", "□", "□ ", "t=", "t = ",
    "T=", "C", "⌴Ø", "⌴ Ø", "⌴", "⌵", "⌵Ø", "⌵ Ø", "↧", "↧ ", "D=", "DIA ", "DIA. ", "RAD ", "OD ",
    "ID ", "=", "L=", "H=", "W=", "R. ", "RAD. ", "DRILL ", "BORE ", "TAP ", "DEPTH ", "TO ", "+",
    "-", "℄ ", "PITCH ", "a=", "A=", "B=", "E=", "S=", "h=", "Ø=", "REAM ", "No. ", "NO. ", "#",
)  # fmt: skip

THREAD_TAILS = (
    "", "", "", " UNC", " UNF", " NC", " NF", " TAP", " THD", " THD.", " UNC-2B", " UNC-2A",
    " UNF-3A", "-2A", "-2B", " NC-2", " N.C.", " N.F.", " U.S.S.", " S.A.E.", " THREAD", " TAP THRU",
)  # fmt: skip
