"""Weights packed as bytes, against the float ones they were made of."""

from __future__ import annotations

from importlib import resources

import numpy as np
import pytest

from audit.errors import AuditError
from audit.networks.packed import MOST_STEPS, pack, unpack


@pytest.fixture
def layers():
    """Two layers of channels that differ a thousandfold in size, one of them all nought."""
    rng = np.random.default_rng(4)
    wide = rng.normal(0, 1, (7, 36)) * np.geomspace(1e-3, 1, 7)[:, None]
    narrow = rng.normal(0, 5, (3, 4))
    narrow[1] = 0
    return [wide.astype(np.float32), narrow.astype(np.float32)]


@pytest.fixture
def graph(layers):
    return b"head" + layers[0].tobytes() + b"between" + layers[1].tobytes() + b"tail"


def places(graph, layers):
    return {graph.index(layer.tobytes()): layer for layer in layers}


def test_weights_come_back_within_half_a_step_and_all_else_as_it_was(graph, layers):
    found = places(graph, layers)
    packed = pack(graph, dict(reversed(found.items())))  # in any order
    back = unpack(packed, "net").tobytes()
    rest = graph
    for place, layer in found.items():
        again = np.frombuffer(back, np.float32, layer.size, place).reshape(layer.shape)
        half_a_step = np.abs(layer).max(axis=1, keepdims=True) / MOST_STEPS / 2
        assert (np.abs(again - layer) <= half_a_step * (1 + 1e-5)).all()
        assert np.abs(again - layer).max() > 0
        rest = rest.replace(layer.tobytes(), again.tobytes())
    assert back == rest


@pytest.mark.parametrize(
    "harm", ["empty", "cut", "end cut", "no archive", "one bit", "a part gone"]
)
def test_a_damaged_file_is_refused_in_one_line(graph, layers, harm):
    good = pack(graph, places(graph, layers))
    half = good.index(b"steps0.npy") + 200
    bad = {
        "empty": b"",
        "cut": good[: len(good) // 2],
        "end cut": good[:-30],
        "no archive": b"x" * 400,
        "one bit": good[:half] + bytes([good[half] ^ 4]) + good[half + 1 :],
        "a part gone": good.replace(b"scales1.npy", b"nothing.npy"),
    }[harm]
    with pytest.raises(AuditError, match=r"^reader\.npz is damaged: install plan-audit again$"):
        unpack(bad, "reader.npz")


@pytest.mark.parametrize("name", ["reader.npz", "reader-second.npz", "reader-third.npz"])
def test_a_bit_turned_in_our_own_weights_is_noticed(name):
    data = resources.files("audit.networks").joinpath("weights", name).read_bytes()
    for place in range(1000, len(data) - 8000, len(data) // 9):
        bad = data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :]
        with pytest.raises(AuditError):
            unpack(bad, name)
