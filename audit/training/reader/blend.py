"""Mean of packed networks, each with its share: weights of runs that began from the same ones.

python -m audit.training.reader.blend OUT.npz SHARE:WEIGHTS.npz...

What lies between the weights a run began from and those it came to often reads better than both.
Convolutions are averaged with their normalisations folded in; what comes out is packed anew.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import numpy as np
import onnx
from onnx import TensorProto, numpy_helper

from audit.networks.packed import unpack
from audit.training.reader.pack import pack_model


def blend(target: Path, parts: list[tuple[float, Path]]) -> str:
    """Write the mean of packed networks of one build; return the sha256 of what was written.

    Parameters
    ----------
    target : Path
    parts : list of (float, Path)
        Share and file of each; shares add up to 1.

    Raises
    ------
    ValueError
        When their builds differ, or the shares do not add up to 1.
    """
    if abs(sum(share for share, _ in parts) - 1.0) > 1e-9:
        raise ValueError("shares must add up to 1")
    models = [read_model(path) for _, path in parts]
    layers = [tensors_of(model) for model in models]
    shapes = {tuple(tuple(t.dims) for t in tensors) for tensors in layers}
    if len(shapes) != 1:
        raise ValueError("the networks are built differently")
    for group in zip(*layers, strict=True):
        values = [numpy_helper.to_array(t).astype(np.float32) for t in group]
        mean = sum(share * v for (share, _), v in zip(parts, values, strict=True))
        group[0].CopyFrom(numpy_helper.from_array(np.asarray(mean, np.float32), group[0].name))
    data = pack_model(models[0])
    target.write_bytes(data)
    return hashlib.sha256(data).hexdigest()


def read_model(path: Path) -> onnx.ModelProto:
    """Graph of a packed network, weights float32."""
    return onnx.load_from_string(unpack(path.read_bytes(), path.name).tobytes())


def tensors_of(model: onnx.ModelProto) -> list[TensorProto]:
    """Weights and biases of the convolutions, in order."""
    known = {tensor.name: tensor for tensor in model.graph.initializer}
    nodes = [node for node in model.graph.node if node.op_type == "Conv"]
    return [known[name] for node in nodes for name in node.input[1:]]


if __name__ == "__main__":
    given = [one.partition(":") for one in sys.argv[2:]]
    print(blend(Path(sys.argv[1]), [(float(share), Path(file)) for share, _, file in given]))
