"""Weights as the repository keeps them: one byte each, with a scale for every output channel.

A packed file is a NumPy archive: the network's ONNX without its large weights, where each of these
begins in it, and the weights themselves in steps of their channel's scale. Small weights stay in
the ONNX as they are. Nothing is squeezed: random bytes gain little by it, and it takes time.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from audit.errors import AuditError

Floats = NDArray[np.float32]

MOST_STEPS = 127  # either way from nought: what a signed byte holds


def pack(graph: bytes, weights: Mapping[int, Floats]) -> bytes:
    """Pack a network.

    Parameters
    ----------
    graph : bytes
        ONNX with float32 weights.
    weights : mapping of int to (channels, n) float32 array
        Those to keep as bytes, by where each begins in `graph`.

    Returns
    -------
    bytes
        What `unpack` takes.
    """
    rest, parts, end = [], dict[str, NDArray[np.generic]](), 0
    for k, (place, values) in enumerate(sorted(weights.items())):
        scales = np.abs(values).max(axis=1) / np.float32(MOST_STEPS)
        steps = np.rint(values / np.where(scales > 0, scales, 1)[:, None])
        parts[f"steps{k}"], parts[f"scales{k}"] = steps.astype(np.int8), scales
        rest.append(graph[end:place])
        end = place + values.nbytes
    parts["rest"] = np.frombuffer(b"".join([*rest, graph[end:]]), np.uint8)
    parts["places"] = np.array(sorted(weights), np.int64)
    packed = io.BytesIO()
    np.savez(packed, allow_pickle=False, **parts)
    return packed.getvalue()


def unpack(data: bytes, name: str) -> NDArray[np.uint8]:
    """Unpack a network.

    Parameters
    ----------
    data : bytes
        A packed file.
    name : str
        What it is called in an error.

    Returns
    -------
    uint8 array
        ONNX with float32 weights.

    Raises
    ------
    AuditError
        If the file is damaged.
    """
    try:
        with np.load(io.BytesIO(data), allow_pickle=False) as parts:
            rest, pieces, taken, end = parts["rest"], [], 0, 0
            for k, place in enumerate(parts["places"].tolist()):
                values = parts[f"steps{k}"] * parts[f"scales{k}"][:, None]
                pieces += [rest[taken : taken + place - end], values.view(np.uint8).ravel()]
                taken, end = taken + place - end, place + values.nbytes
            return np.concatenate([*pieces, rest[taken:]])
    except (OSError, EOFError, ValueError, KeyError, zipfile.BadZipFile) as error:
        raise AuditError(f"{name} is damaged", advice="install plan-audit again") from error
