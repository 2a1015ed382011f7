"""What multiplies for our networks: ONNX Runtime, or OpenCV where that is not installed.

Both come to the same answers but for rounding; ONNX Runtime takes half the time, on processors
with wide vectors.
"""

from __future__ import annotations

from importlib import import_module
from queue import Empty, SimpleQueue
from typing import Any, Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from audit.networks.at_once import MOST, cores

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]


class Engine(Protocol):
    """A network that was loaded; several threads may run it at once."""

    def run(self, given: Floats) -> Floats:
        """Run the network.

        Parameters
        ----------
        given : (n, channels, h, w) float32 array

        Returns
        -------
        (n, ...) float32 array
            What each of the n comes to, whatever the others are; not shared with the engine.
        """


def load_engine(graph: Bytes) -> Engine:
    """Load a network.

    Parameters
    ----------
    graph : uint8 array
        ONNX; its first input is all it takes, its first output all it gives.
    """
    try:
        return OnnxEngine(graph)
    except ImportError:  # there are machines that it is not made for
        return OpenCvEngine(graph)


class OnnxEngine:
    """Runs a network by ONNX Runtime.

    Raises
    ------
    ImportError
        If that is not installed.
    """

    def __init__(self, graph: Bytes) -> None:
        runtime: Any = import_module("onnxruntime")
        options = runtime.SessionOptions()
        options.intra_op_num_threads, options.inter_op_num_threads = min(MOST, cores()), 1
        # its threads would wait busily for each other, where ours have other things to do
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        # plans where to put what for each size of input, and keeps them: sizes are many
        options.enable_mem_pattern = False
        self._session = runtime.InferenceSession(
            graph.tobytes(), options, providers=["CPUExecutionProvider"]
        )
        self._name = self._session.get_inputs()[0].name

    def run(self, given: Floats) -> Floats:
        """Run the network, as `Engine.run` says."""
        return np.asarray(self._session.run(None, {self._name: given})[0], np.float32)


class OpenCvEngine:
    """Runs a network by `cv2.dnn`, of which each thread that asks meanwhile loads one more."""

    def __init__(self, graph: Bytes) -> None:
        self._graph = graph
        self._idle: SimpleQueue[cv2.dnn.Net] = SimpleQueue()  # a net keeps buffers: one a thread
        self._idle.put(self._load())

    def run(self, given: Floats) -> Floats:
        """Run the network, as `Engine.run` says."""
        net = self._take()
        try:
            net.setInput(given)
            return np.array(net.forward(), np.float32)
        finally:
            self._idle.put(net)

    def _take(self) -> cv2.dnn.Net:
        try:
            return self._idle.get_nowait()
        except Empty:
            return self._load()

    def _load(self) -> cv2.dnn.Net:
        # the classic engine takes float16 weights and was the faster one (OpenCV 5.0)
        return cv2.dnn.readNetFromONNX(self._graph, cv2.dnn.ENGINE_CLASSIC)
