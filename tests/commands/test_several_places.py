"""A house that moves between a mountain town and the steep shore of Alaska.

Every command takes the list, says one plan and an answer a place, and carries what is to be minded about each place on every
surface whose number hangs on it.
"""

import html
import json
import re
from functools import cache

import pytest
from matplotlib.figure import Figure

from heatcalc.answers.reach.reach_study import reach
from heatcalc.answers.sale import buyer, sale_answer
from heatcalc.answers.sale.live import LiveAnswer, places_named
from heatcalc.answers.study import tornado
from heatcalc.cli import COMMANDS, main
from heatcalc.face import live_page
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge import choice, sizing
from heatcalc.judge.sites import stations
from heatcalc.render.as_text import as_text
from heatcalc.report import about_reach, drawing
from heatcalc.wording import said

PLACES = ("Truckee, CA", "99686")
LIST = tuple(word for place in PLACES for word in ("--place", place))
KEYS = (("Pacific mountains: design values change",), ("Alaska: heating from typical years", "is not sure within"))
PLACELESS = {"new", "bridge", "checks", "schema", "run", "lab", "reach", "page"}  # reach and page: below
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
    "orders": ("orders", "--model", "plover-26g", *LIST, "--workers", "1", "-o", "OUT"),
    "orders --json": ("orders", "--model", "plover-26g", *LIST, "--workers", "1", "--json"),
    "log": ("log", "owner_log_invented", "--set", "unit=G12-C-230", "--place", PLACES[1], "-o", "OUT"),
    "place": ("place", *PLACES),
    "place --json": ("place", *PLACES, "--json"),
}


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """What a command shows, run once: the text of the terminal, of every page and of every record it writes.

    What does not change what is said is done once or not at all: the house is sized once, the buyer told once, no figure drawn.
    """
    from contextlib import redirect_stdout
    from io import StringIO

    with pytest.MonkeyPatch.context() as patch:
        once = cached(sizing.size_case, lambda case, *words: (case.house.model_dump_json(), case.sites_places, *words))
        patch.setattr(sizing, "size_case", once)
        told = cached(buyer.tell, lambda sized, folder: sized.place.name)
        patch.setattr(buyer, "tell", told)
        patch.setattr(sale_answer, "tell", told)
        patch.setattr(drawing, "_ready", lambda *_, **__: Figure(figsize=(1, 1)))
        inputs = tornado.uncertain_inputs
        patch.setattr(tornado, "uncertain_inputs", lambda case: inputs(case)[:1])

        @cache
        def of(name):
            folder, said = tmp_path_factory.mktemp("out"), StringIO()
            with redirect_stdout(said):
                assert main([word.replace("OUT", str(folder)) for word in ASKED[name]]) == 0, name
            files = {f.name: f.read_text(encoding="utf-8") for f in folder.iterdir() if f.suffix in (".html", ".json")}
            return {"terminal": said.getvalue()} | files

        yield of


def cached(function, key):
    """The function, worked out once for a key."""
    known = {}

    def once(*words, **named):
        which = repr(key(*words, **named))
        if which not in known:
            known[which] = function(*words, **named)
        return known[which]

    return once


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
        wanted = KEYS[1:] if name == "log" else wanted  # one meter stands in one place
        for phrase in (p for keys in wanted for p in keys):
            assert phrase in words_of(text), (file, phrase)


def test_one_plan_for_all_places_in_every_record(shown):
    """The object `plan`, equal to the digit, a record a place and one for all."""
    plan = json.loads(shown("size")["result.json"])["plan"]
    lists = [json.loads(shown(name)["terminal"]) for name in ("supply --json", "explain --json")]
    assert all(found[0]["plan"] == plan and found[0]["places"] == found_places(shown) for found in lists)
    told = [("year", "result-1.json"), ("year", "result-2.json"), ("loads", "result.json")]
    records = [*lists[0][1:], *(json.loads(shown(name)[file]) for name, file in told)]
    records += [json.loads(shown("sheet .json")[f"sheet-{k}.json"]) for k in (1, 2)]
    saved = json.loads(shown("papers")["case.json"])
    records += [one[part] for one in saved["results"]["places"] for part in ("sizing", "run_load")]
    records += [json.loads(shown("compare")[f"result-{k}.json"])["packages"][0] for k in (1, 2)]
    assert all(record["plan"] == plan for record in records)
    assert saved["inputs"]["place"] == list(PLACES)


def found_places(shown):
    return json.loads(shown("size")["result.json"])["places"]


def test_the_page_says_it_with_its_answer():
    """Both places of a wish, in the record the page shows."""
    r = sizing.size_house(load_house("plover-26g"), places_named(" | ".join(PLACES)), walk=False)
    record = live_page.live_record(LiveAnswer(r, r.recommended, r.candidates[0], None, None), "ip")
    assert all(html.escape(phrase, quote=False) in record["first"] for keys in KEYS for phrase in keys)


def test_reach_says_what_many_places_share_and_each_place_its_own():
    """In the text, in the object, and in the list of places."""
    found = reach("plover-26g", ["Breeze"], ["G12-C-230"], where=stations().take(slice(0, 60)))
    report, shared = about_reach.about_reach(found), about_reach.shared_warnings(found)
    notes = {said(words, "si") for place in found.sites.warnings for words in place}
    text, rows = " ".join(as_text(report, "ip", full=True).split()), about_reach.places_csv(found).splitlines()
    assert shared and set(shared) < notes and report.values["place_warnings"] == shared
    assert all(f"{words} ({n} of 60 places)" in text for words, n in shared.items())
    assert len(rows) == 61 and all(any(words in row for row in rows) for words in notes if '"' not in words)


def test_the_hottest_hour_held_is_that_of_the_place_itself_in_any_order():
    """A mile up the unit gives less: as second of two places, Denver may not be promised what holds at the first one's height."""
    house, places = load_house(None, []), [find_place(name) for name in ("Duluth, MN", "Denver, CO")]
    found = [
        {s.place.name: choice.hot_held_C(s.recommended, s.designer, 0.9) for s in asked.each}
        for asked in (sizing.size_house(house, places, walk=False), sizing.size_house(house, places[::-1], walk=False))
    ]
    assert found[0] == found[1] and len(found[0]) == 2
