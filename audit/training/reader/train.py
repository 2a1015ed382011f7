"""Train the reader network.

    python -m audit.training.reader.train FONTS OUT [--seconds N] [--seed N] [--workers N]

Draws samples on every core while it trains; keeps a moving average of the weights; every so often
reads the validation fonts (seen by no step) and keeps the best average; stops when they have not
improved for half of the time. The held-out fonts are read once, at the end.
"""

from __future__ import annotations

import argparse
import copy
import json
import math
import multiprocessing as mp
import time
from pathlib import Path
from typing import Protocol

import numpy as np
import torch
from torch import Tensor, nn

from audit.networks.alphabet import BLANK, CHARACTERS, plain
from audit.training.reader.network import ReaderNetwork, frames, load_network
from audit.training.reader.stock import (
    BUCKETS_PX,
    Chunk,
    Stock,
    bucket_of,
    drain,
    draw_fixed,
    produce,
)

PEAK_RATE = 2.2e-3
WARM_STEPS = 400
WEIGHT_DECAY = 0.02
BATCH_COLUMNS = 110_000
MEMORY_STEPS = 1600  # of the running average
AVERAGE_EVERY = 4
DRAIN_EVERY = 16
DRAIN_WAIT = 0.004  # s
# A cosine still falling brings gains late: a short run stopped at a quarter lost its end.
STALE_SHARE = 0.5
FIRST_SAMPLES = 12_000
CAPACITY = 2_400_000
# A cut one pixel higher or further left is no other text: crops move up and down by this share of
# half their height, and to the right by so many px at most.
RAISED, ASIDE_PX = 0.045, 3.0


def augment(pictures: Tensor) -> Tensor:
    """Ink 0..1 from stored crops, a little moved, stretched, blurred, lit and made noisy anew."""
    x = (255 - pictures[:, None].float()) / 255
    n, device = len(x), x.device
    theta = torch.zeros(n, 2, 3, device=device)
    # Squeezed, never widened: a crop that fills its bucket would lose its end.
    theta[:, 0, 0] = 1 + 0.08 * torch.rand(n, device=device)
    theta[:, 1, 1] = 1 + 0.05 * torch.randn(n, device=device).clamp(-2, 2)
    theta[:, 0, 1] = 0.04 * torch.randn(n, device=device) * 48 / x.shape[-1]
    theta[:, 1, 2] = RAISED * torch.randn(n, device=device)
    # Keep the left edge nearly in place: the crops begin there, padding is on the right.
    theta[:, 0, 2] = theta[:, 0, 0] - 1 - ASIDE_PX * torch.rand(n, device=device) * 2 / x.shape[-1]
    grid = nn.functional.affine_grid(theta, list(x.shape), align_corners=False)
    x = nn.functional.grid_sample(x, grid, align_corners=False, padding_mode="border")
    soft = nn.functional.avg_pool2d(x, 3, 1, 1)
    share = torch.rand(n, 1, 1, 1, device=device) * (torch.rand(n, 1, 1, 1, device=device) < 0.3)
    x = x + share * (soft - x)
    gain = 0.65 + 0.5 * torch.rand(n, 1, 1, 1, device=device)
    grain = 0.06 * torch.rand(n, 1, 1, 1, device=device) ** 2
    return (x * gain + grain * torch.randn_like(x)).clamp(0, 1)


def rate(elapsed: float, step: int, given: argparse.Namespace) -> float:
    """Learning rate: warm up by steps, then a cosine over the time (0..1)."""
    warmed = min(1.0, step / given.warm)
    return given.peak * warmed * 0.5 * (1 + math.cos(math.pi * min(1.0, elapsed)))


def greedy(logits: Tensor) -> list[str]:
    """Best path of each crop, collapsed."""
    out = []
    for row in frames(logits.float()).argmax(2).T.cpu().numpy():
        kept = row[np.concatenate([[True], row[1:] != row[:-1]])]
        out.append("".join(CHARACTERS[k - 1] for k in kept if k != BLANK))
    return out


