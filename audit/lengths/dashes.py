"""What a dash in a callout is: in a thread, in a mixed number, between limits, a minus, a pause."""

from __future__ import annotations

import re
from collections.abc import Iterable

from audit.lengths.spellings import AS_WRITTEN, FAR_FETCHED, NUMBER, OPEN, Spelling
from audit.lengths.tables import thread_pitches

_I = re.IGNORECASE
_STRAY = "\u2011"  # a dash that means nothing in a callout; no rule of the grammar takes it
_HELD = "\u2010"  # stands in for a dash that is decided: it must not be decided again

_THREAD_WORD = (
    r"(?= ?-? ?(?:UN|NP|N[CFS]\b|TAP|TH(?:REA)?D|[123][AB]\b|BOLT|SCREW|NUT|MACH|HEX|ROD\b))"
)
_BEFORE_THREAD = re.compile(r"\bTAP(?:PED)?\.? ?$", _I)
# a decimal size is a thread's only where a word says so: ASME Y14.6 writes .250-20 UNC
_UNIFIED = re.compile(
    rf"(?P<size>(?<![\d.])(?:(?:\d+[ -])?\d+/\d+|\d?\.\d{{2,4}}))\"? ?- ?(?P<tpi>\d{{1,2}})"
    rf"(?![\d/.'\"°])(?! ?(?:MM|IN\b))(?P<word>{_THREAD_WORD})?",
    _I,
)
_NUMBERED = re.compile(
    rf"(?<![\d./-])(?P<hash>#|NO\.? ?)?(?P<size>\d{{1,2}}) ?- ?(?P<tpi>\d{{1,2}})(?![\d/.'\"°-])"
    rf"(?P<word>{_THREAD_WORD})?",
    _I,
)
_CLASS = re.compile(r"(?<=[\dCFNST]) ?- ?([123][AB])\b", _I)
_METRIC_CLASS = re.compile(r"(?<=\d) ?- ?(\d[EFGH]\d?[GH]?(?:/\d[EFGH]\d?[GH]?)?)\b", _I)
_METRIC_PITCH = re.compile(r"\b(M\d+(?:\.\d+)?) ?- ?(\d?\.\d+|\d)(?![\dEFGH])", _I)
_SERIES = re.compile(r"(?<=\d) ?- ?(?=(?:UN|NP)[A-Z]|N[CFS]\b)", _I)
_MIXED = re.compile(r"(?<![\d./'-])(\d{1,4})( ?)-( ?)(\d+/\d+)(?!\d)")
_UNIT = r"(?:\"|'|°| ?MM| ?IN\.?| ?CM)?"
_RANGE = re.compile(rf"(?<![\d.])({NUMBER}{_UNIT})( ?)-( ?)({NUMBER})(?![\d/])(?!\d*[EFGH]\b)", _I)
# DRILL 3/16 - 3/4 DEEP: across, and how deep
_DEPTH_BEHIND = re.compile(
    rf"(?<![\d./-])(\d+/\d+|\d*\.\d+)({_UNIT}) - (?={NUMBER}{_UNIT} ?(?:DEEP|DP)\b)", _I
)
_PLUS_MINUS = re.compile(rf"\+ ?({NUMBER}){_UNIT}[ /\n]*- ?(?={NUMBER})", _I)
_MINUS_PLUS = re.compile(rf"(?<=[\s\d])- ?({NUMBER}){_UNIT}[ /\n]*\+ ?(?={NUMBER})", _I)
_PLUS_ZERO = re.compile(rf"\+ ?({NUMBER})[ /\n]+(0(?:\.0+)?)(?![\d.])", _I)
_ZERO_MINUS = re.compile(rf"(?<=[ \n])(0(?:\.0+)?)[ /\n]*- ?(?={NUMBER})", _I)


