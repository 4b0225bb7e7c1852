"""Words on the command line: quantities, places, --set, notebook parameters, whole commands."""

from __future__ import annotations

import ast
import math
import random

import nbformat
import pytest

from heatcalc import units
from heatcalc.inputs.place.find_place import find_place
from heatcalc.notebooks import declared_parameters, read_parameters, with_parameters, workbook_path
from tests.fuzz.mutations import CANARY, UNITS, VALUES, WORDS, Tally, mutated_text, not_finite, seeds, tried

KINDS = sorted(units.KINDS)


def odd_quantity(rng: random.Random) -> str:
    """Any text, or what looks like a number with a unit."""
    if rng.random() < 0.4:
        spans = ((32, 127), (0, 0x300), (0x600, 0x3000), (0xFF00, 0xFFEF), (0x1F300, 0x1F700))
        return "".join(chr(rng.randrange(*rng.choice(spans))) for _ in range(rng.randrange(81)))
    digits = str(rng.randrange(10 ** rng.choice((1, 3, 9, 400))))
    point = rng.choice(("", "", f".{rng.randrange(10**6)}", ".", ",5", "e9", "e999"))
    unit = (
        "".join(rng.choices("abcdefghikmnprtuwBCFHKPUW°%/²' ", k=rng.randrange(9))) if rng.random() < 0.5 else rng.choice(UNITS)
    )
    return rng.choice(("", "-", "+", "R-", "U-")) + digits + point + rng.choice(("", "", "/8", "/0", " 1/2")) + unit


def test_any_text_is_a_finite_quantity_or_refused():
    """2,000 texts of every kind."""
    for seed in seeds(2000):
        rng = random.Random(seed)
        text, kind = odd_quantity(rng), rng.choice(KINDS)
        tried.one()
        try:
            assert math.isfinite(units.parse(text, kind)), (seed, text)
        except ValueError as problem:
            assert str(problem), (seed, text)


@pytest.mark.parametrize("kind", KINDS)
def test_any_value_is_a_finite_quantity_or_refused(kind):
    for value in [*WORDS, *VALUES]:
        tried.one()
        try:
            assert math.isfinite(units.parse(value, kind))
        except ValueError:
            continue


def test_any_place_is_found_or_refused():
    """400 texts, words that do not belong here, and pairs of numbers."""
    tally = Tally()
    for seed in seeds(400):
        rng = random.Random(seed)
        pair = "{:g}{}{:g}{}".format(
            rng.uniform(-200, 200), rng.choice((",", " ", ", ", ";", "N ")), rng.uniform(-200, 200), rng.choice(UNITS)
        )
        query = rng.choice(
            (odd_quantity(rng), rng.choice(WORDS), pair, f"{rng.uniform(25, 48):.3f},{rng.uniform(-124, -68):.3f}")
        )
        with tally.trying(seed):
            found = find_place(query)
            assert not not_finite(found) and -90 <= found.lat <= 90
    assert tally.accepted > 40


def test_misspelt_places():
    tally = Tally()
    for seed in seeds(600):
        rng = random.Random(seed)
        with tally.trying(seed):
            query = mutated_text(
                rng.choice(("Duluth, MN", "46.8,-92.1", "55802", "Cook County, IL", "Calgary, AB", "727450")), rng, 2
            )
            assert not not_finite(find_place(query))
    assert tally.accepted > 30


@pytest.fixture(scope="module")
def workbook():
    return nbformat.read(workbook_path("size_heat_pump"), as_version=4)


def _literals_only(source: str) -> None:
    """Nothing but `name = literal` lines: no call, no name is looked up."""
    for node in ast.parse(source).body:
        assert isinstance(node, ast.Assign), source
        ast.literal_eval(node.value)


