"""The decision rule: agrees, disagrees, or neither can be told.

References
----------
ISO 14253-1 (idea only; the text was not seen), guard band g = U with k = 2: agreement is told
only when the difference is inside the tolerance shrunk by U, disagreement only when it is outside
the tolerance widened by U.
"""

from __future__ import annotations

import math

from audit.records import Verdict

# From this share of the tolerance on, U makes a sheet judge by its own limit. At one half the two
# rules meet (T - U = U), so no verdict jumps; with T - U alone more than half of the good sizes of
# a clean 200-dpi scan would be too close to call.
OWN_LIMIT_FROM = 0.5
# Of a size: off by more, it is nearer to one that is 6 % wrong than to what is drawn, and a sheet
# that cannot show so much says nothing for it. Of right sizes of drawn sheets it takes 2 in 100, of
# wrong ones that would agree every second.
MOST_OFF = 0.04
# Of a size: a sheet that shows no such error in it calls it wrong only where it is off by twice U.
SHOWN = 0.06
# Of U: of 906 right sizes of sheets drawn by hand three were off by more, and by 4 %, not by twice
# U; of wrong ones one in eight is.
SURELY = 1.5


def decide(difference: float, tolerance: float, *, expanded: float) -> Verdict:
    """Judge a difference against a tolerance, the uncertainty counting against whoever claims.

    Parameters
    ----------
    difference : float
        Printed minus scaled.
    tolerance : float
        T > 0, same unit.
    expanded : float
        U (k = 2), same unit.

    Returns
    -------
    Verdict
        `AGREES` for |d| <= T - U, `DISAGREES` for |d| > T + U, else `TOO_CLOSE`.

    Raises
    ------
    ValueError
        If the tolerance is not positive or U is negative.

    Examples
    --------
    >>> [decide(d, 0.05, expanded=0.04).value for d in (0.01, 0.03, 0.0901)]
    ['agrees', 'too-close', 'disagrees']
    >>> decide(0.0, 0.05, expanded=0.06).value
    'too-close'
    """
    if not tolerance > 0 or not expanded >= 0:
        raise ValueError("a decision needs a positive tolerance and an uncertainty of 0 or more")
    size = abs(difference)
    if size <= tolerance - expanded:
        return Verdict.AGREES
    return Verdict.DISAGREES if size > tolerance + expanded else Verdict.TOO_CLOSE


def decide_on_sheet(
    difference: float, tolerance: float, *, expanded: float, size: float = math.inf
) -> Verdict:
    """Judge as far as the sheet can tell, also where its own limit U reaches the tolerance.

    With U < T / 2 this is `decide`. Above, the two agree within U as far as this sheet can tell,
    but not where they are `MOST_OFF` of the size apart, and more than T; they disagree beyond
    T + U, or beyond 2 U where U >= T, and what is between is too close to call. (A rule "beyond
    T + U" would call one good size in twenty wrong on a coarse sheet, where T adds nothing to U.)
    Beyond `MOST_OFF` of the size, where the sheet shows an error of `SHOWN`, they disagree beyond
    T + U and `SURELY` U.

    Parameters
    ----------
    difference : float
        Printed minus scaled.
    tolerance : float
        T > 0, same unit.
    expanded : float
        U (k = 2), same unit.
    size : float
        What is drawn, same unit; where none is given, nothing is too far off for it.

    Returns
    -------
    Verdict
        `AGREES`, `TOO_CLOSE` or `DISAGREES`.

    Raises
    ------
    ValueError
        If the tolerance is not positive or U is negative.

    Examples
    --------
    >>> [decide_on_sheet(d, 0.05, expanded=0.1).value for d in (0.09, 0.16, 0.21)]
    ['agrees', 'too-close', 'disagrees']
    >>> [decide_on_sheet(d, 0.05, expanded=0.04).value for d in (0.03, 0.045, 0.095)]
    ['agrees', 'too-close', 'disagrees']
    >>> [decide_on_sheet(d, 0.05, expanded=0.1, size=2.0).value for d in (0.07, 0.09, 0.16)]
    ['agrees', 'too-close', 'disagrees']
    """
    if not is_by_own_limit(tolerance, expanded=expanded):
        return decide(difference, tolerance, expanded=expanded)
    if not tolerance > 0:
        raise ValueError("a decision needs a positive tolerance")
    off = abs(difference)
    if off <= min(expanded, max(tolerance, MOST_OFF * size)):
        return Verdict.AGREES
    if off > MOST_OFF * size and expanded <= SHOWN * size:
        most = max(tolerance + expanded, SURELY * expanded)
    else:
        most = max(tolerance, expanded) + expanded
    return Verdict.DISAGREES if off > most else Verdict.TOO_CLOSE


def is_by_own_limit(tolerance: float, *, expanded: float) -> bool:
    """Tell whether a size is judged by what its sheet can show, not by the tolerance alone.

    Parameters
    ----------
    tolerance : float
        T > 0.
    expanded : float
        U (k = 2), same unit.

    Examples
    --------
    >>> is_by_own_limit(0.05, expanded=0.02), is_by_own_limit(0.05, expanded=0.03)
    (False, True)
    """
    return expanded >= OWN_LIMIT_FROM * tolerance
