"""Reading printed texts: time for each, against a general-purpose unit parser."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterable

import pint
from rich.console import Console
from rich.table import Table

from audit.lengths import callouts, form_rows, parse_callouts, parse_lengths, parse_statements
from audit.lengths import parsing as length_parsing
from audit.lengths import statements as statement_parsing
from audit.lengths.length import Unit


def time_each(
    texts: Iterable[str],
    read: Callable[[str], object],
    *,
    forget: Callable[[], None],
    rounds: int,
) -> list[float]:
    """Best of a few rounds for each text, in ms, nothing remembered in between."""
    best = []
    for text in texts:
        times = []
        for _ in range(rounds):
            forget()
            begun = time.perf_counter()
            read(text)
            times.append(time.perf_counter() - begun)
        best.append(min(times) * 1e3)
    return best


def run(*, full: bool) -> None:
    """Print ms for callouts, statements and lengths, with pint on plain lengths beside them."""
    rounds = 20 if full else 4
    rows = form_rows()
    plain = ["3.28125 inch", "42 mm", "12.5 mm", "0.875 inch"]
    registry = pint.UnitRegistry()
    cases = (
        (
            "callouts",
            [row.text for row in rows if not row.is_statement],
            lambda text: parse_callouts(text, unit=Unit.IN),
            callouts._parse.cache_clear,
        ),
        (
            "statements",
            [row.text for row in rows if row.is_statement],
            lambda text: parse_statements(text, unit=Unit.IN),
            statement_parsing._parse.cache_clear,
        ),
        (
            "lengths",
            plain,
            lambda text: parse_lengths(text, unit=None),
            length_parsing._parse.cache_clear,
        ),
        ("lengths by pint", plain, registry.Quantity, lambda: None),
    )
    table = Table("texts", "number", "median ms", "95 %", "worst")
    for name, texts, read, forget in cases:
        for text in texts:
            read(text)
        times = sorted(time_each(texts, read, forget=forget, rounds=rounds))
        late = times[min(len(times) - 1, int(0.95 * len(times)))]
        table.add_row(
            name,
            str(len(texts)),
            f"{statistics.median(times):.3f}",
            f"{late:.3f}",
            f"{times[-1]:.3f}",
        )
    Console().print(table)
