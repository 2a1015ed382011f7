"""`python -m audit.cli`: the command line without its launcher."""

from __future__ import annotations

from audit.cli.main import run

run()
