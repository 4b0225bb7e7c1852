"""Opens JupyterLab on a copy of the workbooks, so the shipped ones stay as they are.

Examples:
  heatcalc lab  # copies the workbooks to heatcalc-workbooks/ and opens them
  heatcalc lab my-workbooks --no-open
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

COPY = "heatcalc-workbooks"


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("folder", nargs="?", default=COPY, help=f"where the copy goes (default: {COPY})")
    parser.add_argument("--no-open", action="store_true", help="only copy, do not start JupyterLab")


def run(arguments: Namespace) -> int:
    import shutil
    import subprocess
    import sys
    from importlib.util import find_spec
    from pathlib import Path

    from heatcalc.errors import NoAnswer
    from heatcalc.resources import folder

    target = Path(arguments.folder)
    if not target.exists():
        part = target.with_name(f".{target.name}.part")
        shutil.rmtree(part, ignore_errors=True)
        shutil.copytree(folder("workbooks"), part, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
        part.rename(target)
    print(f"workbooks are in {target}")
    if arguments.no_open:
        return 0
    if find_spec("jupyterlab") is None:
        raise NoAnswer('JupyterLab is not installed: pip install "heatcalc[notebooks]"')
    return subprocess.call([sys.executable, "-m", "jupyterlab", "--notebook-dir", str(target)])
