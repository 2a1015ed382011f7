"""Pack exported networks for the repository: ``python -m audit.training.reader.pack ONNX OUT.npz``.

The large weights become bytes (`audit.networks.packed`), all others float32.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import numpy as np
import onnx
from onnx import numpy_helper

from audit.networks.packed import pack
from audit.training.page.halve import widen

LARGE = 4096  # weights; together the smaller ones are a hundredth


def pack_file(source: Path, target: Path) -> str:
    """Write `source` packed; return the sha256 of what was written."""
    model = onnx.load(source)
    widen(model)
    data = pack_model(model)
    target.write_bytes(data)
    return hashlib.sha256(data).hexdigest()


def pack_model(model: onnx.ModelProto) -> bytes:
    """Pack a network whose weights are not halved."""
    large = []
    for tensor in model.graph.initializer:
        values = numpy_helper.to_array(tensor)
        if values.dtype.kind == "f":
            values = values.astype(np.float32)
            tensor.CopyFrom(numpy_helper.from_array(values, tensor.name))
            if values.ndim > 1 and values.size >= LARGE:
                large.append(values.reshape(len(values), -1))
    graph = model.SerializeToString()
    return pack(graph, {find_once(graph, values.tobytes()): values for values in large})


def find_once(graph: bytes, part: bytes) -> int:
    """Where `part` begins in `graph`, of which there must be one."""
    place = graph.find(part)
    if place < 0 or graph.find(part, place + 1) >= 0:
        raise ValueError("the weights are not in the graph once")
    return place


if __name__ == "__main__":
    print(pack_file(Path(sys.argv[1]), Path(sys.argv[2])))
