"""One answer on every surface: twelve houses in twelve places, the same unit, heater, supply, promise, chance everywhere.

Every pair is one sizing: its judge against the row of the country, then every page and file drawn from it.  Twelve pairs, each
house and each place once, are read as a rule, all 144 with HEATCALC_ONE_TRUTH=all in the environment.  Four more run the commands
for themselves, as a person types them, each half of them (all of them likewise), and what they write is compared.
"""

import csv
import html
import io
import json
import os
import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from heatcalc import units
from heatcalc.answers.reach.many_units import UnitReach, best_kept, judge_everywhere
from heatcalc.answers.reach.reach_study import LIMITS, PackageReach, Reach
from heatcalc.answers.sale import buyer as told_to
from heatcalc.answers.sale.band import Band
from heatcalc.answers.sale.buyer import tell
from heatcalc.answers.sale.live import LiveAnswer, Wishes, live_answer, live_case
from heatcalc.answers.sale.sale_answer import SaleInputs, sale_at
from heatcalc.answers.study.packages import AS_DESCRIBED, compare_packages, said_of
from heatcalc.answers.year.cord_year import house_supply
from heatcalc.answers.year.year_answer import year_answer
from heatcalc.cli import main
from heatcalc.commands.size import size
from heatcalc.face.answer import Answer
from heatcalc.face.live_page import live_record
from heatcalc.inputs.house.house_file import load_house
from heatcalc.judge.cases import Case, candidates_of
from heatcalc.judge.facts import Asked, Rooms
from heatcalc.judge.many_loads import many_loads
from heatcalc.judge.metered_year import by_month
from heatcalc.judge.sites import skies_of, stations
from heatcalc.judge.sizing import size_case
from heatcalc.judge.three_plans import three_plans
from heatcalc.model.house_model import house_model
from heatcalc.render.as_html import as_html
from heatcalc.render.as_json import json_text
from heatcalc.render.as_text import as_text
from heatcalc.render.as_xlsx import as_xlsx
from heatcalc.report import drawing
from heatcalc.report.about_compare import about_compare
from heatcalc.report.about_owner import owner_paper, quote_paper
from heatcalc.report.about_reach import about_reach, reach_csv
from heatcalc.report.about_run_load import about_run_load, run_load_values
from heatcalc.report.about_shop import circuits_paper
from heatcalc.report.about_size import about_size
from heatcalc.report.about_supply import about_supply
from heatcalc.report.about_year import about_year
from heatcalc.report.size_values import size_values

HOUSES = {
    "as it comes": (),
    "Hearth": ("package=Hearth",),
    "heat recovery": ("package=Hearth, heat recovery",),
    "tight and skirted": ("package=Breeze, tight and skirted",),
    "50 A": ("supply.cord=50 A 120/240 V",),
    "leaky": ("air.tightness=9 ACH50",),
    "skirted": ("below.kind=skirted",),
    "a unit named": ("unit=G12-C-230",),
    "propane stove": ("living.cooking=propane",),
    "low set point": ("set_points.heating=64 F",),
    "a large unit named": ("unit=G24-S-230",),
    "30 A 240 V": ("supply.cord=30 A 120/240 V", "air.tightness=2 ACH50"),
}
STATIONS = tuple(range(20, 1009, 85))  # spread over the table, Alaska to Florida


@cache
def house(name):
    words = HOUSES[name]
    packages = [w.partition("=")[2] for w in words if w.startswith("package=")]
    return load_house(changes=tuple(w for w in words if not w.startswith("package=")), package=packages[0] if packages else None)


@cache
def sites():
    return stations().take(np.array(STATIONS))


@cache
def country(name):
    """The house at all twelve places at once, as a map of the country judges them."""
    said, where = house(name), sites()
    shelf, rooms = list(candidates_of(said, None).values()), Rooms(said, where)
    model = house_model(said, 0.0)
    loads = many_loads(model, skies_of(where))
    rows = tuple(judge_everywhere(u, said, loads, rooms, Asked()) for u in shelf)
    best, lock_out = best_kept(list(rows), said)
    return Reach(
        where, (PackageReach(name=name, model=model, loads=loads, units=rows, best=best, lock_out=lock_out),), None, LIMITS
    )


def sized_at(name, k):
    """Everything a pair shows comes from one sizing; the surfaces that size by themselves are handed the same one."""
    return size_case(Case(house=house(name), places=(sites().place(k),)), walk=True)


