"""Whether an X counts places (``6X``) or stands between two sizes (``3/4 x 1 1/2``)."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from audit.lengths.spellings import AS_WRITTEN, FAR_FETCHED, NUMBER, OPEN, Spelling

_I = re.IGNORECASE
_X = re.compile(r"(?<![A-Z])[X×](?![A-Z])|(?<=\d)X(?=(?:S?R|CR|C|M|DIA|RAD)[ .\d])", _I)
_COUNT_BEFORE = re.compile(r"(?:^|(?<=[\s(,;]))(\d{1,3})( ?)$")
_COUNT_BEHIND = re.compile(r"\d{1,3}(?=$|[\s),;])")
_ANGLE = re.compile(rf" ?{NUMBER}°")
_NUMBER = re.compile(rf" ?{NUMBER}(?!\d*X(?![A-Z]))", _I)
_INTEGER = re.compile(r" ?\d+(?![\d./'])(?! ?\d+/)")
_MORE_X = re.compile(rf' ?{NUMBER}["\w]* ?[X×](?![A-Z])', _I)
# More places than this are hardly counted at one callout (unless as ``36X R``): then X is "by".
_MOST_PLACES = 24

_WORDS = [
    "ONE",
    "TWO",
    "THREE",
    "FOUR",
    "FIVE",
    "SIX",
    "SEVEN",
    "EIGHT",
    "NINE",
    "TEN",
    "ELEVEN",
    "TWELVE",
]
_NUMBER_WORD = re.compile(
    rf"\b({'|'.join(_WORDS)})(?=\)? ?(?:PLA?CE?S|HOLES|REQ|PIECES|PCS|SLOTS|PINS|DOWELS|SPACES|THUS"
    rf"|X(?![A-Z])|\)))",
    _I,
)
_LEADING_WORD = re.compile(rf"^({'|'.join(_WORDS)}) (?=[\d.Ø])", _I)
_MADE_WORD = re.compile(rf"\b((?:MAKE|CUT|QTY\.?:?) )({'|'.join(_WORDS)})\b", _I)
_COUNT_AT = re.compile(r"^(\d{1,2}) ?@ ?(?=[\d.])")
# 4 - #29 DRILL    2-10-32 TAP
_DASHED_COUNT = re.compile(
    r"^(\d{1,2}) ?- ?(?=#|NO\.? ?\d|\d{1,2}-\d{1,2} ?(?:TAP|UN|N[CFS]\b))", _I
)
_COUNTED = r"(?=\d{1,3} (?:HOLES|SLOTS|PINS|PEGS|PL(?:ACE|C)|REQ))"
_VALUE_BEFORE = r"(?:(?<=/\d)|(?<=/\d\d)|(?<=\.\d\d)|(?<=\.\d\d\d)|(?<=\"))"
_DASH_TO_COUNT = re.compile(rf"{_VALUE_BEFORE} - {_COUNTED}", _I)
_CLOSE_TO_COUNT = re.compile(rf"{_VALUE_BEFORE} ?- ?{_COUNTED}", _I)
_HOLE_MADE = re.compile(r"\b(?:DRILL|REAM|BORE|DIA|PUNCH)", _I)
_TAPPED = re.compile(r"\b(?:TAP|THREAD|THD)", _I)  # behind such a dash stands a pitch
_ENCLOSED_PLACES = re.compile(r"\((\d{1,2})\)(?= ?(?:PLA?CE?S|REQ|PCS|PIECES)\b)", _I)
_LEADING_MIXED = re.compile(
    r"^((?:DRILL |BORE |REAM )?\d{1,2})(?: ?- ?| )(\d{1,2}/\d{1,2}.*\b"
    r"(?:HOLES|SLOTS|PINS|PEGS|DOWELS|SCREWS|BOLTS|RODS|AXLES|GROOVES|NOTCHES|PLUGS))\b",
    _I,
)
# 4 - 3/16 DRILL: a dash with room about it; one such hole has no number before it
_DASHED_MIXED = re.compile(
    r"^((?!1 )\d{1,2}) - (\d{1,2}/\d{1,2}(?:-\d{1,2})?\"? (?:DRILL|REAM|TAP|BORE|C'?BORE|CSK)\b)",
    _I,
)


@dataclass(frozen=True, slots=True)
class _Choice:
    """What one X may be, in order; the second with its rank when there are two."""

    first: str
    second: str = ""
    rank: int = AS_WRITTEN


_COUNT, _BY = "count", "by"


def spell_counts(spelling: Spelling) -> Iterable[Spelling]:
    """Write counts in figures: ``(TWO) PLACES`` as ``2 PLACES``, ``2 @ 1/4`` as ``2X @ 1/4``."""
    text = _LEADING_WORD.sub(lambda m: f"{_WORDS.index(m[1].upper()) + 1}X ", spelling.text)
    text = _NUMBER_WORD.sub(lambda m: str(_WORDS.index(m[1].upper()) + 1), text)
    text = _MADE_WORD.sub(lambda m: m[1] + str(_WORDS.index(m[2].upper()) + 1), text)
    text = _COUNT_AT.sub(r"\1X @ ", text)
    text = _ENCLOSED_PLACES.sub(r"\1", text)
    text = _DASHED_COUNT.sub(r"\1X ", text)
    drilled = _HOLE_MADE.search(text) and not _TAPPED.search(text)
    dash = _CLOSE_TO_COUNT if drilled else _DASH_TO_COUNT
    text = dash.sub(", ", text)
    yield spelling.also(text, AS_WRITTEN, "")


def vary_leading_count(spelling: Spelling) -> Iterable[Spelling]:
    """``4 1/4 DIA HOLES``: four of 1/4 rather than 4 1/4, because of the plural."""
    match = _LEADING_MIXED.match(spelling.text) or _DASHED_MIXED.match(spelling.text)
    if match is None:
        yield spelling
        return
    counted = f"{match[1]}X {spelling.text[match.start(2) :]}"
    yield spelling.also(counted, AS_WRITTEN, "first number read as a count")
    yield spelling.also(spelling.text, OPEN, "first number read as whole inches")


def vary_times(spelling: Spelling) -> Iterable[Spelling]:
    """Write every X as ``6X`` or ``×``; the first one that can be either is tried as both."""
    text = spelling.text
    matches = list(_X.finditer(text))
    choices = [_choose(text, match, chained=len(matches) > 1) for match in matches]
    yield spelling.also(_rewrite(text, matches, [c.first for c in choices]), AS_WRITTEN, "")
    for index, choice in enumerate(choices):
        if choice.second:
            kinds = [c.first for c in choices]
            kinds[index] = choice.second
            remark = "X read as a count" if choice.second == _COUNT else "X read as by"
            yield spelling.also(_rewrite(text, matches, kinds), choice.rank, remark)
            return


def _choose(text: str, match: re.Match[str], *, chained: bool) -> _Choice:
    before, after = text[: match.start()], text[match.end() :]
    count = _COUNT_BEFORE.search(before)
    if count is None or int(count[1]) == 0 or _is_part_of_product(before, count):
        return _choose_behind(before, after)
    return _choose_before(
        int(count[1]), after, close=not count[2], chained=chained and match[0] == "×"
    )


def _choose_before(number: int, after: str, *, close: bool, chained: bool) -> _Choice:
    """``6X R 3/8``, ``6 X 3/8``, ``2x4``, ``2 × 45°``: what stands behind the X decides."""
    if not _NUMBER.match(after):
        return _Choice(_COUNT)
    if _ANGLE.match(after):
        if close and after.startswith(" "):
            return _Choice(_COUNT, _BY, OPEN)
        return _Choice(_BY, _COUNT, OPEN)
    if chained or _MORE_X.match(after):
        return _Choice(_BY)
    if close and after.startswith(" "):
        return _Choice(_COUNT, _BY, FAR_FETCHED)
    if number > _MOST_PLACES:
        return _Choice(_BY)
    if close and _INTEGER.match(after):
        return _Choice(_BY, _COUNT, OPEN)
    return _Choice(_COUNT, _BY, OPEN)


def _choose_behind(before: str, after: str) -> _Choice:
    """``X2``, ``(X 4)``, ``R 1/4 X2``: a count behind its X."""
    behind = _COUNT_BEHIND.match(after.lstrip())
    if behind is None or re.search(r"M\d+(?:\.\d+)? ?$", before, _I):
        return _Choice(_BY)
    if not before.strip() or before.rstrip().endswith(("(", ",", ";")):
        return _Choice(_COUNT)
    if before.endswith((" ", "\n")) and not after.startswith(" "):
        return _Choice(_COUNT, _BY, OPEN)
    return _Choice(_BY)


def _is_part_of_product(before: str, count: re.Match[str]) -> bool:
    """Whether the integer before this X ends a mixed number or follows another X."""
    return re.search(r"[X×] ?$", before[: count.start()], _I) is not None


def _rewrite(text: str, matches: list[re.Match[str]], kinds: list[str]) -> str:
    out, done = [], 0
    for match, kind in zip(matches, kinds, strict=True):
        piece = text[done : match.start()]
        done = match.end()
        if kind == _BY:
            out += [piece.rstrip(" "), " × "]
        elif _COUNT_BEFORE.search(text[: match.start()]):
            out += [piece.rstrip(" "), "X "]
        else:
            behind = _COUNT_BEHIND.match(text[done:].lstrip())
            number = behind[0] if behind else ""
            done += text[done:].find(number) + len(number)
            out += [piece, f"{number}X "]
    return re.sub(r" +", " ", "".join(out) + text[done:].lstrip(" ") if out else text)
