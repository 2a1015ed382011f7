"""The page's server reads from several threads: each gets its own answer."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from PIL import Image, ImageDraw

from audit.networks.page import run_page
from audit.networks.reader import read_crops


def crop(text):
    picture = Image.new("L", (24 + 14 * len(text), 40), 255)
    ImageDraw.Draw(picture).text((10, 8), text, fill=0, font_size=22)
    return np.asarray(picture)


def test_threads_read_what_one_reads_alone():
    texts = [("12", "3.5"), ("R 40",), ("116.25", "7", "88"), ("2 3/8",)] * 6
    crops = [[crop(t) for t in group] for group in texts]
    alone = [read_crops(group) for group in crops]
    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(read_crops, crops)) == alone


def test_threads_see_the_page_one_sees_alone():
    rng = np.random.default_rng(5)
    pages = [
        np.where(rng.random((300 + 90 * k, 420)) < 0.02, 0, 255).astype(np.uint8) for k in range(4)
    ]

    def look(page):
        return run_page(page, px_per_mm=7.87).terminators

    alone = [look(page) for page in pages]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(look, pages)) == alone
