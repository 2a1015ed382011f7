"""Frozen records every layer speaks in."""

from __future__ import annotations

from audit.records.codes import CODES, Code, Severity
from audit.records.dimension import (
    Dimension,
    DimensionKind,
    End,
    EndKind,
    FoundBy,
    Scaled,
    Verdict,
)
from audit.records.finding import Finding, Place, Side, Witness, WitnessKind
from audit.records.page import Arc, Fill, Fills, Glyphs, Stroke, Strokes, VectorPage
from audit.records.plan import (
    Audit,
    ChainLeg,
    Coverage,
    Decision,
    HandChain,
    KnownSize,
    Link,
    Part,
    Settings,
    Statement,
    StatementKind,
)
from audit.records.reading import Candidate, ReadBy, Reading, SheetText, TextState
from audit.records.sheet import (
    Frame,
    NoScale,
    PageKind,
    Scale,
    ScaleFrom,
    Sheet,
    View,
    ViewKind,
)
from audit.records.user import UserSet

__all__ = [
    "CODES",
    "Arc",
    "Audit",
    "Candidate",
    "ChainLeg",
    "Code",
    "Coverage",
    "Decision",
    "Dimension",
    "DimensionKind",
    "End",
    "EndKind",
    "Fill",
    "Fills",
    "Finding",
    "FoundBy",
    "Frame",
    "Glyphs",
    "HandChain",
    "KnownSize",
    "Link",
    "NoScale",
    "PageKind",
    "Part",
    "Place",
    "ReadBy",
    "Reading",
    "Scale",
    "ScaleFrom",
    "Scaled",
    "Settings",
    "Severity",
    "Sheet",
    "SheetText",
    "Side",
    "Statement",
    "StatementKind",
    "Stroke",
    "Strokes",
    "TextState",
    "UserSet",
    "VectorPage",
    "Verdict",
    "View",
    "ViewKind",
    "Witness",
    "WitnessKind",
]