def vary_dashes(spelling: Spelling) -> Iterable[Spelling]:
    """Decide every dash; a thread or a mixed number that could be a range is tried as both."""
    for thread in _vary_thread(spelling):
        for mixed in _vary_mixed(_settle_minus(thread)):
            yield mixed.also(_settle_rest(mixed.text), AS_WRITTEN, "")


def _vary_thread(spelling: Spelling) -> Iterable[Spelling]:
    text = re.sub(r"'-(?=[\d.])", f"'{_HELD}", spelling.text)
    text = _DEPTH_BEHIND.sub(r"\1\2, ", text)
    text = _CLASS.sub(rf"{_HELD}\1", text)
    text = _METRIC_CLASS.sub(rf" {_HELD}\1", text) if re.search(r"\bM\d", text, _I) else text
    text = _SERIES.sub(" ", text)
    text = _METRIC_PITCH.sub(r"\1 × \2", text)
    plain = spelling.also(text, AS_WRITTEN, "")
    match = _UNIFIED.search(text) or _NUMBERED.search(text)
    if match is None:
        yield plain
        return
    before = _BEFORE_THREAD.search(text[: match.start()])
    sure = match["word"] is not None or match.groupdict().get("hash") or before
    standard = _is_standard(match)
    if sure or standard:
        yield plain.also(_hold_thread(match), AS_WRITTEN, "")
    if not sure:
        rank = FAR_FETCHED if standard and "/" in match["size"] else OPEN
        yield plain.also(text, rank if standard else AS_WRITTEN, "read as two limits")


def _is_standard(match: re.Match[str]) -> bool:
    size = re.sub(r"[ -]", " ", match["size"])
    key = size if "/" in size else f"#{size}"
    return int(match["tpi"]) in thread_pitches("unified threads").get(key, ())


def _hold_thread(match: re.Match[str]) -> str:
    text = match.string
    name = match.groupdict().get("hash") or ""
    size = match["size"].replace("-", " ")
    return f"{text[: match.start()]}{name}{size}{_HELD}{match['tpi']}{text[match.end() :]}"


def _settle_minus(spelling: Spelling) -> Spelling:
    """Bring upper and lower deviations into ``+a -b``."""
    text = _PLUS_ZERO.sub(rf"+\1 {_HELD}\2", spelling.text)
    text = _PLUS_MINUS.sub(rf"+\1 {_HELD}", text)
    text = _MINUS_PLUS.sub(rf" {_HELD}\1 +", text)
    if "+" not in text:
        text = _ZERO_MINUS.sub(rf"+\1 {_HELD}", text)
    return spelling.also(text, AS_WRITTEN, "")


def _vary_mixed(spelling: Spelling) -> Iterable[Spelling]:
    match = _MIXED.search(spelling.text)
    if match is None:
        yield spelling
        return
    yield spelling.also(
        _MIXED.sub(r"\1 \4", spelling.text), AS_WRITTEN, "dash read as the gap of a mixed number"
    )
    spaced = bool(match[2] and match[3])
    limits = f"{match[1]} TO {match[4]}"
    text = spelling.text[: match.start()] + limits + spelling.text[match.end() :]
    yield spelling.also(text, OPEN if spaced else FAR_FETCHED, "dash read as between two limits")


def _settle_rest(text: str) -> str:
    text = _RANGE.sub(_settle_range, text)
    text = re.sub(r" - |(?<=[A-Za-z.]) ?- ?(?=\d)|(?<=\d) ?- ?(?=[A-Za-zØ])", " , ", text)
    # What is left joins words (ROUND-OVER) or is no part of a size (555-1234): stop the grammar.
    text = re.sub(r"(?<![A-Za-z])-|-(?![A-Za-z])", _STRAY, text)
    return text.replace(_HELD, "-")


def _settle_range(match: re.Match[str]) -> str:
    low, before, after, high = match.groups()
    if before and not after:  # 1.250 -.005
        return f"{low} {_HELD}{high}"
    if low.isdigit() and high.isdigit():  # 555-1234 is no range of sizes
        return match[0]
    return f"{low} TO {high}"
