# Needs Python 3.11 or newer and make. Everything else goes into .venv, pinned by hash; nothing outside it is touched.
PYTHON ?= python3
BIN := .venv/bin
# Small matrices: threads would wait for each other.
export OPENBLAS_NUM_THREADS ?= 1
PIP := $(BIN)/python -m pip --disable-pip-version-check --no-input -q
DEMO := src/footring/demo/pieces.csv
PACK := src/footring/demo/pack
COMPILE := .venv-pins/bin/uv pip compile -q --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --no-annotate

.PHONY: help demo test lint evaluate references bench format constraints clean
.DELETE_ON_ERROR:

help:
	@echo "make demo         say what four pieces of an invented pottery are"
	@echo "make test         all tests"
	@echo "make lint         style, types, floors"
	@echo "make evaluate     how good the answers are, on museum records and invented factories (make evaluate PIECES=200: quick)"
	@echo "make references   add the libraries that some tests compare with, where they are there"
	@echo "make bench        speed, side by side with general-purpose libraries"
	@echo "make format       lay the code out as make lint wants it"
	@echo "make constraints  pin the dependencies anew (the only target that looks for newer versions)"
	@echo "make clean        remove the environment and caches"

# What Footring itself needs, its pages included.
.venv/app.done: requirements/app.txt pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and f"Footring needs Python 3.11 or newer; this is {sys.version.split()[0]}. Say make PYTHON=python3.12, or another.")'
	@test -x $(BIN)/python || { echo "Making .venv (once)"; $(PYTHON) -m venv .venv; }
	@$(PIP) install --require-hashes -r requirements/app.txt
	@$(PIP) install --no-deps --no-build-isolation -e .
	@touch $@

# What its tests and checks need too. Some of it is built here, with the pinned build tool.
.venv/dev.done: .venv/app.done requirements/dev.txt
	@echo "Adding what the tests need to .venv (once)"
	@$(PIP) install --require-hashes --no-build-isolation -r requirements/dev.txt
	@touch $@

# Other people's probabilistic libraries, to compare with: as heavy as all the rest, so only where they are asked for.
.venv/bench.done: .venv/dev.done requirements/bench.txt
	@echo "Adding the libraries the benchmarks compare with to .venv (once)"
	@$(PIP) install --require-hashes --no-deps -r requirements/bench.txt
	@touch $@

demo: .venv/app.done
	@$(BIN)/footring examine --pack $(PACK) --batch $(DEMO)
	@echo
	@echo "These pieces are of an invented pottery. Now turn one of your own over and type what stands there:"
	@echo
	@echo "    $(BIN)/footring examine --pack $(PACK) --read 'form=covered dish' --read number=417"
	@echo "    $(BIN)/footring date --mark 'NAME / MADE IN X'"
	@echo
	@echo "or open the invented pottery in a browser, and look around:"
	@echo
	@echo "    $(BIN)/footring open --demo"
	@echo
	@echo "$(BIN)/footring open keeps your own collection; $(BIN)/footring --help tells the rest."

# On PostgreSQL too, where FOOTRING_TEST_POSTGRES is the address of a server that tests may make databases on; the slow
# ones of records and pages kill processes that keep a folder of their own, in SQLite, and run once. All cores at work.
TESTS := $(BIN)/python -m pytest -q -n auto --dist loadfile
test: .venv/dev.done
	@if test -n "$$FOOTRING_TEST_POSTGRES"; then DATABASE_URL="$$FOOTRING_TEST_POSTGRES" $(TESTS) -m "not slow" tests/records tests/web; \
	else echo "The records are tested on SQLite alone: FOOTRING_TEST_POSTGRES names no server."; test "$$CI" != true; fi
	@$(TESTS)

lint: .venv/dev.done
	@$(BIN)/ruff check -q
	@$(BIN)/ruff format -q --check
	@$(BIN)/mypy --no-error-summary
	@$(BIN)/lint-imports --no-logo > .venv/floors.txt || { cat .venv/floors.txt; exit 1; }

# PIECES: met, for the packs of the invented factories; 10000 as well takes about an hour. ASKED: to be told, of each.
PIECES ?= 200 2000
ASKED ?= 1000

evaluate: .venv/dev.done
	@$(BIN)/python benchmarks/museum.py
	@$(BIN)/python benchmarks/museum_makers.py
	@$(BIN)/python benchmarks/simulated.py --met $(PIECES) --pieces $(ASKED)

references: .venv/bench.done

bench: .venv/bench.done
	@for file in benchmarks/bench_*.py; do echo "$$file"; $(BIN)/python "$$file" || exit 1; done

format: .venv/dev.done
	@$(BIN)/ruff check -q --select I --fix
	@$(BIN)/ruff format -q

constraints: .venv/app.done
	@test -x .venv-pins/bin/uv || { $(PYTHON) -m venv .venv-pins; .venv-pins/bin/python -m pip --disable-pip-version-check -q install 'uv<1'; }
	@$(COMPILE) --upgrade pyproject.toml requirements/build.in -o requirements/core.txt
	@$(COMPILE) --upgrade pyproject.toml requirements/build.in --extra app -c requirements/core.txt -o requirements/app.txt
	@$(COMPILE) --upgrade pyproject.toml requirements/build.in --extra sheets --extra dev -c requirements/app.txt -o requirements/dev.txt
	@$(COMPILE) --upgrade pyproject.toml requirements/build.in --extra bench --override requirements/bench.overrides.in -c requirements/dev.txt -o requirements/bench.txt
	@! grep -n '://' requirements/*.txt

clean:
	@rm -rf .venv .venv-pins .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
