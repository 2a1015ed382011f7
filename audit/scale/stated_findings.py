"""What there is to tell of the scales that a sheet states, and of views that have none."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction

from audit.records import (
    Finding,
    NoScale,
    Place,
    Severity,
    Sheet,
    Side,
    View,
    ViewKind,
    Witness,
    WitnessKind,
)
from audit.scale.findings import (
    join_words,
    list_views,
    name_view,
    say,
    scale_of,
    start_sentence,
)
from audit.scale.naming import NamedView, scale_text

UNSCALED_BY_NATURE = frozenset({ViewKind.PICTORIAL, ViewKind.NOT_TO_SCALE})


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


def _drawn_at(named: NamedView) -> str:
    if named.name.drawn is not None:
        return named.name.drawn
    scale = scale_of(named.view)
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
    alike: dict[str, list[View]] = {}
    for view in open_views:
        if isinstance(view.scale, NoScale):
            alike.setdefault(f"{view.scale.reason}; {view.scale.advice}", []).append(view)
    lines = [f"{list_views(views)}: {why}" for why, views in alike.items()]
    text = f"Not scaled on {sheet.name}: " + ". ".join(lines) + "."
    return (say("S103", text, places=[Place(sheet=sheet.id, box=v.box) for v in open_views]),)
