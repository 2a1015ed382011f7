"""The workers a test started: other programs may run below the test process too."""

from __future__ import annotations

import psutil


def own_workers() -> list[psutil.Process]:
    """Children of this process that run the worker."""
    found = []
    for child in psutil.Process().children():
        try:
            if "audit.isolation.worker" in child.cmdline():
                found.append(child)
        except psutil.Error:
            continue
    return found
