# Everything is set up inside .venv; nothing but Python 3.11+, make and a package index is needed.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready
BROWSER := $(VENV)/browser
OUT ?= demo-packets

.PHONY: run test check bench soak words pins clean
.DELETE_ON_ERROR:

$(READY): pyproject.toml constraints.txt
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "loomready needs Python 3.11 or newer: make PYTHON=python3.11"; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || \
	  { echo "Python's venv is missing; on Debian or Ubuntu: apt-get install python3-venv"; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	@touch $(READY)

run: $(READY)
	@$(BIN)/python demo/run.py $(OUT)

# The tests drive a real Chromium: Debian's package, installed here where that can be done.
$(BROWSER): $(READY)
	@command -v chromium >/dev/null || \
	  { [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && \
	    apt-get update -qq && apt-get install -y -qq chromium >/dev/null; } || \
	  { echo "The tests need Chromium; on Debian or Ubuntu: sudo apt-get install chromium"; exit 1; }
	@touch $(BROWSER)

test: $(READY) $(BROWSER)
	$(BIN)/pytest

check: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/pytest -n 0 --doctest-modules src README.md docs --doctest-glob='*.md'

bench: $(READY)
	$(BIN)/python -m benchmarks

# Kills, odd inputs, a crowd, homes of older versions, bodies that trickle: each for at most so many minutes.
SOAK ?= 60
soak: $(READY)
	@$(BIN)/uv pip install --quiet --python $(BIN)/python -c constraints.txt -e '.[soak]' || \
	  echo "Without atheris odd inputs are changed at random only."
	$(BIN)/python -m benchmarks.soak --minutes $(SOAK)

# What a translator begins with, or brings up to date: make words LANGUAGE=de
words: $(READY)
	$(BIN)/python -m loomready.app.i18n.catalog $(LANGUAGE)

# Newer versions of what the project stands on, written down without addresses.
pins: $(READY)
	$(BIN)/uv pip compile pyproject.toml --extra dev --extra soak --universal --upgrade --quiet \
	  --no-header --no-annotate --no-emit-index-url -o constraints.txt

clean:
	rm -rf $(VENV) $(OUT) demo-home .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
