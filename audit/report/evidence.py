"""The evidence for and against a printed size, in lines of plain words."""

from __future__ import annotations

from collections.abc import Sequence

from audit.lengths import Length, Unit
from audit.records import Decision, Dimension, Finding, Side
from audit.report.phrases import (
    say_reader,
    say_verdict,
    spell_length,
    spell_measured,
    spell_uncertainty,
    with_unit,
)
from audit.report.unchecked import Unchecked

_SIDES = ((Side.FOR, "For what is printed"), (Side.AGAINST, "Against it"))


def describe_dimension(
    dimension: Dimension,
    *,
    name: str,
    findings: Sequence[Finding] = (),
    decision: Decision | None = None,
) -> str:
    """Compose the pop-up of a dimension: printed, scaled ± U, who speaks for what, suggestion."""
    lines = [name, *size_lines(dimension), _sentence(say_verdict(dimension))]
    if dimension.why and dimension.why not in lines[-1]:
        lines.append(_sentence(dimension.why))
    for finding in findings:
        lines.append("")
        lines.append(finding.text)
        lines.extend(witness_lines(finding))
    if decision is not None:
        lines.extend(["", _decided(decision)])
    return "\n".join(lines)


def describe_finding(finding: Finding) -> str:
    """Compose the pop-up of a finding that belongs to no single dimension."""
    return "\n".join([finding.text, *witness_lines(finding)])


def describe_unchecked(unchecked: Unchecked) -> str:
    """Compose the pop-up of texts that were not checked."""
    readers = dict.fromkeys(say_reader(text.by) for text in unchecked.texts)
    texts = ", ".join(unchecked.written)
    return f"{texts}\nNot checked: {unchecked.why}\nRead by: {', '.join(readers)}"


def size_lines(dimension: Dimension) -> tuple[str, ...]:
    """Say the printed and the scaled size, a line each."""
    lines = []
    reading = dimension.reading
    if reading is None:
        lines.append("Printed: nothing")
    else:
        sure = "confirmed" if reading.confirmed else f"{reading.confidence:.0%} sure"
        value = _printed_value(dimension.printed, reading.text)
        lines.append(f"Printed: {value} (read by {say_reader(reading.by)}, {sure})")
        if reading.doubt:
            lines.append(f"Check the reading: {reading.doubt}")
    scaled = dimension.scaled
    if scaled is not None:
        lines.append(f"Scaled: {_scaled_value(scaled.value, scaled.expanded, scaled.unit)}")
        if len(scaled.candidates) > 1:
            lines.append(f"Shop sizes inside: {', '.join(scaled.candidates)}")
    return tuple(lines)


def witness_lines(finding: Finding) -> tuple[str, ...]:
    """Say who speaks for and against, what it rests on, and the suggestion, a line each."""
    lines = []
    for side, words in _SIDES:
        says = [w.says for w in finding.witnesses if w.side is side]
        if says:
            lines.append(f"{words}: {'; '.join(says)}")
    if finding.rests_on:
        lines.append(f"Rests on: {'; '.join(finding.rests_on)}")
    if finding.suggestion is not None:
        lines.append(f"Suggestion: {finding.suggestion}")
    return tuple(lines)


def _printed_value(printed: Length | None, text: str) -> str:
    if printed is None:
        return text
    spelled = spell_length(printed)
    if spelled in text:
        return text if printed.unit is Unit.DEG and "°" in text else with_unit(text, printed.unit)
    return f"{text} = {with_unit(spelled, printed.unit)}"


def _scaled_value(value: float, expanded: float, unit: Unit) -> str:
    spelled, digits = spell_measured(value, unit), f"{value:.3f}" if unit is Unit.IN else ""
    number = f"{spelled} ({digits})" if digits and digits != spelled else spelled
    return f"{with_unit(number, unit)} ± {spell_uncertainty(expanded, unit)}"


def _decided(decision: Decision) -> str:
    if decision.hold or decision.value is None:
        words = "Hold: ask the publisher, don't cut"
    else:
        words = f"Build to {with_unit(spell_length(decision.value), decision.value.unit)}"
    return f"{words} ({decision.reason})" if decision.reason else words


def _sentence(text: str) -> str:
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}" + ("" if text.endswith((".", "?", "!")) else ".")
