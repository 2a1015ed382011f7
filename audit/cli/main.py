"""`plan-audit`: what the user types, and the exit code that comes back.

Exit codes: 0 nothing wrong and everything checked; 1 an error or warning was found; 4 nothing
wrong found, but not everything could be checked; 2 bad usage or input; 3 something inside went
wrong; 130 interrupted.
"""

from __future__ import annotations

import logging
import os
import sys
import traceback
from typing import NoReturn

import typer

from audit.errors import EXIT_BAD_INPUT, EXIT_INTERNAL, EXIT_INTERRUPTED, AuditError, one_line

app = typer.Typer(
    name="plan-audit",
    help="Find the wrong and missing sizes on printed plans before the first cut.",
    epilog="Printed dimensions govern. A scaled size is a last resort; cut a test piece first.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode="rich",
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def register_all() -> None:
    """Add every command to the program, once."""
    from audit.cli.commands import register  # noqa: PLC0415  # after `app` exists
    from audit.cli.shop_commands import register_shop  # noqa: PLC0415

    if not app.registered_commands:
        register(app)
        register_shop(app)


def run(arguments: list[str] | None = None) -> NoReturn:
    """Run one command and leave with its exit code.

    Parameters
    ----------
    arguments : list of str, optional
        Instead of the program's own.

    Raises
    ------
    SystemExit
        Always.
    """
    sys.exit(run_command(arguments))


def run_command(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit code; nothing escapes as a traceback."""
    logging.basicConfig(level=logging.ERROR, format="%(message)s", stream=sys.stderr)
    register_all()
    try:
        result = app(args=arguments, standalone_mode=False)
    except (Exception, KeyboardInterrupt) as error:
        return _explain(error)
    if result == EXIT_INTERRUPTED:  # the option library takes Ctrl-C itself, and says nothing
        return _explain(KeyboardInterrupt())
    return result if isinstance(result, int) else 0


def _explain(error: BaseException) -> int:
    """Say in one line what went wrong, and return the exit code for it."""
    match error:
        case typer.Exit():
            return error.exit_code
        case typer.Abort() | KeyboardInterrupt():
            return _say("stopped", "nothing confirmed is lost", EXIT_INTERRUPTED)
        case AuditError():
            return _say(error.problem, error.advice, error.exit_code)
        case BrokenPipeError():
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # nobody reads any more
            return EXIT_INTERRUPTED
        case MemoryError():
            return _say("out of memory", "close other programs", EXIT_BAD_INPUT)
    explain = getattr(error, "format_message", None)
    if explain is not None:  # a usage error of the option parser, whose class is not public
        context = getattr(error, "ctx", None)
        command = context.info_name if context is not None and context.parent is not None else None
        advice = f"see plan-audit {command} --help" if command else "see plan-audit --help"
        return _say(str(explain()).rstrip("."), advice, EXIT_BAD_INPUT)
    if os.environ.get("PLAN_AUDIT_DEBUG"):
        traceback.print_exception(error)
    what = one_line(f"{type(error).__name__}: {error}")
    advice = "this is a fault of the program; run again with PLAN_AUDIT_DEBUG=1 and report it"
    return _say(f"internal error ({what})", advice, EXIT_INTERNAL)


def _say(problem: str, advice: str, code: int) -> int:
    line = f"{problem}: {advice}" if advice else problem
    print(f"plan-audit: {one_line(line)}", file=sys.stderr)
    return code
