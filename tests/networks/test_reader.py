"""The reader network on text that other programs drew: MuPDF's fonts, stacked by hand."""

from __future__ import annotations

import hashlib
from importlib import resources

import numpy as np
import pytest

from audit.networks import reader
from audit.networks.alphabet import BLANK, CHARACTERS, CLASSES
from audit.networks.clearing import Cleared
from audit.networks.decoding import NetCandidate, decode
from audit.networks.reader import SURE, read_crops
from tests.snapping.drawn import degrade, new_page, render

SHA256 = {
    "reader.npz": "09130e8685115313766a0cc108c7145766d58f95b0859357d3753c12ca3038d3",
    "reader-second.npz": "2e4347830ffe258094e95b0e4f23ba2e0b737b48a9f7a20e430f1c0bb3e030b3",
    "reader-third.npz": "671a76f721ee95257d6af4143bfe2636b263dc21d8cd919c422f1a939575ca76",
}


def draw(text: str, *, dpi: int = 300, font: str = "helv") -> np.ndarray:
    page = new_page()
    page.insert_text((40, 60), text, fontsize=11, fontname=font)
    return crop_ink(render(page, dpi).gray)


def draw_stacked(whole: str, top: str, bottom: str, *, dpi: int = 300) -> np.ndarray:
    page = new_page()
    page.insert_text((40, 64), whole, fontsize=11)
    page.insert_text((50, 58), top, fontsize=7)
    page.insert_text((50, 68), bottom, fontsize=7)
    page.draw_line((49, 60.3), (58.5, 60.3), width=0.5)
    return crop_ink(render(page, dpi).gray)


def crop_ink(gray: np.ndarray) -> np.ndarray:
    rows, columns = np.nonzero(gray < 128)
    return gray[rows.min() - 4 : rows.max() + 5, columns.min() - 4 : columns.max() + 5]


def test_weights_are_the_ones_that_were_measured():
    folder = resources.files("audit.networks").joinpath("weights")
    files = {name: folder.joinpath(name).read_bytes() for name in SHA256}
    assert {name: hashlib.sha256(data).hexdigest() for name, data in files.items()} == SHA256
    assert sum(map(len, files.values())) <= 11_000_000


@pytest.mark.parametrize("text", ["3 9/32", "12.375", "R 1/2", "MAKE 6", "5'-6 1/2\"", "4X"])
@pytest.mark.parametrize("font", ["helv", "tiro", "cour"])
def test_inline_text_is_read_as_printed(text, font):
    ((first, *_),) = read_crops([draw(text, font=font)])
    assert first.text.replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize(
    ("whole", "top", "bottom"),
    [("3", "9", "32"), ("1", "11", "16"), ("5", "1", "2"), ("", "7", "8")],
)
def test_stacked_fraction_is_read_where_general_engines_drop_it(whole, top, bottom):
    ((first, *_),) = read_crops([draw_stacked(whole, top, bottom)])
    assert first.text == f"{whole} {top}/{bottom}".strip()


@pytest.mark.parametrize("text", ["3 5/7", "10 1/10", "7/13", "2 9/11"])
def test_a_fraction_no_shop_uses_is_not_made_a_usual_one(text):
    ((first, *_),) = read_crops([draw(text)])
    assert first.text == text


def test_blank_and_tiny_crops_read_as_nothing():
    rng = np.random.default_rng(1)
    noisy = degrade(np.full((40, 160), 235, np.uint8), rng, noise=9, blur=0.5)
    assert read_crops([np.full((30, 90), 255, np.uint8), noisy, np.zeros((0, 5), np.uint8)]) == (
        (), (), (),
    )  # fmt: skip


def test_order_is_kept_and_a_batch_reads_as_one_by_one():
    crops = [draw("12.375"), draw("7/8"), draw("ALL PARTS 1/4 THICK"), draw("2")]
    together = [c[0].text for c in read_crops(crops)]
    assert together == [read_crops([c])[0][0].text for c in crops]


def test_light_text_on_dark_is_read_too():
    ((first, *_),) = read_crops([255 - draw("3 9/32")])
    assert first.text == "3 9/32"


