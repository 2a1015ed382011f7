"""The state of an audit: what its history comes to, with what `Audit` alone cannot tell.

An `Audit` is what the user sees. A `State` also remembers which numbers were ever used, what the
tool found once and lost again (so that it gets its old number back), which views were joined, and
what was not judged since it changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import TypeVar

from audit.records import (
    Audit,
    Decision,
    Dimension,
    DrawnCount,
    Finding,
    FoundBy,
    HandChain,
    KnownSize,
    LaidPiece,
    Link,
    OutsideErrata,
    Part,
    ReadBy,
    Reading,
    Settings,
    Sheet,
    SheetText,
    Statement,
    TextState,
    UserSet,
    Verdict,
    View,
)
from audit.store.entries import SetAside, SetFolds, SetPaper
from audit.store.kinds import RunInfo

NOT_JUDGED = "changed since it was last judged"

_T = TypeVar("_T", Sheet, View, Dimension, Finding)


@dataclass(frozen=True, slots=True, kw_only=True)
class MergedView:
    """A view that a person joined into another one; found again, it goes the same way."""

    view: View
    into: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What a run was given for one dimension (points and texts from a file), not by an entry."""

    sides: frozenset[UserSet]


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The single values of a state.

    Attributes
    ----------
    name : str
    settings : Settings
    next_number : int
        The next number of the series that dimensions and findings share.
    next_sheet, next_view : int
    runs : tuple of RunInfo
    dirty : frozenset of int
        Dimensions that changed since they were last judged.
    due : bool
        Something changed since the audit was last judged.
    touched : bool
        At least one user entry counts.
    user_parts, removed_parts : frozenset of str
        Names of parts that a person set or took away; runs leave them alone.
    merged_views : tuple of MergedView
    """

    name: str
    settings: Settings = field(default_factory=Settings)
    next_number: int = 1
    next_sheet: int = 1
    next_view: int = 1
    runs: tuple[RunInfo, ...] = ()
    dirty: frozenset[int] = frozenset()
    due: bool = False
    touched: bool = False
    user_parts: frozenset[str] = frozenset()
    removed_parts: frozenset[str] = frozenset()
    merged_views: tuple[MergedView, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """Everything an audit's history comes to. Dictionaries are never changed in place."""

    head: Head
    sheets: dict[int, Sheet] = field(default_factory=dict)
    views: dict[int, View] = field(default_factory=dict)
    dimensions: dict[int, Dimension] = field(default_factory=dict)
    findings: dict[int, Finding] = field(default_factory=dict)
    lost_dimensions: dict[int, Dimension] = field(default_factory=dict)
    lost_findings: dict[int, Finding] = field(default_factory=dict)
    given: dict[int, Given] = field(default_factory=dict)
    statements: tuple[Statement, ...] = ()
    texts: tuple[SheetText, ...] = ()
    added_texts: tuple[SheetText, ...] = ()
    found_known: tuple[KnownSize, ...] = ()
    user_known: tuple[KnownSize, ...] = ()
    removed_known: tuple[KnownSize, ...] = ()
    parts: tuple[Part, ...] = ()
    links: tuple[Link, ...] = ()
    decisions: tuple[Decision, ...] = ()
    chains: tuple[HandChain, ...] = ()
    pieces: tuple[LaidPiece, ...] = ()
    drawn_counts: tuple[DrawnCount, ...] = ()
    outside: tuple[OutsideErrata, ...] = ()
    set_asides: tuple[SetAside, ...] = ()
    papers: tuple[SetPaper, ...] = ()
    folds: tuple[SetFolds, ...] = ()
    as_printed: dict[int, Reading] = field(default_factory=dict)  # before a person set the unit

    @property
    def known_sizes(self) -> tuple[KnownSize, ...]:
        """The known sizes that count: the tool's that nobody removed, then the user's."""
        hidden = (*self.removed_known, *self.user_known)
        return (*(k for k in self.found_known if k not in hidden), *self.user_known)


def by_id(records: Iterable[_T]) -> dict[int, _T]:
    """Key records by their number, smallest first.

    Parameters
    ----------
    records : Iterable[_T]

    Returns
    -------
    dict

    Raises
    ------
    ValueError
        If a number occurs twice.
    """
    listed = sorted(records, key=lambda r: r.id)
    keyed = {record.id: record for record in listed}
    if len(keyed) != len(listed):
        raise ValueError("two records of one kind have the same number")
    return keyed


