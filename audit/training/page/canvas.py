"""A supersampled crop of a sheet, with the maps a network has to find on it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont

SIZE = 256  # px of a crop
STRIDE = 2  # px of the crop to a px of the maps
OVER = 3  # supersampling
MOST_TIPS = 48  # terminators labelled in a crop


@dataclass
class Tip:
    """A terminator: where, which way its body lies (`None`: symmetric, as ticks and dots)."""

    x: float
    y: float
    direction: float | None


@dataclass
class Canvas:
    """Draws in crop pixels; y down; keeps what was drawn as labels."""

    size: int = SIZE
    picture: Image.Image = field(init=False)
    text_mask: Image.Image = field(init=False)
    line_mask: Image.Image = field(init=False)
    extension_mask: Image.Image = field(init=False)
    text_turns: list[tuple[np.ndarray, float]] = field(default_factory=list)
    tips: list[Tip] = field(default_factory=list)

    def __post_init__(self) -> None:
        big, small = self.size * OVER, self.size // STRIDE
        self.picture = Image.new("L", (big, big), 255)
        self.text_mask = Image.new("L", (small, small), 0)
        self.line_mask = Image.new("L", (small, small), 0)
        self.extension_mask = Image.new("L", (small, small), 0)
        self._pen = ImageDraw.Draw(self.picture)

    def line(self, a, b, width: float, *, ink: int = 0, label: str = "") -> None:
        """Draw a straight line; `label` "line" or "extension" marks its pixels."""
        self._pen.line(
            [a[0] * OVER, a[1] * OVER, b[0] * OVER, b[1] * OVER],
            fill=ink,
            width=max(1, round(width * OVER)),
        )
        if label:
            mask = self.line_mask if label == "line" else self.extension_mask
            ends = [a[0] / STRIDE, a[1] / STRIDE, b[0] / STRIDE, b[1] / STRIDE]
            ImageDraw.Draw(mask).line(ends, fill=255, width=2)

    def polyline(self, points, width: float, *, ink: int = 0, label: str = "", **more) -> None:
        """Draw a polyline, with round joints unless `joint` says otherwise; `label` as in `line`."""
        flat = [(x * OVER, y * OVER) for x, y in points]
        joint = more.get("joint", "curve")
        self._pen.line(flat, fill=ink, width=max(1, round(width * OVER)), joint=joint)
        if label:
            mask = self.line_mask if label == "line" else self.extension_mask
            small = [(x / STRIDE, y / STRIDE) for x, y in points]
            ImageDraw.Draw(mask).line(small, fill=255, width=2)

    def fill(self, points, *, ink: int = 0) -> None:
        """Fill a polygon."""
        self._pen.polygon([(x * OVER, y * OVER) for x, y in points], fill=ink)

    def disc(self, centre, radius: float, *, ink: int = 0) -> None:
        """Fill a disc."""
        x, y, r = centre[0] * OVER, centre[1] * OVER, radius * OVER
        self._pen.ellipse([x - r, y - r, x + r, y + r], fill=ink)

    def arc(self, centre, radius: float, start: float, end: float, width: float, **more) -> None:
        """Draw an arc, degrees counter-clockwise as seen."""
        steps = max(4, int(abs(end - start) / 4))
        turns = np.radians(np.linspace(start, end, steps))
        points = [
            (centre[0] + radius * math.cos(t), centre[1] - radius * math.sin(t)) for t in turns
        ]
        self.polyline(points, width, ink=more.get("ink", 0), label=more.get("label", ""))

    def clear(self, box) -> None:
        """White out an upright box, as text that breaks a line does."""
        self._pen.rectangle([v * OVER for v in box], fill=255)

    def text(self, text: str, centre, turn: float, font: ImageFont.FreeTypeFont, **more) -> None:
        """Write text turned counter-clockwise about its centre, and mark it.

        `font` is sized in crop px times OVER. `stack` writes numerator over denominator instead.
        """
        tile = more.get("tile") or text_tile(text, font)
        stamp = tile.rotate(turn, resample=Image.BILINEAR, expand=True)
        x = round(centre[0] * OVER - stamp.width / 2)
        y = round(centre[1] * OVER - stamp.height / 2)
        ink = more.get("ink", 0)
        self.picture.paste(ink, (x, y), stamp)
        if more.get("unlabelled"):
            return
        block = Image.new("L", tile.size, 255).rotate(turn, expand=True)
        scale = OVER * STRIDE
        small = block.resize((max(1, block.width // scale), max(1, block.height // scale)))
        at = (round(x / scale), round(y / scale))
        self.text_mask.paste(255, at, small)
        here = Image.new("L", self.text_mask.size, 0)
        here.paste(255, at, small)
        self.text_turns.append((np.asarray(here) > 127, turn))

    def labels(self, *, crisp: bool = False) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return the crop and its labels.

        Parameters
        ----------
        crisp : bool
            Black and white as a plotter has it: every px that ink touches is black.

        Returns
        -------
        crop : (size, size) uint8 array
        masks : (4, size/2, size/2) uint8 array
            Text, dimension line, extension line, and the text's turn in steps of 2 degrees.
        tips : (MOST_TIPS, 4) float32 array
            x, y (crop px), direction (degrees, -1 for symmetric), 1 for a used row.
        """
        small = self.size // STRIDE
        masks = np.zeros((4, small, small), np.uint8)
        masks[0] = np.asarray(self.text_mask)
        masks[1] = np.asarray(self.line_mask)
        masks[2] = np.asarray(self.extension_mask)
        for here, turn in self.text_turns:
            masks[3][here] = round((turn % 180.0) / 2.0) % 90
        tips = np.zeros((MOST_TIPS, 4), np.float32)
        for row, tip in zip(tips, self.tips[:MOST_TIPS], strict=False):
            row[:] = tip.x, tip.y, -1.0 if tip.direction is None else tip.direction % 360.0, 1.0
        if crisp:
            black = self.picture.filter(ImageFilter.MinFilter(OVER))
            small = black.resize((self.size, self.size), Image.Resampling.NEAREST)
            return np.where(np.asarray(small) < 128, 0, 255).astype(np.uint8), masks, tips
        return np.asarray(self.picture.reduce(OVER)), masks, tips