def its_row_of_the_country_says_the_same(r, name, k):
    """Bit for bit, every unit; the first plan without its year is the one the map recommends."""
    found = country(name).packages[0]
    judged = {c.name: c.judged for c in r.candidates}
    for u in found.units:
        mine = UnitReach(judged[u.unit.name])
        for column in ("verdict", "chance", "backup_W", "supply", "from_cord"):
            assert getattr(u, column)[k] == getattr(mine, column)[0], (column, u.unit.name)
    plan = three_plans(r.case, list(judged.values()), house(name).unit, walk=False).first
    at, row = next((n, u) for n, u in enumerate(found.units) if u.unit.name == plan.unit)
    assert (row.verdict[k], row.chance[k], row.backup_W[k]) == (plan.verdict, plan.chance, plan.heater_W)
    assert np.isnan(row.held_C[k]) if plan.held_C is None else row.held_C[k] == plan.held_C
    if not plan.changes:
        assert (str(row.supply[k]) or None, row.from_cord[k]) == (plan.supply, plan.supply_carried)
    if house(name).unit is None and found.best[k] >= 0:
        assert (at, found.lock_out[k]) == (found.best[k], "; ".join(plan.changes))
    _the_file_of_the_map(name, k, plan)


@cache
def _lines(name):
    return {(line["key"], line["unit"]): line for line in csv.DictReader(io.StringIO(reach_csv(country(name))))}


def _the_file_of_the_map(name, k, plan):
    line = _lines(name)[sites().key[k], plan.unit]
    said = line["verdict"], float(line["chance"]), float(line["backup_W"])
    assert said == (plan.verdict, pytest.approx(plan.chance, abs=5e-4), plan.heater_W)
    assert (float(line["held_C"]) if line["held_C"] else None) == plan.held_C
    if house(name).unit is None and country(name).packages[0].best[k] >= 0:
        assert (line["recommended"], line["lock_out"]) == ("True", "; ".join(plan.changes))


def test_shares_of_the_map_count_its_rows():
    """Text, page and record of a map say how many of its places each unit serves: counted from the rows here."""
    r = country("as it comes")
    found = r.packages[0]
    about = about_reach(r)
    said = {u["name"]: u for u in json.loads(json_text(about.values))["packages"][0]["units"]}
    short, page = flat(as_text(about, "ip", True)), words_of(as_html(about, "ip"))
    for n, u in enumerate(found.units):
        assert said[u.unit.name]["recommended"] == pytest.approx(sum(b == n for b in found.best) / len(STATIONS))
        assert u.unit.name in short and u.unit.name in page


# ---- every surface of a pair


def words_of(page):
    """A page's words without its tags and figures."""
    page = re.sub(r"<(svg|style|script)\b.*?</\1>", " ", page, flags=re.S)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)))


def flat(text):
    return re.sub(r"\s+", " ", text)


ALL = os.environ.get("HEATCALC_ONE_TRUTH") == "all"
PAIRS = tuple((name, k) for n, name in enumerate(HOUSES) for k in range(len(STATIONS)) if ALL or k == n)


def no_band(run):
    """A range of one to either side of the year."""
    kWh, cost = (np.array([x - 1.0, x + 1.0]) for x in (by_month(run.load.run_W), run.money.month_cost))
    return Band((), kWh, cost, tuple(kWh.sum(axis=1)), tuple(cost.sum(axis=1)))


@pytest.fixture
def one_sizing(monkeypatch):
    """Hand every surface the sizing of the pair instead of working it out once more."""

    def of(sized):
        monkeypatch.setattr(told_to, "what_if", lambda _: ())  # neither what-ifs nor the likely range are read here
        monkeypatch.setattr(told_to, "band", no_band)
        monkeypatch.setattr(drawing, "_ready", lambda *_, **__: Figure(figsize=(1, 1)))
        for module in ("answers.year.year_answer", "answers.year.cord_year", "answers.study.packages"):
            monkeypatch.setattr(f"heatcalc.{module}.size_house", lambda *_, **__: sized)

    return of


