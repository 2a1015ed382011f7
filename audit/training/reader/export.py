"""Write trained weights as ONNX, then `audit.training.page.halve` halves their size.

python -m audit.training.reader.export READER.PT READER.ONNX
"""

from __future__ import annotations

import sys
from pathlib import Path

import torch

from audit.networks.crops import HEIGHT_PX
from audit.training.reader.network import load_network

EXAMPLE_WIDTH_PX = 256


def export(weights: Path, target: Path) -> None:
    """Export the network with free batch size and width."""
    network = load_network(torch.load(weights, map_location="cpu")).eval()
    torch.onnx.export(
        network,
        torch.zeros(1, 1, HEIGHT_PX, EXAMPLE_WIDTH_PX),
        str(target),
        input_names=["ink"],
        output_names=["logits"],
        dynamic_axes={"ink": {0: "n", 3: "w"}, "logits": {0: "n", 3: "columns"}},
        opset_version=13,
        dynamo=False,
    )


if __name__ == "__main__":
    export(Path(sys.argv[1]), Path(sys.argv[2]))
