"""Mutated house, assembly, unit, tariff, detail and weather inputs: a result without NaN, or one clear line."""

from __future__ import annotations

import random
import tomllib
from pathlib import Path

import pytest

from heatcalc.files import folder
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.assembly.detail import load_detail, read_detail
from heatcalc.inputs.checked import check
from heatcalc.inputs.house.house_file import house_from, load_house
from heatcalc.inputs.supply.supply_record import Tariff, load_tariff
from heatcalc.inputs.unit.unit_file import read_unit
from tests.fuzz.mutations import Tally, mutated, mutated_text, not_finite, put, seeds

SHIPPED = folder("workbooks")
FULL_HOUSE = """
name = "Everything"
note = "every table of a house file"
built_as = "park model"
bedrooms = 2
furniture = "20 kg/m2"
package = "Two"
[body]
length = "30 ft"
width = "8 ft 6 in"
wall_height = "9 ft"
[roof]
form = "gable"
slope = 0.4
[[roof.dormers]]
side = "left"
width = "4 ft"
face_height = "1 ft"
slope = 0.1
[[boxes]]
name = "bay"
length = "3 ft"
width = "6 ft"
height = "6 ft"
attached = "left"
below = "open air"
[loft]
area = "60 ft2"
warmer_by = "5 F"
[[windows]]
face = "left"
width = "3 ft"
height = "3 ft"
count = 2
u_value = "U-0.28"
shgc = 0.3
overhang = "1 ft"
overhang_above = "6 in"
inside_shade = 0.8
name = "big"
[[windows]]
box = "bay"
face = "left"
width = "30 in"
height = "3 ft"
type = "Hearth window"
[[doors]]
face = "right"
width = "3 ft"
height = "6 ft 8 in"
type = "Insulated metal door"
[assemblies]
wall = "Breeze wall"
[colours]
siding = "dark"
roof = 0.6
[below]
kind = "skirted"
skirt_u_value = "4 W/m2K"
height = "2 ft"
[[thermal_bridges]]
name = "edge"
psi = "0.2 W/mK"
length = "70 ft"
[air]
tightness = "250 cfm50"
shelter = "open"
[ventilation]
rate = "30 cfm"
kind = "balanced"
heat_recovery = "70 %"
moisture_recovery = "40 %"
[living]
people = 3
cooking = "propane"
refrigerator = "1 kWh"
unvented_heater = "500 W"
[set_points]
heating = "70 F"
cooling = "76 F"
night_heating = "64 F"
night_from = 22
cooling_humidity = "50 %"
[design]
heating = "-5 F"
cooling = "88 F"
daily_range = "20 F"
source = "the county"
[site]
front_faces = "south"
elevation = "1200 ft"
horizon = "10 deg"
[supply]
cord = "50 A 120/240 V"
length = "25 ft"
appliances = ["refrigerator", { name = "kettle", watts = "1500 W" }]
lock_outs = [["kettle", "heat pump"]]
[supply.generator]
rated = "3500 W"
surge = "4000 W"
[supply.battery]
capacity = "5 kWh"
[[supply.closed_rooms]]
name = "bedroom"
area = "80 ft2"
volume = "600 ft3"
[tariff]
name = "evenings"
kind = "time-of-use"
price = 0.12
[[tariff.periods]]
name = "peak"
price = 0.3
from_hour = 17
to_hour = 21
months = [12, 1, 2]
days = "weekdays"
[packages.Two.air]
tightness = "2.0 ACH50"
"""
TIERED = {
    "name": "tiers",
    "kind": "tiered",
    "monthly_charge": 9.5,
    "year": "2025",
    "source": "bill",
    "tiers": [{"up_to_kWh": 500.0, "price": 0.1}, {"up_to_kWh": 1000, "price": 0.15}, {"price": 0.2}],
}


@pytest.fixture(scope="module")
def full_house():
    said = tomllib.loads(FULL_HOUSE)
    house_from(said)
    return said


