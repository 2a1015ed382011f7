"""Who speaks for what, in one sentence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from audit.records import Dimension, Finding, Side, Witness, WitnessKind
from audit.report.phrases import say_difference
from audit.scale.findings import join_words

NUMBERS = ("no", "one", "two", "three", "four", "five")
ABOUT_PRINT = ("A", "C")  # findings whose witnesses speak of the printed size itself
PRINT = WitnessKind.PRINTED  # the number does not speak for itself
WHO = {
    WitnessKind.PRINTED: "another printed size",
    WitnessKind.DRAWN: "the drawing",
    WitnessKind.CHAIN: "the chain",
    WitnessKind.VIEW: "the other view",
    WitnessKind.MATING: "the mating part",
    WitnessKind.STATEMENT: "what is written",
}


def say_witnesses(dimension: Dimension, findings: Sequence[Finding]) -> str:
    """Say in one sentence who speaks for the printed size and who against it.

    Parameters
    ----------
    dimension : Dimension
    findings : sequence of Finding
        Those that stand for this dimension alone, worst first.

    Returns
    -------
    str
        Empty when no witness speaks against it: then the verdict says all there is.
    """
    told = [f for f in findings if f.code.startswith(ABOUT_PRINT)]
    heard = [w for finding in told for w in finding.witnesses]
    against = _each_once(w for w in heard if w.side is Side.AGAINST)
    if not against:
        return ""
    off = say_difference(dimension)
    start = f"Printed is {off}. " if off and off != "agrees" else ""
    count = NUMBERS[len(against)] if len(against) < len(NUMBERS) else str(len(against))
    word = "witness speaks" if len(against) == 1 else "witnesses speak"
    said = f"{start}{count.capitalize()} {word} against it: {_name(against)}"
    suggestion = next((f.suggestion for f in told if f.suggestion), None)
    if suggestion and len(against) > 1:
        said += f"; {'both' if len(against) == 2 else 'all'} come to {suggestion}"
    said += "."
    speaking = _each_once(w for w in heard if w.side is Side.FOR and w.kind is not PRINT)
    if speaking:
        return f"{said} For it: {_name(speaking)}."
    if _alone(against):
        return f"{said} The printed size stands unless another speaks against it."
    return said


def _alone(against: Sequence[Witness]) -> bool:
    """Whether only the drawing speaks: never enough against what is printed."""
    return [w.kind for w in against] == [WitnessKind.DRAWN]


def _each_once(witnesses: Iterable[Witness]) -> list[Witness]:
    """Keep the first of each kind: two findings may call the same witness."""
    kinds: dict[WitnessKind, Witness] = {}
    for witness in witnesses:
        kinds.setdefault(witness.kind, witness)
    return list(kinds.values())


def _name(witnesses: Sequence[Witness]) -> str:
    return join_words([f"{WHO[w.kind]} ({w.says})" for w in witnesses])
