"""A second look at the texts of found dimensions that were read badly or not at all.

Now it is known along which line a text was written, and where one must stand: it is cut again in
that direction, on its head too, and without the lines that run through it. What the number says
plays no part beyond being a size at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from audit.geometry import Box, angle_between, direction_deg
from audit.lengths import Unit
from audit.pipeline.seen import SeenPicture
from audit.pipeline.turned_texts import BELIEVED, CLEARLY, worth
from audit.reading import TextSpot, find_text_near, hear_readers, vote
from audit.reading.find_text import cut_at, readable_angle
from audit.reading.meanings import may_mean
from audit.reading.readers import DISAGREED_CAP, normalise_vote
from audit.records import Candidate, Dimension, Reading

ON_HEAD = 0.85  # weight of a text that runs the other way along its line
SAME_DEG = 3.0
LEAST = 0.5  # weighed sureness of a text found where none was known
TAKEN = 0.3  # share of a box that other texts may cover
MOSTLY = 0.5  # share of a cut that is another text's: then it is that text
HEARD = 0.5  # of a reading of the first look: as likely as not
RIVAL = 0.5  # weighed sureness from which another reading of the same text is in the way


@dataclass(frozen=True, slots=True, eq=False)
class _Try:
    """A text of dimension `number` cut in one way; `known` is its box as found at first."""

    number: int
    spot: TextSpot
    weight: float
    known: Box | None


def look_again(
    seen: SeenPicture,
    dimensions: Sequence[Dimension],
    *,
    unit: Unit | None,
) -> tuple[Dimension, ...]:
    """Read the doubtful texts of dimensions again, cut along their lines.

    Parameters
    ----------
    seen : SeenPicture
    dimensions : sequence of Dimension
        As found, in px of the ground.
    unit : Unit or None
        What a bare number counts.

    Returns
    -------
    tuple of Dimension
        In the same order; texts keep the box they were found with.
    """
    doubtful = [k for k, d in enumerate(dimensions) if _is_doubtful(d)]
    if not seen.readers or not doubtful:
        return tuple(dimensions)
    boxes = [d.reading.box for d in dimensions if d.reading is not None]
    boxes += [s.box for s, v in zip(seen.spots, seen.votes, strict=True) if worth(v) >= BELIEVED]
    tries = [t for k in doubtful for t in _tries(seen, k, dimensions[k], boxes)]
    heard = hear_readers([t.spot.crop for t in tries], seen.readers[:1])
    result = list(dimensions)
    for k in doubtful:
        own = [(t, said) for t, said in zip(tries, heard, strict=True) if t.number == k and said]
        reading = _best(result[k], own, unit=unit)
        if reading is not None:
            result[k] = replace(result[k], reading=reading)
    return tuple(result)


def _is_doubtful(dimension: Dimension) -> bool:
    reading = dimension.reading
    if len(dimension.line) < 2 or dimension.line[0] == dimension.line[-1]:
        return False
    # from `CLEARLY` on, no other reading can be that much surer
    return reading is None or worth(reading.candidates) < min(BELIEVED, 1.0 / CLEARLY)


def _tries(
    seen: SeenPicture, number: int, dimension: Dimension, boxes: Sequence[Box]
) -> Iterator[_Try]:
    gray, maps = seen.ground.image.pixels, seen.maps
    known = dimension.reading.box if dimension.reading is not None else None
    for box in [known] if known is not None else _free_places(seen, dimension, boxes):
        for angle, weight in _directions(dimension, seen.upright):
            for lines in (True, False):
                spot = cut_at(gray, maps, box, angle=angle, lines=lines)
                if spot is None or min(spot.crop.shape) == 0:
                    continue
                if known is None or not _is_anothers(spot, known, boxes):
                    yield _Try(number, spot, weight, known)


def _free_places(seen: SeenPicture, dimension: Dimension, boxes: Sequence[Box]) -> Iterator[Box]:
    """Where a text stands that no dimension has taken and that was not read as something else."""
    ends = dimension.ends[0].point, dimension.ends[-1].point
    for spot in find_text_near(
        seen.ground.image.pixels, *ends, px_per_mm=seen.px_per_mm, turn=round(seen.upright)
    ):
        area = max(spot.box.width * spot.box.height, 1.0)
        if not any(_common(spot.box, box) > TAKEN * area for box in boxes):
            yield spot.box


def _is_anothers(spot: TextSpot, known: Box, boxes: Sequence[Box]) -> bool:
    """Whether what was cut out of a box is a text that was read already, beside its own."""
    area = max(spot.box.width * spot.box.height, 1.0)
    return any(box != known and _common(spot.box, box) > MOSTLY * area for box in boxes)


def _common(one: Box, other: Box) -> float:
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    high = min(one.y1, other.y1) - max(one.y0, other.y0)
    return max(wide, 0.0) * max(high, 0.0)


def _directions(dimension: Dimension, upright: float) -> list[tuple[float, float]]:
    """Directions a dimension's text may run in, with their weights."""
    along = readable_angle(direction_deg(dimension.line[0], dimension.line[-1]), level=upright)
    ways = [(along, 1.0), (along + 180.0, ON_HEAD)]
    if angle_between(along, upright) > SAME_DEG:
        ways.append((upright, 1.0))
    return ways


def _best(
    dimension: Dimension, own: Sequence[tuple[_Try, tuple[Candidate, ...]]], *, unit: Unit | None
) -> Reading | None:
    """Take the surest reading of a text's cuts, if it is surer than the first one."""
    if not own:
        return None
    first = dimension.reading
    ranked = sorted(own, key=lambda pair: -pair[0].weight * worth(pair[1]))
    chosen, votes = ranked[0]
    sure = chosen.weight * worth(votes)
    if sure < (LEAST if first is None else CLEARLY * worth(first.candidates)):
        return None
    reading = vote(votes, box=chosen.known or chosen.spot.box, angle=chosen.spot.angle, unit=unit)
    if reading is None:
        return None
    said = normalise_vote(votes[0].text)
    rivals = [v[0].text for t, v in ranked if t.weight * worth(v) > RIVAL]
    more = None if first is None else _heard_more(first.candidates, said)
    others = (*rivals, more) if more is not None else rivals
    other = next((text for text in others if not _is_same(text, said, reading, unit)), None)
    if other is None:
        return reading
    return replace(
        reading,
        confidence=min(reading.confidence, DISAGREED_CAP),
        doubt=f"cut in another way it says {other}",
    )


def _is_same(text: str, said: str, reading: Reading, unit: Unit | None) -> bool:
    """Whether another cut says the same size, with an inch mark more or less, say."""
    if normalise_vote(text) == said:
        return True
    return reading.callout is not None and may_mean(text, reading.callout, unit=unit)


def _heard_more(first: Sequence[Candidate], said: str) -> str | None:
    """What the first look heard of which the second left signs out: a cut may lose some.

    Examples
    --------
    >>> from audit.records import ReadBy
    >>> heard = [Candidate(text="1/8", confidence=0.6, by=ReadBy.NET)]
    >>> _heard_more(heard, "8"), _heard_more(heard, "1/8"), _heard_more(heard, "3/8")
    ('1/8', None, None)
    """
    for candidate in first:
        more = normalise_vote(candidate.text)
        rest = iter(more)
        if candidate.confidence >= HEARD and len(said) < len(more) and all(c in rest for c in said):
            return candidate.text
    return None
