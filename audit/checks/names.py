"""Names of parts: the same part in the parts list, under a view and in a note."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence

from audit.lengths import Length, find_length

Words = tuple[str, ...]

# What stands in a title beside the name: "CRANK SECTION", "CAM - SIDE VIEW".
VIEW_WORDS = frozenset(
    ("VIEW", "SECTION", "DETAIL", "ELEVATION", "PATTERN", "FULL", "SIZE", "HALF", "SECTIONAL")
)
# What stands before the number of a part in its title; common practice, no source.
NUMBER_WORDS = frozenset(("PART", "ITEM", "PIECE", "PC", "NO", "NUMBER", "MARK", "MK", "FIG"))
MISREAD = 0.85  # likeness (difflib) from which on a name may be one with a letter misread
LEAST_LETTERS = 5  # shorter names are too much alike
PRINTED_RULE = re.compile(r"\b(?:RULE|RULER|SCALE BAR|BAR SCALE|GRAPHIC SCALE)\b")
PLAIN_S = frozenset(("S", "SS", "US", "IS"))  # endings that make no plural


def read_rule(text: str) -> Length | None:
    """Read how long a rule is that is drawn for whoever copies the sheet.

    Parameters
    ----------
    text : str
        Beside it.

    Returns
    -------
    Length | None
        `None` when the text names no rule, or no length with its unit.

    Examples
    --------
    >>> read_rule("CHECK RULE 4 IN"), read_rule("RULE HOLDER"), read_rule("RULER 4")
    (Length(value=Fraction(4, 1), unit=<Unit.IN: 'in'>), None, None)
    """
    figure = re.search(r"\d", text)
    if figure is None or not PRINTED_RULE.search(text.upper()):
        return None
    return find_length(text[figure.start() :], unit=None)


def read_words(text: str) -> Words:
    """Split a text into words in the singular, upper case.

    Parameters
    ----------
    text : str
        A name, a title, a sentence.

    Returns
    -------
    Words
        Without punctuation.

    Examples
    --------
    >>> read_words("Cams, axles & the brass rod")
    ('CAM', 'AXLE', '&', 'THE', 'BRASS', 'ROD')
    >>> read_words(""), read_words("PEG- MAKE 4")
    ((), ('PEG', 'MAKE', '4'))
    """
    words = re.findall(r"&|[A-Z][A-Z'/-]*|\d+", text.upper())
    return tuple(_singular(w.rstrip("-/")) for w in words)


def _singular(word: str) -> str:
    if len(word) < 3 or not word.endswith("S") or word[-2:] in PLAIN_S:
        return word
    if word.endswith("IES") and len(word) > 4:
        return f"{word[:-3]}Y"
    if word.endswith(("SHES", "CHES", "XES", "SSES")):
        return word[:-2]
    return word[:-1]


def find_names(text: str, names: Iterable[str]) -> tuple[tuple[int, str], ...]:
    """Find names of parts in a text, the longest first where several begin alike.

    Parameters
    ----------
    text : str
        A sentence or a title.
    names : Iterable[str]
        Of the parts of the plan.

    Returns
    -------
    tuple[tuple[int, str], ...]
        Number of the word where each begins, and the name, in the order of the text.

    Examples
    --------
    >>> find_names("CAMS TURN FREELY ON THE CAM ROD", ["CAM", "CAM ROD"])
    ((0, 'CAM'), (5, 'CAM ROD'))
    >>> find_names("GLUE EVERYTHING", ["CAM"])
    ()
    """
    words = read_words(text)
    known = sorted(((read_words(n), n) for n in set(names)), key=lambda p: (-len(p[0]), p[1]))
    found = []
    place = 0
    while place < len(words):
        name = next((n for w, n in known if w and words[place : place + len(w)] == w), None)
        if name is None:
            place += 1
            continue
        found.append((place, name))
        place += len(read_words(name))
    return tuple(found)


def _behind_number(words: Words) -> int:
    """Count the words that number a title: `5`, `PART 5`, `ITEM NO 5`, `(A)`."""
    place = next((k for k, w in enumerate(words) if w not in NUMBER_WORDS), len(words))
    if place < len(words) and (words[place].isdigit() or len(words[place]) == 1):
        return place + 1
    return 0


def match_name(title: str, names: Sequence[str]) -> str | None:
    """Say which part a title names.

    Parameters
    ----------
    title : str
        As printed under a view.
    names : Sequence[str]
        Of the parts list.

    Returns
    -------
    str | None
        The longest name the title begins with, or that it is but for words such as SECTION.

    Examples
    --------
    >>> match_name("CRANK SECTION", ["CRANK", "RAMP"]), match_name("SECTION A-A", ["CRANK"])
    ('CRANK', None)
    >>> match_name("IFT STEP", ["LIFT STEP"]), match_name("SIDE B", ["SIDE A"])
    ('LIFT STEP', None)
    >>> match_name("5  DRAWER FRONT - 1 REQ'D", ["DRAWER FRONT"])
    'DRAWER FRONT'
    """
    found = find_names(title, names)
    if not found:
        return _match_misread(title, names)
    rest = [w for w in read_words(title) if w not in VIEW_WORDS]
    longest = max((n for _, n in found), key=lambda n: len(read_words(n)))
    begins = found[0][0] == _behind_number(read_words(title)) and found[0][1] == longest
    return longest if begins or tuple(rest) == read_words(longest) else None


_SEEN = re.compile(
    r"\b(?:FRONT|TOP|SIDE|END|REAR|BACK|BOTTOM|PLAN|LEFT|RIGHT|INSIDE|OUTSIDE)"
    r"(?: SIDE)?(?= (?:VIEW|ELEVATION|SECTION))"
    r"|\bSECTION [A-Z]{1,2} ?- ?[A-Z]{1,2}\b|\bDETAIL [A-Z]\b"
)


def plain_name(title: str) -> str:
    """Return the name in a title without the words that say how something is seen.

    Parameters
    ----------
    title : str
        As printed under a view.

    Returns
    -------
    str
        In capitals; empty when nothing is left.

    Examples
    --------
    >>> plain_name("Cam - side view"), plain_name("CRANK SECTION"), plain_name("SECTION A-A")
    ('CAM', 'CRANK', '')
    >>> plain_name("PEG-")
    'PEG'
    """
    text = _SEEN.sub(" ", " ".join(title.upper().split()))
    words = [w for w in re.findall(r"[A-Z0-9'&/.-]+", text) if w.strip("-.") not in VIEW_WORDS]
    return " ".join(w.strip("-") for w in words if w.strip("-."))


def _match_misread(title: str, names: Sequence[str]) -> str | None:
    """Match a name of which a letter was misread; numbers and single letters must be the same."""
    if len(title) < LEAST_LETTERS:
        return None
    near = difflib.get_close_matches(title.upper(), names, n=2, cutoff=MISREAD)
    if len(near) != 1 or _short_words(near[0]) != _short_words(title):
        return None
    return near[0]


def _short_words(name: str) -> list[str]:
    return [w for w in read_words(name) if len(w) == 1 or w.isdigit()]


def is_same_name(first: str, second: str) -> bool:
    """Tell whether two names are one but for plurals and spelling."""
    return bool(read_words(first)) and read_words(first) == read_words(second)
