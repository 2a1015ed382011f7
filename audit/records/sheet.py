"""Sheets, the views drawn on them, and the scale of a view."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from audit.geometry import Box, Point, Transform
from audit.lengths import Length
from audit.records.flatness import Flatness
from audit.records.fold import Fold
from audit.records.user import UserSet

Cov3 = tuple[
    tuple[float, float, float],
    tuple[float, float, float],
    tuple[float, float, float],
]


class Frame(StrEnum):
    """The coordinates of a sheet.

    PT: points of the unrotated CropBox, origin top left, y down, UserUnit applied (72 = 1 in of
    paper). PX: the stored raster, EXIF *not* applied, x right, y down, first pixel's centre at .5.
    """

    PT = "pt"
    PX = "px"


class PageKind(StrEnum):
    """What a sheet is made of."""

    VECTOR = "vector"
    SCAN = "scan"
    BOTH = "both"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One page or photo of a plan.

    Attributes
    ----------
    id : int
        1, 2, 3 … within the audit.
    name : str
        What the user sees: file name, and page when there are several.
    source : str
        File name without folder.
    digest : str
        SHA-256 of the source file, hex.
    page : int
        1-based within the source.
    frame : Frame
        What `width`, `height` and every place on this sheet are measured in.
    turn : int
        Quarter turns clockwise, in degrees (0, 90, 180, 270), that bring the frame upright
        (/Rotate of a PDF page, EXIF orientation without mirroring).
    mirrored : bool
        EXIF says that the raster is mirrored left to right before turning.
    to_paper : Transform
        From the frame to mm on the paper. Affine for PDF pages and scans; a homography for photos.
    paper_known : bool
        False when `to_paper` is only a guess (no resolution stated, photo not rectified): lengths
        in the raster then need a known size.
    u_paper : float
        Standard uncertainty of a place on the paper that `to_paper` itself brings in, mm.
    stated_dpi : float or None
    remarks : tuple of str
        What the user should know of the source ("repaired while opening").
    user_set : frozenset of UserSet
        What a person set here (`PAPER`: `to_paper`, from a rectangle of known size).
    scatter : float or None
        How far a place departs from what `to_paper` makes of it, along one direction, in the
        frame's unit, as far as lines followed on a photo tell; `None`: nothing was measured.
    paper_box : Box or None
        Of a photo made flat by the edge of its paper: where the paper lies, mm of `to_paper`.
    pictures : tuple of Box or None
        On a page of both kinds: where the pictures are that something may have been measured on;
        `None`: nobody looked, or it is no such page.
    folds : tuple of Fold
        Folds and joints that a person marked.
    flatness : Flatness or None
        How a photo was made flat; `None`: it was not, or only by its corners.
    """

    id: int
    name: str
    source: str
    digest: str
    page: int
    frame: Frame
    kind: PageKind
    width: float
    height: float
    turn: int = 0
    mirrored: bool = False
    to_paper: Transform
    paper_known: bool = True
    u_paper: float = 0.0
    stated_dpi: float | None = None
    remarks: tuple[str, ...] = ()
    user_set: frozenset[UserSet] = frozenset()
    scatter: float | None = None
    paper_box: Box | None = None
    pictures: tuple[Box, ...] | None = None
    folds: tuple[Fold, ...] = ()
    flatness: Flatness | None = None

    @property
    def box(self) -> Box:
        """The whole sheet in its own frame."""
        return Box(0.0, 0.0, self.width, self.height)

    def is_drawn_at(self, *places: Point) -> bool:
        """Whether lines of a program lie at all these places, not pixels of a picture."""
        if self.kind is not PageKind.BOTH or self.pictures is None:
            return self.kind is PageKind.VECTOR
        return not any(box.contains(place) for place in places for box in self.pictures)

    def folds_between(self, *places: Point) -> tuple[Fold, ...]:
        """Return the folds that part these places."""
        return tuple(fold for fold in self.folds if fold.parts(*places))


class ViewKind(StrEnum):
    """How a region of a sheet shows its part."""

    TRUE = "true"
    SECTION = "section"
    HALF = "half"
    BROKEN = "broken"
    PICTORIAL = "pictorial"
    FLAT_PATTERN = "flat pattern"
    NOT_TO_SCALE = "not to scale"
    UNKNOWN = "unknown"


class Edge(StrEnum):
    """Which edge of a thick outline the printed sizes of a view run to."""

    INSIDE = "inside"
    CENTRE = "centre"
    OUTSIDE = "outside"


class ScaleFrom(StrEnum):
    """What fixed a scale."""

    KNOWN = "known"
    CONSENSUS = "consensus"
    STATED = "stated"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Real mm for each mm on the paper, in both directions, with shear.

    A paper vector (dx, dy) in mm has the real length sqrt(g · (dx², 2 dx dy, dy²)) with
    g = (x², x y shear, y²).

    Attributes
    ----------
    x, y : float
        Real mm per paper mm along the sheet's own x and y.
    shear : float
        Cosine between the images of the two axes; 0 for a sheet that is not skewed.
    covariance : 3×3
        Of (ln x, ln y, shear): relative variances of the two factors, absolute of the shear.
    source : ScaleFrom
    drawn : str or None
        The nearest standard scale ("1:2", "1/4 in = 1 ft"), when one is near.
    print_factor : float or None
        Size of the print over the size it should have (0.97), when `drawn` is given.
    used : int
        Known sizes or dimensions that entered.
    agreeing : int
        Those of them that agree with the result.
    chi2, dof : float, int
        Consistency of the known sizes; 0, 0 when nothing is redundant.
    isotropic : bool
        x = y was imposed, not measured.
    anchors : tuple of Point
        Where on the sheet the scale was taken (middles of the lengths used), sheet frame; away
        from them the paper may be stretched otherwise.
    """

    x: float
    y: float
    shear: float = 0.0
    covariance: Cov3
    source: ScaleFrom
    drawn: str | None = None
    print_factor: float | None = None
    used: int = 0
    agreeing: int = 0
    chi2: float = 0.0
    dof: int = 0
    isotropic: bool = False
    anchors: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NoScale:
    """Why a view has no scale, and what would give it one."""

    reason: str
    advice: str = "give a known size on this sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A region of a sheet drawn at one scale.

    `shows` is the smallest error that this view can show at all, in mm of the real part; `None`
    when it has no scale. `tolerance_set` is the tolerance a person gave this view, `user_set` what
    else a person set here (kind, box, title, stated scale). `edge` is the settled edge of thick
    outlines, `None` while nobody and nothing has settled it. `drafting` is the standard
    uncertainty that the drawing itself adds to a length here, mm on the paper; `None` before the
    scale is fixed.
    """

    id: int
    sheet: int
    kind: ViewKind = ViewKind.UNKNOWN
    box: Box
    title: str = ""
    stated_scale: str | None = None
    scale: Scale | NoScale
    shows: float | None = None
    tolerance_set: Length | None = None
    user_set: frozenset[UserSet] = frozenset()
    edge: Edge | None = None
    drafting: float | None = None
