"""How a worker process is started, and what it sees of its surroundings."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

WORKER = "audit.isolation.worker"
_KEPT_VARIABLES = ("PATH", "HOME", "LANG", "LC_ALL", "TMPDIR", "TEMP", "TMP", "SYSTEMROOT")


def launch_worker(folder: Path, module: str, *needs: str) -> subprocess.Popen[bytes]:
    """Start a worker.

    Parameters
    ----------
    folder : Path
        Where it runs and may leave files.
    module : str
        What it runs.
    *needs : str
        Modules it loads before it is asked for anything.

    Returns
    -------
    Popen
        With pipes for requests and answers.
    """
    return subprocess.Popen(
        [sys.executable, "-P", "-m", module, *needs],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=folder,
        env=_worker_environment(),
        start_new_session=True,  # Ctrl-C is the parent's to handle
    )


def _worker_environment() -> dict[str, str]:
    """Only what the worker needs: no tokens or keys of the user's session."""
    kept = {k: v for k, v in os.environ.items() if k.upper() in _KEPT_VARIABLES}
    root = str(Path(__file__).resolve().parents[2])
    return kept | {
        "PYTHONPATH": root,
        "PYTHONDONTWRITEBYTECODE": os.environ.get("PYTHONDONTWRITEBYTECODE", ""),
        "OPENBLAS_NUM_THREADS": "1",  # threads cost address space and start-up time
        "OMP_NUM_THREADS": "1",
    }
