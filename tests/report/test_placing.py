"""Places of marks: never on a printed number, never on each other, never misread."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audit.geometry import Box, Point
from audit.report.placing import Ink, Spot, Surroundings, Wish, place_marks

PAGE = Box(0, 0, 612, 792)


def overlap(a: Box, b: Box) -> bool:
    return a.x0 < b.x1 and b.x0 < a.x1 and a.y0 < b.y1 and b.y0 < a.y1


def place_one(wish: Wish, **around: object) -> Spot:
    texts = (wish.text,) if wish.text else ()
    fields: dict[str, object] = {"page": PAGE, "texts": texts} | around
    return place_marks([wish], Surroundings(**fields))[0]  # type: ignore[arg-type]


def over(x0: float, x1: float, y: float, *, width: float = 24) -> tuple[Box, tuple[Point, Point]]:
    """Text above the middle of a horizontal dimension line."""
    mid = (x0 + x1) / 2
    return Box(mid - width / 2, y - 12, mid + width / 2, y - 3), (Point(x0, y), Point(x1, y))


def test_a_mark_stands_across_the_line_from_its_text() -> None:
    text, line = over(100, 300, 200)
    spot = place_one(Wish(width=14, height=14, text=text, line=line))
    assert spot.box.centre.x == pytest.approx(200)
    assert 200 < spot.box.y0 < 204
    assert spot.leader == ()


def test_a_mark_under_a_vertical_line_stands_beside_it() -> None:
    line = (Point(100, 300), Point(100, 200))
    text = Box(88, 240, 97, 260)
    box = place_one(Wish(width=14, height=14, text=text, line=line)).box
    assert box.x0 > 100
    assert box.centre.y == pytest.approx(250)


def test_a_text_that_breaks_its_line_is_stepped_over() -> None:
    line = (Point(100, 200), Point(300, 200))
    text = Box(185, 191, 215, 209)
    box = place_one(Wish(width=14, height=14, text=text, line=line)).box
    assert not overlap(box, text)
    assert box.centre.x == pytest.approx(200)


def test_a_number_does_not_read_on_into_a_printed_one() -> None:
    """A ring with its number 16 left of a printed 3/8 would read 16 3/8."""
    text = Box(200, 100, 230, 110)
    blocked = (Box(150, 112, 280, 140), Box(150, 70, 280, 98), Box(232, 90, 330, 120))
    free = place_one(Wish(width=20, height=10, text=text), texts=(text, *blocked))
    assert free.box.x1 <= 200  # the number inside: left is as good as any
    read = place_one(
        Wish(width=20, height=10, text=text, number_beside=True), texts=(text, *blocked)
    )
    level = min(read.box.y1, text.y1) - max(read.box.y0, text.y0)
    assert read.box.x1 < text.x0 - 20 or level < 3 or read.box.x0 > text.x1


def test_a_mark_far_from_its_text_gets_a_leader() -> None:
    text = Box(300, 300, 330, 310)
    ring = tuple(
        Box(x, y, x + 29, y + 29) for x in range(225, 400, 30) for y in range(225, 380, 30)
    )
    crowd = tuple(box for box in ring if not overlap(box, text))
    spot = place_one(Wish(width=14, height=14, text=text), texts=(text, *crowd))
    assert len(spot.leader) == 2
    assert not any(overlap(spot.box, box) for box in crowd)


def test_the_line_of_another_dimension_is_kept_free() -> None:
    text, line = over(100, 300, 200)
    other = (Point(100, 209), Point(300, 209))
    box = place_one(Wish(width=14, height=14, text=text, line=line), lines=(line, other)).box
    assert not box.y0 < 209 < box.y1


def test_ink_is_avoided_where_there_is_white_beside_it() -> None:
    text, line = over(100, 300, 200)
    dark = np.zeros((792, 612), dtype=bool)
    dark[202:300, 60:340] = True
    spot = place_one(Wish(width=14, height=14, text=text, line=line), ink=Ink.of(dark, step=1.0))
    x0, y0, x1, y1 = (round(v) for v in spot.box)
    assert not dark[y0:y1, x0:x1].any()


def test_ink_share_counts_pixels() -> None:
    """Against a plain mean of the pixels (numpy)."""
    rng = np.random.default_rng(7)
    dark = rng.random((40, 60)) < 0.3
    ink = Ink.of(dark, step=2.0)
    boxes = np.array([[10.0, 20.0, 50.0, 60.0], [0, 0, 120, 80], [118, 78, 130, 90]])
    wanted = [dark[10:30, 5:25].mean(), dark.mean(), dark[39:, 59:].mean()]
    assert ink.share(boxes) == pytest.approx(wanted)


def test_marks_of_a_whole_page_stand_in_a_row_at_the_top() -> None:
    wishes = [Wish(width=14, height=14, around=PAGE, whole_page=True)] * 3
    spots = place_marks(wishes, Surroundings(page=PAGE))
    assert {round(s.box.centre.y, 3) for s in spots} == {round(spots[0].box.centre.y, 3)}
    assert all(s.box.y1 < 30 for s in spots)
    assert all(s.leader == () for s in spots)
    assert not overlap(spots[0].box, spots[1].box)


boxes = st.builds(
    lambda x, y, w, h: Box(x, y, x + w, y + h),
    st.floats(10, 500),
    st.floats(10, 700),
    st.floats(4, 60),
    st.floats(4, 14),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(boxes, min_size=1, max_size=25), st.booleans())
def test_no_mark_lies_on_any_text_or_mark_while_there_is_room(
    texts: list[Box], beside: bool
) -> None:
    wishes = [Wish(width=18, height=12, text=box, number_beside=beside) for box in texts]
    spots = place_marks(wishes, Surroundings(page=PAGE, texts=tuple(texts)))
    for i, spot in enumerate(spots):
        assert not any(overlap(spot.box, text) for text in texts)
        assert not any(overlap(spot.box, other.box) for other in spots[:i])
        assert spot.box.x0 >= 0
        assert spot.box.y0 >= 0
        assert spot.box.x1 <= PAGE.x1
        assert spot.box.y1 <= PAGE.y1


def test_on_a_page_without_room_a_mark_still_spares_its_own_text() -> None:
    page, text = Box(0, 0, 60, 40), Box(2, 15, 58, 25)
    above, below = Box(0, 0, 60, 14), Box(0, 26, 60, 40)
    spot = place_marks(
        [Wish(width=14, height=10, text=text)],
        Surroundings(page=page, texts=(text, *[above, below] * 5)),
    )[0]
    assert not overlap(spot.box, text)
