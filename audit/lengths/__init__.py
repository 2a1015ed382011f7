"""Exact lengths: units, parsing, spelling, and the grammar of callouts and statements.

A length is a `Fraction` of one unit; a float enters this layer only in `shop_values`, where a
measured interval is taken exactly.
"""

from __future__ import annotations

from audit.lengths.callout import (
    Callout,
    CalloutKind,
    CountForm,
    Mark,
    PrintedTolerance,
    Thread,
)
from audit.lengths.callouts import is_size_like, parse_callouts
from audit.lengths.describing import describe_callout, describe_statement
from audit.lengths.forms import FormRow, form_rows, forms_markdown
from audit.lengths.general import general_tolerance, read_general_class
from audit.lengths.length import MM_PER_INCH, Length, Unit, is_metric
from audit.lengths.normal import normalise
from audit.lengths.parsing import (
    LengthReading,
    find_length,
    is_ambiguous,
    parse_length,
    parse_lengths,
)
from audit.lengths.recounting import count_as, count_form_as, counted_unit
from audit.lengths.shop import ShopValues, shop_values
from audit.lengths.spelling import Style, spell, spell_decimal, spell_fraction, spell_mixed
from audit.lengths.statement import FormKind, StatementForm
from audit.lengths.statements import parse_statements
from audit.lengths.zones import FitLimits, Limits, read_fit

__all__ = [
    "MM_PER_INCH",
    "Callout",
    "CalloutKind",
    "CountForm",
    "FitLimits",
    "FormKind",
    "FormRow",
    "Length",
    "LengthReading",
    "Limits",
    "Mark",
    "PrintedTolerance",
    "ShopValues",
    "StatementForm",
    "Style",
    "Thread",
    "Unit",
    "count_as",
    "count_form_as",
    "counted_unit",
    "describe_callout",
    "describe_statement",
    "find_length",
    "form_rows",
    "forms_markdown",
    "general_tolerance",
    "is_ambiguous",
    "is_metric",
    "is_size_like",
    "normalise",
    "parse_callouts",
    "parse_length",
    "parse_lengths",
    "parse_statements",
    "read_fit",
    "read_general_class",
    "shop_values",
    "spell",
    "spell_decimal",
    "spell_fraction",
    "spell_mixed",
]
