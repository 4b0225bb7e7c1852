"""Design loads, the year's drivers, the owner's log, generator, load method and the judge's rules, written out by hand."""

import tomllib
from dataclasses import replace
from functools import cache
from math import hypot, pi
from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.answers.year.log_causes import LikeDays, Measured, _frost_step, findings
from heatcalc.errors import NoAnswer
from heatcalc.files import folder
from heatcalc.inputs.house.house_file import load_house, shell_of
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.supply.supply_record import Generator, Supply
from heatcalc.judge.cases import builders_changes, together
from heatcalc.judge.choice import load_line, task_of
from heatcalc.judge.rules import JUST, TOO_SMALL, WITH_HEATER, cools, holds, not_too_large
from heatcalc.model.designer import DESIGN_WIND_HEATING_M_S, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.indoor_air import air_of_house
from heatcalc.model.parts import ground_C, space_below
from heatcalc.model.year_drivers import drivers, weather_year, with_moisture, year_house
from heatcalc.physics.air import moist_air
from heatcalc.physics.zone.loss_line import loss_line
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Window, Zone, network_of
from heatcalc.supply.cord import Load
from heatcalc.supply.load_method import load_method
from heatcalc.supply.off_grid import generator_hour


@cache
def duluth():
    return find_place("Duluth, MN")


@cache
def designer(*changes):
    return designer_of(house_model(load_house(changes=changes), duluth().elevation_m), duluth())


# ---- design loads


def test_the_load_line_and_its_band_by_hand():
    """+-40 % of the leaks and +-10 % of the rest, independent; every 2.5 K, none within half a kelvin of the set point."""
    d = designer("set_points.heating=20.3 C")
    line = load_line(d)
    assert line.outdoor_C[0] == -52.5 and set(np.diff(line.outdoor_C[:-1])) == {2.5}
    assert list(line.outdoor_C[-2:]) == [17.5, pytest.approx(20.3)]
    for t, load, low, high in list(zip(line.outdoor_C, line.load_W, line.low_W, line.high_W, strict=True))[::9]:
        heating = d.heating(float(t))
        leaks = heating.components_W["infiltration"]
        off = hypot(0.4 * leaks, 0.1 * (heating.load_W - leaks))
        assert (low, load, high) == pytest.approx((heating.load_W - off, heating.load_W, heating.load_W + off))


def test_whose_design_cold_is_uncertain():
    """The record's, by the place's own error; one that the user gives is taken as given."""
    task = task_of(designer())
    assert task.sigma_K == duluth().sigma_heating_K > 0.5
    assert task_of(designer("design.heating=-20 C", 'design.source="a neighbour"')).sigma_K == 0.0
    damp, hot = designer().damp, designer().cooling
    assert (task.damp_sensible_W, task.damp_latent_W, task.damp_C) == pytest.approx(
        (damp.peak_sensible_W, damp.latent_at_peak_W, damp.outdoor_at_peak_C)
    )
    assert (task.sensible_W, task.latent_W, task.hot_C) == (hot.peak_sensible_W, hot.latent_at_peak_W, hot.outdoor_at_peak_C)
    assert task.dehumidification_kg_s == max(x.dehumidification_kg_s for x in designer().cooling_conditions)


@pytest.mark.parametrize("kind", ["open air", "skirted", "slab"])
def test_what_the_floor_answers_to_by_hand(kind):
    """ISO 13370: a space between ground and outdoors by its two conductances; a slab by the ground alone; else outdoors."""
    d = designer(f"below.kind={kind}")
    house, shell = d.model.house, d.model.shell
    to_ground, to_outdoor = space_below(house, shell) if kind == "skirted" else {"open air": (0.0, 1.0), "slab": (1.0, 0.0)}[kind]
    for season in ("winter", "summer"):
        ground = ground_C(shell, d.model.on_ground_m2K_W, duluth().monthly.mean_C, season, house.below.soil_conductivity)
        by_hand = (to_ground * ground + to_outdoor * -30.0) / (to_ground + to_outdoor)
        assert d.below_C(-30.0, season) == pytest.approx(float(by_hand))
    months = np.array(duluth().monthly.mean_C)
    low, high = (float(ground_C(shell, 0.0, months, s, house.below.soil_conductivity)) for s in ("winter", "summer"))
    assert low + high == pytest.approx(2 * months.mean()) and months.min() < low < high < months.max()


