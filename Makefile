# Everything is set up inside .venv; nothing but Python 3.11+, make and a package index is needed.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready
BROWSER := $(VENV)/browser
SCRIPTS := $(VENV)/scripts
OUT ?= demo-packets

.PHONY: run test check types style scripts examples format bench soak mutants words pins clean
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

# The tests drive a real Chromium: Debian's package without windows, installed here where that can be done.
$(BROWSER): $(READY)
	@command -v chromium-headless-shell >/dev/null || \
	  { [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && \
	    apt-get update -qq && apt-get install -y -qq chromium-headless-shell >/dev/null; } || \
	  command -v chromium >/dev/null || command -v google-chrome >/dev/null || \
	  { echo "The tests need Chromium; on Debian or Ubuntu: sudo apt-get install chromium-headless-shell"; exit 1; }
	@touch $(BROWSER)

test: $(READY) $(BROWSER)
	$(BIN)/pytest

# What checks the web app's scripts and styles: two packages for Node.js, in the versions of package-lock.json.
$(SCRIPTS): $(READY) package.json package-lock.json
	@command -v npm >/dev/null || \
	  { [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null && \
	    apt-get update -qq && apt-get install -y -qq nodejs npm >/dev/null; } || \
	  { echo "make check needs Node.js and npm; on Debian or Ubuntu: sudo apt-get install nodejs npm"; exit 1; }
	@npm ci --silent
	@touch $(SCRIPTS)

# Two at a time: the types take as long as all else.
check: $(READY) $(SCRIPTS)
	@$(MAKE) --no-print-directory -j 2 types style scripts examples

types: $(READY)
	$(BIN)/mypy

style: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	find src -name '*.html' | xargs $(BIN)/djade --check --target-version 5.2

scripts: $(SCRIPTS)
	node_modules/.bin/tsc -p . && node_modules/.bin/tsc -p tsconfig.strict.json
	node_modules/.bin/biome ci --error-on-warnings

examples: $(READY)
	$(BIN)/pytest -n 0 --doctest-modules src README.md docs --doctest-glob='*.md'

# What make check asks for, as far as a program can write it.
format: $(READY) $(SCRIPTS)
	$(BIN)/ruff check --fix --quiet .
	$(BIN)/ruff format --quiet .
	node_modules/.bin/biome format --write
	find src -name '*.html' | xargs $(BIN)/djade --target-version 5.2 || true

bench: $(READY)
	$(BIN)/python -m benchmarks

# Kills, odd inputs, a crowd, homes of older versions, bodies that trickle: each for at most so many minutes.
SOAK ?= 60
soak: $(READY)
	@$(BIN)/uv pip install --quiet --python $(BIN)/python -c constraints.txt -e '.[soak]' || \
	  echo "Without atheris odd inputs are changed at random only."
	$(BIN)/python -m benchmarks.soak --minutes $(SOAK)

# Small changes in the engine, one at a time: do the tests notice? See docs/mutants.md. make mutants MUTANTS='--seed 2'
mutants: $(READY)
	$(BIN)/python -m tests.mutants $(MUTANTS)

# What a translator begins with, or brings up to date: make words LANGUAGE=de
words: $(READY)
	$(BIN)/python -m loomready.app.i18n.catalog $(LANGUAGE)

# Newer versions of what the project stands on, written down without addresses.
pins: $(READY)
	$(BIN)/uv pip compile pyproject.toml --extra dev --extra soak --universal --upgrade --quiet \
	  --no-header --no-annotate --no-emit-index-url -o constraints.txt

clean:
	rm -rf $(VENV) $(OUT) demo-home .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache .mutants node_modules
