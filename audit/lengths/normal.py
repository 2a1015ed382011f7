"""One spelling for every way a callout can be typed, printed or recognised.

`normalise` folds look-alike characters and stray spaces and changes nothing a person would read
differently; the result is what the user sees. It never corrects a number.
"""

from __future__ import annotations

import re
import unicodedata

# Longest text looked at, in characters. A long general note is a few hundred; more is no callout.
MAX_TEXT = 600
# A number that no plan prints; what is worked out from a longer one could not be stored.
ENDLESS_NUMBER = r"(?:\d[.,]?){16}"

_LOOK_ALIKES = {
    "°": "º˚ᵒ∘◦⁰",
    "'": "′’‘‛´`ʹʼʻ‵＇",
    '"': "″”“„‟ʺ〃＂‶",
    "-": "‐‑‒–—―−﹣－⁃",
    "Ø": "øØ⌀Φφϕ∅⊘ɸ",
    "×": "✕✖⨯⨉",
    "□": "▢◻☐⬜◽⃞",
    "/": "⁄∕⧸╱／",
    "⌴": "⊔",
    "↧": "⤓",
    "±": "∓",
    ".": "．",
    " ": "\u00a0\u2007\u202f\t",
}
_DROPPED = "\u00ad\u200b\u200c\u200d\u2060\ufeff\u200e\u200f"
_FOLD = str.maketrans(
    {alike: plain for plain, alikes in _LOOK_ALIKES.items() for alike in alikes}
    | dict.fromkeys(_DROPPED, "")
)
_SUPERSCRIPT = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_SUBSCRIPT = "₀₁₂₃₄₅₆₇₈₉"

_RAISED_FRACTION = re.compile(rf"([{_SUPERSCRIPT}]+)\s*[⁄∕⧸/]\s*([{_SUBSCRIPT}]+|\d+)")
_VULGAR = re.compile("[¼½¾⅐-⅞↉⅟]")
# Codes that CAD text carries for signs a keyboard lacks; they leak into some text layers.
_CAD_CODES = (("%%c", "Ø"), ("%%d", "°"), ("%%p", "±"))
_REWRITES = tuple(
    (re.compile(pattern, re.IGNORECASE), plain)
    for pattern, plain in (
        (r"\+ ?/ ?-|\+-", "±"),
        (r"(?<=\d)[·•∙](?=\d)", "."),  # raised decimal point
        (r"''", '"'),
        (r" +", " "),
        (r" ?\n ?", "\n"),
        (r"\n+", "\n"),
        (r"(?<=\d) ?/ ?(?=\d)", "/"),
        (r"(?<=\d) (?=['\"°])", ""),
        (r"(?<![\w,.])\. (?=\d)", "."),  # ". 875"
    )
)


def normalise(text: str) -> str:
    """Fold a printed text into one spelling; case is kept.

    Parameters
    ----------
    text : str
        As read from a PDF, by recognition, or typed; lines joined by newline.

    Returns
    -------
    str
        Plain signs (``' " - / × ° ± Ø``), fractions as ``a b/c``, single spaces.

    Examples
    --------
    >>> normalise("1⅞”  TYP")
    '1 7/8" TYP'
    >>> normalise("  ")
    ''
    """
    text = _spell_out_fractions(text[: 4 * MAX_TEXT])
    text = unicodedata.normalize("NFKC", text.translate(_FOLD)).translate(_FOLD)
    for code, sign in _CAD_CODES:
        text = text.replace(code, sign).replace(code.upper(), sign)
    text = "".join(c if c.isprintable() or c == "\n" else " " for c in text)
    for pattern, plain in _REWRITES:
        text = pattern.sub(plain, text)
    return text.strip()


def split_columns(text: str) -> tuple[str, ...]:
    """Cells of a table row: parted by two spaces or more, tabs, or bars; each normalised.

    Examples
    --------
    >>> split_columns("3  CAM  4  3/8 x 1 5/8")
    ('3', 'CAM', '4', '3/8 x 1 5/8')
    """
    cells = re.split(r"\s*\|\s*|\t+ *|[ \u00a0]{2,}", text[: 4 * MAX_TEXT].strip())
    return tuple(cell for cell in map(normalise, cells) if cell)


def _spell_out_fractions(text: str) -> str:
    """Write ``1³⁄₈`` and ``1⅜`` as ``1 3/8``: folding alone would give ``13/8``."""
    text = _RAISED_FRACTION.sub(_raised, text)
    return _VULGAR.sub(_vulgar, text)


def _raised(match: re.Match[str]) -> str:
    top, bottom = (unicodedata.normalize("NFKC", part) for part in match.groups())
    return f"{_gap_before(match)}{top}/{bottom}{_gap_after(match)}"


def _vulgar(match: re.Match[str]) -> str:
    plain = unicodedata.normalize("NFKC", match[0]).replace("⁄", "/")
    after = "" if plain.endswith("/") else _gap_after(match)
    return f"{_gap_before(match)}{plain}{after}"


def _gap_before(match: re.Match[str]) -> str:
    return " " if match.string[: match.start()][-1:].isnumeric() else ""


def _gap_after(match: re.Match[str]) -> str:
    return " " if match.string[match.end() :][:1].isnumeric() else ""