def test_the_steady_load_by_hand():
    """Air by leaks and by the fan in the share of their flows, air changes of both, and the sheet's UA dT beside the network."""
    d = designer("ventilation.kind=balanced", "ventilation.heat_recovery=60 %")
    indoor, wind, air = d.model.house.set_points.heating, DESIGN_WIND_HEATING_M_S, d.model.air
    load = d.heating(-25.0)
    leak, flow, whole = (float(f(indoor + 25.0, wind)) for f in (air.leak, air.sensible, air.total))
    parts = load.components_W
    assert 0.0 < leak < flow < whole
    assert parts["infiltration"] / parts["ventilation"] == pytest.approx(leak / (flow - leak))
    assert load.air_changes_per_h * d.model.volume_m3 / 3600.0 == pytest.approx(whole)
    heat = float(moist_air.volumetric_heat_capacity(indoor, 0.0, moist_air.pressure_at_altitude(d.model.elevation_m)))
    assert load.ua_W_K == pytest.approx(sum(d.model.cold.ua_W_K.values()))
    assert load.hand_check_W == pytest.approx((load.ua_W_K + heat * flow) * (indoor + 25.0))
    # air and ua differ by what the air is warmer than the set point beside cold surfaces
    assert parts["infiltration"] + parts["ventilation"] == pytest.approx(heat * flow * (load.air_C + 25.0), rel=1e-6)


def test_one_month_without_air_has_no_steady_humidity():
    class SealedInJune:
        def moisture(self, delta, wind):
            return np.where(np.arange(12) == 5, 0.0, 0.01)

    with pytest.raises(NoAnswer, match="no steady value"):
        air_of_house(replace(designer().model, air=SealedInJune()), duluth())


def test_the_coldest_months_humidity_is_the_one_named():
    found = air_of_house(designer().model, duluth())
    coldest = found.indoor_rh[int(np.argmin(duluth().monthly.mean_C))]
    assert f"{coldest:.0%} in the coldest month" in str(found.basis) and coldest < max(found.indoor_rh) - 0.05


# ---- the network of a room


def test_mass_and_sun_of_a_room_by_hand():
    """Heat capacities are per area of their element; of the sun through a window the air takes its share at once."""
    body = ElementBody(resistance=(0.5, 1.0, 0.5), capacity=(0.0, 40e3, 10e3), sky_view=0.4, solar_absorptance=0.6, sun="sun")
    films = Films(2.5, 5.0, 12.0, 4.8)
    walls = [
        OpaqueElement(name=n, area_m2=a, body=body, films=films, inside_solar_share=0.3)
        for n, a in (("wall", 30.0), ("roof", 20.0))
    ]
    sun = dict(transmitted="in", absorbed_outside="outer", absorbed_inside="inner")
    glass = Window(name="glass", area_m2=4.0, resistance=0.35, films=films, sky_view=0.35, **sun)
    zone = Zone(air_capacity_J_K=250e3, elements=tuple(walls), windows=(glass,), solar_to_air=0.25, solar_lost=0.15)
    net = network_of(zone)
    assert net.capacity.sum() == pytest.approx(250e3 + 50.0 * 50e3)
    through = net.input_matrix[:, net.input_names.index("in")]
    assert through[net.air] == pytest.approx(0.25 * 4.0) and through.sum() == pytest.approx((1.0 - 0.15) * 4.0)


# ---- the year's drivers


@cache
def home():
    return year_house(designer("below.kind=skirted").model)


@cache
def weather():
    from heatcalc.inputs.place.place_record import built_year

    return weather_year(built_year(duluth()))


