"""The plan against itself, once all sheets are judged: the one entry the pipeline calls."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from audit.checks.chains import ChainsChecked, check_chains
from audit.checks.counts import check_counts
from audit.checks.decided import check_decided
from audit.checks.drawn_counts import check_drawn_counts
from audit.checks.fits import check_fits
from audit.checks.governed import govern_alike
from audit.checks.hands import check_hands
from audit.checks.hole_counts import check_hole_counts
from audit.checks.missing import check_missing
from audit.checks.parts import find_parts
from audit.checks.parts_list import check_parts, hear_list
from audit.checks.pin_counts import check_pin_counts
from audit.checks.rebuilt import check_rebuilt
from audit.checks.same_as import check_links
from audit.checks.spares import check_spares
from audit.checks.stations import find_lines
from audit.checks.unsized import check_unsized
from audit.records import (
    Audit,
    Finding,
    Side,
    Statement,
    Witness,
    WitnessKind,
)

OWN_GROUPS = ("C", "F", "M", "P")  # codes that only this check gives


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
    by_id = {d.id: d for d in audit.dimensions}
    found = find_lines(audit.dimensions, audit.views, audit.sheets, settings=audit.settings)
    lines = tuple(govern_alike(line, by_id) for line in found)
    chains = check_chains(lines, audit.dimensions, audit.views)
    parts = find_parts(audit)
    listed = check_parts(parts, lines, audit)
    counts = check_counts(parts, audit)
    missing = check_missing(parts, lines, audit)
    fits = check_fits(parts, lines, audit)
    merged = _merge(audit.findings, chains)
    findings = [
        *hear_list(merged, parts, audit),
        *chains.findings,
        *check_links(audit),
        *check_decided(audit),
        *check_drawn_counts(audit),
        *check_hole_counts(audit),
        *listed.findings,
        *counts.findings,
        *check_pin_counts(parts, audit),
        *missing.findings,
        *check_unsized(parts, audit),
        *fits.findings,
        *check_hands(parts, audit),
        *check_spares(parts),
        *check_rebuilt(audit, (*fits.findings, *listed.findings)),
    ]
    used = dict.fromkeys((*listed.used, *counts.used, *missing.used, *fits.used))
    return PlanChecked(findings=tuple(findings), summed=chains.summed, used=tuple(used))


def _merge(findings: Iterable[Finding], chains: ChainsChecked) -> list[Finding]:
    """Withdraw what a chain tells better, and let closed chains speak for the printed number.

    What an earlier check of the plan told is told anew.
    """
    kept = []
    for finding in findings:
        if finding.code.startswith(OWN_GROUPS):
            continue
        if finding.code != "A101":
            kept.append(finding)
        elif not set(finding.dimensions) <= chains.named:
            kept.append(_with_chain(finding, chains))
    return kept


def _with_chain(finding: Finding, chains: ChainsChecked) -> Finding:
    sums = [chains.closed[n] for n in finding.dimensions if n in chains.closed]
    if not sums or any(w.kind is WitnessKind.CHAIN for w in finding.witnesses):
        return finding
    witness = Witness(kind=WitnessKind.CHAIN, side=Side.FOR, says=sums[0])
    return replace(
        finding,
        witnesses=(*finding.witnesses, witness),
        text=f"{finding.text} Its chain closes with it: {sums[0]}.",
    )
