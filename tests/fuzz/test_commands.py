"""Every command with mutated words and mutated files: it ends well, or says in one line why not."""

from __future__ import annotations

import gc
import hashlib
import json
import random
import tomllib

import pytest

from heatcalc.cli import COMMANDS
from tests.fuzz.commands import (
    COMPUTES,
    LINES,
    PLACE,
    compute_nothing,
    ending,
    files,
    fresh_folder,
    mutated_words,
    nothing_outside,
    whole_files,
)
from tests.fuzz.mutations import mutated, mutated_text, put, seeds
from tests.fuzz.test_readers import as_toml

OTHERS = [
    *files(),
    "plover-26g",
    "starter",
    "Duluth, MN",
    "--json",
    "--units",
    "si",
    "both",
    "--help",
    "-h",
    "-o",
    "out",
    "--set",
    "below.kind=slab",
    "windows=[]",
    "--place",
    "--package",
    "Hearth",
    "--unit",
    "G12-C-230",
    "-1",
    "1e9",
    "--",
    ".",
    "..",
    "nothing.csv",
    "--nothing",
    "=",
    "=x",
]
WHOLE = {
    "papers": 6,
    "sensitivity": 12,
    "checks": 12,
    "reach": 16,
    "compare": 20,
    "orders": 20,
    "loads": 20,
    "sheet": 20,
    "size": 60,
    "log": 40,
    "year": 40,
    "supply": 40,
    "explain": 40,
    "page": 60,
}
MANY = 200
READ_ONLY = {"reach": 100, "size": 120}  # these read a thousand places, or a shelf, before the first word is refused


@pytest.fixture
def home(tmp_path, monkeypatch):
    """The folder of files, and nothing outside it reached."""
    nothing_outside(monkeypatch)
    return fresh_folder(tmp_path, monkeypatch)


def test_every_command_has_lines():
    assert set(LINES) == set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_mutated_command_lines(name, home, tmp_path, monkeypatch, capsys):
    """Lines that work with one or two words changed, carried out from the first word to the last file."""
    _try_all(name, WHOLE.get(name, MANY), tmp_path, monkeypatch, capsys)


@pytest.mark.parametrize("name", COMPUTES)
def test_mutated_command_lines_up_to_the_computing(name, home, tmp_path, monkeypatch, capsys):
    """Many more for the slow commands, which read every word and every file and then stop."""
    compute_nothing(monkeypatch)
    _try_all(name, READ_ONLY.get(name, MANY), tmp_path, monkeypatch, capsys)


def _try_all(name, count, room, monkeypatch, capsys):
    codes = []
    for seed in seeds(count):
        if seed % 50 == 0:
            whole_files(fresh_folder(room, monkeypatch))
        rng = random.Random(f"{name} {seed}")
        words = mutated_words([name, *rng.choice(LINES[name])], rng, OTHERS)
        codes.append(ending(words, capsys, seed)[0])
        if seed % 50 == 49:
            whole_files(room)
    whole_files(room)
    if name == "page":
        gc.collect()  # servers that were made and never served
    assert codes.count(2) > count // 20


# a file of each kind, and the commands that read it to the end; the file's own name is last
READ_BY = {
    "house.toml": [["size", *PLACE, "--json"], ["supply", *PLACE, "--json"], ["explain", *PLACE, "--json"]],
    "full.toml": [["size", *PLACE, "--json"], ["year", *PLACE, "--unit", "G12-C-230", "--json"]],
    "unit.csv": [["unit", "--json"], ["unit", *PLACE]],
    "unit.toml": [["unit", "--json"]],
    "walls.toml": [["assembly", *PLACE, "--json"], ["assembly"]],
    "tariff.toml": [["sheet", "house.toml", *PLACE, "-o", "sheet.json", "--tariff"]],
    "detail.toml": [["bridge", "--json", "--limit", "2 %"]],
    "log.csv": [["log", "--house", "house.toml", *PLACE, "--set", "unit=G12-C-230", "--json"]],
    "hours.csv": [["place", "--json", "--weather"], ["year", "--unit", "unlimited", "--json", "--weather"]],
    "case.json": [["sheet", "-o", "sheet.json"]],
    "book.ipynb": [["run", "-o", "out"]],
}
FILES = {"house.toml": 60, "full.toml": 60, "tariff.toml": 30, "hours.csv": 40, "log.csv": 60, "unit.toml": 60, "case.json": 30}


@pytest.mark.parametrize("name", READ_BY)
def test_mutated_files_through_whole_commands(name, home, capsys):
    """Files slightly wrong, read by the command that answers from them: an answer whose every number is finite, or one line."""
    said, count, codes = files()[name], FILES.get(name, 120), []
    for seed in seeds(count):
        rng = random.Random(f"{name} {seed}")
        put(home / name, _mutated_file(name, said, rng))
        codes.append(ending([*rng.choice(READ_BY[name]), name], capsys, seed)[0])
    (home / name).unlink()  # the last wrong file itself; what the commands wrote is whole
    whole_files(home.parent)
    assert codes.count(2) > count // 20


def _mutated_file(name: str, text: str, rng: random.Random) -> str:
    if name.endswith(".toml") and rng.random() < 0.7:
        return as_toml(mutated(tomllib.loads(text), rng))
    if name == "case.json" and rng.random() < 0.7:
        return _signed(json.loads(text), rng)
    if name.endswith(("json", "ipynb")) and rng.random() < 0.7:
        return json.dumps(mutated(json.loads(text), rng), ensure_ascii=False)
    return mutated_text(text, rng)


def _signed(record: dict, rng: random.Random) -> str:
    """A saved case changed by someone who knows how to make its hash."""
    said = mutated(record["inputs"], rng)
    canonical = json.dumps(said, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    record |= {"inputs": said, "inputs_sha256": hashlib.sha256(canonical.encode("utf-8", "replace")).hexdigest()}
    return json.dumps(record, ensure_ascii=False)
