"""Errata as a letter to the publisher, as Markdown, and as a sheet to pin up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from audit.checks.parts_list import STANDS
from audit.records import (
    Audit,
    Block,
    Booklet,
    Bullet,
    Cell,
    Column,
    Crop,
    Gap,
    Heading,
    Paragraph,
    Rgb,
    Severity,
    SideBySide,
    Table,
)
from audit.report.errata import (
    Erratum,
    count_errata,
    list_errata,
    question,
    say_decision,
    say_proposal,
)
from audit.report.phrases import SEVERITY_STYLES, count_of, say_coverage
from audit.report.tables import escape_markdown
from audit.report.tiling import Paper

PT_PER_MM = 72 / 25.4
ALERT: Rgb = (0.835, 0.369, 0.0)
GREETING = "To the publisher of this plan"
PIN_COLUMNS = (
    Column(head="", share=0.035),
    Column(head="Where", share=0.24),
    Column(head="Printed", share=0.15),
    Column(head="Build to", share=0.2),
    Column(head="Why", share=0.375),
)

Pixels = NDArray[np.uint8]


def _closing() -> tuple[str, ...]:
    return (
        "A drawing is paper, and paper moves: where only the drawing speaks against a printed "
        "number, the number may well be right and the drawing stale.",
        "We build to the printed numbers unless you tell otherwise. Thank you for looking into it.",
    )


def opening_of(audit: Audit, errata: Sequence[Erratum]) -> str:
    """Say what was checked, and how much was found."""
    where = "whole plan" if len(audit.sheets) != 1 else "sheet 1"
    said = say_coverage(audit.coverage, where)
    said = f"{said[:1].upper()}{said[1:]}."
    errors, warnings = count_errata(errata)
    if not errata:
        return f"{said} Nothing wrong was found in what was checked."
    told = f"{count_of(errors, 'error', 'errors')}, {count_of(warnings, 'question', 'questions')}"
    return f"{said} {told[:1].upper()}{told[1:]}."


def plan_letter(
    audit: Audit, paper: Paper, *, crops: Mapping[int, Pixels] | None = None
) -> Booklet:
    """Compose the letter to the publisher.

    Parameters
    ----------
    audit : Audit
    paper : Paper
    crops : mapping of int to ndarray of uint8, optional
        A piece of the sheet for each erratum, by its number.

    Returns
    -------
    Booklet
    """
    errata = list_errata(audit)
    crops = crops or {}
    blocks: list[Block] = [
        Paragraph(text=f"{GREETING},", size=10.5),
        Paragraph(
            text="before cutting stock we measured the drawings of this plan and added up its "
            "printed sizes. What does not agree is listed here, what speaks for each beside it. "
            "Please tell which sizes govern."
            if errata
            else "before cutting stock we measured the drawings of this plan and added up its "
            "printed sizes. What we could check agrees.",
            size=10.5,
        ),
    ]
    for place, erratum in enumerate(errata, start=1):
        blocks.append(_item(place, erratum, crops.get(erratum.number)))
    blocks += [Gap(height=8), *(Paragraph(text=text, size=10.5) for text in _closing())]
    return Booklet(
        title=f"Errata: {audit.name}",
        subtitle="Questions about printed sizes",
        opening=opening_of(audit, errata),
        page_width=paper.width * PT_PER_MM,
        page_height=paper.height * PT_PER_MM,
        blocks=tuple(blocks),
    )


def _item(place: int, erratum: Erratum, pixels: Pixels | None) -> Block:
    head = f"{place}. {erratum.where}"
    style = SEVERITY_STYLES[erratum.severity]
    decision = say_decision(erratum)
    if pixels is None:
        lines = [question(erratum), *([decision] if decision else [])]
        return Bullet(
            head=head,
            text=_said(erratum),
            lines=tuple(lines),
            style=style,
            label=str(erratum.number),
        )
    facts = [("printed", erratum.printed or "–"), ("", _said(erratum))]
    if erratum.suggestion:
        facts.insert(1, ("suggested", erratum.suggestion))
    if decision:
        facts.append(("we", decision))
    return SideBySide(
        head=head,
        crop=Crop(pixels=pixels),
        facts=tuple(facts),
        style=style,
        label=str(erratum.number),
        note=question(erratum),
    )


def _said(erratum: Erratum) -> str:
    """What is wrong, in words for the publisher: how we judge it is not his concern."""
    return erratum.text.replace(STANDS, "").strip()


def plan_pin_up(audit: Audit, paper: Paper) -> Booklet:
    """Compose the sheet to pin up: one line for each erratum, with what to build to.

    Parameters
    ----------
    audit : Audit
    paper : Paper

    Returns
    -------
    Booklet
    """
    errata = list_errata(audit)
    blocks: list[Block] = [
        Heading(text="Mind these sizes"),
        Table(columns=PIN_COLUMNS, rows=tuple(_pin_row(e) for e in errata)),
    ]
    if not errata:
        blocks = [Paragraph(text="Nothing wrong was found in what was checked.", size=11)]
    blocks += outside_blocks(audit)
    return Booklet(
        title=f"Errata: {audit.name}",
        subtitle="Pin this up beside the plan",
        opening=opening_of(audit, errata),
        page_width=paper.width * PT_PER_MM,
        page_height=paper.height * PT_PER_MM,
        blocks=tuple(blocks),
    )


def outside_blocks(audit: Audit) -> list[Block]:
    """Tell what other owners of the plan report; nothing of it is applied."""
    theirs = [p for o in audit.outside for p in o.proposals]
    if not theirs:
        return []
    blocks: list[Block] = [
        Heading(text="Other owners report", aside="proposals; nothing is applied")
    ]
    for proposal in theirs:
        number = f", No. {proposal.dimension}" if proposal.dimension is not None else ""
        printed = f": {proposal.printed}" if proposal.printed else ""
        lines = (said,) if (said := say_proposal(proposal)) else ()
        head = f"Sheet {proposal.sheet}{number}{printed}"
        blocks.append(Bullet(head=head, text=proposal.text, lines=lines, tick=True))
    return blocks


def _pin_row(erratum: Erratum) -> tuple[Cell, ...]:
    loud = erratum.severity is Severity.ERROR
    return (
        Cell(tick=True),
        Cell(text=erratum.where, bold=True, lines=(f"No. {erratum.number}",)),
        Cell(text=erratum.printed or "–", colour=ALERT if loud else None, bold=True),
        Cell(text=_build(erratum), bold=True),
        Cell(text=erratum.text),
    )


def _build(erratum: Erratum) -> str:
    decision = say_decision(erratum)
    if decision:
        return decision
    asked = f" Suggested: {erratum.suggestion}." if erratum.suggestion else ""
    return f"Not decided: ask before cutting.{asked}"


def letter_markdown(audit: Audit) -> str:
    """Compose the letter as Markdown."""
    errata = list_errata(audit)
    lines = [f"# Errata: {escape_markdown(audit.name)}", "", f"**{opening_of(audit, errata)}**", ""]
    lines += [f"{GREETING},", ""]
    if errata:
        lines += ["before cutting stock we measured the drawings of this plan and added up its "
                  "printed sizes. What does not agree is listed here.", ""]  # fmt: skip
    for place, erratum in enumerate(errata, start=1):
        lines.append(f"## {place}. {escape_markdown(erratum.where)}")
        lines.append("")
        lines.append(f"{escape_markdown(_said(erratum))} *{escape_markdown(question(erratum))}*")
        lines += [f"- against the print: {escape_markdown(says)}" for says in erratum.against]
        decision = say_decision(erratum)
        if decision:
            lines.append(f"- {escape_markdown(decision)}")
        lines.append("")
    return "\n".join([*lines, *_closing()]) + "\n"
