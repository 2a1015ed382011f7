"""Look at what the generator draws.

python -m audit.training.reader.mosaic FONTS OUT.png [--role ROLE] [--seed N] [--kind KIND]
"""

from __future__ import annotations

import argparse

import cv2
import numpy as np

from audit.networks.alphabet import plain
from audit.training.reader.samples import Sample, draw_any, draw_sample, load_alphabet

CELL = (62, 560)


def tile(sample: Sample) -> np.ndarray:
    """One sample with its label under it."""
    cell = np.full(CELL, 255, np.uint8)
    width = min(sample.picture.shape[1], CELL[1])
    cell[:48, :width] = sample.picture[:, :width]
    cell[:48, width : width + 1] = 150
    label = plain(sample.label).encode("ascii", "replace").decode()
    cv2.putText(
        cell, f"{label}  [{sample.pen} {sample.kind}]", (2, 60), 0, 0.36, 90, 1, cv2.LINE_AA
    )
    return cell


def main() -> None:
    """Draw a sheet of samples."""
    parser = argparse.ArgumentParser()
    parser.add_argument("fonts")
    parser.add_argument("out")
    parser.add_argument("--role", default="train")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kind")
    parser.add_argument("--rows", type=int, default=22)
    given = parser.parse_args()
    rng = np.random.default_rng(given.seed)
    alphabet = load_alphabet(given.fonts, given.role)
    draw = (
        (lambda: draw_sample(rng, alphabet, kind=given.kind))
        if given.kind
        else (lambda: draw_any(rng, alphabet))
    )
    sheet = [np.hstack([tile(draw()) for _ in range(3)]) for _ in range(given.rows)]
    cv2.imwrite(given.out, np.vstack(sheet))


if __name__ == "__main__":
    main()
