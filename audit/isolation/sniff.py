"""What a file is, told from its first bytes; nothing in here decodes anything."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from pathlib import Path

from audit.errors import NotReadable, TooLarge, WrongKind, one_line
from audit.isolation.info import SourceKind
from audit.isolation.limits import MEBIBYTE, Limits

HEAD_BYTES = 4096
PDF_MARK_WITHIN = 1024  # where readers look for %PDF- (ISO 32000-1, annex H, from memory)
ADVICE_KINDS = "give a PDF, TIFF, PNG, JPEG, BMP or WebP file"

# Magic numbers: the PNG, TIFF 6.0, JFIF, BMP and WebP specifications.
_IMAGES = (
    (b"\x89PNG\r\n\x1a\n", 0, "PNG"),
    (b"\xff\xd8\xff", 0, "JPEG"),
    (b"II*\x00", 0, "TIFF"),
    (b"MM\x00*", 0, "TIFF"),
    (b"II+\x00", 0, "TIFF"),
    (b"MM\x00+", 0, "TIFF"),
    (b"WEBP", 8, "WebP"),
)
_SUFFIXES = {
    "PDF": (".pdf",),
    "PNG": (".png", ".apng"),
    "JPEG": (".jpg", ".jpeg", ".jpe", ".jfif", ".mpo"),
    "TIFF": (".tif", ".tiff"),
    "WebP": (".webp",),
    "BMP": (".bmp", ".dib"),
}
_EXPORT = "export it as JPEG or PNG"
_OTHERS = (
    (b"GIF8", 0, "a GIF picture", "save it as PNG"),
    (b"ftyphe", 4, "a HEIC photo", _EXPORT),
    (b"ftypmif1", 4, "a HEIC photo", _EXPORT),
    (b"ftypmsf1", 4, "a HEIC photo", _EXPORT),
    (b"ftypavif", 4, "an AVIF picture", _EXPORT),
    (b"\x00\x00\x00\x0cjP  ", 0, "a JPEG 2000 picture", _EXPORT),
    (b"\xff\x0a", 0, "a JPEG XL picture", _EXPORT),
    (b"8BPS", 0, "a layered picture", _EXPORT),
    (b"AC10", 0, "a DWG drawing", "plot it to PDF first"),
    (b"%!PS", 0, "a PostScript file", "convert it to PDF first"),
    (b"PK\x03\x04", 0, "a ZIP archive or office document", "unpack it, or print it to PDF first"),
    (b"Rar!", 0, "an archive", "unpack it first"),
    (b"7z\xbc\xaf", 0, "an archive", "unpack it first"),
    (b"\x1f\x8b", 0, "a compressed file", "unpack it first"),
    (b"\xd0\xcf\x11\xe0", 0, "an office document", "print it to PDF first"),
    (b"SQLite format 3\x00", 0, "a database", ADVICE_KINDS),
)
_TEXT_OTHERS = (
    (b"<svg", "an SVG drawing", "print it to PDF first"),
    (b"<!doctype html", "a web page", "print it to PDF first"),
    (b"<html", "a web page", "print it to PDF first"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A file found fit to be handed to the worker.

    `format` is what the content is (``JPEG``); `remarks` say where the name contradicts it;
    `stamp` (size, time of change) tells later whether the file is still the same.
    """

    path: Path
    kind: SourceKind
    format: str
    stamp: tuple[int, int]
    remarks: tuple[str, ...] = ()


def inspect_source(path: Path, *, limits: Limits) -> Source:
    """Check that a file can be read and is of a kind we know, without decoding it.

    Parameters
    ----------
    path : Path
    limits : Limits

    Returns
    -------
    Source

    Raises
    ------
    NotReadable
        If it is missing, a folder, not a regular file, empty, or may not be read.
    TooLarge
        If it has more bytes than `limits` allow.
    WrongKind
        If it is no PDF or picture we know.
    """
    name = one_line(path.name) or one_line(str(path))
    head, found = _read_head(path, name=name)
    if found.st_size == 0:
        raise NotReadable(f"{name} is empty", advice="copy or export it again")
    if found.st_size > limits.file_bytes:
        size, most = found.st_size // MEBIBYTE, limits.file_bytes // MEBIBYTE
        advice = "split it into single sheets"
        raise TooLarge(f"{name} has {size} MB, more than the {most} allowed", advice=advice)
    kind = recognise_format(head)
    if kind is None:
        raise _wrong_kind(head, name=name)
    remarks: tuple[str, ...] = ()
    if path.suffix.lower() not in _SUFFIXES[kind]:
        suffix = one_line(path.suffix) or "no suffix"
        remarks = (f"the name ends in {suffix} but the content is {kind}; read as {kind}",)
    source_kind = SourceKind.PDF if kind == "PDF" else SourceKind.IMAGE
    return Source(
        path=path.resolve(),
        kind=source_kind,
        format=kind,
        stamp=(found.st_size, found.st_mtime_ns),
        remarks=remarks,
    )


def recognise_format(head: bytes) -> str | None:
    """Name the format of a file from its first bytes, or `None` when it is none of ours.

    Examples
    --------
    >>> recognise_format(b"%PDF-1.7"), recognise_format(b"BMW is a car maker")
    ('PDF', None)
    """
    for mark, at, kind in _IMAGES:
        if head[at : at + len(mark)] == mark and (kind != "WebP" or head[:4] == b"RIFF"):
            return kind
    # "BM" alone is too little: the header's reserved words are zero and its size is plausible.
    if head[:2] == b"BM" and head[6:10] == b"\0\0\0\0" and head[14:18] in _BMP_HEADERS:
        return "BMP"
    if b"%PDF-" in head[:PDF_MARK_WITHIN]:
        return "PDF"
    return None


_BMP_HEADERS = tuple(n.to_bytes(4, "little") for n in (12, 16, 40, 52, 56, 64, 108, 124))


def _read_head(path: Path, *, name: str) -> tuple[bytes, os.stat_result]:
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise NotReadable(f"{name} is a folder", advice="give the files in it one by one")
        if not stat.S_ISREG(found.st_mode):  # a pipe or device would block for ever
            raise NotReadable(f"{name} is no ordinary file", advice=ADVICE_KINDS)
        with path.open("rb") as stream:
            return stream.read(HEAD_BYTES), found
    except FileNotFoundError:
        raise NotReadable(f"{name} does not exist", advice="check the name and folder") from None
    except PermissionError:
        advice = "change its permissions, or copy it elsewhere"
        raise NotReadable(f"{name} may not be read", advice=advice) from None
    except (OSError, ValueError) as error:  # ValueError: a null byte in the name
        reason = getattr(error, "strerror", None) or str(error)
        raise NotReadable(f"{name} cannot be read ({reason})", advice="copy it again") from None


def _wrong_kind(head: bytes, *, name: str) -> WrongKind:
    for mark, at, what, advice in _OTHERS:
        if head[at : at + len(mark)] == mark:
            return WrongKind(f"{name} is {what}", advice=advice)
    lower = head.lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    for mark, what, advice in _TEXT_OTHERS:
        if lower.startswith(mark) or (lower.startswith(b"<?xml") and mark in lower):
            return WrongKind(f"{name} is {what}", advice=advice)
    if lower.startswith(b"0") and b"section" in lower[:64]:
        return WrongKind(f"{name} is a DXF drawing", advice="plot it to PDF first")
    return WrongKind(f"{name} is neither a PDF nor a picture we know", advice=ADVICE_KINDS)
