"""Gather the fonts the generator may draw with: cut down, checked, and given a role.

    python -m audit.training.reader.fonts OUT FOLDER...

Every folder is searched for the font files named in `FAMILIES` (outlines) and for single-stroke
fonts (`.lff`, SVG fonts). `OUT` gets the cut-down outlines, `manifest.json` and `strokes.json`.
Roles: *train*; *valid*, for stopping and calibration; *held*, seen by no run and used only to
report. The packages the files come from are listed in the model card, `weights/reader.md`.
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

log = logging.getLogger(__name__)

# pattern of the file name | family | group | role. First match counts; unlisted files stay out.
FAMILIES: tuple[tuple[str, str, str, str], ...] = (
    # held out: never drawn with in training
    (r"Humor-Sans\.ttf", "Humor Sans", "hand", "held"),
    (r"dkg(Bd|It)?\.ttf", "dkg", "hand", "held"),
    (r"architects-daughter-latin-400.*\.woff$", "Architects Daughter", "hand", "held"),
    (r"PatrickHand_400.*\.ttf", "Patrick Hand", "hand", "held"),
    (r"SteveHand\.ttf", "Steve Hand", "hand", "held"),
    (r"routed-gothic(-half-italic|-narrow|-wide|-italic)?\.ttf", "Routed Gothic", "cad", "held"),
    (r"ClearSans-(Regular|Bold|Light)\.ttf", "Clear Sans", "sans", "held"),
    (r"PT[SN]55F\.ttf|PTN57F\.ttf|PTS75F\.ttf", "PT Sans", "sans", "held"),
    (r"B612-Regular\.otf", "B612", "sans", "held"),
    (r"C059-(Roman|Bold)\.otf", "Century Schoolbook (C059)", "serif", "held"),
    (r"Go-Mono\.ttf", "Go Mono", "mono", "held"),
    # validation: stopping and calibration
    (r"GochiHand_400.*\.ttf", "Gochi Hand", "hand", "valid"),
    (r"short-stack-latin-400.*\.woff$", "Short Stack", "hand", "valid"),
    (r"Karla-(Regular|Bold)\.otf", "Karla", "sans", "valid"),
    (r"Overpass_400.*\.ttf", "Overpass", "sans", "valid"),
    (r"OSP-DIN\.ttf", "OSP DIN", "cad", "valid"),
    (r"OldStandard-Regular\.ttf", "Old Standard", "serif", "valid"),
    # training
    (r"osifont\.ttf", "osifont", "cad", "train"),
    (r"RG2014[BCDE]\.ttf", "Roadgeek", "cad", "train"),
    (r"NationalPark-(Regular|Thin)\.otf", "National Park", "cad", "train"),
    (r"millimetreA (Bold |light )?01\.otf", "Millimetre", "cad", "train"),
    (r"Play-Regular\.ttf", "Play", "cad", "train"),
    (r"Jura-(Regular|Medium|Light)\.otf", "Jura", "cad", "train"),
    (r"Rajdhani_(400|600).*\.ttf", "Rajdhani", "cad", "train"),
    (r"ShareTechMono_400.*\.ttf", "Share Tech Mono", "cad", "train"),
    (r"Saira_(300|400|500).*\.ttf", "Saira", "cad", "train"),
    (r"ChakraPetch_(300|400|500).*\.ttf", "Chakra Petch", "cad", "train"),
    (r"Barlow(Condensed)?_(300|400|500|600).*\.ttf", "Barlow", "cad", "train"),
    (r"Comfortaa-(Regular|Light)\.ttf", "Comfortaa", "cad", "train"),
    (r"Quicksand-(Regular|Light|Medium)\.ttf", "Quicksand", "cad", "train"),
    (r"VarelaRound_400.*\.ttf", "Varela Round", "cad", "train"),
    (r"Dosis-(Book|Light|Medium)\.otf", "Dosis", "cad", "train"),
    (r"Liberation(Sans|Mono|Serif|SansNarrow)-(Regular|Bold|Italic)\.ttf", "Liberation", "sans", "train"),
    (r"NimbusSans(Narrow)?-(Regular|Bold|Italic|Oblique)\.otf", "Nimbus Sans", "sans", "train"),
    (r"FreeSans(Bold|Oblique)?\.ttf", "FreeSans", "sans", "train"),
    (r"DejaVuSans(Condensed)?(-Bold|-Oblique|-ExtraLight)?\.ttf", "DejaVu Sans", "sans", "train"),
    (r"Roboto-(Regular|Light|Thin|Medium|Italic)\.ttf", "Roboto", "sans", "train"),
    (r"RobotoCondensed_?-?(Regular|Light|Bold|Italic)\.ttf", "Roboto Condensed", "sans", "train"),
    (r"OpenSans-(Regular|Light|Semibold|Italic|CondLight)\.ttf", "Open Sans", "sans", "train"),
    (r"Carlito-(Regular|Bold|Italic)\.ttf", "Carlito", "sans", "train"),
    (r"Inter-(Regular|Light|Medium|Italic)\.otf", "Inter", "sans", "train"),
    (r"Lato-(Regular|Light|Medium|Italic)\.ttf", "Lato", "sans", "train"),
    (r"Cantarell-(Regular|Light)\.otf", "Cantarell", "sans", "train"),
    (r"Cabin-(Regular|Medium|Italic)\.otf", "Cabin", "sans", "train"),
    (r"URWGothic-(Book|Demi|BookOblique)\.otf", "URW Gothic", "sans", "train"),
    (r"GilliusADF-(Regular|Cond|Italic)\.otf", "Gillius", "sans", "train"),
    (r"SwitzeraADF-(Regular|Light|Cond|Italic)\.otf", "Switzera", "sans", "train"),
    (r"UniversalisADFStd-(Regular|Cond|Italic)\.otf", "Universalis", "sans", "train"),
    (r"Tuffy(_Bold|_Italic)?\.ttf", "Tuffy", "sans", "train"),
    (r"tiresias_infofont\.ttf", "Tiresias", "sans", "train"),
    (r"Oxygen-Sans\.ttf", "Oxygen", "sans", "train"),
    (r"Go-(Regular|Medium|Italic)\.ttf", "Go", "sans", "train"),
    (r"Manrope-(Regular|Light|Medium)\.ttf", "Manrope", "sans", "train"),
    (r"Questrial_400.*\.ttf", "Questrial", "sans", "train"),
    (r"Nunito_(300|400|600).*\.ttf", "Nunito", "sans", "train"),
    (r"Oswald_(300|400).*\.ttf", "Oswald", "sans", "train"),
    (r"PTSansNarrow_400.*\.ttf", "PT Sans", "sans", "held"),
    (r"Junction\.otf", "Junction", "sans", "train"),
    (r"Mplus1-(Regular|Light)\.otf", "M+ 1", "sans", "train"),
    (r"YanoneKaffeesatz-(Regular|Light)\.otf", "Yanone Kaffeesatz", "sans", "train"),
    (r"Inconsolata\.otf", "Inconsolata", "mono", "train"),
    (r"Hack-Regular\.ttf", "Hack", "mono", "train"),
    (r"NimbusMonoPS-(Regular|Bold)\.otf", "Nimbus Mono", "mono", "train"),
    (r"Courier Prime(?: Sans)?\.otf", "Courier Prime", "mono", "train"),
    (r"FreeMono(Bold)?\.ttf", "FreeMono", "mono", "train"),
    (r"GNUTypewriter\.ttf", "GNU Typewriter", "mono", "train"),
    (r"SpecialElite_400.*\.ttf", "Special Elite", "mono", "train"),
    (r"LeagueMono-(Regular|Condensed|Light)\.otf", "League Mono", "mono", "train"),
    (r"OCRB\.otf", "OCR B", "mono", "train"),
    (r"OCRA\.ttf", "OCR A", "mono", "train"),
    (r"3270-Regular\.ttf", "3270", "mono", "train"),
    (r"Anonymous Pro\.ttf", "Anonymous Pro", "mono", "train"),
    (r"monof55\.ttf", "Monofur", "mono", "train"),
    (r"FantasqueSansMono-Regular\.otf", "Fantasque Sans Mono", "mono", "train"),
    (r"NimbusRoman-(Regular|Bold|Italic)\.otf", "Nimbus Roman", "serif", "train"),
    (r"FreeSerif(Italic)?\.ttf", "FreeSerif", "serif", "train"),
    (r"P052-(Roman|Italic)\.otf", "P052", "serif", "train"),
    (r"URWBookman-Light\.otf", "URW Bookman", "serif", "train"),
    (r"Caladea-(Regular|Italic)\.ttf", "Caladea", "serif", "train"),
    (r"DejaVuSerif(Condensed)?\.ttf", "DejaVu Serif", "serif", "train"),
    (r"STIX-Regular\.otf", "STIX", "serif", "train"),
    (r"Essays1743\.ttf", "Essays 1743", "serif", "train"),
    (r"MekanusADFStd-(Regular|Italic)\.otf", "Mekanus", "serif", "train"),
    (r"ComicNeue-(Regular|Light|Bold|Italic)\.otf", "Comic Neue", "hand", "train"),
    (r"breipfont\.ttf|Breip\.ttf", "Breip", "hand", "train"),
    (r"Rufscript010\.ttf", "Rufscript", "hand", "train"),
    (r"TomsonTalks\.ttf", "Tomson Talks", "hand", "train"),
    (r"Delphine\.ttf", "Delphine", "hand", "train"),
    (r"BecauseWe(Build|Connect|Create|Learn|Mentor|Organize)-Regular\.otf", "Because We", "hand", "train"),
    (r"Domestic_Manners\.ttf", "Domestic Manners", "hand", "train"),
    (r"KleeOne-(Regular|SemiBold)\.ttf", "Klee One", "hand", "train"),
    (r"YuseiMagic-Regular\.ttf", "Yusei Magic", "hand", "train"),
    (r"Stick-Regular\.ttf", "Stick", "hand", "train"),
    (r"AmaticSC_400.*\.ttf", "Amatic SC", "hand", "train"),
    (r"Caveat_(400|600).*\.ttf", "Caveat", "hand", "train"),
    (r"GloriaHallelujah_400.*\.ttf", "Gloria Hallelujah", "hand", "train"),
    (r"IndieFlower_400.*\.ttf", "Indie Flower", "hand", "train"),
    (r"Kalam_(300|400).*\.ttf", "Kalam", "hand", "train"),
    (r"Mansalva_400.*\.ttf", "Mansalva", "hand", "train"),
    (r"NanumPenScript_400.*\.ttf", "Nanum Pen", "hand", "train"),
    (r"PermanentMarker_400.*\.ttf", "Permanent Marker", "hand", "train"),
    (r"PlaypenSans_(300|400).*\.ttf", "Playpen Sans", "hand", "train"),
    (r"ReenieBeanie_400.*\.ttf", "Reenie Beanie", "hand", "train"),
    (r"Schoolbell_400.*\.ttf", "Schoolbell", "hand", "train"),
    (r"ShadowsIntoLight_400.*\.ttf", "Shadows Into Light", "hand", "train"),
    (r"ShantellSans_(300|400)Regular.*\.ttf|ShantellSans_(300|400)Light\.ttf", "Shantell Sans", "hand", "train"),
    (r"coming-soon-latin-400.*\.woff$", "Coming Soon", "hand", "train"),
    (r"handlee-latin-400.*\.woff$", "Handlee", "hand", "train"),
    (r"annie-use-your-telescope-latin-400.*\.woff$", "Annie", "hand", "train"),
    (r"delius-latin-400.*\.woff$", "Delius", "hand", "valid"),
    (r"neucha-latin-400.*\.woff$", "Neucha", "hand", "train"),
    (r"sue-ellen-francisco-latin-400.*\.woff$", "Sue Ellen Francisco", "hand", "train"),
    (r"covered-by-your-grace-latin-400-normal\.woff", "Covered By Your Grace", "hand", "valid"),
    (r"balsamiq-sans-latin-400-normal\.woff", "Balsamiq Sans", "hand", "valid"),
    (r"tomorrow-latin-400-normal\.woff", "Tomorrow", "cad", "valid"),
    (r"lekton-latin-400-normal\.woff", "Lekton", "mono", "valid"),
    (r"bad-script-latin-400-normal\.woff", "Bad Script", "hand", "train"),
    (r"caveat-brush-latin-400-normal\.woff", "Caveat Brush", "hand", "train"),
    (r"chilanka-latin-400-normal\.woff", "Chilanka", "hand", "train"),
    (r"comic-mono-latin-400-normal\.woff", "Comic Mono", "hand", "train"),
    (r"comic-relief-latin-400-normal\.woff", "Comic Relief", "hand", "train"),
    (r"delicious-handrawn-latin-400-normal\.woff", "Delicious Handrawn", "hand", "train"),
    (r"gaegu-latin-400-normal\.woff", "Gaegu", "hand", "train"),
    (r"happy-monkey-latin-400-normal\.woff", "Happy Monkey", "hand", "train"),
    (r"itim-latin-400-normal\.woff", "Itim", "hand", "train"),
    (r"poor-story-latin-400-normal\.woff", "Poor Story", "hand", "train"),
    (r"rock-salt-latin-400-normal\.woff", "Rock Salt", "hand", "train"),
    (r"sriracha-latin-400-normal\.woff", "Sriracha", "hand", "train"),
    (r"swanky-and-moo-moo-latin-400-normal\.woff", "Swanky and Moo Moo", "hand", "train"),
    (r"yomogi-latin-400-normal\.woff", "Yomogi", "hand", "train"),
    (r"zen-kurenaido-latin-400-normal\.woff", "Zen Kurenaido", "hand", "train"),
    (r"saira-extra-condensed-latin-400-normal\.woff", "Saira", "cad", "train"),
    (r"share-tech-latin-400-normal\.woff", "Share Tech", "cad", "train"),
    (r"ubuntu-condensed-latin-400-normal\.woff", "Ubuntu Condensed", "sans", "train"),
    (r"the-girl-next-door-latin-400.*\.woff$", "The Girl Next Door", "hand", "train"),
    (r"setofont\.ttf", "Seto", "hand", "train"),
    (r"kiloji\.ttf", "Kiloji", "hand", "train"),
    (r"YOzRS_i?\.ttf", "YOzFont", "hand", "train"),
    (r"NanumBrush\.ttf", "Nanum Brush", "hand", "train"),
    (r"Purisa(-Oblique)?\.ttf", "Purisa", "hand", "train"),
    (r"femkeklaver\.ttf", "Femke Klaver", "hand", "train"),
    (r"Klaudia(-Oblique)?\.ttf", "Klaudia", "hand", "train"),
    (r"Ecolier-court\.ttf", "Ecolier", "hand", "train"),
    (r"finger-paint-latin-400-normal\.woff", "Finger Paint", "hand", "train"),
    (r"twinkle-star-latin-400-normal\.woff", "Twinkle Star", "hand", "train"),
    (r"grandstander-latin-(300|400)-normal\.woff", "Grandstander", "hand", "train"),
    (r"SourGummy_400.*\.ttf", "Sour Gummy", "hand", "train"),
    (r"besley-latin-400-normal\.woff", "Besley", "serif", "valid"),
    (r"gfs-didot-latin-400-normal\.woff", "GFS Didot", "serif", "valid"),
    (r"libre-caslon-text-latin-400-normal\.woff", "Libre Caslon", "serif", "held"),
    (r"allan-latin-400-normal\.woff", "Allan", "hand", "train"),
    (r"bubblegum-sans-latin-400-normal\.woff", "Bubblegum Sans", "hand", "train"),
    (r"cedarville-cursive-latin-400-normal\.woff", "Cedarville Cursive", "hand", "train"),
    (r"cookie-latin-400-normal\.woff", "Cookie", "hand", "train"),
    (r"courgette-latin-400-normal\.woff", "Courgette", "hand", "train"),
    (r"damion-latin-400-normal\.woff", "Damion", "hand", "train"),
    (r"homemade-apple-latin-400-normal\.woff", "Homemade Apple", "hand", "train"),
    (r"kaushan-script-latin-400-normal\.woff", "Kaushan Script", "hand", "train"),
    (r"licorice-latin-400-normal\.woff", "Licorice", "hand", "train"),
    (r"liu-jian-mao-cao-latin-400-normal\.woff", "Liu Jian Mao Cao", "hand", "train"),
    (r"ma-shan-zheng-latin-400-normal\.woff", "Ma Shan Zheng", "hand", "train"),
    (r"marck-script-latin-400-normal\.woff", "Marck Script", "hand", "train"),
    (r"oooh-baby-latin-400-normal\.woff", "Oooh Baby", "hand", "train"),
    (r"rochester-latin-400-normal\.woff", "Rochester", "hand", "train"),
    (r"satisfy-latin-400-normal\.woff", "Satisfy", "hand", "train"),
    (r"zcool-kuaile-latin-400-normal\.woff", "ZCOOL KuaiLe", "hand", "train"),
    (r"zhi-mang-xing-latin-400-normal\.woff", "Zhi Mang Xing", "hand", "train"),
    (r"abhaya-libre-latin-400-normal\.woff", "Abhaya Libre", "serif", "train"),
    (r"adamina-latin-400-normal\.woff", "Adamina", "serif", "train"),
    (r"alice-latin-400-normal\.woff", "Alice", "serif", "train"),
    (r"bodoni-moda-latin-400-normal\.woff", "Bodoni Moda", "serif", "train"),
    (r"brawler-latin-400-normal\.woff", "Brawler", "serif", "train"),
    (r"cardo-latin-400-normal\.woff", "Cardo", "serif", "train"),
    (r"crimson-text-latin-400-normal\.woff", "Crimson", "serif", "train"),
    (r"domine-latin-400-normal\.woff", "Domine", "serif", "train"),
    (r"eb-garamond-latin-400-normal\.woff", "EB Garamond", "serif", "train"),
    (r"gelasio-latin-400-normal\.woff", "Gelasio", "serif", "train"),
    (r"im-fell-english-latin-400-normal\.woff", "IM Fell English", "serif", "train"),
    (r"libre-baskerville-latin-400-normal\.woff", "Libre Baskerville", "serif", "train"),
    (r"noto-serif-display-latin-400-normal\.woff", "Noto Serif Display", "serif", "train"),
    (r"playfair-display-latin-400-normal\.woff", "Playfair Display", "serif", "train"),
    (r"prata-latin-400-normal\.woff", "Prata", "serif", "train"),
    (r"quattrocento-latin-400-normal\.woff", "Quattrocento", "serif", "train"),
    (r"rufina-latin-400-normal\.woff", "Rufina", "serif", "train"),
    (r"shippori-mincho-latin-400-normal\.woff", "Shippori Mincho", "serif", "train"),
    (r"sorts-mill-goudy-latin-400-normal\.woff", "Sorts Mill Goudy", "serif", "train"),
    (r"unna-latin-400-normal\.woff", "Unna", "serif", "train"),
    (r"volkhov-latin-400-normal\.woff", "Volkhov", "serif", "train"),
    (r"zen-old-mincho-latin-400-normal\.woff", "Zen Old Mincho", "serif", "train"),
)  # fmt: skip

# Single-stroke fonts: file stem -> role.
STROKE_FONTS: dict[str, str] = {
    "simplex": "train", "romans": "train", "romansi": "train", "romand": "train", "romanc": "train",
    "romancs": "train", "romant": "train", "romanp": "train", "iso": "train", "iso3098": "train",
    "iso3098_i": "train", "standard": "train", "azomix": "train", "azomix_i": "train",
    "unicode": "train", "italicc": "train", "cursive": "train",
    "EMSElfin": "train", "EMSFelix": "train", "EMSNixish": "train", "EMSNixishItalic": "train",
    "EMSOsmotron": "train", "EMSReadability": "train", "EMSReadabilityItalic": "train",
    "HersheySans1": "train", "HersheySansMed": "train", "HersheySerifMed": "train",
    "HersheySerifBold": "train",
    "EMSTech": "held", "lc_opengost-ar": "held", "lc_opengost-br": "held",
}  # fmt: skip
STROKE_WRONG = dict.fromkeys(("romanc", "romancs", "romand", "romanp", "romant"), "Ø°×'\"") | {
    "romansi": "°",
    "EMSElfin": ".:;,",
}
ARC_STEPS = 8

# Seen on a contact sheet: families whose small letters are capitals, and signs drawn as others.
UNICASE = {"Humor Sans", "Because We", "Amatic SC", "Tomson Talks", "Permanent Marker", "Rock Salt"}
WRONG_SIGNS = {
    "Humor Sans": "Ø°±×'\"@%&",
    "GNU Typewriter": "()[]#'\"",
    "Yusei Magic": "'\"",
    "Tomson Talks": "Ø,.'\"",
    "Annie": "Ø°±",
    "B612": "()",
    "Yomogi": "'",
    "Gaegu": "Ø°±×",
}


def role_of(name: str) -> tuple[str, str, str] | None:
    """Family, group and role of a font file by its name."""
    for pattern, family, group, role in FAMILIES:
        if re.fullmatch(pattern, name):
            return family, group, role
    return None


def cut_down(source: Path, target: Path) -> str:
    """Write the font with only our characters; return those it really draws."""
    font = TTFont(source, lazy=True)
    known = font.getBestCmap()
    wanted = [c for c in CHARACTERS if ord(c) in known and c != "⁄"]
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
                "characters": "".join(c for c in characters if c not in wrong),
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
