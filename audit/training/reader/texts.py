"""What is printed: random callouts and statements, as parts and as label.

Half of all fractions have free numerators and denominators: a network that has only seen shop
fractions learns the list of legal ones and reads a misprinted one as a legal wrong one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from audit.networks.alphabet import CHARACTERS, STACK_BAR
from audit.training.reader import words


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of a line: plain text (`lower` empty), or two texts one above the other.

    `form` is ``text``, ``stack`` (flat bar), ``slant`` (stacked over a slanted bar), ``diagonal``
    (small figures either side of a slash) or ``limits`` (one above the other without a bar).
    """

    form: str
    upper: str
    lower: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One printed line: its parts, in order, and the kind it is counted under."""

    kind: str
    parts: tuple[Part, ...]

    @property
    def label(self) -> str:
        """What the network should write."""
        out = ""
        for part in self.parts:
            if part.form == "text":
                out += part.upper
                continue
            if out and ((out[-1].isalnum() and out[-1] not in "RCØ") or part.form == "limits"):
                out += " "
            out += f"{part.upper}{STACK_BAR}{part.lower}"
        return " ".join(out.split())


Rng = np.random.Generator


def pick(rng: Rng, options: tuple | list | str):
    """One of the options, all alike likely."""
    return options[int(rng.integers(len(options)))]


def chance(rng: Rng, probability: float) -> bool:
    """Return true with this probability."""
    return bool(rng.random() < probability)


def text(value: str) -> Part:
    """Wrap plain text."""
    return Part("text", value)


def fraction_numbers(rng: Rng) -> tuple[int, int]:
    """Numerator and denominator: half legal shop fractions, half free."""
    if chance(rng, 0.5):
        denominator = int(pick(rng, (2, 4, 4, 8, 8, 8, 16, 16, 16, 32, 32, 64, 64)))
        return int(rng.integers(1, denominator)) | 1, denominator
    if chance(rng, 0.5):
        return int(rng.integers(1, 100)), int(rng.integers(2, 100))
    denominator = int(
        pick(rng, (3, 5, 6, 7, 9, 10, 11, 12, 14, 15, 18, 20, 24, 36, 61, 62, 63, 128))
    )
    return int(rng.integers(1, denominator)), denominator


def whole_number(rng: Rng) -> int:
    """Whole inches as plans have them: mostly small."""
    return int(
        pick(
            rng,
            (
                rng.integers(1, 10),
                rng.integers(1, 10),
                rng.integers(10, 100),
                rng.integers(100, 300),
            ),
        )
    )


FRACTION_FORMS = ("stack",) * 8 + ("slant",) * 2 + ("diagonal",) * 5 + ("inline",) * 5


def fraction(rng: Rng, *, whole: bool | None = None, form: str | None = None) -> list[Part]:
    """Draw a fraction, with or without whole inches."""
    numerator, denominator = fraction_numbers(rng)
    form = form or pick(rng, FRACTION_FORMS)
    whole = chance(rng, 0.6) if whole is None else whole
    parts = [text(str(whole_number(rng)))] if whole else []
    if form != "inline":
        if whole and chance(rng, 0.12):
            parts.append(text("-"))
        return [*parts, Part(form, str(numerator), str(denominator))]
    gap = pick(rng, (" ", " ", "-", "-", " - ")) if whole else ""
    return [*parts, text(f"{gap}{numerator}/{denominator}")]


def decimal_digits(rng: Rng) -> str:
    """Draw decimal digits, repeated ones and zeros more often than chance has them."""
    count = int(pick(rng, (1, 2, 2, 3, 3, 3, 4)))
    digits = "".join(str(d) for d in rng.integers(0, 10, count))
    return pick(rng, (digits, digits, digits, digits[0] * count, digits[:1] + "0" * (count - 1)))


def decimal(rng: Rng) -> list[Part]:
    """Draw a decimal number: leading point, leading zero, comma."""
    point = "," if chance(rng, 0.2) else "."
    lead = pick(
        rng,
        ("", "", "0", str(whole_number(rng)), str(whole_number(rng)), str(rng.integers(1, 1000))),
    )
    if point == "," and lead == "":
        lead = "0"
    return [text(f"{lead}{point}{decimal_digits(rng)}")]


def integer(rng: Rng) -> list[Part]:
    """Draw a whole number, small or in millimetres."""
    top = int(pick(rng, (10, 100, 100, 1000, 1000, 10000)))
    value = str(rng.integers(0 if top < 100 else top // 20, top))
    if len(value) == 4 and chance(rng, 0.15):
        value = value[0] + pick(rng, ", ") + value[1:]
    return [text(value)]


def feet_inches(rng: Rng) -> list[Part]:
    """Draw feet and inches, with or without a fraction."""
    feet = str(pick(rng, (0, rng.integers(1, 10), rng.integers(1, 100))))
    joint = pick(rng, ("-", "-", " ", "", " - "))
    if chance(rng, 0.12):
        return [text(f"{feet}'")]
    tail = pick(rng, ('"', '"', '"', ""))
    inches = str(rng.integers(0, 12))
    if chance(rng, 0.45):
        return [text(f"{feet}'{joint}{inches}{tail}")]
    head = [text(f"{feet}'{joint}")]
    body = fraction(rng, whole=False)
    if chance(rng, 0.85):
        gap = [] if body[0].form != "text" else [text(pick(rng, (" ", " ", "-")))]
        body = [text(inches), *gap, *body]
    return [*head, *body, text(tail)]


def metric(rng: Rng) -> list[Part]:
    """Draw a number with a metric unit, set tight or spaced."""
    number = decimal(rng) if chance(rng, 0.5) else integer(rng)
    return [
        *number,
        text(pick(rng, ("mm", "mm", " mm", "MM", " MM", "cm", " cm", "CM", " m", "M"))),
    ]


def inch_sized(rng: Rng) -> list[Part]:
    """Draw a number with an inch mark or word."""
    number = (
        fraction(rng) if chance(rng, 0.7) else decimal(rng) if chance(rng, 0.6) else integer(rng)
    )
    return [*number, text(pick(rng, ('"', '"', '"', '"', " in", " IN", " IN.", " INCH", "in.")))]


def angle(rng: Rng) -> list[Part]:
    """Draw an angle in degrees, minutes, seconds, decimals or fractions."""
    degrees = str(pick(rng, (rng.integers(1, 91), 45, 30, 60, 90, rng.integers(1, 361))))
    shape = int(rng.integers(10))
    if shape < 6:
        return [text(f"{degrees}°")]
    if shape < 7:
        return [text(f"{degrees}.{rng.integers(0, 100)}°")]
    if shape < 8:
        return [*fraction(rng, whole=True), text("°")]
    gap = pick(rng, ("", " ", "-"))
    minutes = f"{degrees}°{gap}{rng.integers(0, 60)}'"
    return [text(minutes if shape < 9 else f'{minutes}{gap}{rng.integers(0, 60)}"')]


NUMBERS: tuple[tuple[float, Callable[[Rng], list[Part]]], ...] = (
    (0.40, fraction),
    (0.10, inch_sized),
    (0.09, feet_inches),
    (0.18, decimal),
    (0.12, integer),
    (0.06, metric),
    (0.05, angle),
)


def choose(rng: Rng, table: tuple[tuple[float, Callable], ...]) -> Callable:
    """One entry of a table of (weight, function)."""
    weights = np.array([weight for weight, _ in table])
    return table[int(rng.choice(len(table), p=weights / weights.sum()))][1]


def number(rng: Rng) -> list[Part]:
    """Draw any number."""
    return list(choose(rng, NUMBERS)(rng))


def tolerance(rng: Rng) -> list[Part]:
    """Draw what follows a toleranced size."""
    shape = int(rng.integers(8))
    small = f"{pick(rng, ('.', '0.', ',' if chance(rng, 0.1) else '.'))}{decimal_digits(rng)}"
    gap = pick(rng, ("", " "))
    if shape < 3:
        return [text(f"{gap}±{pick(rng, ('', '', ' '))}{small}")]
    if shape < 4:
        return [text(f"{gap}±{gap}"), *fraction(rng, whole=False)]
    other = f".{decimal_digits(rng)}"
    if shape < 6:
        return [Part("limits", f"+{small}", f"{pick(rng, '--+')}{other}")]
    if shape < 7:
        return [text(f" +{small} -{other}")]
    return [
        text(gap + pick(rng, ("H7", "g6", "h9", "H8", "f7", "js9", "H11", "k6", "m6", "P7", "h6")))
    ]


def toleranced(rng: Rng) -> list[Part]:
    """Draw a size with tolerance or limits."""
    if chance(rng, 0.2):
        low, high = f"{rng.random() * 9:.3f}", f"{rng.random() * 9:.3f}"
        cut = 1 if chance(rng, 0.4) else 0
        low, high = low[cut:], high[cut:]
        return [Part("limits", high, low)] if chance(rng, 0.6) else [text(f"{high}/{low}")]
    return [*number(rng), *tolerance(rng)]


def dual(rng: Rng) -> list[Part]:
    """Draw a size in two units."""
    left, right = pick(rng, ("[]", "[]", "()"))
    first = decimal(rng) if chance(rng, 0.6) else number(rng)
    gap = pick(rng, (" ", " ", ""))
    second = decimal(rng) if chance(rng, 0.6) else number(rng)
    if chance(rng, 0.25):
        return [text(left), *second, text(right)]
    return [*first, text(gap + left), *second, text(right)]


def chamfer(rng: Rng) -> list[Part]:
    """Draw a chamfer by length and angle."""
    cross = pick(rng, (" X ", "X", " x ", "x", " × ", "×"))
    size = (
        fraction(rng, whole=False)
        if chance(rng, 0.5)
        else decimal(rng)
        if chance(rng, 0.6)
        else integer(rng)
    )
    return [*size, text(f"{cross}{pick(rng, (45, 45, 45, 30, 60, rng.integers(5, 85)))}°")]


def thread(rng: Rng) -> list[Part]:
    """Draw a thread or a drill by name."""
    shape = int(rng.integers(9))
    tail = pick(rng, words.THREAD_TAILS)
    pitch = pick(rng, (20, 16, 13, 24, 32, 28, 18, 10, 11, 12, 14, rng.integers(4, 80)))
    if shape < 3:
        return [
            *fraction(rng, whole=chance(rng, 0.1)),
            text(f"{pick(rng, ('-', '-', ' - '))}{pitch}{tail}"),
        ]
    size = pick(rng, (4, 6, 8, 10, 12, rng.integers(0, 20)))
    sign = pick(rng, ("#", "#", "", "", "No. ", "NO. "))
    if shape < 5:
        return [text(f"{sign}{size}{pick(rng, ('-', '-', ' - '))}{pitch}{tail}")]
    if shape < 7:
        cross = pick(rng, ("x", "X", " x ", " X ", "×", " × "))
        step = pick(rng, ("1", "1.25", "0.8", "1.5", "0.5", "2", "1,5", "0,75"))
        tail = pick(
            rng, ("", f"{cross}{step}", f"{cross}{step}", f"{cross}{rng.integers(5, 60)}", "-6H")
        )
        return [text(f"M{pick(rng, (3, 4, 5, 6, 8, 10, 12, rng.integers(2, 40)))}{tail}")]
    what = pick(
        rng,
        (
            " DRILL",
            " DR.",
            " WOOD SCREW",
            " SCREW",
            " TAP",
            "",
            " F.H.",
            " R.H. SCREW",
            " GA.",
            " WIRE",
        ),
    )
    return [
        text(
            f"{pick(rng, ('#', '#', 'No. ', 'NO. ', 'NO '))}{pick(rng, (size, rng.integers(1, 81)))}{what}"
        )
    ]


def counted(rng: Rng) -> list[Part]:
    """Draw a size with a repeat count before or after it."""
    n = pick(rng, (2, 2, 3, 4, 4, 6, 8, rng.integers(2, 40)))
    before = (
        f"{n}X ",
        f"{n}X",
        f"{n} X ",
        f"{n}x ",
        f"{n}x",
        f"({n}X) ",
        f"({n}) ",
        f"{n}-",
        f"{n} - ",
        f"{n}× ",
        f"{n} ",
        f"X{n} ",
    )
    after = (
        f" X{n}",
        f" (X{n})",
        f" (x{n})",
        f" ({n}X)",
        f" ({n})",
        f" {n} PLACES",
        f" {n} HOLES",
        f" {n} PL",
        f" {n} PLCS",
        f" ({n} PLACES)",
        f" - {n} HOLES",
        f"-{n} REQ'D",
        f" x{n}",
        f" X {n}",
        f" {n} PL.",
        f", {n} PLACES",
    )
    body = prefixed(rng) if chance(rng, 0.5) else number(rng)
    if chance(rng, 0.6):
        return [text(pick(rng, before)), *body]
    return [*body, text(pick(rng, after))]


def prefixed(rng: Rng) -> list[Part]:
    """Draw a size with a sign or word before it."""
    return [text(pick(rng, words.PREFIXES)), *number(rng)]


def suffixed(rng: Rng) -> list[Part]:
    """Draw a size with one or two trade words after it."""
    gap = "" if chance(rng, 0.15) else " "
    tail = gap + pick(rng, words.SUFFIXES)
    if chance(rng, 0.25):
        tail += " " + pick(rng, words.SUFFIXES)
    body = counted(rng) if chance(rng, 0.2) else prefixed(rng) if chance(rng, 0.25) else number(rng)
    return [*body, text(tail)]


def bracketed(rng: Rng) -> list[Part]:
    """Draw a reference size."""
    return [text("("), *(prefixed(rng) if chance(rng, 0.3) else number(rng)), text(")")]


def bare_prime(rng: Rng) -> list[Part]:
    """Draw a ditto mark or its word."""
    return [text(pick(rng, ('"', '"', '"', "DO", "DO.", "Do.", "do", "'")))]


def times(rng: Rng) -> list[Part]:
    """Draw a stock size: thickness by width by length."""
    cross = pick(rng, (" x ", " X ", "x", "X", " × "))
    out = number(rng)
    for _ in range(int(rng.integers(1, 3))):
        out = [*out, text(cross), *number(rng)]
    return out


def note(rng: Rng) -> list[Part]:
    """Draw a few words of a note, sometimes with a number between them."""
    count = int(rng.integers(1, 4))
    chosen = [
        pick(rng, words.NOTE_WORDS if chance(rng, 0.7) else words.SUFFIXES) for _ in range(count)
    ]
    if chance(rng, 0.3):
        chosen.insert(int(rng.integers(count + 1)), str(rng.integers(1, 100)))
    tail = pick(rng, ("", "", "", ".", ":", ","))
    return [text(" ".join(chosen) + tail)]


def statement(rng: Rng) -> list[Part]:
    """Draw a count, a scale, a title, a view name."""
    n = int(rng.integers(1, 60))
    letter = pick(rng, "ABCDEFGHJKLMNPRSTUVWXYZ")
    forms = (
        f"MAKE {n}", f"MAKE {n} PCS.", f"{n} REQ'D", f"{n} REQD", f"({n}) REQ'D", f"{n} REQUIRED",
        f"SHEET {n} OF {n + 3}", f"SCALE 1:{n}", f"SCALE: 1/{n}", "SCALE 1/4\" = 1'-0\"", "SCALE 1=1",
        f"SECTION {letter}-{letter}", f"SECT. {letter}-{letter}", f"DETAIL {letter}", f"VIEW {letter}",
        "FULL SIZE", "HALF SIZE", "FULL SCALE", f"ITEM {n}", f"({n})", f"{n}", letter, f"{letter}{n}",
        "LH", "RH", "L.H.", "R.H.", "AND OPPOSITE", f"FIG. {n}", f"NO. {n}", f"PART {n}", f"DET. {n}",
        f"{letter}-{letter}", f"{n}%", f"@ {n}", f"& {n}", f"SCALE {n}:1", f"QTY {n}", f"QTY: {n}", f"{n} PCS",
        f"{n} EACH", f"TYP {n} PLACES", f"{n} SPACES @ ", f"NOTE {n}", f"{n} PAIR", f"FIG {n}{letter}",
    )  # fmt: skip
    chosen = pick(rng, forms)
    return [text(chosen), *number(rng)] if chosen.endswith("@ ") else [text(chosen)]


def code_like(rng: Rng) -> list[Part]:
    """Draw a part number, a date, an alloy: letters and digits with no grammar."""
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    pieces = []
    for _ in range(int(rng.integers(1, 4))):
        if chance(rng, 0.5):
            pieces.append("".join(pick(rng, letters) for _ in range(rng.integers(1, 6))))
        else:
            pieces.append(str(rng.integers(0, 10 ** int(rng.integers(1, 6)))))
    return [text(pick(rng, ("-", " ", "", "/", ".", "-")).join(pieces))]


def soup(rng: Rng) -> list[Part]:
    """Draw characters in no order at all, so that every one is learnt by its shape."""
    pool = pick(
        rng, (CHARACTERS, "0123456789", "0123456789/.-'\" ", CHARACTERS[1:37], CHARACTERS[37:63])
    )
    drawn = "".join(pick(rng, pool) for _ in range(int(rng.integers(1, 9))))
    return [text(drawn.replace(STACK_BAR, "/"))]


def many(rng: Rng) -> list[Part]:
    """Draw a prefix, a number, a tolerance and words together: the long callouts."""
    head = counted(rng) if chance(rng, 0.5) else prefixed(rng)
    tail = [] if chance(rng, 0.5) else tolerance(rng)
    return [*head, *tail, text(" " + pick(rng, words.SUFFIXES))]


KINDS: tuple[tuple[float, str, Callable[[Rng], list[Part]]], ...] = (
    (0.36, "number", number),
    (0.09, "prefixed", prefixed),
    (0.09, "suffixed", suffixed),
    (0.07, "counted", counted),
    (0.06, "toleranced", toleranced),
    (0.03, "dual", dual),
    (0.03, "chamfer", chamfer),
    (0.04, "thread", thread),
    (0.04, "reference", bracketed),
    (0.01, "ditto", bare_prime),
    (0.03, "stock", times),
    (0.05, "note", note),
    (0.03, "statement", statement),
    (0.03, "code", code_like),
    (0.015, "soup", soup),
    (0.03, "many", many),
)
_WEIGHTS = np.array([weight for weight, _, _ in KINDS])
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


def recase(rng: Rng, parts: list[Part]) -> list[Part]:
    """Set whole words in lower or mixed case now and then; units and x stay as they are."""
    roll = rng.random()
    if roll < 0.9:
        return parts
    change = str.lower if roll < 0.95 else str.title
    if roll > 0.985:
        change = str.capitalize
    return [
        Part(p.form, change(p.upper).replace("ø", "Ø"), p.lower) if p.form == "text" else p
        for p in parts
    ]


def merge(parts: list[Part]) -> tuple[Part, ...]:
    """Join neighbouring plain texts and drop empty ones."""
    out: list[Part] = []
    for part in parts:
        if part.form == "text" and out and out[-1].form == "text":
            out[-1] = text(out[-1].upper + part.upper)
        elif part.form != "text" or part.upper:
            out.append(part)
    return tuple(out)


def draw_line(rng: Rng, *, kind: str | None = None) -> Line:
    """Draw one line of text of any kind, or of the kind named."""
    index = int(rng.choice(len(KINDS), p=_WEIGHTS))
    if kind is not None:
        index = [name for _, name, _ in KINDS].index(kind)
    _, name, make = KINDS[index]
    while True:
        parts = merge(recase(rng, make(rng)))
        line = Line(name, parts)
        if line.label and len(line.label) <= 34:
            return line
