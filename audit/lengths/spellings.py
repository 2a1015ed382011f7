"""Every way a text can be meant, spelled out before the grammar sees it.

Printed sizes are ambiguous in a handful of known ways: a lost gap (``131/32``), a dash (``1-1/2``),
a comma (``1,250``), an X (``2 X 4``). Each is decided here, once, into plain text that the grammar
reads in exactly one way. So the number of readings is bounded, and no reading is ever hidden.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import gcd

from audit.lengths.length import Unit, is_metric

# How plausible a reading is, beside the others of the same text.
AS_WRITTEN = 0  # what the text says
OPEN = 1  # as good as the first: do not choose without asking
FAR_FETCHED = 2  # only worth a look when the first fits nothing

# No text has honest reasons for more readings than this.
MAX_SPELLINGS = 12

NUMBER = r"(?:\d+ \d+/\d+|\d+/\d+|\d*\.\d+|\d+)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spelling:
    """One way to write out a text, how plausible it is, and what was decided to get there."""

    text: str
    rank: int = AS_WRITTEN
    remark: str = ""

    def also(self, text: str, rank: int, remark: str) -> Spelling:
        """Return another spelling that decides one thing more."""
        remarks = "; ".join(r for r in (self.remark, remark) if r)
        return Spelling(text=text, rank=max(self.rank, rank), remark=remarks)


Vary = Callable[[Spelling], Iterable[Spelling]]


def vary_all(spelling: Spelling, steps: Iterable[Vary]) -> tuple[Spelling, ...]:
    """Apply each step to every spelling so far; the most plausible come first.

    Examples
    --------
    >>> [s.text for s in vary_all(Spelling(text="11/16"), (vary_lost_gap,))]
    ['11/16', '1 1/16']
    """
    found = [spelling]
    for step in steps:
        found = [new for old in found for new in step(old)]
        found = sorted(found, key=lambda s: s.rank)[:MAX_SPELLINGS]
    seen: dict[str, Spelling] = {}
    for each in found:
        seen.setdefault(each.text, each)
    return tuple(seen.values())


_I = re.IGNORECASE
_UNIT_REWRITES = tuple(
    (re.compile(pattern, _I), plain)
    for pattern, plain in (
        # 3 FT -> 3', but not PER FT
        (r"(?<=[\d.]) ?(?:FT|FEET|FOOT)(?![A-Z])(?:\.(?!\d))?", "'"),
        # 45 DEG -> 45°, 5 DEG 30 MIN -> 5°30'
        (r"(?<=\d) ?DEG(?:REES?)?(?![A-Z])(?:\.(?!\d))?", "°"),
        (r"(?<=°) ?-? ?(\d+(?:\.\d+)?) ?MIN(?:UTES?)?(?![A-Z])(?:\.(?!\d))?", r"\1'"),
        (r"(?<=°) ?-? ?(?=\d+(?:\.\d+)?')", ""),
        (r"(°\d+(?:\.\d+)?') ?-? ?(\d+(?:\.\d+)?) ?SEC(?:ONDS?)?(?![A-Z])", r'\1\2"'),
        (r"(°\d+(?:\.\d+)?') ?-? ?(?=\d+(?:\.\d+)?\")", r"\1"),
        # 3' - 6" and 3' 6" -> 3'-6", unless a count follows (10' 2X)
        (
            r"(?<=\d)(?<!°\d)(?<!°\d\d)' ?-? ?(?=[\d.])"
            r"(?!\d+ ?(?:[X×](?![A-Z])|PLA?CE?S?|HOLES|REQ|°))",
            "'-",
        ),
        # 3'-6-1/2" -> 3'-6 1/2"
        (r"('-\d+) ?- ?(?=\d+/\d)", r"\1 "),
    )
)


def spell_units(spelling: Spelling) -> Iterable[Spelling]:
    """Write feet and degrees in one way: ``3 ft 6 in`` as ``3'-6 in``, ``5 deg`` as ``5°``."""
    text = spelling.text
    for pattern, plain in _UNIT_REWRITES:
        text = pattern.sub(plain, text)
    yield Spelling(text=text, rank=spelling.rank, remark=spelling.remark)


