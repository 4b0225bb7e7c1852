"""A full disk, a kill in the middle and two runs at once leave whole files: the old one or a new one."""

from __future__ import annotations

import os
import re
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from heatcalc.errors import NoAnswer
from heatcalc.files import write_whole
from tests.fuzz.mutations import patience


def _small_files():
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)


def _python(*words, **other):
    mine = {name: word for name, word in os.environ.items() if not name.startswith("COV")}  # no measuring on a full disk
    environment = {**mine, "OPENBLAS_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.Popen(
        [sys.executable, *map(str, words)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment, **other
    )


FULL = {
    "size": (["--place", "Burlington, VT", "-o", "."], ("size.html", "result.json")),
    "year": (["--unit", "G12-C-230", "-o", ".", "--hourly", "hours.csv"], ("hours.csv", "result.json")),
    "sheet": (["-o", "sheet.html"], ("sheet.html",)),
    "lab": (["books", "--no-open"], ("mine.txt",)),
}


@pytest.mark.parametrize("command", FULL)
def test_a_full_disk_leaves_the_old_output(tmp_path, command):
    words, names = FULL[command]
    old = {name: f"old {name}" for name in names}
    for name, content in old.items():
        (tmp_path / name).write_text(content)
    run = _python("-m", "heatcalc.cli", command, *words, preexec_fn=_small_files, cwd=tmp_path)
    _, said = run.communicate(timeout=patience(120))
    assert run.returncode == 1 and "Traceback" not in said and said.strip().startswith("heatcalc: cannot write")
    assert {p.name: p.read_text() for p in tmp_path.iterdir()} == old


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
def test_a_full_standard_output_is_one_line():
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "heatcalc.cli", "schema", "house"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=patience(60),
            check=False,
        )
    assert done.returncode == 1 and len(done.stderr.strip().splitlines()) == 1


def test_a_closed_pipe_is_no_error():
    done = subprocess.run(
        f"{sys.executable} -m heatcalc.cli schema house | head -1",
        shell=True,
        capture_output=True,
        text=True,
        timeout=patience(60),
        check=False,
    )
    assert done.returncode == 0 and done.stderr == ""


WRITER = """
import os, sys
from heatcalc.files import write_whole
from tests.fuzz.mutations import patience
slow = os.fdopen
def half(handle, mode):
    file = slow(handle, mode)
    def write(raw):
        type(file).write(file, raw[:len(raw) // 2]); file.flush(); print("half", flush=True); import time; time.sleep(60)
    class Half:
        def __enter__(self): return self
        def __exit__(self, *_): file.close()
    Half.write = staticmethod(write)
    return Half()
os.fdopen = half
write_whole(sys.argv[1], b"new " * 100_000)
"""


def test_a_kill_in_the_middle_of_writing_leaves_the_old_file(tmp_path):
    target = tmp_path / "result.json"
    target.write_text("old")
    run = _python("-c", WRITER, target)
    assert run.stdout.readline().strip() == "half"
    run.kill()
    run.communicate()
    assert run.returncode == -signal.SIGKILL and target.read_text() == "old"


REPEAT = """
import sys
from heatcalc.files import write_whole
from tests.fuzz.mutations import patience
for _ in range(150):
    write_whole(sys.argv[1], sys.argv[2] * 200_000)
"""


def test_two_runs_at_once_do_not_mix(tmp_path):
    target = tmp_path / "shared.txt"
    target.write_text("a")
    runs = [_python("-c", REPEAT, target, letter) for letter in "ab"]
    seen, stop = set(), time.monotonic() + 60
    while any(run.poll() is None for run in runs) and time.monotonic() < stop:
        seen.add("".join(sorted(set(target.read_text()))))
    assert [run.wait(60) for run in runs] == [0, 0]
    for run in runs:
        run.communicate()
    assert seen <= {"a", "b"} and [p.name for p in tmp_path.iterdir()] == ["shared.txt"]


TOGETHER = """
import sys
from heatcalc.files import write_together
for _ in range(60):
    write_together(sys.argv[1], {f"{n}.txt": sys.argv[2] * 50_000 for n in range(4)})
"""


def test_the_files_of_two_runs_into_one_folder_do_not_mix(tmp_path):
    """Whatever run is the last, all of its files stand together."""
    pytest.importorskip("fcntl", reason="this system has no locks of folders")
    for _ in range(3):
        runs = [_python("-c", TOGETHER, tmp_path, letter) for letter in "ab"]
        assert [run.communicate(timeout=patience(60))[1] for run in runs] == ["", ""]
        assert len({path.read_text() for path in tmp_path.iterdir()}) == 1
        assert sorted(path.name for path in tmp_path.iterdir()) == [f"{n}.txt" for n in range(4)]


def test_nothing_is_written_but_whole():
    """Every file a person asks for goes through heatcalc/files.py; the saved case's own files go to a temporary folder."""
    root = Path(write_whole.__code__.co_filename).parent
    writers = {
        path.name
        for path in root.rglob("*.py")
        if re.search(r"write_text\(|write_bytes\(|open\([^)]*[\"']w", path.read_text(encoding="utf-8"))
    }
    assert writers == {"files.py", "sale_answer.py"}


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo, lambda path: path.symlink_to("/dev/null")])
def test_only_plain_files_are_written_over(tmp_path, make):
    make(tmp_path / "out")
    with pytest.raises(NoAnswer):
        write_whole(tmp_path / "out", "new")
    assert Path("/dev/null").is_char_device() and len(list(tmp_path.iterdir())) == 1


def test_a_folder_that_is_a_file(tmp_path):
    (tmp_path / "out").write_text("old")
    with pytest.raises(NoAnswer):
        write_whole(tmp_path / "out" / "x.json", "new")
    assert (tmp_path / "out").read_text() == "old"
