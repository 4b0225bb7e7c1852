"""The step of CI that flags packages with known advisories, against recorded answers of the tool it installs."""

import shutil
import subprocess
from pathlib import Path

import pytest

STEP = Path(__file__).parents[2] / ".ci" / "advisories"
pytestmark = [
    pytest.mark.optional,
    pytest.mark.skipif(shutil.which("bash") is None or not STEP.exists(), reason="no bash, or no checkout"),
]
# as the tool prints them (columns of spaces); the identifier is the published one of that release
KNOWN = """Found 1 known vulnerability in 1 package
Name   Version ID                  Fix Versions
------ ------- ------------------- ------------
jinja2 2.10    PYSEC-2019-217      2.10.1
"""
OURS = KNOWN.replace("jinja2 2.10   ", "numpy  9.9.9  ")
NONE = "No known vulnerabilities found\n"

# Stands for Python: makes an environment whose tool answers from the folder of recorded answers, and lists the packages
PYTHON = """#!/bin/sh
case "$2" in
  venv) mkdir -p "$3/bin"; cp "$0" "$3/bin/python"; cp "{room}/tool" "$3/bin/pip-audit" ;;
  pip) case "$*" in *freeze*) printf 'numpy==9.9.9\\nscipy==1.0\\n' ;; *install*) exit {install} ;; esac ;;
esac
"""
TOOL = """#!/bin/sh
for word; do last=$word; done
if grep -q jinja2 "$last"; then answer=known; else answer=ours; fi
cat "{room}/$answer"
grep -q '^Name' "{room}/$answer" && exit 1
[ -e "{room}/$answer.fails" ] && echo 'requests.exceptions.ConnectionError: no route' >&2 && exit 1
exit 0
"""


def step(room, known, ours, install=0, fails=()):
    for name, text in {"known": known, "ours": ours, "tool": TOOL.format(room=room)}.items():
        (room / name).write_text(text)
    for name in fails:
        (room / f"{name}.fails").touch()
    python = room / "python"
    python.write_text(PYTHON.format(room=room, install=install))
    for path in (python, room / "tool"):
        path.chmod(0o755)
    return subprocess.run(["bash", str(STEP), str(python)], capture_output=True, text=True, timeout=60, check=False)


def test_a_package_with_an_advisory_fails_the_step_and_is_named(tmp_path):
    done = step(tmp_path, KNOWN, OURS)
    assert done.returncode == 1
    assert "numpy  9.9.9" in done.stdout and "PYSEC-2019-217" in done.stdout and "raise their versions" in done.stdout


def test_packages_without_advisories_pass(tmp_path):
    done = step(tmp_path, KNOWN, NONE)
    assert (done.returncode, done.stdout) == (0, "advisories: none known for 2 packages\n")


def test_a_service_that_does_not_know_an_old_advisory_clears_nothing(tmp_path):
    done = step(tmp_path, NONE, NONE)
    assert done.returncode == 0 and done.stdout.startswith("advisories: skipped: the advisory service at hand does not know")


def test_a_service_that_stops_answering_is_a_skip_with_its_reason(tmp_path):
    done = step(tmp_path, KNOWN, "", fails=("ours",))
    assert done.returncode == 0 and "skipped: the advisory service did not answer (ConnectionError)" in done.stdout


def test_a_tool_that_cannot_be_installed_is_a_skip_with_its_reason(tmp_path):
    done = step(tmp_path, KNOWN, OURS, install=1)
    assert done.returncode == 0 and "skipped: pip-audit cannot be installed" in done.stdout


def test_no_environment_is_a_skip_with_its_reason(tmp_path):
    done = subprocess.run(["bash", str(STEP), str(tmp_path / "none")], capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0 and "skipped: there is no" in done.stdout
