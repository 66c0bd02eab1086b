# stringline: set-up, demo, tests. Every target works first and alone in a clean clone.
# Needed: make, a POSIX shell and Python 3.11, 3.12 or 3.13 (another one: make demo PYTHON=/path/to/python).

.DELETE_ON_ERROR:
.DEFAULT_GOAL := help

VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
WEB := generator/viewer/web
WEB_READY := $(WEB)/node_modules/.package-lock.json
DEMO := lake-deck

# The stock Python build of a package is taken as it is: nothing is looked up while tests run.
export PIP_DISABLE_PIP_VERSION_CHECK := 1
export PYRIGHT_PYTHON_IGNORE_WARNINGS := 1

.PHONY: help
help:
	@echo "make demo      build examples/$(DEMO).yaml into outputs/$(DEMO)"
	@echo "make test      style, types, import floors, tests (under 6 minutes on 2 cores)"
	@echo "make test-all  the same and the slow tests"
	@echo "make coverage  the tests again, with the branches that they do not reach"
	@echo "make bench     times against their floors, printed as ratios"
	@echo "make format    put the code into the house style"
	@echo "make page      bundle the script of the 3D page again (needs Node.js and npm)"
	@echo "make wheel     build the package into dist/"
	@echo "make lock      work out requirements.lock again from pyproject.toml"

.PHONY: setup
setup: $(READY)

$(READY): requirements.lock pyproject.toml .ci/setup
	@sh .ci/setup "$(VENV)" "$(PYTHON)"
	@touch $@

.PHONY: demo
demo: $(READY)
	$(BIN)/python -m generator build examples/$(DEMO).yaml -o outputs/$(DEMO)

.PHONY: lint types floors unit slow test test-all
lint: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(READY)
	$(BIN)/pyright

floors: $(READY)
	$(BIN)/lint-imports --no-logo

unit: $(READY)
	$(BIN)/python -m pytest -n auto -m "not slow"

slow: $(READY) $(WEB_READY)
	$(BIN)/python -m pytest -n auto -m slow

# Types take one core: they are worked out while the tests run, and told behind them.
test: lint floors
	@told=$$(mktemp); $(BIN)/pyright >"$$told" 2>&1 & types=$$!; \
	trap 'kill $$types 2>/dev/null; rm -f "$$told"' EXIT; trap 'exit 130' INT TERM; \
	$(MAKE) --no-print-directory unit; tests=$$?; \
	wait $$types; typed=$$?; \
	echo "$(BIN)/pyright"; cat "$$told"; \
	exit $$((tests ? tests : typed))

test-all: test slow

# Tools for the page alone: the bundler, and the checker of its accessibility.
$(WEB_READY): $(WEB)/package-lock.json
	cd $(WEB) && npm ci --no-audit --no-fund
	@touch $@

.PHONY: page
page: $(WEB_READY)
	cd $(WEB) && npm run --silent build

.PHONY: coverage
coverage: $(READY)
	$(BIN)/python -m pytest -m "not slow" --cov --cov-report term:skip-covered

.PHONY: bench
bench: $(READY)
	@set -e; for script in tests/bench/bench_*.py; do $(BIN)/python "$$script"; done

.PHONY: format
format: $(READY)
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

.PHONY: wheel
wheel: $(READY)
	$(BIN)/python -m build --wheel --no-isolation

# New versions of everything: delete requirements.lock first. One package: make lock UPGRADE=numpy
.PHONY: lock
lock: $(READY)
	$(BIN)/uv pip compile pyproject.toml --extra dev --universal --python-version 3.11 \
		--generate-hashes --no-annotate --quiet --custom-compile-command "make lock" \
		$(foreach name,$(UPGRADE),--upgrade-package $(name)) -o requirements.lock
