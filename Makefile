# The front door. Every target makes the environment it needs.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
JOBS ?= 2
# Compiled modules are kept, whatever the shell says: the tests start a thousand processes, and
# each would compile ours anew.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: setup demo test lint format hard bench clean docs screenshots bench-reader bench-find

setup: $(VENV)/.ready

$(VENV)/.ready: pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed; run: make PYTHON=python3.11 $(MAKECMDGOALS)"; exit 2; }
	@test -d $(VENV) || $(PYTHON) -m venv $(VENV) || { echo "python venv is missing; run: sudo apt-get install python3-venv"; exit 2; }
	@$(BIN)/pip install -q --disable-pip-version-check -e '.[test,lint]'
	@sh .ci/system-packages
	@touch $@

demo: setup
	@$(BIN)/plan-audit demo --out out/demo

test: setup
	@$(BIN)/pytest -q -n $(JOBS) --dist loadgroup -m "not hard"

hard: setup
	@$(BIN)/pytest -q -n $(JOBS) --dist loadgroup

lint: setup
	@$(BIN)/ruff format --check .
	@$(BIN)/ruff check .
	@$(BIN)/mypy
	@$(BIN)/lint-imports
	@sh .ci/docstrings $(BIN)/pydoclint
	@$(BIN)/python docs/generate.py --check

docs: setup
	@$(BIN)/python docs/generate.py

# The pictures of the README, made by the tool itself (needs pdftoppm).
screenshots: demo
	@mkdir -p docs/pictures out/pages
	@pdftoppm -r 72 -png -cropbox out/demo/marble-lift-1-marked.pdf out/pages/page
	@$(BIN)/plan-audit shop out/demo/marble-lift-1.audit -o out/pages/shop.pdf
	@$(BIN)/plan-audit pattern out/demo/marble-lift-1.audit --view 1 -o out/pages/pattern.pdf
	@pdftoppm -r 72 -png -f 1 -singlefile out/pages/shop.pdf out/pages/shop-sheet
	@pdftoppm -r 72 -png -f 2 -singlefile out/pages/pattern.pdf out/pages/pattern
	@$(BIN)/python docs/pictures.py out/pages docs/pictures

format: setup
	@$(BIN)/ruff format .
	@$(BIN)/ruff check --fix .

bench: setup
	@$(BIN)/pip install -q --disable-pip-version-check -e '.[bench]'
	@$(BIN)/python -m tests.bench --record
	@cat docs/benchmarks.md

bench-reader bench-find: setup
	@$(BIN)/python -m tests.bench $(if $(filter bench-reader,$@),reader,find_vector find_raster planted growth)

clean:
	rm -rf $(VENV) out build dist
