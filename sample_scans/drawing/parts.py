"""The marble lift: plates that step up and down on eight cams, and lift marbles. Inches."""

from __future__ import annotations

from fractions import Fraction

# Side plate: a panel with rounded top corners and a tab that goes into the base.
PLATE_WIDTH = Fraction(11, 2)
PLATE_BODY = Fraction(17, 4)
PLATE_CORNER = Fraction(1, 2)
PLATE_END_TO_RAIL = Fraction(3, 4)
PLATE_RAIL_TO_ROD = Fraction(27, 8)
PLATE_ROD_TO_END = Fraction(11, 8)
PLATE_HOLES_UP = Fraction(3, 2)
TAB_LENGTH = Fraction(5, 2)
TAB_FROM_END = Fraction(3, 2)
TAB_DEPTH = Fraction(1, 2)
STOCK_THICKNESS = Fraction(1, 4)

BASE_LENGTH = Fraction(13, 2)
BASE_WIDTH = Fraction(15, 4)
MORTISE_FROM_EDGE = Fraction(5, 8)  # to its centre line
MORTISE_APART = Fraction(5, 2)
POST_HOLE = Fraction(3, 16)
POST_INSET = Fraction(3, 8)

RAMP_LENGTH = Fraction(9)
RAMP_WIDTH = Fraction(3, 2)
RAMP_HOLES = (Fraction(1), Fraction(9, 2), Fraction(8))

STEP_WIDTH = Fraction(35, 16)
STEP_HIGH = Fraction(13, 4)
STEP_LOW = Fraction(3)
STEP_SLOT = Fraction(5, 16)
STEP_SLOT_DEPTH = Fraction(9, 8)
STEP_SLOT_AT = Fraction(15, 16)

CAM = Fraction(7, 4)
CAM_BORE = Fraction(1, 4)
CAM_THROW = Fraction(5, 16)
PEG = Fraction(1, 8)
CAM_PEGS_APART = Fraction(1)
PEG_LENGTH = Fraction(1, 2)

ROD = Fraction(1, 4)
ROD_LENGTH = Fraction(33, 8)
ROD_PEG_AT = Fraction(3, 8)

RAIL = Fraction(1, 4)
RAIL_LENGTH = Fraction(14)
RAIL_TENON = Fraction(3, 16)
RAIL_TENON_LENGTH = Fraction(1, 2)
RAIL_GROOVE_AT = Fraction(7, 4)

HOPPER_HALF = Fraction(7, 4)
HOPPER_HEIGHT = Fraction(9, 4)
HOPPER_SLOPE_DEG = 30
HOPPER_HOLE_RADIUS = Fraction(5, 16)
HOPPER_HOLE_UP = Fraction(1)

CRANK_APART = Fraction(17, 8)
CRANK_HUB_RADIUS = Fraction(1, 2)
CRANK_END_RADIUS = Fraction(3, 8)
CRANK_BORE = Fraction(1, 4)
CRANK_PIN = Fraction(3, 16)
CRANK_ARM_THICK = Fraction(1, 4)
CRANK_HUB_THICK = Fraction(1, 2)

SPACER = Fraction(3, 4)
SPACER_BORE = Fraction(9, 32)

KNOB = Fraction(5, 8)
KNOB_LENGTH = Fraction(11, 8)
KNOB_BORE = Fraction(1, 4)
KNOB_BORE_DEPTH = Fraction(3, 4)

CHECK_RULE = Fraction(4)
