"""Mean of trained weights: ``python -m audit.training.reader.mean FONTS OUT.pt A.pt B.pt ...``.

What the normalisations of a mean see is neither run's, so it is measured anew on drawn crops.
"""

from __future__ import annotations

import sys
from pathlib import Path

import torch
from torch import Tensor, nn

from audit.training.reader.network import load_network
from audit.training.reader.restore import draw_batches
from audit.training.reader.train import augment


def mean_of(states: list[dict[str, Tensor]]) -> dict[str, Tensor]:
    """Mean of the weights of networks of one shape."""
    return {
        name: torch.stack([s[name].float() for s in states]).mean(0).to(first.dtype)
        for name, first in states[0].items()
    }


@torch.no_grad()
def measure_norms(network: nn.Module, batches: list[Tensor]) -> None:
    """Let every normalisation measure what it sees, over all batches alike."""
    network.eval()
    for norm in network.modules():
        if isinstance(norm, nn.BatchNorm2d):
            norm.reset_running_stats()
            norm.momentum = None
            norm.train()
    for batch in batches:
        network(augment((255 - 255 * batch[:, 0]).round().to(torch.uint8)))
    network.eval()


def main(fonts: str, target: Path, sources: list[Path]) -> None:
    """Write the mean of `sources`."""
    network = load_network(mean_of([torch.load(s, map_location="cpu") for s in sources]))
    torch.manual_seed(0)
    measure_norms(network, draw_batches(fonts))
    torch.save(network.state_dict(), target)


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), [Path(one) for one in sys.argv[3:]])