_GROUP_SPACE = re.compile(r"(?<![\d.,/])\d{1,3}(?: \d{3})+(?![\d/])(?! \d)")
_GROUP_COMMA = re.compile(r"(?<![\d.,/])[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")
_GROUP_POINT = re.compile(r"(?<![\d.,/])[1-9]\d{0,2}(?:\.\d{3})+(?![\d.])")
_BOTH_MARKS = re.compile(r"(?<![\d.,/])([1-9]\d{0,2}(?:\.\d{3})+),(\d+)(?![\d.,])")
# A comma inside a number, or leading one (",5" "R,5"); not the comma of a list ("DIA,3/4").
_DECIMAL_COMMA = re.compile(
    r"(?:(?<![\d,/.])(?P<whole>\d+)|(?<![\w,/.)\]])|(?<=[RØ])),(?=\d)(?![1-9]\d?/[1-9]\d?(?![\d.,]))",
    re.IGNORECASE,
)
_METRIC = re.compile(r"(?<![A-Z])(?:MM|CM|M)(?![A-Z\d])", _I)


def vary_separators(unit: Unit | None) -> Vary:
    """Return the step that decides what a comma, a point or a gap between digits is.

    Parameters
    ----------
    unit : Unit or None
        Of the caller. Gaps and points part thousands on metric sheets only.
    """

    def vary(spelling: Spelling) -> Iterable[Spelling]:
        text = spelling.text
        metric = is_metric(unit) or _METRIC.search(text) is not None
        if metric:
            text = _GROUP_SPACE.sub(lambda m: m[0].replace(" ", ""), text)
            text = _BOTH_MARKS.sub(lambda m: m[1].replace(".", "") + "." + m[2], text)
        plain = spelling.also(text, AS_WRITTEN, "")
        if not _DECIMAL_COMMA.search(text):
            yield plain
            if metric and _GROUP_POINT.search(text):
                grouped = _GROUP_POINT.sub(lambda m: m[0].replace(".", ""), text)
                yield plain.also(grouped, FAR_FETCHED, "point read as parting thousands")
            return
        yield from _vary_commas(plain, metres=unit is Unit.M)

    return vary


def _vary_commas(spelling: Spelling, *, metres: bool) -> Iterable[Spelling]:
    """Thousands when every comma parts a group of three, decimals when every number has one.

    Nobody draws thousands of metres: there a comma before three digits ends the metres.
    """
    grouped = _GROUP_COMMA.sub(lambda m: m[0].replace(",", ""), spelling.text)
    all_grouped = not _DECIMAL_COMMA.search(grouped)
    decimal = _DECIMAL_COMMA.sub(lambda m: f"{m['whole'] or ''}.", spelling.text)
    one_each = not re.search(r"\.\d+[.,]\d", decimal)
    if all_grouped:
        remark = "comma read as parting thousands" if one_each else ""
        yield spelling.also(grouped, FAR_FETCHED if metres and one_each else AS_WRITTEN, remark)
    if one_each:
        rank = OPEN if all_grouped and not metres else AS_WRITTEN
        yield spelling.also(decimal, rank, "comma read as a decimal comma" if all_grouped else "")
    if not (all_grouped or one_each):
        yield spelling


_MIXED_DASH = re.compile(r"(?<![\d./'-])(\d{1,4})( ?)-( ?)(\d+/\d+)(?!\d)")


def vary_mixed_dash(spelling: Spelling) -> Iterable[Spelling]:
    """``1-1/2`` is 1 1/2; it could also be 1 minus 1/2."""
    match = _MIXED_DASH.search(spelling.text)
    if match is None:
        yield spelling
        return
    mixed = _MIXED_DASH.sub(r"\1 \4", spelling.text)
    yield spelling.also(mixed, AS_WRITTEN, "dash read as the gap of a mixed number")
    less = f"{match[1]}−{match[4]}"
    spaced = bool(match[2] and match[3])
    text = spelling.text[: match.start()] + less + spelling.text[match.end() :]
    yield spelling.also(text, OPEN if spaced else FAR_FETCHED, "dash read as a minus")


_CLOSE_FRACTION = re.compile(r"(?<![\d./'])(?<!\d )(\d{2,4})/(\d{1,3})(?![\d./])")


def vary_lost_gap(spelling: Spelling) -> Iterable[Spelling]:
    """``131/32`` may be 1 31/32 with its gap lost; so may ``11/16`` be 1 1/16, less likely.

    An improper fraction is hardly ever printed: there the split is as good as the text.
    """
    yield spelling
    match = _CLOSE_FRACTION.search(spelling.text)
    if match is None:
        return
    digits, bottom = match[1], int(match[2])
    rank = OPEN if int(digits) > bottom else FAR_FETCHED
    for cut in range(1, len(digits)):
        top = int(digits[cut:])
        if digits[cut] == "0" or digits[0] == "0" or top >= bottom or gcd(top, bottom) > 1:
            continue
        split = f"{digits[:cut]} {top}/{bottom}"
        text = spelling.text[: match.start()] + split + spelling.text[match.end() :]
        yield spelling.also(text, rank, f"could be {split} with its gap lost")
