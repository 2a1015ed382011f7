"""Fractions and limits that a text layer keeps as separate small numbers.

A stacked fraction is two numbers over each other with a drawn bar between, or without; a slashed
one stands higher on its left than on its right.
"""

from __future__ import annotations

import re

import numpy as np

from audit.reading.words import Floats, Word

BAR_MAX_RATIO = 2.2  # bar over the wider number; a longer line is a table rule
BAR_HUGS_RATIO = 1.4  # where the numbers make no usual fraction
BAR_MIN_RATIO = 0.55
STACK_GAP_WITH_BAR = 1.3  # of the letter height, between numerator and denominator
STACK_GAP_BARE = 0.65
STACK_GAP_LED = 1.0  # behind a whole number
DENOMINATORS = frozenset({2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 32, 64, 100, 128})
SLASHES = "/⁄∕"

_DIGITS = re.compile(r"\d{1,3}$")
_BELOW = re.compile(r"(\d{1,3})(\s*(?:[\"”″]|''))?$")
_SIGNED = re.compile(r"[+±\-−–]\s*\d*[.,]?\d+°?$|0$")


def make_fractions(words: list[Word], bars: Floats) -> list[Word]:
    """Turn numerator and denominator pairs into one word each."""
    found = _stacked_pairs(words, bars) + _slashed(words)
    found.sort(key=lambda f: f[0])
    used: set[int] = set()
    result = []
    for _, parts, word in found:
        if used.isdisjoint(parts):
            used.update(parts)
            result.append(word)
    return [w for i, w in enumerate(words) if i not in used] + result


_Found = tuple[float, tuple[int, ...], Word]


def _stacked_pairs(words: list[Word], bars: Floats) -> list[_Found]:
    numbers = [i for i, w in enumerate(words) if _BELOW.match(w.text)]
    tops = [i for i in numbers if _DIGITS.match(words[i].text)]
    found: list[_Found] = []
    by_top = sorted(numbers, key=lambda i: words[i].top)
    edges = np.array([words[i].top for i in by_top])
    for i in tops:
        n = words[i]
        low = np.searchsorted(edges, n.base - 0.35 * n.cap)
        high = np.searchsorted(edges, n.base + STACK_GAP_WITH_BAR * n.cap)
        for j in by_top[int(low) : int(high)]:
            if j == i:
                continue
            led = any(_leads(w, n, words[j]) for w in words)
            score = _stack_score(n, words[j], bars, led=led)
            if score is not None:
                found.append((score, (i, j), _fraction_word(n, words[j])))
    return found


def _stack_score(n: Word, d: Word, bars: Floats, *, led: bool) -> float | None:
    """How badly two numbers make a stacked fraction; `None` when they don't."""
    below = _BELOW.match(d.text)
    if below is None or abs(n.size - d.size) > 0.2 * n.size:
        return None
    digits = below.group(1)
    width = (d.x1 - d.x0) * len(digits) / max(len(d.text), 1)  # without the inch mark
    aside = abs((n.x0 + n.x1) / 2 - (d.x0 + width / 2))
    if aside > 0.3 * n.size + 0.1 * max(width, n.x1 - n.x0):
        return None
    gap = d.top - n.base
    wide = max(n.x1 - n.x0, width)
    sense = int(digits) in DENOMINATORS and 0 < int(n.text) < int(digits)
    if not sense and len(n.text) == len(digits) == 3:
        return None  # two lengths, above and below a short dimension line
    # a bar is drawn no wider than it must be: a line further out may be a dimension's
    if _has_bar(n, d, wide, bars, most=BAR_MAX_RATIO if sense else BAR_HUGS_RATIO):
        return aside / n.size + 0.1 * abs(gap) / n.cap
    if gap > (STACK_GAP_LED if led else STACK_GAP_BARE) * n.cap or gap < -0.1 * n.cap:
        return None
    # without a bar only what makes sense as a fraction: columns of numbers stand like this too
    if not sense:
        return None
    return 1.0 + aside / n.size + abs(gap) / n.cap


def _leads(whole: Word, n: Word, d: Word) -> bool:
    """Whether a larger whole number stands right before a stack, at its middle."""
    middle = (n.top + d.base) / 2
    gap = min(n.x0, d.x0) - whole.x1
    return (
        whole.size > 1.1 * n.size
        and whole.text[-1:].isdigit()
        and -0.1 * n.size < gap < 0.7 * whole.size
        and abs(whole.middle - middle) < 0.35 * whole.cap
    )