@pytest.mark.parametrize(("name", "k"), PAIRS)
def test_every_surface_says_the_same_plan(name, k, one_sizing):
    r = sized_at(name, k)
    plan = r.plan
    its_row_of_the_country_says_the_same(r, name, k)
    one_sizing(r)
    place, said = r.place, r.house
    record = json.loads(json_text(plan.record()))
    buyer = tell(r)
    run = run_load_values(buyer)
    supply = house_supply(said, place)
    year = year_answer(said, place)
    compared = compare_packages(None, place, [AS_DESCRIBED])
    page = live_record(LiveAnswer(r, r.recommended, r.candidates[0], r.year and r.year.load, r.year and r.year.money), "ip")
    # the object itself
    sizing = json.loads(json_text(size_values(r)))
    objects = (
        sizing["plan"],
        sizing["plans"][0],
        json.loads(json_text(run))["plan"],
        json.loads(json_text(about_year(year).values))["plan"],
        json.loads(json_text(supply.sized.plan.record())),
        json.loads(json_text(about_compare(compared).values))["packages"][0]["plan"],
    )
    assert all(o == record for o in objects)
    # what stands beside it in each record
    best = sizing["recommended"]
    assert (best["unit"], best["verdict"], best["chance"]) == (plan.unit, plan.verdict, plan.chance)
    assert record["yearly_cost_usd"] == record["yearly_cost"] == round(plan.yearly_cost, 2)
    assert best["smallest_supply"] == plan.supply and best["runs_from_cord"] == plan.supply_carried
    assert best["backup_W"] == run["backup_W"] == year.backup_W == supply.chosen.backup_W == plan.heater_W
    assert run["promise"]["held_C"] == plan.held_C and run["unit"] == year.unit.name == supply.chosen.name == plan.unit
    assert supply.supply.passes == plan.supply_carried and supply.supply.smallest_cord == plan.supply
    assert run["year_kWh"] == pytest.approx(plan.yearly_kWh, abs=1e-6) and run["year_cost"] == pytest.approx(
        plan.yearly_cost, abs=0.005
    )
    of_air = {use: watts for use, watts in supply.year.energy.electric_W.items() if use not in year.year.household.electric_W}
    assert sum(watts.sum() for watts in of_air.values()) / 1000.0 == pytest.approx(plan.yearly_kWh, abs=0.05)
    _circuits_have_their_rows(plan, supply.supply.circuits)
    _words(r, plan, buyer, supply, year, page, compared)


def _circuits_have_their_rows(plan, circuits):
    loads = [load for c in circuits for load in c.loads]
    assert any("heat pump" in load for load in loads)
    assert bool(plan.heater_W) == any("backup" in load or "heater" in load and "water" not in load for load in loads), loads
    assert not plan.dehumidifier_W or any("dehumidifier" in load for load in loads)


def _cells(book):
    """Every cell of a workbook as text."""
    openpyxl = pytest.importorskip("openpyxl", reason="nothing reads workbooks here")
    sheets = openpyxl.load_workbook(io.BytesIO(book), read_only=True).worksheets
    return flat(" ".join(str(c) for sheet in sheets for row in sheet.iter_rows(values_only=True) for c in row if c is not None))


def _words(r, plan, buyer, supply, year, page, compared):
    sale = sale_at(SaleInputs(house=said_of(None), place=r.place.name, package=r.house.package), r, Path())
    about = about_size(r)
    kW = f"{plan.heater_W / 1000:.1f} kW"
    held = None if plan.held_C is None else units.text(plan.held_C, "temperature", "ip")
    sizing = [flat(as_text(about, "ip", True)), words_of(as_html(about, "ip")), words_of(Answer(r, about_size)._repr_html_())]
    quote, owner, circuits = (words_of(as_html(make(sale), "ip")) for make in (quote_paper, owner_paper, circuits_paper))
    sheet = words_of(as_html(about_run_load(buyer), "ip"))
    check = flat(as_text(about_supply(supply), "ip", True))
    year_words = flat(as_text(about_year(year), "ip"))
    live = flat(json.dumps(page, ensure_ascii=False))
    every = {f"sizing {k}": t for k, t in enumerate(sizing)}
    every |= {"quote": quote, "sheet": sheet, "circuits": circuits, "supply": check, "year": year_words, "page": live}
    every["owner"] = owner
    every |= {"sheet.xlsx": _cells(as_xlsx(about_run_load(buyer), "ip")), "sizing.xlsx": _cells(as_xlsx(about, "ip"))}
    pages = {"supply": about_supply(supply), "year": about_year(year), "packages": about_compare(compared)}
    every |= {f"{name} page": words_of(as_html(of, "ip")) for name, of in pages.items()}
    every["packages"] = flat(as_text(pages["packages"], "ip", True))

    def at(*without):
        """Every surface that has room for it."""
        return [where for where in every if not any(word in where for word in without)]

    assert all(plan.unit in every[where] for where in at("owner")), at("owner")
    for where in at("circuits", "owner"):
        assert not plan.heater_W or kW in every[where] or f"{plan.heater_W:,.0f} W" in every[where], where
    for where in at("circuits", "owner", "supply", "year"):
        assert held is None or held in every[where], where
    for where in at("owner", "year", "sheet", "packages"):
        assert (plan.supply or "none") in every[where], where
    chance = units.text(plan.chance, "chance", "ip")
    for where in ("sizing 0", "sizing 1", "sizing 2", "sizing.xlsx", "page"):
        assert chance in every[where] and plan.verdict in every[where], where
    for where in at("sizing", "quote", "sheet", "circuits", "owner"):
        assert plan.verdict in every[where], where
    for where in ("packages", "packages page"):
        assert plan.supply_carried != ("needs" in every[where].partition("the house's supply")[2][:20]), where
    if not plan.supply_carried:
        for where, text in every.items():
            assert not any(w in text for w in (": PASSES", "Runs from one", "the house's own supply carries it")), where
    else:
        for where, text in every.items():
            never = ("DOES NOT PASS", "does not carry it", "does not carry the loads below", "nothing tried, neither")
            assert not any(w in text for w in never), where
    assert not plan.dehumidifier_W or "dehumidifier" in quote