def test_the_ground_through_the_year_by_hand():
    """A cosine in step with the air's own yearly wave, coldest and warmest where ISO 13370's answer for the season is."""
    brings = weather()
    channel = drivers(home(), brings, "south").drive.inputs[:, home().modes.input_names.index("below_C")]
    part = next(p for p in home().model.opaque if p.body.boundary == "below")
    ground = (channel - part.outdoor_share * brings.weather.dry_bulb_C) / (1.0 - part.outdoor_share)
    hours = np.arange(8760)
    month = np.repeat(np.arange(12), 24 * np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]))
    means = [brings.weather.dry_bulb_C[month == m].mean() for m in range(12)]
    low, high = (
        float(ground_C(home().model.shell, home().model.on_ground_m2K_W, means, s, home().model.house.below.soil_conductivity))
        for s in ("winter", "summer")
    )
    assert (ground.min(), ground.max(), ground.mean()) == pytest.approx((low, high, (low + high) / 2), abs=1e-3)
    phase = (hours + 0.5) * 2 * pi / 8760
    wave = [np.polyfit(np.cos(phase - a), x, 1)[0] for x in (brings.weather.dry_bulb_C, ground) for a in (0.0, pi / 2)]
    assert wave[1] / wave[0] == pytest.approx(wave[3] / wave[2], rel=1e-3)
    assert np.argmin(ground) < 60 * 24 and abs(np.argmax(ground) - np.argmin(ground)) == pytest.approx(4380, abs=1)


def test_outdoor_moisture_is_carried_by_the_rooms_dry_air():
    """kg/s of dry air: the flow over the specific volume of air as warm as the room and as dry as outdoors."""
    brings, model = weather(), home().model
    drive = with_moisture(model, brings, drivers(home(), brings, "south").drive)
    held = np.clip(brings.outdoor_C, drive.heat_set_C, drive.cool_set_C)
    pressure = float(moist_air.pressure_at_altitude(model.elevation_m))
    dry_kg_m3 = pressure / (287.042 * (held + 273.15) * (1 + 1.607858 * brings.humidity_ratio))  # ASHRAE Fundamentals ch. 1
    flow = np.asarray(model.air.moisture(held - brings.outdoor_C, brings.wind_m_s))
    assert drive.moisture_flow_kg_s == pytest.approx(dry_kg_m3 * flow, rel=1e-4)


# ---- the owner's log


DAYS = 60


def measured(**said):
    """Sixty winter days of a house of 100 W/K, kept at 20 C, whose unit never reaches its most."""
    outdoor = np.linspace(-18.0, 12.0, DAYS)
    m = dict(begin_h=24.0 * np.arange(DAYS), days=np.ones(DAYS), month=np.zeros(DAYS, int), outdoor_C=outdoor, room_C=20.0,
             indoor_C=np.full(DAYS, 20.0), indoor_logged=True, watts=np.full(DAYS, 900.0), heat_W=100.0 * (20.0 - outdoor),
             most_heat_W=np.full(DAYS, 5000.0), most_watts=np.full(DAYS, 2000.0), sun_W=np.zeros(DAYS))  # fmt: skip
    return Measured(**(m | said))


