"""A sheet whose views have their scales, as a whole or in parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from audit.records import Finding, Sheet, Statement, View
from audit.scale.consensus import LeftOut


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaledSheet:
    """A sheet whose views have their scales.

    Attributes
    ----------
    sheet : Sheet
        Its folds measured, where known sizes run across them.
    views : tuple of View
        Those of this sheet, each with its `Scale` or `NoScale`, and its `drafting`.
    findings : tuple of Finding
        S1xx and V101, all with id 0: whoever numbers the audit gives them their numbers
        (``dataclasses.replace(finding, id=...)``).
    left_out : tuple of LeftOut
        For each dimension that had a say in its view's scale: the scale without it.
    compared : tuple of Statement
        Stated scales that a measured one was compared with.
    backed : frozenset of int
        Views whose stated scale stands behind the one that their sizes agree on, or that of other
        views.
    """

    sheet: Sheet
    views: tuple[View, ...]
    findings: tuple[Finding, ...]
    left_out: tuple[LeftOut, ...]
    compared: tuple[Statement, ...] = ()
    backed: frozenset[int] = frozenset()

    def judging_scale(self, dimension: int, view: View) -> LeftOut:
        """Return the scale and scatter by which a dimension is to be judged.

        Parameters
        ----------
        dimension : int
            Its id.
        view : View
            The view it stands in, as in `views`.

        Returns
        -------
        LeftOut
            Estimated without this dimension where it had a say, else that of the view.
        """
        for left in self.left_out:
            if left.dimension == dimension:
                return left
        return LeftOut(dimension=dimension, scale=view.scale, drafting=view.drafting or 0.0)


def join_parts(sheet: Sheet, views: Sequence[View], parts: Sequence[ScaledSheet]) -> ScaledSheet:
    """Put together what was fixed apart.

    Parameters
    ----------
    sheet : Sheet
    views : sequence of View
        In their order; each is in one part.
    parts : sequence of ScaledSheet

    Returns
    -------
    ScaledSheet
    """
    by_id = {v.id: v for part in parts for v in part.views}
    return ScaledSheet(
        sheet=sheet,
        views=tuple(by_id[v.id] for v in views),
        findings=tuple(dict.fromkeys(f for part in parts for f in part.findings)),
        left_out=tuple(x for part in parts for x in part.left_out),
        compared=tuple(dict.fromkeys(s for part in parts for s in part.compared)),
        backed=frozenset(v for part in parts for v in part.backed),
    )