@pytest.mark.parametrize("start", [0, 3000])
def test_house_tables(full_house, start):
    """6,000 houses as tables, half of the changes near misses."""
    tally, demo = Tally(), tomllib.loads((SHIPPED / "houses" / "plover-26g.toml").read_text(encoding="utf-8"))
    for seed in seeds(3000, start):
        rng = random.Random(seed)
        said = mutated(full_house if seed % 3 else demo, rng)
        with tally.trying(seed):
            assert not not_finite(house_from(said))
    assert tally.accepted > 300 and tally.refused > 1000


def test_house_files(tmp_path):
    """1,500 house files as text."""
    tally, file = Tally(), tmp_path / "house.toml"
    for seed in seeds(1500):
        rng = random.Random(seed)
        put(file, mutated_text(FULL_HOUSE, rng))
        with tally.trying(seed):
            assert not not_finite(load_house(file))
    assert tally.accepted > 15 and tally.refused > 500


def test_set_words(full_house):
    """3,000 words of --set over every key of a house."""
    keys, tally = _dotted(full_house), Tally()
    for seed in seeds(3000):
        rng = random.Random(seed)
        key = rng.choice(keys) if rng.random() < 0.8 else mutated_text(rng.choice(keys), rng)
        odd = ("1", "[1]", "{a=1}", "[[", '"8 ft"', "-1", "nan", "²")
        value = mutated_text('"3 ft"', rng) if rng.random() < 0.4 else rng.choice(odd)
        with tally.trying(seed):
            assert not not_finite(house_from(full_house, [f"{key}={value}"]))
    assert tally.accepted > 100 and tally.refused > 1000


def _dotted(said, before=""):
    keys = []
    items = said.items() if isinstance(said, dict) else enumerate(said) if isinstance(said, list) else ()
    for key, value in items:
        keys += [f"{before}{key}", *_dotted(value, f"{before}{key}.")]
    return keys


@pytest.mark.parametrize(("name", "count"), [("walls", 900), ("roofs_floors", 700), ("windows_doors", 400)])
def test_assembly_files(tmp_path, name, count):
    """2,000 assembly files: one entry of the shelf a time, as a table and as text."""
    text = (SHIPPED / "assemblies" / f"{name}.toml").read_text(encoding="utf-8")
    entries = [(key, {key: entry}) for key, entry in tomllib.loads(text).items()]
    tally, file = Tally(), tmp_path / "assemblies.toml"
    for seed in seeds(count):
        rng = random.Random(seed)
        _, entry = rng.choice(entries)
        content = as_toml(mutated(entry, rng)) if seed % 4 else mutated_text(as_toml(entry), rng)
        put(file, content)
        with tally.trying(seed):
            found = load_assemblies(file)
            assert not not_finite(found)
            assert all(0 < a.u_value_W_m2K < 20 for a in found.values()), "U-value without meaning"
    assert tally.accepted > 30 and tally.refused > count // 3


def as_toml(said, name=None) -> str:
    """Nested tables as inline TOML; what TOML cannot say is left as Python says it."""
    if name is None:
        return "\n".join(f"{_key(k)} = {as_toml(v, k)}" for k, v in said.items()) + "\n"
    if isinstance(said, dict):
        return "{ " + ", ".join(f"{_key(k)} = {as_toml(v, k)}" for k, v in said.items()) + " }"
    if isinstance(said, list):
        return "[" + ", ".join(as_toml(v, name) for v in said) + "]"
    if isinstance(said, str):
        return '"' + "".join(c if c.isprintable() and c not in '"\\' else f"\\u{ord(c):04x}" for c in said) + '"'
    return {True: "true", False: "false"}.get(said, repr(said)) if isinstance(said, bool) else repr(said)


def _key(key) -> str:
    return as_toml(str(key), "")


def test_unit_csv_files(tmp_path):
    """3,000 unit files as CSV."""
    text = (SHIPPED / "units" / "example_submittal.csv").read_text(encoding="utf-8")
    generic = (SHIPPED / "units" / "G12-C-230.csv").read_text(encoding="utf-8")
    tally, file = Tally(), tmp_path / "unit.csv"
    for seed in seeds(3000):
        rng = random.Random(seed)
        put(file, mutated_text(text if seed % 2 else generic, rng))
        with tally.trying(seed):
            assert not not_finite(read_unit(file))
    assert tally.accepted > 200 and tally.refused > 700


