"""What notes say of parts together: how many go with each, and how they go together."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from audit.checks.names import find_names


class Intent(StrEnum):
    """How two parts are meant to go together."""

    GLUED = "glued"
    PRESSED = "pressed"
    SLIDES = "slides"
    TURNS = "turns"
    THREADS = "threads in"
    CLEARANCE = "clearance"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """`count` pieces of `part` for each of `of`; `stated` when the note says how many there are."""

    part: str
    count: int
    of: str
    stated: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """`part` goes into or onto `other` (`None`: the note does not say) as `intent`."""

    part: str
    other: str | None
    intent: Intent


FREE_INTENTS = frozenset({Intent.TURNS, Intent.SLIDES, Intent.CLEARANCE})

_NUMERALS = (
    *("ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX"),
    *("SEVEN", "EIGHT", "NINE", "TEN", "ELEVEN", "TWELVE"),
)
NUMBERS = {word: n for n, word in enumerate(_NUMERALS, start=1)} | {"A": 1, "AN": 1}
_NUMBER = rf"(?:\d{{1,3}}|{'|'.join(NUMBERS)})"
_ON_EACH = re.compile(
    rf"\b(?P<n>{_NUMBER}) (?P<x>[A-Z' /-]+?) (?:ON|IN|INTO|FOR|TO|AT|UNDER|OVER|THROUGH|BESIDE)"
    rf" (?:EACH|EVERY)(?: ONE)?(?: OF)?(?: THE)?(?: (?P<m>{_NUMBER}))? (?P<y>[A-Z' /-]+)"
)
_PER = re.compile(rf"\b(?P<n>{_NUMBER}) (?P<x>[A-Z' /-]+?) PER (?P<y>[A-Z' /-]+)")
_TAKES = (
    r"(?:TAKES?|NEEDS?|CARRIES|CARRY|HOLDS?|HAS|HAVE|USES?|REQUIRES?|GETS?|WANTS?|RECEIVES?|WITH"
    r"|(?:RESTS?|SITS?|STANDS?|RIDES?|RUNS?|TURNS?|HANGS?) (?:ON|IN|FROM)"
    r"|IS (?:HELD|FIXED|FASTENED|SECURED) (?:BY|WITH))"
)
_TAKES_EACH = re.compile(
    rf"(?:\b(?P<m>{_NUMBER}) )?(?P<y>[A-Z' /-]+?) {_TAKES} (?P<n>{_NUMBER}) (?P<x>[A-Z' /-]+?)"
    r" (?:EACH|APIECE)\b"
)
_BARE_EACH = re.compile(
    rf"(?<![/.\d-])\b(?P<n>{_NUMBER}) (?P<x>[A-Z' -]+?)(?: EACH | EA )(?P<y>[A-Z' -]+)"
)
_COUNT_LAST = re.compile(
    rf"(?P<x>[A-Z' -]+?) (?P<n>{_NUMBER}) (?:EACH|EA|PER|FOR EACH)(?: OF)? (?P<y>[A-Z' -]+)"
)
_TWICE = re.compile(r"\b(?:AT|ON) (?:EACH|BOTH|EITHER) (?:ENDS?|SIDES?)\b")
_EACH_TAKES = re.compile(
    rf"\b(?:EACH|EVERY)(?: OF THE)?(?: (?P<m>{_NUMBER}))? (?P<y>[A-Z' /-]+?)"
    rf" {_TAKES} (?P<n>{_NUMBER}) (?P<x>[A-Z' /-]+)"
)
# A word that says how parts go together; the first that a clause holds counts.
_VERBS = (
    (
        re.compile(
            r"\b(?:TURN|REVOLVE|ROTATE|SPIN|SWIVEL|PIVOT)(?:S|ING)?\b|\bRUNS? FREE"
            r"|\bFREE (?:ON|IN)\b|\bRUNNING FIT\b"
        ),
        Intent.TURNS,
    ),
    (re.compile(r"\bSLIDE?(?:S|ING)?\b|\bSLIP FIT\b"), Intent.SLIDES),
    (re.compile(r"\bPRESS(?:ED|ES)?\b|\bDRIVEN?\b|\bFORCE FIT\b|\bTIGHT FIT\b"), Intent.PRESSED),
    (re.compile(r"\bGLUE(?:D|S)?\b|\bCEMENT(?:ED)?\b|\bEPOXY\b"), Intent.GLUED),
    (
        re.compile(
            r"\bSCREW(?:S|ED)? INTO\b|\bTHREAD(?:S|ED)? INTO\b|^(?:SCREW|THREAD)(?=[A-Z' ]+ INTO\b)"
        ),
        Intent.THREADS,
    ),
    (re.compile(r"\bLOOSE(?:LY)?\b|\bCLEARANCE\b|\bCLEARS?\b"), Intent.CLEARANCE),
)
_OF_A_HOLE = re.compile(r"(?:HOLE|SLOT|SOCKET|MORTISE|NOTCH|END|SIDE|CORNER)(?:E?S)?\b")
_NEEDS = (_ON_EACH, _PER, _EACH_TAKES, _TAKES_EACH, _BARE_EACH, _COUNT_LAST)
_EXCEPTS = re.compile(r"\b(?:THICKER|THINNER|HEAVIER|LIGHTER|OTHER THICKNESS|OTHER STOCK)\b")
_NEGATED = re.compile(r"\b(?:DO NOT|DON'T|NOT|NEVER|NO)\b")
_INTO = re.compile(r"\b(?:INTO|ONTO|TO|IN|ON|OVER|THROUGH|AROUND|ABOUT|INSIDE)\b")


def is_assembly_note(text: str) -> bool:
    """Tell whether a sentence may say how parts go together or how many are needed.

    Parameters
    ----------
    text : str
        One sentence.

    Returns
    -------
    bool
        From its words alone; whether they name parts is not looked at.

    Examples
    --------
    >>> is_assembly_note("CAMS TURN FREELY ON THE ROD."), is_assembly_note("SAND SMOOTH.")
    (True, False)
    """
    plain = _plain(text)
    counts = any(p.search(plain) for p in _NEEDS)
    return counts or any(verb.search(plain) for verb, _ in _VERBS)


def is_exception_note(text: str) -> bool:
    """Tell whether a sentence says that a part is thicker or thinner than the others.

    Parameters
    ----------
    text : str
        One sentence.

    Returns
    -------
    bool
        From its words alone.

    Examples
    --------
    >>> is_exception_note("BASE IS OF THICKER STOCK."), is_exception_note("BASE IS OF OAK.")
    (True, False)
    """
    return _EXCEPTS.search(_plain(text)) is not None


def read_needs(text: str, names: Sequence[str]) -> tuple[Need, ...]:
    """Read how many pieces of one part each of another needs.

    Parameters
    ----------
    text : str
        One sentence.
    names : Sequence[str]
        Of the parts of the plan; anything else is no need.

    Returns
    -------
    tuple[Need, ...]
        In printed order.

    Examples
    --------
    >>> read_needs("ONE LIFT STEP STANDS ON EACH OF THE 8 CAMS.", ["LIFT STEP", "CAM"])
    (Need(part='LIFT STEP', count=1, of='CAM', stated=8),)
    >>> read_needs("EACH CAM TAKES 1 PIN", ["CAM", "PIN"])
    (Need(part='PIN', count=1, of='CAM', stated=None),)
    >>> read_needs("DRILL ONE HOLE IN EACH CAM", ["CAM"])
    ()
    >>> read_needs("ONE PEG IN EACH HOLE OF THE RAIL", ["PEG", "RAIL"])
    ()
    >>> read_needs("EACH END CAP TAKES 2 PINS", ["PIN", "END CAP"])
    (Need(part='PIN', count=2, of='END CAP', stated=None),)
    """
    plain = _plain(text)
    needs: list[Need] = []
    for pattern in _NEEDS:
        for match in pattern.finditer(plain):
            part, of = _first_name(match["x"], names), _first_name(match["y"], names)
            if _OF_A_HOLE.match(match["y"]) and not _begins_with_name(match["y"], names):
                continue
            if part is None or of is None or part == of or _NEGATED.search(plain):
                continue
            if any((n.part, n.of) == (part, of) for n in needs):
                continue
            stated = match.groupdict().get("m")
            need = Need(
                part=part,
                count=_count(match),
                of=of,
                stated=_number(stated) if stated else None,
            )
            needs.append(need)
    return tuple(needs)


def read_joints(text: str, names: Sequence[str]) -> tuple[Joint, ...]:
    """Read how parts are meant to go together.

    Parameters
    ----------
    text : str
        One sentence.
    names : Sequence[str]
        Of the parts of the plan.

    Returns
    -------
    tuple[Joint, ...]
        In printed order; none from a sentence that forbids something.

    Examples
    --------
    >>> for joint in read_joints("CAMS TURN FREELY ON THE CAM ROD", ["CAM", "CAM ROD"]):
    ...     print(joint.part, joint.other, joint.intent)
    CAM CAM ROD turns
    >>> [j.part for j in read_joints("GLUE RAILS, CAM ROD AND RAMP", ["RAIL", "CAM ROD", "RAMP"])]
    ['RAIL', 'CAM ROD', 'RAMP']
    """
    plain = _plain(text, commas=True)
    joints: list[Joint] = []
    for clause in _clauses(plain):
        verb = next(((m, intent) for v, intent in _VERBS if (m := v.search(clause))), None)
        if verb is None or _NEGATED.search(clause):
            continue
        match, intent = verb
        before = [n for _, n in find_names(clause[: match.start()], names)]
        after = clause[match.end() :]
        joints += _pair(before, after, intent, names)
    return tuple(joints)


def _count(match: re.Match[str]) -> int:
    """Number of pieces; A WHEEL AT EACH END is two."""
    count = _number(match["n"])
    return 2 if count == 1 and _TWICE.search(match["x"]) else count


def _pair(before: list[str], after: str, intent: Intent, names: Sequence[str]) -> list[Joint]:
    into = _INTO.search(after)
    if before:
        others: list[str | None] = [n for _, n in find_names(after, names)]
        return [
            Joint(part=p, other=o, intent=intent)
            for p in before
            for o in others or [None]
            if p != o
        ]
    if into is None:
        return [Joint(part=n, other=None, intent=intent) for _, n in find_names(after, names)]
    parts = [n for _, n in find_names(after[: into.start()], names)]
    others = [n for _, n in find_names(after[into.end() :], names)]
    return [
        Joint(part=p, other=o, intent=intent) for p in parts for o in others or [None] if p != o
    ]


def _clauses(plain: str) -> list[str]:
    """Part a sentence at commas, unless they part a list after a verb that opens it."""
    opens = any((m := v.search(plain)) and m.start() == 0 for v, _ in _VERBS)
    return [plain] if opens else [c.strip() for c in plain.split(",")]


def _plain(text: str, *, commas: bool = False) -> str:
    kept = r"[^A-Z0-9' /,-]" if commas else r"[^A-Z0-9' /-]"
    return " ".join(re.sub(kept, " ", text.upper()).split())


def _first_name(text: str, names: Sequence[str]) -> str | None:
    return next((n for _, n in find_names(text, names)), None)


def _begins_with_name(text: str, names: Sequence[str]) -> bool:
    """Whether a text begins with a part: END CAP, or SIDE where a part is called so."""
    return any(place == 0 for place, _ in find_names(text, names))


def _number(word: str) -> int:
    return NUMBERS[word] if word in NUMBERS else int(word)
