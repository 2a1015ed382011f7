"""Sizes lettered by hand on their dimension lines, cut out as the text finder cuts them.

    python -m tests.bench reader_in_place [--full]

Every sheet is one writer's: texts on dimension lines, arrowheads and extension lines beside them,
outlines near them; scanned like the sheets of `hand`, looked at by the page network and read as a
check reads. Development writers have validation faces, those of both development halves of `hand`
and two alphabets; held-out ones have faces no training drew with and the hands of the held-out
half. Faces are looked for as `reader_hard` does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from fontTools.ttLib import TTFont
from rich.console import Console
from rich.table import Table

from audit.networks.decoding import spelling_key
from audit.reading.ends import hear_ends
from audit.reading.find_text import find_text
from audit.reading.near import TextSpot
from audit.reading.network import NetworkReader
from audit.records import Candidate
from tests.bench.hand_letters import ALPHABETS, Lettering, letter, paste
from tests.bench.hand_pen import PX_PER_MM, XY, Hand, Pen, Rng
from tests.bench.hand_sheets import HALVES, SIZE_MM, HandSheet, Scanned, scan
from tests.bench.reader_hard import FACES, find_face, old_callout
from tests.bench.reader_texts import shop

SURE = 0.9
CELL_MM, EDGE_MM = (46.0, 21.0), 12.0
AWAY_MM = 3.5  # a spot whose middle is further from a text's is another text
CONDITIONS = ((200, False), (300, False), (150, False), (200, True), (300, True))
WRITERS = {
    "development": (*FACES, "upright", "upright", "upright",
                    *HALVES["development 2"].faces, "inclined", "inclined",
                    *HALVES["development 3"].faces, "school", "bench",
                    *HALVES["development 4"].faces, "tracer"),
    "held out": ("architects-daughter-latin-400-normal", "PatrickHand_400Regular", "SteveHand"),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A text as it was cut out of a scan; `spot` is `None` where the finder saw none."""

    text: str
    writer: str
    how: str
    spot: TextSpot | None


def draw_size(rng: Rng) -> str:
    """A size or callout as it is lettered by hand: inches, feet and inches, decimals, words."""
    top, bottom = shop(rng)
    n, k = int(rng.integers(1, 12)), int(rng.integers(0, 12))
    mark = str(rng.choice(["", '"']))
    forms: tuple[Callable[[], str], ...] = (
        lambda: f"{n} {top}/{bottom}{mark}", lambda: f"{top}/{bottom}{mark}", lambda: f"{n}{mark}",
        lambda: f"{n} {top}/{bottom}{mark}", lambda: f"{top}/{bottom}{mark}",
        lambda: f"{n}'-{k}\"", lambda: f"{n}'{k}\"", lambda: f"{n}'-{k} {top}/{bottom}\"",
        lambda: f"{n}' {k}\"", lambda: f"{n}'-{k}", lambda: f"R {top}/{bottom}",
        lambda: f"{top}/{bottom}R",
        lambda: f"{n}.{rng.integers(0, 1000):03d}", lambda: f".{rng.integers(1, 1000):03d}",
        lambda: f"{n} {top}/{bottom}{mark} DIA.", lambda: str(rng.integers(10, 400)),
        lambda: f"1{mark}",
        lambda: old_callout(rng).text,
    )  # fmt: skip
    return forms[int(rng.integers(len(forms)))]()


def draw_sheet(writer: str, seed: int) -> tuple[HandSheet, list[tuple[str, XY]]] | None:
    """A sheet of one writer's sizes with their texts and middles, mm; `None` without its face."""
    rng = np.random.default_rng(seed)
    face = None if writer in ALPHABETS else find_face(writer)
    if face is None and writer not in ALPHABETS:
        return None
    how = Lettering(
        alphabet=writer if face is None else "",
        face=face,
        height=float(rng.uniform(2.2, 3.4)),
        slant=float(rng.choice([0.0, 4.0, 10.0])) if face is None else 0.0,
        uneven=float(rng.uniform(0.02, 0.08)),
        tight=float(rng.uniform(0.72, 1.0)),
        fractions="stacked",
    )
    hand = _draw_hand(rng, str(rng.choice(HALVES["development"].heads)))
    known = _known(face) if face else set(ALPHABETS[writer]) | {" "}
    pen, texts = Pen(SIZE_MM, hand, rng), []
    for centre in _centres():
        form = str(rng.choice(["stacked", "slanted", "line"]))
        text = next(t for t in iter(lambda: draw_size(rng), "") if set(t) <= known)
        _draw_one(pen, text, replace(how, fractions=form), centre)
        texts.append((text, centre))
    return HandSheet(page=pen.page, letters=pen.letters, drawn=(), kind=writer), texts


def _known(face: Path) -> set[str]:
    return {chr(code) for code in TTFont(face).getBestCmap()} | {" "}


def _draw_hand(rng: Rng, head: str) -> Hand:
    return Hand(
        waver=float(rng.choice([0.03, 0.06, 0.1])), over=float(rng.uniform(0.1, 0.6)), drafting=0.2,
        thin=float(rng.uniform(0.24, 0.36)), thick=float(rng.uniform(0.35, 0.6)),
        dark=int(rng.integers(20, 90)), swell=float(rng.uniform(0.05, 0.2)), head=head,
        head_mm=float(rng.uniform(2.0, 3.2)), leave=0.4, short=float(rng.choice([0.1, 0.5])),
    )  # fmt: skip


