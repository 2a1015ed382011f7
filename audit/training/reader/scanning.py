"""From ink to a picture: paper, scanner, fax, photo. Works at the scan's own resolution."""

from __future__ import annotations

import cv2
import numpy as np

Rng = np.random.Generator
LOOKS = ("clean", "grey", "bilevel", "photo", "coarse")
LOOK_WEIGHTS = (0.21, 0.25, 0.24, 0.12, 0.18)
# Of a picture that was taken too coarse: capital height, px, and how many times coarser at most.
COARSEST_CAP_PX, COARSEST = 8.5, 3.0
ENLARGED = (cv2.INTER_CUBIC, cv2.INTER_CUBIC, cv2.INTER_LINEAR, cv2.INTER_LANCZOS4)


def inked(rng: Rng, ink: np.ndarray) -> np.ndarray:
    """Darken thin lines that the scan's resolution has thinned out, as a scanner's gain does."""
    peak = float(np.percentile(ink, 99))
    if peak < 30:
        return ink
    gain = max(1.0, rng.uniform(170, 275) / peak)
    return np.minimum(ink.astype(np.float32) * gain, 255).astype(np.uint8)


def paper_and_ink(rng: Rng, ink: np.ndarray, *, contrast: float) -> np.ndarray:
    """Gray picture of an ink mask (0 to 255) on even paper."""
    white = rng.uniform(225, 256)
    black = white * (1 - contrast)
    return white + (black - white) * (ink.astype(np.float32) / 255)


def uneven_light(rng: Rng, picture: np.ndarray) -> np.ndarray:
    """Multiply by a slope of light and a soft shadow."""
    height, width = picture.shape
    gx, gy = rng.normal(0, 0.25, 2)
    xs = np.linspace(-0.5, 0.5, width, dtype=np.float32)
    ys = np.linspace(-0.5, 0.5, height, dtype=np.float32)[:, None]
    light = 1 + gx * xs + gy * ys
    if rng.random() < 0.3:
        edge = rng.uniform(-0.5, 0.5)
        light = light * (
            1 - rng.uniform(0.1, 0.45) / (1 + np.exp((xs - edge) * rng.uniform(5, 40)))
        )
    return picture * np.clip(light, 0.3, 1.6) * rng.uniform(0.55, 1.0)


