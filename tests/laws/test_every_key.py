"""Every word counts: each key of the house file set to another legal value changes an answer, or the answer says why not."""

import copy
import random
from collections import namedtuple
from dataclasses import replace
from functools import cache, cached_property

import numpy as np
import pytest

from heatcalc.answers.year.on_cord import priority_of
from heatcalc.inputs.checked import _inner_model
from heatcalc.inputs.house.house_file import house_from
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.living import living_day
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import year_at
from heatcalc.inputs.usual import doubts_of_house
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.household import household_year, set_points
from heatcalc.model.year_drivers import MONTH_OF_HOUR, lived, weather_year, with_air, year_house
from heatcalc.physics.year.kernel_pack import Drive
from heatcalc.supply.charge import rooms_of, screen_charge
from heatcalc.supply.money import bill, propane_of
from heatcalc.supply.off_grid import array_power
from heatcalc.supply.overload import TwoState, leg_sum
from heatcalc.supply.supply_check import check_supply
from tests.fuzz.mistakes import at, put
from tests.fuzz.mistakes_in_houses import valid_house

PRINTED = {  # words that an answer prints, as they are
    "name", "note", "boxes.*.name", "windows.*.name", "doors.*.name", "thermal_bridges.*.name", "design.source",
    "living.uses.*.name", "supply.appliances.*.name", "supply.closed_rooms.*.name",
    "tariff.name", "tariff.year", "tariff.source", "tariff.periods.*.name",
}  # fmt: skip
FILES = {"assemblies.file", "units", "unit", "package"}  # each names another file's content: tests/commands
FILES |= {"fleet.leaks", "fleet.loss"}  # tests/laws/test_fleet.py
ONE_VALUE = {"indoor_unit"}  # one legal value: the others are refused, tests/laws/test_what_houses_do.py
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
    "air.head_flow": "450 cfm",
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
    "supply.generator.fuel": "propane",
    "supply.generator.surge": "6000 W", "supply.generator.unit_start": 4.0, "supply.battery.capacity": "20 kWh",
    "supply.battery.usable": 0.6, "supply.battery.efficiency": 0.7, "supply.battery.inverter": "1000 W", "tariff.price": 0.5,
    "tariff.monthly_charge": 40.0,
    "tariff.daily_charge": 0.5, "tariff.minimum_charge": 400.0, "tariff.added_price": 0.02,
    "tariff.tax": "8 %", "tariff.tiers.*.months": [1, 2, 3], "roof.high_side": "right", "below.vent_area_per_length": "10 mm",
    "assemblies.window": "Hearth window", "assemblies.door": "Solid wood door",
    "windows.*.type": "Hearth window", "windows.*.box": "bay", "windows.*.side_fins": "1 ft", "windows.*.fins_beside": "8 in",
    "windows.*.insect_screen": 0.5, "windows.*.shade_from": 12, "windows.*.shade_to": 11, "windows.*.slats_level": 0.3,
    "windows.*.slats_steep": 0.2, "windows.*.shutter": "R-4", "windows.*.shutter_from": 23, "windows.*.shutter_to": 9,
    "windows.*.shutter_closed": "always",
    "doors.*.box": "bay", "doors.*.type": "Foam-core door", "boxes.*.below": "same as body",
    "roof.dormers.*.side": "right", "roof.dormers.*.width": "5 ft", "roof.dormers.*.face_height": "1.4 ft",
    "roof.dormers.*.slope": 0.15, "below.soil_conductivity": "2.5 W/mK", "thermal_bridges.*.detail": "wheel-well",
    "trailer": "deck over the wheels", "furniture": "45 kg/m2", "ventilation.frost_below": "10 F", "ventilation.preheat": "300 W",
    "ventilation.night_fan": "200 cfm", "ventilation.night_from": 22, "ventilation.night_to": 5,
    "ventilation.night_when": "always",
    "ventilation.night_window": "4 ft2", "design.cooling_dew_point": "72 F", "living.water_heater": "tank 240 V",
    "living.water_heater_place": "outside", "living.hot_water": "30 gal", "living.hot_water_temperature": "140 F",
    "living.unvented_heater_when": "all year", "living.uses.*.energy": "2 kWh", "living.uses.*.watts": "700 W",
    "living.uses.*.volts": 240, "living.uses.*.hours": "evening", "living.uses.*.season": "cold",
    "living.uses.*.heat_to_room": 0.2,
    "set_points.night_heating": "60 F", "set_points.night_from": 20, "set_points.night_to": 8,
    "set_points.schedule.*.days": "weekend", "set_points.schedule.*.from_hour": 11, "set_points.schedule.*.to_hour": 18,
    "set_points.schedule.*.heating": "60 F", "set_points.schedule.*.cooling": "83 F", "set_points.away.*.from_date": "01-05",
    "set_points.away.*.to_date": "02-28", "set_points.away.*.heating": "45 F", "set_points.away.*.cooling": "85 F",
    "supply.appliances.*.circuit": "kitchen", "supply.appliances.*.continuous": True, "supply.appliances.*.leg": 2,
    "supply.appliances.*.minutes": 90, "supply.appliances.*.volts": 240, "supply.priority": ["pump", "range"],
    "supply.closed_rooms.*.area": "150 ft2", "supply.closed_rooms.*.volume": "900 ft3", 
    "supply.closed_rooms.*.indoor_unit": False, "supply.indoor_unit": "floor",
    "supply.indoor_unit_height": "5 ft", "supply.generator.start_altitude": "500 ft",
    "supply.generator.altitude_step": "800 ft", "supply.generator.loss_per_altitude_step": 0.06,
    "supply.generator.start_temperature": "60 F", "supply.generator.temperature_step": "18 F",
    "supply.generator.loss_per_temperature_step": 0.06, "supply.solar.watts": "900 W", "supply.solar.tilt": "40 deg",
    "supply.solar.faces": "east", "supply.solar.losses": 0.3, "tariff.kind": "tiered", "tariff.tiers.*.price": 0.4,
    "tariff.tiers.*.up_to_kWh": 250, "tariff.periods.*.price": 0.6, "tariff.periods.*.from_hour": 12,
    "tariff.periods.*.to_hour": 23, "tariff.periods.*.months": [6, 7], "tariff.periods.*.days": "weekdays",
    "tariff.currency": "CAD", "tariff.propane_price": 3.5, "tariff.propane_unit": "litre",
}  # fmt: skip
LATE, TIERS = {"name": "late", "price": 0.3, "from_hour": 16, "to_hour": 21}, [{"up_to_kWh": 600, "price": 0.1}, {"price": 0.2}]
# what the house must also say for a key to speak; the longest beginning of the key counts
FIRST: dict[str, dict] = {
    "ventilation.kind": {"ventilation.heat_recovery": None},
    "design.percentile": {"design": None},
    "windows.*.type": {"windows.0.u_value": None, "windows.0.shgc": None},
    "windows.*.box": {"windows.0.face": "right", "windows.0.width": "2 ft", "windows.0.height": "2 ft"},
    "doors.*.box": {"doors.0.face": "right", "doors.0.height": "5 ft"},
    "windows.*.fins_beside": {"windows.0.side_fins": "1 ft"},
    "windows.*.slats_level": (
        slats := {"windows.0.slats_level": 0.9, "windows.0.slats_steep": 0.6, "windows.0.inside_shade": 0.8}
    ),
    "windows.*.slats_steep": slats,
    "windows.*.shade_from": (shade := {"windows.0.inside_shade": 0.5}),
    "windows.*.shade_to": shade,
    "windows.*.shutter_from": (shutter := {"windows.0.shutter": "R-3"}),
    "windows.*.shutter_to": shutter,
    "windows.*.shutter_closed": shutter,
    "ventilation.night_from": (aired := {"ventilation.night_window": "4 ft2"}),
    "ventilation.night_to": aired,
    "ventilation.night_when": aired,
    "doors.*.type": {"doors.0.u_value": None},
    "roof.dormers": {"roof.slope": 0.5, "roof.dormers": [{"side": "left", "width": "4 ft", "face_height": "1 ft", "slope": 0.1}]},
    "below.soil_conductivity": {"below": {"kind": "slab"}},
    "thermal_bridges.*.detail": {"thermal_bridges.0.psi": None, "thermal_bridges.0.detail": "floor-edge"},
    "living.unvented_heater_when": {"living.unvented_heater": "400 W"},
    "living.uses": {"living.uses": [{"name": "kiln", "energy": "1 kWh", "watts": "600 W"}]},
    "set_points.schedule": {"set_points.schedule": [{"from_hour": 8, "to_hour": 16, "heating": "62 F", "cooling": "80 F"}]},
    "set_points.away": {"set_points.away": [{"from_date": "01-10", "to_date": "02-10", "cooling": "83 F"}]},
    "supply.appliances.*.minutes": {"supply.appliances.0.name": "press", "supply.appliances.0.minutes": 20},
    "supply.priority": {"supply.lock_outs": [["range", "pump"]]},
    "supply.closed_rooms": {"supply.closed_rooms": [{"name": "bedroom", "area": "90 ft2", "volume": "700 ft3"}]},
    "supply.generator": {"supply.generator.start_altitude": "1000 ft", "supply.generator.start_temperature": "70 F"},
    "supply.solar": {"supply.solar": {"watts": "600 W"}},
    "tariff.propane_unit": {"tariff.propane_price": 2.5},
    "tariff.tiers": {"tariff": {"kind": "tiered", "tiers": TIERS}},
    "tariff.periods": {"tariff": {"kind": "time-of-use", "price": 0.1, "periods": [LATE]}},
}
ALSO = {"tariff.kind": {"tariff.tiers": TIERS}}  # what the other value itself asks for