@torch.no_grad()
def read_all(network: nn.Module, samples: list, device: str) -> list[str]:
    """Read prepared crops, batched by bucket."""
    network.eval()
    texts = [""] * len(samples)
    groups: dict[int, list[int]] = {}
    for k, sample in enumerate(samples):
        groups.setdefault(bucket_of(sample[0].shape[1]), []).append(k)
    for bucket, members in groups.items():
        for start in range(0, len(members), 256):
            some = members[start : start + 256]
            batch = np.full((len(some), 1, 48, BUCKETS_PX[bucket]), 255, np.uint8)
            for row, k in enumerate(some):
                batch[row, 0, :, : samples[k][0].shape[1]] = samples[k][0]
            x = (255 - torch.from_numpy(batch).to(device).float()) / 255
            for k, text in zip(some, greedy(network(x)), strict=True):
                texts[k] = text
    return texts


def exact(network: nn.Module, samples: list, device: str) -> dict[str, float]:
    """Share read exactly: in all, and by pen and kind."""
    hits: dict[str, list[bool]] = {}
    for sample, text in zip(samples, read_all(network, samples, device), strict=True):
        right = plain(text) == plain(sample[1])
        for name in ("all", f"pen {sample[3]}", f"kind {sample[2]}"):
            hits.setdefault(name, []).append(right)
    return {name: round(float(np.mean(values)), 4) for name, values in sorted(hits.items())}


def average(mean: nn.Module, network: nn.Module, step: int, memory: int) -> None:
    """Move the running average of the weights a little towards the network."""
    keep = min(1 - AVERAGE_EVERY / memory, (1 + step) / (20 + step))
    slow = [v for v in mean.state_dict().values() if v.dtype.is_floating_point]
    fast = [v for v in network.state_dict().values() if v.dtype.is_floating_point]
    with torch.no_grad():
        torch._foreach_lerp_(slow, fast, 1 - keep)


def fixed_sets(folder: str, seed: int, workers: int, counts: dict[str, int]) -> dict[str, list]:
    """Draw the sets that are only read: seen fonts, validation fonts, held-out fonts."""
    jobs, names = [], []
    for k, (role, count) in enumerate(counts.items()):
        for part in range(workers):
            jobs.append(
                (
                    folder,
                    role,
                    10_000_000 + seed * 1000 + 100 * k + part,
                    math.ceil(count / workers),
                )
            )
            names.append(role)
    with mp.get_context("fork").Pool(workers) as pool:
        parts = pool.map(draw_fixed, jobs, chunksize=1)
    sets: dict[str, list] = {role: [] for role in counts}
    for role, part in zip(names, parts, strict=True):
        sets[role] += part
    return sets


def draw_sets(given: argparse.Namespace) -> dict[str, list]:
    """Draw a run's sets that are only read."""
    counts = dict.fromkeys(("train", "valid", "held"), given.probe)
    return fixed_sets(given.fonts, given.seed, given.workers, counts)


class Out(Protocol):
    """What takes the chunks that makers draw."""

    def put(self, chunk: Chunk) -> None:
        """Take a chunk."""


class Makers:
    """Processes that draw chunks of samples until stopped."""

    def __init__(self, given: argparse.Namespace, out: Out) -> None:
        context = mp.get_context("fork")
        self._stop = context.Event()
        seeds = [given.seed * 1_000_003 + k for k in range(given.workers)]
        self._makers = [
            context.Process(
                target=produce,
                daemon=True,
                args=(given.fonts, "train", seed, given.focus, out, self._stop),
            )
            for seed in seeds
        ]
        for maker in self._makers:
            maker.start()

    def stop(self) -> None:
        """End them."""
        self._stop.set()
        for maker in self._makers:
            maker.terminate()


