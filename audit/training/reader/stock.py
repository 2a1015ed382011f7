"""Samples drawn on all cores while the network trains, kept on the device by width."""

from __future__ import annotations

import itertools
import multiprocessing as mp
import queue
from dataclasses import dataclass

import cv2
import numpy as np
import torch

from audit.networks.alphabet import encode
from audit.training.reader.samples import draw_any, load_alphabet

BUCKETS_PX = (64, 96, 128, 160, 192, 224, 256, 320, 384, 448, 512, 640, 768)
LONGEST_LABEL = 36
CHUNK = 128
PAPER = 255


@dataclass(frozen=True, slots=True)
class Chunk:
    """Samples of one width bucket: pictures, labels padded with 0, label lengths."""

    bucket: int
    pictures: np.ndarray
    labels: np.ndarray
    lengths: np.ndarray


def bucket_of(width: int) -> int | None:
    """Index of the narrowest bucket that holds the width."""
    for k, limit in enumerate(BUCKETS_PX):
        if width <= limit:
            return k
    return None


def pack(bucket: int, members: list[tuple[np.ndarray, list[int]]]) -> Chunk:
    """Put the samples of one bucket side by side."""
    pictures = np.full((len(members), 48, BUCKETS_PX[bucket]), PAPER, np.uint8)
    labels = np.zeros((len(members), LONGEST_LABEL), np.int16)
    for k, (picture, codes) in enumerate(members):
        pictures[k, :, : picture.shape[1]] = picture
        labels[k, : len(codes)] = codes
    lengths = np.array([len(codes) for _, codes in members], np.int16)
    return Chunk(bucket, pictures, labels, lengths)


def fits(codes: list[int], width: int) -> bool:
    """Whether CTC has frames enough: two a column, one more for every repeated character."""
    repeats = sum(a == b for a, b in itertools.pairwise(codes))
    return len(codes) + repeats <= width // 2 and len(codes) <= LONGEST_LABEL


def produce(folder: str, role: str, seed: int, focus: float, out: mp.Queue, stop: mp.Event) -> None:  # type: ignore[valid-type]
    """Draw samples until told to stop; a full queue makes it wait."""
    cv2.setNumThreads(1)
    rng, alphabet = np.random.default_rng(seed), load_alphabet(folder, role)
    open_chunks: dict[int, list[tuple[np.ndarray, list[int]]]] = {}
    while not stop.is_set():
        sample = draw_any(rng, alphabet, focus=focus)
        bucket, codes = bucket_of(sample.picture.shape[1]), encode(sample.label)
        if bucket is None or not fits(codes, sample.picture.shape[1]):
            continue
        members = open_chunks.setdefault(bucket, [])
        members.append((sample.picture, codes))
        if len(members) == CHUNK:
            out.put(pack(bucket, members))
            members.clear()


def draw_fixed(job: tuple[str, str, int, int]) -> list[tuple[np.ndarray, str, str, str]]:
    """Draw a fixed number of samples: (folder, role, seed, count)."""
    folder, role, seed, count = job
    cv2.setNumThreads(1)
    rng, alphabet = np.random.default_rng(seed), load_alphabet(folder, role)
    out = []
    while len(out) < count:
        s = draw_any(rng, alphabet)
        if bucket_of(s.picture.shape[1]) is not None:
            out.append((s.picture, s.label, s.kind, s.pen))
    return out


class Stock:
    """Samples on the device, by bucket, growing until `capacity`, then overwriting the oldest."""

    def __init__(self, device: str, capacity: int) -> None:
        self.device, self.capacity = device, capacity
        self.pictures: dict[int, torch.Tensor] = {}
        self.labels: dict[int, torch.Tensor] = {}
        self.lengths: dict[int, torch.Tensor] = {}
        self.count = dict.fromkeys(range(len(BUCKETS_PX)), 0)
        self.seen = 0

    def add(self, chunk: Chunk) -> None:
        """Take a chunk in."""
        k, size = chunk.bucket, len(chunk.lengths)
        self._make_room(k, self.count[k] + size)
        room = len(self.lengths[k])
        at = self.count[k] % room if self.count[k] + size > room else self.count[k]
        at = min(at, room - size)
        for store, values in (
            (self.pictures, chunk.pictures), (self.labels, chunk.labels), (self.lengths, chunk.lengths),
        ):  # fmt: skip
            store[k][at : at + size] = torch.from_numpy(values).to(store[k].device)
        self.count[k] += size
        self.seen += size

    def _make_room(self, k: int, needed: int) -> None:
        room = len(self.lengths[k]) if k in self.lengths else 0
        total = sum(len(v) for v in self.lengths.values())
        if needed <= room or (room and total >= self.capacity):
            return
        grown = max(needed, 2 * room, 8 * CHUNK)
        shapes = {
            "pictures": ((48, BUCKETS_PX[k]), torch.uint8),
            "labels": ((LONGEST_LABEL,), torch.int16),
            "lengths": ((), torch.int16),
        }
        for name, (shape, kind) in shapes.items():
            store = getattr(self, name)
            device = "cpu" if name == "lengths" else self.device
            fresh = torch.zeros((grown, *shape), dtype=kind, device=device)
            if room:
                fresh[:room] = store[k]
            store[k] = fresh

    def batch(self, rng: np.random.Generator, columns: int) -> tuple[torch.Tensor, ...]:
        """Draw a batch from one bucket, about `columns` px wide: pictures, labels, lengths (host)."""
        filled = {k: min(n, len(self.lengths[k])) for k, n in self.count.items() if n}
        keys = list(filled)
        weights = np.array([filled[k] * BUCKETS_PX[k] for k in keys], float)
        k = keys[int(rng.choice(len(keys), p=weights / weights.sum()))]
        size = int(np.clip(columns // BUCKETS_PX[k], 32, 1024))
        index = torch.from_numpy(rng.integers(0, filled[k], size))
        lengths = self.lengths[k][index].long()
        index = index.to(self.device, non_blocking=True)
        return self.pictures[k][index], self.labels[k][index].long(), lengths


def drain(source: mp.Queue, stock: Stock, *, most: int, wait: float) -> None:  # type: ignore[type-arg]
    """Move waiting chunks into the stock."""
    for _ in range(most):
        try:
            stock.add(source.get(timeout=wait) if wait else source.get_nowait())
        except queue.Empty:
            return
