# Needs Debian with Python 3.11 and make; everything else is set up here.
PYTHON ?= python3
VENV   ?= .venv
BIN    := $(VENV)/bin
SOURCES = src tests benchmarks scripts

.PHONY: demo test app setup setup-test frontend lint types contract unit docs bench clean

demo: setup
	$(BIN)/python scripts/demo.py

test: setup-test frontend lint types contract unit docs

app: setup frontend
	$(BIN)/basswright app

setup: $(VENV)/.ready
$(VENV)/.ready: requirements.lock pyproject.toml scripts/make_venv.sh
	sh scripts/make_venv.sh "$(PYTHON)" "$(VENV)" requirements.lock
	@touch $@

setup-test: $(VENV)/.ready-test
$(VENV)/.ready-test: requirements-dev.lock pyproject.toml scripts/make_venv.sh scripts/install_test_parts.sh
	sh scripts/make_venv.sh "$(PYTHON)" "$(VENV)" requirements-dev.lock
	sh scripts/install_test_parts.sh
	@touch $@ $(VENV)/.ready

frontend: $(VENV)/.ready-frontend
$(VENV)/.ready-frontend: $(wildcard frontend/*.js*) scripts/build_frontend.sh scripts/bundle_frontend.py | $(VENV)/.ready
	sh scripts/build_frontend.sh "$(abspath $(BIN)/python)"
	@touch $@

lint:
	$(BIN)/ruff format --check $(SOURCES)
	$(BIN)/ruff check $(SOURCES)

types:
	$(BIN)/mypy

contract:
	$(BIN)/lint-imports

unit:
	$(BIN)/python -m pytest

docs:
	$(BIN)/mkdocs build --strict --quiet --site-dir build/site

bench:
	$(BIN)/python -m benchmarks

clean:
	rm -rf $(VENV) build dist out site .mypy_cache .ruff_cache .pytest_cache .hypothesis
