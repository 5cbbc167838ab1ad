.DEFAULT_GOAL := help
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed
PAGE := server/page
PAGE_BUILT := server/tarewell/page/page.js
PAGE_TOOLS := $(PAGE)/node_modules/.package-lock.json
NODE_PATH_FIRST := PATH="$(abspath $(BIN)):$$PATH"
AVR_PACKAGES := gcc-avr avr-libc binutils-avr libsimavr-dev libelf-dev arduino-core-avr gcc libc6-dev clang libclang-rt-dev

help: ## List what can be made
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 16

$(STAMP): pyproject.toml constraints.txt
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
		|| { echo "Tarewell needs Python 3.11 or later; set PYTHON=/path/to/python3.11" >&2; exit 1; }
	@$(PYTHON) -m venv $(VENV) \
		|| { echo "Python has no venv module; on Debian: apt-get install python3-venv" >&2; exit 1; }
	@echo "Installing into $(VENV) ..."
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	@touch $@

$(PAGE_TOOLS): $(PAGE)/package-lock.json | $(STAMP)
	@command -v node >/dev/null || test -x $(BIN)/node \
		|| { echo "The page needs Node 24 to be built; PyPI has none for this computer, so install it" >&2; exit 1; }
	@echo "Installing what the page is built with ..."
	@cd $(PAGE) && $(NODE_PATH_FIRST) npm ci --ignore-scripts --no-audit --no-fund --loglevel=error --fetch-retries=1
	@touch $@

$(PAGE_BUILT): $(PAGE_TOOLS) $(PAGE)/build.mjs server/tarewell/__init__.py $(shell find $(PAGE)/src -type f)
	@cd $(PAGE) && $(NODE_PATH_FIRST) node build.mjs

page: $(PAGE_BUILT) ## Build the page that the daemon serves

page-if-possible:
	@$(MAKE) --no-print-directory $(PAGE_BUILT) \
		|| echo "The page could not be built; the rest works without it. Try again with: make page" >&2

demo: $(STAMP) page-if-possible ## Pour a round of two on the simulated machine and show the record
	@$(BIN)/tarewell demo

serve: $(STAMP) page-if-possible ## Leave the simulated machine and the daemon running for curl
	@$(BIN)/tarewell demo --stay --port 8788 --hands-port 8789 --keep build/bar

test: lint page ## Check types, style and import contracts, and run all tests
	@command -v avr-gcc >/dev/null && command -v clang >/dev/null && test -d /usr/include/simavr \
		|| echo "left out: the firmware and the emulated board; on Debian 'make avr-packages' (as root) installs what they need"
	@$(MAKE) --no-print-directory --jobs=2 $(if $(filter output-sync,$(.FEATURES)),--output-sync=line) test-code test-stacks

# Two at once: what computes, and what mostly waits, since its machines run in real time.
PYTEST = PYTHONDONTWRITEBYTECODE= $(BIN)/pytest

test-code: $(STAMP) $(PAGE_TOOLS)
	$(PYTEST) -n 2 --dist worksteal --ignore tests/system --ignore tests/page
	cd $(PAGE) && $(NODE_PATH_FIRST) node --test --test-reporter=dot "test/*.test.ts"

test-stacks: $(PAGE_BUILT)
	$(PYTEST) -n 4 --dist loadfile tests/system
	$(PYTEST) -n 3 --dist loadfile tests/page

avr-packages: ## Install the compilers and the emulator that the firmware's tests need (Debian, as root)
	apt-get update -qq
	DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends $(AVR_PACKAGES)

browser: ## Install the browser that the page's tests need (Debian, as root)
	apt-get update -qq
	DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends chromium fonts-noto-core

firmware: ## Compile the firmware of the board; prints its size
	@$(MAKE) --no-print-directory -C protocol/firmware

wire: $(STAMP) ## Write the firmware's tables of messages from the declarations in Python
	@$(BIN)/python protocol/firmware/wire_table.py

lint: $(STAMP) $(PAGE_TOOLS) ## Check types, style and import contracts
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/mypy tests/support tests/benchmarks
	$(BIN)/lint-imports
	cd $(PAGE) && $(NODE_PATH_FIRST) node_modules/.bin/tsc
	@$(MAKE) --no-print-directory TYPES=$(CURDIR)/build/schema.ts page-types
	@cmp -s build/schema.ts $(PAGE)/src/api/schema.ts \
		|| { echo "The page's types of the API are stale: make generated" >&2; exit 1; }

TYPES = src/api/schema.ts
page-types: $(STAMP) $(PAGE_TOOLS)
	@$(BIN)/python tests/support/api_description.py build/openapi.json
	@cd $(PAGE) && $(NODE_PATH_FIRST) node_modules/.bin/openapi-typescript ../../build/openapi.json \
		--root-types --root-types-no-schema-prefix --immutable -o $(TYPES) >/dev/null

bench: $(STAMP) ## Measure control, latency and cost; writes build/bench.json
	$(BIN)/python tests/benchmarks/run.py

kills: $(STAMP) ## Kill front and machine in mid-pour, a hundred times each; takes an hour
	$(BIN)/python tests/benchmarks/kills.py 100

fmt: $(STAMP) ## Format the code
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

diagram: $(STAMP) ## Draw states, architecture, a dose and the wiring, and list the alarms in docs/
	$(BIN)/python docs/draw_states.py
	$(BIN)/python docs/draw_alarms.py
	$(BIN)/python docs/draw_pour.py
	$(BIN)/python docs/draw_wiring.py
	$(BIN)/python docs/draw_architecture.py

pictures: $(STAMP) page ## Take the pictures of the page in docs/pictures; needs the browser
	@$(BIN)/python tests/support/page_pictures.py

generated: $(STAMP) ## Write the JSON Schema of set-up files, a sample database of a new revision, the page's types
	$(BIN)/tarewell menu schema > docs/setup.schema.json
	$(BIN)/python tests/support/sample_databases.py
	@$(MAKE) --no-print-directory page-types

.PHONY: help demo serve page page-if-possible page-types test test-code test-stacks avr-packages browser firmware wire lint bench kills fmt diagram pictures generated
