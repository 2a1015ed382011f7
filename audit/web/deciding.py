"""What a person may build to, and the decision that comes of it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from audit.checks import VOUCHED
from audit.errors import BadUsage
from audit.lengths import Length, Unit, parse_length
from audit.pipeline.acting import type_length
from audit.pipeline.lookup import unit_of
from audit.records import Audit, Decision, Dimension, Finding, Verdict
from audit.report.phrases import spell_length
from audit.web import models as m

CLOSES = "C"  # findings of chains and networks begin so
MOST_SCALED = 3  # more shop values inside U than this are no choice


def options_for(dimension: Dimension, findings: Sequence[Finding]) -> tuple[m.OptionJson, ...]:
    """List what a dimension may be built to.

    Parameters
    ----------
    dimension : Dimension
    findings : sequence of Finding
        Those that speak of it.

    Returns
    -------
    tuple of OptionJson
        Printed, closes the chain, scaled: those there are, in this order.
    """
    options = []
    if dimension.printed is not None:
        value = spell_length(dimension.printed)
        options.append(m.OptionJson(basis="printed", value=value, needs_reason=False))
    suggested = suggestion_of(dimension, findings)
    if suggested:
        options.append(m.OptionJson(basis="chain", value=suggested, needs_reason=False))
    options += [
        m.OptionJson(basis="scaled", value=value, needs_reason=True)
        for value in scaled_values(dimension)
    ]
    return tuple(options)


def suggestion_of(dimension: Dimension, findings: Sequence[Finding]) -> str | None:
    """Return the value that closes the chain, when a finding names one for this dimension."""
    for finding in findings:
        first = finding.dimensions[:1]
        if finding.code.startswith(CLOSES) and finding.suggestion and first == (dimension.id,):
            return finding.suggestion
    return None


def scaled_values(dimension: Dimension) -> tuple[str, ...]:
    """Return the shop values a scaled size may stand for; none where it is too unsure."""
    scaled = dimension.scaled
    if scaled is None:
        return ()
    if scaled.candidates:
        first = [value for value in scaled.candidates if value == scaled.nearest]
        others = [value for value in scaled.candidates if value != scaled.nearest]
        return tuple([*first, *others][:MOST_SCALED])
    return (scaled.nearest,) if scaled.nearest else ()


def preselect(
    dimension: Dimension, decision: Decision | None, *, warned: bool = False
) -> str | None:
    """Name the option that stands picked: the one decided, or printed where all agree.

    A number that was not read surely is for a person to look at, though the drawing vouches for it.
    """
    if decision is not None:
        return "hold" if decision.hold else decision.basis
    agrees = dimension.verdict is Verdict.AGREES and dimension.printed is not None and not warned
    return "printed" if agrees and dimension.why != VOUCHED else None


def decision_of(decision: Decision | None) -> m.DecisionJson | None:
    """Show a decision."""
    if decision is None:
        return None
    return m.DecisionJson(
        basis=decision.basis,
        value=spell_length(decision.value) if decision.value else None,
        reason=decision.reason,
        hold=decision.hold,
    )


def make_decision(audit: Audit, dimension: Dimension, wanted: m.MakeDecision) -> Decision:
    """Make the decision a person chose.

    Parameters
    ----------
    audit : Audit
    dimension : Dimension
    wanted : MakeDecision

    Returns
    -------
    Decision

    Raises
    ------
    BadUsage
        If it names a value that is not offered, or gives no reason for a scaled one.
    """
    reason = " ".join(wanted.reason.split())
    if wanted.basis == "hold":
        return Decision(dimension=dimension.id, value=None, hold=True, reason=reason, basis="hold")
    if wanted.basis == "scaled" and not reason:
        advice = "say why the drawing is believed against the print"
        raise BadUsage("a scaled value needs a reason", advice=advice)
    value = _value(audit, dimension, wanted)
    return Decision(dimension=dimension.id, value=value, reason=reason, basis=wanted.basis)


def _value(audit: Audit, dimension: Dimension, wanted: m.MakeDecision) -> Length:
    if wanted.basis == "printed":
        if dimension.printed is None:
            raise BadUsage("nothing is printed here", advice="type the size, or choose another")
        return dimension.printed
    unit = _unit(audit, dimension)
    if wanted.basis == "another":
        if not wanted.value.strip():
            raise BadUsage("no value is given", advice="type the size to build to")
        return type_length(wanted.value, unit=unit)
    findings = [f for f in audit.findings if dimension.id in f.dimensions]
    offered = {o.value for o in options_for(dimension, findings) if o.basis == wanted.basis}
    value = wanted.value.strip() or (offered.pop() if len(offered) == 1 else "")
    if value not in offered and not (value and not offered):
        raise BadUsage(f"'{value}' is not what is offered", advice="look at the card again")
    return _exact(value, unit)


def _unit(audit: Audit, dimension: Dimension) -> Unit | None:
    if dimension.scaled is not None:
        return dimension.scaled.unit
    return unit_of(audit, dimension.sheet)


def _exact(value: str, unit: Unit | None) -> Length:
    if unit is Unit.DEG:
        return Length(Fraction(value.rstrip("°")), Unit.DEG)
    return parse_length(value, unit=unit)
