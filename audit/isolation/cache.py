"""Where pixels lie on disk: a folder that may be deleted at any time."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import platformdirs

APP_NAME = "plan-sheet-audit"
CACHE_VARIABLE = "PLAN_AUDIT_CACHE"


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
    """Make a private folder for one open document."""
    return Path(tempfile.mkdtemp(prefix="open-", dir=find_cache_folder()))
