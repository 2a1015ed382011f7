"""Photographs of sheets made through a camera model, with their truth.

Pose, focal length, radial distortion, light, shadow, blur, noise and JPEG are drawn from a
generator; nothing of the package is used but plain geometry of numpy. Backgrounds: wood, cloth,
concrete, in `DEVELOPMENT` and `HELD_OUT` kinds that share no texture.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np

PAPERS_MM = {
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "letter": (215.9, 279.4),
    "tabloid": (279.4, 431.8),
    "legal": (215.9, 355.6),
}
DEVELOPMENT = ("planks", "linen", "concrete")
HELD_OUT = ("grain", "check cloth", "stone chips")
SHEET_PX_PER_MM = 5.0


@dataclass(frozen=True, slots=True)
class Camera:
    """From mm on the sheet to pixels: pinhole, then a radial series on the normalised picture."""

    matrix: np.ndarray  # 3×3, sheet mm to ideal px
    centre: tuple[float, float]
    radius: float
    d1: float
    d2: float
    upward: np.ndarray = field(default_factory=lambda: np.zeros(3))  # what 1 mm off the table adds

    def see(self, mm: np.ndarray, above: np.ndarray | float = 0.0) -> np.ndarray:
        """Where places of the sheet appear, px, the first pixel's centre at .5; shape (n, 2).

        `above`: mm by which each lies above the table, towards the camera.
        """
        q = np.column_stack([mm, np.ones(len(mm))]) @ self.matrix.T
        q = q + np.broadcast_to(above, len(mm))[:, None] * self.upward
        d = q[:, :2] / q[:, 2:] - self.centre
        s = (d**2).sum(axis=1) / self.radius**2
        return self.centre + d * (1 + s * (self.d1 + s * self.d2))[:, None]

    def place(self, px: np.ndarray) -> np.ndarray:
        """Sheet places (mm) seen at pixels; the inverse of `see`, by iteration."""
        goal = px - self.centre
        d = goal.copy()
        for _ in range(25):
            s = (d**2).sum(axis=1) / self.radius**2
            d = goal / (1 + s * (self.d1 + s * self.d2))[:, None]
        q = np.column_stack([d + self.centre, np.ones(len(px))]) @ np.linalg.inv(self.matrix).T
        return q[:, :2] / q[:, 2:]


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph, and what is true of it. Corners from the sheet's top left, clockwise."""

    pixels: np.ndarray
    camera: Camera
    paper: str
    size_mm: tuple[float, float]  # width, height as the sheet lies, as really cut
    nominal_mm: tuple[float, float]
    corners_px: np.ndarray  # of the paper
    border_mm: np.ndarray | None  # corners of the drawn border, on the sheet
    background: str


def draw_sheet(size_mm: tuple[float, float], rng: np.random.Generator, *, border: bool):
    """A drawing: border, title block, outlines, dimension lines, lettering. Gray uint8."""
    wide, high = (round(v * SHEET_PX_PER_MM) for v in size_mm)
    page = np.full((high, wide), int(rng.integers(225, 248)), np.uint8)
    ink = int(rng.integers(20, 90))
    pen = int(rng.integers(2, 4))
    margin = rng.uniform(7, 14)
    (wide_mm, high_mm), m = size_mm, margin
    inside = np.array([(m, m), (wide_mm - m, m), (wide_mm - m, high_mm - m), (m, high_mm - m)])
    frame = np.rint(inside * SHEET_PX_PER_MM).astype(int)
    if border:
        cv2.polylines(page, [frame], True, ink, pen, cv2.LINE_AA)
        x1, y1 = frame[2]
        cv2.rectangle(page, (x1 - 300, y1 - 120), (x1, y1), ink, 2)
    for _ in range(int(rng.integers(4, 9))):
        w, h = rng.uniform(0.08, 0.35, 2) * (wide, high)
        x, y = rng.uniform(0.1, 0.6, 2) * (wide, high)
        a, b = (int(x), int(y)), (int(min(x + w, 0.93 * wide)), int(min(y + h, 0.93 * high)))
        cv2.rectangle(page, a, b, ink, pen, cv2.LINE_AA)
        cv2.line(page, (a[0], b[1] + 40), (b[0], b[1] + 40), ink, 1, cv2.LINE_AA)
        cv2.putText(page, f"{rng.integers(1, 9)} {rng.integers(1, 15)}/16", (a[0] + 20, b[1] + 34),
                    cv2.FONT_HERSHEY_SIMPLEX, 0.9, ink, 2, cv2.LINE_AA)  # fmt: skip
    return page, (inside if border else None)