class Run:
    """One training run."""

    def __init__(self, given: argparse.Namespace, sets: dict[str, list] | None = None) -> None:
        self.given = given
        self.device = "cuda" if torch.cuda.is_available() else "cpu"
        self.began = time.monotonic()
        torch.manual_seed(given.seed)
        self.sets = sets or draw_sets(given)
        self.log: list[dict] = []
        begun = load_network(torch.load(given.resume)) if given.resume else ReaderNetwork()
        self.network = begun.to(self.device, memory_format=torch.channels_last)
        if given.steady:
            # Small batches: keep the statistics, and what the first layers see.
            self.network.eval()
            self.network.look.requires_grad_(requires_grad=False)
        self.mean = copy.deepcopy(self.network)
        self.best, self.best_at, self.best_score = copy.deepcopy(self.mean), 0.0, -1.0
        free = [p for p in self.network.parameters() if p.requires_grad]
        weights, others = [p for p in free if p.ndim > 1], [p for p in free if p.ndim <= 1]
        self.optimiser = torch.optim.AdamW(
            [{"params": weights, "weight_decay": WEIGHT_DECAY}, {"params": others, "weight_decay": 0.0}],
            lr=PEAK_RATE, betas=(0.9, 0.98), fused=self.device == "cuda",
        )  # fmt: skip

    def say(self, **row: object) -> None:
        """Print a row of the log and keep it."""
        row = {"second": round(time.monotonic() - self.began), **row}
        self.log.append(row)
        print(json.dumps(row), flush=True)

    def step(self, batch: tuple[Tensor, ...], lr: float) -> Tensor:
        """One step of training; returns the loss."""
        pictures, labels, lengths = batch
        for group in self.optimiser.param_groups:
            group["lr"] = lr
        x = augment(pictures).contiguous(memory_format=torch.channels_last)
        with torch.autocast(self.device, torch.bfloat16):
            logits = self.network(x)
        scores = frames(logits.float()).log_softmax(2)
        # Lengths stay on the host: on the device ctc_loss would wait for them at every step.
        count = torch.full((len(x),), len(scores))
        losses = nn.functional.ctc_loss(
            scores, labels, count, lengths, reduction="none", zero_infinity=True
        )
        share = 1 / (lengths + 4.0)
        loss = (losses * share.to(self.device, non_blocking=True)).mean()
        self.optimiser.zero_grad(set_to_none=True)
        loss.backward()
        nn.utils.clip_grad_norm_(self.network.parameters(), 3.0)
        self.optimiser.step()
        return loss.detach()

    def train(self) -> None:
        """Train until time is out or the validation fonts stop improving."""
        source = mp.get_context("fork").Queue(maxsize=self.given.waiting)
        makers = Makers(self.given, source)
        try:
            self.train_on(source)
        finally:
            makers.stop()

    def train_on(self, source: mp.Queue) -> None:  # type: ignore[type-arg]
        """Train on what others draw, as `train` does."""
        stock, rng = Stock(self.device, CAPACITY), np.random.default_rng(self.given.seed)
        while stock.seen < min(self.given.first, self.given.seconds * 100):
            drain(source, stock, most=50, wait=0.5)
        self.say(event="first samples", samples=stock.seen)
        if self.given.resume:
            self._probe(0.0, step=0)
        self._loop(source, stock, rng)

    def _loop(self, source: mp.Queue, stock: Stock, rng: np.random.Generator) -> None:  # type: ignore[type-arg]
        start, step, probed, total = time.monotonic(), 0, 0.0, 0
        while True:
            elapsed = (time.monotonic() - start) / self.given.seconds
            # What a run went on from is no reason to stop: a high rate loses it at first.
            if elapsed >= 1 or 0 < self.best_at < elapsed - STALE_SHARE:
                break
            if (
                step % DRAIN_EVERY == 0
                and stock.seen <= self.given.first + self.given.fresh * total
            ):
                # A chunk is larger than a pipe: the next is on its way when none lies ready.
                drain(source, stock, most=64, wait=DRAIN_WAIT)
            batch = stock.batch(rng, self.given.columns)
            loss = self.step(batch, rate(elapsed, step, self.given))
            step, total = step + 1, total + len(batch[0])
            if not self.given.steady:
                self.network.train()
            if step % AVERAGE_EVERY == 0:
                average(self.mean, self.network, step, self.given.memory)
            if elapsed - probed >= 1 / self.given.probes:
                probed = elapsed
                self._probe(elapsed, step=step, loss=float(loss), drawn=stock.seen, used=total)
        self._probe(1.0, step=step, loss=float(loss), drawn=stock.seen, used=total)

    def _probe(self, elapsed: float, **row: object) -> None:
        valid = exact(self.mean, self.sets["valid"], self.device)["all"]
        seen = exact(self.mean, self.sets["train"][:500], self.device)["all"]
        self.say(valid=valid, seen=seen, **row)
        if valid >= self.best_score:
            self.best_score, self.best_at = valid, elapsed
            self.best.load_state_dict(self.mean.state_dict())
            self.save()

    def save(self) -> None:
        """Write the best average so far."""
        Path(self.given.out).mkdir(parents=True, exist_ok=True)
        state = {name: value.cpu() for name, value in self.best.state_dict().items()}
        torch.save(state, Path(self.given.out) / "reader.pt")

    def finish(self) -> None:
        """Read everything once more, write the best and the last weights and the log."""
        out = Path(self.given.out)
        for role, samples in self.sets.items():
            self.say(event="final", role=role, **exact(self.best, samples, self.device))
        self.save()
        last = {name: value.cpu() for name, value in self.mean.state_dict().items()}
        torch.save(last, out / "last.pt")
        (out / "log.json").write_text("\n".join(json.dumps(row) for row in self.log) + "\n")
        wrong = []
        for role in ("valid", "held"):
            texts = read_all(self.best, self.sets[role], self.device)
            for sample, text in zip(self.sets[role], texts, strict=True):
                if plain(text) != plain(sample[1]) and len(wrong) < 400:
                    wrong.append((role, *sample[1:], text, sample[0]))
        np.savez_compressed(
            out / "wrong.npz",
            notes=np.array([json.dumps(w[:-1]) for w in wrong]),
            pictures=np.array([np.pad(w[-1], ((0, 0), (0, 768 - w[-1].shape[1])), constant_values=255) for w in wrong]),
        )  # fmt: skip


