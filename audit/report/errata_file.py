"""The errata file: what one owner of a plan found, for another owner of the same print.

It holds no picture of the plan, no file name beyond the sheets' own, nothing about its writer.
The format is documented in docs/errata-file.md; a file from outside is checked against these
models before anything in it is looked at.
"""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Literal, cast

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from audit.errors import BadInput, TooLarge, one_line
from audit.lengths import Length, Unit
from audit.records import Cut, Severity
from audit.report.errata import Erratum

MAX_BYTES = 64 << 20
MAX_SHEETS, MAX_ERRATA, MAX_PLACES = 500, 10_000, 2000
LOOK_BYTES = 128  # of one place: a descriptor of 16 × 8 directions
ADVICE = "ask for the errata again, as written by plan-audit"

Text = Annotated[str, Field(max_length=2000)]
Short = Annotated[str, Field(max_length=200)]
Finite = Annotated[float, Field(allow_inf_nan=False, ge=-1e7, le=1e7)]
XY = tuple[Finite, Finite]
UnitName = Literal["in", "mm", "deg"]
Base64 = Annotated[str, Field(max_length=1 << 20)]
Count = Annotated[int, Field(ge=0, le=1 << 31)]


class _Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=False)


class LikenessJson(_Model):
    """Distinct places of a sheet: little-endian float32 pairs and 128 bytes each, base64."""

    per_px: Annotated[float, Field(gt=0, allow_inf_nan=False, le=1e4)]
    places: Base64
    looks: Base64


class ErrataSheet(_Model):
    """One sheet as its writer had it: frame, size, the file's SHA-256, its likeness."""

    id: Annotated[int, Field(ge=1, le=1_000_000)]
    name: Short
    page: Annotated[int, Field(ge=1, le=1_000_000)]
    frame: Literal["pt", "px"]
    width: Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)]
    height: Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)]
    digest: Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")]
    likeness: LikenessJson


class LengthJson(_Model):
    """An exact length: ``27/8`` and ``in``."""

    value: Annotated[str, Field(pattern=r"^-?\d{1,9}(/[1-9]\d{0,8})?$")]
    unit: UnitName

    def to_length(self) -> Length:
        """Return it as a length."""
        return Length(Fraction(self.value), Unit(self.unit))


class ErratumJson(_Model):
    """One erratum, places in the frame of its sheet."""

    id: Count
    sheet: Annotated[int, Field(ge=1, le=1_000_000)]
    box: tuple[Finite, Finite, Finite, Finite]
    ends: Annotated[tuple[XY, ...], Field(max_length=4)] = ()
    code: Annotated[str, Field(pattern=r"^([A-Z]\d{3})?$")] = ""
    severity: Severity = Severity.WARNING
    text: Text
    printed: Short = ""
    suggestion: Short = ""
    decided: LengthJson | None = None
    reason: Text = ""
    hold: bool = False
    cut: Cut | None = None
    cut_note: Text = ""


class ErrataFile(_Model):
    """The whole file."""

    format: Literal["plan-audit errata"]
    version: Literal[1]
    plan: Short
    sheets: Annotated[tuple[ErrataSheet, ...], Field(max_length=MAX_SHEETS)]
    errata: Annotated[tuple[ErratumJson, ...], Field(max_length=MAX_ERRATA)]


def pack_likeness(
    places: NDArray[np.float32], looks: NDArray[np.uint8], per_px: float
) -> LikenessJson:
    """Write the distinct places of a sheet as text."""
    return LikenessJson(
        per_px=per_px,
        places=base64.b64encode(np.ascontiguousarray(places, "<f4").tobytes()).decode("ascii"),
        looks=base64.b64encode(np.ascontiguousarray(looks, np.uint8).tobytes()).decode("ascii"),
    )


def unpack_likeness(packed: LikenessJson) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
    """Read the distinct places of a sheet back.

    Parameters
    ----------
    packed : LikenessJson

    Returns
    -------
    (ndarray of float32 (n, 2), ndarray of uint8 (n, 128))

    Raises
    ------
    BadInput
        If they are no such places.
    """
    try:
        places = np.frombuffer(base64.b64decode(packed.places, validate=True), "<f4")
        looks = np.frombuffer(base64.b64decode(packed.looks, validate=True), np.uint8)
        places = places.reshape(-1, 2).astype(np.float32)
        looks = looks.reshape(-1, LOOK_BYTES)
    except (binascii.Error, ValueError):
        raise _bad("the likeness of a sheet is damaged") from None
    if len(places) != len(looks) or len(places) > MAX_PLACES:
        raise _bad("the likeness of a sheet is damaged")
    if len(places) and not (np.isfinite(places).all() and np.abs(places).max() <= 1e7):
        raise _bad("the likeness of a sheet lies nowhere")
    return places, looks


def _bad(problem: str) -> BadInput:
    return BadInput(f"these are no errata that can be used: {problem}", advice=ADVICE)


def compose_errata_file(plan: str, sheets: Sequence[ErrataSheet], errata: Sequence[Erratum]) -> str:
    """Write errata as a file.

    Parameters
    ----------
    plan : str
        Name of the audit.
    sheets : sequence of ErrataSheet
        Those that errata speak of.
    errata : sequence of Erratum

    Returns
    -------
    str
        JSON, ASCII.
    """
    made = ErrataFile(
        format="plan-audit errata",
        version=1,
        plan=one_line(plan)[:200],
        sheets=tuple(sheets),
        errata=tuple(_erratum(e) for e in errata),
    )
    return json.dumps(made.model_dump(mode="json"), indent=1) + "\n"


def _erratum(erratum: Erratum) -> ErratumJson:
    decided = erratum.decided
    return ErratumJson(
        id=erratum.number,
        sheet=erratum.sheet,
        box=(erratum.box.x0, erratum.box.y0, erratum.box.x1, erratum.box.y1),
        ends=tuple((p.x, p.y) for p in erratum.ends[:4]),
        code=erratum.code,
        severity=erratum.severity,
        text=one_line(erratum.text)[:2000],
        printed=one_line(erratum.printed)[:200],
        suggestion=one_line(erratum.suggestion)[:200],
        decided=None
        if decided is None
        else LengthJson(value=str(decided.value), unit=cast("UnitName", decided.unit.value)),
        reason=one_line(erratum.reason)[:2000],
        hold=erratum.hold,
        cut=erratum.cut,
        cut_note=one_line(erratum.cut_note)[:2000],
    )


def read_errata_file(data: bytes) -> ErrataFile:
    """Read an errata file of unknown origin.

    Parameters
    ----------
    data : bytes

    Returns
    -------
    ErrataFile

    Raises
    ------
    TooLarge
        If it is larger than any honest one.
    BadInput
        If it is no errata file of this version.
    """
    if len(data) > MAX_BYTES:
        raise TooLarge("the errata file is too large", advice=ADVICE)
    if not data.lstrip()[:1] == b"{":
        raise _bad("they are not JSON")
    try:
        read = ErrataFile.model_validate_json(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False, include_context=False)[0]
        place = ".".join(str(step) for step in first["loc"]) or "the file"
        raise _bad(one_line(f"{place}: {first['msg']}")[:200]) from None
    known = {sheet.id for sheet in read.sheets}
    if len(known) != len(read.sheets) or not {e.sheet for e in read.errata} <= known:
        raise _bad("they speak of sheets that are not in the file")
    return read


def errata_schema() -> str:
    """Compose the JSON Schema of the errata file, as it is committed under docs/."""
    return json.dumps(ErrataFile.model_json_schema(mode="serialization"), indent=2) + "\n"
