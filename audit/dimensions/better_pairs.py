"""Lines and numbers that both come off better with each other than with what they were given.

The cheapest sum for a whole sheet gives every line a number, the false ones among them: a stroke
without a number of its own takes one that stands in the gap of another line, and that line takes
a note beyond its end. Such a chain is undone where both that were parted are much worse off; a
number that is nearly as good for one of them stays where the sum puts it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

Edge = tuple[int, int]
# Letter heights by which both must be worse off: less is what hands stray in placing a number.
MUCH_WORSE = 0.6


def edges_that_part(costs: Mapping[Edge, float], given: Iterable[Edge]) -> set[Edge]:
    """Return the given pairs that keep a line from the number which suits both best.

    Parameters
    ----------
    costs : mapping of tuple to float
        Of a line, by its index, with a text, by its own.
    given : iterable of tuple
        Pairs out of `costs`, each line and each text in at most one.

    Returns
    -------
    set of tuple
    """
    by_line = dict(given)
    by_text = {text: line for line, text in by_line.items()}
    claims: dict[int, Edge] = {}
    for (line, text), cost in costs.items():
        if line not in by_line or text not in by_text:
            continue
        least = min(costs[line, by_line[line]], costs[by_text[text], text])
        best = costs[claims.get(line, (line, by_line[line]))]
        if cost + MUCH_WORSE < least and cost < best:
            claims[line] = (line, text)
    return {(by_text[text], text) for _, text in claims.values()}