def parse() -> argparse.ArgumentParser:
    """Make the parser of what a run is given."""
    parser = argparse.ArgumentParser()
    parser.add_argument("fonts")
    parser.add_argument("out")
    parser.add_argument("--seconds", type=float, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=16)
    parser.add_argument("--probe", type=int, default=3000)
    parser.add_argument("--probes", type=int, default=12)
    parser.add_argument("--peak", type=float, default=PEAK_RATE)
    parser.add_argument("--columns", type=int, default=BATCH_COLUMNS)
    parser.add_argument("--memory", type=int, default=MEMORY_STEPS)
    parser.add_argument("--focus", type=float, default=0.0)
    parser.add_argument("--steady", action="store_true")
    # On few cores the makers must not take what the training needs: at most so many samples drawn
    # for each one used, so many chunks waiting.
    parser.add_argument("--fresh", type=float, default=math.inf)
    parser.add_argument("--waiting", type=int, default=200)
    parser.add_argument("--first", type=int, default=FIRST_SAMPLES)
    parser.add_argument("--warm", type=int, default=WARM_STEPS)
    parser.add_argument("--resume")
    return parser


def work(run: Run, source: mp.Queue | None = None) -> None:  # type: ignore[type-arg]
    """Carry a run through, on its own samples or on others'."""
    run.say(
        event="start", device=run.device, weights=sum(p.numel() for p in run.network.parameters())
    )
    run.train() if source is None else run.train_on(source)
    run.finish()


if __name__ == "__main__":
    work(Run(parse().parse_args()))