def texture(kind: str, shape: tuple[int, int], rng: np.random.Generator) -> np.ndarray:
    """A background, gray float, of mean 60 to 190."""
    rows, columns = shape
    mean = rng.uniform(55, 180)
    y, x = np.mgrid[:rows, :columns].astype(np.float32)
    if kind == "planks":
        grain = _noise(shape, rng, across=3, along=rng.uniform(60, 160))
        gap = np.abs((y / rng.uniform(90, 260) + 0.3) % 1.0 - 0.5) < 0.01
        out = mean + 26 * grain - 45 * gap
    elif kind == "grain":
        rings = np.sin((x + 40 * _noise(shape, rng, across=90, along=90)) / rng.uniform(3, 9))
        out = mean + 14 * rings + 12 * _noise(shape, rng, across=60, along=2)
    elif kind == "linen":
        t = rng.uniform(2.5, 6)
        out = mean + 14 * (np.sin(2 * np.pi * x / t) + np.sin(2 * np.pi * y / t))
        out = out + 12 * _noise(shape, rng, across=2, along=2)
    elif kind == "check cloth":
        t = rng.uniform(40, 110)
        bands = (np.sin(2 * np.pi * x / t) > 0).astype(np.float32) + (np.sin(2 * np.pi * y / t) > 0)
        out = mean + 22 * (bands - 1) + 9 * _noise(shape, rng, across=1, along=1)
    elif kind == "concrete":
        out = mean + 16 * _noise(shape, rng, across=40, along=40)
        out = out + 12 * _noise(shape, rng, across=3, along=3)
    else:  # stone chips
        chips = _noise(shape, rng, across=7, along=7)
        out = mean + 40 * (chips > 0.8) - 35 * (chips < -0.9)
        out = out + 8 * _noise(shape, rng, across=1, along=1)
    turn = cv2.getRotationMatrix2D((columns / 2, rows / 2), rng.uniform(0, 180), 1.45)
    return cv2.warpAffine(
        out.astype(np.float32), turn, (columns, rows), borderMode=cv2.BORDER_REFLECT
    )


def _noise(shape, rng, *, across: float, along: float) -> np.ndarray:
    """Smooth noise of unit scatter, correlated over `across` px down and `along` px across."""
    rows, columns = shape
    small = max(2, int(rows / across)), max(2, int(columns / along))
    grid = rng.standard_normal(small).astype(np.float32)
    return cv2.resize(grid, (columns, rows), interpolation=cv2.INTER_CUBIC)


def aim(
    size_mm,
    picture: tuple[int, int],
    rng: np.random.Generator,
    *,
    bend: float = 1.0,
    tilt: float = 32.0,
    fill: tuple[float, float] = (0.5, 0.92),
    inside: bool = True,
) -> Camera:
    """A camera that has the whole sheet in its picture, or (not `inside`) somewhere before it.

    `bend` scales the distortion, `tilt` is the most it leans either way, degrees, `fill` how much
    of the picture's longer side the sheet takes.
    """
    most = tilt
    wide, high = picture
    radius = np.hypot(wide, high) / 2
    for _ in range(500):
        focal = rng.uniform(0.75, 1.3) * max(picture)
        tilt, pan = np.radians(rng.uniform(-most, most, 2))
        roll = np.radians(rng.uniform(-18, 18) + 90 * rng.integers(0, 4))
        turn = _turn_x(tilt) @ _turn_y(pan) @ _turn_z(roll)
        away = max(size_mm) * focal / max(picture) / rng.uniform(*fill)
        lens = np.array([[focal, 0, wide / 2], [0, focal, high / 2], [0, 0, 1.0]])
        middle = np.array([*rng.uniform(-0.06, 0.06, 2) * max(size_mm), away])
        shift = middle - turn @ np.array([size_mm[0] / 2, size_mm[1] / 2, 0])
        matrix = lens @ np.column_stack([turn[:, 0], turn[:, 1], shift])
        centre = (wide / 2 + rng.normal(0, 0.01 * wide), high / 2 + rng.normal(0, 0.01 * high))
        d1, d2 = bend * rng.uniform(-0.07, 0.03), bend * rng.uniform(-0.01, 0.01)
        camera = Camera(matrix, centre, float(radius), d1, d2, -(lens @ turn[:, 2]))
        if not inside:
            return camera
        corners = camera.see(corners_of(size_mm))
        room = 0.012 * np.array(picture)
        if (corners > room).all() and (corners < np.array(picture) - room).all():
            return camera
    raise AssertionError("no pose shows the whole sheet")


