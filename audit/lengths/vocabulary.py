"""Which terminal of the grammar means which kind, mark or feature."""

from __future__ import annotations

from audit.lengths.callout import CalloutKind, CountForm, Mark

SIGN_KINDS = {
    "SPHERE_RADIUS": CalloutKind.SPHERICAL_RADIUS,
    "SPHERE_DIAMETER": CalloutKind.SPHERICAL_DIAMETER,
    "CONTROLLED_RADIUS": CalloutKind.RADIUS,
    "RADIUS_SIGN": CalloutKind.RADIUS,
    "DIAMETER_SIGN": CalloutKind.DIAMETER,
    "SQUARE_SIGN": CalloutKind.SQUARE,
    "ARC_SIGN": CalloutKind.ARC_LENGTH,
    "TAPER_SIGN": CalloutKind.TAPER,
    "THICKNESS_SIGN": CalloutKind.THICKNESS,
    "CHAMFER_SIGN": CalloutKind.CHAMFER,
    "DEPTH_SIGN": CalloutKind.DEPTH,
}
ROLE_KINDS = {
    "RADIUS": CalloutKind.RADIUS,
    "DIAMETER": CalloutKind.DIAMETER,
    "INSIDE_DIAMETER": CalloutKind.DIAMETER,
    "OUTSIDE_DIAMETER": CalloutKind.DIAMETER,
    "SQUARE": CalloutKind.SQUARE,
    "THICK": CalloutKind.THICKNESS,
    "DEEP": CalloutKind.DEPTH,
    "DEPTH": CalloutKind.DEPTH,
    "ARC": CalloutKind.ARC_LENGTH,
}
SPANS = ("WIDE", "LONG", "HIGH")
ROLE_MARKS = {"INSIDE_DIAMETER": Mark.INSIDE, "OUTSIDE_DIAMETER": Mark.OUTSIDE}
FEATURES = {
    "COUNTERBORE": Mark.COUNTERBORE,
    "COUNTERSINK": Mark.COUNTERSINK,
    "SPOTFACE": Mark.SPOTFACE,
    "COUNTERBORE_SIGN": Mark.COUNTERBORE,
    "COUNTERSINK_SIGN": Mark.COUNTERSINK,
}
OPERATIONS = {"DRILL": Mark.DRILL, "TAP": Mark.TAP, "BORE": Mark.BORE, "REAM": Mark.REAM}
MARKS = {
    "TYPICAL": Mark.TYPICAL,
    "MAXIMUM": Mark.MAXIMUM,
    "MINIMUM": Mark.MINIMUM,
    "NOT_TO_SCALE": Mark.NOT_TO_SCALE,
    "THROUGH": Mark.THROUGH,
    "EQUALLY_SPACED": Mark.EQUALLY_SPACED,
    "TO_FIT": Mark.TO_FIT,
    "TO_SUIT": Mark.TO_SUIT,
    "APPROXIMATE": Mark.APPROXIMATE,
    "OPPOSITE": Mark.OPPOSITE,
    "STOCK": Mark.STOCK,
    "BASIC": Mark.BASIC,
    "BOTH_SIDES": Mark.BOTH_SIDES,
    "BOTH_ENDS": Mark.BOTH_ENDS,
    "ON_CENTRES": Mark.ON_CENTRES,
    "CLEARANCE": Mark.CLEARANCE,
    "FULL": Mark.FULL,
    "PER_SIDE": Mark.PER_SIDE,
    "INCLUDED": Mark.INCLUDED,
    "LEFT_HAND": Mark.LEFT_HAND,
}
COUNT_FORMS = {"TIMES": CountForm.TIMES}
# SPHERE before or behind: a radius when R says so, else a diameter (common practice).
SPHERICAL = {
    CalloutKind.RADIUS: CalloutKind.SPHERICAL_RADIUS,
    CalloutKind.DIAMETER: CalloutKind.SPHERICAL_DIAMETER,
    None: CalloutKind.SPHERICAL_DIAMETER,
}
