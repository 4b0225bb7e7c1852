"""One row of `part_kinds.KINDS` is all a new kind of part needs: an invented one is met by every question."""

import json
from dataclasses import replace

import pytest

from heatcalc.answers.study.chances import fast_case
from heatcalc.answers.study.tornado import case_of, evaluate, weathers
from heatcalc.answers.study.uncertain import moved, uncertain_inputs
from heatcalc.answers.year.year_answer import year_answer
from heatcalc.cli import main
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.many_loads import many_loads
from heatcalc.judge.sites import sites_of, skies_of
from heatcalc.model.house_model import house_model
from heatcalc.model.part import OpaquePart, PartKind
from heatcalc.model.parts import KINDS
from heatcalc.physics.shell.shape import Surface
from heatcalc.physics.zone.zone import ElementBody
from heatcalc.tables import rows

WORD, R_BETWEEN, HIGH_M = "skylight curbs", 0.6, 0.15
HERE = ("--place", "Burlington, VT")
PLACE = find_place("Burlington, VT")
LIT = """name = "Lit"
[body]
length = "24 ft"
width = "8.5 ft"
wall_height = "9 ft"
[roof]
form = "shed"
slope = "1/12"
high_side = "left"
[[windows]]
face = "front"
width = "3 ft"
height = "3 ft"
[[windows]]
face = "roof"
width = "2 ft"
height = "4 ft"
count = 4
"""


def curbs(kind, described):
    """Upright boards around every skylight: perimeter x 0.15 m, R 0.6 between its films; invented."""
    return tuple(
        OpaquePart(
            surface=Surface(
                name=f"curb of {p.label}",
                part=kind.name,
                face=p.face,
                area_m2=2 * (p.opening.width + p.opening.height) * p.opening.count * HIGH_M,
                tilt_deg=p.tilt_deg,
            ),
            of=kind,
            fabric=None,
            body=ElementBody(resistance=(R_BETWEEN,), capacity=(0.0,)),
            u_value=1.0 / (0.13 + R_BETWEEN + 0.04),
            r_inside=0.13,
            r_outside=0.04,
            source="invented",
            line="a board around a skylight",
        )
        for p in described.shell.windows
        if p.tilt_deg < 60.0
    )


@pytest.fixture
def plain(tmp_path):
    """The house before it knew curbs."""
    path = tmp_path / "lit.toml"
    path.write_text(LIT, encoding="utf-8")
    return path, house_model(load_house(path), PLACE.elevation_m)


@pytest.fixture
def lit(plain, monkeypatch):
    """The house file, and its model without curbs; from here on there are some."""
    row = PartKind(name="skylight curb", word=WORD, uncertain="bridges", made=curbs, flow=("up", "down"), load_factor="roof")
    monkeypatch.setitem(KINDS, row.name, row)
    return plain


def said(capsys, *words):
    code = main([*words, *HERE, "--json"])
    out = capsys.readouterr()
    assert code == 0, out.err
    return json.loads(out.out)


def test_the_model_gains_just_what_the_kind_adds(lit):
    path, before = lit
    model = house_model(load_house(path), PLACE.elevation_m)
    more = [p for p in model.opaque if p.component == WORD]
    assert model.components[-1] == WORD and len(more) == 1
    assert sum(model.ua_W_K.values()) - sum(before.ua_W_K.values()) == pytest.approx(more[0].ua_W_K)


def test_size_loads_explain_and_compare_name_it(lit, capsys):
    path = str(lit[0])
    heat = said(capsys, "size", path)["heating_components_W"][WORD]
    assert heat > 0
    by_hand = said(capsys, "loads", path)["methods"]
    for rows_of in (by_hand["heating"], by_hand["cooling"]):
        row = next(r for r in rows_of if r["component"] == WORD)
        assert all(row[f"{method}_W"] for method in ("network", "load_factor", "time_series"))
    assert WORD in json.dumps(said(capsys, "explain", path, WORD.replace(" ", "_")))
    assert main(["compare", path, *HERE]) == 0


def test_the_year_and_the_reach_carry_it(lit):
    path, before = lit
    house = load_house(path)
    model = house_model(house, PLACE.elevation_m)
    found = year_answer(house, PLACE, folder=path.parent)
    assert WORD in found.needs.balance_kWh
    skies = skies_of(sites_of([PLACE]))
    wide, once = (many_loads(m, skies).heating_W[0] for m in (model, before))
    assert wide > once


def test_its_uncertain_input_moves_it_and_the_fast_chances_count_it(lit):
    sized, case = case_of(load_house(lit[0]), PLACE, "G12-C-230")
    assert "bridges" in {u.name for u in uncertain_inputs(case)}
    worse = moved(case, "bridges", 2.0)
    ua = [sum(p.ua_W_K for p in c.model.opaque if p.component == WORD) for c in (case, worse)]
    assert ua[1] == pytest.approx(2.0 * ua[0])
    fast, brings = fast_case(case), weathers(case)
    assert float(fast.heating_W({})[0]) == pytest.approx(sized.heating.load_W, rel=1e-9)
    exact = evaluate(worse, brings, sized.designer, 0.0).heating_W
    lossy = float(fast.heating_W({"bridges": [2.0]})[0])
    assert lossy - sized.heating.load_W > 0.9 * sized.heating.components_W[WORD]
    assert lossy == pytest.approx(exact, rel=5e-3)  # the answer's own limit


def test_a_kind_under_the_loft_takes_its_share_of_the_warm_layer(lit, monkeypatch):
    monkeypatch.setitem(KINDS, "skylight curb", replace(KINDS["skylight curb"], under_loft=True))
    with_loft = load_house(lit[0], ['loft.area="60 sq ft"'])
    sized, case = case_of(with_loft, PLACE, "G12-C-230")
    assert float(fast_case(case).heating_W({})[0]) == pytest.approx(sized.heating.load_W, rel=1e-9)


def test_every_row_names_rows_that_exist():
    inputs = {r["name"] for r in rows("uncertain_inputs")}
    for kind in KINDS.values():
        assert kind.uncertain in inputs and kind.word and kind.series in ("wall", "roof", "") and kind.load_factor