def corners_of(size_mm) -> np.ndarray:
    return np.array([(0, 0), (size_mm[0], 0), size_mm, (0, size_mm[1])], float)


def _turn_x(a):
    return np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])


def _turn_y(a):
    return np.array([[np.cos(a), 0, np.sin(a)], [0, 1, 0], [-np.sin(a), 0, np.cos(a)]])


def _turn_z(a):
    return np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1.0]])


def photograph(
    rng: np.random.Generator,
    *,
    backgrounds: tuple[str, ...] = DEVELOPMENT,
    picture: tuple[int, int] = (1600, 1200),
    bend: float = 1.0,
    page: np.ndarray | None = None,
    cut_mm: float = 0.6,
) -> Photo:
    """Draw a sheet (or take `page`), lay it on a table and photograph it.

    Paper is cut to within `cut_mm` of its size; `bend` scales the lens.
    """
    paper = str(rng.choice(list(PAPERS_MM)))
    nominal = PAPERS_MM[paper] if rng.random() < 0.5 else PAPERS_MM[paper][::-1]
    size_mm = tuple(float(v) for v in nominal + rng.uniform(-cut_mm, cut_mm, 2))
    border = None
    if page is None:
        page, border = draw_sheet(size_mm, rng, border=rng.random() < 0.7)
    camera = aim(size_mm, picture, rng, bend=bend)
    kind = str(rng.choice(list(backgrounds)))
    pixels = photograph_page(page, size_mm, camera, picture, rng, backgrounds=(kind,))
    return Photo(
        pixels, camera, paper, size_mm, nominal, camera.see(corners_of(size_mm)), border, kind
    )


def photograph_page(
    page: np.ndarray,
    size_mm: tuple[float, float],
    camera: Camera,
    picture: tuple[int, int],
    rng: np.random.Generator,
    *,
    backgrounds: tuple[str, ...],
) -> np.ndarray:
    """Photograph a page that lies on a table of one of these kinds; gray uint8."""
    kind = backgrounds[0] if len(backgrounds) == 1 else str(rng.choice(list(backgrounds)))
    seen = _project(page, size_mm, camera, picture, texture(kind, picture[::-1], rng))
    return _develop(seen * _light(camera, size_mm, picture, rng), rng)


def _project(page, size_mm, camera, picture, table) -> np.ndarray:
    """The sheet over the table, twice as fine as the picture and then averaged."""
    wide, high = picture
    fine = 2
    at = _places(camera, (wide * fine, high * fine), fine)
    inside = ((at >= 0) & (at <= np.float32(size_mm))).all(axis=2)
    scale = np.array([page.shape[1] / size_mm[0], page.shape[0] / size_mm[1]])
    on_page = (at * scale - 0.5).astype(np.float32)
    paper = cv2.remap(page, on_page[..., 0], on_page[..., 1], cv2.INTER_LINEAR,
                      borderMode=cv2.BORDER_REPLICATE).astype(np.float32)  # fmt: skip
    big = cv2.resize(table, (wide * fine, high * fine), interpolation=cv2.INTER_LINEAR)
    shade = cv2.GaussianBlur(inside.astype(np.float32), (0, 0), 8)  # the sheet darkens the table
    big = big * (1 - 0.25 * shade)
    return cv2.resize(np.where(inside, paper, big), (wide, high), interpolation=cv2.INTER_AREA)


