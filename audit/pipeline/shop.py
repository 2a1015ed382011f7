"""The shop sheet of an audit file, with crops of the sizes to look at again."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from audit.lengths import Length
from audit.pipeline.cropping import cut_crop
from audit.pipeline.laid_pieces import laid_blocks
from audit.pipeline.unpacking import OpenedAudit
from audit.records import Booklet, Dimension
from audit.report.errata_letter import outside_blocks
from audit.report.look_again import crop_box, look_again_blocks, pick_look_again
from audit.report.shop import make_shop_list
from audit.report.shop_booklet import plan_shop
from audit.report.tiling import Paper


def make_shop_booklet(
    opened: OpenedAudit, paper: Paper, *, allowance: Length | None = None
) -> Booklet:
    """Compose the shop sheet of an audit, with the sizes to look at again.

    Parameters
    ----------
    opened : OpenedAudit
    paper : Paper
    allowance : Length, optional
        Of rough sizes.

    Returns
    -------
    Booklet
    """
    shop = make_shop_list(opened.audit, allowance=allowance)
    picked = pick_look_again(opened.audit, shop)
    crops = cut_crops(opened, picked)
    return plan_shop(
        shop,
        paper,
        look_again=look_again_blocks(opened.audit, picked, crops),
        outside=tuple(outside_blocks(opened.audit)),
        laid=laid_blocks(opened),
    )


def cut_crops(opened: OpenedAudit, dimensions: Iterable[Dimension]) -> dict[int, NDArray[np.uint8]]:
    """Cut a piece of its sheet out for each dimension, upright as seen.

    Parameters
    ----------
    opened : OpenedAudit
    dimensions : iterable of Dimension

    Returns
    -------
    dict of int to ndarray of uint8
        By number; one that cannot be cut is left out.
    """
    return {
        dimension.id: pixels
        for dimension in dimensions
        if (pixels := cut_crop(opened, dimension.sheet, crop_box(dimension))) is not None
    }
