"""Figures counted in a picture: as many as were read, none of them a line that runs on.

An extension line that passes a text looks like a 1, but it runs on past the text. Where as many
figures as were read stand clear of all that runs on, the line is none of them.
"""

from __future__ import annotations

import math
import re

import cv2
import numpy as np

from audit.reading.near import Gray, turn_upright
from audit.records import Reading

# Lengths in heights of the text's box.
ROOM = 0.35  # around it: what reaches so far over or under the text runs on
FIGURE = 0.4  # height of the least figure, that of a stacked fraction; points are lower
IN_ROW = 0.75  # of the tallest figure, those beside it without a fraction
HANGS = 0.1  # under the middle: so far down the strokes of an inch mark reach
RIM = 0.1  # past its ends, where no middle of a figure is
LEAST_PX = 8.0  # height of a text whose figures can be told apart
DEPTH = 0.45  # share of the darkest ink
FAINTEST = 25.0  # gray levels
# An inch mark hangs behind the last figure; other marks, and signs, may be as high or fall apart.
_COUNTED = re.compile(r"[\d.,/ ]+\"?")


def show_every_figure(reading: Reading, gray: Gray) -> bool:
    """Whether all figures of a reading stand in the picture, apart from lines that run on.

    Parameters
    ----------
    reading : Reading
        Level or upright, its box in px of the picture.
    gray : (h, w) uint8 array

    Returns
    -------
    bool
        `False` too where the figures cannot be counted.
    """
    if not _COUNTED.fullmatch(reading.text):
        return False
    level = abs(math.cos(math.radians(reading.angle))) > math.sqrt(0.5)
    box = reading.box
    length, height = (box.width, box.height) if level else (box.height, box.width)
    if height < LEAST_PX:
        return False
    room = ROOM * height
    crop, _ = turn_upright(
        gray, box.centre, angle=reading.angle, width=length + 2 * room, height=height + 2 * room
    )
    seen = _heights(crop, room, height, marked=reading.text.endswith('"'))
    # figures of one row are about as high: a lower blob is a piece of one
    whole = "/" in reading.text or min(seen, default=0) >= IN_ROW * max(seen, default=1)
    return whole and len(seen) == sum(c not in '., "' for c in reading.text)


def _heights(crop: Gray, room: float, height: float, *, marked: bool) -> list[int]:
    """Heights of the blobs as high as a figure whose middle is in the text and that end near it.

    Of a text with an inch mark, those that hang behind all others are strokes of that.
    """
    depth = float(np.percentile(crop, 90)) - crop.astype(np.float32)
    full = float(np.percentile(depth, 99))
    if full < FAINTEST:
        return []
    inked = np.asarray(depth > DEPTH * full, np.uint8)
    count, _, stats, centres = cv2.connectedComponentsWithStats(inked, connectivity=8)
    rim = room - RIM * height
    found = []
    for (_, y, _, high, _), (x, _) in zip(stats[1:count], centres[1:count], strict=True):
        runs_on = y == 0 or y + high == len(crop)
        within = rim < x < crop.shape[1] - rim
        if within and not runs_on and high >= FIGURE * height:
            found.append((float(x), int(high), int(y + high)))
    found.sort()
    while marked and found and found[-1][2] < len(crop) / 2 + HANGS * height:
        found.pop()
    return [high for _, high, _ in found]
