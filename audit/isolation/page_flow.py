"""Text that runs down the pages of a printed document and over to the next when it must.

Runs in the worker process only.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from audit.isolation.typesetting import LEADING, Piece, Typesetter

BASE = 0.74  # of the leading: from the top of a line to its base line

Setter = TypeVar("Setter", bound=Typesetter)


class PageFlow(Generic[Setter]):
    """Pages that fill from the top; `y` is where the next thing begins.

    Parameters
    ----------
    setter : Typesetter
    begin : callable
        Begins a page of the setter.
    width : float
        Of a page, pt.
    margin : float
        Left, right and above, pt.
    bottom : float
        Where the foot of the page begins, from its top, pt.
    """

    def __init__(
        self,
        setter: Setter,
        begin: Callable[[], None],
        *,
        width: float,
        margin: float,
        bottom: float,
    ) -> None:
        self.setter = setter
        self._begin, self._top = begin, margin
        self.left, self.right, self.bottom = margin, width - margin, bottom
        self.y = 0.0
        self.new_page()

    @property
    def width(self) -> float:
        """What text may take from margin to margin, pt."""
        return self.right - self.left

    @property
    def is_begun(self) -> bool:
        """Whether anything stands on the page."""
        return self.y > self._top

    def new_page(self) -> None:
        """Begin a page."""
        self._begin()
        self.y = self._top

    def need(self, height: float) -> bool:
        """Begin a new page when less than `height` is left; tell whether it did."""
        if self.y + height <= self.bottom or not self.is_begun:
            return False
        self.new_page()
        return True

    def text(self, x: float, width: float, *pieces: Piece) -> None:
        """Write wrapped text at x and move on; runs over to the next page when it must."""
        leading = max(piece.size for piece in pieces) * LEADING
        for line in self.setter.break_lines(pieces, width):
            self.need(leading)
            self.setter.show_line(x, self.y + leading * BASE, line)
            self.y += leading

    def height(self, width: float, *pieces: Piece) -> float:
        """Height that pieces take when they are wrapped to a width, pt."""
        lines = self.setter.break_lines(pieces, width)
        return len(lines) * max(piece.size for piece in pieces) * LEADING

    def show_right(self, y: float, *pieces: Piece, edge: float | None = None) -> None:
        """Write one line that ends at the right edge, on the base line y."""
        words = self.setter.break_lines(pieces, 10_000)[0]
        wide = sum(w.width for w in words) + sum(w.space for w in words[1:])
        self.setter.show_line((self.right if edge is None else edge) - wide, y, words)