def stained(rng: Rng, picture: np.ndarray) -> np.ndarray:
    """Add slow blotches, as blueprints and old paper have."""
    height, width = picture.shape
    grid = rng.normal(0, 1, (max(2, height // 12), max(2, width // 12))).astype(np.float32)
    return picture + rng.uniform(2, 16) * cv2.resize(
        grid, (width, height), interpolation=cv2.INTER_CUBIC
    )


def shown_through(rng: Rng, picture: np.ndarray) -> np.ndarray:
    """Let the other side of the paper show through, soft and the wrong way round."""
    height, width = picture.shape
    shift = (int(rng.integers(-height, height + 1)), int(rng.integers(-width, width + 1)))
    back = np.roll(picture[:, ::-1], shift, axis=(0, 1))
    back = blurred(np.ascontiguousarray(back), rng.uniform(1.0, 4.0))
    return picture - rng.uniform(0.03, 0.2) * np.maximum(float(back.max()) - back, 0)


def compressed(rng: Rng, picture: np.ndarray, low: int) -> np.ndarray:
    """Send through JPEG and back."""
    quality = int(rng.integers(low, 96))
    done, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])
    return cv2.imdecode(data, cv2.IMREAD_GRAYSCALE) if done else picture


def to_bytes(picture: np.ndarray) -> np.ndarray:
    """Clip to 0..255."""
    return np.clip(picture, 0, 255).astype(np.uint8)


def blurred(picture: np.ndarray, sigma: float) -> np.ndarray:
    """Gaussian blur; under a fifth of a pixel nothing."""
    return cv2.GaussianBlur(picture, (0, 0), sigma) if sigma > 0.2 else picture


def noise(rng: Rng, shape: tuple[int, ...], sigma: float) -> np.ndarray:
    """Gaussian noise."""
    return rng.standard_normal(shape, dtype=np.float32) * np.float32(sigma)


def look_clean(rng: Rng, ink: np.ndarray) -> np.ndarray:
    """Rendered by a program: antialiased or hard pixels."""
    if rng.random() < 0.3:
        ink = np.where(ink > rng.uniform(60, 170), 255, 0).astype(np.uint8)
    contrast = rng.uniform(0.35, 1.0) if rng.random() < 0.25 else 1.0
    picture = to_bytes(paper_and_ink(rng, ink, contrast=contrast))
    return compressed(rng, picture, 30) if rng.random() < 0.2 else picture


def look_grey(rng: Rng, ink: np.ndarray) -> np.ndarray:
    """Scanned in gray."""
    picture = paper_and_ink(rng, ink, contrast=rng.uniform(0.3, 0.98))
    picture = blurred(picture, rng.uniform(0.2, 1.1))
    if rng.random() < 0.3:
        picture = stained(rng, picture)
    if rng.random() < 0.12:
        picture = shown_through(rng, picture)
    picture = picture + noise(rng, picture.shape, rng.uniform(0, 14))
    picture = to_bytes(picture)
    return compressed(rng, picture, 20) if rng.random() < 0.5 else picture


def look_bilevel(rng: Rng, ink: np.ndarray) -> np.ndarray:
    """Scanned to black and white: ragged edges, breaks, filled gaps, specks."""
    picture = blurred(255.0 - ink.astype(np.float32), rng.uniform(0.3, 1.0))
    darkest = float(np.percentile(picture, 2))
    rough = blurred(noise(rng, picture.shape, rng.uniform(2, 34)), rng.uniform(0.3, 1.0))
    # The threshold lies between ink and paper, wherever blur has left the ink.
    limit = darkest + _draw_limit(rng) * (255 - darkest)
    if rng.random() < 0.3:
        limit = limit + uneven_limit(rng, picture.shape) * (255 - darkest)
    picture = np.where(picture + rough < limit, 0, 255).astype(np.uint8)
    if rng.random() < 0.35:
        count = int(rng.integers(1, 12))
        ys = rng.integers(0, picture.shape[0], count)
        xs = rng.integers(0, picture.shape[1], count)
        picture[ys, xs] = np.where(rng.random(count) < 0.6, 0, 255)
    return picture


def _draw_limit(rng: Rng) -> float:
    """Level that parts ink from paper, of the way between them: badly set now and then.

    Low, thin strokes break; high, loops fill.
    """
    roll = rng.random()
    low, high = (0.42, 0.78) if roll < 0.8 else (0.3, 0.42) if roll < 0.92 else (0.78, 0.9)
    return float(rng.uniform(low, high))


def uneven_limit(rng: Rng, shape: tuple[int, ...]) -> np.ndarray:
    """Slow waves of the level that parts ink from paper: thin strokes break here, close up there."""
    grid = rng.normal(0, 1, (max(2, shape[0] // 9), max(2, shape[1] // 9))).astype(np.float32)
    waves = cv2.resize(grid, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return rng.uniform(0.03, 0.12) * waves - rng.uniform(0.0, 0.15)


def look_photo(rng: Rng, ink: np.ndarray) -> np.ndarray:
    """Photographed: soft, noisy, unevenly lit, compressed."""
    picture = paper_and_ink(rng, ink, contrast=rng.uniform(0.35, 0.95))
    picture = blurred(picture, rng.uniform(0.4, 1.5))
    if rng.random() < 0.25:
        length = int(rng.integers(2, 5))
        kernel = np.zeros((5, 5), np.float32)
        step = rng.normal(0, 1, 2)
        step /= max(np.abs(step).max(), 1e-6)
        for k in range(length):
            kernel[
                round(2 + step[0] * (k - length / 2) * 0.9),
                round(2 + step[1] * (k - length / 2) * 0.9),
            ] = 1
        picture = cv2.filter2D(picture, -1, kernel / kernel.sum())
    picture = uneven_light(rng, picture)
    picture = to_bytes(picture + noise(rng, picture.shape, rng.uniform(0, 10)))
    return compressed(rng, picture, 25) if rng.random() < 0.8 else picture


def look_coarse(rng: Rng, ink: np.ndarray, cap_px: float) -> np.ndarray:
    """Taken too coarse, by a phone from afar or saved small for the web, and enlarged again."""
    most = min(COARSEST, max(cap_px / COARSEST_CAP_PX, 1.0))
    factor = float(np.exp(rng.uniform(0.0, np.log(most))))
    shift = rng.uniform(0, 1, 2)
    small = max(4, round(ink.shape[1] / factor)), max(4, round(ink.shape[0] / factor))
    matrix = np.array([[1 / factor, 0, shift[0] - 0.5], [0, 1 / factor, shift[1] - 0.5]])
    soft = blurred(ink.astype(np.float32), 0.4 * factor)  # what one of its px takes in
    taken = cv2.warpAffine(soft, matrix, small, flags=cv2.INTER_LINEAR)
    picture = paper_and_ink(rng, np.minimum(taken, 255), contrast=rng.uniform(0.3, 0.95))
    picture = blurred(picture, rng.uniform(0.0, 1.3))
    if rng.random() < 0.5:
        picture = uneven_light(rng, picture)
    picture = to_bytes(picture + noise(rng, picture.shape, rng.uniform(0, 6)))
    if rng.random() < 0.4:
        picture = sharpened(rng, picture)
    picture = compressed(rng, picture, 45) if rng.random() < 0.9 else picture
    back = cv2.invertAffineTransform(matrix)
    how = ENLARGED[int(rng.integers(len(ENLARGED)))]
    whole = (ink.shape[1], ink.shape[0])
    picture = cv2.warpAffine(picture, back, whole, flags=how, borderMode=cv2.BORDER_REPLICATE)
    return compressed(rng, picture, 70) if rng.random() < 0.25 else picture


def sharpened(rng: Rng, picture: np.ndarray) -> np.ndarray:
    """Sharpen as phones and scanners do: light seams around ink."""
    wide = picture.astype(np.float32)
    soft = blurred(wide, rng.uniform(0.7, 2.0))
    return to_bytes(wide + rng.uniform(0.3, 1.6) * (wide - soft))


_MAKERS = {"clean": look_clean, "grey": look_grey, "bilevel": look_bilevel, "photo": look_photo}


def draw_look(rng: Rng) -> str:
    """Draw one of `LOOKS`."""
    return LOOKS[int(rng.choice(len(LOOKS), p=LOOK_WEIGHTS))]


def scan(rng: Rng, ink: np.ndarray, *, look: str | None = None, cap_px: float = 20.0) -> np.ndarray:
    """Picture of an ink mask under one of `LOOKS`, random when not named; capitals' height, px."""
    seen = look or draw_look(rng)
    if seen == "coarse":
        return look_coarse(rng, inked(rng, ink), cap_px)
    return _MAKERS[seen](rng, inked(rng, ink))