def signs(m, computed_heat_W=None):
    line = loss_line(m.difference_K, 100.0 * m.difference_K + np.tile([1.0, -1.0], DAYS // 2))
    model = SimpleNamespace(house=SimpleNamespace(set_points=SimpleNamespace(heating=20.0)))
    like = 100.0 * m.difference_K if computed_heat_W is None else computed_heat_W
    alike = LikeDays((m.difference_K, like, m.outdoor_C), like, {})
    return [(s.kind, str(s.words)) for s in findings(m, line, line, 50.0, model, alike, 0.0)]


def test_another_set_point_by_hand():
    assert signs(measured()) == []
    # warm for the first half of the days, which each count double: (2 x 22 + 1 x 20)/3 = 21.33; 1.33 K of 20 - mean outdoors
    first = np.arange(DAYS) < DAYS // 2
    m = measured(indoor_C=np.where(first, 22.0, 20.0), days=np.where(first, 2.0, 1.0))
    more = (4.0 / 3.0) / (20.0 - np.average(m.outdoor_C, weights=m.days))
    ((kind, words),) = signs(m)
    assert kind == "set point" and f"needs {more:.0%} more heat" in words
    assert [kind for kind, _ in signs(measured(indoor_C=np.full(DAYS, 21.0)))] == ["set point"]  # from a whole kelvin on
    ((_, words),) = signs(measured(indoor_C=np.full(DAYS, 18.0)))
    assert f"needs {2.0 / 23.0:.0%} less heat" in words
    assert (
        signs(measured(indoor_C=np.full(DAYS, 20.9))) == [] == signs(measured(indoor_C=np.full(DAYS, 23.0), indoor_logged=False))
    )


@pytest.mark.parametrize(("days", "seen"), [(2, False), (3, True)])
def test_a_short_unit_by_hand(days, seen):
    """Three days flat out in a room 1.5 K too cold, or with more on the meter than the unit can draw."""
    flat = np.where(np.arange(DAYS) < days, 1950.0, 900.0)
    cold = np.where(np.arange(DAYS) < days, 18.4, 20.0)
    found = signs(measured(watts=flat, indoor_C=cold))
    assert [kind for kind, _ in found] == ["unit short"] * seen and all(f"on {days} days the unit ran" in w for _, w in found)
    assert signs(measured(watts=flat, indoor_C=cold + 0.2 * (cold < 19))) == []  # 1.4 K is not short
    assert signs(measured(watts=flat - 100.0, indoor_C=cold)) == []  # nor a unit at nine tenths
    assert signs(measured(watts=flat, indoor_C=cold, indoor_logged=False)) == []
    for beyond, more in ((2201.0, seen), (2199.0, False)):  # 1.05 x 2,000 + 100 W
        found = signs(measured(watts=np.where(np.arange(DAYS) < days, beyond, 900.0)))
        assert [kind for kind, _ in found] == ["unit short"] * more and all(f"on {days} days the meter" in w for _, w in found)


def test_ice_by_hand():
    """Heat near freezing above the line of all days, beyond three errors, a tenth of it, and what the computed house does too."""
    m = measured()
    frosty = (m.outdoor_C > (17 - 32) / 1.8) & (m.outdoor_C < 7.0)
    noise = np.tile([20.0, -20.0], DAYS // 2)
    plain = 100.0 * m.difference_K + noise
    iced = plain + 600.0 * frosty
    (kind, words) = signs(measured(heat_W=iced))[-1]
    assert kind == "icing" and "near freezing the unit takes about" in words
    assert f"about {600.0 / iced[frosty].mean():.0%} more" in words
    assert "icing" not in dict(signs(measured(heat_W=iced), iced))  # the table has it already
    assert "icing" not in dict(signs(measured(heat_W=plain + 150.0 * frosty)))  # below a tenth
    assert "icing" not in dict(signs(measured(heat_W=plain - 600.0 * frosty)))
    assert "icing" not in dict(signs(measured(heat_W=iced + 40.0 * noise)))  # three errors
    sun = 600.0 * ~frosty
    assert "icing" not in dict(signs(measured(heat_W=plain - sun, sun_W=sun)))  # on the other days the sun gave the rest


@pytest.mark.parametrize(("frosty", "found"), [(9, False), (10, True), (30, True), (31, False)])
def test_icing_is_sought_where_both_kinds_of_day_are_frequent(frosty, found):
    """40 days, some at 0 C and the others at 10 C: ten of each, or nothing is said."""
    outdoor = np.where(np.arange(40) < frosty, 0.0, 10.0)
    assert (_frost_step(20.0 - outdoor, 100.0 * (20.0 - outdoor), outdoor) is not None) is found


# ---- generator and load method


GENERATOR = (  # surge, a load's running and starting watts beside 1,000 W of lights, and whether the generator holds
    (None, 1000, 0, True),
    (None, 1001, 0, False),
    (None, 1000, 1001, False),
    (2600, 1000, 1600, True),
    (2600, 1000, 1601, False),
    (2600, 1001, 1001, False),
)


@pytest.mark.parametrize(("surge", "watts", "starting", "enough"), GENERATOR)
def test_a_generator_runs_and_starts_its_loads(surge, watts, starting, enough):
    """2,000 W at sea level: both sums must hold, and equal is enough."""
    chosen = Generator(rated="2000 W", surge=surge and f"{surge} W")
    lights = Load(name="lights", amperes=8.0, legs=1, watts=1000.0, continuous=True)
    pump = Load(name="pump", amperes=8.0, legs=1, watts=float(watts), continuous=False, starting_W=float(starting))
    hour = generator_hour(chosen, "cold", (lights, pump), 0.0, 20.0)
    assert (hour.available_W, hour.available_start_W) == (2000.0, surge or 2000.0)
    assert (hour.running_W, hour.starting_W) == (1000.0 + watts, 1000.0 + max(watts, starting))
    assert hour.holds is enough


def test_a_generator_in_thin_air_runs_and_starts_less():
    """At 2,000 m both what it gives and what it starts shrink by the same share."""
    lights = Load(name="lights", amperes=8.0, legs=1, watts=1000.0, continuous=True)
    hour = generator_hour(Generator(rated="2000 W", surge="2600 W"), "cold", (lights,), 2000.0, 20.0)
    assert 0.5 < hour.share_left < 1.0
    assert (hour.available_W, hour.available_start_W) == (2000.0 * hour.share_left, 2600.0 * hour.share_left)


def test_a_load_of_both_legs_counts_on_both():
    """2,400 W of backup heat at 230 V fill 20.9 A of two legs, a 2,000 W dehumidifier 17.4 A of one: the cold counts."""
    assert {x.name for x in load_method(Supply(appliances=[]), 20.0, 5.0, 230.0, 2400.0, 2000.0).loads} >= {"backup heat"}
    names = {x.name for x in load_method(Supply(appliances=[]), 20.0, 5.0, 230.0, 2400.0, 2500.0).loads}
    assert "backup heat" not in names and "dehumidifier" in names


# ---- what the judge says of the loads


LOADS = dict(heating_W=3000.0, night_gains_W=0.0, design_C=-20.0, hot_C=35.0, damp_C=28.0)
LOADS |= dict(sensible_W=2500.0, latent_W=500.0, damp_sensible_W=1000.0, damp_latent_W=800.0)


def task(sensible_W=2600.0, latent_W=600.0, damp_W=1000.0, heat_W=3500.0, needed_W=0.0, hdd_per_cdd=1.0, last_C=46.0):
    """Facts as the rules read them: 3 kW at the design cold, 2.5 kW sensible and 0.5 kW latent in the hottest hour."""
    loads, total = {name: np.array([x]) for name, x in LOADS.items()}, np.array([sensible_W + latent_W])
    most = {"sensible_W": np.array([sensible_W]), "latent_W": np.array([latent_W]), "total_W": total, "ratio": total / 3000.0}
    return SimpleNamespace(
        unit=SimpleNamespace(cooling=SimpleNamespace(outdoor_C=np.array([20.0, last_C]))),
        loads=SimpleNamespace(**loads, sites=SimpleNamespace(hdd_per_cdd=np.array([hdd_per_cdd]))),
        cooling=most,
        cooling_at=lambda *_: {"sensible_W": np.array([damp_W]), "latent_W": np.array([800.0])},
        asked=SimpleNamespace(sure=0.9),
        heat_W=np.array([heat_W]),
        missing_W=3000.0 - np.array([heat_W]),
        heater_for_W=lambda sure: np.array([needed_W]),
    )


COOLING = (
    ({}, True),
    ({"sensible_W": 2500.0, "latent_W": 200.0}, True),
    ({"sensible_W": 2499.0}, False),
    ({"latent_W": 0.0}, False),
    ({"sensible_W": 2650.0, "latent_W": 0.0}, False),
    ({"damp_W": 999.0}, False),
    ({"sensible_W": 2499.0, "damp_W": 999.0}, False),
)


@pytest.mark.parametrize(("said", "ok"), COOLING)
def test_a_unit_cools_that_carries_both_hours(said, ok):
    """The sensible load in full, nine tenths of the whole, in the hottest and in the dampest hour: either alone is too small."""
    outcome = cools.rule(task(**said), None)
    assert bool(outcome.ok[0]) is ok and outcome.verdict == TOO_SMALL
    assert outcome.quantities["damp_load_W"][0] == 1800.0
    assert cools.rule(task(last_C=30.0), None).quantities["beyond_table_K"][0] == 5.0
    assert outcome.quantities["beyond_table_K"][0] == 0.0


HEATING = (  # the unit's heat, the heater it needs with the chance asked for, the verdict, the heater of this rule
    (3500.0, 0.0, JUST, 0.0),
    (3500.0, 400.0, JUST, 400.0),
    (2600.0, 900.0, WITH_HEATER, 900.0),
    (2600.0, 1500.0, WITH_HEATER, 1500.0),
    (2600.0, 1501.0, TOO_SMALL, 1501.0),
    (0.0, 3500.0, JUST, 0.0),
)


@pytest.mark.parametrize(("heat_W", "needed_W", "verdict", "heater_W"), HEATING)
def test_what_a_unit_leaves_at_the_design_cold(heat_W, needed_W, verdict, heater_W):
    """Beside a running unit at most one heater of 1.5 kW or half the load; a unit that is off is the rule `runs`'s."""
    outcome = holds.rule(task(heat_W=heat_W, needed_W=needed_W), None)
    assert (str(outcome.verdict[0]), float(outcome.heater_W[0])) == (verdict, heater_W)
    assert bool(outcome.ok[0]) is (needed_W == 0.0)
    assert outcome.quantities["missing_on_paper_W"][0] == max(3000.0 - heat_W, 0.0)


@pytest.mark.parametrize(("needed_W", "verdict"), [(2500.0, WITH_HEATER), (2501.0, TOO_SMALL)])
def test_half_of_a_larger_load_may_come_from_the_heater(needed_W, verdict):
    """5 kW at the design cold: half of it is more than one portable heater."""
    facts = task(heat_W=2600.0, needed_W=needed_W)
    facts.loads.heating_W = np.array([5000.0])
    assert holds.rule(facts, None).verdict[0] == verdict


@pytest.mark.parametrize(
    ("total_W", "hdd_per_cdd", "ok"),
    [(3900.0, 1.9, True), (3901.0, 1.9, False), (3000 + 4396.0, 2.0, True), (3000 + 4397.0, 2.0, False)],
)
def test_how_large_a_unit_may_be(total_W, hdd_per_cdd, ok):
    """1.3 times the load of 3 kW; where heating rules, 15,000 Btu/h (4,396.1 W) above it (ANSI/ACCA 3, from memory)."""
    facts = task(sensible_W=total_W, latent_W=0.0, hdd_per_cdd=hdd_per_cdd)
    assert bool(not_too_large.rule(facts, None).ok[0]) is ok


def test_every_change_has_its_price():
    """A square foot of the new part less one of the old over the part's area, from the file of invented prices; the rest flat."""
    house = load_house(changes=("below.kind=open air", "air.tightness=4 ACH50", "ventilation.kind=exhaust"))
    usd = {c.words: c.usd for c in builders_changes(house)}
    flat = {"skirt the floor": 850.0, "air-seal to 2.0 ACH50": 400.0, "ventilate with 75 % heat recovery": 1500.0}
    assert flat.items() <= usd.items()
    per_ft2 = tomllib.loads((folder("workbooks") / "prices.toml").read_text())["per_ft2"]
    shell, parts = shell_of(house), 0
    glass_m2 = sum(w.width * w.height * w.count for w in house.windows)
    for words, asked in usd.items():
        new, _, old = words.partition(" instead of ")
        if old in per_ft2:
            kind = next(k for k, v in house.assemblies.model_dump().items() if v == old)
            area_ft2 = (glass_m2 if kind == "window" else shell.area(kind)) / 0.09290304
            assert asked == pytest.approx(area_ft2 * (per_ft2[new] - per_ft2[old]))
            parts += 1
    assert parts >= 3 and all(usd.values())
    assert together(house, tuple(builders_changes(house))).usd == pytest.approx(sum(usd.values()))


def test_what_any_builder_can_change():
    """Each change is offered where it would better something, and only there."""
    offered = lambda *changes: " | ".join(c.words for c in builders_changes(load_house(changes=changes)))  # noqa: E731
    plain = offered("below.kind=open air", "air.tightness=4 ACH50", "ventilation.kind=exhaust")
    assert all(w in plain for w in ("skirt the floor", "air-seal to 2.0 ACH50", "ventilate with 75 % heat recovery"))
    good = offered("below.kind=skirted", "air.tightness=2 ACH50", "ventilation.kind=balanced")
    assert not any(w in good for w in ("skirt the floor", "air-seal", "ventilate with"))
    house = load_house()
    better = [c for c in builders_changes(house) if " instead of " in c.words and "water" not in c.words]
    assert {c.words.split(" instead of ")[1] for c in better} <= set(house.assemblies.model_dump().values())
    assert any(c.house.assemblies.window != house.assemblies.window for c in better)
    labelled = load_house(changes=["windows.0.u_value=1.5 W/m2K", "windows.0.shgc=0.3"])
    assert all(c.house.assemblies.window == labelled.assemblies.window for c in builders_changes(labelled))
