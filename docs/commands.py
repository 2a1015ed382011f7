"""The command line as a document: made from the program's own options."""

from __future__ import annotations

from typing import Any

import typer

from audit.cli.main import app, register_all

HEAD = """# Commands

`plan-audit COMMAND --help` says the same in the terminal. (Generated from `audit/cli/commands.py`.)

Exit codes: 0 nothing wrong and everything checked; 1 an error or a warning was found; 4 nothing
wrong found, but not everything could be checked; 2 bad usage or input, said in one line; 3 a fault
of the program; 130 stopped by Ctrl-C. Of several files the worst counts, by 3, 2, 1, 4, 0.
"""


def commands_markdown() -> str:
    """Return every command with its arguments and options."""
    register_all()
    group: Any = typer.main.get_command(app)
    parts = [_command(name, group.commands[name]) for name in group.commands]
    return HEAD + "\n" + "\n".join(parts)


def _command(name: str, command: Any) -> str:
    arguments = [p for p in command.params if p.param_type_name == "argument"]
    options = [p for p in command.params if p.param_type_name == "option" and not p.hidden]
    usage = " ".join(["plan-audit", name, *(_usage(a) for a in arguments), "[options]"])
    lines = [f"## {name}", "", _cell(command.help or ""), "", f"    {usage}", ""]
    rows = [(f"`{_usage(a)}`", a.help) for a in arguments]
    rows += [(f"`{_spelled(o)}`", o.help) for o in options if "--help" not in o.opts]
    lines += ["| | |", "|---|---|", *(f"| {_bar(what)} | {_cell(text)} |" for what, text in rows)]
    return "\n".join(lines) + "\n"


def _usage(argument: Any) -> str:
    return str(argument.metavar or argument.name.upper())


def _spelled(option: Any) -> str:
    names = ", ".join([*option.opts, *option.secondary_opts])
    return names if option.is_flag else f"{names} {option.metavar or option.type.name.upper()}"


def _cell(text: str | None) -> str:
    return _bar(" ".join((text or "").split()))


def _bar(text: str) -> str:
    return text.replace("|", "\\|")
