# Shortcuts for the two commands in the README.
PYTHON ?= python3
VENV := .venv

.PHONY: size test coverage lint figures workbooks clean

$(VENV)/bin/heatcalc: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(VENV)/bin/pip install -q -e ".[test]"

size: $(VENV)/bin/heatcalc
	$(VENV)/bin/heatcalc run size_heat_pump -o out

test: $(VENV)/bin/heatcalc
	$(VENV)/bin/python -m pytest -n 2 --dist loadscope

coverage: $(VENV)/bin/heatcalc
	$(VENV)/bin/python -m pytest -n 2 --dist loadscope --cov --cov-report=term

lint: $(VENV)/bin/heatcalc
	$(VENV)/bin/ruff check heatcalc tests
	$(VENV)/bin/mypy

figures: $(VENV)/bin/heatcalc
	$(VENV)/bin/heatcalc run size_heat_pump -p out=figures/size -o out
	rm figures/size/size.html figures/size/result.json

workbooks: $(VENV)/bin/heatcalc
	for f in workbooks/*.ipynb; do $(VENV)/bin/python -c "import sys, pathlib; from heatcalc.notebooks import refresh; refresh(pathlib.Path(sys.argv[1]))" $$f; done

clean:
	rm -rf $(VENV) out build dist
