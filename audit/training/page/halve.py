"""Halve the trained network for the repository: ``python -m audit.training.page.halve IN OUT``.

Weights become float16; the graph stays as it is. `cv2.dnn` widens them while loading, and its
answers move by 0.02 in the logit at most.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import numpy as np
import onnx
from onnx import numpy_helper


def halve(source: Path, target: Path) -> str:
    """Write `source` with float16 weights; return the sha256 of what was written."""
    model = onnx.load(source)
    for tensor in model.graph.initializer:
        values = numpy_helper.to_array(tensor)
        if values.dtype == np.float32:
            tensor.CopyFrom(numpy_helper.from_array(values.astype(np.float16), tensor.name))
    data = model.SerializeToString()
    target.write_bytes(data)
    return hashlib.sha256(data).hexdigest()


if __name__ == "__main__":
    print(halve(Path(sys.argv[1]), Path(sys.argv[2])))
