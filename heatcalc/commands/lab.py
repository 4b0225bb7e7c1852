"""Open the workbooks in JupyterLab.

Opens JupyterLab on a copy of the workbooks, so the shipped ones stay as they are.

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
    import subprocess
    import sys
    from pathlib import Path

    from heatcalc.errors import InputError, plain
    from heatcalc.files import copy_whole, folder
    from heatcalc.notebooks import needs_extra

    target = Path(arguments.folder)
    if target.exists() and not target.is_dir():
        raise InputError("folder", arguments.folder, "is a file; name a folder")
    if not target.exists():
        copy_whole(folder("workbooks"), target)
    print(f"workbooks are in {plain(str(target))}")
    if arguments.no_open:
        return 0
    needs_extra(["jupyterlab"])
    return int(subprocess.call([sys.executable, "-m", "jupyterlab", "--notebook-dir", str(target)]) != 0)
