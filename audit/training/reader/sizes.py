"""Numbers as drawings print them, in parts: fractions, decimals, feet and inches, angles.

Half of all fractions have free numerators and denominators: a network that has only seen shop
fractions learns the list of legal ones and reads a misprinted one as a legal wrong one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from audit.networks.alphabet import STACK_BAR


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
                rng.integers(10, 20),
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
    point = "," if chance(rng, 0.28) else "."
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


def lone(rng: Rng) -> list[Part]:
    """Draw a single figure, often a 1, or two of 1 and 7, with or without inch or foot mark."""
    figure = 1 if chance(rng, 0.4) else rng.integers(1, 10)
    if chance(rng, 0.15):
        figure = pick(rng, (11, 17, 71, 77, 14, 41))
    return [text(f"{figure}{pick(rng, ('', '', chr(34), chr(39)))}")]


def feet_inches(rng: Rng) -> list[Part]:
    """Draw feet and inches, with or without a fraction."""
    feet = str(pick(rng, (0, rng.integers(1, 10), rng.integers(1, 100), rng.integers(10, 20))))
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
    (0.38, fraction),
    (0.13, inch_sized),
    (0.13, feet_inches),
    (0.15, decimal),
    (0.09, integer),
    (0.03, lone),
    (0.05, metric),
    (0.04, angle),
)


def choose(rng: Rng, table: tuple[tuple[float, Callable], ...]) -> Callable:
    """One entry of a table of (weight, function)."""
    weights = np.array([weight for weight, _ in table])
    return table[int(rng.choice(len(table), p=weights / weights.sum()))][1]


def number(rng: Rng) -> list[Part]:
    """Draw any number."""
    return list(choose(rng, NUMBERS)(rng))
