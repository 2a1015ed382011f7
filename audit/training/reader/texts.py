"""What is printed: random callouts and statements, as parts and as label."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from audit.networks.alphabet import CHARACTERS, STACK_BAR
from audit.training.reader import words
from audit.training.reader.sizes import (
    Line,
    Part,
    Rng,
    chance,
    choose,
    decimal,
    decimal_digits,
    feet_inches,
    fraction,
    inch_sized,
    integer,
    lone,
    number,
    pick,
    text,
)


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


def old(rng: Rng) -> list[Part]:
    """Draw what old shop drawings say: a size and what is done with it, how often."""
    size = fraction(rng, form=pick(rng, ("stack", "stack", "slant", "diagonal", "inline")))
    n = int(pick(rng, (2, 2, 3, 4, 6, 8, rng.integers(2, 24))))
    doing = pick(rng, ("DRILL", "DRILL", "DR.", "REAM", "TAP", "BORE", "C'BORE", "C'SINK", "PUNCH"))
    often = pick(
        rng, ("", "", f" {n} HOLES", f"-{n} HOLES", f" - {n} HOLES", f", {n} HOLES", f" {n} PLACES")
    )
    shape = int(rng.integers(8))
    if shape < 2:
        return [*size, text(pick(rng, ("R", " R", "R.", " RAD.", '"R', '" R', " R.")))]
    if shape < 4:
        gap = pick(rng, (" ", " ", "-", "", '" '))
        return [*size, text(f"{gap}{doing}{often}")]
    if shape < 5:
        return [text(f"{doing} "), *size, text(often)]
    if shape < 6:
        return [
            text(f"{pick(rng, ('#', '# ', 'No.', 'NO. '))}{rng.integers(1, 61)} {doing}{often}")
        ]
    if shape < 7:
        return [
            *size,
            text(
                pick(
                    rng,
                    (" DIA.", " DIA", " D.", '" DIA.', " THICK", " THK.", " LONG", " SQ.", " WIDE"),
                )
            ),
        ]
    return [
        text(pick(rng, ("R", "R ", "R=", "RAD. ", "D ", "DIA. "))),
        *size,
        text(pick(rng, ("", '"'))),
    ]


def rounded(rng: Rng) -> list[Part]:
    """Draw the size of something round, its sign before or behind, spaced or not."""
    size = fraction(rng) if chance(rng, 0.75) else decimal(rng)
    gap, mark = pick(rng, ("", "", " ")), pick(rng, ("", "", '"'))
    if chance(rng, 0.5):
        return [text(pick(rng, ("R", "R", "R", "Ø", "D")) + gap), *size, text(mark)]
    sign = pick(rng, ("R", "R", "R", "R.", "D", " DIA.", " DIA", " RAD."))
    return [*size, text(mark + gap + sign)]


PLACED: tuple[tuple[float, Callable[[Rng], list[Part]]], ...] = (
    (0.29, fraction),
    (0.16, inch_sized),
    (0.19, feet_inches),
    (0.10, decimal),
    (0.05, integer),
    (0.11, lone),
    (0.10, rounded),
)


def placed(rng: Rng) -> list[Part]:
    """Draw a size as it stands on a dimension line."""
    return list(choose(rng, PLACED)(rng))


KINDS: tuple[tuple[float, str, Callable[[Rng], list[Part]]], ...] = (
    (0.36, "number", number),
    (0.02, "placed", placed),
    (0.09, "old", old),
    (0.09, "prefixed", prefixed),
    (0.09, "suffixed", suffixed),
    (0.07, "counted", counted),
    (0.05, "toleranced", toleranced),
    (0.03, "dual", dual),
    (0.03, "chamfer", chamfer),
    (0.04, "thread", thread),
    (0.04, "reference", bracketed),
    (0.01, "ditto", bare_prime),
    (0.03, "stock", times),
    (0.05, "note", note),
    (0.03, "statement", statement),
    (0.02, "code", code_like),
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
