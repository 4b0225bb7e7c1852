"""Every word counts: each key of the house file set to another legal value changes an answer, or the answer says why not."""

import copy
import random
from functools import cache

import numpy as np
import pytest

from heatcalc.inputs.checked import _inner_model
from heatcalc.inputs.house.house_file import house_from
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.usual import doubts_of_house
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.supply.money import bill
from heatcalc.supply.supply_check import check_supply
from tests.fuzz.mistakes import at, put
from tests.fuzz.mistakes_in_houses import valid_house

PRINTED = {  # words that an answer prints, as they are
    "name", "note", "boxes.*.name", "windows.*.name", "doors.*.name", "thermal_bridges.*.name", "design.source",
    "living.uses.*.name", "supply.appliances.*.name", "supply.closed_rooms.*.name",
    "tariff.name", "tariff.year", "tariff.source", "tariff.periods.*.name",
}  # fmt: skip
YEAR = {"set_points.night_from", "set_points.night_to"}  # the night shows in the year: tests/laws/test_year.py
FILES = {"assemblies.file", "units", "unit", "package"}  # each names another file's content: tests/commands
OTHER = {
    "built_as": "park model", "body.length": "21.3 ft", "body.width": "9.2 ft", "body.wall_height": "9.3 ft", "roof.form": "shed",
    "roof.slope": 0.4, "boxes.*.length": "3 ft", "boxes.*.width": "6 ft", "boxes.*.height": "5 ft", "boxes.*.attached": "front",
    "loft.area": "45 ft2", "loft.warmer_by": "8 F", "bedrooms": 2, "windows.*.face": "right", "windows.*.width": "1.7 ft",
    "windows.*.height": "1.7 ft", "windows.*.count": 3, "windows.*.u_value": "U-0.21", "windows.*.shgc": 0.55,
    "windows.*.overhang": "3 ft", "windows.*.overhang_above": "2 ft", "windows.*.inside_shade": 0.5, "doors.*.face": "back",
    "doors.*.width": "2.5 ft", "doors.*.height": "6 ft", "doors.*.count": 2, "doors.*.u_value": "U-0.5",
    "assemblies.wall": "Hearth wall", "assemblies.roof": "Hearth roof", "assemblies.floor": "Hearth floor",
    "colours.siding": "dark",
    "colours.roof": "light", "below.kind": "open air", "below.skirt_u_value": "U-1.0", "below.height": "3 ft",
    "thermal_bridges.*.length": "20 ft", "thermal_bridges.*.psi": "0.2 W/mK", "thermal_bridges.*.part": "wall",
    "air.tightness": "12 ACH50", "air.shelter": "exposed", "air.flue": True, "air.flow_exponent": 0.75,
    "ventilation.rate": "80 cfm",
    "ventilation.kind": "none", "ventilation.heat_recovery": 0.6, "ventilation.moisture_recovery": 0.4, "living.people": 4,
    "living.home": "all day", "living.cooking": "propane", "living.showers_per_person": 2.0, "living.loads_per_week": 8,
    "living.laundry": "drying indoors", "living.plants": 9, "living.refrigerator": "2 kWh", "living.lights": "1 kWh",
    "living.electronics": "3 kWh", "living.unvented_heater": "400 W", "set_points.heating": "66 F", "set_points.cooling": "80 F",
    "set_points.cooling_humidity": 0.6, "design.heating": "-25 F", "design.cooling": "90 F", "design.cooling_wet_bulb": "73 F",
    "design.daily_range": "12 F", "design.percentile": "99.6 %", "site.front_faces": "northwest", "site.elevation": "5000 ft",
    "site.ground_reflectance": 0.6, "site.horizon": "20 deg", "supply.cord": "30 A 120/240 V", "supply.length": "140 ft",
    "supply.gauge_awg": 4, "supply.conductor_temperature": "90 F", "supply.appliances.*.watts": "900 W",
    "supply.appliances.*.breaker": "15 A", "supply.appliances.*.together": False, "supply.appliances.*.season": "cold",
    "supply.appliances.*.starting": "4000 W", "supply.lock_outs": [["range", "pump"]], "supply.generator.rated": "2500 W",
    "supply.generator.surge": "6000 W", "supply.generator.unit_start": 4.0, "supply.battery.capacity": "20 kWh",
    "supply.battery.usable": 0.6, "supply.battery.efficiency": 0.7, "supply.battery.inverter": "1000 W", "tariff.price": 0.5,
    "tariff.monthly_charge": 40.0, "roof.high_side": "right", "below.vent_area_per_length": "10 mm",
    "assemblies.window": "Hearth window", "assemblies.door": "Solid wood door",
    "windows.*.type": "Hearth window",
}  # fmt: skip


