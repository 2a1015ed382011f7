"""How surely a size was read, over all the spellings of it that were heard.

A reader shares what it hears among texts, a verdict is about a size: ``2'-0 5/8`` and the same with
its inch mark are one, ``11/2`` may be ``1 1/2`` with its gap lost, and the dash of ``-3/4`` is the
end of a line. Whether a size is usual, or fits the drawing, never enters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.lengths import Callout, Unit, parse_callouts
from audit.networks.dashes import without_end_dashes
from audit.networks.reader import odds_of, raise_odds
from audit.records import Candidate, ReadBy

MEANT = 1  # rank of a meaning that must not be passed over; further ones are far-fetched
SURE = 0.9  # from here a reading is believed as it is
SLACK = 0.02  # of the probabilities of all texts together: more, and some were set by a rule


def sure_of_size(
    best: Candidate, heard: Sequence[Candidate], *, callout: Callout, unit: Unit | None
) -> float:
    """Return how surely a size was read, whichever way it is spelled.

    Parameters
    ----------
    best : Candidate
        What is taken for printed.
    heard : sequence of Candidate
        All that was heard of the text, `best` among it.
    callout : Callout
        What `best` means.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    float
        The confidence of `best` at least; that alone where a rule, and no look, has set how likely
        the texts are, and for readers whose confidences are no probabilities.
    """
    if best.by is not ReadBy.NET or callout.size is None or best.confidence >= SURE:
        return best.confidence
    own = [c for c in heard if c.by is best.by]
    shares = [raise_odds(c.confidence, 1.0 / odds_of(c.text)) for c in own]
    if sum(shares) > 1.0 + SLACK:
        return best.confidence
    same = sum(
        share
        for c, share in zip(own, shares, strict=True)
        if c is best or may_mean(c.text, callout, unit=unit)
    )
    return max(best.confidence, raise_odds(min(same, 1.0), odds_of(best.text)))


def may_mean(text: str, callout: Callout, *, unit: Unit | None) -> bool:
    """Whether a text says, or may well say, the same as a callout.

    Examples
    --------
    >>> (said,) = parse_callouts('1 1/2"', unit=None)
    >>> [may_mean(text, said, unit=None) for text in ("1 1/2", "11/2", '-1 1/2"', "1/2", "R 1 1/2")]
    [True, True, True, False, False]
    >>> may_mean("", said, unit=None)
    False
    """
    whole = without_end_dashes(text.strip())
    meanings = parse_callouts(whole, unit=unit) if whole else ()
    meant = _plain(callout)
    same = (m for m in meanings if m.rank <= MEANT and _plain(m) == meant)
    return callout.size is not None and any(same)


def _plain(callout: Callout) -> Callout:
    """Return a callout without how it was spelled."""
    return replace(callout, text="", remark="", rank=0, unit_printed=False)
