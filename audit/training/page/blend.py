"""Blend two trained networks: ``python -m audit.training.page.blend A.onnx B.onnx SHARE OUT.onnx``.

Of two networks of which one was trained on from the other, a mean often sees more than either: it
keeps what the first knew of old pictures and what the second learned of new ones.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import onnx
from onnx import numpy_helper

from audit.training.page.halve import widen


def blend(first: onnx.ModelProto, second: onnx.ModelProto, share: float) -> onnx.ModelProto:
    """Mean of two exported networks.

    Parameters
    ----------
    first, second : ModelProto
        Of one shape, halved or not. `first` is changed.
    share : float
        Of the second, 0 to 1.

    Returns
    -------
    ModelProto
        With float32 weights.

    Raises
    ------
    ValueError
        When one is not of the other's shape.
    """
    for model in (first, second):
        widen(model)
    other = {t.name: numpy_helper.to_array(t) for t in second.graph.initializer}
    for tensor in first.graph.initializer:
        values = numpy_helper.to_array(tensor)
        if tensor.name not in other or other[tensor.name].shape != values.shape:
            raise ValueError(f"{tensor.name} is not in both networks alike")
        if values.dtype == np.float32:
            mean = values * np.float32(1 - share) + other[tensor.name] * np.float32(share)
            tensor.CopyFrom(numpy_helper.from_array(mean, tensor.name))
    return first


if __name__ == "__main__":
    one, two = (onnx.load(Path(name)) for name in sys.argv[1:3])
    onnx.save(blend(one, two, float(sys.argv[3])), Path(sys.argv[4]))
