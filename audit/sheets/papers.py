"""Paper sizes by name and by shape."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources

from audit.errors import BadUsage, one_line
from audit.lengths import Length, Unit

# Cut paper is true to about 1.5 mm (ISO 216 allows ±1.5 mm up to 150 mm, ±2 mm to 600 mm; from
# memory), taken as rectangular; of good cuts much less.
CUT_U_MM = 0.6
SAME_SHAPE = 0.004  # relative; A4 and A1 differ by .1 %, Letter and A4 by 9 %
ALIKE = 2.5  # standard uncertainties of a measured shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A usual paper size; `short` and `long` in mm."""

    name: str
    short: Fraction
    long: Fraction

    @property
    def shape(self) -> float:
        """Long over short side."""
        return float(self.long / self.short)

    def sides(self, *, upright: bool) -> tuple[Length, Length]:
        """Width and height."""
        sides = (Length(self.short, Unit.MM), Length(self.long, Unit.MM))
        return sides if upright else sides[::-1]


@cache
def usual_papers() -> tuple[Paper, ...]:
    """Return the papers of ``papers.txt``, the more usual of a family first."""
    text = resources.files("audit.sheets").joinpath("papers.txt").read_text(encoding="utf-8")
    rows = [
        [cell.strip() for cell in line.split("|")]
        for line in text.splitlines()
        if line.strip() and not line.startswith(("#", "[", "Source:"))
    ]
    return tuple(Paper(name=n, short=Fraction(a), long=Fraction(b)) for n, a, b in rows)


def find_paper(name: str) -> Paper:
    """Return the paper of a name as typed.

    Parameters
    ----------
    name : str
        ``a4``, ``letter``, ``ANSI C``.

    Returns
    -------
    Paper

    Raises
    ------
    BadUsage
        If no paper is called that.

    Examples
    --------
    >>> find_paper("a4").shape > 1.414
    True
    >>> find_paper("napkin")
    Traceback (most recent call last):
    ...
    audit.errors.BadUsage: no paper is called 'napkin': say A4, A3, A2, A1, A0, A5, Letter, \
Tabloid, ANSI C, ANSI D, ANSI E, Legal, ARCH A, ARCH B, ARCH C or ARCH D
    """
    wanted = "".join(name.split()).lower()
    for paper in usual_papers():
        if "".join(paper.name.split()).lower() == wanted:
            return paper
    names = [paper.name for paper in usual_papers()]
    advice = f"say {', '.join(names[:-1])} or {names[-1]}"
    raise BadUsage(f"no paper is called '{one_line(name)}'", advice=advice)


def papers_of_shape(shape: float, *, u_shape: float) -> tuple[Paper, ...]:
    """Return the papers whose sides have this ratio, the nearest shape first.

    Parameters
    ----------
    shape : float
        Long over short side, as measured.
    u_shape : float
        Its standard uncertainty.

    Returns
    -------
    tuple of Paper
        Papers of one shape stand together, the most usual first; empty when none fits.

    Examples
    --------
    >>> [paper.name for paper in papers_of_shape(1.413, u_shape=0.004)][:2]
    ['A4', 'A3']
    >>> papers_of_shape(2.2, u_shape=0.01)
    ()
    """
    near = []
    for paper in usual_papers():
        off = abs(math.log(shape / paper.shape))
        cut = math.hypot(CUT_U_MM / float(paper.short), CUT_U_MM / float(paper.long))
        if off <= ALIKE * math.hypot(u_shape / shape, cut):
            near.append((round(off / SAME_SHAPE), paper))
    return tuple(p for _, p in sorted(near, key=lambda pair: pair[0]))
