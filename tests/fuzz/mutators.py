"""Changes to files: blind ones, and ones that keep the outer shape to reach deeper code."""

from __future__ import annotations

import random
import re
import struct
import zlib
from collections.abc import Callable

NUMBERS = (
    b"0", b"-1", b"1", b"1e308", b"-1e308", b"1e-320", b"2147483647", b"-2147483648", b"4294967296",
    b"99999999999999999999", b"0.00000000001", b"65535", b"nan", b".", b"--5", b"1000000",
)  # fmt: skip
WORDS = (
    b"null", b"true", b"[", b"]", b"<<", b">>", b"stream", b"endstream", b"endobj", b"q", b"Q",
    b"cm", b"re", b"c", b"l", b"m", b"S", b"f", b"BT", b"ET", b"Tj", b"Tm", b"Do", b"W n", b"d",
    b"(%s%n)", b"<</S/JavaScript/JS(app.alert(1))>>", b"/Launch", b"1 0 R", b"3 0 R",
)  # fmt: skip
EXTREMES = (0, 1, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)

Mutator = Callable[[random.Random, bytes], bytes]


def flip_bytes(rng: random.Random, data: bytes) -> bytes:
    out = bytearray(data)
    for _ in range(rng.choice((1, 1, 2, 5, 20, 100))):
        out[rng.randrange(len(out))] = rng.randrange(256)
    return bytes(out)


def cut_short(rng: random.Random, data: bytes) -> bytes:
    return data[: rng.randrange(1, len(data))]


def drop_part(rng: random.Random, data: bytes) -> bytes:
    start, length = rng.randrange(len(data)), rng.randrange(1, 200)
    return data[:start] + data[start + length :]


def repeat_part(rng: random.Random, data: bytes) -> bytes:
    start, length = rng.randrange(len(data)), rng.randrange(1, 400)
    return data[:start] + data[start : start + length] * rng.choice((2, 3, 50)) + data[start:]


def blank_part(rng: random.Random, data: bytes) -> bytes:
    start, length = rng.randrange(len(data)), rng.randrange(1, 2000)
    return data[:start] + rng.choice((b"\0", b"\xff"))[:1] * length + data[start + length :]


def set_field(rng: random.Random, data: bytes) -> bytes:
    """Put an extreme whole number where a header may have one."""
    out = bytearray(data)
    size = rng.choice((1, 2, 4))
    at = rng.randrange(min(len(out) - size, rng.choice((64, 512, len(out)))) or 1)
    value = rng.choice(EXTREMES) & (2 ** (8 * size) - 1)
    out[at : at + size] = value.to_bytes(size, rng.choice(("little", "big")))
    return bytes(out)


def replace_numbers(rng: random.Random, data: bytes) -> bytes:
    """Replace numbers of a text format by extreme ones."""
    found = list(re.finditer(rb"(?<![\w.])-?\d+\.?\d*(?![\w.])", data))
    if not found:
        return flip_bytes(rng, data)
    for one in sorted(rng.sample(found, min(len(found), rng.choice((1, 1, 2, 8)))), key=start_of):
        data = data[: one.start()] + rng.choice(NUMBERS) + data[one.end() :]
    return data


def start_of(match: re.Match[bytes]) -> int:
    """Sort key: later ones first, so that earlier places stay where they are."""
    return -match.start()


def replace_words(rng: random.Random, data: bytes) -> bytes:
    """Replace words of a text format by words that mean something else."""
    found = list(re.finditer(rb"(?<=[\s/])[A-Za-z]{1,12}(?=\s)", data))
    if not found:
        return flip_bytes(rng, data)
    for one in sorted(rng.sample(found, min(len(found), rng.choice((1, 2, 5)))), key=start_of):
        data = data[: one.start()] + rng.choice(WORDS) + data[one.end() :]
    return data


def change_png_chunk(rng: random.Random, data: bytes) -> bytes:
    """Change one chunk of a PNG and set its checksum right, so that decoders go on."""
    chunks, at = [], 8
    while at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        chunks.append((data[at + 4 : at + 8], data[at + 8 : at + 8 + length]))
        at += 12 + length
    if not chunks:
        return flip_bytes(rng, data)
    k = rng.randrange(len(chunks))
    kind, body = chunks[k]
    change = rng.choice((flip_bytes, set_field, drop_part, repeat_part))
    chunks[k] = (kind, change(rng, body) if len(body) > 4 else body)
    if rng.random() < 0.2:
        chunks.insert(rng.randrange(len(chunks)), rng.choice(chunks))
    out = data[:8]
    for kind, body in chunks:
        out += struct.pack(">I", len(body)) + kind + body
        out += struct.pack(">I", zlib.crc32(kind + body))
    return out


BLIND: tuple[Mutator, ...] = (
    flip_bytes, flip_bytes, set_field, cut_short, drop_part, repeat_part, blank_part,
)  # fmt: skip
BY_KIND: dict[str, tuple[Mutator, ...]] = {
    "pdf": (replace_numbers,) * 4 + (replace_words,) * 3 + BLIND,
    "png": (change_png_chunk,) * 5 + BLIND,
}


def mutate(name: str, data: bytes, *, seed: int) -> bytes:
    """Change a file in a way that the seed alone decides.

    Parameters
    ----------
    name : str
        Its suffix says which changes make sense.
    data : bytes
    seed : int

    Returns
    -------
    bytes
    """
    rng = random.Random(f"{name}/{seed}")
    kinds = BY_KIND.get(name.rpartition(".")[2], BLIND)
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        if len(data) > 16:
            data = rng.choice(kinds)(rng, data)
    return data