def keys(model=House, before: str = ""):
    for name, field in model.model_fields.items():
        inner = _inner_model(field.annotation)
        path = f"{before}{name}{'.*' if inner and 'tuple' in str(field.annotation) else ''}"
        yield from keys(inner, f"{path}.") if inner else (path,)


@cache
def place():
    return find_place("Duluth, MN")


def base() -> dict:
    """A valid house of the generator; own design values left out, so that the record's percentile counts."""
    said = valid_house(random.Random(3))
    for appliance in said["supply"]["appliances"]:
        appliance["together"] = True
    return said


def plain(thing) -> str:
    """Numbers as they are, arrays whole."""
    with np.printoptions(threshold=100_000):
        return repr(thing)


def fingerprint(said: dict, deep: bool) -> tuple[str, ...]:
    """What answers are made of, numbers only and cheap ones first; deep: the design loads hour by hour."""
    house = house_from(said)
    height = place().elevation_m if house.site.elevation is None else house.site.elevation
    model = house_model(house, height)
    designer = designer_of(model, place())
    c, day = designer.conditions, (living_day(house.living), living_day(house.living, True))
    supply = check_supply(house.supply, 8.0, 9.0, 230.0, 1e3, None, height, c.heating_C, 35.0, 10.0, 15.0, house.built_as, 500.0)
    shell = (model.shell.surfaces, model.volume_m3, model.floor_area_m2, model.shell.perimeter_m)
    windows = [(w.u_value, w.shgc, w.area_m2, w.sky_view) for w in model.windows]
    cord = (
        supply.passes,
        supply.cold,
        supply.hot,
        supply.circuits,
        supply.drop,
        supply.generator,
        supply.battery,
        supply.on_demand,
    )
    few = (shell, tuple(model.ua_W_K.values()), windows, day, c, cord, supply.smallest_cord)
    money = bill(np.full((12, 24), 20.0), house.tariff)
    many = (designer.heating(), designer.cooling) if deep else ()
    return tuple(plain(x) for x in (*few, money.energy_cost, money.monthly_charge, *many))


def effect(key: str) -> str:
    """Where another value shows: in an answer's parts, in its loads, or as a sentence; empty where it is lost."""
    before, after = base(), base()
    for said in (before, after):
        if key == "design.percentile":
            said.pop("design")
        if key == "ventilation.kind":
            said["ventilation"].pop("heat_recovery")
    table = key.rpartition(".")[0].replace("*", "0")
    if table and "." not in table:
        after.setdefault(table, {})
    put(key.replace("*", "0"), OTHER[key])(after, random.Random(0))
    sentence = f"{key.replace('*', '0')} changes nothing here"
    if any(sentence in str(q) for q in doubts_of_house(house_from(copy.deepcopy(after)))):
        assert fingerprint(copy.deepcopy(before), True) == fingerprint(copy.deepcopy(after), True), f"{key} does change something"
        return "said"
    for deep in (False, True):
        if fingerprint(copy.deepcopy(before), deep) != fingerprint(copy.deepcopy(after), deep):
            return "loads" if deep else "parts"
    return ""


@pytest.mark.parametrize("key", OTHER)
def test_another_value_changes_an_answer_or_is_said_to_change_nothing(key):
    assert effect(key)


def test_most_keys_are_tried():
    """A key that is new in the schema belongs into OTHER; what is left shows in the year, the cord's page or the screening."""
    known = set(keys())
    assert set(OTHER) <= known, set(OTHER) - known
    assert len(OTHER) + len(PRINTED) + len(FILES) + len(YEAR) >= len(known) / 2


def test_values_tried_are_other_values():
    said = base()
    for key, value in OTHER.items():
        try:
            assert at(said, key.replace("*", "0")) != value, key
        except (KeyError, IndexError):
            continue


def test_the_check_can_fail(monkeypatch):
    """A key that changes no number and is not said to be idle shows as lost."""
    monkeypatch.setitem(OTHER, "note", "another")
    assert effect("note") == ""
