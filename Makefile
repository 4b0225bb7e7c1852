# Shortcuts for the two commands in the README.
PYTHON ?= python3
VENV := .venv

.PHONY: size test lint figures clean

$(VENV)/bin/heatcalc: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(VENV)/bin/pip install -q -e ".[test]"

size: $(VENV)/bin/heatcalc
	$(VENV)/bin/heatcalc run size_heat_pump -o out

test: $(VENV)/bin/heatcalc
	$(VENV)/bin/python -m pytest -n 2 --dist loadscope

lint: $(VENV)/bin/heatcalc
	$(VENV)/bin/ruff check heatcalc tests
	$(VENV)/bin/mypy

clean:
	rm -rf $(VENV) out build dist
