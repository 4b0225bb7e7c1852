"""The wheel, installed where no checkout is in sight, answers from its own shipped files."""

import json
import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

import pytest

from tests.fuzz.mutations import patience

ROOT = Path(__file__).parents[2]
pytest.importorskip("hatchling", reason="the build tool that makes the wheel is not installed")


def done(words, cwd):
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("COV", "PYTHON"))}
    run = subprocess.run(
        [*map(str, words)], cwd=cwd, env=kept, capture_output=True, text=True, timeout=patience(300), check=False
    )
    assert run.returncode == 0, run.stderr
    return run.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The program of a new environment that holds the wheel; the libraries are those of this one."""
    room = tmp_path_factory.mktemp("wheel")
    done([sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", room], ROOT)
    venv.create(room / "venv", with_pip=False, symlinks=os.name != "nt")
    python = room / "venv" / ("Scripts" if os.name == "nt" else "bin") / "python"
    own = sysconfig.get_path("purelib", vars={"base": str(room / "venv"), "platbase": str(room / "venv")})
    (Path(own) / "libraries.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    pip = [sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps", "--no-index"]
    done([*pip, next(room.glob("*.whl"))], room)
    return python.parent / "heatcalc"


def test_the_wheel_sizes_a_house_far_from_the_checkout(installed, tmp_path):
    where = done([installed.parent / "python", "-c", "import heatcalc; print(heatcalc.__file__)"], tmp_path)
    assert Path(where.strip()).is_relative_to(installed.parents[1])
    done([installed, "new", "mine.toml"], tmp_path)
    south = ["--set", "site.front_faces=south"]  # one way to stand: an eighth of the work
    words = [installed, "size", "mine.toml", "--place", "Duluth, MN", *south, "--unit", "G12-C-230", "--json"]
    said = done(words, tmp_path)
    assert json.loads(said)["plan"]["unit"] == "G12-C-230" and str(ROOT) not in said
    done([installed, "lab", "books", "--no-open"], tmp_path)
    assert (tmp_path / "books" / "size_heat_pump.ipynb").is_file()
