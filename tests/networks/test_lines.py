"""Callouts of several lines, set by MuPDF."""

from __future__ import annotations

import networkx
import numpy as np
import pytest

from audit.networks.decoding import spelling_key
from audit.networks.lines import MIDDLE, STEEPEST, find_seam, split_lines
from audit.networks.reader import read_crops
from tests.snapping.drawn import new_page, render


def crop_of(*texts: tuple[float, float, str, float], bar: bool = False) -> np.ndarray:
    page = new_page()
    for x, y, text, size in texts:
        page.insert_text((x, y), text, fontsize=size)
    if bar:
        page.draw_line((59, 74.5), (75, 74.5), width=0.6)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    return gray[rows.min() - 4 : rows.max() + 5, columns.min() - 4 : columns.max() + 5]


def test_two_lines_are_read_one_after_the_other():
    crop = crop_of((60, 60, "1/4 DRILL", 11), (60, 74, "4 HOLES", 11))
    assert len(split_lines(crop)) == 2
    ((first, *_),) = read_crops([crop])
    assert first.text == "1/4 DRILL 4 HOLES"


def test_three_lines_come_from_the_top_down():
    crop = crop_of((60, 60, "MAKE 6", 11), (60, 74, "3/4 PLY", 11), (60, 88, "SAND", 11))
    ((first, *_),) = read_crops([crop])
    assert first.text == "MAKE 6 3/4 PLY SAND"


def test_two_decimals_over_each_other_are_limits():
    crop = crop_of((60, 60, "1.500", 11), (60, 73, "1.495", 11))
    ((first, *_),) = read_crops([crop])
    assert first.text == "1.500/1.495"


def test_a_stacked_fraction_is_one_line():
    crop = crop_of((60, 72, "25", 9), (60, 84, "32", 9), bar=True)
    assert len(split_lines(crop)) == 1


@pytest.mark.parametrize("text", ["3 9/32", "gypsy: j", "12.5 ; i", "5'-6 1/2\""])
def test_one_line_stays_one(text):
    assert len(split_lines(crop_of((60, 60, text, 11)))) == 1


def test_blank_and_tiny_crops_stay_as_they_are():
    blank = np.full((40, 90), 255, np.uint8)
    assert split_lines(blank)[0] is blank
    tiny = np.zeros((3, 3), np.uint8)
    assert split_lines(tiny)[0] is tiny


def test_a_line_reaches_under_the_foot_of_a_fraction_beside_it():
    page = new_page()
    for x, y, text, size in (
        (60, 65, "25", 9), (60, 76.5, "32", 9), (74, 71, "DRILL", 11), (74, 84, "4 HOLES", 11),
    ):  # fmt: skip
        page.insert_text((x, y), text, fontsize=size)
    page.draw_line((59, 67.3), (71, 67.3), width=0.6)
    gray = render(page, 300).gray
    rows, columns = np.nonzero(gray < 128)
    crop = gray[rows.min() - 4 : rows.max() + 5, columns.min() - 4 : columns.max() + 5]
    assert len(split_lines(crop)) == 2
    ((first, *_),) = read_crops([crop])
    assert spelling_key(first.text) == spelling_key("25/32 DRILL 4 HOLES")


def test_a_seam_keeps_to_paper_and_out_of_a_fraction():
    ink = np.zeros((40, 60), np.bool_)
    ink[4:16, 4:56] = ink[24:36, 4:56] = True
    ink[10:22, 20:30] = True  # a foot that reaches lower
    seam = find_seam(ink)
    assert seam is not None
    assert not ink[seam, np.arange(60)].any()
    ink[:, 30:34] = True
    assert find_seam(ink) is None


def test_there_is_a_seam_where_steps_through_paper_lead_from_left_to_right():
    """The graph of steps is asked by networkx."""
    rng, found = np.random.default_rng(4), []
    first, last = round(MIDDLE[0] * 24), round(MIDDLE[1] * 24) + 1
    for k in range(24):
        ink = rng.random((24, 30)) < (0.5, 0.65, 0.75)[k % 3]
        paper = [(y, x) for y in range(first, last) for x in range(30) if not ink[y, x]]
        steps = [(p, (p[0] + d, p[1] + 1)) for p in paper for d in range(-STEEPEST, STEEPEST + 1)]
        graph = networkx.DiGraph([s for s in steps if s[1] in set(paper)])
        graph.add_edges_from([("left", p) for p in paper if p[1] == 0])
        graph.add_edges_from([(p, "right") for p in paper if p[1] == 29])
        seam = find_seam(np.asarray(ink, np.bool_))
        assert (seam is not None) == networkx.has_path(graph, "left", "right")
        assert seam is None or not ink[seam, np.arange(30)].any()
        found.append(seam is not None)
    assert 0 < sum(found) < len(found)
