"""Gather the fonts the generator may draw with: cut down, checked, and given a role.

    python -m audit.training.reader.fonts OUT FOLDER...

Every folder is searched for the font files named in `faces.FAMILIES` (outlines) and for single-stroke
fonts (`.lff`, SVG fonts). `OUT` gets the cut-down outlines, `manifest.json` and `strokes.json`.
"""

from __future__ import annotations

import json
import logging
import re
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
from fontTools import subset
from fontTools.ttLib import TTFont
from PIL import ImageFont

from audit.networks.alphabet import CHARACTERS
from audit.training.reader.faces import STROKE_FONTS, STROKE_WRONG, UNICASE, WRONG_SIGNS, role_of

log = logging.getLogger(__name__)

ARC_STEPS = 8  # points inside an arc of a single-stroke font
CURLY = "’”"  # what many print for foot and inch marks


def cut_down(source: Path, target: Path) -> str:
    """Write the font with only our characters; return those it really draws, `CURLY` among them."""
    font = TTFont(source, lazy=True)
    known = font.getBestCmap()
    wanted = [c for c in (*CHARACTERS, *CURLY) if ord(c) in known and c != "⁄"]
    options = subset.Options(hinting=False, layout_features=["kern"], notdef_outline=True)
    options.drop_tables += ["GSUB", "DSIG", "FFTM"]
    cutter = subset.Subsetter(options)
    cutter.populate(text="".join(wanted))
    cutter.subset(font)
    font.flavor = None
    font.save(target)
    face = ImageFont.truetype(str(target), 60)
    return "".join(c for c in wanted if c == " " or face.getmask(c).getbbox())


def capital_height(path: Path) -> float:
    """Height of H over the font size."""
    box = ImageFont.truetype(str(path), 200).getbbox("H", anchor="ls")
    return -box[1] / 200


def is_unicase(path: Path, characters: str) -> bool:
    """Whether small letters look like capitals."""
    face, alike = ImageFont.truetype(str(path), 64), 0
    letters = [c for c in "aegrtdbnq" if c in characters and c.upper() in characters]
    for c in letters:
        small, large = (np.asarray(_bitmap(face, x)) for x in (c, c.upper()))
        overlap = np.logical_and(small, large).sum() / max(np.logical_or(small, large).sum(), 1)
        alike += overlap > 0.7
    return bool(not letters or alike >= len(letters) / 2)


def _bitmap(face: ImageFont.FreeTypeFont, character: str) -> np.ndarray:
    """Shape of a character stretched to a square."""
    mask = face.getmask(character)
    width, height = mask.size
    picture = np.frombuffer(bytes(mask), np.uint8).reshape(height, width) > 90
    ys, xs = np.nonzero(picture)
    if not len(ys):
        return np.zeros((24, 24), bool)
    cut = picture[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1]
    rows = np.linspace(0, cut.shape[0] - 1, 24).round().astype(int)
    columns = np.linspace(0, cut.shape[1] - 1, 24).round().astype(int)
    return cut[np.ix_(rows, columns)]


def read_lff(path: Path) -> dict[str, list[list[list[float]]]]:
    """Strokes of a LibreCAD font, capital height 1, by character."""
    glyphs: dict[str, list[list[list[float]]]] = {}
    current = ""
    for raw in path.read_text(errors="replace").splitlines():
        row = raw.strip()
        head = re.match(r"\[([0-9a-fA-F]+)\]", row)
        if head:
            current = chr(int(head.group(1), 16))
            glyphs[current] = []
        elif re.match(r"C[0-9a-fA-F]{4}", row) and current:
            glyphs[current] += glyphs.get(chr(int(row[1:5], 16)), [])
        elif current and re.match(r"-?[0-9.]+,", row):
            glyphs[current].append(_lff_stroke(row))
    return _normalise(glyphs)


def _lff_stroke(row: str) -> list[list[float]]:
    """One polyline; ``A`` gives the bulge of the piece that ends at the point."""
    points: list[list[float]] = []
    for vertex in row.split(";"):
        # One stock file has a bulge without its comma: "1.5A.41".
        fields = re.sub(r"(?<=\d)A", ",A", vertex).split(",")
        if len(fields) < 2 or not fields[1]:
            continue
        end = [float(fields[0]), float(fields[1])]
        bulge = float(fields[2][1:]) if len(fields) > 2 and fields[2].startswith("A") else 0.0
        if bulge and points:
            points += _bulged(points[-1], end, bulge)
        points.append(end)
    return points


