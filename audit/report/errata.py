"""Errata of a plan: what is wrong in it, what was decided, and what came of cutting it.

Pure: `list_errata` collects them; `errata_letter` sets them as a letter, `errata_file` as a file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from audit.geometry import Box, Point
from audit.lengths import Length
from audit.records import (
    Audit,
    Cut,
    Decision,
    Dimension,
    Finding,
    Proposal,
    Severity,
    Side,
)
from audit.report.ledger import order_findings
from audit.report.naming import name_features, name_views, place_of
from audit.report.phrases import spell_length, spell_printed, with_unit

# A stretched or shrunk print is a fault of this copy, not of the plan.
OF_THIS_COPY = ("D", "S101", "S102", "S103", "S105", "S107")


@dataclass(frozen=True, slots=True, kw_only=True)
class Erratum:
    """One thing wrong in a plan.

    Attributes
    ----------
    number : int
        Of the finding, or of the dimension that was decided.
    sheet : int
    where : str
        Part or view, and which size, in words.
    box : Box
        Sheet frame.
    ends : tuple of Point
        Of the dimension, sheet frame; empty when it is about none.
    dimension : int or None
    code, severity, text
        Of the finding.
    printed : str
        As printed; empty when it is about no size.
    suggestion : str
        What another witness gives; may be empty.
    against : tuple of str
        Who speaks against the print.
    decided : Length or None
    reason : str
    hold : bool
    cut : Cut or None
    cut_note : str
    """

    number: int
    sheet: int
    where: str
    box: Box
    ends: tuple[Point, ...] = ()
    dimension: int | None = None
    code: str = ""
    severity: Severity = Severity.WARNING
    text: str
    printed: str = ""
    suggestion: str = ""
    against: tuple[str, ...] = ()
    decided: Length | None = None
    reason: str = ""
    hold: bool = False
    cut: Cut | None = None
    cut_note: str = ""


def list_errata(audit: Audit) -> tuple[Erratum, ...]:
    """Collect the errata of an audit, worst first; then decisions that no finding asked for.

    Parameters
    ----------
    audit : Audit

    Returns
    -------
    tuple of Erratum
        Errors and warnings about the plan itself; what is only wrong with this copy of it
        (a stretched print) and notes are left out.
    """
    decisions = {d.dimension: d for d in audit.decisions}
    found = [
        _from_finding(finding, audit, decisions)
        for finding in order_findings(audit)
        if finding.severity is not Severity.NOTE
        and not finding.code.startswith(OF_THIS_COPY)
        and finding.places
    ]
    told = {n for f in audit.findings for n in f.dimensions if f.severity is not Severity.NOTE}
    bare = [_from_decision(d, audit) for d in audit.decisions if d.dimension not in told]
    return (*found, *(erratum for erratum in bare if erratum is not None))


def _from_finding(finding: Finding, audit: Audit, decisions: dict[int, Decision]) -> Erratum:
    place = finding.places[0]
    numbers = [n for n in finding.dimensions if n in decisions] or list(finding.dimensions)
    dimension = _find(audit, numbers[0]) if len(finding.dimensions) > 0 else None
    decision = decisions.get(dimension.id) if dimension is not None else None
    erratum = Erratum(
        number=dimension.id if len(finding.dimensions) == 1 and dimension else finding.id,
        sheet=place.sheet,
        where=say_where(audit, dimension, place.sheet),
        box=place.box,
        code=finding.code,
        severity=finding.severity,
        text=finding.text,
        suggestion=finding.suggestion or "",
        against=tuple(w.says for w in finding.witnesses if w.side is Side.AGAINST),
    )
    return _with_decision(_with_dimension(erratum, dimension), decision)


def _from_decision(decision: Decision, audit: Audit) -> Erratum | None:
    dimension = _find(audit, decision.dimension)
    if dimension is None or (decision.value is not None and decision.value == dimension.printed
                             and decision.cut is None):  # fmt: skip
        return None
    text = "Held: not cut before the publisher has answered."
    if decision.value is not None:
        text = f"Built to {with_unit(spell_length(decision.value), decision.value.unit)}."
    erratum = Erratum(
        number=dimension.id,
        sheet=dimension.sheet,
        where=say_where(audit, dimension, dimension.sheet),
        box=place_of(dimension),
        text=text,
    )
    return _with_decision(_with_dimension(erratum, dimension), decision)


def _with_dimension(erratum: Erratum, dimension: Dimension | None) -> Erratum:
    if dimension is None:
        return erratum
    return replace(
        erratum,
        dimension=dimension.id,
        ends=tuple(end.point for end in dimension.ends),
        printed=spell_printed(dimension) if dimension.reading is not None else "",
    )


def _with_decision(erratum: Erratum, decision: Decision | None) -> Erratum:
    if decision is None:
        return erratum
    return replace(
        erratum,
        decided=decision.value,
        reason=decision.reason,
        hold=decision.hold,
        cut=decision.cut,
        cut_note=decision.cut_note,
    )


def _find(audit: Audit, number: int) -> Dimension | None:
    return next((d for d in audit.dimensions if d.id == number), None)


def say_where(audit: Audit, dimension: Dimension | None, sheet: int) -> str:
    """Say where something is: sheet, view and which size."""
    if dimension is None:
        return f"sheet {sheet}"
    view = name_views(audit).get(dimension.view, "")
    feature = name_features(audit)[dimension.id]
    return ", ".join(filter(None, (f"sheet {sheet}", view, feature)))


def say_decision(erratum: Erratum | Proposal) -> str:
    """Say what was decided and what came of it, in a sentence; empty when nothing was."""
    if erratum.hold:
        return f"On hold{f': {erratum.reason}' if erratum.reason else ''}."
    if erratum.decided is None:
        return ""
    value = with_unit(spell_length(erratum.decided), erratum.decided.unit)
    reason = f" ({erratum.reason})" if erratum.reason else ""
    said = f"Built to {value}{reason}."
    if erratum.cut is Cut.FITS:
        said += " Cut: it fits."
    if erratum.cut is Cut.DOES_NOT_FIT:
        said += " Cut: it doesn't fit."
    return f"{said} {erratum.cut_note}".strip()


def say_proposal(proposal: Proposal) -> str:
    """Say what another owner suggests and did, in a sentence or two."""
    asked = f"Suggested: {proposal.suggestion}." if proposal.suggestion else ""
    decided = say_decision(proposal)
    they = f"They: {decided[:1].lower()}{decided[1:]}" if decided else ""
    return f"{asked} {they}".strip()


def question(erratum: Erratum) -> str:
    """Put the question an erratum asks of the publisher."""
    if erratum.code == "P101" and erratum.suggestion:
        return f"Should the parts list read {erratum.suggestion}?"
    if erratum.suggestion and erratum.printed:
        return f"Should “{erratum.printed}” read {erratum.suggestion}?"
    if erratum.suggestion:
        return f"Should it be {erratum.suggestion}?"
    if erratum.code.startswith("M"):
        return "Which size is meant?"
    if erratum.code.startswith("F"):
        return "Which of the sizes is to be another?"
    if erratum.printed:
        return f"Is “{erratum.printed}” right, or the drawing?"
    return "Which of the two is right?"


def count_errata(errata: Sequence[Erratum]) -> tuple[int, int]:
    """Count errors and warnings."""
    errors = sum(e.severity is Severity.ERROR for e in errata)
    return errors, len(errata) - errors
