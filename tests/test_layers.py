"""The shape of the package: layers, light imports, public names."""

from __future__ import annotations

import ast
import importlib
import json
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "audit"
PURE = ("errors", "lengths", "geometry", "records", "uncertainty", "scale", "checks")
HEAVY = (
    "cv2",
    "onnxruntime",
    "pymupdf",
    "sqlite3",
    "fastapi",
    "PIL",
    "pytesseract",
    "skimage",
    "torch",
)
SLOW = {"scipy.stats", "scipy.optimize", "lark"}  # loaded where they are used, if they are
LAYERS = sorted(p.name for p in PACKAGE.iterdir() if (p / "__init__.py").is_file())
SOURCES = [p for p in sorted(PACKAGE.rglob("*.py")) if "training" not in p.parts]


def run_python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize("layer", PURE)
def test_importing_a_pure_layer_loads_nothing_heavy(layer):
    code = f"import sys, json, audit.{layer}; print(json.dumps(sorted(sys.modules)))"
    loaded = json.loads(run_python(code))
    assert not {name.partition(".")[0] for name in loaded} & set(HEAVY)
    assert not SLOW.intersection(loaded)


def imports_of(path: Path) -> list[str]:
    names: list[str] = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.append(node.module or "")
    return names


def test_nobody_imports_from_the_package_root():
    assert len(SOURCES) > 30
    for path in SOURCES:
        assert "audit" not in imports_of(path), path


def test_only_the_worker_imports_the_pdf_library():
    for path in SOURCES:
        if path.relative_to(PACKAGE).parts[0] != "isolation":
            roots = {name.partition(".")[0] for name in imports_of(path)}
            assert not roots & {"pymupdf", "fitz"}, path


def test_only_the_worker_decodes_foreign_pictures():
    decoders = ("imread(", "imdecode(", "imdecodemulti(", "Image.open(")
    for path in SOURCES:
        if path.relative_to(PACKAGE).parts[0] != "isolation":
            text = path.read_text("utf-8")
            assert not [d for d in decoders if d in text], path


@pytest.mark.parametrize("layer", LAYERS)
def test_public_names_of_a_layer_exist_once(layer):
    if layer in {"training", "cli"}:
        pytest.skip("commands and training scripts have no public names")
    module = importlib.import_module(f"audit.{layer}")
    names = list(module.__all__)
    assert len(names) == len(set(names))
    for name in names:
        assert getattr(module, name) is not None


def test_help_loads_no_heavy_library():
    code = (
        "import sys\n"
        "from audit.cli.main import run_command\n"
        "code = run_command(['--help'])\n"
        "heavy = {'cv2','pymupdf','scipy','numpy','lark','pydantic','sqlite3'} & set(sys.modules)\n"
        "assert code == 0 and not heavy, (code, heavy)\n"
    )
    assert "check" in run_python(code)
