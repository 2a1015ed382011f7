"""The page's geometry and text, without a browser: `node --test`; and rules all modules keep."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from audit.web.app import STATIC

JS = STATIC / "js"
TESTS = Path(__file__).parent.parent / "js"
MODULES = sorted(JS.rglob("*.js"))


@pytest.mark.skipif(shutil.which("node") is None, reason="node is not installed")
def test_the_pages_modules_pass_their_own_tests():
    files = [str(p) for p in sorted(TESTS.glob("*.test.js"))]
    assert files
    done = subprocess.run(
        ["node", "--test", *files], capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == 0, done.stdout[-4000:]
    assert re.search(r"# pass [1-9]", done.stdout), done.stdout[-500:]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(JS)))
def test_only_the_api_module_talks_to_the_server_and_text_is_never_markup(path):
    text = path.read_text("utf-8")
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(", text)
    if path.name != "api.js":
        assert not re.search(r"\bfetch\(|XMLHttpRequest|EventSource\(|WebSocket|sendBeacon", text)
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", text)


@pytest.mark.parametrize("path", sorted((JS / "geometry").glob("*.js")), ids=lambda p: p.name)
def test_geometry_knows_no_page(path):
    assert not re.search(r"\b(document|window|HTMLElement)\.", path.read_text("utf-8"))


def test_no_module_is_a_god_file():
    assert MODULES
    assert not [p.name for p in MODULES if len(p.read_text("utf-8").splitlines()) > 400]
