"""Printed thread, screw and drill names to sizes, through the sourced tables."""

from __future__ import annotations

import re
from fractions import Fraction

from audit.lengths.amounts import read_number
from audit.lengths.callout import Thread
from audit.lengths.length import Length, Unit
from audit.lengths.tables import drill_sizes, screw_sizes

_UNIFIED = re.compile(
    r"(?P<hash>#|NO\.? ?)?(?P<size>(?:\d+ )?\d+/\d+|\d?\.\d+|\d+)-(?P<tpi>\d+(?:\.5)?)[ -]*"
    r"(?P<grade>.*)",
    re.IGNORECASE,
)
# A metric pitch is never coarser than this share of its diameter (M1.6 x .35 is .22, M3 x .5 .17);
# a larger number behind the x is a length. Common practice, read off the table of ISO 261.
COARSEST_PITCH = Fraction(3, 10)


def read_thread(text: str) -> Thread | None:
    """Read ``1/4-20 UNC-2A``, ``#8-32``, ``1-8 UNC``, ``1/8-27 NPT`` or ``M6``.

    Parameters
    ----------
    text : str
        As the grammar matched it.

    Returns
    -------
    Thread or None
        `None` when no thread can be called that (``0-20`` is no size).

    Examples
    --------
    >>> thread = read_thread("8-32 UNC")
    >>> thread.series, thread.major, thread.threads_per_inch
    ('number', Length(value=Fraction(41, 250), unit=<Unit.IN: 'in'>), Fraction(32, 1))
    >>> read_thread("13-32") is None
    True
    """
    if text[0] in "Mm":
        diameter, _, _ = read_number(text[1:])
        return Thread(series="metric", size=text.upper(), major=Length(diameter, Unit.MM))
    match = _UNIFIED.fullmatch(text.strip())
    if match is None:
        return None
    size, grade = match["size"], match["grade"].upper().strip()
    if "NP" in grade:
        return Thread(
            series="pipe",
            size=size,
            major=None,
            threads_per_inch=Fraction(match["tpi"]),
            grade=grade,
        )
    series, major = _find_major(size, numbered=match["hash"] is not None, grade=grade)
    if major is None:
        return None
    return Thread(
        series=series,
        size=size,
        major=major,
        threads_per_inch=Fraction(match["tpi"]),
        grade=grade,
    )


def _find_major(size: str, *, numbered: bool, grade: str) -> tuple[str, Length | None]:
    if "/" in size or "." in size:
        return "unified", Length(read_number(size)[0], Unit.IN)
    by_number = screw_sizes("numbered screws").get(size)
    if by_number is None or (not numbered and size in ("1", "2", "3", "4") and grade):
        # 1-8 UNC: whole inches, when the number series has no such thread
        whole = Length(Fraction(int(size)), Unit.IN) if grade.startswith("UN") else None
        return "unified", whole
    return "number", by_number


def read_screw(number: str, *, wood: bool) -> Thread | None:
    """Screw by its bare number: ``#8``; wood screws have more numbers than machine screws.

    Examples
    --------
    >>> read_screw("8", wood=True).major.value
    Fraction(41, 250)
    >>> read_screw("13", wood=False) is None
    True
    """
    major = screw_sizes("wood screws" if wood else "numbered screws").get(number)
    if major is None:
        return None
    return Thread(series="wood" if wood else "number", size=number, major=major)


def read_drill(name: str) -> tuple[str, Length] | None:
    """Drill by its printed name: ``#7``, ``NO. 7``, ``F``, ``LETTER F``.

    Examples
    --------
    >>> read_drill("No. 25")[1].value, read_drill("F")[0]
    (Fraction(299, 2000), 'F')
    """
    bare = bare_name(name)
    size = drill_sizes().get(bare)
    return None if size is None else (bare, size)


def bare_name(name: str) -> str:
    """Strip what stands around a drill or screw name.

    Examples
    --------
    >>> bare_name("NO. 7"), bare_name("#10"), bare_name("letter F")
    ('7', '10', 'F')
    """
    plain = re.sub(r"^(?:#|NUMBER |NO\.? ?|LETTER |LTR\.? )", "", name.strip().upper())
    return plain.strip('" ')


def tell_pitch(major: Length, number: Fraction) -> bool:
    """Whether the number behind ``M6 ×`` is a pitch rather than a length of the screw.

    Examples
    --------
    >>> (
    ...     tell_pitch(Length(Fraction(6), Unit.MM), Fraction(1)),
    ...     tell_pitch(Length(Fraction(6), Unit.MM), Fraction(20)),
    ... )
    (True, False)
    """
    return 0 < number <= major.value * COARSEST_PITCH
