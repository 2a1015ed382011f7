"""What the documents tell the user to type is what the program takes."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
import typer

from audit.cli.main import app, register_all

ROOT = Path(__file__).parents[2]
PAGES = sorted([ROOT / "README.md", *(ROOT / "docs").glob("*.md")])
register_all()
COMMANDS = typer.main.get_command(app).commands
TYPED = re.compile(r"^ {4}(?:\.venv/bin/)?(plan-audit .+?)$", re.MULTILINE)


def typed_lines():
    for page in PAGES:
        text = re.sub(r" *\\\n\s*", " ", page.read_text("utf-8"))
        for line in TYPED.findall(text):
            if "[options]" not in line and "COMMAND" not in line:
                yield pytest.param(line, id=f"{page.name}: {line[:60]}")


@pytest.mark.parametrize("line", list(typed_lines()))
def test_a_command_in_the_documents_is_one_the_program_takes(line):
    words = shlex.split(line, comments=True)[1:]
    assert words[0] in COMMANDS, line
    known = {name for p in COMMANDS[words[0]].params for name in (*p.opts, *p.secondary_opts)}
    given = {word.partition("=")[0] for word in words[1:] if re.match(r"--?[a-z]", word)}
    assert given <= known | {"--help", "-h"}, line


def test_the_readme_names_every_command():
    text = (ROOT / "README.md").read_text("utf-8")
    missing = [name for name in COMMANDS if not re.search(rf"\b{name}\b", text)]
    assert not missing


def test_links_between_documents_lead_somewhere():
    broken = [
        f"{page.name}: {target}"
        for page in [*PAGES, ROOT / "DEVELOPERS.md"]
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text("utf-8"))
        if not (page.parent / target).exists()
    ]
    assert not broken


def test_files_that_the_documents_name_are_there():
    pages = [*PAGES, ROOT / "DEVELOPERS.md"]
    gone = [
        f"{page.name}: {named}"
        for page in pages
        for named in re.findall(r"`((?:[a-z_]+/)+[a-z_.]+)`", page.read_text("utf-8"))
        if not any((base / named).exists() for base in (ROOT, ROOT / "audit"))
    ]
    assert not gone