def _bulged(start: list[float], end: list[float], bulge: float) -> list[list[float]]:
    """Points inside the arc from start to end; bulge = tan(sweep / 4), positive to the left."""
    a, b = complex(*start), complex(*end)
    chord = b - a
    if abs(chord) < 1e-9:
        return []
    centre = (a + b) / 2 + 1j * chord * (1 - bulge**2) / (4 * bulge)
    sweep = 4 * np.arctan(bulge)
    turns = np.exp(1j * sweep * np.arange(1, ARC_STEPS) / ARC_STEPS)
    return [[z.real, z.imag] for z in centre + (a - centre) * turns]


def read_svg_font(path: Path) -> dict[str, list[list[list[float]]]]:
    """Strokes of an SVG font made of M and L, capital height 1, by character."""
    glyphs: dict[str, list[list[list[float]]]] = {}
    for node in ET.parse(path).iter():
        if not node.tag.endswith("glyph") or len(node.get("unicode", "")) != 1:
            continue
        strokes: list[list[list[float]]] = []
        for piece in re.findall(r"M([^M]*)", node.get("d", "")):
            values = [float(v) for v in re.findall(r"-?[0-9.]+(?:e-?\d+)?", piece)]
            strokes.append([list(p) for p in zip(values[::2], values[1::2], strict=False)])
        glyphs[node.get("unicode", "")] = strokes
    return _normalise(glyphs)


def _normalise(glyphs: dict[str, list[list[list[float]]]]) -> dict[str, list[list[list[float]]]]:
    """Scale to capital height 1, left edge at 0, keeping only our characters."""
    if not glyphs.get("H"):
        log.warning("stroke font without H left out")
        return {}
    tall = max(y for stroke in glyphs["H"] for _, y in stroke)
    out = {}
    for character in CHARACTERS:
        strokes = [s for s in glyphs.get(character, []) if s]
        if not strokes or character == "⁄":
            continue
        left = min(x for s in strokes for x, _ in s)
        out[character] = [[[(x - left) / tall, y / tall] for x, y in s] for s in strokes]
    return out


def gather(out: Path, folders: list[Path]) -> None:
    """Fill `out` from the folders."""
    out.mkdir(parents=True, exist_ok=True)
    rows, strokes, seen = [], {"train": {}, "held": {}}, set()
    for path in sorted(p for folder in folders for p in folder.rglob("*") if p.is_file()):
        if path.suffix in (".lff", ".svg") and path.stem in STROKE_FONTS:
            log.info("%s", path.name)
            glyphs = (read_lff if path.suffix == ".lff" else read_svg_font)(path)
            for character in STROKE_WRONG.get(path.stem, ""):
                glyphs.pop(character, None)
            if glyphs:
                strokes[STROKE_FONTS[path.stem]][path.stem] = glyphs
            continue
        role = role_of(path.name)
        if role is None or path.name in seen:
            continue
        seen.add(path.name)
        name = re.sub(r"[^A-Za-z0-9_-]", "_", path.stem) + ".font"
        try:
            characters = cut_down(path, out / name)
        except Exception as fault:  # a font that cannot be cut is left out, said aloud
            log.warning("%s left out: %s", path.name, fault)
            continue
        if not set("0123456789RT/") <= set(characters):
            log.warning("%s left out: figures missing", path.name)
            (out / name).unlink()
            continue
        family, group, part = role
        wrong = WRONG_SIGNS.get(family, "")
        rows.append(
            {
                "file": name, "family": family, "group": group, "role": part,
                "cap": capital_height(out / name),
                "characters": "".join(c for c in characters if c not in wrong + CURLY),
                "curly": set(CURLY) <= set(characters),
                "unicase": family in UNICASE or is_unicase(out / name, characters),
            }
        )  # fmt: skip
    (out / "manifest.json").write_text(json.dumps(rows, indent=1))
    for part, fonts in strokes.items():
        (out / f"strokes-{part}.json").write_text(json.dumps(fonts))
    print(f"{len(rows)} outline fonts, {sum(map(len, strokes.values()))} stroke fonts")


if __name__ == "__main__":
    logging.basicConfig(level=logging.INFO)
    logging.getLogger("fontTools").setLevel(logging.ERROR)
    gather(Path(sys.argv[1]), [Path(a) for a in sys.argv[2:]])
