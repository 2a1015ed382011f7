"""Hand lettering on bad paper: worn by scipy and Pillow, in faces for validation only.

    python -m tests.bench reader_hard

Old drawings' callouts, set by MuPDF in handwritten faces that no training run drew with, each
letter bent a little, then as pencil between guide lines, diazo, blueprint, bad two-level scan,
ink that bled, or touched by lines. Read the whole way `plan-audit read` takes. A development set:
its failures may be looked at. Faces are looked for among the installed fonts and in the folders
of the variable READER_FONTS (as `os.pathsep` parts them).
"""

from __future__ import annotations

import io
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pymupdf
from fontTools.ttLib import TTFont
from PIL import Image
from rich.console import Console
from rich.table import Table
from scipy import ndimage

from audit.geometry import Box
from audit.networks.decoding import spelling_key
from audit.reading import bring_upright, hear_readers, vote
from audit.reading.network import NetworkReader
from audit.records import Reading
from tests.bench import reader_sheets as sheets
from tests.bench.reader_texts import MIXED, Printed, draw_printed, feet_stacked, shop, stacked

Rng = np.random.Generator
Ink = np.ndarray
FACES = ("GochiHand_400Regular", "short-stack-latin-400-normal", "delius-latin-400-normal",
         "balsamiq-sans-latin-400-normal", "covered-by-your-grace-latin-400-normal")  # fmt: skip
SUFFIXES = (".ttf", ".otf", ".woff")
DPIS = (300, 200)
PAPER, BLACK = 0.92, 0.8


def old_callout(rng: Rng) -> Printed:
    """What stands on old drawings: fractions with R and DRILL, numbered drills, holes, places."""
    top, bottom = shop(rng)
    n, k = int(rng.integers(1, 12)), int(rng.integers(2, 9))
    forms = (
        ("", top, bottom, "R"), (f"{n}", top, bottom, '"'), (f"{n}", top, bottom, ""),
        ("", top, bottom, " DRILL"), ("", top, bottom, f" DRILL {k} HOLES"),
        ("", top, bottom, '"R'), (f"{n}-", top, bottom, ""), ("R ", top, bottom, ""),
        (f"#{n} DRILL", "", "", ""), (f"{k} HOLES", "", "", ""), (f"NO. {n} DRILL", "", "", ""),
        ("", top, bottom, "-20 TAP"), (f".{rng.integers(100, 1000)}", "", "", ""),
        ("", "1", "16", " x 45°"), (f"{k} PLACES", "", "", ""), ("", top, bottom, " DIA."),
        (f"{n}'-{k}", top, bottom, '"'), (f"{k} REQ'D", "", "", ""), ("", top, bottom, ""),
        (f"{n} {top}/{bottom}", "", "", ""), (f"{top}/{bottom}R", "", "", ""),
        (f'{n}-{top}/{bottom}"', "", "", ""),
    )  # fmt: skip
    return Printed("old", *forms[int(rng.integers(len(forms)))])


def bend(ink: Ink, rng: Rng, scale: float) -> Ink:
    """Bend the ink softly and lean it."""
    fields = []
    for _ in range(2):
        field = ndimage.gaussian_filter(rng.normal(0, 1, ink.shape), 9 * scale)
        fields.append(field / field.std() * 1.3 * scale)
    ys, xs = np.mgrid[: ink.shape[0], : ink.shape[1]].astype(float)
    xs = xs + fields[0] + rng.normal(0, 0.12) * (ys - ink.shape[0] / 2)
    return ndimage.map_coordinates(ink, [ys + fields[1], xs], order=1)


def clouds(rng: Rng, shape: tuple[int, int], size: float) -> Ink:
    """Slow noise of unit spread."""
    field = ndimage.gaussian_filter(rng.normal(0, 1, shape), size)
    return field / field.std()


def pencil(ink: Ink, rng: Rng, scale: float) -> Ink:
    """Pale and grainy, between two guide lines."""
    tooth = 0.75 + 0.3 * clouds(rng, ink.shape, 0.8) + 0.2 * clouds(rng, ink.shape, 14 * scale)
    page = 0.85 - 0.45 * ndimage.gaussian_filter(ink, 0.6) * np.clip(tooth, 0.1, 1)
    rows = np.flatnonzero(ink.max(1) > 0.4)
    for row in (rows[0] - 1, rows[-1] + 1):
        page[int(np.clip(row + rng.normal(0, 2), 0, len(page) - 1))] -= 0.1
    return page


def blueprint(ink: Ink, rng: Rng, scale: float) -> Ink:
    """Light on a mottled dark ground."""
    mottle = 0.04 * clouds(rng, ink.shape, 10 * scale)
    return 0.3 + 0.35 * ndimage.gaussian_filter(ink, 0.7) + mottle


def diazo(ink: Ink, rng: Rng, scale: float) -> Ink:
    """Dark on a mottled middle ground."""
    mottle = 0.05 * clouds(rng, ink.shape, 10 * scale)
    return 0.62 - 0.3 * ndimage.gaussian_filter(ink, 0.8) + mottle


def bled(ink: Ink, rng: Rng, scale: float) -> Ink:
    """Ink that ran into the paper."""
    return 0.9 - 0.75 * np.clip(ndimage.gaussian_filter(ink, 0.9 * scale) * 1.6, 0, 1)


