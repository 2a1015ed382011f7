"""The characters the reader network can write, and how its labels become text.

Class 0 is the CTC blank; class k is `CHARACTERS[k - 1]`. `STACK_BAR` is written between the two
halves of anything printed one above the other (or on a slanted bar), so that a stacked fraction
is told from an inline one; in the text handed on both are a plain slash.
"""

from __future__ import annotations

STACK_BAR = "⁄"
CHARACTERS = (
    " 0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz/⁄.,-'\"()[]Ø°±:;=+#×%&*@⌴⌵↧□℄"
)
BLANK = 0
CLASSES = len(CHARACTERS) + 1

_INDEX = {character: k + 1 for k, character in enumerate(CHARACTERS)}


def encode(label: str) -> list[int]:
    """Class numbers of a label.

    Raises
    ------
    KeyError
        If a character is not in `CHARACTERS`.

    Examples
    --------
    >>> encode("3")
    [5]
    >>> encode("")
    []
    """
    return [_INDEX[character] for character in label]


def plain(label: str) -> str:
    """Text of a label: the stack bar becomes a slash, runs of spaces one space.

    Examples
    --------
    >>> plain("3  5⁄8")
    '3 5/8'
    >>> plain("")
    ''
    """
    return " ".join(label.replace(STACK_BAR, "/").split())
