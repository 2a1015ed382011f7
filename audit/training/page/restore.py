"""Make weights to go on from out of a network that was exported.

``python -m audit.training.page.restore IN.onnx OUT.pt``, with type faces in FONTS.

Exporting folds each normalisation into the convolution before it. What a normalisation was is lost,
but any will do that gives the same answers: one by the mean and spread that its channels have on
drawn crops, so that training finds about the statistics it goes on with.
"""

from __future__ import annotations

import os
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import onnx
import torch
from onnx import numpy_helper
from torch import nn

from audit.training.page.halve import widen
from audit.training.page.network import PageNet
from audit.training.page.scenes import draw_scene
from audit.training.page.styles import Fonts
from audit.training.page.wearing import Wear

CROPS = 96  # that tell mean and spread of each channel
SEED = 20261127


def restore(source: Path, crops: torch.Tensor) -> PageNet:
    """Return the network of an exported file, ready to train on.

    Parameters
    ----------
    source : Path
        An ONNX file that `audit.training.page.train` or `halve` wrote.
    crops : (n, 1, h, w) tensor
        Worn darkness, as training shows it.

    Returns
    -------
    PageNet
    """
    model = onnx.load(source)
    widen(model)
    tensors = {
        t.name: torch.from_numpy(numpy_helper.to_array(t).copy()) for t in model.graph.initializer
    }
    folded = [
        (tensors[node.input[1]], tensors[node.input[2]])
        for node in model.graph.node
        if node.op_type == "Conv" and node.input[1].startswith("onnx::")
    ]
    net = PageNet()
    known = {name: value for name, value in tensors.items() if not name.startswith("onnx::")}
    net.load_state_dict(known, strict=False)
    pairs = _normalised(net)
    if len(pairs) != len(folded):
        raise ValueError(f"{source} is another network: {len(folded)} layers, not {len(pairs)}")
    for (convolve, norm), (weight, bias) in zip(pairs, folded, strict=True):
        convolve.weight.data.copy_(weight)
        _make_plain(norm, bias)
    _normalise_as_seen(net, pairs, crops)
    return net


def _normalised(net: PageNet) -> list[tuple[nn.Conv2d, nn.BatchNorm2d]]:
    """Convolutions with the normalisation behind each, in the order in which they run."""
    layers = [m for m in net.modules() if isinstance(m, nn.Conv2d | nn.BatchNorm2d)]
    return [
        (one, other)
        for one, other in pairwise(layers)
        if isinstance(one, nn.Conv2d) and isinstance(other, nn.BatchNorm2d)
    ]


def _make_plain(norm: nn.BatchNorm2d, bias: torch.Tensor) -> None:
    """Let a normalisation add a bias and do nothing else."""
    norm.running_mean.zero_()
    norm.running_var.fill_(1.0 - norm.eps)
    norm.weight.data.fill_(1.0)
    norm.bias.data.copy_(bias)


@torch.no_grad()
def _normalise_as_seen(net: PageNet, pairs, crops: torch.Tensor) -> None:
    """Give each normalisation the mean and spread of its channels; the answers stay the same."""
    seen = {}
    hooks = [
        norm.register_forward_hook(lambda m, inputs, _: seen.update({m: inputs[0]}))
        for _, norm in pairs
    ]
    net.eval()
    net(crops)
    for hook in hooks:
        hook.remove()
    for _, norm in pairs:
        mean, spread = seen[norm].mean((0, 2, 3)), seen[norm].var((0, 2, 3))
        norm.bias.data += mean
        norm.weight.data = torch.sqrt(spread + norm.eps)
        norm.running_mean.copy_(mean)
        norm.running_var.copy_(spread)


def worn_crops(fonts: Fonts, count: int = CROPS) -> torch.Tensor:
    """Draw and wear some crops, (count, 1, h, w)."""
    rng = np.random.default_rng(SEED)
    drawn = np.stack([draw_scene(rng, fonts)[0] for _ in range(count)])
    clean = 1 - torch.from_numpy(drawn)[:, None].float() / 255
    return Wear(torch.Generator().manual_seed(SEED))(clean)


if __name__ == "__main__":
    crops = worn_crops(Fonts(Path(os.environ["FONTS"])))
    torch.save(restore(Path(sys.argv[1]), crops).state_dict(), sys.argv[2])
