"""Kept machine code: whole or not there, made once, deletable, and the same answer from the file as from the compiler."""

import os
import subprocess
import sys

import pytest

from heatcalc import machine_code as kept

ASK = """
import sys
from heatcalc.machine_code import machine_code
machine_code("heatcalc.physics.year.kernel_compiled", "_on_addresses")
print("numba" in sys.modules)
"""


def asked(folder) -> str:
    run = [sys.executable, "-c", ASK]
    return subprocess.run(
        run, env={**os.environ, "XDG_CACHE_HOME": str(folder)}, capture_output=True, text=True, check=True
    ).stdout


def test_the_compiler_is_loaded_once_and_again_when_the_file_is_gone_or_cut(tmp_path):
    assert asked(tmp_path) == "True\n"
    assert asked(tmp_path) == "False\n"
    (file,) = (tmp_path / "heatcalc").iterdir()
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2])
    assert kept._kept(file) is None
    file.unlink()
    assert kept._kept(file) is None


def test_nothing_is_kept_where_nothing_can_be_written(tmp_path, monkeypatch):
    (tmp_path / "heatcalc").write_text("a file where the folder should be")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert kept._kept(kept._folder() / "x.bin") is None
    with pytest.raises(Exception, match="cannot write"):
        kept.write_whole(kept._folder() / "x.bin", b"")
