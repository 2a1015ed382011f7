"""Draw the sample plan, or compare it with the files that are here.

    python sample_scans/draw.py            draw all files anew
    python sample_scans/draw.py --check    exit 1 if any would change

Text files and the PDF must be equal byte for byte. Pictures must have equal pixels: how a picture
is packed depends on the zlib or JPEG library at hand, the pixels do not (`truth.json` holds their
sha256). A JPEG loses a little when packed, so the pixels are compared before packing, and after it
to within a few grey levels.
"""

from __future__ import annotations

import hashlib
import io
import sys
from pathlib import Path

import numpy as np
from drawing import photo, scan, sheet_1, sheet_2, sheet_3
from drawing.mistakes import planted
from drawing.pdf import PT, pdf_of
from drawing.raster import Bytes
from drawing.records import clicks_of, pdf_frame, plan_record, sheet_record
from PIL import Image
from truth import Truth, dump_truth

HERE = Path(__file__).resolve().parent
PDF, SCAN, PHOTO = "marble-lift-1.pdf", "marble-lift-2.png", "marble-lift-3.jpg"
JPEG_QUALITY = 85
JPEG_MEAN_OFF, JPEG_MOST_OFF = 1.0, 24  # grey levels that another JPEG library may differ by
EXIF_ORIENTATION = 0x0112


def draw_all() -> dict[str, bytes]:
    """Return every generated file by name."""
    vector, scanned, held = sheet_1.draw(), sheet_2.draw(), sheet_3.draw()
    scan_pixels, photo_pixels = scan.scan_of(scanned), photo.photo_of(held)
    sheets = (
        sheet_record(
            vector,
            file=PDF,
            to_frame=pdf_frame(),
            size=(vector.width * PT, vector.height * PT),
            frame="pt",
            turn=0,
            print_factor=(1.0, 1.0),
            digest=None,
            corners=None,
        ),
        sheet_record(
            scanned,
            file=SCAN,
            to_frame=scan.warp_of(scanned),
            size=(scan.WIDTH, scan.HEIGHT),
            frame="px",
            turn=0,
            print_factor=scan.STRETCH,
            digest=digest_of(scan_pixels),
            corners=None,
        ),
        sheet_record(
            held,
            file=PHOTO,
            to_frame=photo.warp_of(held),
            size=(photo.WIDTH, photo.HEIGHT),
            frame="px",
            turn=90,
            print_factor=(photo.PRINT, photo.PRINT),
            digest=digest_of(photo_pixels),
            corners=photo.corners_of(held),
        ),
    )
    truth = plan_record(sheets, planted(sheets))
    return {
        PDF: pdf_of(vector),
        SCAN: packed_png(scan_pixels),
        PHOTO: packed_jpeg(photo_pixels),
        "points-scan.csv": clicks_of(sheets[1], 2).encode(),
        "points-photo.csv": clicks_of(sheets[2], 3).encode(),
        "truth.json": dump_truth(truth).encode(),
        "demo-options.txt": demo_options(truth).encode(),
    }


def digest_of(pixels: Bytes) -> str:
    return hashlib.sha256(pixels.tobytes()).hexdigest()


def packed_png(pixels: Bytes) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "PNG", optimize=True, dpi=(scan.DPI, scan.DPI))
    return out.getvalue()


def packed_jpeg(pixels: Bytes) -> bytes:
    out, exif = io.BytesIO(), Image.Exif()
    exif[EXIF_ORIENTATION] = photo.ORIENTATION
    Image.fromarray(pixels).save(out, "JPEG", quality=JPEG_QUALITY, subsampling=2, exif=exif)
    return out.getvalue()


def demo_options(truth: Truth) -> str:
    """Write the options of `plan-audit check` for this plan, one a line."""
    lines = [f'--known "{k.option}"' for s in truth.sheets for k in s.known]
    lines += [f'--rectangle "{s.rectangle.option}"' for s in truth.sheets if s.rectangle]
    lines += [f"--points sample_scans/{s.points_file}" for s in truth.sheets if s.points_file]
    return "\n".join(lines) + "\n"


def difference(name: str, new: bytes, folder: Path) -> str | None:
    """Tell how a file differs from a new one; `None` when it doesn't."""
    path = folder / name
    if not path.is_file():
        return "is missing"
    old = path.read_bytes()
    if old == new:
        return None
    if not name.endswith((".png", ".jpg")):
        return "differs"
    return _picture_difference(old, new, exact=name.endswith(".png"))


def _picture_difference(old: bytes, new: bytes, *, exact: bool) -> str | None:
    first, second = Image.open(io.BytesIO(old)), Image.open(io.BytesIO(new))
    if (first.size, first.mode) != (second.size, second.mode):
        return "has another size or colour mode"
    if first.getexif().get(EXIF_ORIENTATION, 1) != second.getexif().get(EXIF_ORIENTATION, 1):
        return "is turned another way"
    off = np.abs(np.asarray(first).astype(int) - np.asarray(second).astype(int))
    if exact:
        return f"has {np.count_nonzero(off)} other pixels" if off.any() else None
    if off.mean() > JPEG_MEAN_OFF or off.max() > JPEG_MOST_OFF:
        return f"differs by up to {off.max()} grey levels, {off.mean():.2f} in the mean"
    return None


def main(arguments: list[str]) -> int:
    if arguments not in ([], ["--check"]):
        print("usage: python sample_scans/draw.py [--check]", file=sys.stderr)
        return 2
    files = draw_all()
    if arguments:
        found = {name: difference(name, new, HERE) for name, new in files.items()}
        for name, what in found.items():
            if what:
                print(f"{name} {what}; draw it anew with: python sample_scans/draw.py")
        return 1 if any(found.values()) else 0
    for name, new in files.items():
        (HERE / name).write_bytes(new)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
