"""The commands for the workshop, and their options; the work is done by the modules beside.

Imports stand inside the functions: `plan-audit --help` must not wait for OpenCV.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

AuditPath = Annotated[Path, typer.Argument(metavar="AUDIT", help="An audit file.")]
PaperName = Annotated[
    str | None,
    typer.Option("--paper", metavar="a4|letter", help="Default: by the unit of the plan."),
]
PdfOut = Annotated[
    Path | None,
    typer.Option(
        "--out", "-o", "--output", metavar="FILE", help="A PDF. Default: beside the audit."
    ),
]


def register_shop(app: typer.Typer) -> None:
    """Add the commands for the workshop to the program."""
    app.command("shop")(shop)
    app.command("errata")(errata)
    app.command("pattern")(pattern)
    app.command("bars")(bars)


def shop(
    audit: AuditPath,
    output: Annotated[
        Path | None,
        typer.Option(
            "--out",
            "-o",
            "--output",
            metavar="FILE",
            help="Where to write: .pdf, .csv or .json. Default: a PDF beside the audit.",
        ),
    ] = None,
    paper: PaperName = None,
    allowance: Annotated[
        str | None,
        typer.Option(
            "--allowance",
            metavar="1/4in",
            help="What rough widths and lengths are larger by. Default: 1/4 in, or 6 mm.",
        ),
    ] = None,
) -> int:
    """Write what goes to the shop: holds first, cut list, set-ups, tools, cautions."""
    from audit.cli.shop import run_shop  # noqa: PLC0415

    return run_shop(audit, output, paper=paper, allowance=allowance)


def errata(  # noqa: PLR0917  # typer reads the options off the signature
    audit: AuditPath,
    output: Annotated[
        Path | None,
        typer.Option(
            "--out",
            "-o",
            "--output",
            metavar="FILE",
            help="A letter (.pdf, .md) or a file for other owners (.json). Default: all of them.",
        ),
    ] = None,
    pin_up: Annotated[
        bool, typer.Option("--pin-up", help="Only the sheet to pin up beside the plan.")
    ] = False,
    paper: PaperName = None,
    load: Annotated[
        Path | None,
        typer.Option(
            "--load", metavar="FILE", help="Take in the errata of another owner, as proposals."
        ),
    ] = None,
    drop: Annotated[bool, typer.Option("--drop", help="Drop the errata of others again.")] = False,
    cut: Annotated[
        list[str] | None,
        typer.Option(
            "--cut",
            metavar='"4=fits"',
            help="What came of cutting to a decision: fits, or no: why.",
        ),
    ] = None,
) -> int:
    """Write the errata of a plan for its publisher and other owners, or take in theirs."""
    from audit.cli.errata import ErrataArguments, run_errata  # noqa: PLC0415

    return run_errata(
        ErrataArguments(
            audit=audit,
            output=output,
            pin_up=pin_up,
            paper=paper,
            load=load,
            drop=drop,
            cut=tuple(cut or ()),
        )
    )


def pattern(  # noqa: PLR0917  # typer reads the options off the signature
    audit: AuditPath,
    output: PdfOut = None,
    part: Annotated[
        str | None, typer.Option("--part", metavar="NAME", help="A part: all its true views.")
    ] = None,
    view: Annotated[
        int | None, typer.Option("--view", metavar="N", help="One view, by its number.")
    ] = None,
    mirror: Annotated[
        bool, typer.Option("--mirror", help="For the other hand; texts stay readable.")
    ] = False,
    paper: PaperName = None,
    grain: Annotated[
        str, typer.Option("--grain", metavar="long|across|down|none", help="The grain arrow.")
    ] = "long",
    overlap: Annotated[
        str | None, typer.Option("--overlap", metavar="10mm", help="That pages share.")
    ] = None,
    dpi: Annotated[
        float, typer.Option("--dpi", metavar="N", help="Of patterns from pictures.")
    ] = 300.0,
    centre_line: Annotated[
        str | None,
        typer.Option(
            "--centre-line",
            metavar='"x,y x,y"',
            help="Mirror a half drawing on this line, in the sheet's own frame.",
        ),
    ] = None,
    printer: Annotated[
        str | None,
        typer.Option(
            "--printer", metavar="0.985x1.004", help="Take out what this printer does (see bars)."
        ),
    ] = None,
) -> int:
    """Write a part or view as a true-size PDF for gluing to stock."""
    from audit.cli.pattern import PatternArguments, run_pattern  # noqa: PLC0415

    return run_pattern(
        PatternArguments(
            audit=audit,
            output=output,
            part=part,
            view=view,
            mirror=mirror,
            paper=paper,
            grain=grain,
            overlap=overlap,
            dpi=dpi,
            centre_line=centre_line,
            printer=printer,
        )
    )


def bars(
    output: Annotated[
        Path | None,
        typer.Option("--out", "-o", "--output", metavar="FILE", help="A PDF. Default: here."),
    ] = None,
    paper: PaperName = None,
    unit: Annotated[
        str | None, typer.Option("--unit", metavar="in|mm", help="Of the bars.")
    ] = None,
    measured: Annotated[
        str | None,
        typer.Option(
            "--measured",
            metavar='"ACROSS x DOWN"',
            help="Two bars as measured on the print: says its factors, and what to do.",
        ),
    ] = None,
) -> int:
    """Write a check sheet for a printer, or judge a print by its two measured bars."""
    from audit.cli.pattern import run_bars  # noqa: PLC0415

    return run_bars(output, paper=paper, unit=unit, measured=measured)
