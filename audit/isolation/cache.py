"""Where pixels lie on disk: a folder that may be deleted at any time."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
import time
from pathlib import Path

import platformdirs
import psutil

APP_NAME = "plan-sheet-audit"
CACHE_VARIABLE = "PLAN_AUDIT_CACHE"
WORK_PREFIX = "open-"
STALE_SECONDS = 3 * 24 * 3600.0  # a page left open over a week-end touches its folder at times


def find_cache_folder() -> Path:
    """Folder for cached pixels, made if missing; `PLAN_AUDIT_CACHE` overrides the usual place.

    A system's temporary folder may lie in memory, so it is only the last resort.
    """
    wanted = os.environ.get(CACHE_VARIABLE) or platformdirs.user_cache_dir(APP_NAME)
    folder = Path(wanted)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if os.access(folder, os.W_OK):
            return folder
    except OSError:
        pass
    return Path(tempfile.gettempdir())


def make_work_folder() -> Path:
    """Make a private folder for one open document; clear away those of runs that were killed.

    Its name tells whose it is: a clock that jumps makes no folder stale that is still in use.
    """
    folder = find_cache_folder()
    for left in folder.glob(f"{WORK_PREFIX}*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > STALE_SECONDS and not _is_in_use(left):
                shutil.rmtree(left, ignore_errors=True)
    return Path(tempfile.mkdtemp(prefix=f"{WORK_PREFIX}{os.getpid()}-", dir=folder))


def _is_in_use(folder: Path) -> bool:
    """Whether the program that made it may still run; a number used again only keeps it longer."""
    number = folder.name.removeprefix(WORK_PREFIX).partition("-")[0]
    return number.isdecimal() and psutil.pid_exists(int(number))
