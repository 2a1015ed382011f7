"""What one printed callout says, taken apart."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from audit.lengths.length import Length, Unit


class CalloutKind(StrEnum):
    """What the printed number is the size of, as far as the text itself tells."""

    DISTANCE = "distance"
    RADIUS = "radius"
    DIAMETER = "diameter"
    SPHERICAL_RADIUS = "spherical radius"
    SPHERICAL_DIAMETER = "spherical diameter"
    SQUARE = "square"
    ANGLE = "angle"
    CHAMFER = "chamfer"
    TAPER = "taper"
    ARC_LENGTH = "arc length"
    THICKNESS = "thickness"
    DEPTH = "depth"
    THREAD = "thread"


class CountForm(StrEnum):
    """How a repeat count was written: ``6X``, ``(6)`` or ``6 PLACES``."""

    TIMES = "times"
    PARENTHESES = "parentheses"
    PLACES = "places"


class Mark(StrEnum):
    """A word or sign that changes what the number means."""

    TYPICAL = "TYP"
    REFERENCE = "REF"
    MAXIMUM = "MAX"
    MINIMUM = "MIN"
    NOT_TO_SCALE = "NTS"
    THROUGH = "THRU"
    DEEP = "DEEP"
    EQUALLY_SPACED = "EQ SP"
    BOLT_CIRCLE = "B.C."
    TO_FIT = "TO FIT"
    TO_SUIT = "TO SUIT"
    APPROXIMATE = "APPROX"
    OPPOSITE = "OPP"
    STOCK = "STK"
    BASIC = "BASIC"
    COUNTERBORE = "CBORE"
    COUNTERSINK = "CSK"
    DRILL = "DRILL"
    TAP = "TAP"
    BOTH_SIDES = "BOTH SIDES"
    ON_CENTRES = "O.C."
    BOTH_ENDS = "BOTH ENDS"
    BORE = "BORE"
    REAM = "REAM"
    SPOTFACE = "SPOTFACE"
    CLEARANCE = "CLEAR"
    CONTROLLED = "CR"
    FULL = "FULL"
    INSIDE = "I.D."
    OUTSIDE = "O.D."
    LEFT_HAND = "LH"
    PER_SIDE = "PER SIDE"
    INCLUDED = "INCLUDED"
    SLOPE = "PER FOOT"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedTolerance:
    """Limits printed with a size, as signed exact amounts to add to the nominal.

    `upper` >= `lower`; a plain ``±.005`` has `lower` = -`upper`.
    """

    upper: Fraction
    lower: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A printed thread: ``1/4-20 UNC``, ``8-32``, ``M6 x 1``, ``#8 wood screw``.

    `series` is ``unified``, ``number``, ``metric``, ``wood`` or ``pipe``. `size` is the printed
    size name (``1/4``, ``8``, ``M6``); `major` the nominal major diameter where the name fixes it
    (a pipe's name does not). `grade` is the rest as printed (``UNC-2A``, ``6H``).
    """

    series: str
    size: str
    major: Length | None
    threads_per_inch: Fraction | None = None
    pitch: Length | None = None
    grade: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Callout:
    """One reading of a printed callout.

    Attributes
    ----------
    text : str
        Normalised text this was read from (``6X R 3/8 TYP``).
    kind : CalloutKind
        What the number is the size of, as far as the text tells (`DISTANCE` when it says nothing).
    size : Length or None
        The governing value, exact; `None` for texts such as ``DO`` or a bare ``(2)``. For limits
        (``.500/.495``) the mean, with `tolerance` giving both.
    unit_printed : bool
        Whether the unit stands in the text. False: `size.unit` came from the caller.
    step : Fraction
        One unit in the last printed decimal place, in `size.unit`; 0 for fractions and integers.
        Half of it is what print rounding can hide.
    count : int or None
        How many places the callout governs, when it says so.
    reference : bool
        Printed in parentheses or marked REF: for information, never an observation.
    marks : frozenset of Mark
    tolerance : PrintedTolerance or None
    alternate : Length or None
        The second size of a dual-unit callout (``25.4 [1]``).
    second : Length or None
        What belongs to the first size: depth of a hole, angle of a chamfer (`Unit.DEG`),
        the other leg of a taper.
    thread : Thread or None
    ditto : bool
        ``"`` or ``DO``: the same as the one before.
    remark : str
        Why this reading ranks where it does, when there are several ("gap read as a whole inch"),
        or why there is no size ("no unit").
    rank : int
        0: what the text says. 1: as good as the first, do not choose without asking. 2:
        far-fetched, only worth a look when the first fits nothing. See `is_ambiguous`.
    fit : str
        A printed fit or tolerance zone as printed (``H7/g6``); its limits are not looked up.
    drill : str
        Name of a drill that fixed the size: ``1`` to ``80``, ``A`` to ``Z``; empty otherwise.
    ratio : Fraction or None
        Taper as change of size over length (1/12 of ``1:12``).
    total : Length or None
        What a repeated size is said to add up to (15 of ``5 EQ SP @ 3 = 15``).
    noun : str
        Words that say what it is the size of (``HOLE``, ``KERF``), upper case.
    further : tuple of Callout
        Other features in the same text: counterbore, tap, a third size.
    """

    text: str
    kind: CalloutKind = CalloutKind.DISTANCE
    size: Length | None
    unit_printed: bool = False
    step: Fraction = Fraction(0)
    count: int | None = None
    count_form: CountForm | None = None
    reference: bool = False
    marks: frozenset[Mark] = frozenset()
    tolerance: PrintedTolerance | None = None
    alternate: Length | None = None
    second: Length | None = None
    thread: Thread | None = None
    ditto: bool = False
    remark: str = ""
    rank: int = 0
    fit: str = ""
    drill: str = ""
    ratio: Fraction | None = None
    total: Length | None = None
    noun: str = ""
    further: tuple[Callout, ...] = ()

    @property
    def is_angle(self) -> bool:
        """Whether the governing value is an angle."""
        return self.size is not None and self.size.unit is Unit.DEG