def _centres() -> Iterator[XY]:
    columns, rows = (int((s - 2 * EDGE_MM) / c) for s, c in zip(SIZE_MM, CELL_MM, strict=True))
    for k in range(columns * rows):
        x, y = (
            EDGE_MM + CELL_MM[0] * (k % columns + 0.5),
            EDGE_MM + CELL_MM[1] * (k // columns + 0.5),
        )
        yield x, y


def _draw_one(pen: Pen, text: str, how: Lettering, centre: XY) -> None:
    """Letter a text in or over a dimension line, extension lines and an outline about it."""
    rng, (x, y) = pen.rng, centre
    tile = letter(text, how, pen.hand, rng)
    high, wide = (v / PX_PER_MM for v in tile.shape)
    inline = rng.random() < 0.75
    level = y if inline else y + high / 2 + float(rng.uniform(0.3, 1.0))
    for side in (-1.0, 1.0):
        near = x + side * (wide / 2 + float(rng.uniform(0.3, 1.1))) if inline else x
        tip = x + side * (wide / 2 + float(rng.uniform(1.4, 7.0)))
        pen.line((near, level), (tip, level), over=0.1)
        pen.head((tip, level), (side, 0.0))
        pen.line((tip, level - float(rng.uniform(2, 7))), (tip, level + 2.0), over=0.2)
    if rng.random() < 0.15:
        beyond = y + (high / 2 + float(rng.uniform(0.3, 1.5))) * float(rng.choice([-1, 1]))
        pen.line((x - 15, beyond), (x + 15, beyond), width=pen.hand.thick)
    paste(pen.page, tile, centre, float(rng.normal(0, 1.0)))


def cut_sheet(writer: str, seed: int, *, dpi: int, bilevel: bool) -> list[Cut]:
    """Texts of one writer's sheet as the finder cuts them out of its scan."""
    drawn = draw_sheet(writer, seed)
    if drawn is None:
        return []
    sheet, texts = drawn
    scanned = scan(sheet, dpi=dpi, bilevel=bilevel, rng=np.random.default_rng([seed, dpi]))
    spots = find_text(scanned.pixels, dpi / 25.4)
    how = f"{dpi} {'bilevel' if bilevel else 'gray'}"
    return [
        Cut(text=text, writer=writer, how=how, spot=_spot_at(spots, scanned, centre))
        for text, centre in texts
    ]


def _spot_at(spots: tuple[TextSpot, ...], scanned: Scanned, centre: XY) -> TextSpot | None:
    """Spot at a place of the paper, mm."""
    at = scanned.from_mm.apply(centre)
    nearest = min(spots, key=lambda s: s.centre.distance(at), default=None)
    close = nearest is not None and nearest.centre.distance(at) * 25.4 / scanned.dpi < AWAY_MM
    return nearest if close else None


def list_sheets(half: str, *, full: bool) -> list[tuple[str, int, int, bool]]:
    """Writers, seeds and scans of a half."""
    first = 7000 * (1 + list(WRITERS).index(half))
    return [
        (writer, first + 10 * k + turn, *CONDITIONS[(k + 2 * turn) % len(CONDITIONS)])
        for turn in range(2 if full else 1)
        for k, writer in enumerate(WRITERS[half])
    ]


def run(*, full: bool) -> None:
    """Print the table."""
    console, table = Console(width=110), Table(title="lettered in place: exact, per cent")
    for name in ("set", "scan", "texts", "cut out", "exact", "sure", "right of sure"):
        table.add_column(name, justify="left" if name in ("set", "scan") else "right")
    for half in WRITERS:
        cuts = []
        for writer, seed, dpi, bilevel in list_sheets(half, full=full):
            found = cut_sheet(writer, seed, dpi=dpi, bilevel=bilevel)
            cuts += found
            if not found:
                console.print(f"not measured: {writer} is not installed")
        rows = measure(cuts)
        for how, cells in rows.items():
            table.add_row(half, how, *cells)
    console.print(table)


def read_spots(spots: Sequence[TextSpot]) -> list[tuple[Candidate, ...]]:
    """Read texts as a check reads them first: as they were cut, and in wider cuts of them."""
    reader = NetworkReader()
    return hear_ends(spots, reader.read([spot.crop for spot in spots]), reader)


def measure(cuts: list[Cut]) -> dict[str, tuple[str, ...]]:
    """Rows of the table by scan, and of all."""
    seen = [cut for cut in cuts if cut.spot is not None]
    read = read_spots([cut.spot for cut in seen if cut.spot is not None])
    told: dict[str, list[tuple[bool, bool]]] = {}
    for cut, said in zip(seen, read, strict=True):
        right = bool(said) and spelling_key(said[0].text) == spelling_key(cut.text)
        for name in (cut.how, "all"):
            told.setdefault(name, []).append((right, bool(said) and said[0].confidence >= SURE))
    rows = {}
    for name, found in sorted(told.items()):
        right, sure = np.array(found).T
        count = sum(name in ("all", cut.how) for cut in cuts)
        share = f"{100 * right[sure].mean():.1f}" if sure.any() else "-"
        shares = (len(found) / count, right.mean(), sure.mean())
        rows[name] = (str(count), *(f"{100 * v:.1f}" for v in shares), share)
    return rows
