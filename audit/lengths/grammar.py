"""The parsers, loaded on first use, or built from the grammar files.

Importing this layer must not load lark (`plan-audit --help` would pay for it).
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from audit.lengths.ready_parsers import load_ready

if TYPE_CHECKING:
    from lark import Lark


@cache
def load_parser(name: str) -> Lark:
    """Return the parser of one grammar file.

    Parameters
    ----------
    name : str
        ``lengths``, ``callouts`` or ``statements``.
    """
    return load_ready(name) or build_parser(name)


def build_parser(name: str) -> Lark:
    """Build the parser of one grammar file; its start rule is the file's name without the s.

    Parameters
    ----------
    name : str
        As for `load_parser`.
    """
    from lark import Lark  # noqa: PLC0415  (heavy)
    from lark.load_grammar import FromPackageLoader  # noqa: PLC0415

    text = (files("audit.lengths") / f"{name}.lark").read_text(encoding="utf-8")
    return Lark(
        text,
        parser="lalr",
        lexer="contextual",
        start=name.removesuffix("s"),
        g_regex_flags=re.IGNORECASE,
        import_paths=[FromPackageLoader("audit.lengths")],
        maybe_placeholders=False,
        propagate_positions=False,
    )