def _point(outdoor_F, level, capacity_Btuh, power_W):
    return {"outdoor": f"{outdoor_F} F", "level": level, "capacity": f"{capacity_Btuh} Btu/h", "power": f"{power_W} W"}


UNIT = {
    "name": "Fuzz 12",
    "size": "12 kBtu/h",
    "class": "cold",
    "voltage": "230 V",
    "mca": "10 A",
    "mop": "15 A",
    "refrigerant": "R-32",
    "charge": "0.95 kg",
    "lowest_heating": "-13 F",
    "lowest_cooling": "14 F",
    "pan_heater": "65 W",
    "standby": "4 W",
    "crankcase": "25 W",
    "sound": 22,
    "source": "invented",
    "heating": [
        _point(*p) for p in ((47, "min", 3400, 190), (47, "max", 17600, 1620), (17, "max", 13500, 1560), (5, "max", 11800, 1470))
    ],
    "cooling": [_point(*p) for p in ((95, "min", 3300, 200), (95, "max", 13600, 1240), (82, "max", 14200, 1000))],
}


def test_unit_toml_files(tmp_path):
    """1,200 unit files as TOML."""
    tally, file = Tally(), tmp_path / "unit.toml"
    for seed in seeds(1200):
        put(file, as_toml(mutated(UNIT, random.Random(seed))))
        with tally.trying(seed):
            assert not not_finite(read_unit(file))
    assert tally.accepted > 40 and tally.refused > 400


def test_gaps_in_power(tmp_path):
    """A few unit files whose power is left out at odd places: numbers or a line, never NaN."""
    tally, file = Tally(), tmp_path / "unit.toml"
    for seed in range(2):
        rng, said = random.Random(seed), {**UNIT, "heating": [dict(p) for p in UNIT["heating"]]}
        said["heating"][rng.randrange(4)].pop("power")
        said["cooling"] = [{**UNIT["cooling"][1], "power": f"{rng.choice((700, 1240, 3000))} W"}]
        put(file, as_toml(said))
        with tally.trying(seed):
            assert not not_finite(read_unit(file))
    assert tally.accepted >= 1


def test_tariffs(tmp_path):
    """2,000 tariffs, as tables and as files."""
    tally, file = Tally(), tmp_path / "tariff.toml"
    peak = tomllib.loads(FULL_HOUSE)["tariff"]
    for seed in seeds(2000):
        rng = random.Random(seed)
        said = mutated(TIERED if seed % 2 else peak, rng)
        with tally.trying(seed):
            if seed % 4 == 0:
                put(file, as_toml(said))
                assert not not_finite(load_tariff(file))
            else:
                assert not not_finite(check(Tariff, said, "tariff"))
    assert tally.accepted > 100 and tally.refused > 800


@pytest.mark.parametrize("name", ["wall-corner", "floor-edge"])
def test_details(tmp_path, name):
    """600 drawings, as tables and as files."""
    source = SHIPPED / "details" / f"{name}.toml"
    text = source.read_text(encoding="utf-8")
    said, tally, file = tomllib.loads(text), Tally(), tmp_path / "detail.toml"
    for seed in seeds(300):
        rng = random.Random(seed)
        with tally.trying(seed):
            if seed % 3 == 0:
                put(file, mutated_text(text, rng))
                assert not not_finite(load_detail(str(file)))
            else:
                assert not not_finite(read_detail(mutated(said, rng), name, name))
    assert tally.accepted > 30 and tally.refused > 60


def test_what_is_said_stays_what_is_said():
    """Whatever the reader is given it leaves as it was: cases are hashed afterwards."""
    said = tomllib.loads(FULL_HOUSE)
    before = repr(said)
    house_from(said, ["air.tightness=3.0 ACH50", "windows.0.width=2 ft"])
    assert repr(said) == before


def test_files_are_read_where_they_are(tmp_path, monkeypatch):
    """A bare name finds the file in the present folder first."""
    monkeypatch.chdir(tmp_path)
    Path("plover-26g.toml").write_text(FULL_HOUSE, encoding="utf-8")
    assert load_house("plover-26g.toml").name == "Everything"
