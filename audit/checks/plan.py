"""The plan against itself, once all sheets are judged: the one entry the pipeline calls."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from audit.checks.chains import ChainsChecked, check_chains
from audit.checks.stations import find_lines
from audit.records import (
    Audit,
    Finding,
    Side,
    Statement,
    Witness,
    WitnessKind,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanChecked:
    """What a plan says against itself.

    Attributes
    ----------
    findings : tuple of Finding
        All of the audit: those it came with, less what another finding tells better, and the new
        ones with id 0.
    summed : frozenset of int
        Dimensions that entered sums.
    used : tuple of Statement
        Statements that something was compared with.
    """

    findings: tuple[Finding, ...]
    summed: frozenset[int]
    used: tuple[Statement, ...]


def check_plan(audit: Audit) -> PlanChecked:
    """Check a judged audit against itself: sums, counts, parts list, fits, missing sizes.

    Parameters
    ----------
    audit : Audit
        With scales and verdicts.

    Returns
    -------
    PlanChecked
        The findings of the whole audit.
    """
    lines = find_lines(audit.dimensions, audit.views, audit.sheets, settings=audit.settings)
    chains = check_chains(lines, audit.dimensions, audit.views)
    findings = [*_merge(audit.findings, chains), *chains.findings]
    return PlanChecked(findings=tuple(findings), summed=chains.summed, used=())


def _merge(findings: Iterable[Finding], chains: ChainsChecked) -> list[Finding]:
    """Withdraw what a chain tells better, and let closed chains speak for the printed number."""
    kept = []
    for finding in findings:
        if finding.code != "A101":
            kept.append(finding)
        elif not set(finding.dimensions) <= chains.named:
            kept.append(_with_chain(finding, chains))
    return kept


def _with_chain(finding: Finding, chains: ChainsChecked) -> Finding:
    sums = [chains.closed[n] for n in finding.dimensions if n in chains.closed]
    if not sums:
        return finding
    witness = Witness(kind=WitnessKind.CHAIN, side=Side.FOR, says=sums[0])
    return replace(
        finding,
        witnesses=(*finding.witnesses, witness),
        text=f"{finding.text} Its chain closes with it: {sums[0]}.",
    )
