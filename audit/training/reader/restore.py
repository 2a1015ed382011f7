"""Make weights trainable again.

    python -m audit.training.reader.restore WEIGHTS FONTS OUT.pt [--added N] [--large]

Takes an export or packed weights; ADDED is how many of the added blocks the network shall have, all
of them where it is not given; a large one gets what `network.LARGE_LOOK` says on top.

An export has its normalisations folded into the convolutions. They are unfolded by what the
convolutions give on drawn samples, so that the network answers as the export does and its batches
are normalised about as they were. Residual blocks that the export lacks are added as such that
change nothing yet.
"""

from __future__ import annotations

import argparse
import itertools
from pathlib import Path

import numpy as np
import onnx
import torch
from onnx import numpy_helper
from torch import Tensor, nn

from audit.networks.packed import unpack
from audit.training.reader.network import (
    ADDED,
    DILATIONS,
    LARGE_LOOK,
    ReaderNetwork,
    added_in,
)
from audit.training.reader.stock import BUCKETS_PX, bucket_of, draw_fixed

SAMPLES, BATCH = 2500, 48


def exported(path: Path) -> list[tuple[Tensor, Tensor]]:
    """Weights and biases of the convolutions, in order."""
    data = path.read_bytes()
    graph = onnx.load_from_string(
        unpack(data, path.name).tobytes() if path.suffix == ".npz" else data
    ).graph
    known = {i.name: numpy_helper.to_array(i).astype(np.float32) for i in graph.initializer}
    nodes = [node for node in graph.node if node.op_type == "Conv"]
    return [
        (torch.tensor(known[n.input[1]]), torch.tensor(known[n.input[2]])) for n in nodes
    ]  # fmt: skip


def layers(network: nn.Module) -> list[tuple[nn.Conv2d, nn.BatchNorm2d | None]]:
    """Convolutions in order, each with the normalisation that follows it."""
    found = [m for m in network.modules() if isinstance(m, nn.Conv2d | nn.BatchNorm2d)]
    pairs = itertools.zip_longest(found, found[1:])
    return [
        (one, after if isinstance(after, nn.BatchNorm2d) else None)
        for one, after in pairs
        if isinstance(one, nn.Conv2d)
    ]


def restore(path: Path, batches: list[Tensor], added: int = len(ADDED)) -> ReaderNetwork:
    """Network that answers as the export does, as large as that, ready to be trained."""
    network, values = ReaderNetwork(added).eval(), exported(path)
    if len(values) > len(layers(network)):
        network = ReaderNetwork(added, large=True).eval()
    convolutions = layers(network)
    missing = len(convolutions) - len(values)
    blocks = [layers(network.look[k]) for k in ADDED[added - missing // 2 : added]]
    fresh = [pair for block in blocks for pair in block]
    if missing != len(fresh):
        raise ValueError(f"{path} has {len(values)} convolutions, not {len(convolutions)}")
    kept = [p for p in convolutions if all(p[0] is not q[0] for q in fresh)]
    for (convolution, norm), (weight, bias) in zip(kept, values, strict=True):
        convolution.weight.data.copy_(weight)
        if norm is None:
            convolution.bias.data.copy_(bias)
        else:
            norm.bias.data.copy_(bias)
    for block in blocks:
        nn.init.zeros_(block[-1][1].weight)
    settle(network, [norm for _, norm in kept if norm is not None], batches)
    return network


def enlarge(network: ReaderNetwork) -> ReaderNetwork:
    """Large network that answers as the one given: what it has more changes nothing yet."""
    state = network.state_dict()
    large = ReaderNetwork(added_in(state), large=True)
    large.load_state_dict(state, strict=False)
    for block in large.look[-LARGE_LOOK:]:
        nn.init.zeros_(block.second[1].weight)
    for reach in large.along[len(DILATIONS) :]:
        nn.init.zeros_(reach.mix[-1].weight)
    return large


@torch.no_grad()
def settle(network: nn.Module, norms: list[nn.BatchNorm2d], batches: list[Tensor]) -> None:
    """Measure what the normalisations see and let them give it back unchanged."""
    sums = {
        norm: [0.0, torch.zeros(norm.num_features), torch.zeros(norm.num_features)]
        for norm in norms
    }

    def hear(norm: nn.Module, given: tuple[Tensor, ...]) -> None:
        row = sums[norm]
        row[0] += given[0].numel() / norm.num_features
        row[1] += given[0].sum((0, 2, 3))
        row[2] += (given[0] ** 2).sum((0, 2, 3))

    for norm in norms:
        norm.weight.data.fill_((1 + norm.eps) ** 0.5)
    heard = [norm.register_forward_pre_hook(hear) for norm in norms]
    for batch in batches:
        network(batch)
    for one in heard:
        one.remove()
    for norm, (count, total, squares) in sums.items():
        mean = total / count
        variance = (squares / count - mean**2).clamp_min(1e-6)
        norm.running_mean.copy_(mean)
        norm.running_var.copy_(variance)
        norm.weight.data.copy_((variance + norm.eps).sqrt())
        norm.bias.data.add_(mean)


def draw_batches(fonts: str) -> list[Tensor]:
    """Batches of drawn crops, ink 0..1, each of one width."""
    return to_batches([picture for picture, *_ in draw_fixed((fonts, "train", 77, SAMPLES))])


def to_batches(pictures: list[np.ndarray]) -> list[Tensor]:
    """Batches of prepared crops, ink 0..1, each of one width."""
    groups: dict[int, list[np.ndarray]] = {}
    for picture in pictures:
        width = BUCKETS_PX[bucket_of(picture.shape[1]) or 0]
        room = ((0, 0), (0, width - picture.shape[1]))
        groups.setdefault(width, []).append(np.pad(picture, room, constant_values=255))
    stacks = [np.stack(g[k : k + BATCH]) for g in groups.values() for k in range(0, len(g), BATCH)]
    return [(255 - torch.from_numpy(stack)[:, None].float()) / 255 for stack in stacks]


def main() -> None:
    """Read the command line and write the restored weights."""
    parser = argparse.ArgumentParser()
    parser.add_argument("source", type=Path)
    parser.add_argument("fonts")
    parser.add_argument("target", type=Path)
    parser.add_argument("--added", type=int, default=len(ADDED))
    parser.add_argument("--large", action="store_true")
    given = parser.parse_args()
    restored = restore(given.source, draw_batches(given.fonts), given.added)
    torch.save((enlarge(restored) if given.large else restored).state_dict(), given.target)


if __name__ == "__main__":
    main()
