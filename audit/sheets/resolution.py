"""Whether a stated resolution says anything about the paper."""

from __future__ import annotations

from dataclasses import dataclass

from audit.geometry import Transform

MM_PER_PT = 25.4 / 72
GUESSED_DPI = 200.0  # common practice for scanned plans, no source
LEAST_DPI = 1.0  # a pixel of an inch: less is no resolution
# What programs write when nobody measured anything: the two old screen resolutions.
SCREEN_DPI = (72.0, 96.0)
SCREEN_WITHIN_DPI = 0.5  # PNG stores whole pixels per metre, so 96 reads 96.012
WHOLE_WITHIN_DPI = 0.02  # for the same reason 200 reads 199.9996
MIN_SIDE_MM, MAX_SIDE_MM = 20.0, 5000.0  # a receipt to a plotter roll


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolution:
    """How a raster relates to its paper.

    `to_paper` is a guess unless `known`; `remark` says why it is one, empty otherwise.
    """

    to_paper: Transform
    known: bool
    dpi_x: float | None
    remark: str = ""


def judge_resolution(
    dpi_x: float | None, dpi_y: float | None, *, width: float, height: float, camera: bool = False
) -> Resolution:
    """Decide what a stated resolution is worth.

    Parameters
    ----------
    dpi_x : float or None
        As the file states it, along x.
    dpi_y : float or None
        The same along y.
    width : float
        Of the raster, px.
    height : float
        Of the raster, px.
    camera : bool
        A camera took it: its resolution says nothing about the paper.

    Returns
    -------
    Resolution

    Examples
    --------
    >>> judge_resolution(300.0, 300.0, width=2550, height=3300).known
    True
    >>> judge_resolution(72.0, 72.0, width=2550, height=3300).remark
    'the file states 72 dpi, which scanners do not use: its paper size is not known'
    """
    if camera:
        return _guess(dpi_x, "a photo: its paper size is not known")
    if dpi_x is None or dpi_y is None or min(dpi_x, dpi_y) < LEAST_DPI:
        return _guess(None, "the file states no resolution: its paper size is not known")
    dpi_x, dpi_y = _whole(dpi_x), _whole(dpi_y)
    if any(abs(dpi_x - s) < SCREEN_WITHIN_DPI for s in SCREEN_DPI):
        why = f"the file states {dpi_x:.0f} dpi, which scanners do not use"
        return _guess(dpi_x, f"{why}: its paper size is not known")
    sides = (width * 25.4 / dpi_x, height * 25.4 / dpi_y)
    if not all(MIN_SIDE_MM <= side <= MAX_SIDE_MM for side in sides):
        size = f"{sides[0]:.0f} × {sides[1]:.0f} mm"
        return _guess(dpi_x, f"the stated resolution would make the paper {size}: not believed")
    to_paper = Transform.scaling(25.4 / dpi_x, 25.4 / dpi_y)
    return Resolution(to_paper=to_paper, known=True, dpi_x=dpi_x)


def _guess(dpi: float | None, remark: str) -> Resolution:
    to_paper = Transform.scaling(25.4 / GUESSED_DPI)
    return Resolution(to_paper=to_paper, known=False, dpi_x=dpi, remark=remark)


def _whole(dpi: float) -> float:
    return float(round(dpi)) if abs(dpi - round(dpi)) < WHOLE_WITHIN_DPI else dpi
