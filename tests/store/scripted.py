"""Things a person and the tool do to an audit, each chosen by a number: for random scripts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from audit.errors import BadUsage
from audit.geometry import Box, Point
from audit.records import (
    Audit,
    ChainLeg,
    Cut,
    Decision,
    Dimension,
    DimensionKind,
    DrawnCount,
    Fold,
    HandChain,
    KnownSize,
    LaidPiece,
    Link,
    OutsideErrata,
    Part,
    PieceShape,
    Proposal,
    ReadBy,
    Verdict,
    ViewKind,
)
from audit.store import (
    AddDimension,
    AddKnownSize,
    AddView,
    AssignView,
    AuditFile,
    ChangeKind,
    ChangeKnownSize,
    ChangeSettings,
    CorrectReading,
    Decide,
    DropErrata,
    EditView,
    LayPiece,
    LinkSame,
    MarkCut,
    MergeViews,
    MoveEnds,
    RemoveChain,
    RemoveCount,
    RemoveDimension,
    RemoveKnownSize,
    RemovePart,
    RemovePiece,
    RenameAudit,
    SetAside,
    SetChain,
    SetCount,
    SetDimensionTolerance,
    SetFolds,
    SetPaper,
    SetPart,
    SetVerdict,
    SetViewTolerance,
    Snapshot,
    TakeErrata,
    TakeUp,
    Unlink,
    UserEntry,
    WithdrawDecision,
)
from tests.store.builders import (
    PT_TO_MM,
    by_hand,
    inches,
    judge,
    make_dimension,
    make_found,
    make_reading,
    make_view,
)

Make = Callable[[Snapshot, int], UserEntry]


def _pick(snapshot: Snapshot, n: int) -> Dimension:
    return snapshot.audit.dimensions[n % len(snapshot.audit.dimensions)]


def _known(n: int) -> KnownSize:
    box = Box(10, 10 + n % 5, 82, 10 + n % 5)
    return KnownSize(sheet=1, a=box.corners[0], b=box.corners[1], length=inches("4"))


def _read(snapshot: Snapshot, n: int) -> UserEntry:
    dimension = _pick(snapshot, n)
    box = dimension.reading.box if dimension.reading else Box(0, 0, 9, 9)
    text = f"{n + 1}/8"
    reading = make_reading(text, box, confirmed=True, by=ReadBy.USER, confidence=1.0)
    return CorrectReading(dimension=dimension.id, reading=None if n % 7 == 0 else reading)


def _move(snapshot: Snapshot, n: int) -> UserEntry:
    dimension = _pick(snapshot, n)
    ends = tuple(replace(e, point=e.point.moved(n % 13 - 6, 3)) for e in dimension.ends)
    return MoveEnds(dimension=dimension.id, ends=ends)


def _add(snapshot: Snapshot, n: int) -> UserEntry:
    return AddDimension(dimension=by_hand(make_dimension(0, at=(300.0, 400.0 + 7 * (n % 9)))))


def _verdict(snapshot: Snapshot, n: int) -> UserEntry:
    choice = (Verdict.NOT_CRITICAL, Verdict.NOT_A_DIMENSION, None)[n % 3]
    return SetVerdict(dimension=_pick(snapshot, n).id, verdict=choice, reason="seen it")


def _decide(snapshot: Snapshot, n: int) -> UserEntry:
    value = None if n % 4 == 0 else inches(f"{n + 1}/16")
    decision = Decision(
        dimension=_pick(snapshot, n).id, value=value, hold=value is None, reason=f"because {n}"
    )
    return Decide(decision=decision)


def _aside(snapshot: Snapshot, n: int) -> UserEntry:
    text = snapshot.audit.texts[n % len(snapshot.audit.texts)]
    return SetAside(sheet=text.sheet, box=text.box, text=text.text, why=f"reason {n}")


def _chain(snapshot: Snapshot, n: int) -> UserEntry:
    legs = (ChainLeg(dimension=_pick(snapshot, n).id), ChainLeg(length=inches("3/8"), count=2))
    return SetChain(chain=HandChain(name=f"chain {n % 3}", legs=legs))


def _piece(snapshot: Snapshot, n: int) -> UserEntry:
    view = snapshot.audit.views[n % len(snapshot.audit.views)]
    piece = LaidPiece(
        name=f"piece {n % 3}",
        sheet=view.sheet,
        view=view.id,
        shape=PieceShape.RECTANGLE if n % 2 else PieceShape.CIRCLE,
        width=inches("3/4"),
        height=inches("2") if n % 2 else None,
        centre=view.box.centre,
        angle=7.5 * n,
    )
    return LayPiece(piece=piece)


def _count(snapshot: Snapshot, n: int) -> UserEntry:
    example = Box(10, 10, 30, 30)
    places = tuple(example.centre.moved(5 * k, k) for k in range(n % 4 + 1))
    count = DrawnCount(name=f"count {n % 2}", sheet=1, example=example, places=places, printed=n)
    return SetCount(count=count)


def _errata(snapshot: Snapshot, n: int) -> UserEntry:
    dimension = _pick(snapshot, n)
    proposal = Proposal(
        sheet=dimension.sheet,
        box=Box(5, 5, 20 + n, 20),
        dimension=dimension.id if n % 2 else None,
        text=f"theirs {n}",
        decided=inches(f"{n + 1}/16"),
        cut=Cut.FITS if n % 3 else None,
    )
    errata = OutsideErrata(digest=f"{n % 2:064x}", name="theirs.json", proposals=(proposal,))
    return TakeErrata(errata=errata)


MAKERS: dict[str, Make] = {
    "read": _read,
    "move": _move,
    "add": _add,
    "verdict": _verdict,
    "decide": _decide,
    "aside": _aside,
    "chain": _chain,
    "take-up": lambda s, n: TakeUp(sheet=1, box=s.audit.texts[n % len(s.audit.texts)].box),
    "kind": lambda s, n: ChangeKind(
        dimension=_pick(s, n).id, kind=(DimensionKind.DISTANCE, DimensionKind.DEPTH)[n % 2]
    ),
    "remove": lambda s, n: RemoveDimension(dimension=_pick(s, n).id),
    "assign": lambda s, n: AssignView(
        dimension=_pick(s, n).id, view=s.audit.views[n % len(s.audit.views)].id
    ),
    "tolerance": lambda s, n: SetDimensionTolerance(
        dimension=_pick(s, n).id, tolerance=None if n % 3 == 0 else inches("1/32")
    ),
    "view-tolerance": lambda s, n: SetViewTolerance(view=1 + n % 3, tolerance=inches("1/8")),
    "edit-view": lambda s, n: EditView(
        view=1 + n % 3,
        kind=ViewKind.HALF if n % 2 else None,
        box=Box(0, 0, 500 + n, 700) if n % 3 else None,
        title=f"view {n}" if n % 5 else None,
    ),
    "add-view": lambda s, n: AddView(view=make_view(0, box=Box(40, 70, 90 + n, 130))),
    "merge-views": lambda s, n: MergeViews(view=1 + n % 4, into=1 + (n + 1) % 4),
    "known": lambda s, n: AddKnownSize(known=_known(n)),
    "no-known": lambda s, n: RemoveKnownSize(known=_known(n)),
    "change-known": lambda s, n: ChangeKnownSize(
        known=s.audit.known_sizes[n % max(len(s.audit.known_sizes), 1)]
        if s.audit.known_sizes
        else _known(n),
        becomes=replace(_known(n), length=inches(f"{n + 1}/4")),
    ),
    "piece": _piece,
    "count": _count,
    "errata": _errata,
    "no-errata": lambda s, n: DropErrata(digest=f"{n % 2:064x}"),
    "cut": lambda s, n: MarkCut(
        dimension=_pick(s, n).id, cut=(Cut.FITS, Cut.DOES_NOT_FIT, None)[n % 3], note=f"try {n}"
    ),
    "no-piece": lambda s, n: RemovePiece(name=f"piece {n % 3}"),
    "no-count": lambda s, n: RemoveCount(name=f"count {n % 2}"),
    "paper": lambda s, n: SetPaper(sheet=1, to_paper=PT_TO_MM, u_paper=n / 100),
    "folds": lambda s, n: SetFolds(
        sheet=1, folds=(Fold(a=Point(n + 9.0, 0.0), b=Point(n + 9.5, 700.0)),) * (n % 2)
    ),
    "withdraw": lambda s, n: WithdrawDecision(dimension=_pick(s, n).id),
    "link": lambda s, n: LinkSame(
        link=Link(first=_pick(s, n).id, second=_pick(s, n // 2).id, same=n % 3 > 0)
    ),
    "unlink": lambda s, n: Unlink(first=_pick(s, n).id, second=_pick(s, n // 2).id),
    "part": lambda s, n: SetPart(
        part=Part(name=f"part {n % 4}", count=n, dimensions=(_pick(s, n).id,) if n % 3 else ())
    ),
    "no-part": lambda s, n: RemovePart(name=f"part {n % 4}"),
    "no-chain": lambda s, n: RemoveChain(name=f"chain {n % 3}"),
    "rename": lambda s, n: RenameAudit(name=f"lift {n}"),
    "settings": lambda s, n: ChangeSettings(
        settings=replace(s.audit.settings, confidence_limit=n / 100)
    ),
}
MACHINE = ("undo", "redo", "run", "judge", "source")
WORDS = (*MAKERS, *MACHINE, "undo", "undo", "redo")


def found_for(n: int) -> Audit:
    """What a run finds: each time a little different, sometimes a dimension less or a new one."""
    found = make_found(count=6 + n % 4)
    left_out = n % 6
    kept = tuple(d for d in found.dimensions if d.id != left_out)
    findings = tuple(f for f in found.findings if left_out not in f.dimensions)
    return replace(found, dimensions=kept, findings=findings)


def act(file: AuditFile, word: str, n: int) -> int | None:
    """Do one thing; return the new revision, or `None` where it cannot be done just now."""
    revision = file.revision
    try:
        if word == "undo":
            return file.undo(revision=revision, judge=judge if n % 2 else None)
        if word == "redo":
            return file.redo(revision=revision, judge=judge if n % 2 else None)
        if word == "run":
            found = found_for(n)
            return file.add_run(found, revision=revision, judge=judge if n % 2 else None)
        if word == "judge":
            return file.judge(judge, revision=revision)
        if word == "source":
            file.add_source(bytes([n % 251]) * (5000 * n), f"plan {n}.pdf")
            return file.revision
        entry = MAKERS[word](file.snapshot(), n)
        return file.record(entry, revision=revision, judge=judge if n % 3 == 0 else None)
    except BadUsage:
        return None
