"""Draughtsmen of the later working drawings: how each spells a length and dimensions a view.

Two sets that share nobody: a school, a magazine, a drawing office, a club and a maker's leaflet to
develop on; a college, a weekly, a metric shop, a handout and a toy pattern to keep back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from tests.bench.plates_pen import Rng

MM = Fraction(10, 254)  # inches
FEET_FROM = 24  # inches that are still printed as inches


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """One draughtsman's ways; lengths in mm of paper.

    Attributes
    ----------
    name : str
    face : str
        File stem of the type; "" for a pen's single strokes.
    figures, weight, loose, slant, narrow, fraction, height
        Of `Lettering`.
    unit : str
        "fraction", "feet", "inch" (decimals), "mm", or "both" (decimals, mm in brackets).
    places : int
        Decimals, of inches.
    mark : str
        Behind inches.
    comma : bool
        Instead of the point.
    point_zero : bool
        Whether a nought stands before the point.
    head : str
        What ends a dimension line.
    head_mm : float
    number : str
        "gap", "above" or "over" (on the line's middle, the paper left white behind it).
    upright : bool
        Whether numbers of upright lines stand upright.
    outside : str
        Where a short size's number stands: "beside" or "leader".
    foot, beyond : float
        From an edge to its extension line; how far that goes past the dimension line.
    first, step : float
        From the part to the first dimension line; from row to row.
    thick, thin, fine : float
        Of edges, of hidden ones, of dimension lines.
    stray : float
        How far an edge is off.
    radius, across, drill : str
        How a radius, a diameter and a hole are told.
    sheet : str
        What stands about the views: "school", "magazine", "office", "club", "leaflet".
    tint : int
        Gray that faces are toned with in pictures; 255 for none.
    screened : bool
        Whether a press printed those as dots.
    waver : float
        Of a ruled line.
    caption : str
        "{}" of a view's name.
    """

    name: str
    face: str = ""
    figures: str = "round"
    weight: float = 0.1
    loose: float = 0.0
    slant: float = 0.0
    narrow: float = 1.0
    fraction: str = "stack"
    height: float = 2.3
    unit: str = "fraction"
    places: int = 2
    mark: str = ""
    comma: bool = False
    point_zero: bool = False
    head: str = "slim"
    head_mm: float = 2.2
    number: str = "gap"
    upright: bool = True
    outside: str = "beside"
    foot: float = 0.8
    beyond: float = 1.2
    first: float = 7.0
    step: float = 6.5
    thick: float = 0.45
    thin: float = 0.3
    fine: float = 0.2
    stray: float = 0.04
    radius: str = "{} R"
    across: str = "{} DIA."
    drill: str = "{} DRILL"
    sheet: str = "school"
    tint: int = 255
    screened: bool = False
    waver: float = 0.01
    caption: str = "{}"

    @property
    def metric(self) -> bool:
        """Whether lengths are printed in mm."""
        return self.unit == "mm"


SCHOOL = Ways(
    name="school", height=2.5, weight=0.095, loose=0.02, head="slim", head_mm=2.6,
    number="gap", upright=True, foot=1.2, beyond=1.6, first=8.0, step=7.5, thick=0.55,
    stray=0.06, waver=0.015, mark='"', sheet="school",
)  # fmt: skip
MAGAZINE = Ways(
    name="magazine", face="LinBiolinum_R", fraction="raised", height=2.2, mark='"',
    head="open", head_mm=1.7, number="gap", upright=False, foot=0.4, beyond=0.6, first=5.5,
    step=5.5, thick=0.4, thin=0.22, fine=0.14, radius='{} RAD.', across="{} DIA.",
    drill="{} HOLE", sheet="magazine", tint=205, screened=True, stray=0.05, caption="{}",
)  # fmt: skip
OFFICE = Ways(
    name="office", face="MplusCode50-Light", height=2.4, unit="mm", head="short", head_mm=2.0,
    number="above", upright=False, foot=1.0, beyond=1.6, first=8.0, step=7.0, thick=0.5,
    fine=0.18, stray=0.0, waver=0.0, radius="R{}", across="Ø{}", drill="Ø{} THRU",
    sheet="office", caption="{}", narrow=0.95,
)  # fmt: skip
CLUB = Ways(
    name="club", height=2.3, figures="round", slant=18.0, loose=0.034, weight=0.085, narrow=0.9,
    fraction="line", unit="feet", mark='"', head="tick", head_mm=1.6, number="above",
    upright=False, foot=0.0, beyond=1.8, first=7.0, step=6.5, thick=0.4, stray=0.08, waver=0.02,
    radius='{} RAD', across="{} Ø", drill="{} BOLT", sheet="club",
)  # fmt: skip
LEAFLET = Ways(
    name="leaflet", face="NanumBarunpenR", height=2.5, unit="both", places=2, head="dot",
    head_mm=1.0, number="over", upright=True, outside="leader", foot=1.5, beyond=0.0, first=7.5,
    step=7.0, thick=0.38, fine=0.16, stray=0.02, waver=0.004, radius="R {}", across="Ø {}",
    drill="Ø {} HOLE", sheet="leaflet", tint=225,
)  # fmt: skip

COLLEGE = Ways(
    name="college", figures="plain", slant=22.0, loose=0.018, weight=0.08, narrow=0.85,
    height=2.6, unit="inch", places=3, head="slit", head_mm=2.8, number="gap", upright=False,
    foot=1.5, beyond=2.0, first=8.5, step=7.5, thick=0.6, fine=0.17, stray=0.05, waver=0.012,
    radius="{}R", across="{} DIAM.", drill="{} REAM", sheet="club",
)  # fmt: skip
WEEKLY = Ways(
    name="weekly", face="Dustismo_Roman_Italic", fraction="raised", height=2.3, unit="feet",
    mark='"', head="barbed", head_mm=2.0, number="gap", upright=True, foot=0.0, beyond=0.4,
    first=5.0, step=5.8, thick=0.45, fine=0.15, stray=0.07, radius="{} rad.", across="{} dia.",
    drill="{} hole", sheet="magazine", tint=215, screened=True,
)  # fmt: skip
METRIC = Ways(
    name="metric", face="YOzRSX90", height=2.3, unit="mm", comma=True, head="lance", head_mm=2.3,
    number="above", upright=False, foot=0.0, beyond=1.0, first=8.0, step=7.0, thick=0.6,
    fine=0.18, stray=0.03, radius="R{}", across="Ø{}", drill="Ø{}", sheet="office", narrow=0.8,
)  # fmt: skip
HANDOUT = Ways(
    name="handout", face="UnTaza", fraction="line", height=2.1, head="none", head_mm=1.0,
    number="over", upright=True, foot=0.8, beyond=1.5, first=6.5, step=6.0, thick=0.45,
    fine=0.22, stray=0.06, waver=0.02, mark='"', radius="R = {}", across="{} diam.",
    drill="drill {}", sheet="school", narrow=0.85,
)  # fmt: skip
PATTERN = Ways(
    name="pattern", figures="plain", weight=0.12, loose=0.04, height=2.2, fraction="raised",
    head="hollow", head_mm=2.0, number="above", upright=True, outside="leader", foot=0.6,
    beyond=1.0, first=6.0, step=6.5, thick=0.5, stray=0.06, waver=0.02, radius="{} RADIUS",
    across="{} CIRCLE", drill="{} HOLE", sheet="leaflet", tint=230,
)  # fmt: skip
SHOPS = (SCHOOL, MAGAZINE, OFFICE, CLUB, LEAFLET)
SHOPS_HELD = (COLLEGE, WEEKLY, METRIC, HANDOUT, PATTERN)


def vary(ways: Ways, rng: Rng) -> Ways:
    """The same draughtsman on another day."""
    return replace(
        ways,
        height=ways.height * float(rng.uniform(0.92, 1.12)),
        head_mm=ways.head_mm * float(rng.uniform(0.85, 1.15)),
        first=ways.first * float(rng.uniform(0.92, 1.15)),
        step=ways.step * float(rng.uniform(0.95, 1.12)),
        thick=ways.thick * float(rng.uniform(0.85, 1.2)),
        number=ways.number if rng.random() < 0.75 else str(rng.choice(["gap", "above"])),
        fraction=ways.fraction if rng.random() < 0.75 else str(rng.choice(["stack", "line"])),
    )


def snap(ways: Ways, value: float, step: float = 0.25) -> float:
    """The nearest length in steps that this draughtsman uses: inches, or whole mm."""
    if not ways.metric:
        return max(round(value / step), 1) * step
    unit = 5.0 if value > 4.0 else 2.0 if value > 1.0 else 1.0
    return max(round(value * 25.4 / unit), 1) * unit / 25.4


def right_of(ways: Ways, value: float) -> Fraction:
    """What is printed for a length: a sixteenth, a decimal's last place, half a mm; inches."""
    if ways.metric:
        return Fraction(round(value * 25.4 * 2), 2) * MM
    if ways.unit in ("inch", "both"):
        return Fraction(round(value * 10**ways.places), 10**ways.places)
    return Fraction(round(value * 16), 16)


def wrong_of(ways: Ways, right: Fraction, share: Fraction) -> Fraction:
    """A length that is off by about a share, in the steps that would be printed."""
    step = {"mm": MM, "both": Fraction(1, 20), "inch": Fraction(1, 10**ways.places)}
    one = step.get(ways.unit, Fraction(1, 16) if right < 4 else Fraction(1, 8))
    return right + round(right * share / one) * one


def spell(ways: Ways, length: Fraction) -> str:
    """A length as this draughtsman prints it."""
    if ways.metric:
        return _decimal(ways, length / MM, 1, trim=True)
    if ways.unit == "inch":
        return _decimal(ways, length, ways.places, trim=False)
    if ways.unit == "both":
        mm = math.floor(float(length / MM) + 0.5)
        return f"{_decimal(ways, length, ways.places, trim=False)} [{mm}]"
    if ways.unit == "feet" and length > FEET_FROM:
        feet, rest = divmod(length, 12)
        nought = "0 " if 0 < rest < 1 else ""
        return f"{feet}'-{nought}{_inches(rest)}{ways.mark}"
    return f"{_inches(length)}{ways.mark}"


def _inches(length: Fraction) -> str:
    """Inches and a fraction."""
    whole, rest = divmod(length, 1)
    part = f"{rest.numerator}/{rest.denominator}" if rest else ""
    return f"{whole} {part}".strip() if whole or not part else part


def _decimal(ways: Ways, number: Fraction, places: int, *, trim: bool) -> str:
    """A decimal number."""
    text = f"{float(number):.{places}f}"
    if trim:
        text = text.rstrip("0").rstrip(".")
    if text.startswith("0.") and not ways.point_zero and not ways.metric:
        text = text[1:]
    return text.replace(".", ",") if ways.comma else text
