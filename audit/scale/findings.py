"""What there is to tell about the scales of a sheet: one finding a subject, not one a view."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction

from audit.geometry import Box
from audit.lengths import Style, spell
from audit.records import (
    CODES,
    Finding,
    KnownSize,
    NoScale,
    Place,
    Scale,
    Severity,
    Sheet,
    Side,
    View,
    ViewKind,
    Witness,
    WitnessKind,
)
from audit.scale.by_known import KnownView, Standing
from audit.scale.known import KnownScale
from audit.scale.naming import NamedView, relative_u, scale_text

SIGNIFICANT = 4.0  # standard uncertainties; a stretch is a warning, and must be certain
LEAST_STRETCH = 0.002  # relative; less does no harm on a sheet
LEAST_SHEAR = 0.001  # cosine between the axes; less does no harm on a sheet
UNSCALED_BY_NATURE = frozenset({ViewKind.PICTORIAL, ViewKind.NOT_TO_SCALE})

# Findings leave here with id 0; the pipeline numbers them in the series of the audit.
UNNUMBERED = 0


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


def print_findings(named: Sequence[NamedView], *, sheet: Sheet) -> tuple[Finding, ...]:
    """Tell when the print is not true to size (S102), or stretched (S105), once a sheet.

    Parameters
    ----------
    named : Sequence[NamedView]
        The scaled views.
    sheet : Sheet
        Where the size of the paper is a guess nothing is told.

    Returns
    -------
    tuple[Finding, ...]
        At most one of each.
    """
    if not sheet.paper_known:
        return ()
    stretched = [n for n in named if _stretch(n.view) is not None]
    off = [n for n in named if n.name.print_factor not in (None, 1.0) and not _is_mainly_bent(n)]
    found = []
    if off:
        found.append(_print_factor(off, sheet))
    if stretched:
        found.append(_stretched(stretched, sheet))
    return tuple(found)


def _is_mainly_bent(named: NamedView) -> bool:
    """Whether a print is off mainly by its stretch: then its mean size says nothing more."""
    stretch, factor = _stretch(named.view), named.name.print_factor
    return stretch is not None and factor is not None and abs(math.log(factor)) < abs(stretch)


def _print_factor(off: Sequence[NamedView], sheet: Sheet) -> Finding:
    """One sentence for the view whose scale is known best; the others share its print."""
    best = min(off, key=lambda n: relative_u(_scale(n.view)))
    factor = best.name.print_factor or 1.0
    spread = 2 * relative_u(_scale(best.view)) * factor
    story = f", as {best.name.explained} would be" if best.name.explained else ""
    drawn = f" (drawn at {best.name.drawn})" if best.name.drawn not in (None, "1:1") else ""
    seems = "is" if best.stated is not None else "states no scale; it fits one"
    text = (
        f"{sheet.name} {seems} printed at {factor:.1%} of its size{drawn}, give or take "
        f"{max(spread, 0.0005):.1%}{story}. A pattern of a 12-in part traced from it comes out "
        f"{12 * factor:.2f} in; printed at {1 / factor:.1%} it would be true. Scaled values here "
        "allow for it."
    )
    return say(
        "S102",
        text,
        places=[Place(sheet=sheet.id, box=n.view.box) for n in off],
        rests_on=[f"the scale of {name_view(best.view)}"],
    )


def _stretch(view: View) -> float | None:
    """Return ln x - ln y when it is significant."""
    scale = _scale(view)
    stretch = math.log(scale.x / scale.y)
    (xx, xy, _), (_, yy, _), _ = scale.covariance
    u = math.sqrt(max(xx + yy - 2 * xy, 0.0))
    if scale.isotropic or abs(stretch) <= max(SIGNIFICANT * u, LEAST_STRETCH):
        return None
    return stretch


def _stretched(stretched: Sequence[NamedView], sheet: Sheet) -> Finding:
    views = [n.view for n in stretched]
    best = min(stretched, key=lambda n: relative_u(_scale(n.view)))
    scale = _scale(best.view)
    across, upright = scale.x, scale.y
    if sheet.turn % 180:
        across, upright = upright, across
    by = upright / across  # paper for each real mm, across over up
    way = "wide for its height" if by > 1 else "high for its width"
    sizes, parts = "", (1.0, across / upright)
    if best.name.factor is not None:
        parts = (float(best.name.factor) / across, float(best.name.factor) / upright)
        sizes = f" ({parts[0]:.1%} of its size across, {parts[1]:.1%} up and down)"
    text = (
        f"{sheet.name} is stretched: {max(by, 1 / by) - 1:.2%} too {way}{sizes}. A 12-in square "
        f"traced from it comes out {12 * parts[0]:.2f} in wide and {12 * parts[1]:.2f} in high, a "
        f"circle as an oval{_say_shear(scale)}; scaled values here allow for it."
    )
    return say(
        "S105",
        text,
        places=[Place(sheet=sheet.id, box=v.box) for v in views],
        rests_on=[f"the scale of {join_words([name_view(v) for v in views])}"],
    )


def _say_shear(scale: Scale) -> str:
    """Tell how far the axes of a print are from square, when that is certain."""
    u = math.sqrt(max(scale.covariance[2][2], 0.0))
    if abs(scale.shear) <= max(SIGNIFICANT * u, LEAST_SHEAR):
        return ""
    return f", and its corners are off square by {math.degrees(math.asin(abs(scale.shear))):.2f}°"


def _scale(view: View) -> Scale:
    if not isinstance(view.scale, Scale):
        raise TypeError("a view without a scale")
    return view.scale


def stated_findings(named: Sequence[NamedView], *, sheet: Sheet) -> tuple[Finding, ...]:
    """Tell when what the sheet states is not what is drawn (S104, S106).

    When no view is drawn at the scale of the sheet it is the statement that is wrong, told once;
    a single view at another scale is told by itself. Where nothing is stated, views drawn at
    different scales are told as a note.

    Parameters
    ----------
    named : Sequence[NamedView]
        The scaled views.
    sheet : Sheet
        Where they are.

    Returns
    -------
    tuple[Finding, ...]
        One for each wrong statement, one for each odd view.
    """
    found = [_own_wrong(n, sheet) for n in named if n.own is not None and n.fits is False]
    under = [n for n in named if n.own is None and n.general is not None and n.fits is not None]
    wrong = [n for n in under if n.fits is False]
    if wrong and len(wrong) == len(under) and len({n.name.factor for n in wrong}) == 1:
        found.append(_general_wrong(wrong, sheet))
    else:
        found += [_odd_view(n, sheet) for n in wrong]
    if not any(n.stated is not None for n in named):
        found += _unstated(named, sheet)
    return tuple(found)


def enlarge_findings(named: Sequence[NamedView], *, sheet: Sheet) -> tuple[Finding, ...]:
    """Tell whether a print has been enlarged as its sheet says (S109), once a sheet.

    Parameters
    ----------
    named : Sequence[NamedView]
        The scaled views.
    sheet : Sheet
        Where they are.

    Returns
    -------
    tuple[Finding, ...]
        None or one.
    """
    told = [n for n in named if n.enlarge is not None]
    if not told:
        return ()
    by = told[0].enlarge or Fraction(1)
    if all(n.enlarged for n in told):
        text = f"{sheet.name} says to enlarge it by {float(by):.0%}, and this print has been."
    else:
        text = (
            f"{sheet.name} says to enlarge it by {float(by):.0%}, and this print has not been: a "
            f"pattern of a 12-in part traced from it comes out {float(12 / by):.2f} in. Scaled "
            "values here allow for it."
        )
    return (say("S109", text, places=[Place(sheet=sheet.id, box=n.view.box) for n in told]),)


def _drawn_at(named: NamedView) -> str:
    if named.name.drawn is not None:
        return named.name.drawn
    scale = _scale(named.view)
    measured = math.sqrt(scale.x * scale.y)
    return f"1:{measured:.3g}" if measured >= 1 else f"{1 / measured:.3g}:1"


def _scale_witness(stated: Fraction, drawn: str) -> tuple[Witness, ...]:
    return (
        Witness(kind=WitnessKind.STATEMENT, side=Side.FOR, says=f"{scale_text(stated)} is stated"),
        Witness(kind=WitnessKind.DRAWN, side=Side.AGAINST, says=f"drawn at {drawn}"),
    )


def _own_wrong(named: NamedView, sheet: Sheet) -> Finding:
    stated, drawn = named.own or Fraction(1), _drawn_at(named)
    view = start_sentence(name_view(named.view))
    text = f"{view} states {scale_text(stated)} but is drawn at {drawn}."
    return say(
        "S104",
        text,
        places=[Place(sheet=sheet.id, box=named.view.box)],
        witnesses=_scale_witness(stated, drawn),
        rests_on=[f"the scale of {name_view(named.view)}"],
    )


def _general_wrong(wrong: Sequence[NamedView], sheet: Sheet) -> Finding:
    stated, drawn = wrong[0].general or Fraction(1), _drawn_at(wrong[0])
    text = (
        f"{sheet.name} states {scale_text(stated)} but is drawn at {drawn}. Lengths taken off it "
        "by the stated scale come out wrong."
    )
    return say(
        "S104",
        text,
        places=[Place(sheet=sheet.id, box=n.view.box) for n in wrong],
        witnesses=_scale_witness(stated, drawn),
        rests_on=[f"the scale of {join_words([name_view(n.view) for n in wrong])}"],
    )


def _odd_view(named: NamedView, sheet: Sheet) -> Finding:
    stated, drawn = named.general or Fraction(1), _drawn_at(named)
    text = (
        f"{start_sentence(name_view(named.view))} is drawn at {drawn} without saying so; the sheet "
        f"states {scale_text(stated)}."
    )
    return say(
        "S106",
        text,
        places=[Place(sheet=sheet.id, box=named.view.box)],
        witnesses=_scale_witness(stated, drawn),
        rests_on=[f"the scale of {name_view(named.view)}"],
    )


def _unstated(named: Sequence[NamedView], sheet: Sheet) -> list[Finding]:
    """Tell, as a note, of views at another scale than most, where no scale is stated at all."""
    factors = [n.name.factor for n in named if n.name.factor is not None]
    if len(set(factors)) < 2:
        return []
    usual = max(sorted(set(factors), key=float), key=factors.count)
    return [
        say(
            "S106",
            f"{start_sentence(name_view(n.view))} is drawn at {n.name.drawn} and others at "
            f"{scale_text(usual)}; no scale is stated on this sheet.",
            places=[Place(sheet=sheet.id, box=n.view.box)],
            severity=Severity.NOTE,
            rests_on=[f"the scale of {name_view(n.view)}"],
        )
        for n in named
        if n.name.factor not in (None, usual)
    ]


def unscaled_findings(views: Iterable[View], *, sheet: Sheet) -> tuple[Finding, ...]:
    """Tell which views have no scale, and what would give them one (S103), once a sheet.

    Parameters
    ----------
    views : Iterable[View]
        Of this sheet; pictorial views have none by nature.
    sheet : Sheet
        Where they are.

    Returns
    -------
    tuple[Finding, ...]
        None or one.
    """
    open_views = [
        v for v in views if isinstance(v.scale, NoScale) and v.kind not in UNSCALED_BY_NATURE
    ]
    if not open_views:
        return ()
    lines = [
        f"{name_view(v)}: {v.scale.reason}; {v.scale.advice}"
        for v in open_views
        if isinstance(v.scale, NoScale)
    ]
    text = f"Not scaled on {sheet.name}: " + ". ".join(lines) + "."
    return (say("S103", text, places=[Place(sheet=sheet.id, box=v.box) for v in open_views]),)
