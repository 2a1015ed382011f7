"""One training sample: a line drawn with some pen, cluttered, cropped, scanned, prepared."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np

from audit.networks.crops import prepare
from audit.training.reader import clutter, crowding, in_place, scanning
from audit.training.reader.aiming import aim_at
from audit.training.reader.layout import Page, set_line
from audit.training.reader.pens import (
    Hand,
    OutlineFont,
    OutlinePen,
    Pen,
    StrokePen,
    own_hand,
    read_manifest,
    stroke_hands,
)
from audit.training.reader.sizes import Line, Part
from audit.training.reader.texts import draw_line

Rng = np.random.Generator
# Letters that stay themselves, or become others, when turned by half a turn.
TURNABLE = set("0168 9./-'\"()HINOSXZHxoszlIOØ=+:±#%WMuncdpqb[]°⁄ ,")
GROUP_WEIGHTS = {"sans": 0.23, "cad": 0.17, "hand": 0.42, "mono": 0.05, "serif": 0.13}
# Share of crops cut as the text finder cuts them on a sheet.
IN_PLACE_SHARE = 0.5
PLACED_SHARE = 0.58  # of those: sizes as they stand on dimension lines
# Share of lines written with our own letters, with stroke fonts, with outline fonts.
PEN_SHARES = (0.34, 0.18, 0.48)
# Least capital height by look, px: half-size prints at 150 dpi go down to this; the figures of a
# stack are smaller than the capitals.
SMALLEST_CAP_PX = {"clean": 8.5, "grey": 9.5, "bilevel": 11.5, "photo": 11.5, "coarse": 13.0}
STACK_MORE_PX = 3.5
LARGEST_CAP_PX = 42.0


@dataclass(frozen=True)
class Alphabet:
    """The fonts a run may draw with."""

    fonts: dict[str, tuple[OutlineFont, ...]]
    hands: tuple[Hand, ...]
    own: bool


@dataclass(frozen=True, slots=True)
class Sample:
    """A crop as the network sees it, with its label, the kind of text and of pen."""

    picture: np.ndarray
    label: str
    kind: str
    pen: str


@lru_cache(maxsize=8)
def load_alphabet(folder: str, role: str) -> Alphabet:
    """Load the fonts of a role; our own letters belong to training only."""
    groups: dict[str, list[OutlineFont]] = {}
    for font in read_manifest(Path(folder), (role,)):
        groups.setdefault(font.group, []).append(font)
    path = Path(folder) / f"strokes-{role}.json"
    hands = stroke_hands(path) if path.exists() else ()
    fonts = {group: tuple(members) for group, members in groups.items()}
    return Alphabet(fonts, hands, role == "train")


def draw_pen(rng: Rng, alphabet: Alphabet, line: Line) -> tuple[Pen, str, Line] | None:
    """Draw a pen that has the line's characters, and the line as that pen writes it."""
    roll = rng.random()
    written = "".join(p.upper + p.lower for p in line.parts)
    if alphabet.own and roll < PEN_SHARES[0]:
        wild = float(rng.choice([0.0, rng.uniform(0.2, 0.7), rng.uniform(0.5, 1.1)]))
        return StrokePen(rng, own_hand(), wild=wild), "own", line
    if alphabet.hands and (roll < PEN_SHARES[0] + PEN_SHARES[1] or not alphabet.fonts):
        hand = alphabet.hands[int(rng.integers(len(alphabet.hands)))]
        wild = float(rng.choice([0.0, rng.uniform(0.1, 0.5), rng.uniform(0.4, 0.9)]))
        return (StrokePen(rng, hand, wild=wild), "stroke", line) if hand.writes(written) else None
    names = [g for g in GROUP_WEIGHTS if g in alphabet.fonts]
    weights = np.array([GROUP_WEIGHTS[g] for g in names])
    members = alphabet.fonts[names[int(rng.choice(len(names), p=weights / weights.sum()))]]
    # Families with many cuts must not crowd out the others.
    families = sorted({m.family for m in members})
    family = families[int(rng.integers(len(families)))]
    cuts = [m for m in members if m.family == family]
    font = cuts[int(rng.integers(len(cuts)))]
    if font.unicase and any(c.islower() for c in written):
        line = Line(line.kind, tuple(Part(p.form, p.upper.upper(), p.lower) for p in line.parts))
        written = written.upper()
    if not font.writes(written):
        return None
    return OutlinePen(rng, font), font.group, line


