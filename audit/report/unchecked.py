"""Texts that were not checked: which mark stands for each, neighbours of one reason together.

A parts list nobody compared is one group with one mark, not thirty; every text in it is outlined
on the sheet and listed all the same.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from audit.geometry import Box
from audit.geometry.box_index import BoxIndex
from audit.records import Audit, Sheet, SheetText, TextState
from audit.report.seen import see_page

NO_REASON = "nothing it could be compared with was found"
# Two boxes of one text found twice overlap by at least this share of the smaller.
SAME_TEXT_SHARE = 0.5
# Texts of one reason belong together when the gap between them is no wider than this, in heights
# of the text: columns of a parts list stand wide apart, its rows close.
WIDEST_GAP, HIGHEST_GAP = 9.0, 2.2
MOST_SHOWN = 12  # texts of one reason on the terminal: two lines of it
_QUOTED = re.compile(r"“[^”]*”")
_COLUMNS = re.compile(r" {2,}")  # how the cells of a row are joined


@dataclass(frozen=True, slots=True, kw_only=True)
class Unchecked:
    """One or more texts under one mark.

    `key` and `label` are those of the mark: a dimension's own (``d16``, ``16``), or a letter.
    """

    key: str
    label: str
    texts: tuple[SheetText, ...]

    @property
    def why(self) -> str:
        """The reason all of them share."""
        return self.texts[0].why or NO_REASON

    @property
    def head(self) -> str:
        """The text itself, or how many there are."""
        return self.written[0] if len(self.texts) == 1 else f"{len(self.texts)} texts"

    @property
    def written(self) -> tuple[str, ...]:
        """The texts; columns are parted, or 2 pieces of 3/4 in would look like 2 3/4 in."""
        return tuple(_COLUMNS.sub(" | ", text.text.strip()) for text in self.texts)

    @property
    def says(self) -> str:
        """Why, after the texts themselves when there are several."""
        if len(self.texts) == 1:
            return self.why
        return f"{', '.join(self.written)}: {self.why}"


def list_unchecked(audit: Audit, sheet: Sheet) -> tuple[Unchecked, ...]:
    """List the texts of a sheet that were not checked, grouped as they are marked.

    Parameters
    ----------
    audit : Audit
    sheet : Sheet

    Returns
    -------
    tuple of Unchecked
        In the order of the texts. A text that is a dimension's own goes by the dimension's mark
        and number; the others get letters.
    """
    owned, loose = [], []
    owners = _Owners(audit, sheet)
    for index, text in enumerate(audit.texts):
        if text.sheet != sheet.id or text.state is not TextState.NOT_CHECKED:
            continue
        owner = owners.of(text)
        if owner is None:
            loose.append((index, text))
        else:
            single = Unchecked(key=f"d{owner}", label=str(owner), texts=(text,))
            owned.append((index, single))
    lettered = [
        (
            group[0][0],
            Unchecked(
                key=f"t{group[0][0]}", label=name_letter(n), texts=tuple(text for _, text in group)
            ),
        )
        for n, group in enumerate(_group(loose, sheet))
    ]
    return tuple(unchecked for _, unchecked in sorted(owned + lettered, key=lambda pair: pair[0]))


def group_by_reason(unchecked: Sequence[Unchecked]) -> tuple[str, ...]:
    """Say in a line for each reason which texts were not checked for it.

    Parameters
    ----------
    unchecked : sequence of Unchecked
        Of one sheet.

    Returns
    -------
    tuple of str
        Those of most texts first; reasons that differ only in what they quote are one. Each text
        stands after its mark's number or letter; where there are many, the first of them.
    """
    groups: dict[str, list[str]] = {}
    for one in unchecked:
        reason = _QUOTED.sub("“…”", one.why)
        first, *rest = (f"“{text}”" for text in one.written)
        groups.setdefault(reason, []).extend([f"{one.label} {first}", *rest])
    ordered = sorted(groups.items(), key=lambda group: -len(group[1]))
    return tuple(f"{reason}: {_first_of(texts)}" for reason, texts in ordered)


def _first_of(texts: Sequence[str]) -> str:
    shown = ", ".join(texts[:MOST_SHOWN])
    more = len(texts) - MOST_SHOWN
    return f"{shown} and {more} more (all are in the marked-up PDF)" if more > 0 else shown


class _Owners:
    """Whose own text a text is, on one sheet."""

    def __init__(self, audit: Audit, sheet: Sheet) -> None:
        here = [d for d in audit.dimensions if d.sheet == sheet.id]
        self._read = [(d.id, d.reading.box) for d in here if d.reading is not None]
        self._index = BoxIndex([box for _, box in self._read])

    def of(self, text: SheetText) -> int | None:
        """Return the number of the first dimension whose text it is."""
        near = (self._read[k] for k in self._index.meeting(text.box))
        return next((number for number, box in near if _is_same(box, text.box)), None)


def _is_same(a: Box, b: Box) -> bool:
    width = min(a.x1, b.x1) - max(a.x0, b.x0)
    height = min(a.y1, b.y1) - max(a.y0, b.y0)
    smaller = min(a.width * a.height, b.width * b.height)
    return width > 0 and height > 0 and width * height >= SAME_TEXT_SHARE * smaller


def _group(
    loose: Sequence[tuple[int, SheetText]], sheet: Sheet
) -> list[list[tuple[int, SheetText]]]:
    """Gather neighbours of one reason; groups and members in the order of the texts."""
    page = see_page(sheet)
    boxes = [page.place_box(text.box) for _, text in loose]
    root = list(range(len(loose)))

    def find(i: int) -> int:
        while root[i] != i:
            i = root[i]
        return i

    index = BoxIndex(boxes)
    for i, (_, text) in enumerate(loose):
        least = min(boxes[i].width, boxes[i].height)
        near = index.meeting(boxes[i], aside=WIDEST_GAP * least, above=HIGHEST_GAP * least)
        for j in (j for j in near if j < i):
            if text.why == loose[j][1].why and _are_neighbours(boxes[i], boxes[j]):
                first, second = sorted((find(i), find(j)))
                root[second] = first
    groups: dict[int, list[tuple[int, SheetText]]] = {}
    for i, pair in enumerate(loose):
        groups.setdefault(find(i), []).append(pair)
    return list(groups.values())


def _are_neighbours(a: Box, b: Box) -> bool:
    height = min(a.width, a.height, b.width, b.height)
    aside = max(a.x0, b.x0) - min(a.x1, b.x1)
    above = max(a.y0, b.y0) - min(a.y1, b.y1)
    return aside <= WIDEST_GAP * height and above <= HIGHEST_GAP * height


def name_letter(number: int) -> str:
    """Name the n-th text by letters, counted from 0.

    Examples
    --------
    >>> name_letter(0), name_letter(25), name_letter(26), name_letter(701), name_letter(702)
    ('a', 'z', 'aa', 'zz', 'aaa')
    """
    name, number = "", number + 1
    while number:
        number, digit = divmod(number - 1, 26)
        name = chr(ord("a") + digit) + name
    return name
