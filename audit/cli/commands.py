"""The commands and their options; the work is done by the modules beside this one.

Imports stand inside the functions: `plan-audit --help` must not wait for OpenCV.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Plans = Annotated[
    list[Path],
    typer.Argument(metavar="PLAN…", help="PDF, TIFF, PNG, JPEG, WebP or BMP; sheets of one plan."),
]
AuditPath = Annotated[Path, typer.Argument(metavar="AUDIT", help="An audit file.")]
OutFile = Annotated[
    Path,
    typer.Option(
        "--out", "-o", "--output", metavar="FILE", help="Where to write; suffix says how."
    ),
]
Known = Annotated[
    list[str] | None,
    typer.Option(
        "--known",
        metavar='"4 in @ 2:x,y x,y"',
        help="A known size: its length, and its two ends on a sheet, in the sheet's own frame.",
    ),
]
Rectangle = Annotated[
    list[str] | None,
    typer.Option(
        "--rectangle",
        metavar='"11 x 8.5 in @ 3:x,y x,y x,y x,y"',
        help="A known rectangle on a photo: its corners clockwise from the top left.",
    ),
]
PaperName = Annotated[
    list[str] | None,
    typer.Option(
        "--paper",
        metavar='a4|letter|"a3 @ 2"',
        help="The paper of a photo (of sheet 2): its edge is found, and the photo made flat by it.",
    ),
]
Folds = Annotated[
    list[str] | None,
    typer.Option(
        "--fold",
        metavar='"3:x,y x,y"|"1 mm @ 3:x,y x,y"',
        help="A fold or taped joint through two places of a sheet, and how far its sides may be "
        "shifted. What is measured across it carries that, or is not scaled.",
    ),
]
Points = Annotated[
    list[Path] | None,
    typer.Option(
        "--points",
        metavar="CSV",
        help="Placed points: sheet,kind,x1,y1,x2,y2[,x3,y3][,text] in the sheet's own frame.",
    ),
]
Tolerance = Annotated[
    str | None,
    typer.Option(
        "--tolerance",
        metavar="1/64in",
        help="The largest difference not worth a finding. Default: 1/64 in or 0.5 mm.",
    ),
]
UnitName = Annotated[
    str | None,
    typer.Option("--unit", metavar="in|mm|cm|m", help="What a bare number counts on these sheets."),
]
OutFolder = Annotated[
    Path | None,
    typer.Option(
        "--out",
        "-o",
        metavar="DIR",
        help="Where results go; made if missing. Default: with the plan.",
    ),
]
JsonOut = Annotated[
    str | None,
    typer.Option("--json", metavar="FILE|-", help="Write the result as JSON; - for the terminal."),
]


def register(app: typer.Typer) -> None:
    """Add every command to the program, once."""
    if not app.registered_commands:
        app.command("check")(check)
        app.command("read")(read)
        app.command("markup")(markup)
        app.command("table")(table)
        app.command("open")(open_page)
        app.command("batch")(batch)
        app.command("demo")(demo)


def check(  # noqa: PLR0917  # typer reads the options off the signature
    plans: Plans,
    known: Known = None,
    rectangle: Rectangle = None,
    paper: PaperName = None,
    fold: Folds = None,
    points: Points = None,
    tolerance: Tolerance = None,
    unit: UnitName = None,
    out: OutFolder = None,
    json: JsonOut = None,
) -> int:
    """Audit plans: measure the drawing, read the print, list where they disagree."""
    from audit.isolation.early import early_worker  # noqa: PLC0415

    with early_worker(plans[0]):  # it starts while the rest of the program is loaded
        from audit.cli.checking import CheckOptions, run_check  # noqa: PLC0415

        return run_check(
            CheckOptions(
                plans=tuple(plans),
                known=tuple(known or ()),
                rectangles=tuple(rectangle or ()),
                papers=tuple(paper or ()),
                folds=tuple(fold or ()),
                points=tuple(points or ()),
                tolerance=tolerance,
                unit=unit,
                out=out,
                json=json,
            )
        )


def read(
    images: Annotated[
        list[Path], typer.Argument(metavar="IMAGE…", help="Pictures of one callout each.")
    ],
    sheet: Annotated[
        bool, typer.Option("--sheet", help="Each picture is a whole sheet: find all its texts.")
    ] = False,
    unit: UnitName = None,
    json: JsonOut = None,
) -> int:
    """Read printed sizes off pictures."""
    from audit.cli.reading import run_read  # noqa: PLC0415

    return run_read(images, sheet=sheet, unit=unit, json=json)


def markup(audit: AuditPath, output: OutFile) -> int:
    """Write the marked-up PDF of an audit."""
    from audit.cli.reports import run_markup  # noqa: PLC0415

    return run_markup(audit, output)


def table(audit: AuditPath, output: OutFile) -> int:
    """Write the table of an audit as CSV, Markdown or JSON."""
    from audit.cli.reports import run_table  # noqa: PLC0415

    return run_table(audit, output)


def open_page(
    paths: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[PLAN…|AUDIT]", help="Plans, or an audit file; or nothing yet."),
    ] = None,
    port: Annotated[
        int,
        typer.Option(
            "--port",
            metavar="N",
            min=0,
            max=65535,
            help="Default: the one it had before, or a free one.",
        ),
    ] = 0,
    browser: Annotated[
        bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")
    ] = True,
    lan: Annotated[
        bool,
        typer.Option(
            "--lan",
            help="Also listen on the local network, so that a phone can photograph a sheet into "
            "the audit. Plain HTTP; nothing but photographs comes in there.",
        ),
    ] = False,
    lan_address: Annotated[
        str | None,
        typer.Option(
            "--lan-address",
            metavar="ADDRESS",
            help="With --lan: on which of this machine's addresses. Default: the one leading out.",
        ),
    ] = None,
) -> int:
    """Audit in the browser: a page on this machine, for one person. Ctrl-C ends it."""
    from audit.cli.opening import run_open  # noqa: PLC0415
    from audit.errors import BadUsage  # noqa: PLC0415
    from audit.web.serving import Serving  # noqa: PLC0415

    if lan_address is not None and not lan:
        raise BadUsage("--lan-address means nothing without --lan", advice="give both")
    serving = Serving(port=port, open_browser=browser, lan=lan, lan_address=lan_address)
    return run_open(tuple(paths or ()), serving)


def batch(  # noqa: PLR0917  # typer reads the options off the signature
    given: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER|LIST",
            help="A folder of plans, or a text file with a plan a line, its sheets parted by tabs.",
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", "-o", metavar="DIR", help="Where results go. Default: FOLDER-audits."
        ),
    ] = None,
    tolerance: Tolerance = None,
    unit: UnitName = None,
    jobs: Annotated[
        int | None,
        typer.Option("--jobs", metavar="N", min=1, help="Plans at a time. Default: one a core."),
    ] = None,
    limit: Annotated[
        float, typer.Option("--limit", metavar="SECONDS", help="The longest a plan may take.")
    ] = 600.0,
    retry: Annotated[
        bool, typer.Option("--retry", help="Try again the plans that failed before.")
    ] = False,
    dask: Annotated[
        str | None,
        typer.Option("--dask", metavar="ADDRESS", help="Of a Dask scheduler whose workers audit."),
    ] = None,
) -> int:
    """Audit many plans, one result each; run it again to go on where it stopped."""
    from audit.cli.batching import BatchOptions, run_batch  # noqa: PLC0415

    return run_batch(
        BatchOptions(
            given=given,
            out=out,
            tolerance=tolerance,
            unit=unit,
            jobs=jobs,
            limit_s=limit,
            retry=retry,
            dask=dask,
        )
    )


def demo(
    out: OutFolder = None,
    samples: Annotated[
        Path | None,
        typer.Option("--samples", metavar="DIR", help="The sample plan; default: sample_scans."),
    ] = None,
) -> int:
    """Audit the sample plan and compare with what is known to be wrong in it."""
    from audit.cli.demo import run_demo  # noqa: PLC0415

    return run_demo(samples, out)
