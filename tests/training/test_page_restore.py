"""Weights to go on from, made of the network that is in use."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch")
pytest.importorskip("onnx")

from audit.networks.engine import load_engine  # noqa: E402  # after what may be missing
from audit.training.page.restore import restore  # noqa: E402


def test_a_restored_network_answers_as_the_exported_one_and_trains_on_from_there():
    file = resources.files("audit.networks").joinpath("weights/page.onnx")
    crops = torch.rand((4, 1, 64, 64), generator=torch.Generator().manual_seed(1))
    with resources.as_file(file) as path:
        net = restore(Path(path), crops)
    engine = load_engine(np.frombuffer(file.read_bytes(), np.uint8))
    with torch.no_grad():
        once, training = net.eval()(crops).numpy(), net.train()(crops).numpy()
    wanted = np.concatenate([engine.run(crop[None].numpy()) for crop in crops])
    assert np.abs(once - wanted).max() < 1e-3
    assert np.abs(training - wanted).max() < 0.05 * np.abs(wanted).max()
