"""Findings as the scale says them, one a subject, not one a view; and those of known sizes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from audit.geometry import Box
from audit.lengths import Style, spell
from audit.records import (
    CODES,
    Finding,
    KnownSize,
    Place,
    Scale,
    Severity,
    Sheet,
    Side,
    View,
    Witness,
    WitnessKind,
)
from audit.scale.by_known import KnownView, Standing
from audit.scale.known import KnownScale

# Findings leave here with id 0; the pipeline numbers them in the series of the audit.
UNNUMBERED = 0


def scale_of(view: View) -> Scale:
    """Return the scale of a view that has one.

    Parameters
    ----------
    view : View

    Returns
    -------
    Scale

    Raises
    ------
    TypeError
        If it has none: whoever asks has left such views out.
    """
    if not isinstance(view.scale, Scale):
        raise TypeError("a view without a scale")
    return view.scale


def say(
    code: str,
    text: str,
    *,
    places: Iterable[Place],
    severity: Severity | None = None,
    witnesses: Iterable[Witness] = (),
    rests_on: Iterable[str] = (),
    dimensions: Iterable[int] = (),
) -> Finding:
    """Make an unnumbered finding of a known code.

    Parameters
    ----------
    code : str
        A key of `CODES`.
    text : str
        Whole sentences.
    places : Iterable[Place]
        Where to look.
    severity : Severity | None
        `None`: the usual one of the code.
    witnesses : Iterable[Witness]
        For and against.
    rests_on : Iterable[str]
        What must hold.
    dimensions : Iterable[int]
        Concerned.

    Returns
    -------
    Finding
        With id 0; its grade names the kinds of the witnesses against.
    """
    witnesses = tuple(witnesses)
    against = dict.fromkeys(_grade(w.kind) for w in witnesses if w.side is Side.AGAINST)
    return Finding(
        id=UNNUMBERED,
        code=code,
        severity=severity or CODES[code].severity,
        grade="+".join(against),
        places=tuple(places),
        dimensions=tuple(dimensions),
        witnesses=witnesses,
        rests_on=tuple(rests_on),
        text=text,
    )


def _grade(kind: WitnessKind) -> str:
    return "drawing" if kind is WitnessKind.DRAWN else kind.value


def name_view(view: View) -> str:
    """Return how a view is called in a sentence.

    Parameters
    ----------
    view : View
        Titled or not.

    Returns
    -------
    str
        ``view 2 (end plate)`` or ``view 2``.
    """
    return f"view {view.id} ({view.title})" if view.title else f"view {view.id}"


def list_views(views: Sequence[View]) -> str:
    """Return how several views are called in a sentence.

    Parameters
    ----------
    views : Sequence[View]
        At least one.

    Returns
    -------
    str
        ``view 2 (end plate)`` or ``views 1, 3 (RAMP) and 4``.
    """
    if len(views) == 1:
        return name_view(views[0])
    return f"views {join_words([name_view(v).removeprefix('view ') for v in views])}"


def start_sentence(words: str) -> str:
    """Return words with a capital first letter, the others left as they are.

    Parameters
    ----------
    words : str
        Any.

    Returns
    -------
    str
        Ready to begin a sentence.

    Examples
    --------
    >>> start_sentence("view 3 (RAMP)"), start_sentence("")
    ('View 3 (RAMP)', '')
    """
    return words[:1].upper() + words[1:]


def join_words(words: Sequence[str]) -> str:
    """Join words for a sentence.

    Parameters
    ----------
    words : Sequence[str]
        Any number.

    Returns
    -------
    str
        With commas and a last "and".

    Examples
    --------
    >>> join_words(["view 1", "view 2", "view 3"]), join_words(["view 1"]), join_words([])
    ('view 1, view 2 and view 3', 'view 1', '')
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def known_size_findings(
    known: KnownScale, sizes: Sequence[KnownSize], *, sheet: Sheet
) -> tuple[Finding, ...]:
    """Tell when the known sizes of a sheet do not fit one scale (S101).

    Parameters
    ----------
    known : KnownScale
        What they came to.
    sizes : Sequence[KnownSize]
        In the same order.
    sheet : Sheet
        Where they are.

    Returns
    -------
    tuple[Finding, ...]
        None or one.
    """
    if not known.contradict:
        return ()
    boxes = [Place(sheet=sheet.id, box=Box.around((k.a, k.b))) for k in sizes]
    if known.bad is not None:
        text = (
            f"The known size {_say_size(sizes[known.bad])} does not fit the other "
            f"{len(sizes) - 1} known sizes of {sheet.name}; it was left out. Check its length "
            "and the two places."
        )
        return (say("S101", text, places=[boxes[known.bad]]),)
    listed = join_words([_say_size(k) for k in sizes])
    text = (
        f"The known sizes {listed} of {sheet.name} do not fit one scale, and which of them is "
        "wrong cannot be told. Check their lengths and places, or give one more."
    )
    return (say("S101", text, places=boxes),)


def _say_size(known: KnownSize) -> str:
    """Say a known size in the unit it was given in."""
    return f"{spell(known.length, style=Style.PLAIN)} {known.length.unit.value}"


def standing_findings(
    stands: Iterable[KnownView], views: Sequence[View], *, sheet: Sheet
) -> tuple[Finding, ...]:
    """Tell when the printed sizes of a view speak against the known sizes (S101).

    Parameters
    ----------
    stands : Iterable[KnownView]
        How each view stands to the known sizes.
    views : Sequence[View]
        Of this sheet.
    sheet : Sheet
        Where they are.

    Returns
    -------
    tuple[Finding, ...]
        One for each view that contradicts them.
    """
    by_id = {v.id: v for v in views}
    found = []
    for stand in stands:
        if stand.standing is not Standing.CONTRADICTS:
            continue
        view = by_id[stand.scaled.view]
        text = (
            f"The printed sizes of {name_view(view)} agree with each other on a scale "
            f"{abs(stand.ratio - 1):.1%} {'larger' if stand.ratio > 1 else 'smaller'} than the "
            "known size makes it. Check the known size and where it was placed; until then this "
            "view is not scaled."
        )
        found.append(say("S101", text, places=[Place(sheet=sheet.id, box=view.box)]))
    return tuple(found)
