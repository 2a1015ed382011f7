"""Finding codes: stable, never reused, one row each in docs/findings.md (generated from here)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of finding: its code, usual severity, title, and what to do about it."""

    code: str
    severity: Severity
    title: str
    meaning: str


_E, _W, _N = Severity.ERROR, Severity.WARNING, Severity.NOTE

_ROWS = (
    # D1xx: the source
    Code("D101", _N, "Repaired while opening", "The file was damaged; what could be read was used. Compare the sheet with the paper."),
    Code("D102", _W, "Page only partly read", "The page holds more than the limits allow; what was left out was not checked."),
    Code("D103", _N, "Text recognition not installed", "Printed text on pictures was not read; type the sizes, or install Tesseract."),
    Code("D104", _W, "Sheet not read", "A sheet could not be opened; nothing on it was checked."),
    Code("D105", _N, "Only the given points were checked", "This sheet is a picture; sizes on it that nobody pointed at were not looked for."),
    # S1xx: scale
    Code("S101", _W, "Known sizes contradict each other", "The known sizes of a sheet do not fit one scale; one of them is wrong or misplaced."),
    Code("S102", _N, "Print is not true to size", "The print is larger or smaller than it was drawn; patterns traced from it come out wrong."),
    Code("S103", _N, "No scale", "Nothing fixes the scale here; give a known size."),
    Code("S104", _W, "Stated scale contradicts the drawing", "The scale written on the sheet is not the scale it is drawn at."),
    Code("S105", _W, "Print is stretched", "The two directions of the print have different scales."),
    Code("S106", _W, "Drawn at another scale without saying so", "This view is drawn at another scale than the sheet states."),
    Code("S107", _N, "Unit taken from the scale", "Nothing printed says inches or mm; only one of the two gives the drawing a standard scale."),
    # A1xx: agreement of printed and drawn
    Code("A101", _W, "Printed and drawn disagree", "The printed number governs until a second witness speaks against it."),
    Code("A102", _N, "Too close to call", "The difference is within what this sheet can show; the text says what would settle it."),
    Code("A103", _N, "This view shows errors of … and more", "Smaller errors cannot be seen in this view."),
    Code("A104", _N, "Check the reading", "A text was read, but not surely enough to judge by; look at the crop and type it."),
    # V1xx: views
    Code("V101", _W, "View is not to scale", "Over a third of this view disagrees; it was drawn without scale and is not measured."),
)  # fmt: skip

CODES: dict[str, Code] = {row.code: row for row in _ROWS}
