"""What a drawn page really is: lines and text, lines alone, or a picture with a few of either."""

from __future__ import annotations

from audit.records import PageKind, Sheet, VectorPage

FEW_STROKES = 200  # a page with fewer is a frame or stamp around a picture
PICTURE_SHARE = 0.4  # of the page
LEAST_STROKES = 20  # a page with fewer and no text shows nothing to read


def is_picture_page(sheet: Sheet, page: VectorPage) -> bool:
    """Tell whether a page is really a picture with a few lines or hidden words laid over it."""
    if sheet.kind is not PageKind.BOTH:
        return False
    pictured = sum(box.width * box.height for box in page.images)
    return (
        pictured > PICTURE_SHARE * sheet.width * sheet.height
        and len(page.strokes) < FEW_STROKES
        and not any(text.visible for text in page.texts)
    )


def is_outlined(page: VectorPage) -> bool:
    """Tell whether a page draws its letters as lines: much is drawn, and nothing is text."""
    drawn = len(page.strokes) + len(page.fills)
    return drawn >= LEAST_STROKES and not any(text.visible for text in page.texts)
