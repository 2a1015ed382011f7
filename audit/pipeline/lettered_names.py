"""Names of parts that are lettered inside their outline: ``SIDE - MAKE 2`` in the middle of a side.

A title stands under its view, and views are given those when they are laid out. A name with a count
says as much wherever it stands, so it titles the view around it: not without a count, for a word in
an assembly only points at one of its pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from audit.checks.names import read_words
from audit.records import Statement, StatementKind, View, ViewKind

SHOWS_A_PART = frozenset(
    {ViewKind.TRUE, ViewKind.HALF, ViewKind.FLAT_PATTERN, ViewKind.BROKEN, ViewKind.SECTION}
)
MOST_WORDS = 4  # of a name; more are a sentence
# What is counted in a part, and is none.
FEATURES = frozenset({"HOLE", "SLOT", "SIZE", "PLACE", "SCREW", "COAT", "NOTCH", "CORNER", "END"})


def name_by_lettering(views: Sequence[View], statements: Sequence[Statement]) -> tuple[View, ...]:
    """Title the views that have no title by the one counted name inside them.

    Parameters
    ----------
    views : sequence of View
        Of one sheet.
    statements : sequence of Statement
        Of the same sheet.

    Returns
    -------
    tuple of View
        In the same order.
    """
    taken = [view.title for view in views if view.title]
    labels = [s for s in statements if _names_a_part(s) and not any(s.text in t for t in taken)]
    around = {id(s): [v.id for v in views if v.box.contains(s.box.centre)] for s in labels}
    return tuple(_named(v, [s for s in labels if v.id in around[id(s)]], around) for v in views)


def _named(view: View, inside: Sequence[Statement], around: dict[int, list[int]]) -> View:
    if view.title or view.kind not in SHOWS_A_PART or len(inside) != 1:
        return view
    [label] = inside
    return replace(view, title=label.text) if around[id(label)] == [view.id] else view


def _names_a_part(statement: Statement) -> bool:
    if statement.kind is not StatementKind.COUNT or not statement.count:
        return False
    words = read_words(statement.subject)
    if not 0 < len(words) <= MOST_WORDS or FEATURES & set(words):
        return False
    return all(word.isalpha() or word == "&" for word in words)
