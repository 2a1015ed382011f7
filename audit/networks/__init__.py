"""Running our own small networks through `cv2.dnn`; the weights lie beside the code."""

from __future__ import annotations

from audit.networks.page import PageMaps, Terminator, run_page

__all__ = ["PageMaps", "Terminator", "run_page"]
