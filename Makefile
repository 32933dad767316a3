# Each line a newcomer needs: `make demo` to see it, `make test` to trust it. Everything below works again offline after its first run.
.PHONY: help demo setup test test-film lint bench docs honesty count accept lock dist clean
.DEFAULT_GOAL := help
TENBETWEEN = .venv/bin/tenbetween
PYTEST = .venv/bin/python -m pytest
DEV = .venv/bin/python -m tenbetween.dev
# ARGS goes to the command of the target: make test ARGS="-k court", make demo ARGS="--help"
ARGS =

help: ## this list
	@awk -F':.*## ' '/^[a-z-]+:.*## /{printf "make %-9s %s\n", $$1, $$2}' Makefile

demo: setup ## the workbench with an invented season in it, in the browser
	@dev/install film || echo "the film room stays closed for now; everything else works" >&2
	@$(TENBETWEEN) demo $(ARGS)

setup: ## the program, ready in .venv
	@dev/install run

test: ## every test; ARGS="-k words" for some of them
	@dev/install run film dev node system
	@$(if $(ARGS),$(PYTEST) $(ARGS),{ $(PYTEST) -q -m "alone and not full" -p no:xdist || [ $$? -eq 5 ]; } && $(PYTEST) -q -m "not alone and not full" -n 2 --dist loadfile --durations 10)

test-film: ## the film work at full size (under 45 minutes); ARGS="-k words" for some of it
	@dev/install run film dev node system
	@{ $(PYTEST) -q -m "full and alone" -p no:xdist $(ARGS) || [ $$? -eq 5 ]; } && \
	$(PYTEST) -q -m "full and not alone" -n 2 --dist load -o faulthandler_timeout=1800 --durations 20 $(ARGS)

lint: ## style, types, who may import whom, spelling, types of the page scripts
	@dev/install run film dev node
	@bad=; for check in "ruff check" "ruff format --check" mypy "lint-imports --no-logo" codespell; do \
	  .venv/bin/$$check || bad="$$bad, $$check"; done; \
	dev/node_modules/.bin/tsc --project dev/tsconfig.json || bad="$$bad, tsc"; \
	[ -z "$$bad" ] || { echo "lint: look at what these said: $${bad#, }"; exit 1; }
	@echo "lint: nothing to complain about"

bench: setup ## how fast, against floors measured in the same run; writes docs/figures.md
	@dev/install film dev
	@$(DEV) bench $(ARGS)

docs: setup ## writes again what docs/ generates
	@$(DEV) docs $(ARGS)

honesty: setup ## measures where the taught places come out on our own formations, for docs/honesty.md
	@$(DEV) honesty $(ARGS)

count: setup ## counts every situation of every edition and shows what moved
	@$(DEV) count $(ARGS)

accept: setup ## keeps the counts and pictures as they now are, then shows what changed
	@$(DEV) accept $(ARGS)
	@git diff --stat

lock: ## resolves the lock files anew (needs uv on the path)
	uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-header --quiet --group build --output-file requirements.txt
	uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-header --quiet --extra film --constraint requirements.txt --output-file requirements-film.txt
	uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-header --quiet --extra film --extra server --group dev --constraint requirements-film.txt --output-file requirements-dev.txt

dist: setup ## the wheel and the source archive, in dist/
	@.venv/bin/hatchling build

clean: ## removes what the targets above made
	rm -rf .venv dev/node_modules dist build .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
	find src tests -name __pycache__ -type d -prune -exec rm -rf {} +
