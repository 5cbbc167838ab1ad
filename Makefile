.DEFAULT_GOAL := help
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed
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

demo: $(STAMP) ## Pour a round of two on the simulated machine and show the record
	@$(BIN)/tarewell demo

serve: $(STAMP) ## Leave the simulated machine and the daemon running for curl
	@$(BIN)/tarewell demo --stay --port 8788 --hands-port 8789 --keep build/bar

test: lint ## Check types, style and import contracts, and run all tests
	@command -v avr-gcc >/dev/null && command -v clang >/dev/null && test -d /usr/include/simavr \
		|| echo "left out: the firmware and the emulated board; on Debian 'make avr-packages' (as root) installs what they need"
	PYTHONDONTWRITEBYTECODE= $(BIN)/pytest -n auto --dist worksteal --ignore tests/system
	PYTHONDONTWRITEBYTECODE= $(BIN)/pytest -n 6 --dist worksteal tests/system

avr-packages: ## Install the compilers and the emulator that the firmware's tests need (Debian, as root)
	apt-get update -qq
	DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends $(AVR_PACKAGES)

firmware: ## Compile the firmware of the board; prints its size
	@$(MAKE) --no-print-directory -C protocol/firmware

wire: $(STAMP) ## Write the firmware's tables of messages from the declarations in Python
	@$(BIN)/python protocol/firmware/wire_table.py

lint: $(STAMP) ## Check types, style and import contracts
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/mypy tests/support tests/benchmarks
	$(BIN)/lint-imports

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

generated: $(STAMP) ## Write the JSON Schema of set-up files, and a sample database of a new revision
	$(BIN)/tarewell menu schema > docs/setup.schema.json
	$(BIN)/python tests/support/sample_databases.py

.PHONY: help demo serve test avr-packages firmware wire lint bench kills fmt diagram generated
