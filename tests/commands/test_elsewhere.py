"""Other machines: no home folder, the C locale, a folder with letters beyond ASCII, read-only; and pinned versions."""

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.fuzz.mutations import patience

ROOT = Path(__file__).parents[2]
ODD = "Häuschen 小屋"


def run(words, cwd, **environment):
    """A command in a fresh process with its own surroundings."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("COV", "LC_", "LANG", "HOME", "XDG", "PYTHON"))}
    own = {"PYTHONPATH": str(ROOT), "MPLCONFIGDIR": str(cwd), "NUMBA_CACHE_DIR": str(Path(cwd) / "numba")} | environment
    return subprocess.run(
        [sys.executable, "-m", "heatcalc.cli", *words],
        cwd=cwd,
        env=kept | own,
        capture_output=True,
        timeout=patience(120),
        check=False,
    )


@pytest.mark.parametrize(
    "surroundings", [{}, {"LANG": "C"}, {"LC_ALL": "C", "HOME": "/nowhere/at/all"}], ids=["none", "C", "no home"]
)
def test_a_bare_machine_answers_the_same(tmp_path, surroundings):
    home = tmp_path / ODD
    home.mkdir()
    assert run(["new", "häuschen.toml"], home, **surroundings).returncode == 0
    assert (home / "häuschen.toml").is_file()
    done = run(["place", "Duluth, MN", "--json"], home, **surroundings)
    assert done.returncode == 0 and b"Duluth" in done.stdout and b"Traceback" not in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="no permissions of this kind")
def test_a_read_only_folder_is_one_line(tmp_path):
    """For the administrator, whom no permission stops, the kernel's own folder."""
    shut = Path("/sys") if os.geteuid() == 0 else tmp_path
    if shut == tmp_path:
        tmp_path.chmod(0o500)
    elif not shut.is_dir():
        pytest.skip("no folder here that the administrator may not write in")
    done = run(["new", str(shut / "house.toml")], shut.anchor, NUMBA_CACHE_DIR="/tmp", MPLCONFIGDIR="/tmp")
    assert done.returncode == 1 and done.stderr.count(b"\n") == 1 and b"cannot write" in done.stderr


def test_every_dependency_is_pinned_without_a_host():
    """constraints.txt names one version of everything pyproject.toml asks for, and nobody's server."""
    lines = [line for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!_-]+", line) for line in lines)
    pinned = {re.sub(r"[-_.]+", "-", line.split("==")[0]).lower() for line in lines}
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [
        *project["dependencies"],
        *(d for name, extra in project["optional-dependencies"].items() if name != "rebuild" for d in extra),
    ]
    names = {re.sub(r"[-_.]+", "-", re.match(r"[A-Za-z0-9._-]+", d)[0]).lower() for d in asked}
    assert names - {"heatcalc"} <= pinned, names - pinned
