"""Train the page network: ``python -m audit.training.page.train SECONDS CROPS``.

Reads type faces from the folder named by FONTS, writes page.onnx, page.pt and train.log to OUT.
"""

from __future__ import annotations

import hashlib
import math
import multiprocessing
import os
import sys
import time
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F  # as everybody writes it

from audit.training.page.canvas import SIZE, STRIDE
from audit.training.page.network import SECTORS, PageNet, heat_targets, page_loss
from audit.training.page.scenes import Fonts, draw_scene

SEED = 20261125
CHUNK = 250
BATCH = 96


def draw_chunk(seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Draw CHUNK crops from one seed."""
    rng = np.random.default_rng([SEED, seed])
    fonts = Fonts(Path(os.environ["FONTS"]))
    drawn = [draw_scene(rng, fonts) for _ in range(CHUNK)]
    return tuple(np.stack(part) for part in zip(*drawn, strict=True))  # type: ignore[return-value]


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


def wear(x: torch.Tensor, rng: torch.Generator) -> torch.Tensor:
    """Make clean darkness look scanned: ink, blur, noise, light, bilevel, lost resolution."""
    n, device = x.shape[0], x.device

    def draw(low: float, high: float, *shape: int) -> torch.Tensor:
        return torch.rand(shape or (n, 1, 1, 1), device=device, generator=rng) * (high - low) + low

    spread = draw(0, 1)
    fat = F.max_pool2d(x, 3, 1, 1)
    lean = -F.max_pool2d(-x, 3, 1, 1)
    x = torch.where(spread < 0.08, fat, torch.where(spread > 0.95, 0.5 * (x + lean), x))
    if float(draw(0, 1, 1)) < 0.35:
        factor = float(draw(0.5, 0.95, 1))
        small = F.interpolate(x, scale_factor=factor, mode="area")
        x = F.interpolate(small, size=x.shape[-2:], mode="bilinear")
    sigma = draw(0.2, 1.3)
    k = torch.arange(-4, 5, device=device).float()
    g = torch.exp(-(k[None] ** 2) / (2 * sigma.view(n, 1) ** 2))
    g = g / g.sum(1, keepdim=True)
    y = F.conv2d(x.view(1, n, *x.shape[2:]), g.view(n, 1, 1, 9), padding=(0, 4), groups=n)
    y = F.conv2d(y, g.view(n, 1, 9, 1), padding=(4, 0), groups=n).view_as(x)
    x = torch.where(draw(0, 1) < 0.8, y, x)
    x = x * draw(0.45, 1.05)
    coarse = torch.randn((n, 1, 16, 16), device=device, generator=rng)
    blotch = F.interpolate(coarse, size=x.shape[-2:], mode="bilinear")
    x = x * (1 + blotch * draw(0, 0.12)) + blotch.clamp(min=0) * draw(0, 0.03)
    white = torch.randn(x.shape, device=device, generator=rng)
    grain = F.avg_pool2d(white, 3, 1, 1) * 3
    x = x + white * draw(0, 0.07) * (draw(0, 1) < 0.7) + grain * draw(0, 0.08) * (draw(0, 1) < 0.3)
    bilevel = (x > draw(0.25, 0.55)).float()
    return torch.where(draw(0, 1) < 0.2, bilevel, x).clamp(0, 1)


def measure(net, data, device) -> str:
    """Recall and precision of tips within 3 px of the map, text mask overlap, on unseen crops."""
    net.eval()
    x, masks, tips = data
    hit = found = real = 0
    inter = union = 0.0
    rng = torch.Generator(device=device).manual_seed(1)
    with torch.no_grad():
        for i in range(0, len(x), 50):
            batch = 1 - x[i : i + 50, None].float() / 255
            out = net(wear(batch, rng)).float()
            q = tips[i : i + 50].clone()
            q[..., :2] /= STRIDE
            heat, _ = heat_targets(q, out.shape[-1])
            p = torch.sigmoid(out[:, :2]).amax(1, keepdim=True)
            t = heat.amax(1, keepdim=True)
            peaks = (p == F.max_pool2d(p, 5, 1, 2)) & (p > 0.4)
            true = (t == F.max_pool2d(t, 5, 1, 2)) & (t > 0.7)
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


def main(seconds: float, crops: int) -> None:
    """Draw, train, export."""
    out = Path(os.environ.get("OUT", "out"))
    out.mkdir(parents=True, exist_ok=True)
    started = time.time()
    log = (out / "page-train.log").open("w")

    def say(text: str) -> None:
        print(text, flush=True)
        log.write(text + "\n")
        log.flush()

    with multiprocessing.Pool(os.cpu_count()) as pool:
        chunks = pool.map(draw_chunk, range(crops // CHUNK + 4), chunksize=1)
    say(f"drew {len(chunks) * CHUNK} crops in {time.time() - started:.0f} s, seed {SEED}")
    device = "cuda" if torch.cuda.is_available() else "cpu"
    x, masks, tips = (torch.from_numpy(np.concatenate(part)) for part in zip(*chunks, strict=True))
    del chunks
    held = tuple(part[-4 * CHUNK :].to(device) for part in (x, masks, tips))
    x, masks, tips = (part[: -4 * CHUNK].to(device) for part in (x, masks, tips))
    torch.manual_seed(SEED)
    rng = torch.Generator(device=device).manual_seed(SEED)
    net = PageNet().to(device).to(memory_format=torch.channels_last)
    mean = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.999), use_buffers=True
    )
    say(f"{sum(p.numel() for p in net.parameters())} parameters")
    optimiser = torch.optim.AdamW(net.parameters(), 3e-3, weight_decay=1e-3)
    begun, step = time.time(), 0
    while (spent := time.time() - begun) < seconds:
        rate = 3e-3 * min(1.0, step / 200) * (0.5 + 0.5 * math.cos(math.pi * spent / seconds))
        for group in optimiser.param_groups:
            group["lr"] = rate + 1e-5
        pick = torch.randint(0, len(x), (BATCH,), device=device, generator=rng)
        batch = 1 - x[pick, None].float() / 255
        wanted = masks[pick].float()
        wanted[:, :3] = (wanted[:, :3] > 127).float()
        q = tips[pick].clone()
        q[..., :2] /= STRIDE
        batch, wanted, q = turn_batch(batch, wanted, q, int(torch.randint(0, 4, (1,))))
        worn = wear(batch, rng).to(memory_format=torch.channels_last)
        with torch.autocast(device, torch.bfloat16):
            result = net(worn)
        loss = page_loss(result.float(), q, wanted)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        mean.update_parameters(net)
        step += 1
        if step % 500 == 0:
            say(f"{step} {spent:.0f} s loss {float(loss):.3f} {measure(mean, held, device)}")
    say(f"end {step} steps {measure(mean, held, device)}")
    export(mean.module, out, say)


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


if __name__ == "__main__":
    main(float(sys.argv[1]), int(sys.argv[2]))