# ---- four pairs, every command by itself


ASKED = {  # place: package, --set
    "Phoenix, AZ": ("Hearth", ()),
    "Duluth, MN": ("Breeze", ()),
    "Houston, TX": ("Breeze", ("supply.cord=50 A 120/240 V",)),
    "Burlington, VT": ("Breeze", ("unit=G12-C-230",)),
}
IN_ORDERS = ("kind", "verdict", "chance", "held_C", "heater_W", "heater_for", "supply_set_by", "supply_carried", "dehumidifier_W",
             "first_cost_usd", "yearly_kWh", "yearly_cost", "changes")  # fmt: skip


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """Run a command as typed, and give what it printed; without figures, what-ifs and the likely range."""
    from contextlib import redirect_stdout
    from io import StringIO

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drawing, "_ready", lambda *_, **__: Figure(figsize=(1, 1)))
        patch.setattr(told_to, "what_if", lambda _: ())
        patch.setattr(told_to, "band", no_band)

        def run(*words):
            said, folder = StringIO(), tmp_path_factory.mktemp("out")
            with redirect_stdout(said):
                assert main([w.replace("OUT", str(folder)) for w in words]) == 0, words
            return said.getvalue(), folder

        yield run


@pytest.fixture(scope="module")
def ordered(ran, tmp_path_factory):
    """The four pairs in one orders file."""
    lines = ["reference,model,package,place,supply,unit,options"]
    for place, (package, changes) in ASKED.items():
        own = dict(c.split("=") for c in changes)
        lines.append(f'{place[:3]},plover-26g,{package},"{place}",{own.get("supply.cord", "")},{own.get("unit", "")},')
    file = tmp_path_factory.mktemp("orders") / "orders.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    found = json.loads(ran("orders", str(file), "--year", "--json")[0])["orders"]
    return dict(zip(ASKED, found, strict=True))


COMMANDS = ("year", "sheet", "supply", "compare", "notebook", "page")  # every other one at a place, the others at the next


def _plan_by(name, place, package, changes, words, ran):
    """The plan as one command gives it by itself."""
    if name in ("year", "supply"):
        return json.loads(ran(name, *words, "--json")[0])["plan"]
    if name == "compare":
        return json.loads(ran(name, "--packages", package, *words[2:], "--json")[0])["packages"][0]["plan"]
    if name == "sheet":
        sheet = json.loads((ran(name, *words, "-o", "OUT/s.json")[1] / "s.json").read_text(encoding="utf-8"))
        assert sheet["year_kWh"] == pytest.approx(sheet["plan"]["yearly_kWh"], abs=0.05)
        return sheet["plan"]
    if name == "notebook":
        return json.loads(json_text(size("plover-26g", place, changes, package).result.plan.record()))
    live = live_answer(live_case(said_of("plover-26g"), Path(), changes, package), Wishes(place=place))
    return json.loads(json_text(live.size.plan.record()))


@pytest.mark.parametrize("place", ASKED)
def test_every_command_by_itself_gives_the_same_plan(place, ran, ordered):
    package, changes = ASKED[place]
    own = tuple(w for c in changes for w in ("--set", c))
    words = ("--package", package, *own, "--place", place)
    sized = json.loads(ran("size", *words, "--json")[0])
    plan = sized["plan"]
    assert sized["plans"][0] == plan
    for name in COMMANDS if ALL else COMMANDS[list(ASKED).index(place) % 2 :: 2]:
        assert _plan_by(name, place, package, changes, words, ran) == plan, name
    row = ordered[place]
    assert {k: row[k] for k in IN_ORDERS} == {k: plan[k] for k in IN_ORDERS}
    assert (row["plan_unit"], row["plan_supply"]) == (plan["unit"], plan["supply"])


def test_the_papers_of_a_sale_print_the_three_plans_that_size_prints(ran):
    words = ("--package", "Breeze", "--place", "Duluth, MN")
    sized = json.loads(ran("size", *words, "--json")[0])
    folder = ran("papers", *words, "-o", "OUT")[1]
    results = json.loads((folder / "case.json").read_text(encoding="utf-8"))["results"]
    assert results["sizing"]["plans"] == sized["plans"] and results["run_load"]["plan"] == sized["plan"]
    page = words_of((folder / "sizing.html").read_text(encoding="utf-8"))
    assert all(p["unit"] in page and f"${p['first_cost_usd']:,.0f}" in page for p in sized["plans"])
