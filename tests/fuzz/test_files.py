"""Files that are not what they should be: one line within five seconds, exit code 2, never a trace."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from heatcalc.answers.sale.sale_answer import read_case
from heatcalc.cli import main
from heatcalc.errors import InputError, NoAnswer
from heatcalc.files import folder
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.assembly.detail import load_detail
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.log.log_file import read_log
from heatcalc.inputs.supply.supply_record import load_tariff
from heatcalc.inputs.unit.unit_file import read_unit
from heatcalc.inputs.weather.weather_files import read_hours
from heatcalc.notebooks import run_workbook
from tests.fuzz.commands import files
from tests.fuzz.mutations import HANG_S, patience

READERS = {
    "house.toml": load_house,
    "assemblies.toml": load_assemblies,
    "unit.toml": read_unit,
    "unit.csv": read_unit,
    "tariff.toml": load_tariff,
    "detail.toml": lambda path: load_detail(str(path)),
    "hours.csv": read_hours,
    "log.csv": read_log,
    "case.json": read_case,
    "book.ipynb": lambda path: run_workbook(path, [], Path(path).with_name("out.ipynb"), progress=False),
}
HOUSE = (folder("workbooks") / "houses" / "plover-26g.toml").read_text(encoding="utf-8")


def _sparse(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(10**9)


def _loop(path: Path) -> None:
    other = path.with_name(f"other-{path.name}")
    other.symlink_to(path)
    path.symlink_to(other)


WRONG = {
    "empty": lambda path: path.write_bytes(b""),
    "blank": lambda path: path.write_bytes(b"\n \n"),
    "binary": lambda path: path.write_bytes(bytes(range(256)) * 40),
    "UTF-16": lambda path: path.write_bytes(HOUSE.encode("utf-16")),
    "Latin-1": lambda path: path.write_bytes("name = 'Käfer'".encode("latin-1")),
    "huge": _sparse,
    "pipe": os.mkfifo,
    "zeros without end": lambda path: path.symlink_to("/dev/zero"),
    "links in a circle": _loop,
    "folder": Path.mkdir,
    "absent": lambda path: None,
    "link to nothing": lambda path: path.symlink_to("nowhere"),
}
BOMBS = {
    "one letter a line": lambda path: path.write_text("a\n" * 900_000),
    "open brackets": lambda path: path.write_text("x = " + "[" * 480_000),
    "open braces": lambda path: path.write_text("x = " + "{a=" * 150_000),
    "open JSON": lambda path: path.write_text('{"cells": ' + "[" * 1_000_000),
    "one long key": lambda path: path.write_text("k" * 480_000 + " = 1"),
    "a million keys": lambda path: path.write_text("\n".join(f"k{i}=1" for i in range(45_000))),
    "dotted keys": lambda path: path.write_text("a." * 240_000 + "a = 1"),
    "dotted lines": lambda path: path.write_text("\n".join("a." * 99 + f"k{i} = 1" for i in range(2_000))),
    "dotted tables": lambda path: path.write_text("[" + "a." * 240_000 + "a]"),
    "many tables": lambda path: path.write_text("\n".join(f"[t{i}]" for i in range(45_000))),
    "many windows": lambda path: path.write_text(HOUSE + '[[windows]]\nface="left"\nwidth="1 ft"\nheight="1 ft"\n' * 8_000),
    "many boxes": lambda path: path.write_text(
        HOUSE + "".join(f'[[boxes]]\nname="{i}"\nlength="1 ft"\nwidth="1 ft"\nheight="1 ft"\n' for i in range(6_000))
    ),
    "a number without end": lambda path: path.write_text("x = " + "9" * 480_000),
    "hexadecimal without end": lambda path: path.write_text("name = 0x" + "f" * 480_000),
    "one long line of commas": lambda path: path.write_text("time,mode" + "," * 1_900_000),
    "headings of spaces": lambda path: path.write_text("time,a" + " " * 120_000 + "b,dry_bulb (F)\n1,2,3\n"),
    "headings of brackets": lambda path: path.write_text("time," + "(" * 120_000 + ",dry_bulb (F)\n1,2,3\n"),
    "many points": lambda path: path.write_text(
        "name,x\n\nmode,outdoor_F,level,capacity_Btuh,power_W\n"
        + "".join(f"heating,{i / 1000},max,12000,1000\n" for i in range(60_000))
    ),
    "an open quote": lambda path: path.write_text('time,"' + "a\n" * 900_000),
    "a script": lambda path: path.write_text("#!/bin/sh\ntouch canary\n"),
}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_file_is_refused_in_one_line(tmp_path, reader, wrong):
    _refused(tmp_path / reader, reader, WRONG[wrong])


OF_LINES = (
    "one letter a line",
    "one long line of commas",
    "headings of spaces",
    "headings of brackets",
    "many points",
    "an open quote",
)
PAIRS = [
    (bomb, reader)
    for bomb in BOMBS
    for reader in (
        ("unit.csv", "hours.csv", "log.csv") if bomb in OF_LINES else ("book.ipynb",) if bomb == "open JSON" else ("house.toml",)
    )
]


@pytest.mark.parametrize(
    ("bomb", "reader"),
    [
        *PAIRS,
        ("a million keys", "assemblies.toml"),
        ("a million keys", "detail.toml"),
        ("many tables", "assemblies.toml"),
        ("dotted keys", "detail.toml"),
    ],
)
def test_a_file_made_to_take_forever_is_refused_soon(tmp_path, bomb, reader):
    _refused(tmp_path / reader, reader, BOMBS[bomb])


def _refused(path, reader, make):
    make(path)
    begun = time.process_time()
    with pytest.raises((InputError, NoAnswer)) as problem:
        READERS[reader](path)
    took = time.process_time() - begun
    assert took < HANG_S
    assert "\n" not in str(problem.value) and len(str(problem.value)) <= 1000


@pytest.mark.parametrize("content", [HOUSE.replace("\n", "\r\n").encode(), b"\xef\xbb\xbf" + HOUSE.encode()])
def test_line_ends_and_byte_order_marks_change_nothing(tmp_path, content):
    (tmp_path / "house.toml").write_bytes(content)
    assert load_house(tmp_path / "house.toml") == load_house(None)


KINDS = ["unit.csv", "unit.toml", "walls.toml", "tariff.toml", "detail.toml", "log.csv", "hours.csv", "case.json"]


@pytest.mark.parametrize("name", KINDS)
@pytest.mark.parametrize("how", ["\r\n", "\ufeff"], ids=["CRLF", "mark"])
def test_line_ends_and_marks_change_no_file_of_any_kind(tmp_path, name, how):
    text = files()[name]
    turned = text.replace("\n", how) if how == "\r\n" else how + text
    reader = READERS["assemblies.toml" if name == "walls.toml" else name]
    said = []
    for content in (text, turned):
        (tmp_path / name).write_bytes(content.encode("utf-8"))
        said.append(repr(reader(tmp_path / name)))
    assert said[0] == said[1]


def test_a_file_without_permission(tmp_path):
    """As another user where the tests run as the administrator, whom no permission stops."""
    for name in READERS:
        (tmp_path / name).write_text("x = 1")
        (tmp_path / name).chmod(0)
    if os.getuid() == 0:
        tmp_path.chmod(0o755)
        probe = subprocess.run(["cat", str(tmp_path / "house.toml")], user=65534, group=65534, capture_output=True, check=False)
        if probe.returncode == 0:
            pytest.skip("no way to give up the administrator's rights here")
        script = (
            "import os\nfrom heatcalc.inputs.house.house_file import load_house\n"
            "load_house('x') if 0 else None\nos.setuid(65534)\n"
            f"from heatcalc.cli import main\nraise SystemExit(main(['size', {str(tmp_path / 'house.toml')!r}, '--place', 'x']))"
        )
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=patience(60), check=False)
        if "Permission" not in done.stderr and "cannot be read" not in done.stderr and "Traceback" in done.stderr:
            pytest.skip("the interpreter's own files cannot be read by another user here")
        assert done.returncode in (1, 2) and len(done.stderr.strip().splitlines()) == 1, done.stderr
        return
    for name, reader in READERS.items():
        with pytest.raises((InputError, NoAnswer)):
            reader(tmp_path / name)


@pytest.mark.parametrize(
    "words",
    [
        ["size", "{}", "--place", "05401"],
        ["unit", "{}.csv"],
        ["bridge", "{}.toml"],
        ["assembly", "{}.toml"],
        ["run", "{}"],
        ["place", "{}"],
        ["new", "{}.toml"],
        ["place", "--weather", "{}"],
    ],
)
def test_a_name_longer_than_any_file_may_have(tmp_path, monkeypatch, capsys, words):
    monkeypatch.chdir(tmp_path)
    assert main([w.format("n" * 5000) for w in words]) in (1, 2)
    assert len(capsys.readouterr().err.strip().splitlines()) == 1
