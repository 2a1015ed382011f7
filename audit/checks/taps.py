"""Tap drills: how much of the thread a printed drill leaves."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from audit.checks.places import place_of
from audit.checks.tables import read_table
from audit.lengths import Callout, Length, Mark, Unit
from audit.records import Dimension, Finding
from audit.scale.findings import say


def percent_thread(threads_per_inch: Fraction, major: Length, drill: Length) -> float:
    """Return how much of the full thread a drilled hole leaves, per cent.

    Parameters
    ----------
    threads_per_inch : Fraction
        Of the thread.
    major : Length
        Its major diameter.
    drill : Length
        The hole before tapping.

    Returns
    -------
    float
        By the rule in ``fits.txt``.

    Examples
    --------
    >>> major, drill = Length(Fraction(1, 4), Unit.IN), Length(Fraction(201, 1000), Unit.IN)
    >>> round(percent_thread(Fraction(20), major, drill), 1)
    75.4
    """
    depth = (major - drill).to(Unit.IN)
    return float(read_table("percent thread")["factor"][0]) * float(threads_per_inch) * float(depth)


def check_tap(dimension: Dimension) -> Iterator[Finding]:
    """Check a callout that prints a thread with the drill for it.

    Parameters
    ----------
    dimension : Dimension
        Read.

    Yields
    ------
    Finding
        F103, at most one.
    """
    callout = dimension.reading.callout if dimension.reading is not None else None
    pair = _drill_and_thread(callout) if callout is not None else None
    if callout is None or pair is None:
        return
    drill, thread = pair
    if thread.thread is None or thread.thread.major is None:
        return
    pitch = thread.thread.threads_per_inch
    if pitch is None and thread.thread.pitch is not None:
        pitch = Fraction(1) / thread.thread.pitch.to(Unit.IN).value
    if pitch is None:
        return
    percent = percent_thread(pitch, thread.thread.major, drill)
    limits = [float(read_table("percent thread")[r][0]) for r in ("least", "most")]
    if limits[0] <= percent <= limits[1]:
        return
    what = "too little thread: it strips" if percent < limits[0] else "too much to cut: taps break"
    text = (
        f"“{callout.text}” leaves {percent:.0f} % of a full thread, {what}. "
        f"{limits[0]:.0f} to {limits[1]:.0f} % is usual."
    )
    yield say("F103", text, places=[place_of(dimension)], dimensions=[dimension.id])


def _drill_and_thread(callout: Callout) -> tuple[Length, Callout] | None:
    every = (callout, *callout.further)
    threads = [c for c in every if c.thread is not None]
    drills = [
        c.size
        for c in every
        if c.thread is None and c.size is not None and (c.drill or Mark.DRILL in c.marks)
    ]
    if len(threads) != 1 or len(drills) != 1 or drills[0].unit is Unit.DEG:
        return None
    return drills[0], threads[0]