def two_level(ink: Ink, rng: Rng, scale: float) -> Ink:
    """A bad scan to black and white."""
    seen = ndimage.gaussian_filter(ink, 0.8 * scale) + rng.normal(0, 0.16, ink.shape)
    return 1.0 - (ndimage.gaussian_filter(seen, 0.5) > rng.uniform(0.3, 0.5))


def touched(ink: Ink, rng: Rng, scale: float) -> Ink:
    """A dimension line that runs into the text at both sides, or right under it."""
    ink, thick = ink.copy(), max(1, round(2 * scale))
    rows, columns = np.flatnonzero(ink.max(1) > 0.4), np.flatnonzero(ink.max(0) > 0.4)
    if rng.random() < 0.5:
        middle = (rows[0] + rows[-1]) // 2 + int(rng.normal(0, 3))
        ink[middle : middle + thick, : columns[0] + 2] = 1
        ink[middle : middle + thick, columns[-1] - 1 :] = 1
    else:
        ink[rows[-1] + 1 : rows[-1] + 1 + thick] = 1
    return PAPER - BLACK * ndimage.gaussian_filter(ink, 0.6)


def plain(ink: Ink, rng: Rng, scale: float) -> Ink:
    """A fair scan."""
    return PAPER - BLACK * ndimage.gaussian_filter(ink, 0.6)


WEARS = (plain, bled, pencil, two_level, blueprint, diazo, touched)


def wear(crop: sheets.Gray, how, rng: Rng, dpi: int) -> sheets.Gray:
    """Bend a crop's ink, wear it and send it through JPEG."""
    scale = dpi / 300
    room = round(10 * scale)
    ink = 1 - np.pad(crop / 255.0, ((room, room), (2 * room, 2 * room)), constant_values=1.0)
    page = how(bend(ink, rng, scale), rng, scale)
    if how is two_level:
        return (page * 255).astype(np.uint8)
    page = page + rng.normal(0, 0.025, page.shape)
    buffer = io.BytesIO()
    image = Image.fromarray(np.clip(page * 255, 0, 255).astype(np.uint8))
    image.save(buffer, "JPEG", quality=int(rng.integers(35, 85)))
    return np.asarray(Image.open(buffer).convert("L"), np.uint8)


def find_face(stem: str) -> Path | None:
    """File of a face, installed or in a folder of READER_FONTS."""
    for folder in sheets.FONT_FOLDERS:
        for suffix in SUFFIXES:
            for path in sorted(folder.rglob(stem + suffix)):
                return path
    return None


def unpack(face: Path, folder: Path) -> Path:
    """The face as MuPDF can open it: web fonts unpacked."""
    if face.suffix != ".woff":
        return face
    font = TTFont(face)
    font.flavor = None
    font.save(folder / f"{face.stem}.ttf")
    return folder / f"{face.stem}.ttf"


def draw_cells(path: Path, seed: int, count: int) -> list[tuple[sheets.Gray, str, str]]:
    """Worn crops of one face: picture, truth, wear."""
    rng, font = np.random.default_rng(seed), pymupdf.Font(fontfile=str(path))
    makers = (old_callout, old_callout, old_callout, *MIXED, stacked, feet_stacked)
    printed = [
        one for one in draw_printed(rng, makers, 4 * count)
        if all(c == " " or font.has_glyph(ord(c)) for c in one.text)
    ][:count]  # fmt: skip
    sheet, out = sheets.by_mupdf(printed, path), []
    for dpi in DPIS:
        for k, crop in enumerate(sheets.cut_cells(sheet, dpi)):
            how = WEARS[k % len(WEARS)]
            out.append((wear(crop, how, rng, dpi), printed[k].text, how.__name__))
    return out


def read_whole_way(crops: list[sheets.Gray]) -> list[Reading | None]:
    """Bring crops upright, hear the network and vote, as ``plan-audit read`` does."""
    upright = bring_upright(crops)
    votes = hear_readers([one.picture for one in upright], [NetworkReader()])
    return [
        vote((*heard, *one.others), box=Box(0.0, 0.0, 1.0, 1.0), angle=one.angle, unit=None)
        for heard, one in zip(votes, upright, strict=True)
    ]


def run(*, full: bool) -> None:
    """Print the table."""
    console, table = Console(width=100), Table(title="hand lettering on bad paper: exact, per cent")
    for name in ("wear", "crops", "exact", "sure", "right of sure"):
        table.add_column(name, justify="left" if name == "wear" else "right")
    rows: dict[str, list[tuple[bool, bool]]] = {}
    for k, stem in enumerate(FACES):
        path = find_face(stem)
        if path is None:
            console.print(f"not measured: {stem} is not installed")
            continue
        with TemporaryDirectory() as folder:
            cells = draw_cells(unpack(path, Path(folder)), 900 + k, 42 if full else 21)
        readings = read_whole_way([crop for crop, _, _ in cells])
        for (_, truth, how), reading in zip(cells, readings, strict=True):
            said, sure = (reading.text, reading.confidence >= 0.9) if reading else ("", False)
            row = (spelling_key(said) == spelling_key(truth), sure)
            for name in (how, "all"):
                rows.setdefault(name, []).append(row)
    for name, found in rows.items():
        right, sure = np.array(found).T
        share = f"{100 * right[sure].mean():.1f}" if sure.any() else "-"
        table.add_row(
            name, str(len(found)), f"{100 * right.mean():.1f}", f"{100 * sure.mean():.1f}", share
        )
    console.print(table)
