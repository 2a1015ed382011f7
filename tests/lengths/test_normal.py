from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.lengths import normalise
from audit.lengths.normal import MAX_TEXT, split_columns


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("1⅞”  TYP", '1 7/8" TYP'),
        ("1³⁄₈", "1 3/8"),
        ("⅟16", "1/16"),
        ("½½", "1/2 1/2"),
        ("45º", "45°"),
        ("45⁰", "45°"),
        ("45˚", "45°"),
        ("3´-6", "3'-6"),
        ("Φ6 φ6 ∅6", "Ø6 Ø6 Ø6"),
        ("%%c.250 %%p.005 45%%d", "Ø.250 ±.005 45°"),
        ("+/-.005", "±.005"),
        ("3·5", "3.5"),
        ("№ 8", "No 8"),
        ("Ｒ１／４", "R1/4"),
        ("a\r\n\n b", "a\nb"),
        ("1\x00\x1b[31m2", "1 [31m2"),
        ("1\u200b/\u00ad2", "1/2"),
        ("H7/g6", "H7/g6"),
    ],
)
def test_look_alikes_fold_into_one_spelling(text: str, plain: str) -> None:
    assert normalise(text) == plain


@given(st.text(max_size=80))
def test_folding_twice_changes_nothing_and_leaves_no_control_character(text: str) -> None:
    plain = normalise(text)
    assert normalise(plain) == plain
    assert plain.replace("\n", "").isprintable()


def test_hostile_length_is_cut_before_any_work() -> None:
    assert len(normalise("½" * 10_000_000)) < 40 * MAX_TEXT


def test_columns_part_at_two_spaces_tabs_and_bars() -> None:
    assert split_columns("3  CAM\t4 | 3/8 x 1 5/8") == ("3", "CAM", "4", "3/8 x 1 5/8")
    assert split_columns("") == ()