def audit_of(state: State) -> Audit:
    """Return what the user sees of a state.

    A dimension that changed since it was judged is *not checked* here: its old verdict was about
    something else.
    """
    return Audit(
        name=state.head.name,
        settings=state.head.settings,
        sheets=tuple(state.sheets.values()),
        views=tuple(state.views.values()),
        dimensions=tuple(
            _unjudged(d) if d.id in state.head.dirty else d for d in state.dimensions.values()
        ),
        statements=state.statements,
        texts=(*state.texts, *_texts_of_dimensions(state)),
        known_sizes=state.known_sizes,
        parts=state.parts,
        links=state.links,
        decisions=state.decisions,
        findings=tuple(state.findings.values()),
        chains=state.chains,
        pieces=state.pieces,
        drawn_counts=state.drawn_counts,
        outside=state.outside,
    )


def _texts_of_dimensions(state: State) -> Iterator[SheetText]:
    """Texts that judging added for dimensions; one whose dimension is gone goes with it."""
    read = {(d.sheet, d.reading.box) for d in state.dimensions.values() if d.reading is not None}
    return (text for text in state.added_texts if (text.sheet, text.box) in read)


def _unjudged(dimension: Dimension) -> Dimension:
    blank = replace(dimension, scaled=None, difference=None, tolerance=None)
    if UserSet.VERDICT in dimension.user_set:
        return blank
    return replace(blank, verdict=Verdict.NOT_CHECKED, why=NOT_JUDGED)


def state_of(audit: Audit) -> State:
    """Return the state that an audit alone lets one know.

    What the file remembers beyond the audit (numbers used before, joined views, lost proposals)
    is missing here.
    """
    numbers = [d.id for d in audit.dimensions] + [f.id for f in audit.findings]
    head = Head(
        name=audit.name,
        settings=audit.settings,
        next_number=1 + max(numbers, default=0),
        next_sheet=1 + max((s.id for s in audit.sheets), default=0),
        next_view=1 + max((v.id for v in audit.views), default=0),
        user_parts=frozenset(p.name for p in audit.parts),
    )
    return State(
        head=head,
        sheets=by_id(audit.sheets),
        views=by_id(audit.views),
        dimensions=by_id(audit.dimensions),
        findings=by_id(audit.findings),
        statements=audit.statements,
        texts=audit.texts,
        user_known=audit.known_sizes,
        parts=audit.parts,
        links=audit.links,
        decisions=audit.decisions,
        chains=audit.chains,
        pieces=audit.pieces,
        drawn_counts=audit.drawn_counts,
        outside=audit.outside,
        set_asides=tuple(_set_aside(t) for t in audit.texts if _is_set_aside(t, audit)),
    )


def _is_set_aside(text: SheetText, audit: Audit) -> bool:
    """Whether a person set this very text aside, not the dimension that it belongs to."""
    return text.state is TextState.SET_ASIDE and not any(
        UserSet.VERDICT in d.user_set
        and d.sheet == text.sheet
        and d.reading is not None
        and d.reading.box == text.box
        for d in audit.dimensions
    )


def _set_aside(text: SheetText) -> SetAside:
    return SetAside(sheet=text.sheet, box=text.box, text=text.text, why=text.why or "")


def is_user_work(dimension: Dimension) -> bool:
    """Tell whether a person added, confirmed or changed anything on a dimension."""
    reading = dimension.reading
    return (
        bool(dimension.user_set)
        or dimension.found_by is FoundBy.USER
        or (reading is not None and (reading.confirmed or reading.by is ReadBy.USER))
    )


def used_dimensions(state: State) -> frozenset[int]:
    """Return the numbers of dimensions that a person's decisions, links and chains stand on."""
    used = {d.dimension for d in state.decisions}
    for link in state.links:
        used |= {link.first, link.second}
    for chain in state.chains:
        used |= chain_dimensions(chain)
    for part in state.parts:
        used |= set(part.dimensions)
    for errata in state.outside:
        used |= {p.dimension for p in errata.proposals if p.dimension is not None}
    return frozenset(used)


def chain_dimensions(chain: HandChain) -> frozenset[int]:
    """Return the numbers of the dimensions in a chain made by hand."""
    legs = chain.legs if chain.overall is None else (*chain.legs, chain.overall)
    return frozenset(leg.dimension for leg in legs if leg.dimension is not None)
