"""The pieces of a callout as the grammar finds them, in printed order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from audit.lengths.amounts import Amount, read_amount

if TYPE_CHECKING:
    from lark import Token, Tree


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of a callout.

    Attributes
    ----------
    form : str
        The grammar rule: ``amount``, ``limits``, ``count``, ``role``, ``mark`` …
    name : str
        The terminal that matched, for signs, roles, operations and marks (``RADIUS``).
    text : str
        The text of that terminal.
    amounts : tuple of Amount
        One for an amount, two for limits and for upper and lower deviation.
    inner : tuple of Piece
        What stands in the parentheses or brackets.
    """

    form: str
    name: str = ""
    text: str = ""
    amounts: tuple[Amount, ...] = ()
    inner: tuple[Piece, ...] = ()


def read_pieces(tree: Tree[Token]) -> tuple[Piece, ...]:
    """Flatten the parse of one callout into its pieces."""
    return tuple(_read_piece(child) for child in _subtrees(tree))


def _read_piece(tree: Tree[Token]) -> Piece:
    form = str(tree.data)
    if form in ("group", "bracket"):
        return Piece(form=form, inner=read_pieces(_subtrees(tree)[0]))
    if form == "tolerance":
        return Piece(form=form, amounts=_read_deviations(tree))
    amounts = tuple(read_amount(child) for child in _subtrees(tree))
    tokens = [child for child in tree.children if not hasattr(child, "data")]
    first = tokens[0] if tokens else None
    name, text = (first.type, str(first)) if first is not None else ("", "")
    return Piece(form=form, name=name, text=text, amounts=amounts)


def _read_deviations(tree: Tree[Token]) -> tuple[Amount, ...]:
    """Upper and lower deviation, signed, in that order; nothing for a bare ±."""
    signed: list[Amount] = []
    sign = ""
    for child in tree.children:
        if hasattr(child, "data"):
            amount = read_amount(cast("Tree[Token]", child))
            signed.append(amount.negated() if sign == "-" else amount)
            if sign == "±":
                signed.append(amount.negated())
        else:
            sign = str(child)
    if len(signed) == 1:
        zero = signed[0].scaled(0)
        signed.append(zero)
    return tuple(sorted(signed, key=lambda a: a.value, reverse=True))


def _subtrees(tree: Tree[Token]) -> list[Tree[Token]]:
    return [cast("Tree[Token]", child) for child in tree.children if hasattr(child, "data")]