def keys(model=House, before: str = ""):
    for name, field in model.model_fields.items():
        inner = _inner_model(field.annotation)
        path = f"{before}{name}{'.*' if inner and 'tuple' in str(field.annotation) else ''}"
        yield from keys(inner, f"{path}.") if inner else (path,)


@cache
def place():
    return find_place("Duluth, MN")


@cache
def brings():
    return weather_year(year_at(place()))


def with_words(said: dict, words: dict) -> dict:
    """Values put at dotted paths; None takes one away."""
    for path, value in words.items():
        way, _, last = path.rpartition(".")
        if value is None:
            (at(said, way) if way else said).pop(last, None)
        else:
            put(path, copy.deepcopy(value))(said, random.Random(0))
    return said


def base(key: str, first: dict | None = None) -> dict:
    """A valid house of the generator that says what the key needs to speak, or `first`."""
    said = valid_house(random.Random(3))
    said["site"]["front_faces"] = "south"
    for appliance in said["supply"]["appliances"]:
        appliance["together"] = True
    if first is None:
        begins = [start for start in FIRST if key == start or key.startswith(f"{start}.")]
        first = FIRST[max(begins, key=len)] if begins else {}
    return with_words(said, first)


def plain(thing) -> str:
    """Numbers as they are, arrays whole."""
    with np.printoptions(threshold=100_000):
        return thing.tobytes().hex() if isinstance(thing, np.ndarray) else repr(thing)


