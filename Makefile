# Everything needs Python 3.11 or later and make. Another Python: make demo PYTHON=python3.13
PYTHON ?= python3
BIN := .venv/bin
LOCK := $(BIN)/uv pip compile -q --universal --fork-strategy fewest --python-version 3.11 \
	--generate-hashes --no-emit-index-url --no-annotate pyproject.toml --group build
.PHONY: demo check test golden soak bench site-demo site-demo-check lock clean

demo: check
	$(BIN)/placardry build --out site
	@echo "Open site/index.html in a browser; the printed faces stand beside it in site/."

check: .venv/ready
	$(BIN)/placardry check

test: .venv/ready-for-tests
	$(BIN)/ruff check && $(BIN)/ruff format --check && $(BIN)/mypy && $(BIN)/pytest -n auto --dist loadgroup

golden: .venv/ready-for-tests
	$(BIN)/pytest -q --renew-golden tests/golden tests/unit && git --no-pager diff --stat tests/golden

soak: .venv/ready-for-tests
	$(BIN)/pytest -m soak

bench: .venv/ready-for-tests
	$(BIN)/python -m tests.bench

site-demo: .venv/ready
	$(BIN)/placardry build --out site_demo

# Twice, under another zone, locale, hash seed and path: the same bytes as the committed ones.
site-demo-check: .venv/ready
	rm -rf build/here "build/over there" && mkdir -p build
	TZ=UTC $(BIN)/placardry build --out build/here
	TZ=Pacific/Auckland LC_ALL=C PYTHONHASHSEED=7 $(BIN)/placardry build --out "build/over there"
	diff -r build/here "build/over there" && diff -r build/here site_demo

lock: .venv/ready
	$(BIN)/pip install -q uv
	UV_CUSTOM_COMPILE_COMMAND="make lock" $(LOCK) -o requirements.lock
	UV_CUSTOM_COMPILE_COMMAND="make lock" $(LOCK) --group test -c requirements.lock \
		-o requirements-test.lock

clean:
	rm -rf .venv site build .preview .mypy_cache .ruff_cache .pytest_cache .hypothesis

.venv/ready: requirements.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(None if sys.version_info >= (3, 11) else \
		"Placardry needs Python 3.11 or later; name one: make demo PYTHON=python3.13")'
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install -q --require-hashes -r requirements.lock
	$(BIN)/python -m pip install -q --no-deps --no-build-isolation --editable .
	@touch $@

.venv/ready-for-tests: .venv/ready requirements-test.lock
	$(BIN)/python -m pip install -q --require-hashes -r requirements-test.lock
	@touch $@
