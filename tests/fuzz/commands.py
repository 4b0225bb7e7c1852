"""Whole commands carried out in this process: the rules that every ending must keep, and a folder of files to name."""

from __future__ import annotations

import json
import math
import random
import re
import shutil
import time
from argparse import ArgumentParser, Namespace
from contextlib import suppress
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

from heatcalc.cli import main
from heatcalc.files import folder
from tests.fuzz.mutations import HANG_S, WORDS, mutated_text, tried
from tests.fuzz.test_readers import FULL_HOUSE, UNIT, as_toml
from tests.fuzz.test_records import COLUMNS, HEAD, YEAR

PLAIN = (folder("workbooks") / "houses" / "plover-26g.toml").read_text(encoding="utf-8")
UNIT_CSV = (folder("workbooks") / "units" / "example_submittal.csv").read_text(encoding="utf-8")
WALL = '["my wall"]\nkind = "wall"\nlayers = [{ name = "foam", thickness = "4 in", r_value = "R-20" }]\n'
OWNER_LOG = "".join(
    (folder("workbooks") / "logs" / "owner_log_invented.csv").read_text(encoding="utf-8").splitlines(keepends=True)[:700]
)
TARIFF = 'name = "flat"\nkind = "flat"\nprice = 0.2\n'
DETAIL = (folder("workbooks") / "details" / "wall-corner.toml").read_text(encoding="utf-8")
WEATHER = HEAD + "\n".join([COLUMNS, *YEAR]) + "\n"
BOOK = (folder("workbooks") / "size_heat_pump.ipynb").read_text(encoding="utf-8")


def arguments_of(name: str, *words: str) -> Namespace:
    """A command's arguments, as its own parser reads them."""
    parser = ArgumentParser()
    import_module(f"heatcalc.commands.{name}").add_arguments(parser)
    return parser.parse_args(words)


PLACE = ["--place", "05401"]
HOUSE = ["house.toml", *PLACE]
# lines that are carried out, by command; those that take long only with words that end them soon
LINES = {
    "orders": [["orders.csv"], ["orders.csv", "-o", "table", "--sure", "80"]],
    "size": [HOUSE, [*HOUSE, "--json"], [*HOUSE, "--package", "Hearth", "--units", "si", "--set", "air.tightness=3 ACH50"]],
    "new": [["my.toml"], ["house.toml", "--force"]],
    "place": [
        ["Duluth, MN"],
        ["46.8,-92.1,433 m", "--json"],
        ["55802", "--heating", "-12 F", "--cooling", "88 F", "--wet-bulb", "70 F", "--daily-range", "20 F", "--source", "own"],
        ["--weather", "hours.csv", "--units", "si"],
        ["55802", "--elevation", "1450 ft"],
        ["Duluth, MN", "Phoenix, AZ"],
        ["44,-90", "--fetch"],
    ],
    "loads": [[*HOUSE, "--method", "load-factor"], [*HOUSE, "--method", "time-series", "--units", "si"]],
    "assembly": [
        ["Breeze wall", "--place", "05401", "--indoor", "70 F", "--indoor-rh", "40 %", "--json"],
        ["walls.toml", "my wall", "--outdoor", "-10 F", "--units", "si"],
        ["Breeze wall", "--moisture", "100 g/h", "--airflow", "22 cfm", "--place", "05401"],
        ["Breeze wall", "Hearth wall", "--humidity-class", "3", "--place", "05401"],
    ],
    "bridge": [["wall-corner", "--limit", "1 %"], ["detail.toml", "--json", "--units", "si", "--limit", "2 %"], []],
    "unit": [["G12-C-230", "--place", "05401"], ["unit.csv", "unit.toml", "--json"], ["unit.csv", "--units", "si"], []],
    "supply": [[*HOUSE, "--unit", "G12-C-230"], [*HOUSE, "--set", "supply.cord=50 A 120/240 V", "--json"]],
    "year": [[*HOUSE, "--unit", "unlimited"], [*HOUSE, "--unit", "G12-C-230", "--weather", "hours.csv", "--json"]],
    "sheet": [[*HOUSE, "--tariff", "tariff.toml", "-o", "sheet.json"], ["case.json", "-o", "sheet.xlsx"]],
    "papers": [
        [*HOUSE, "--buyer", "A. Buyer", "--tariff", "tariff.toml", "--units", "si", "-o", "papers"],
        ["case.json", "-o", "papers"],
    ],
    "page": [[*HOUSE, "--no-open", "--port", "0"]],
    "log": [
        ["log.csv", "--house", "house.toml", *PLACE, "--set", "unit=G12-C-230", "--json"],
        ["log.csv", "--house", "house.toml", *PLACE, "--outdoor", "log.csv", "--units", "si"],
    ],
    "compare": [[*HOUSE, "--packages", "Breeze,Hearth", "--unit", "G12-C-230"]],
    "sensitivity": [[*HOUSE, "--unit", "G12-C-230", "--draws", "1000", "--base", "64", "--seed", "1"]],
    "reach": [["house.toml", "--package", "Breeze", "--unit", "G12-C-230", "--workers", "1", "-o", "out"]],
    "checks": [["moist air"], ["moist air", "--json"]],
    "explain": [[*HOUSE, "heating_load"], [*HOUSE, "walls", "--units", "si", "--json"], [*HOUSE, "--names"]],
    "schema": [["house"], ["unit"], ["assembly"]],
    "run": [["size_heat_pump", "-p", "place=97201", "-p", "units=si", "-o", "out"], ["book.ipynb", "-p", "out=x"]],
    "lab": [["books", "--no-open"], ["books"]],
}