def test_notebook_parameters_stay_literals(workbook):
    """2,500 words of -p over every type a workbook may declare; what is injected is literals alone."""
    declared = declared_parameters(workbook) | {
        "number": 1.5,
        "count": 3,
        "on": True,
        "several": ["a", "b"],
        "steps": [1, 2],
        "free": None,
    }
    tally, texts = (
        Tally(),
        [
            *WORDS,
            "[1e999]",
            "1e999",
            "0x" + "f" * 6000,
            "9" * 5000,
            "(" * 300,
            "-" * 9000 + "1",
            "[" * 90000,
            CANARY,
            "1+1",
            "True",
            "[1, 2]",
            "a,b",
            "{1: 2}",
            "__import__('os')",
            "1.5",
            "3",
            "[(1, [2])]",
            "b'x'",
            "...",
            "1j",
        ],
    )
    for seed in seeds(2500):
        rng = random.Random(seed)
        name = rng.choice(list(declared)) if rng.random() < 0.9 else rng.choice(WORDS)
        text = rng.choice(texts) if rng.random() < 0.7 else mutated_text(rng.choice(texts)[:200], rng)
        with tally.trying((seed, name, text[:60])):
            given_here = read_parameters([f"{name}={text}"], declared)
            assert not not_finite(given_here)
            cell = next(
                c for c in with_parameters(workbook, given_here).cells if "injected-parameters" in c.metadata.get("tags", [])
            )
            _literals_only(cell.source)
    assert tally.accepted > 300 and tally.refused > 500


@pytest.mark.parametrize(
    "source", ["x = print('ran')", "x = (", "x = a.b", "x = 1e999", "\x00", "x = " + "[" * 5000, "x = y = 1"]
)
def test_a_notebook_with_other_parameters_than_literals_is_refused_or_read(workbook, source, capsys):
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source, metadata={"tags": ["parameters"]})])
    tally = Tally()
    with tally.trying(source[:30]):
        declared_parameters(book)
    assert "ran" not in capsys.readouterr().out


HOUSE_CHANGES = [
    "air.tightness=0.1 ACH50",
    "air.tightness=60 ACH50",
    "ventilation.kind=none",
    "below.kind=slab",
    "below.kind=crawl space",
    "living.people=0",
    "living.people=8",
    "furniture=0 kg/m2",
    "set_points.cooling_humidity=70 %",
    "site.elevation=5000 m",
    "site.elevation=-100 m",
    "colours.roof=0.05",
    "design.heating=-60 F",
    "windows.0.u_value=8 W/m2K",
    "doors.0.u_value=8 W/m2K",
    "windows.0.shgc=0.05",
    "windows.0.inside_shade=0",
    "site.horizon=60 deg",
    "boxes=[]",
    "windows=[]",
    "doors=[]",
    "loft.area=0.5 m2",
    "set_points.heating=5 C",
    "set_points.night_heating=5 C",
    "design.cooling=55 C",
    "design.source=own",
    "living.unvented_heater=5 kW",
    "roof.form=gable",
    "roof.slope=2",
    "roof.slope=0",
    "body.length=2 m",
    "body.wall_height=1.8 m",
    "name=<b>{power:1}</b>",
]


def test_whole_sizings_of_odd_houses(capsys):
    """40 odd houses sized, every fourth of them said: numbers all finite, or one line."""
    from heatcalc.inputs.house.house_file import load_house
    from heatcalc.inputs.unit.unit_file import load_units
    from heatcalc.judge.sizing import size_house
    from heatcalc.render.as_text import as_text
    from heatcalc.report.about_size import about_size
    from heatcalc.report.size_values import candidate_record, size_values

    tally, shelf = Tally(), dict(list(load_units().items())[::4])  # odd is the house: a few units do
    for seed in seeds(40):
        rng = random.Random(seed)
        changes = rng.sample(HOUSE_CHANGES, rng.choice((1, 2, 3)))
        with tally.trying((seed, changes)):
            place = find_place(rng.choice(("Duluth, MN", "Phoenix, AZ", "Fairbanks, AK", "Miami, FL")))
            result = size_house(load_house(None, changes), place, shelf, walk=False)
            assert not not_finite([result.plan.record(), *map(candidate_record, result.candidates)]), changes
            if seed % 4 == 0:  # all that is said, the other plans too, is the dear part
                assert not not_finite(size_values(result)), changes
                assert "nan" not in as_text(about_size(result), "ip").lower().split()
    assert tally.accepted > 15