def window_around(rng: Rng, page: Page) -> clutter.Window:
    """Crop window: tight as a rule, loose at times, sides apart."""
    x0, y0, x1, y1 = page.box
    loose = rng.random()
    top = 0.12 if loose < 0.4 else 0.4 if loose < 0.8 else 1.0
    margins = rng.uniform(0.0, top, 4) * page.cap + rng.uniform(0, 2)
    wide = rng.uniform(0.0, 1.6 * top, 2) * page.cap
    return (
        x0 - margins[0] - wide[0], y0 - margins[1], x1 + margins[2] + wide[1], y1 + margins[3],
    )  # fmt: skip


def thicken(rng: Rng, page: Page) -> None:
    """Let the ink spread or shrink a little."""
    roll = rng.random()
    if roll < 0.16:
        cv2.dilate(page.ink, np.ones((2, 2), np.uint8), dst=page.ink)
    elif roll < 0.2 and page.pen_width < 5:
        cv2.dilate(page.ink, np.ones((3, 3), np.uint8), dst=page.ink)
    elif roll < 0.26 and page.pen_width > 3:
        cv2.erode(page.ink, np.ones((2, 2), np.uint8), dst=page.ink)


def roughen(rng: Rng, page: Page) -> None:
    """Leave ink as pens and pencils do: grain, skips, bleeding into the paper."""
    roll, shape = rng.random(), page.ink.shape
    if roll < 0.4:
        grain = cv2.blur(rng.standard_normal(shape, dtype=np.float32), (3, 3))
        tooth = np.clip(1.0 + rng.uniform(0.5, 1.6) * (grain - 0.1), 0, 1)
        page.ink[:] = page.ink * tooth
    elif roll < 0.6:
        small = (max(2, shape[1] // 7), max(2, shape[0] // 7))
        patches = rng.standard_normal(small[::-1], dtype=np.float32)
        field = cv2.resize(patches, shape[::-1], interpolation=cv2.INTER_LINEAR)
        page.ink[:] = page.ink * np.clip(2.2 - 1.6 * (field - 0.4), rng.uniform(0.15, 0.7), 1)
    else:
        spread = cv2.blur(page.ink, (5, 5)).astype(np.float32)
        page.ink[:] = np.maximum(page.ink, np.minimum(spread * rng.uniform(1.0, 1.7), 255))


def neighbours(rng: Rng, page: Page, window: clutter.Window) -> None:
    """Let slivers of the lines above and below come into the crop."""
    x0, y0, x1, y1 = page.box
    height, width = y1 - y0, x1 - x0
    for above in (True, False):
        if rng.random() < 0.5:
            continue
        room = (y0 - window[1]) if above else (window[3] - y1)
        depth = int(min(room, rng.uniform(0.05, 0.45) * height))
        if depth < 2:
            continue
        shift = int(rng.integers(-width // 3, width // 3 + 1))
        strip = page.ink[y1 - depth : y1, x0:x1] if above else page.ink[y0 : y0 + depth, x0:x1]
        top = round(window[1]) if above else round(window[3]) - depth
        left = max(0, x0 + shift)
        copy = strip[:, : max(0, page.ink.shape[1] - left)].copy()
        target = page.ink[top : top + depth, left : left + copy.shape[1]]
        np.maximum(target, copy[: target.shape[0]], out=target)


def beside(rng: Rng, page: Page, window: clutter.Window) -> clutter.Window:
    """Let a piece of a neighbouring word come into the crop at its left or right edge."""
    x0, y0, x1, y1 = page.box
    wide = int(rng.uniform(0.1, 0.6) * page.cap)
    gap = rng.uniform(0.6, 1.6) * page.cap
    at = int(rng.integers(x0, max(x0 + 1, x1 - wide)))
    piece = page.ink[y0:y1, at : at + wide].copy()
    left = rng.random() < 0.5
    edge = round(x0 - gap - wide) if left else round(x1 + gap)
    if edge < 0 or edge + piece.shape[1] > page.ink.shape[1]:
        return window
    target = page.ink[y0:y1, edge : edge + piece.shape[1]]
    np.maximum(target, piece, out=target)
    # The window ends in the middle of that ink.
    if left:
        return (edge + 0.5 * wide * rng.random(), *window[1:])
    return (*window[:2], edge + wide * (1 - 0.5 * rng.random()), window[3])


def wobble(rng: Rng, page: Page) -> None:
    """Bend the whole line's ink softly, as drawn by hand on paper that moved."""
    height, width = page.ink.shape
    grid = (max(3, round(height / page.cap * 1.2)), max(3, round(width / page.cap * 1.2)))
    strength = rng.uniform(0.01, 0.05) * page.cap
    fields = [
        cv2.resize(
            rng.normal(0, strength, grid).astype(np.float32),
            (width, height),
            interpolation=cv2.INTER_CUBIC,
        )
        for _ in range(2)
    ]
    xs, ys = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    page.ink[:] = cv2.remap(page.ink, xs + fields[0], ys + fields[1], cv2.INTER_LINEAR)


def restyle(rng: Rng, page: Page) -> None:
    """Give a line's letters another build: waists higher or lower, uprights bowed, widths uneven."""
    height, width = page.ink.shape
    ys, xs = np.arange(height, dtype=np.float32), np.arange(width, dtype=np.float32)
    up = np.clip((page.baseline - ys) / page.cap, 0.0, 1.0)
    waist = float(np.exp(rng.normal(0, 0.2)))
    rows = ys + page.cap * (up - up**waist).astype(np.float32)
    bow, lean = rng.normal(0, 0.07), rng.normal(0, 0.12)
    across = page.cap * (bow * (2 * up - 1) ** 2 + lean * up).astype(np.float32)
    knots = max(3, round(width / page.cap))
    uneven = np.interp(xs, np.linspace(0, width, knots), rng.normal(0, 0.09 * page.cap, knots))
    along = (xs + uneven).astype(np.float32)
    page.ink[:] = cv2.remap(
        page.ink,
        along[None, :] + across[:, None],
        np.repeat(rows[:, None], width, axis=1),
        cv2.INTER_LINEAR,
    )


def handle(rng: Rng, page: Page, pen_name: str, *, by_hand: bool) -> None:
    """Let a line's ink be built, bent, thickened and worn as its hand and paper do."""
    if rng.random() < (0.4 if pen_name == "hand" else 0.1):
        restyle(rng, page)
    if rng.random() < (0.35 if by_hand else 0.08):
        wobble(rng, page)
    thicken(rng, page)
    if rng.random() < (0.32 if by_hand else 0.06):
        roughen(rng, page)


def ground(rng: Rng, picture: np.ndarray) -> np.ndarray:
    """Put the text on a filled ground: gray, dotted, white on black, a blueprint's mottled dark."""
    roll = rng.random()
    if roll < 0.3:
        return np.minimum(picture, np.uint8(rng.integers(120, 235)))
    if roll < 0.5:
        step = int(rng.integers(2, 5))
        picture = picture.copy()
        picture[::step, ::step] = np.minimum(picture[::step, ::step], 90)
        return picture
    if roll < 0.7:
        return 255 - picture
    dark, light = rng.uniform(20, 110), rng.uniform(60, 140)
    mottled = dark + light * (1 - picture.astype(np.float32) / 255)
    mottled = scanning.stained(rng, mottled)
    return scanning.to_bytes(mottled + scanning.noise(rng, mottled.shape, rng.uniform(0, 9)))


def draw_sample(
    rng: Rng, alphabet: Alphabet, *, kind: str | None = None, look: str | None = None,
    clean: bool = False, cap_px: float | None = None, focus: float = 0.0,
) -> Sample:  # fmt: skip
    """Draw one sample; `clean` leaves clutter out, `focus` is a share that must hold a stack."""
    stacked = rng.random() < focus
    while True:
        placed = not clean and rng.random() < IN_PLACE_SHARE
        size_only = placed and kind is None and rng.random() < PLACED_SHARE
        line = draw_line(rng, kind="placed" if size_only else kind)
        if stacked and all(p.form in ("text", "limits") for p in line.parts):
            continue
        chosen = draw_pen(rng, alphabet, line)
        if chosen is None:
            continue
        pen, pen_name, line = chosen
        by_hand = (isinstance(pen, StrokePen) and pen.wild > 0) or pen_name == "hand"
        page = set_line(rng, pen, line, float(rng.uniform(30, 42)), hand=by_hand)
        if page is None:
            continue
        handle(rng, page, pen_name, by_hand=by_hand)
        seen = look or scanning.draw_look(rng)
        smallest = SMALLEST_CAP_PX[seen] + STACK_MORE_PX * any(p.form != "text" for p in line.parts)
        # The smaller, the harder: a third come from the lower part.
        largest = LARGEST_CAP_PX if rng.random() < 0.67 else 1.6 * smallest
        size = cap_px or float(np.exp(rng.uniform(np.log(smallest), np.log(largest))))
        label = line.label
        if placed:
            found = in_place.draw_in_place(rng, page, look=seen, cap_px=size)
            if found is not None:
                return Sample(prepare(found), label, line.kind, pen_name)
            continue
        picture = _draw_cut(rng, page, look=seen, cap_px=size, clean=clean, by_hand=by_hand)
        if not clean and rng.random() < 0.02 and not set(label) <= TURNABLE:
            turns = int(rng.choice([1, 2, 2, 3]))
            return Sample(prepare(np.rot90(picture, turns)), "", "turned", pen_name)
        return Sample(prepare(picture), label, line.kind, pen_name)


def _draw_cut(
    rng: Rng, page: Page, *, look: str, cap_px: float, clean: bool, by_hand: bool
) -> np.ndarray:
    """Clutter a page, cut a crop with all that stands around, and scan it."""
    window = window_around(rng, page)
    if not clean and rng.random() < 0.1:
        neighbours(rng, page, window)
    if not clean and rng.random() < 0.04:
        window = beside(rng, page, window)
    if not clean and rng.random() < 0.5:
        crowding.add_clutter(rng, page, window)
    if not clean and by_hand and rng.random() < 0.07:
        clutter.guide_lines(rng, page, window)
    seen = aim_at(rng, page, window, cap_px=cap_px).take(page.ink)
    picture = scanning.scan(rng, seen, look=look, cap_px=cap_px)
    return ground(rng, picture) if not clean and rng.random() < 0.06 else picture


def draw_nothing(rng: Rng) -> Sample:
    """Draw a crop with nothing to read: blank, lines, hatching, pieces of outlines."""
    cap = float(rng.uniform(24, 40))
    width = float(rng.uniform(0.4, 9)) * cap
    edge = round(2.2 * cap)
    ink = np.zeros((round(2 * cap) + 2 * edge, round(width) + 2 * edge), np.uint8)
    box = (edge, edge, edge + round(width), edge + round(cap * rng.uniform(0.6, 1.8)))
    page = Page(ink, box, box[3] - 0.1 * cap, cap, int(rng.integers(2, 6)))
    window = window_around(rng, page)
    if rng.random() < 0.9:
        for _ in range(int(rng.integers(1, 4))):
            crowding.add_clutter(rng, page, window)
    size = float(np.exp(rng.uniform(np.log(9), np.log(40))))
    picture = scanning.scan(rng, aim_at(rng, page, window, cap_px=size).take(page.ink))
    return Sample(prepare(picture), "", "nothing", "none")


NOTHING_SHARE = 0.04


def draw_any(rng: Rng, alphabet: Alphabet, *, focus: float = 0.0) -> Sample:
    """Draw a sample of any kind, one in twenty-five with nothing to read."""
    if rng.random() < NOTHING_SHARE:
        return draw_nothing(rng)
    return draw_sample(rng, alphabet, focus=focus)
