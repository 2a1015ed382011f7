"""Parsers built beforehand: to load one takes a fifth of the time that its grammar takes to build.

They lie beside the grammars and are written by `make docs`. Any that was built from other grammars
than those here, or by another lark, is passed over: then the grammar is built as ever.
"""

from __future__ import annotations

import gzip
import io
import json
import zlib
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from pickle import UnpicklingError
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lark import Lark

GRAMMARS = ("callouts", "lengths", "numbers", "statements")  # the last but one only others import
_DAMAGED = (OSError, EOFError, ValueError, LookupError, TypeError, zlib.error, UnpicklingError)
OPTIONS = 1  # to be raised when `build_parser` gives lark other options


def load_ready(name: str) -> Lark | None:
    """Load the parser of a grammar that was built beforehand.

    Parameters
    ----------
    name : str
        ``lengths``, ``callouts`` or ``statements``.

    Returns
    -------
    Lark or None
        `None` where there is none, none of these grammars by this lark, or a damaged one.
    """
    from lark import Lark  # noqa: PLC0415  (heavy)

    try:
        packed = (files("audit.lengths") / f"{name}.ready.gz").read_bytes()
        stored = io.BytesIO(gzip.decompress(packed))
        if json.loads(stored.readline()) != _made_of():
            return None
        return Lark.load(stored)
    except _DAMAGED:  # a file cut short or changed: what it was made of is still here
        return None


def store_parser(name: str, parser: Lark, folder: Path) -> Path:
    """Store a parser for `load_ready`, beside the grammars.

    Parameters
    ----------
    name : str
    parser : Lark
        Built from the grammar of that name.
    folder : Path
        Of `audit.lengths`.

    Returns
    -------
    Path
        What was written.
    """
    stored = io.BytesIO()
    stored.write(json.dumps(_made_of()).encode() + b"\n")
    parser.save(stored)
    path = folder / f"{name}.ready.gz"
    path.write_bytes(gzip.compress(stored.getvalue(), mtime=0))
    return path


def _made_of() -> dict[str, str | int]:
    """Tell what a parser is made of: the grammars, and what reads them."""
    import lark  # noqa: PLC0415  (heavy)

    texts = [(files("audit.lengths") / f"{name}.lark").read_bytes() for name in GRAMMARS]
    digest = sha256(b"\0".join(texts)).hexdigest()
    return {"grammars": digest, "lark": lark.__version__, "options": OPTIONS}
