# Two commands do everything: `make demo` and `make test`. Both make .venv themselves.
PYTHON ?= $(shell for p in python3 python3.14 python3.13 python3.12; do \
  if $$p -c 'import sys; sys.exit(sys.version_info < (3, 12))' >/dev/null 2>&1; then echo $$p; break; fi; done)
BIN := .venv/bin
WORKERS ?= 2

.PHONY: demo test lint types setup clean

demo: setup ## plan the demo station and tell the answer
	$(BIN)/scope-bundler plan asset_data --out plan

test: setup lint types ## lint, types and every test
	$(BIN)/python -m pytest -q -n $(WORKERS) --dist loadfile --no-loadscope-reorder

lint: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: setup
	$(BIN)/mypy

setup: .venv/ready

.venv/ready: pyproject.toml constraints.txt
	@test -n "$(PYTHON)" || { echo "Python 3.12 or newer is needed; none was found. Set PYTHON=..."; exit 1; }
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[test,notebooks]'
	@touch .venv/ready

clean:
	rm -rf .venv plan