@cache
def quick_house() -> str:
    """The demo house standing one way: an eighth of the work."""
    assert 'front_faces = "unknown"' in PLAIN
    return PLAIN.replace('front_faces = "unknown"', 'front_faces = "south"')


@cache
def saved_case() -> str:
    """A saved case of the quick house."""
    import tomllib

    from heatcalc.answers.sale.sale_answer import SaleInputs, case_record
    from heatcalc.render.as_json import json_text as as_json

    return as_json(case_record(SaleInputs(house=tomllib.loads(quick_house()), place="05401"), {}))


def files() -> dict[str, str]:
    """What lies in the folder where the commands run."""
    return {
        "house.toml": quick_house(),
        "full.toml": FULL_HOUSE,
        "unit.csv": UNIT_CSV,
        "unit.toml": as_toml(UNIT),
        "walls.toml": WALL,
        "tariff.toml": TARIFF,
        "detail.toml": DETAIL,
        "log.csv": OWNER_LOG,
        "hours.csv": WEATHER,
        "book.ipynb": BOOK,
        "case.json": saved_case(),
    }


def fresh_folder(room: Path, monkeypatch) -> Path:
    """A new folder deep inside `room`, with the files, as the present folder; the last one is taken away."""
    shutil.rmtree(room / "deep", ignore_errors=True)
    home = room / "deep" / "er" / "still" / "home"
    home.mkdir(parents=True)
    for name, text in files().items():
        (home / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(home)
    return home


def nothing_outside(monkeypatch) -> None:
    """No browser, no JupyterLab, no kernel, no network, and a server that serves nobody."""
    import subprocess
    import webbrowser

    import heatcalc.inputs.weather.fetch as fetch
    import heatcalc.notebooks as notebooks
    from heatcalc.errors import NoAnswer
    from heatcalc.page_server import PageServer

    def no_network(*_):
        raise NoAnswer("no network in a test")

    monkeypatch.setattr(webbrowser, "open", lambda _: True)
    monkeypatch.setattr(subprocess, "call", lambda *_: 0)
    monkeypatch.setattr(notebooks, "execute", lambda notebook, *_: notebook)
    monkeypatch.setattr(fetch, "_asked", no_network)
    monkeypatch.setattr(PageServer, "serve_forever", lambda self: None)


# where each slow command begins to compute; everything before it is the command line's own work
COMPUTES = {
    "size": "judge.sizing.size_house",
    "loads": "judge.sizing.size_house",
    "supply": "answers.year.cord_year.house_supply",
    "year": "answers.year.year_answer.year_answers",
    "sheet": "answers.sale.sale_answer.sized_case",
    "papers": "answers.sale.sale_answer.sale_of",
    "page": "answers.sale.live.live_answer",
    "log": "answers.year.log_answer.compare_log",
    "compare": "answers.study.packages.compare_in_places",
    "sensitivity": "answers.study.what_matters.what_matters",
    "reach": "answers.reach.reach_study.reach",
    "orders": "answers.study.many_orders.answered",
    "checks": "checks.published.run_checks",
    "explain": "judge.sizing.size_house",
}


def compute_nothing(monkeypatch) -> None:
    """Slow commands read everything they are given and stop where they would begin to compute."""
    from heatcalc.errors import NoAnswer

    def stops(*_, **__):
        raise NoAnswer("read, and not computed here")

    _all_imported()
    for place in COMPUTES.values():
        module, _, name = place.rpartition(".")
        monkeypatch.setattr(import_module(f"heatcalc.{module}"), name, stops)


@cache
def _all_imported() -> None:
    """Every module of the package: one that is first imported while a name is replaced would keep the replacement.

    Physics knows none of the names (imports point down) and compiles for seconds when imported.
    """
    import heatcalc

    for found in walk_packages(heatcalc.__path__, "heatcalc."):
        if not found.name.startswith("heatcalc.physics."):
            with suppress(ImportError):
                import_module(found.name)


def inside(words: list[str]) -> list[str]:
    """The words without what would write far from the test's folder, and without what no terminal can pass."""
    plain = [w.replace("\x00", "").encode("utf-8", "replace").decode() for w in words]
    return [w if w == "/dev/zero" else re.sub(r"(^|=|-o|,)/+", r"\1", w) for w in plain]


def mutated_words(words: list[str], rng: random.Random, others: list[str]) -> list[str]:
    """A command line with one or two of its words dropped, doubled, swapped, changed, or junk put between."""
    name, *rest = words
    for _ in range(rng.choice((1, 1, 2))):
        at = rng.randrange(len(rest) + 1)
        how = rng.randrange(6)
        if how == 0:
            rest[at:at] = [rng.choice(others)]
        elif how == 1:
            rest[at:at] = [rng.choice(WORDS)]
        elif not rest or at == len(rest):
            continue
        elif how == 2:
            rest[at] = mutated_text(rest[at], rng, 1)
        elif how == 3:
            rest[at] = rng.choice(WORDS if rng.random() < 0.5 else others)
        elif how == 4:
            del rest[at]
        else:
            rest += rest[at : at + 2]
    return inside([name, *rest])


def ending(words: list[str], capsys, seed: object = None) -> tuple[int, str]:
    """The command's code and what it printed; every rule of an ending is checked."""
    tried.one()
    begun = time.process_time()
    try:
        code = main(words)
    except SystemExit as stop:  # --help
        code = stop.code or 0
    except BaseException as problem:
        raise AssertionError(f"seed {seed}: {words}: {type(problem).__name__}: {problem}") from problem
    took = time.process_time() - begun
    said = capsys.readouterr()
    where = f"seed {seed}: {words}"
    assert code in (0, 1, 2), where
    assert took < HANG_S, f"{where}: {took:.1f} s"
    assert "Traceback" not in said.out + said.err, f"{where}: {said.err}"
    if code == 2 or (code == 1 and not said.out):
        _one_line(said.err, where)
    assert not any(c in said.out + said.err for c in "\x1b\x07\u202e"), f"{where}: steers a terminal"
    if code == 0 and "--json" in words and "-h" not in words and "--help" not in words:
        strict(said.out, where)
    return code, said.out


def _one_line(line: str, where: str) -> None:
    assert line.startswith("heatcalc: ") and line.count("\n") == 1, f"{where}: {line!r}"
    assert line.strip().isprintable() and len(line) < 2000, f"{where}: {line!r}"


def strict(text: str, where: str) -> object:
    """JSON whose every number is finite."""

    def refuse(word: str):
        raise AssertionError(f"{where}: {word} in JSON")

    def finite(word: str) -> float:
        assert math.isfinite(float(word)), f"{where}: {word} in JSON"
        return float(word)

    try:
        return json.loads(text, parse_constant=refuse, parse_float=finite)
    except ValueError as problem:
        raise AssertionError(f"{where}: not one JSON object: {problem}: {text[:200]!r}") from None


ENDS = {".html": "</html>", ".svg": "</svg>", ".json": "}", ".ipynb": "}"}


def whole_files(home: Path) -> None:
    """Nothing temporary is left, and every file written is whole."""
    for path in home.rglob("*"):
        if not path.is_file():
            continue
        assert not path.name.startswith(".") or path.name == ".gitkeep", f"left behind: {path.name}"
        if path.suffix in ENDS and path.name not in ("house.toml", "full.toml"):
            text = path.read_text(encoding="utf-8")
            assert text.rstrip().endswith(ENDS[path.suffix]), f"half-written: {path.name}"
            if path.suffix == ".json":
                strict(text, path.name)
