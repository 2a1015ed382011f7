"""What the parent asks of the worker, one record for each operation."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from audit.isolation.info import SourceKind
from audit.isolation.limits import Limits

Four = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenFile:
    """Open the file; answered by `DocumentInfo`."""

    path: Path
    kind: SourceKind
    limits: Limits


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAtPage:
    """See what a page is made of; answered by `PageLook`."""

    page: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadVectors:
    """Extract everything drawn on a PDF page; answered by `VectorPage`."""

    page: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RenderPage:
    """Render a PDF page into `target`; answered by `PixelsWritten`.

    `per_x`, `per_y` are pixels for each pt; `anchor` is a place in the frame that must fall on
    the corner of a pixel; `box` limits what is rendered. `complete` refuses a page with a cut-off
    picture.
    """

    page: int
    per_x: float
    per_y: float
    target: Path
    anchor: tuple[float, float] = (0.0, 0.0)
    box: Four | None = None
    complete: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DecodePicture:
    """Decode the stored raster of an image page into `target`; answered by `PixelsWritten`."""

    page: int
    target: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkUp:
    """Write a marked-up copy into `target`; answered by `Done`, with its remarks.

    `plan` is a `MarkupPlan`, `sources` the `SourceFile` of every sheet in it (empty: the open file
    is the only one); the worker trusts its parent.
    """

    plan: Any
    target: Path
    sources: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Compose:
    """Write pages that come from records alone into `target`; answered by `Done`.

    `plan` is a `PrintPlan` or a `Booklet`; no file needs to be open.
    """

    plan: Any
    target: Path


Request = OpenFile | LookAtPage | ReadVectors | RenderPage | DecodePicture | MarkUp | Compose