def path(*frames: str) -> np.ndarray:
    """Log-probabilities in which each frame is surely one class; '' is the blank."""
    rows = np.full((len(frames), CLASSES), 1e-9)
    for row, character in zip(rows, frames, strict=True):
        row[CHARACTERS.index(character) + 1 if character else BLANK] = 1.0
    return np.log(rows / rows.sum(axis=1, keepdims=True))


def test_decoding_keeps_doubled_figures_apart_by_the_blank():
    assert decode(path("1", "", "1"))[0].text == "11"
    assert decode(path("1", "1", ""))[0].text == "1"
    assert decode(path("", "", "")) == ()


def test_probability_is_of_the_whole_text_over_all_paths():
    rows = np.full((2, CLASSES), 1e-12)
    one = CHARACTERS.index("1") + 1
    rows[:, one], rows[:, BLANK] = 0.6, 0.4
    best = decode(np.log(rows))[0]
    # "1" by hand: 1 then blank, blank then 1, 1 twice: .6*.4 + .4*.6 + .6*.6
    assert (best.text, best.confidence) == ("1", pytest.approx(0.84, abs=1e-6))


def test_what_is_hard_to_see_is_less_sure():
    rng = np.random.default_rng(3)
    clear = draw("3 9/32")
    ((first, *_),) = read_crops([clear])
    dim = degrade(255 - (255 - clear) // 3, rng, noise=30, blur=2.5)
    (worse,) = read_crops([dim])
    assert first.confidence >= SURE
    assert not worse or worse[0].confidence < first.confidence


class Said:
    """A network that gives each look one text; counts the looks it was asked for."""

    def __init__(self, *looks):
        self.looks, self.asked = looks, 0

    def read(self, prepared):
        self.asked += len(prepared)
        text, confidence = self.looks[min(self.asked, len(self.looks)) - 1]
        return [(NetCandidate(text, confidence),) for _ in prepared]


@pytest.mark.parametrize(
    ("says", "text", "looks"),
    [
        ((("1/8", 0.99), ("7/8", 1.0), ("7/8", 1.0)), "1/8", (1, 0, 0)),  # no doubt: only the first
        ((("1/8", 0.9), ("1/8", 0.96), ("7/8", 1.0)), "1/8", (1, 1, 0)),  # one mind
        ((("1/8", 0.7), ("1/8", 0.9), ("1/8", 0.9)), "1/8", (1, 1, 1)),  # one mind, but not sure
        ((("1/8", 0.97), ("7/8", 0.9), ("1/8", 0.9)), "1/8", (1, 1, 1)),  # two of three
        ((("1/8", 0.97), ("7/8", 0.9), ("7/8", 0.9)), "7/8", (1, 1, 1)),
    ],
)
def test_what_leaves_doubt_is_read_by_all_networks(monkeypatch, says, text, looks):
    asked = [Said(one) for one in says]
    for name, network in zip(("FIRST", "SECOND", "THIRD"), asked, strict=True):
        monkeypatch.setattr(reader, name, network)
    (said,) = reader._look([draw("1/8")])
    assert (said[0].text, tuple(n.asked for n in asked)) == (text, looks)


def test_clearing_that_leaves_nothing_but_marks_took_a_lone_figure(monkeypatch):
    monkeypatch.setattr(reader, "clear_edges", lambda gray: Cleared(gray, safe=True, crossed=False))
    monkeypatch.setattr(reader, "_look", lambda crops: [(NetCandidate('"', 0.99),)] * len(crops))
    results = [(NetCandidate('1"', 0.6),)]
    reader._look_inside([draw('1"')], results)
    assert results[0][0].text == '1"'


def test_a_bare_number_counts_for_less_than_the_same_with_its_mark():
    """A cut may have left it of a longer text: `650` of `.650`, `2` of `1/2`."""
    said = [NetCandidate("650", 0.88), NetCandidate("650 R", 0.5), NetCandidate("65", 0.1)]
    bare, other, last = reader._calibrate(said)
    ((marked,),) = [reader._calibrate([NetCandidate(".650", 0.88)])]
    assert bare.confidence < 0.9 < marked.confidence
    assert bare.confidence >= other.confidence >= last.confidence  # best first, as they were
    assert [bare.text, other.text] == ["650", "650 R"]