def text_tile(text: str, font: ImageFont.FreeTypeFont) -> Image.Image:
    """Return a tight mask of one line of text."""
    left, top, right, bottom = font.getbbox(text)
    tile = Image.new("L", (max(1, right - left + 2), max(1, bottom - top + 2)), 0)
    ImageDraw.Draw(tile).text((1 - left, 1 - top), text, font=font, fill=255)
    return tile


def stacked_tile(
    whole: str, top: str, bottom: str, font: ImageFont.FreeTypeFont, small: ImageFont.FreeTypeFont
) -> Image.Image:
    """Return a mask of a whole number beside a stacked fraction."""
    n, d = text_tile(top, small), text_tile(bottom, small)
    w = text_tile(whole, font) if whole else Image.new("L", (1, 1), 0)
    gap, bar = max(2, n.height // 5), max(1, n.height // 9)
    wide = max(n.width, d.width) + 2 * bar
    height = n.height + d.height + 2 * gap + bar
    start = w.width + gap * 2 if whole else 0
    tile = Image.new("L", (start + wide, max(height, w.height)), 0)
    middle = tile.height // 2
    if whole:
        tile.paste(w, (0, middle - w.height // 2))
    tile.paste(n, (start + (wide - n.width) // 2, middle - bar - gap - n.height))
    tile.paste(d, (start + (wide - d.width) // 2, middle + bar + gap))
    pen = ImageDraw.Draw(tile)
    pen.line([start, middle, start + wide, middle], fill=255, width=bar)
    return tile