class Answers:
    """What answers are made of, as numbers, cheap ones first."""

    def __init__(self, said: dict):
        self.house = house_from(copy.deepcopy(said))
        self.height = place().elevation_m if self.house.site.elevation is None else self.house.site.elevation

    @cached_property
    def model(self):
        return house_model(self.house, self.height)

    @cached_property
    def designer(self):
        return designer_of(self.model, place())

    def money(self):
        found = bill(np.arange(20.0, 308.0).reshape(12, 24), self.house.tariff)
        return found.month_cost, plain(propane_of(self.house.tariff, "MN"))

    def shell(self):
        m = self.model
        windows = [(w.u_value, w.shgc, w.area_m2, w.sky_view) for w in m.windows]
        surfaces = (m.shell.surfaces, m.volume_m3, m.floor_area_m2, m.shell.perimeter_m)
        return surfaces, tuple(m.ua_W_K.values()), windows, self.designer.conditions

    def household(self):
        living = self.house.living
        year = household_year(living, brings().outdoor_C, self.house.set_points.heating)
        watts = [plain(w) for rows in (year.electric_W, year.propane_W) for w in rows.values()]
        return living_day(living), living_day(living, True), watts

    def cord(self):
        h, c = self.house, self.designer.conditions
        found = check_supply(h.supply, 8.0, 9.0, 230.0, 1e3, None, self.height, c.heating_C, 35.0, 10.0, 15.0, h.built_as, 500.0)
        return replace(found, cautions=(), sources=())

    def legs(self):
        """Chance of every number of amperes, each load on one minute in three."""
        supply = self.house.supply
        loads = [TwoState(a.name, a.watts / a.volts, np.array([1 / 3]), 10.0) for a in supply.appliances]
        legs = leg_sum(loads, [], supply.lock_outs, priority_of(supply), 1)
        return [plain(t) for t in legs.tails.values()], {n: list(h.values()) for n, h in legs.held.items()}

    def charge(self):
        s = self.house.supply
        rooms = rooms_of(self.house, self.model.floor_area_m2, self.model.volume_m3)
        return screen_charge("R-32", 2.4, s.indoor_unit, rooms, s.indoor_unit_height).rooms

    def sun(self):
        solar = self.house.supply.solar
        return None if solar is None else array_power(solar, brings().weather, brings().position)

    def heating(self):
        return self.designer.heating()

    def hours(self):
        """Set points, gains and outdoor air of every hour of the year."""
        points, home = self.house.set_points, Home(self.model, living_day(self.house.living))
        heat, cool = set_points(points)
        air = with_air(self.model, brings(), Drive(inputs={}, bins=MONTH_OF_HOUR, heat_set_C=heat, cool_set_C=cool))
        lives = [plain(lived(home, brings(), what)) for what in ("sensible_convective_W", "moisture_kg_s")]
        return plain(heat), plain(cool), plain(air.exchange_W_K), lives

    def cooling(self):
        return self.designer.cooling_conditions

    def storing(self):
        return year_house(self.model).modes.decay


