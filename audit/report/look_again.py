"""Look again: printed, scaled, decided side by side, for what matters most to the cut."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from audit.geometry import Box
from audit.records import (
    Audit,
    Block,
    Crop,
    Decision,
    Dimension,
    Gap,
    Heading,
    Paragraph,
    ShopList,
    SideBySide,
    SizeFrom,
    Verdict,
)
from audit.report.naming import name_features, name_views, place_of
from audit.report.phrases import (
    VERDICT_STYLES,
    say_verdict,
    spell_length,
    spell_measured,
    spell_printed,
    spell_uncertainty,
    with_unit,
)

MOST = 24  # sizes; more are no longer looked at
CROP_ROOM = 0.35  # shown around a dimension, shares of its longer side
LEAST_ROOM_HEIGHTS = 2.5  # and so many heights of its text at least

Pixels = NDArray[np.uint8]


def pick_look_again(audit: Audit, shop: ShopList) -> tuple[Dimension, ...]:
    """Pick the sizes to look at once more before the first cut.

    Parameters
    ----------
    audit : Audit
    shop : ShopList

    Returns
    -------
    tuple of Dimension
        Held ones first, then what disagrees, what was decided, what is scaled or doubtful and goes
        into a finished size; at most `MOST`.
    """
    held = {h.dimension for h in shop.holds if h.dimension is not None}
    decided = {d.dimension for d in audit.decisions}
    cut = {n for p in shop.parts for s in p.sizes for n in s.dimensions}
    scaled = {
        n for p in shop.parts for s in p.sizes if s.source is SizeFrom.SCALED for n in s.dimensions
    }
    ranked = []
    for dimension in audit.dimensions:
        rank = _rank(dimension, held, decided, scaled, cut)
        if rank is not None:
            ranked.append((rank, dimension.sheet, dimension.id, dimension))
    ranked.sort(key=lambda r: r[:3])
    return tuple(dimension for *_, dimension in ranked[:MOST])


def _rank(
    dimension: Dimension, held: set[int], decided: set[int], scaled: set[int], cut: set[int]
) -> int | None:
    if dimension.verdict is Verdict.NOT_A_DIMENSION:
        return None
    if dimension.id in held:
        return 0
    if dimension.verdict is Verdict.DISAGREES:
        return 1
    if dimension.id in decided:
        return 2
    if dimension.id in scaled:
        return 3
    doubtful = dimension.verdict in (Verdict.TOO_CLOSE, Verdict.NOT_CHECKED)
    return 4 if doubtful and dimension.id in cut else None


def crop_box(dimension: Dimension) -> Box:
    """Return the piece of its sheet that shows a dimension with its ends, sheet frame."""
    points = [*dimension.line, *(end.point for end in dimension.ends)]
    box = place_of(dimension)
    if points:
        box = box.union(Box.around(points))
    text = place_of(dimension)
    least = LEAST_ROOM_HEIGHTS * min(text.width, text.height)
    return box.grown(max(CROP_ROOM * max(box.width, box.height), least))


def look_again_blocks(
    audit: Audit, dimensions: tuple[Dimension, ...], crops: Mapping[int, Pixels]
) -> tuple[Block, ...]:
    """Compose the pages to look at again; nothing where no size asks for it.

    Parameters
    ----------
    audit : Audit
    dimensions : tuple of Dimension
        From `pick_look_again`.
    crops : mapping of int to ndarray of uint8
        Upright pieces of the sheets, by number of the dimension.

    Returns
    -------
    tuple of Block
    """
    if not dimensions:
        return ()
    views, features = name_views(audit), name_features(audit)
    decisions = {d.dimension: d for d in audit.decisions}
    blocks: list[Block] = [
        Gap(new_page=True),
        Heading(text="Look again", aside="printed, scaled, decided"),
        Paragraph(
            text="The sizes that matter most to the cut. Lay a rule on the drawing, read the "
            "number once more, and tick it off.",
            soft=True,
        ),
    ]
    for dimension in dimensions:
        name = ", ".join(filter(None, (views.get(dimension.view, ""), features[dimension.id])))
        pixels = crops.get(dimension.id)
        blocks.append(
            SideBySide(
                head=f"{name} (sheet {dimension.sheet})",
                crop=None if pixels is None else Crop(pixels=pixels),
                facts=_facts(dimension, decisions.get(dimension.id)),
                style=VERDICT_STYLES[dimension.verdict],
                label=str(dimension.id),
                note=_note(dimension),
                tick=True,
            )
        )
    return tuple(blocks)


def _facts(dimension: Dimension, decision: Decision | None) -> tuple[tuple[str, str], ...]:
    return (
        ("printed", spell_printed(dimension)),
        ("scaled", say_scaled(dimension)),
        ("build to", say_decided(dimension, decision)),
        ("so", say_verdict(dimension)),
    )


def say_scaled(dimension: Dimension) -> str:
    """Say the scaled size with its ±, or why there is none."""
    scaled = dimension.scaled
    if scaled is None:
        return "not scaled"
    value = spell_measured(scaled.value, scaled.unit)
    around = f"{value} ± {spell_uncertainty(scaled.expanded, scaled.unit)}"
    return with_unit(around, scaled.unit)


def say_decided(dimension: Dimension, decision: Decision | None) -> str:
    """Say what was decided, with its reason."""
    if decision is not None and (decision.hold or decision.value is None):
        return f"HOLD: {decision.reason or 'ask the publisher'}"
    value = decision.value if decision is not None else dimension.build_to
    if value is None:
        return "not decided"
    reason = f" ({decision.reason})" if decision is not None and decision.reason else ""
    return f"{with_unit(spell_length(value), value.unit)}{reason}"


def _note(dimension: Dimension) -> str:
    reading = dimension.reading
    if reading is None:
        return "Nothing is printed here."
    sure = "confirmed by a person" if reading.confirmed else f"read {reading.confidence:.0%} sure"
    return f"{sure}; {reading.doubt}" if reading.doubt else sure
