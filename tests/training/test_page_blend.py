"""A mean of two page networks, made of their files."""

from __future__ import annotations

from importlib import resources

import numpy as np
import pytest

pytest.importorskip("torch")
onnx = pytest.importorskip("onnx")

from onnx import numpy_helper  # noqa: E402  # after what may be missing

from audit.training.page.blend import blend  # noqa: E402


def network() -> onnx.ModelProto:
    file = resources.files("audit.networks").joinpath("weights/page.onnx")
    return onnx.load_from_string(file.read_bytes())


def weights(model: onnx.ModelProto) -> dict[str, np.ndarray]:
    return {t.name: numpy_helper.to_array(t) for t in model.graph.initializer}


def scaled(by: float) -> onnx.ModelProto:
    model = network()
    for tensor in model.graph.initializer:
        values = numpy_helper.to_array(tensor)
        if values.dtype == np.float16:
            tensor.CopyFrom(numpy_helper.from_array(values * np.float16(by), tensor.name))
    return model


def test_a_blend_takes_its_share_of_each_network_and_leaves_what_is_no_weight():
    alone, mixed = weights(blend(network(), network(), 0.5)), blend(network(), scaled(3.0), 0.25)
    for name, values in weights(mixed).items():
        by = 1.5 if values.dtype == np.float32 else 1.0
        assert values.shape == alone[name].shape
        assert np.allclose(values, by * alone[name], rtol=2e-3, atol=1e-6)
    onnx.checker.check_model(mixed)


def test_a_network_of_another_shape_is_not_blended():
    other = network()
    del other.graph.initializer[3:]
    with pytest.raises(ValueError, match="not in both"):
        blend(network(), other, 0.5)
