"""The JSON of `plan-audit read`: what was read in each picture, in the order given."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import BaseModel, ConfigDict, Field

from audit.lengths import Unit, spell_fraction
from audit.records import Reading


class ReadingJson(BaseModel):
    """One text as read. `value` is the size as a fraction, null when the text is no size."""

    model_config = ConfigDict(frozen=True)

    source: str
    text: str
    value: str | None
    unit: Unit | None
    confidence: float = Field(ge=0, le=1)
    sure: bool
    candidates: tuple[str, ...]
    by: str | None
    box: tuple[float, float, float, float] | None = None
    angle: float | None = None


class ReadingsJson(BaseModel):
    """Everything that `read` was asked for, version 1."""

    model_config = ConfigDict(frozen=True)

    version: int = 1
    readings: tuple[ReadingJson, ...]


def tell_reading(
    source: str, reading: Reading | None, *, limit: float, placed: bool = False
) -> ReadingJson:
    """Turn a reading into JSON; no reading is an empty text.

    Parameters
    ----------
    source : str
        The picture's path as given.
    reading : Reading or None
    limit : float
        The confidence from which a reading counts as sure.
    placed : bool
        Tell box and angle, for texts found on a whole sheet.
    """
    if reading is None:
        return ReadingJson(
            source=source, text="", value=None, unit=None, confidence=0.0, sure=False,
            candidates=(), by=None,
        )  # fmt: skip
    size = reading.callout.size if reading.callout else None
    texts = dict.fromkeys(c.text for c in reading.candidates)
    return ReadingJson(
        source=source,
        text=reading.text,
        value=spell_fraction(size) if size else None,
        unit=size.unit if size else None,
        confidence=round(reading.confidence, 4),
        sure=reading.confidence >= limit and not reading.doubt,
        candidates=tuple(texts),
        by=reading.by.value,
        box=(reading.box.x0, reading.box.y0, reading.box.x1, reading.box.y1) if placed else None,
        angle=reading.angle if placed else None,
    )


def write_readings(readings: Sequence[ReadingJson]) -> str:
    """Write readings as JSON text; box and angle only where there are any."""
    whole = ReadingsJson(readings=tuple(readings))
    bare = {"box", "angle"} if all(r.box is None for r in readings) else set()
    text: str = whole.model_dump_json(indent=2, exclude={"readings": {"__all__": bare}})
    return text + "\n"
