"""A house that moves between a mountain town and the steep shore of Alaska: every command takes the list, says one plan, an answer
a place, and carries what is to be minded about each place on every surface whose number hangs on it."""

import html
import json
import re
from functools import cache

import pytest

from heatcalc.cli import COMMANDS, main
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge import sizing

PLACES = ("Truckee, CA", "99686")
LIST = tuple(word for place in PLACES for word in ("--place", place))
KEYS = (("Pacific mountains: design values change",), ("Alaska: heating from typical years", "is not sure within"))
PLACELESS = {"new", "bridge", "checks", "schema", "run", "lab", "reach", "log", "page", "orders"}
ASKED = {
    "size": ("size", *LIST, "-o", "OUT"),
    "supply": ("supply", *LIST),
    "supply --json": ("supply", *LIST, "--json"),
    "year": ("year", *LIST, "-o", "OUT"),
    "loads": ("loads", *LIST, "-o", "OUT"),
    "compare": ("compare", "--packages", "Breeze", *LIST, "-o", "OUT"),
    "sensitivity": ("sensitivity", "--draws", "1000", "--base", "64", *LIST, "-o", "OUT"),
    "explain": ("explain", *LIST),
    "explain --json": ("explain", *LIST, "--json"),
    "unit": ("unit", "G12-C-230", *LIST, "-o", "OUT"),
    "assembly": ("assembly", "Breeze wall", *LIST, "-o", "OUT"),
    "sheet": ("sheet", *LIST, "-o", "OUT/sheet.html"),
    "sheet .json": ("sheet", *LIST, "-o", "OUT/sheet.json"),
    "papers": ("papers", *LIST, "-o", "OUT"),
    "place": ("place", *PLACES),
    "place --json": ("place", *PLACES, "--json"),
}
NO_NUMBER = ("assemblies", "figure")  # papers whose numbers hang on the house alone


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """What a command shows, run once: the text of the terminal and of every page and record it writes; the house is sized once."""
    known = {}

    def once(case, *words):
        key = (case.house.model_dump_json(), case.sites_places, *words)
        if str(key) not in known:
            known[str(key)] = size_case(case, *words)
        return known[str(key)]

    @cache
    def of(name):
        from contextlib import redirect_stdout
        from io import StringIO

        folder, said = tmp_path_factory.mktemp("out"), StringIO()
        with redirect_stdout(said):
            assert main([word.replace("OUT", str(folder)) for word in ASKED[name]]) == 0, name
        files = {f.name: f.read_text(encoding="utf-8") for f in folder.iterdir() if f.suffix in (".html", ".json")}
        return {"terminal": said.getvalue()} | files

    size_case, sizing.size_case = sizing.size_case, once
    yield of
    sizing.size_case = size_case


def words_of(text):
    """Words without tags, figures, line ends and bullets."""
    text = re.sub(r"<(svg|style|script)\b.*?</\1>", " ", text, flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text)))


def test_every_command_is_asked_here():
    assert {name.split()[0] for name in ASKED} | PLACELESS == set(COMMANDS)


@pytest.mark.parametrize("name", ASKED)
def test_what_is_to_be_minded_about_a_place_is_said_with_every_number_that_hangs_on_it(name, shown):
    """In the text, on every page and in every record: both places', or in a file of one place that place's."""
    for file, text in shown(name).items():
        if name == "sheet .json" and file == "terminal" or file == "terminal" and name in ("sheet", "papers"):
            continue
        number = re.search(r"-(\d)\.\w+$", file)
        wanted = KEYS if number is None or name == "unit" else (KEYS[int(number[1]) - 1],)
        for phrase in (p for keys in wanted for p in keys):
            assert phrase in words_of(text), (file, phrase)
