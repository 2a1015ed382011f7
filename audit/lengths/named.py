"""Threads, screws and drills: callouts whose size is in their name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from audit.lengths.amounts import Form
from audit.lengths.callout import Callout, CalloutKind, Thread
from audit.lengths.draft import Draft, Term
from audit.lengths.length import Length, Unit
from audit.lengths.settling import Context, to_length
from audit.lengths.threads import bare_name, read_drill, read_screw, read_thread, tell_pitch


def assemble_thread(
    first: Term, rest: list[Term], draft: Draft, context: Context
) -> Callout | None:
    """Read ``1/4-20 UNC-2A × 3/4 DEEP`` or ``M6 × 1 × 20``; `None` for no known thread."""
    thread = read_thread(first.text)
    if thread is None:
        return None
    if thread.series == "metric":
        thread, rest = _read_pitch(thread, rest)
    if draft.grade and not thread.grade:
        thread = replace(
            thread, grade=draft.grade.upper() if thread.series == "pipe" else draft.grade
        )
    return _with_thread(thread, rest, context)


def _read_pitch(thread: Thread, rest: list[Term]) -> tuple[Thread, list[Term]]:
    if not rest or rest[0].role != "by" or thread.major is None or not rest[0].amounts:
        return thread, rest
    number = rest[0].amounts[0].value
    if not tell_pitch(thread.major, number):
        return thread, rest
    return replace(thread, pitch=Length(number, Unit.MM)), rest[1:]


def _with_thread(thread: Thread, rest: list[Term], context: Context) -> Callout | None:
    unit = Unit.MM if thread.series == "metric" else context.unit
    lengths = [to_length(t.amounts[0], replace(context, unit=unit)) for t in rest if t.amounts]
    remark = "a pipe's name is not its diameter" if thread.series == "pipe" else ""
    return Callout(
        text=context.text,
        kind=CalloutKind.THREAD,
        size=thread.major,
        unit_printed=thread.major is not None,
        second=lengths[0] if lengths else None,
        further=tuple(Callout(text=context.text, size=length) for length in lengths[1:]),
        thread=thread,
        remark=remark,
    )


_SCREW_HEADS = re.compile(r"[FRPO]\.?H\.?[WM]\.?S")  # F.H.W.S.: flat head wood screw
_SCREWS = frozenset(["SCREW", "SCREWS", "BOLT", "BOLTS", "NUT", "NUTS", "MACHINE", "WOOD"])


def names_screw(nouns: Sequence[str]) -> bool:
    """Whether one of the words is a screw.

    Examples
    --------
    >>> names_screw(["F.H.W.S"]), names_screw(["HOLE"])
    (True, False)
    """
    words = {word for noun in nouns for word in noun.split()}
    return bool(words & _SCREWS) or any(_SCREW_HEADS.fullmatch(word) for word in words)


def names_wood_screw(nouns: Sequence[str]) -> bool:
    """Whether one of the words is a wood screw."""
    words = {word for noun in nouns for word in noun.split()}
    return "WOOD" in words or any("W" in word for word in words if _SCREW_HEADS.fullmatch(word))


def assemble_named(first: Term, rest: list[Term], draft: Draft, context: Context) -> Callout | None:
    """``#10 DRILL``, ``F DRILL``, ``#8 WOOD SCREW``, ``8 × 1 1/4 WOOD SCREW``, ``1/4 NPT``."""
    screw, wood = names_screw(draft.nouns), names_wood_screw(draft.nouns)
    if draft.pipe and first.form == "amount" and first.amounts[0].form is not Form.DECIMAL:
        size = first.amounts[0].text
        thread = Thread(series="pipe", size=size, major=None, grade=draft.grade)
        return _with_thread(thread, rest, context)
    if first.form == "amount" and screw and rest and first.is_bare_integer:
        numbered = read_screw(str(first.amounts[0].value), wood=wood)
        return None if numbered is None else _with_thread(numbered, rest, context)
    if first.form == "drill_letter" or (first.form == "screw_name" and context.named_as == "drill"):
        return _assemble_drill(first, rest, context)
    if first.form == "screw_name":
        numbered = read_screw(bare_name(first.text), wood=wood)
        return None if numbered is None else _with_thread(numbered, rest, context)
    return None


def _assemble_drill(first: Term, rest: list[Term], context: Context) -> Callout | None:
    drill = read_drill(first.text)
    if drill is None:
        return None
    name, size = drill
    lengths = [to_length(term.amounts[0], context) for term in rest if term.amounts]
    return Callout(
        text=context.text,
        kind=CalloutKind.DIAMETER,
        size=size,
        unit_printed=True,
        second=lengths[0] if lengths else None,
        drill=name,
    )