def _has_bar(n: Word, d: Word, wide: float, bars: Floats, *, most: float) -> bool:
    if not len(bars):
        return False
    x0, x1 = np.minimum(bars[:, 0], bars[:, 2]), np.maximum(bars[:, 0], bars[:, 2])
    y = (bars[:, 1] + bars[:, 3]) / 2
    centre = (min(n.x0, d.x0) + max(n.x0 + wide, d.x0 + wide)) / 2
    fits = (
        (np.abs(bars[:, 3] - bars[:, 1]) < 0.08 * (x1 - x0))
        & (x1 - x0 > BAR_MIN_RATIO * wide)
        & (x1 - x0 < most * wide + 0.3 * n.size)
        & (y > n.base - 0.2 * n.cap)
        & (y < d.top + 0.2 * n.cap)
        & (np.abs((x0 + x1) / 2 - centre) < 0.5 * wide + 0.2 * n.size)
    )
    return bool(fits.any())


def _fraction_word(n: Word, d: Word) -> Word:
    return Word(
        text=f"{n.text}/{d.text}",
        x0=min(n.x0, d.x0),
        x1=max(n.x1, d.x1),
        top=n.top,
        base=d.base,
        size=max(n.size, d.size),
        runs=[*n.runs, *d.runs],
        fraction=True,
    )


def _slashed(words: list[Word]) -> list[_Found]:
    """Fractions across a slash whose numerator stands higher than the denominator."""
    order = sorted(range(len(words)), key=lambda i: words[i].x0)
    xs = np.array([words[i].x0 for i in order])
    found: list[_Found] = []
    for i in order:
        n = words[i]
        head = n.text.rstrip(SLASHES)
        if not _DIGITS.match(head):
            continue
        if head != n.text:
            steps = _following(words, order, xs, n, _DIGITS)
            found += [_slash_found(words, (i, j)) for j in steps if _descends(n, words[j])]
            continue
        for k in _following(words, order, xs, n, re.compile(f"[{SLASHES}]\\d{{0,3}}$")):
            if len(words[k].text) > 1:
                if _descends(n, words[k]):
                    found.append(_slash_found(words, (i, k)))
                continue
            for j in _following(words, order, xs, words[k], _DIGITS):
                if _descends(n, words[j]):
                    found.append(_slash_found(words, (i, k, j)))
    return found


def _following(
    words: list[Word], order: list[int], xs: Floats, w: Word, pattern: re.Pattern[str]
) -> list[int]:
    """Words that start where `w` ends, at about its height."""
    low = np.searchsorted(xs, w.x1 - 0.4 * w.size)
    high = np.searchsorted(xs, w.x1 + 0.3 * w.size)
    return [
        j
        for j in order[int(low) : int(high)]
        if words[j] is not w
        and pattern.match(words[j].text)
        and words[j].top < w.base + 0.5 * w.cap
        and words[j].base > w.top - 0.1 * w.cap
        and 0.4 < words[j].size / w.size < 2.5
    ]


def _descends(n: Word, d: Word) -> bool:
    drop = d.base - n.base
    return 0.1 * n.size < drop < 1.2 * n.size


def _slash_found(words: list[Word], parts: tuple[int, ...]) -> _Found:
    pieces = [words[i] for i in parts]
    text = "".join(p.text for p in pieces)
    for slash in SLASHES:
        text = text.replace(slash, "/")
    word = Word(
        text=text,
        x0=pieces[0].x0,
        x1=max(p.x1 for p in pieces),
        top=min(p.top for p in pieces),
        base=max(p.base for p in pieces),
        size=pieces[0].size,
        runs=[r for p in pieces for r in p.runs],
        fraction=True,
    )
    return 0.5, parts, word


def stack_tolerances(words: list[Word]) -> list[Word]:
    """Join an upper and a lower limit printed one over the other: ``+.005`` over ``-.000``."""
    signed = [i for i, w in enumerate(words) if _SIGNED.match(w.text) and not w.fraction]
    used: set[int] = set()
    result = []
    for i in signed:
        up = words[i]
        if i in used or up.text[0] not in "+0":
            continue
        for j in signed:
            down = words[j]
            gap = down.top - up.base
            if (
                j not in used
                and j != i
                and down.text[0] in "-−–0"
                and min(abs(up.x0 - down.x0), abs(up.x1 - down.x1)) < 0.6 * up.size
                and -0.2 * up.cap < gap < 0.9 * up.cap
            ):
                used |= {i, j}
                text = f"{up.text} {down.text.replace('−', '-').replace('–', '-')}"
                word = _fraction_word(up, down)
                word.text = text
                result.append(word)
                break
    return [w for i, w in enumerate(words) if i not in used] + result
