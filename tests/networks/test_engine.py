"""Our networks come to the same answers by ONNX Runtime and by OpenCV, one by one or together."""

from __future__ import annotations

import sys
from importlib import resources
from threading import Thread

import numpy as np
import pytest

from audit.networks import engine as engines
from audit.networks import page, reader
from audit.networks.engine import OnnxEngine, OpenCvEngine, load_engine
from audit.networks.packed import unpack
from tests.networks.test_page import draw_dimension
from tests.networks.test_reader import draw, draw_stacked

pytest.importorskip("onnxruntime")
READERS = ("reader.npz", "reader-second.npz", "reader-third.npz")
# Of logits, and of the largest of them: OpenCV's shorter way of multiplying loses a few digits.
NEAR, NEAR_SHARE = 1e-3, 5e-6


def graph(name):
    data = resources.files("audit.networks").joinpath("weights", name).read_bytes()
    return unpack(data, name) if name.endswith(".npz") else np.frombuffer(data, np.uint8)


def sheet():
    return page.darken(draw_dimension())[None, None]


def crops(count=3, width=128):
    rng = np.random.default_rng(2)
    strokes = rng.random((count, 1, 48, width), np.float32) > 0.8
    return strokes.astype(np.float32)


@pytest.mark.parametrize("name", ["page.onnx", *READERS])
def test_both_engines_come_to_the_same_numbers(name):
    given = sheet() if name == "page.onnx" else crops()
    first, second = (make(graph(name)).run(given) for make in (OnnxEngine, OpenCvEngine))
    assert first.shape == second.shape
    assert np.abs(first - second).max() < NEAR + NEAR_SHARE * np.abs(first).max()
    assert np.abs(first).max() > 1  # they say something


@pytest.mark.parametrize("name", READERS)
def test_a_crop_is_read_as_if_it_were_alone_to_the_bit(name):
    """What was read of a crop is remembered, whatever it was read together with."""
    engine, given = load_engine(graph(name)), crops(5)
    together = engine.run(given)
    alone = [engine.run(one[None])[0] for one in given]
    assert together.tobytes() == np.stack(alone).tobytes()


@pytest.mark.parametrize("name", ["page.onnx", *READERS])
def test_two_threads_in_one_network_come_to_the_same_numbers_to_the_bit(name, monkeypatch):
    given, said = sheet() if name == "page.onnx" else crops(), []
    for count in (1, 2):
        monkeypatch.setattr(engines, "cores", lambda count=count: count)
        said.append(OnnxEngine(graph(name)).run(given).tobytes())
    assert said[0] == said[1]


@pytest.mark.parametrize("make", [OnnxEngine, OpenCvEngine])
def test_threads_may_run_one_engine_at_once(make):
    engine, said = make(graph("reader.npz")), {}
    given = {k: crops(2, 64 * (k + 1)) for k in range(4)}
    alone = {k: engine.run(some).tobytes() for k, some in given.items()}

    def run(k):
        said[k] = [engine.run(given[k]).tobytes() for _ in range(3)]

    threads = [Thread(target=run, args=(k,)) for k in given]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert said == {k: [one] * 3 for k, one in alone.items()}


def test_without_onnx_runtime_opencv_reads_the_same_texts(monkeypatch):
    some = [draw("12.375"), draw("R 1/2"), draw_stacked("3", "9", "32"), draw("ALL 1/4 THICK")]
    usual = reader.read_crops(some)
    monkeypatch.setitem(sys.modules, "onnxruntime", None)  # as if it were not there
    for name, network in zip(READERS, ("FIRST", "SECOND", "THIRD"), strict=True):
        monkeypatch.setattr(reader, network, reader.Network(name))
    plain = reader.read_anew(some, clear=True)
    assert isinstance(reader.FIRST._engine, OpenCvEngine)
    for one, other in zip(usual, plain, strict=True):
        assert [c.text for c in one] == [c.text for c in other]
        assert [c.confidence for c in one] == pytest.approx([c.confidence for c in other], abs=1e-4)
