"""Train the page network: ``python -m audit.training.page.train SECONDS CROPS``.

Reads type faces from the folder named by FONTS, writes page.onnx, page.pt and train.log to OUT.
``--resume page.pt`` goes on from weights, ``--first N`` draws other crops, ``--rate`` is its
highest rate.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import math
import multiprocessing
import os
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F  # as everybody writes it

from audit.training.page.canvas import MOST_TIPS, SIZE, STRIDE
from audit.training.page.network import (
    EDGE,
    SECTORS,
    PageNet,
    heat_targets,
    page_loss,
    unfold_maps,
)
from audit.training.page.scenes import draw_scene
from audit.training.page.styles import Fonts
from audit.training.page.wearing import Wear

SEED = 20261125
CHUNK = 250
HELD_CHUNKS = 4  # measured on, never trained on
FIRST_CROPS = 12_000  # drawn before training begins
FIRST_RESUMED = 4_000  # the same where weights are there already
BATCH = 128
RATE = 3e-3
PARTS = ("x", "masks", "tips")
LOOK_EVERY = 4  # steps between two looks for newly drawn crops


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """Where a run begins: weights or none, the seed of its first crops, its highest rate."""

    weights: Path | None = None
    first: int = 0
    rate: float = RATE


def draw_chunk(job: tuple[int, str]) -> str:
    """Draw CHUNK crops from one seed into files of a folder; return what their names begin with."""
    seed, folder = job
    rng = np.random.default_rng([SEED, seed])
    fonts = Fonts(Path(os.environ["FONTS"]))
    drawn = [draw_scene(rng, fonts) for _ in range(CHUNK)]
    for name, part in zip(PARTS, zip(*drawn, strict=True), strict=True):
        np.save(f"{folder}/{seed}{name}.npy", np.stack(part))
    return f"{folder}/{seed}"


def turn_batch(x, masks, tips, quarter: int):
    """Turn a batch by quarter turns, counter-clockwise as seen."""
    for _ in range(quarter):
        x, masks = x.rot90(1, (2, 3)), masks.rot90(1, (2, 3))
        tx, ty, way = tips[..., 0], tips[..., 1], tips[..., 2]
        way = torch.where(way < 0, way, (way + 90) % 360)
        tips = torch.stack([ty, x.shape[-1] / STRIDE - tx, way, tips[..., 3]], -1)
        turned = (masks[:, 3:] + 45) % 90
        masks = torch.cat([masks[:, :3], torch.where(masks[:, :1] > 0.5, turned, masks[:, 3:])], 1)
    return x, masks, tips


def measure(net, held: Crops, device) -> str:
    """Recall and precision of tips within 3 px of the map, text mask overlap, on unseen crops.

    Tips near a crop's rim do not count: their bodies lie outside.
    """
    net.eval()
    x, masks, tips = held.x, held.masks, held.tips
    hit = found = real = 0
    inter = union = 0.0
    wear = Wear(torch.Generator(device=device).manual_seed(1))
    core = torch.zeros((1, 1, SIZE // STRIDE, SIZE // STRIDE), dtype=torch.bool, device=device)
    core[..., EDGE:-EDGE, EDGE:-EDGE] = True
    with torch.no_grad():
        for i in range(0, len(x), 50):
            batch = 1 - x[i : i + 50, None].float() / 255
            out = unfold_maps(net(wear(batch))).float()
            q = tips[i : i + 50].clone()
            q[..., :2] /= STRIDE
            heat, _ = heat_targets(q, out.shape[-1])
            p = torch.sigmoid(out[:, :2]).amax(1, keepdim=True)
            t = heat.amax(1, keepdim=True)
            peaks = (p == F.max_pool2d(p, 5, 1, 2)) & (p > 0.4) & core
            true = (t == F.max_pool2d(t, 5, 1, 2)) & (t > 0.7) & core
            near_true = F.max_pool2d(true.float(), 7, 1, 3) > 0
            near_peak = F.max_pool2d(peaks.float(), 7, 1, 3) > 0
            found += int(peaks.sum())
            hit += int((peaks & near_true).sum())
            real += int(true.sum())
            union += float((true & near_peak).sum())
            inter += float(
                ((out[:, 2 + SECTORS] > 0) == (masks[i : i + 50, 0] > 127)).float().mean()
            )
    net.train()
    text = inter / math.ceil(len(x) / 50)
    return f"tips R {union / max(real, 1):.4f} P {hit / max(found, 1):.4f} text {text:.4f}"


class Crops:
    """Crops on the device, more of them as they are drawn by other processes."""

    def __init__(self, room: int, device: str) -> None:
        small = SIZE // STRIDE
        self.x = torch.zeros((room, SIZE, SIZE), dtype=torch.uint8, device=device)
        self.masks = torch.zeros((room, 4, small, small), dtype=torch.uint8, device=device)
        self.tips = torch.zeros((room, MOST_TIPS, 4), device=device)
        self.count = 0

    def add(self, path: str) -> None:
        """Take in the files of drawn crops whose names begin so, and delete them."""
        stop = min(len(self.x), self.count + CHUNK)
        for name in PARTS:
            file = Path(f"{path}{name}.npy")
            values = torch.from_numpy(np.load(file)[: stop - self.count])
            getattr(self, name)[self.count : stop] = values.to(self.x.device)
            file.unlink()
        self.count = stop

    def batch(self, rng: torch.Generator, size: int):
        """Some crops at random: darkness, masks, tips in px of the maps; quarter turned."""
        pick = torch.randint(0, self.count, (size,), device=self.x.device, generator=rng)
        x = 1 - self.x[pick, None].float() / 255
        masks = self.masks[pick].float()
        masks[:, :3] = (masks[:, :3] > 127).float()
        tips = self.tips[pick].clone()
        tips[..., :2] /= STRIDE
        return turn_batch(x, masks, tips, int(torch.randint(0, 4, (1,))))


def main(seconds: float, crops: int, start: Start) -> None:
    """Draw while training, export."""
    out = Path(os.environ.get("OUT", "out"))
    out.mkdir(parents=True, exist_ok=True)
    log = (out / "page-train.log").open("w")

    def say(text: str) -> None:
        print(text, flush=True)
        log.write(text + "\n")
        log.flush()

    device = "cuda" if torch.cuda.is_available() else "cpu"
    with (
        tempfile.TemporaryDirectory() as folder,
        multiprocessing.Pool(max(1, (os.cpu_count() or 2) - 1)) as pool,
    ):
        new = math.ceil(crops / CHUNK)
        # the crops measured on are the same in every run
        seeds = [
            *range(HELD_CHUNKS),
            *range(HELD_CHUNKS + start.first, HELD_CHUNKS + start.first + new),
        ]
        jobs = [(seed, folder) for seed in seeds]
        drawn = pool.imap(draw_chunk, jobs[:HELD_CHUNKS])
        more = pool.imap_unordered(draw_chunk, jobs[HELD_CHUNKS:])
        net = train(Drawn(drawn, more), len(jobs), seconds, device, say, start)
        pool.terminate()
    export(net, out, say)


class Drawn:
    """Paths of drawn crops: first those measured on, then the others as they come."""

    def __init__(self, held, more) -> None:
        self.held = held
        self.more = more

    def next(self, timeout: float | None = None) -> str:
        """Next path; raises TimeoutError when none is drawn in time."""
        with contextlib.suppress(StopIteration):
            return self.held.next(timeout)
        return self.more.next(timeout)


def train(drawn, chunks: int, seconds: float, device: str, say, start: Start) -> PageNet:
    """Train on what is drawn so far, for so many seconds; the first chunks are held back."""
    begun = time.time()
    held, crops = Crops(HELD_CHUNKS * CHUNK, device), Crops(chunks * CHUNK, device)
    first = FIRST_CROPS if start.weights is None else FIRST_RESUMED
    while crops.count < first and held.count + crops.count < chunks * CHUNK:
        (held if held.count < HELD_CHUNKS * CHUNK else crops).add(drawn.next())
    say(
        f"{crops.count} crops drawn before the first step, {time.time() - begun:.0f} s, seed {SEED}"
    )
    torch.manual_seed(SEED)
    rng = torch.Generator(device=device).manual_seed(SEED)
    wear = Wear(rng)
    net = PageNet()
    if start.weights is not None:
        net.load_state_dict(torch.load(start.weights, map_location="cpu"))
    net = net.to(device).to(memory_format=torch.channels_last)
    torch.backends.cudnn.benchmark = True
    mean = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.999), use_buffers=True
    )
    say(f"{sum(p.numel() for p in net.parameters())} parameters")
    if start.weights is not None:
        say(f"begun with {measure(mean, held, device)}")
    optimiser = torch.optim.AdamW(
        net.parameters(), start.rate, weight_decay=1e-3, fused=device == "cuda"
    )
    step = 0
    while (spent := time.time() - begun) < seconds:
        rate = start.rate * min(1.0, step / 300) * (0.5 + 0.5 * math.cos(math.pi * spent / seconds))
        for group in optimiser.param_groups:
            group["lr"] = rate + 1e-5
        x, masks, tips = crops.batch(rng, BATCH)
        worn = wear(x).to(memory_format=torch.channels_last)
        with torch.autocast(device, torch.bfloat16):
            result = net(worn)
        loss = page_loss(unfold_maps(result).float(), tips, masks)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        mean.update_parameters(net)
        step += 1
        if step % LOOK_EVERY == 0 and held.count + crops.count < chunks * CHUNK:
            with contextlib.suppress(multiprocessing.TimeoutError):
                crops.add(drawn.next(timeout=0.001))
        if step % 1000 == 0:
            told = measure(mean, held, device)
            say(f"{step} {spent:.0f} s {crops.count} crops loss {float(loss.detach()):.3f} {told}")
    say(f"end {step} steps {crops.count} crops {measure(mean, held, device)}")
    return mean.module


def export(net: PageNet, out: Path, say) -> None:
    """Write the weights as ONNX, half the bytes: float16 tensors that the loader widens."""
    net = net.eval().cpu().float()
    torch.save(net.state_dict(), out / "page.pt")
    torch.onnx.export(
        net,
        torch.zeros(1, 1, SIZE, SIZE),
        str(out / "page.onnx"),
        input_names=["darkness"],
        output_names=["maps"],
        dynamic_axes={"darkness": {2: "h", 3: "w"}, "maps": {2: "h2", 3: "w2"}},
        opset_version=13,
        dynamo=False,
    )
    data = (out / "page.onnx").read_bytes()
    say(f"page.onnx {len(data)} bytes sha256 {hashlib.sha256(data).hexdigest()}")


def _read_arguments() -> tuple[float, int, Start]:
    parser = argparse.ArgumentParser(description="Train the page network.")
    parser.add_argument("seconds", type=float)
    parser.add_argument("crops", type=int)
    parser.add_argument("--resume", type=Path)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--rate", type=float, default=RATE)
    given = parser.parse_args()
    start = Start(weights=given.resume, first=given.first, rate=given.rate)
    return given.seconds, given.crops, start


if __name__ == "__main__":
    main(*_read_arguments())