STAGES = ("money", "shell", "household", "cord", "legs", "charge", "sun", "heating", "hours", "cooling", "storing")
Home = namedtuple("Home", "model living")
kept: dict[str, tuple[Answers, dict[str, str]]] = {}


def stage(answers: Answers, name: str, done: dict[str, str]) -> str:
    if name not in done:
        done[name] = plain(getattr(answers, name)())
    return done[name]


def before(key: str, said: dict) -> tuple[Answers, dict[str, str]]:
    """The answers of a start, kept for the keys that share it."""
    return kept.setdefault(plain(said), (Answers(said), {}))


def effect(key: str, first: dict | None = None, to: object = None) -> str:
    """Where another value shows first, or "said" where a sentence says that it shows nowhere; empty where it is lost."""
    said = base(key, first)
    old, known = before(key, said)
    table = key.rpartition(".")[0].replace("*", "0")
    if table and "." not in table:
        said.setdefault(table, {})
    new, found = Answers(with_words(said, {key.replace("*", "0"): OTHER[key] if to is None else to} | ALSO.get(key, {}))), {}
    sentence = f"{key.replace('*', '0')} changes nothing here"
    if any(sentence in str(q) for q in doubts_of_house(new.house)):
        assert all(stage(old, n, known) == stage(new, n, found) for n in STAGES), f"{key} does change something"
        return "said"
    return next((n for n in STAGES if stage(old, n, known) != stage(new, n, found)), "")


@pytest.mark.parametrize("key", OTHER)
def test_another_value_changes_an_answer_or_is_said_to_change_nothing(key):
    assert effect(key)


# where a key is idle: what the house says, and the other value where not that of OTHER
IDLE_WHERE = {
    "doors.*.type": ({"doors.0.u_value": "U-0.30"}, None),
    "windows.*.fins_beside": ({"windows.0.side_fins": None}, None),
    "windows.*.shade_from": ({"windows.0.inside_shade": None}, None),
    "windows.*.shade_to": ({"windows.0.inside_shade": None}, None),
    "windows.*.shutter_from": ({"windows.0.shutter": None}, None),
    "windows.*.shutter_to": ({"windows.0.shutter": None}, None),
    "windows.*.shutter_closed": ({"windows.0.shutter": "R-3", "windows.0.shutter_to": 5}, None),
    "boxes.*.below": ({"below": {"kind": "open air"}}, None),
    "supply.appliances.*.minutes": ({"supply.appliances.0.name": "press", "living.home": "never"}, None),
    "living.hot_water": ({"living.people": 0}, None),
    "living.hot_water_temperature": ({"living.water_heater": "none"}, None),
    "living.water_heater_place": ({"living.water_heater": "instantaneous propane"}, None),
    "living.unvented_heater_when": ({}, None),
    "ventilation.night_from": ({}, None),
    "ventilation.night_to": ({}, None),
    "ventilation.night_when": ({}, None),
    "ventilation.preheat": ({"ventilation.heat_recovery": None}, None),
    "ventilation.frost_below": ({"ventilation.heat_recovery": None}, None),
    "below.soil_conductivity": ({"below": {"kind": "open air"}}, None),
    "supply.indoor_unit": ({"supply.indoor_unit_height": "6 ft"}, None),
    "supply.priority": ({}, None),
    "tariff.price": ({"tariff": {"kind": "tiered", "tiers": TIERS}}, 0.3),
    "tariff.propane_unit": ({}, None),
}


@pytest.mark.parametrize("key", IDLE_WHERE)
def test_an_idle_key_says_so(key):
    first, to = IDLE_WHERE[key]
    assert effect(key, first, to) == "said"


def test_every_key_is_tried():
    """A key that is new in the schema belongs into OTHER."""
    assert {*OTHER, *PRINTED, *FILES, *ONE_VALUE} == set(keys())


def test_values_tried_are_other_values():
    for key, value in OTHER.items():
        try:
            assert at(base(key), key.replace("*", "0")) != value, key
        except (KeyError, IndexError):
            continue


def test_the_check_can_fail(monkeypatch):
    """A key that changes no number and is not said to be idle shows as lost."""
    monkeypatch.setitem(OTHER, "note", "another")
    assert effect("note") == ""
