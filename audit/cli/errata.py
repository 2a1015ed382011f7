"""`plan-audit errata`: letter, pin-up sheet and file of errata; errata of others; what was cut."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from audit.cli.pattern import default_paper
from audit.cli.printing import console, tell_progress
from audit.cli.strangers import open_checked
from audit.errors import BadUsage, NotReadable, TooLarge, one_line
from audit.isolation import compose_pdf
from audit.pipeline.errata import lay_errata, make_letter, write_errata
from audit.pipeline.patterns import pattern_unit
from audit.pipeline.unpacking import OpenedAudit, open_plans_of
from audit.records import Cut, OutsideErrata
from audit.report.errata_file import ADVICE, MAX_BYTES
from audit.report.errata_letter import letter_markdown, plan_pin_up
from audit.report.tiling import Paper, find_paper
from audit.report.writing import write_whole
from audit.store import AuditFile, DropErrata, MarkCut, TakeErrata

SUFFIXES = (".pdf", ".md", ".json")
NOTE_LETTERS = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrataArguments:
    """What the user typed."""

    audit: Path
    output: Path | None = None
    pin_up: bool = False
    paper: str | None = None
    load: Path | None = None
    drop: bool = False
    cut: tuple[str, ...] = ()


def run_errata(given: ErrataArguments) -> int:
    """Take in errata or mark what was cut where that was asked, else write the errata."""
    if given.cut:
        return _mark_cut(given.audit, given.cut)
    if given.load is not None:
        return _load(given.audit, given.load)
    if given.drop:
        return _drop(given.audit)
    return _write(given)


def _write(given: ErrataArguments) -> int:
    targets = _targets(given)
    with open_checked(given.audit, read_only=True) as file:
        paper = find_paper(given.paper or default_paper(pattern_unit(file.load())))
        with open_plans_of(file) as opened:
            for target, pin_up in targets:
                _write_one(opened, target, paper, pin_up=pin_up)
                tell_progress(f"wrote {target}")
    return 0


def _targets(given: ErrataArguments) -> list[tuple[Path, bool]]:
    """Files to write, and which of them is the sheet to pin up."""
    if given.output is not None:
        suffix = given.output.suffix.lower()
        if suffix not in SUFFIXES or (given.pin_up and suffix != ".pdf"):
            name = one_line(given.output.name)
            what = "a sheet to pin up" if given.pin_up else "errata"
            advice = "end it in .pdf" if given.pin_up else f"end it in {', '.join(SUFFIXES)}"
            raise BadUsage(f"{what} cannot be written as {name}", advice=advice)
        return [(given.output, given.pin_up)]
    stem = f"{given.audit.stem}-errata"
    names = [(f"{stem}-pin-up.pdf", True)]
    if not given.pin_up:
        names = [(f"{stem}.pdf", False), (f"{stem}.md", False), *names, (f"{stem}.json", False)]
    return [(given.audit.with_name(name), pin_up) for name, pin_up in names]


def _write_one(opened: OpenedAudit, target: Path, paper: Paper, *, pin_up: bool) -> None:
    suffix = target.suffix.lower()
    if suffix == ".md":
        write_whole(target, letter_markdown(opened.audit))
    elif suffix == ".json":
        write_whole(target, write_errata(opened))
    else:
        booklet = plan_pin_up(opened.audit, paper) if pin_up else make_letter(opened, paper)
        compose_pdf(booklet, target)


def _load(audit: Path, source: Path) -> int:
    data = _read(source)
    with open_checked(audit) as file:
        with open_plans_of(file) as opened:
            errata = lay_errata(opened, data, name=source.name)
        file.record(TakeErrata(errata=errata), revision=file.revision)
    _tell(errata)
    return 0


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            data = stream.read(MAX_BYTES + 1)
    except OSError as error:
        problem = f"{one_line(path.name)} cannot be read ({error.strerror or error})"
        raise NotReadable(problem, advice="check the name and folder") from error
    if len(data) > MAX_BYTES:
        raise TooLarge(f"{one_line(path.name)} is too large for errata", advice=ADVICE)
    return data


def _tell(errata: OutsideErrata) -> None:
    screen = console()
    for line in errata.registered:
        screen.print(line)
    count = len(errata.proposals)
    screen.print(f"{count} errata taken in as proposals; nothing is decided by them")
    for proposal in errata.proposals:
        mine = f"No. {proposal.dimension}" if proposal.dimension is not None else "no size here"
        cut = f" [cut: {proposal.cut}]" if proposal.cut is not None else ""
        screen.print(f"  sheet {proposal.sheet}, {mine}: {proposal.text}{cut}")


def _drop(audit: Path) -> int:
    with open_checked(audit) as file:
        outside = file.load().outside
        if not outside:
            raise BadUsage("no errata of others were taken in", advice="there is nothing to drop")
        drops = [DropErrata(digest=errata.digest) for errata in outside]
        file.record_all(drops, revision=file.revision)
    tell_progress("dropped the errata of others")
    return 0


def _mark_cut(audit: Path, wanted: Sequence[str]) -> int:
    marks = [parse_cut(text) for text in wanted]
    with open_checked(audit) as file:
        file.record_all(marks, revision=file.revision)
        _tell_cut(file, marks)
    return 0


def _tell_cut(file: AuditFile, marks: Sequence[MarkCut]) -> None:
    for mark in marks:
        said = mark.cut.value if mark.cut is not None else "not cut"
        tell_progress(
            f"No. {mark.dimension}: {said} (revision {file.revision}; undo takes it back)"
        )


def parse_cut(text: str) -> MarkCut:
    """Read what came of a cut: ``4=fits``, ``4=doesn't fit: too loose``, ``4=`` (not cut).

    Parameters
    ----------
    text : str

    Returns
    -------
    MarkCut

    Raises
    ------
    BadUsage
        If the text says no such thing.

    Examples
    --------
    >>> parse_cut("4=fits")
    MarkCut(dimension=4, cut=<Cut.FITS: 'fits'>, note='')
    >>> parse_cut("12 = no: 1/64 too loose").note
    '1/64 too loose'
    """
    match = re.fullmatch(r"\s*(\d{1,9})\s*=\s*([^:]*?)\s*(?::\s*(.*))?", text, re.DOTALL)
    words = {
        "fits": Cut.FITS, "fit": Cut.FITS, "yes": Cut.FITS,
        "doesn't fit": Cut.DOES_NOT_FIT, "does not fit": Cut.DOES_NOT_FIT,
        "no": Cut.DOES_NOT_FIT, "not": Cut.DOES_NOT_FIT, "": None,
    }  # fmt: skip
    said = match[2].lower().replace("’", "'") if match else "?"
    if match is None or said not in words:
        problem = f"“{one_line(text)}” does not say what came of a cut"
        raise BadUsage(problem, advice="give NUMBER=fits or NUMBER=no: why")
    note = one_line(match[3] or "")[:NOTE_LETTERS]
    return MarkCut(dimension=int(match[1]), cut=words[said], note=note)
