# Every habit of the project is one command. The two that a stranger needs: `make demo` and `make test`.
PYTHON ?= python3
BIN := .venv/bin
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check

.PHONY: demo test check bench docs docs-pictures lock clean

demo: .venv/run
	$(BIN)/nextpass demo --book demo-book

test: .venv/develop browser database
	$(BIN)/python -m pytest

check: .venv/develop
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/vulture
	$(BIN)/python -m docs.generate --check

bench: .venv/develop browser
	$(BIN)/python -m benchmarks

docs: .venv/develop
	$(BIN)/python -m docs.generate

docs-pictures: .venv/develop browser
	$(BIN)/python -m docs.pictures

# The run-time set alone, for people who use the program.
.venv/run: requirements/run.txt pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(PIP) --require-hashes -r requirements/run.txt
	$(PIP) --no-deps --no-build-isolation --editable .
	touch $@

# The run-time set plus what tests, checks and benchmarks need.
.venv/develop: requirements/develop.txt pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(PIP) --require-hashes -r requirements/develop.txt
	$(PIP) --no-deps --no-build-isolation --editable .
	touch $@ .venv/run

# The browser tests drive Debian's Chromium.
.PHONY: browser
browser:
	sh tests/browser/install-chromium.sh

# The book's tests run on a PostgreSQL server of their own as well.
.PHONY: database
database:
	sh tests/book/install-postgresql.sh

# Exact versions with hashes; no package index is named in the files.
lock:
	$(PYTHON) -m pip install --quiet uv
	uv pip compile --quiet --no-header --python-version 3.11 --generate-hashes \
	    pyproject.toml requirements/build.in --output-file requirements/run.txt
	uv pip compile --quiet --no-header --python-version 3.11 --generate-hashes --all-extras \
	    --group test --group check --group build pyproject.toml --output-file requirements/develop.txt

clean:
	rm -rf .venv demo-book build dist
