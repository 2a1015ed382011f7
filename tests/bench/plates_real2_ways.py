"""How the sheets of the held-out bought plans are drawn: nine draughtsmen, each with his habits.

Written by somebody who did not know how the tool finds. Each is one kind of plan as makers meet it:
a download from a program, a metric print, a magazine's art, an architect's sheet, a typed one, a
sketch from a forum, an old pattern, a school shop's hand-out, a factory's drawing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from tests.bench.plates_pen import Rng

MM = Fraction(10, 254)  # inches
COARSE_FROM = 4  # inches: longer ones are printed in sixteenths
FEET_FROM = 24  # inches: from here on sizes are printed in feet and inches, on sheets that do so


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """One draughtsman's ways; lengths in mm of the paper, gray levels 0 (black) to 255.

    Attributes
    ----------
    face, loose, slant, fraction, narrow : str, float, float, str, float
        Of the letters, as in `plates_letters.Letters`.
    unit : str
        "fraction", "feet", "decimal" (inches) or "mm".
    mark : str
        After inches.
    hyphen, comma, zero : bool
        `1-1/2`; decimals with a comma; a nought before the point of less than an inch.
    place : str
        Where numbers stand: in a "break", "above" their line, or "over" it on white.
    level : bool
        No number is turned.
    flip : bool
        Numbers on standing lines are read from the left.
    head, tip : str
        What dimension lines and leaders end in.
    small : str
        A number without room stands "beyond" an end or "aside" at a short line.
    leader : str
        "straight", "shoulder", "bow" or "underline".
    stub : bool
        Extension lines are short strokes near the dimension line.
    body, lines, face_tone : int
        Gray of outlines, of dimension lines, of wood's faces (255: white).
    stray, waver : float
        How far edges lie off their place, and how unsteady a line is.
    caption : str
        "under", "above" or "ruled".
    sheet : str
        "bare", "frame", "block" or "headed": what stands about the views.
    """

    face: str
    height: float = 2.2
    loose: float = 0.0
    slant: float = 0.0
    fraction: str = "bar"
    narrow: float = 1.0
    unit: str = "fraction"
    mark: str = '"'
    hyphen: bool = False
    comma: bool = False
    zero: bool = False
    place: str = "break"
    level: bool = True
    flip: bool = False
    head: str = "dagger"
    head_mm: float = 2.0
    tip: str = "dagger"
    small: str = "beyond"
    leader: str = "shoulder"
    gap: float = 1.0
    beyond: float = 1.5
    stub: bool = False
    first: float = 8.0
    step: float = 7.0
    thick: float = 0.45
    thin: float = 0.25
    fine: float = 0.15
    body: int = 0
    lines: int = 0
    face_tone: int = 255
    stray: float = 0.0
    waver: float = 0.004
    radius: str = "R{}"
    across: str = "Ø{}"
    caption: str = "under"
    sheet: str = "bare"


DOWNLOAD = Ways(
    face="electrolize-latin-400-normal", fraction="slant", height=2.0, head_mm=1.9, sheet="block",
    thick=0.3, thin=0.2, gap=1.5,
)  # fmt: skip
METRIC = Ways(
    face="titillium-web-latin-300-normal", unit="mm", place="above", level=False, head="open",
    tip="open", head_mm=2.4, gap=0.6, beyond=1.8, thick=0.5, fine=0.13, lines=70, sheet="frame",
    leader="underline", comma=True,
)  # fmt: skip
MAGAZINE = Ways(
    face="archivo-narrow-latin-400-normal", fraction="slant", place="over", head="broad",
    head_mm=2.1, tip="ball", gap=0.0, beyond=1.0, thick=0.32, thin=0.22, fine=0.2, body=40,
    face_tone=226, leader="straight", caption="above", sheet="headed", across="{} dia.",
    radius="{} rad.",
)  # fmt: skip
ARCHITECT = Ways(
    face="pompiere-latin-400-normal", height=2.7, loose=0.008, unit="feet", place="above",
    level=False, head="stroke", head_mm=2.2, tip="open", gap=2.0, beyond=2.2, stray=0.05,
    waver=0.02, first=10.0, caption="ruled", leader="bow", small="aside", across="{} DIA.",
    radius="{} R.",
)  # fmt: skip
TYPED = Ways(
    face="cutive-mono-latin-400-normal", height=2.0, narrow=0.85, fraction="line", hyphen=True,
    head="reed", head_mm=2.6, tip="reed", gap=0.8, thick=0.55, thin=0.3, fine=0.2, stray=0.06,
    waver=0.02, across="{} DIA.", radius="{} RAD.", leader="straight",
)  # fmt: skip
SKETCH = Ways(
    face="gamja-flower-latin-400-normal", height=2.9, loose=0.02, fraction="line", head="hooks",
    head_mm=2.3, tip="hooks", gap=0.4, beyond=0.8, stub=True, thick=0.4, thin=0.3, fine=0.26,
    stray=0.12, waver=0.09, across="{} hole", radius="{} radius", leader="bow", small="aside",
    level=False, body=25, lines=45,
)  # fmt: skip
PATTERN = Ways(
    face="kavivanar-latin-400-normal", loose=0.006, fraction="bar", level=False, head="leaf",
    head_mm=2.3, tip="leaf", gap=0.0, beyond=0.9, mark="", thick=0.5, fine=0.18, stray=0.08,
    waver=0.03, first=6.5, step=6.0, caption="under", across="{} DIAM.", radius="{} RAD.",
)  # fmt: skip
HANDOUT = Ways(
    face="walter-turncoat-latin-400-normal", loose=0.007, place="above", level=True, head="bead",
    head_mm=2.0, tip="dagger", gap=1.2, beyond=1.2, mark="", hyphen=True, fraction="slant",
    stray=0.05, waver=0.015, caption="ruled", sheet="frame", small="aside", across="{} DRILL",
    radius="R {}", height=1.9,
)  # fmt: skip
FACTORY = Ways(
    face="pathway-gothic-one-latin-400-normal", height=2.7, unit="decimal", mark="", place="break",
    level=False, head="speck", head_mm=2.6, tip="speck", gap=1.6, beyond=3.0, thick=0.6, thin=0.3,
    fine=0.18, sheet="block", leader="underline", flip=True, across="Ø{}", radius="R{}",
)  # fmt: skip
WAYS = (
    DOWNLOAD, METRIC, MAGAZINE, ARCHITECT, TYPED, SKETCH, PATTERN, FACTORY, HANDOUT,
)  # fmt: skip


def vary(ways: Ways, rng: Rng) -> Ways:
    """The same draughtsman on another day."""
    return replace(
        ways,
        height=ways.height * float(rng.uniform(0.9, 1.1)),
        head_mm=ways.head_mm * float(rng.uniform(0.8, 1.2)),
        first=ways.first * float(rng.uniform(0.9, 1.15)),
        step=ways.step * float(rng.uniform(0.95, 1.15)),
        beyond=ways.beyond * float(rng.uniform(0.7, 1.3)),
    )


def unit_of(ways: Ways, thing_unit: str) -> Ways:
    """Inches of some kind, unless this thing or this draughtsman works in mm."""
    return replace(ways, unit="mm", mark="") if thing_unit == "mm" else ways


def near(ways: Ways, rng: Rng, low: float, high: float, *, step: float = 0.125) -> float:
    """A length between two, inches, in steps that this sheet prints."""
    value = float(rng.uniform(low, high))
    if ways.unit == "mm":
        by = 5.0 if value * 25.4 > 120 else 1.0
        return round(value * 25.4 / by) * by / 25.4
    return max(round(value / step), 1) * step


def right_of(ways: Ways, value: float) -> Fraction:
    """What should be printed for a length."""
    if ways.unit == "mm":
        return Fraction(round(value * 254), 10) * MM
    part = 1000 if ways.unit == "decimal" else 16 if value > COARSE_FROM else 32
    return Fraction(round(value * part), part)


def wrong_of(ways: Ways, right: Fraction, share: Fraction) -> Fraction:
    """About so much more or less, in steps that this sheet prints."""
    wrong = right * (1 + share)
    if ways.unit == "mm":
        return round(wrong / MM) * MM
    part = 100 if ways.unit == "decimal" else 8 if right > 3 else 16
    return Fraction(round(wrong * part), part)


def spell(ways: Ways, value: Fraction) -> str:
    """Print a length."""
    if ways.unit == "mm":
        text = f"{float(value / MM):.1f}".removesuffix(".0")
        return text.replace(".", ",") if ways.comma else text
    if ways.unit == "decimal":
        text = f"{float(value):.3f}"
        return text if ways.zero else text.removeprefix("0")
    feet, value = divmod(value, 12) if ways.unit == "feet" and value >= FEET_FROM else (0, value)
    whole, rest = divmod(value, 1)
    joint = "-" if ways.hyphen else " "
    parts = [str(whole)] if whole or feet or not rest else []
    parts += [f"{rest.numerator}/{rest.denominator}"] if rest else []
    return (f"{feet}'-" if feet else "") + joint.join(parts) + ('"' if feet else ways.mark)