def _places(camera, fine_size, fine) -> np.ndarray:
    """Sheet places of all fine pixels: exact on every fourth, between them straight.

    Between two exact places the map departs from straight by less than 0.001 mm.
    """
    wide, high = fine_size
    every = 4
    nodes = [np.arange(0, n + 2 * every, every) for n in (wide, high)]
    x, y = np.meshgrid((nodes[0] + 0.5) / fine, (nodes[1] + 0.5) / fine)
    exact = camera.place(np.column_stack([x.ravel(), y.ravel()])).reshape((*x.shape, 2))
    u, v = np.meshgrid(np.arange(wide, dtype=np.float32), np.arange(high, dtype=np.float32))
    return cv2.remap(exact.astype(np.float32), u / every, v / every, cv2.INTER_LINEAR)


def _light(camera, size_mm, picture, rng) -> np.ndarray:
    """Light that falls off to one side, and often the soft shadow of a hand or phone."""
    wide, high = picture
    y, x = np.mgrid[:high, :wide].astype(np.float32)
    a = rng.uniform(0, 2 * np.pi)
    along = (x * np.cos(a) + y * np.sin(a)) / np.hypot(wide, high)
    light = 1 - rng.uniform(0, 0.4) * (along - along.min())
    if rng.random() < 0.6:
        through = camera.see(np.array([rng.uniform(0.2, 0.8, 2) * size_mm]))[0]
        a = rng.uniform(0, 2 * np.pi)
        off = (x - through[0]) * np.cos(a) + (y - through[1]) * np.sin(a)
        light = light * (1 - rng.uniform(0.2, 0.5) / (1 + np.exp(-off / rng.uniform(4, 40))))
    return light


def _develop(light: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Blur, noise, JPEG."""
    soft = cv2.GaussianBlur(light, (0, 0), rng.uniform(0.4, 1.3))
    grainy = soft + rng.normal(0, rng.uniform(1.5, 5), soft.shape)
    pixels = np.clip(grainy, 0, 255).astype(np.uint8)
    done, packed = cv2.imencode(
        ".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(60, 93))]
    )
    assert done
    return cv2.imdecode(packed, cv2.IMREAD_GRAYSCALE)


@dataclass(frozen=True, slots=True)
class Curl:
    """Paper bent about lines that run up and down (or across): a bulge, a wave, a lifted edge.

    Bent paper is neither stretched nor pressed: a place `s` mm along it comes to lie nearer.
    """

    size: float  # of the paper along the bend, mm
    heights: np.ndarray  # above the table at even steps along it, mm
    upright: bool  # bends along x

    @classmethod
    def draw(cls, size_mm: tuple[float, float], rng: np.random.Generator, *, most_mm: float):
        upright = bool(rng.random() < 0.5)
        size = size_mm[0] if upright else size_mm[1]
        s = np.linspace(0, 1, 401)
        kind = rng.integers(3)
        if kind == 0:  # a bulge, as of paper that was rolled
            shape = np.sin(np.pi * s)
        elif kind == 1:  # an edge that stands up
            shape = np.clip((s - rng.uniform(0.3, 0.7)) / 0.5, 0, None) ** 2
        else:  # waves
            shape = 0.5 - 0.5 * np.cos(2 * np.pi * s * rng.uniform(1, 2))
        shape = shape if rng.random() < 0.5 else shape[::-1]
        heights = shape / max(float(shape.max()), 1e-9) * rng.uniform(0.2, 1.0) * most_mm
        return cls(size, heights, upright)

    def see(self, camera: Camera, mm: np.ndarray) -> np.ndarray:
        """Where places of the flat drawing (mm) appear when the paper lies like this, px."""
        steps = np.linspace(0, self.size, len(self.heights))
        rise = np.gradient(self.heights, steps)
        run = np.concatenate([[0.0], np.cumsum(np.sqrt(np.clip(1 - rise**2, 0, 1)))[:-1]])
        run *= steps[1]
        along = mm[:, 0] if self.upright else mm[:, 1]
        lies = mm.copy()
        lies[:, 0 if self.upright else 1] = np.interp(along, steps, run)
        return camera.see(lies, np.interp(along, steps, self.heights))
