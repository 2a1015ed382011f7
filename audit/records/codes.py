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
    Code("D106", _N, "Photo made flat", "A photo was made metric by four sides seen on it, or by its level and plumb lines; the text says what is left of lens and curl."),
    Code("D107", _N, "Sheet found on a photo, not used", "What may be the edge of the paper was found, but not surely; confirm it, or give the corners."),
    Code("D108", _N, "Second reading left out", "Tesseract failed or took too long; texts it was asked about have one reading only."),
    Code("D109", _N, "Lettering only a few pixels high", "Most sizes on this picture are so small that figures look alike; scan it finer, or photograph it from nearer."),
    # S1xx: scale
    Code("S101", _W, "Known sizes contradict each other", "The known sizes of a sheet do not fit one scale; one of them is wrong or misplaced."),
    Code("S102", _N, "Print is not true to size", "The print is larger or smaller than it was drawn; patterns traced from it come out wrong."),
    Code("S103", _N, "No scale", "Nothing fixes the scale here; give a known size."),
    Code("S104", _W, "Stated scale contradicts the drawing", "The scale written on the sheet is not the scale it is drawn at."),
    Code("S105", _W, "Print is stretched", "The two directions of the print have different scales."),
    Code("S106", _W, "Drawn at another scale without saying so", "This view is drawn at another scale than the sheet states."),
    Code("S107", _N, "Unit taken from the drawing", "Nothing printed says inches or mm: the scale, large whole numbers throughout, or the way numbers are printed tell. Or a note says that bare numbers count centimetres, metres or feet."),
    Code("S108", _N, "Print is stretched unevenly", "Lengths at one end of the sheet come out longer than at the other; give a known size near what matters."),
    Code("S109", _N, "To be enlarged", "The sheet says that it is to be enlarged; the text says whether this print has been."),
    Code("S110", _N, "Printed grid measured", "The squares of a printed grid were taken as a known size in both directions; the text says what they show."),
    Code("S111", _N, "Sheet is folded or joined", "What is measured across a fold or a taped joint carries its step, or is not scaled where nobody knows how large it is."),
    Code("S112", _N, "May be folded or joined here", "A long crease was seen; mark it as a fold if the paper is shifted there."),
    # A1xx: agreement of printed and drawn
    Code("A101", _W, "Printed and drawn disagree", "The printed number governs until a second witness speaks against it."),
    Code("A102", _N, "Too close to call", "The difference is within what this sheet can show; the text says what would settle it."),
    Code("A103", _N, "Small errors cannot be seen", "The text says which views of a sheet show only errors of what size and more."),
    Code("A104", _N, "Check the reading", "A text was read, but not surely enough to judge by; look at the crop and type it."),
    # C1xx: chains and the network of printed sizes
    Code("C101", _E, "Printed size does not close its chain", "The other printed sizes fix this one; another witness, or the lack of any other single cause, names it."),
    Code("C102", _E, "Chain does not add up, and any of several sizes may be wrong", "The printed sizes contradict each other; the text says what would settle which one is wrong."),
    Code("C103", _N, "Chain adds up within rounding", "The gap is no larger than the rounding of the printed numbers explains. Whole millimetres in a view drawn 1:5 or smaller are only taken to be rounded: of n such sizes a gap of 1 mm, or of 0.78 √n mm, is put down to it; a larger one is C101 or C102."),
    Code("C104", _W, "Reference size does not add up", "A size given for information only is not what the others come to; build to the others."),
    Code("C105", _N, "Two lines may not be one station", "The chain is open by about as much as two extension lines, taken as one, stand apart."),
    Code("C106", _E, "What was decided opens a chain", "With the decided values sizes no longer add up that did, or still do not."),
    Code("C107", _W, "Two sizes said to be one differ", "A person said that two dimensions are one feature; they print different sizes."),
    Code("C108", _N, "Sum made by hand", "A sum that a person picked or typed, with what it comes to."),
    Code("C109", _N, "Not every sum was tried", "So many sizes that may be rounded hang together that some of their sums were not looked at: those may be off by more than rounding explains."),
    # P1xx: parts list and counts
    Code("P101", _E, "Parts list and drawing differ in a size", "A row of the parts list gives another finished size than the drawings."),
    Code("P102", _E, "Counts differ", "Two places of the plan ask for different numbers of one part."),
    Code("P103", _E, "Fewer than the assembly needs", "The notes need more pieces of a part than the plan says to make."),
    Code("P105", _N, "Does the parts list give finished or rough sizes?", "Its sizes are larger than the drawings by an allowance; say which they are."),
    Code("P106", _N, "Part without a row, or row without a drawing", "Names of drawings and rows of the parts list do not cover each other."),
    Code("P107", _N, "Counted on the drawing", "What a person counted in a drawing, beside the number that is printed; hidden and mirrored ones are not drawn."),
    Code("P108", _W, "Hands and count do not go together", "A part is to be made left and right, or as shown and opposite, and the count is another."),
    Code("P109", _N, "Make spares", "Small parts made in numbers get lost or spoiled; the text gives the rule of thumb, and behind it how likely that is enough."),
    Code("P110", _W, "Printed count and drawn holes differ", "A callout gives a number of holes, and the drawing shows another. A note where the others may stand on a far side or in another view, or be marked by their centres only."),
    Code("P111", _W, "Pins and holes do not match in number", "A plan makes another number of pins, pegs or dowels than its holes of that size take, and no share of them. A note where nothing says that every hole gets one."),
    # M1xx: missing sizes
    Code("M101", _N, "Size implied, not printed", "A convention or a general note gives the size; check that it is meant here."),
    Code("M102", _W, "Size missing", "Nothing printed gives the size, nor does any note; ask before cutting."),
    Code("M103", _N, "Position not given", "Printed sizes do not reach this feature from the others of its view."),
    # F1xx: fits and stock
    Code("F101", _W, "Cannot go together as intended", "With these sizes the parts cannot turn, slide, hold or be glued as the plan says."),
    Code("F102", _N, "How do these go together?", "Sizes meet, but the plan does not say whether they turn, slide, are glued or pressed."),
    Code("F103", _W, "Tap drill does not suit its thread", "The drill leaves too little thread, or too much to cut."),
    Code("F104", _N, "Thin wall beside a hole", "Little is left between a hole and an edge; check grain and load."),
    Code("F105", _W, "Deeper than its stock is thick", "A printed depth is more than the part is thick."),
    Code("F106", _W, "Does not fit the stock as measured", "The stock measures otherwise than it is called; what it goes into was sized by the name."),
    Code("F107", _N, "Hole does not suit its screw", "The hole neither lets the screw through nor is it small enough for its thread to hold."),
    Code("F108", _N, "Do so many go round the circle?", "Equally spaced, the features would overlap, or leave little between them."),
    Code("F109", _W, "Printed limits are not those of the fit", "A fit of ISO 286 and limits are printed together, and they differ."),
    Code("F110", _N, "Corner smaller than its cutter", "A cutter leaves inside corners of half its diameter at least."),
    Code("F111", _W, "What was decided does not go together", "With the decided values parts no longer fit that did."),
    # V1xx: views
    Code("V102", _N, "May run across a break", "An overall on a picture is printed much longer than drawn; if the view is broken there it cannot be scaled."),
    Code("V101", _W, "View is not to scale", "Over a third of this view disagrees; it was drawn without scale and is not measured."),
)  # fmt: skip

CODES: dict[str, Code] = {row.code: row for row in _ROWS}
