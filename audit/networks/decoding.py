"""From what a reader network writes to texts: beam search, spellings, several looks put together.

Legend: a *frame* is half a column of the network's output; the *blank* says that nothing begins
here; a text's probability is that of all paths of frames that spell it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audit.networks.alphabet import BLANK, CHARACTERS, plain

Floats = NDArray[np.float64]

BEAM = 8
LEAST_SHARE = 2e-3  # a class less likely in a frame begins no new text
SURE_BLANK = 0.9995  # frames this surely blank are passed over
CANDIDATES = 4
LEAST_CANDIDATE = 0.002  # of the probability; rarer ones are noise
STUTTER_SHARE = 0.25  # of the likeliest text: less is no reading to fall back on


@dataclass(frozen=True, slots=True)
class NetCandidate:
    """One way to read a crop, fractions as ``a b/c``, with the probability of the whole text."""

    text: str
    confidence: float


def log_softmax(logits: NDArray[np.float32]) -> Floats:
    """Logarithms of the probabilities of each frame's classes."""
    x = logits.astype(np.float64)
    x -= x.max(axis=1, keepdims=True)
    return np.asarray(x - np.log(np.exp(x).sum(axis=1, keepdims=True)), float)


def decode(log_probabilities: Floats) -> tuple[NetCandidate, ...]:
    """Find the likeliest texts of one crop by prefix beam search.

    Parameters
    ----------
    log_probabilities : (frames, classes) array

    Returns
    -------
    tuple of NetCandidate
        Best first; empty when the likeliest text is no text at all.

    References
    ----------
    A. Graves et al., connectionist temporal classification, 2006; prefix beam search as A. Hannun
    et al., 2014, describe it (both from memory).
    """
    beams: dict[tuple[int, ...], tuple[float, float]] = {(): (1.0, 0.0)}
    shares = np.exp(log_probabilities)
    told = iter(_told(shares))
    # plain floats: arithmetic with single values of an array is slow
    for blank in shares[:, BLANK].tolist():
        if blank > SURE_BLANK:
            beams = {p: ((b + n) * blank, 0.0) for p, (b, n) in beams.items()}
            continue
        beams = _step(beams, *next(told))
    return _as_candidates(beams)


def _told(shares: Floats) -> list[tuple[list[float], list[int]]]:
    """Give the probabilities of each frame that is not surely blank, and which texts it begins."""
    rows = shares[shares[:, BLANK] <= SURE_BLANK]
    begins = rows > LEAST_SHARE
    begins[:, BLANK] = False
    frames, classes = np.nonzero(begins)
    ends = np.searchsorted(frames, np.arange(1, len(rows))).tolist()
    begun = classes.tolist()
    parts = [begun[a:b] for a, b in zip([0, *ends], [*ends, len(begun)], strict=True)]
    return list(zip(rows.tolist(), parts, strict=True)) if len(rows) else []


def _step(
    beams: dict[tuple[int, ...], tuple[float, float]], row: list[float], begun: list[int]
) -> dict[tuple[int, ...], tuple[float, float]]:
    """Advance every prefix by one frame, in which `begun` are likely, and keep the best few.

    What is less likely than every prefix is as it stands is not among them, unless it joins one.
    """
    stays = {
        prefix: ((blank + other) * row[BLANK], other * row[prefix[-1]] if prefix else 0.0)
        for prefix, (blank, other) in beams.items()
    }
    least = min(map(sum, stays.values())) if len(stays) >= BEAM else 0.0
    grown: dict[tuple[int, ...], tuple[float, float]] = {}
    parents = {prefix[:-1] for prefix in beams} if begun else set()
    for prefix, (blank, other) in beams.items():
        last = prefix[-1] if prefix else BLANK
        first, second = stays[prefix]
        grown[prefix] = (first, second + grown[prefix][1] if prefix in grown else second)
        joins = prefix in parents
        for k in begun:
            share = (blank if k == last else blank + other) * row[k]
            if joins and (*prefix, k) in stays:
                first, second = grown.get((*prefix, k), (0.0, 0.0))
                grown[(*prefix, k)] = (first, second + share)
            elif share >= least:
                grown[(*prefix, k)] = (0.0, share)
    return dict(sorted(grown.items(), key=lambda item: -(item[1][0] + item[1][1]))[:BEAM])


def _as_candidates(
    beams: dict[tuple[int, ...], tuple[float, float]],
) -> tuple[NetCandidate, ...]:
    """Spell the prefixes; what means the same is one candidate, spelled as its likeliest form."""
    spelled: dict[str, float] = {}
    for prefix, (blank, other) in beams.items():
        text = plain("".join(CHARACTERS[k - 1] for k in prefix))
        spelled[text] = spelled.get(text, 0.0) + blank + other
    ranked = _without_stutter(_merge_spellings(spelled))[:CANDIDATES]
    if not ranked or not ranked[0][0]:
        return ()
    return tuple(
        NetCandidate(text, float(min(1.0, p)))
        for text, p in ranked
        if text and p >= LEAST_CANDIDATE
    )


def _without_stutter(ranked: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """Leave out texts in which a fraction has two bars, where one with one bar is at hand.

    Where a bar leans over the figure below it, the frames of both mix: ``1/4`` comes out as
    ``1//4`` or ``1/4/``. No size has two bars, whatever its figures.
    """
    sound = [one for one in ranked if not _TWO_BARS.search(one[0])]
    return sound if sound and sound[0][1] > STUTTER_SHARE * ranked[0][1] else ranked


_TWO_BARS = re.compile(r"\d/+\d*/")


def spelling_key(text: str) -> str:
    """Fold what makes no difference to a callout: case, and gaps that do not part two figures.

    Examples
    --------
    >>> spelling_key("2x Ø 1/8"), spelling_key("2X Ø1/8"), spelling_key("1 1/8")
    ('2XØ1/8', '2XØ1/8', '1 1/8')
    """
    return _IDLE_GAP.sub("", text.upper().replace("×", "X"))


_IDLE_GAP = re.compile(r"(?<![0-9]) | (?![0-9])")


def _merge_spellings(spelled: dict[str, float]) -> list[tuple[str, float]]:
    merged: dict[str, tuple[str, float]] = {}
    for text, p in sorted(spelled.items(), key=lambda item: -item[1]):
        likeliest, so_far = merged.get(spelling_key(text), (text, 0.0))
        merged[spelling_key(text)] = (likeliest, so_far + p)
    return sorted(merged.values(), key=lambda item: -item[1])


def combine(*looks: Sequence[NetCandidate]) -> tuple[NetCandidate, ...]:
    """Average the probabilities that several looks give each text, best first.

    Examples
    --------
    >>> a, b = NetCandidate("1/8", 0.6), NetCandidate("7/8", 0.3)
    >>> [c.text for c in combine([a, b], [NetCandidate("7/8", 0.9)])]
    ['7/8', '1/8']
    >>> combine([], [])
    ()
    """
    share = 1 / len(looks)
    return merge_candidates(
        [NetCandidate(c.text, c.confidence * share) for said in looks for c in said]
    )


def merge_candidates(candidates: Sequence[NetCandidate]) -> tuple[NetCandidate, ...]:
    """Add up the probabilities of candidates that mean the same, best first."""
    shares: dict[str, float] = {}
    for candidate in candidates:
        shares[candidate.text] = shares.get(candidate.text, 0.0) + candidate.confidence
    return tuple(NetCandidate(t, share) for t, share in _merge_spellings(shares)[:CANDIDATES])
