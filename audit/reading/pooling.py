"""Several spellings of one reading, their probabilities together."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from audit.networks.reader import odds_of, raise_odds
from audit.records import Candidate


def pool_spellings(
    own: Sequence[Candidate], respell: Callable[[str], str]
) -> tuple[Candidate, ...]:
    """Add up what the network says of texts that are spelled alike in the end.

    Parameters
    ----------
    own : sequence of Candidate
        The network's, of one text.
    respell : callable
        From a text as it was read to what it means.

    Returns
    -------
    tuple of Candidate
        Best first. Odds are those of the text that is meant.
    """
    shares: dict[str, float] = {}
    for c in own:
        text = respell(c.text)
        share = raise_odds(c.confidence, 1.0 / odds_of(c.text))
        shares[text] = min(1.0, shares.get(text, 0.0) + share)
    ranked = sorted(shares, key=lambda text: -shares[text])
    return tuple(
        replace(own[0], text=t, confidence=raise_odds(shares[t], odds_of(t))) for t in ranked
    )
