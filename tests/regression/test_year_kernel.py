"""The year's loop: compiled against plain, many against one, the unit and the moisture against the hand; our numbers.

The figures at the end are our own, from a file every machine has: they say when something moved, not what is right.
"""

from dataclasses import astuple
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from heatcalc.physics.air import moist_air
from heatcalc.physics.year import kernel
from heatcalc.physics.year.kernel_pack import Drive, Levels, Plant
from heatcalc.physics.zone.network import inputs_of, modal
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Window, Zone, network_of
from tests.plain_kernel import walk_years
from tests.published import standard140_case as case140

HOURS = np.arange(8760)
MONTHS = np.minimum(HOURS // 730, 11)
OUTDOOR = 8.0 - 16.0 * np.cos(2 * np.pi * HOURS / 8760) - 6.0 * np.cos(2 * np.pi * (HOURS - 3) / 24)
SUN = np.maximum(0.0, np.sin(np.pi * (HOURS % 24 - 6) / 12)) * (350 - 150 * np.cos(2 * np.pi * HOURS / 8760))
FLOW = 8.0 + 6.0 * np.cos(2 * np.pi * HOURS / 171)


def house(thickness: float = 1.0, glass_m2: float = 5.0) -> Zone:
    layers = ((0.075, 1.65 * thickness, 0.064), (9576.0, 665.0, 4293.0))
    walls = tuple(
        OpaqueElement(
            name=n,
            area_m2=a,
            body=ElementBody(resistance=layers[0], capacity=layers[1], sky_view=0.4, solar_absorptance=0.6, sun=f"{n} sun"),
            films=Films(2.5, 5.0, 12.0, 4.8),
            inside_solar_share=s,
        )
        for n, a, s in (("wall", 37.0, 0.4), ("roof", 16.0, 0.5))
    )
    return Zone(
        air_capacity_J_K=250e3,
        elements=walls,
        windows=(
            Window(
                name="glass",
                area_m2=glass_m2,
                resistance=0.35,
                films=Films(2.4, 5.0, 8.0, 4.5),
                sky_view=0.35,
                transmitted="through",
                absorbed_outside="outer",
                absorbed_inside="inner",
            ),
        ),
        solar_lost=0.1,
        air_exchange_W_K=5.0,
    )


@cache
def modes(thickness: float = 1.0, glass_m2: float = 5.0):
    return modal(network_of(house(thickness, glass_m2)), linear=("outdoor_C", "sky_C"))


@cache
def drive(cool_C: float = 25.0) -> Drive:
    inputs = inputs_of(
        modes(),
        {
            "outdoor_C": OUTDOOR,
            "sky_C": OUTDOOR - 10.0,
            "wall sun": 0.4 * SUN,
            "roof sun": SUN,
            "through": 0.4 * SUN,
            "outer": 0.05 * SUN,
            "inner": 0.03 * SUN,
            "radiant_gain_W": 150.0,
        },
    )
    return Drive(
        inputs=inputs,
        bins=MONTHS,
        heat_set_C=np.where(HOURS % 24 < 6, 17.0, 20.0),
        cool_set_C=cool_C,
        exchange_W_K=FLOW,
        exchange_C=OUTDOOR,
        moisture_flow_kg_s=0.006,
        outdoor_humidity_ratio=np.clip(0.004 + 3e-4 * OUTDOOR, 5e-4, 0.02),
        moisture_gain_kg_s=4e-5,
        humid_limit=0.0105,
    )


@cache
def unit(most: float = 2600.0) -> Plant:
    """A unit that fades with the cold, stops at -15 C and dries the room from its rated level up; 800 W backup."""
    top = np.where(OUTDOOR < -15.0, 0.0, most + 55.0 * OUTDOOR)
    cops = np.stack([4.2 + 0 * top, 3.6 + 0.04 * OUTDOOR, 2.6 + 0.03 * OUTDOOR], -1)
    heat = Levels(np.stack([0.3 * top, 0.7 * top, top], -1), cops)
    cool = Levels(np.array([700.0, 1700.0, 2100.0]), np.array([5.0, 4.2, 3.2]), np.array([0.0, 0.05, 0.09]))
    return Plant(
        heating=heat,
        cooling=cool,
        backup_W=800.0,
        coil_humidity_ratio=0.0088,
        always_W=3.0,
        idle_W=25.0,
        heating_extra_W=np.where(OUTDOOR < 2.0, 60.0, 0.0),
    )


@pytest.mark.parametrize("plant", [kernel.UNLIMITED_PLANT, unit()], ids=["unlimited", "unit"])
@pytest.mark.parametrize("moisture_kg", [0.0, 400.0])
def test_plain_and_compiled_agree(plant, moisture_kg):
    kept = dict(moisture_kg=moisture_kg, series=True)
    one, other = kernel.year(modes(), drive(), plant, **kept), kernel.year(modes(), drive(), plant, walk=walk_years, **kept)
    assert one.sums == pytest.approx(other.sums, rel=1e-10, abs=1e-9)
    assert one.peaks == pytest.approx(other.peaks, rel=1e-10)
    assert one.series == pytest.approx(other.series, rel=1e-9, abs=1e-7)
    assert np.array_equal(one.peak_steps, other.peak_steps)


def test_many_are_each_as_one_and_threads_change_nothing():
    variants = [(1.0, 5.0), (1.5, 3.0), (0.7, 8.0), (1.2, 5.0), (0.9, 2.0)]
    plants = [unit(), unit(1800.0), kernel.UNLIMITED_PLANT, unit(), unit(3500.0)]
    drives = [drive(), drive(27.0), drive(), drive(), drive(27.0)]
    many = [modes(*v) for v in variants]
    together = kernel.years(many, drives, plants, moisture_kg=[300.0] * 5, workers=2)
    alone = kernel.years(many, drives, plants, moisture_kg=[300.0] * 5, workers=1)
    plain = kernel.years(many, drives, plants, moisture_kg=[300.0] * 5, walk=walk_years)
    assert together.sums.tobytes() == alone.sums.tobytes()
    assert plain.sums == pytest.approx(together.sums, rel=1e-10, abs=1e-9)
    for i, (m, d, p) in enumerate(zip(many, drives, plants, strict=True)):
        assert kernel.year(m, d, p, moisture_kg=300.0).sums == pytest.approx(together.sums[i], rel=1e-12, abs=1e-12)


def test_the_same_year_twice_gives_the_same_bytes():
    one, other = (kernel.year(modes(), drive(), unit(), moisture_kg=300.0, series=True) for _ in range(2))
    assert one.series.tobytes() == other.series.tobytes()


def test_sums_are_the_series_summed():
    y = kernel.year(modes(), drive(), unit(), moisture_kg=300.0, series=True)
    q, power = y.hourly("unit_W"), y.hourly("unit_power_W")
    for name, hourly in (
        ("heat_kWh", np.maximum(q, 0.0)),
        ("cool_kWh", np.maximum(-q, 0.0)),
        ("heat_power_kWh", np.where(q > 0, power, 0.0)),
        ("cool_power_kWh", np.where(q < 0, power, 0.0)),
        ("backup_kWh", y.hourly("backup_W")),
        ("latent_kWh", y.hourly("latent_W")),
        ("power_kWh", power + y.hourly("backup_W") + y.hourly("extra_power_W")),
    ):
        assert y.monthly(name) == pytest.approx(np.bincount(MONTHS, hourly) / 1000.0, abs=1e-8)
    assert y.annual("heating_h") == (q > 0).sum()
    assert y.peak("heat_W") == (q + y.hourly("backup_W")).max()
    assert y.peak_step("heat_W") == (q + y.hourly("backup_W")).argmax()


def test_electricity_by_hand():
    """COP straight in Q between the levels, P_min X/(1 - 0.25 (1 - X)) below, standby and pan heater by the share."""
    plant = unit(2000.0)
    y = kernel.year(modes(), drive(), plant, series=True)
    q, power = y.hourly("unit_W"), y.hourly("unit_power_W")
    seen = set()
    for h in np.flatnonzero(q > 0):
        low, mid, top = plant.heating.capacity_W[h]
        cops = plant.heating.cop[h]
        if q[h] < low:
            x = q[h] / low
            by_hand, share = low / cops[0] * x / (1 - 0.25 * (1 - x)), x
        else:
            by_hand, share = q[h] / np.interp(q[h], (low, mid, top), cops), 1.0
        seen.add("cycling" if q[h] < low else "low" if q[h] < mid else "high" if q[h] < top else "full")
        assert power[h] == pytest.approx(by_hand, rel=1e-12)
        extra = 3.0 + 25.0 * (1 - share) + share * plant.heating_extra_W[h]
        assert y.hourly("extra_power_W")[h] == pytest.approx(extra, rel=1e-12)
    assert seen == {"cycling", "low", "high", "full"}


def test_backup_takes_what_the_unit_leaves_and_the_rest_is_unmet():
    y = kernel.year(modes(), drive(), unit(1500.0), series=True)
    q, backup, sets = y.hourly("unit_W"), y.hourly("backup_W"), drive().heat_set_C
    top = unit(1500.0).heating.capacity_W[:, 2]
    assert np.all(q[backup > 0] == np.maximum(top[backup > 0], 0.0))
    short = sets - y.hourly("air_end_C")
    assert np.all(backup[short > 1e-6] == 800.0)
    assert y.annual("unmet_heat_h") == (short > 0.1).sum() > 0
    assert y.annual("unmet_heat_K_h") == pytest.approx(short[short > 0.1].sum())


def test_moisture_by_hand():
    """No coil: dw/dt = (m (w_out - w) + gain)/M solved by a fine step; the water balance closes over the year."""
    dry = kernel.year(modes(), drive(), kernel.UNLIMITED_PLANT, moisture_kg=400.0, series=True)
    w, fine = drive().outdoor_humidity_ratio[-336], []
    for h in [*range(8760 - 336, 8760), *range(200)]:
        mean = 0.0
        for _ in range(360):
            before = w
            w += 10.0 * (0.006 * (drive().outdoor_humidity_ratio[h] - w) + 4e-5) / 400.0
            mean += 0.5 * (before + w) / 360
        fine.append(mean)
    assert dry.hourly("humidity_ratio")[:200] == pytest.approx(fine[336:], rel=1e-4)
    wet = kernel.year(modes(), drive(), unit(), moisture_kg=400.0, series=True)
    brought = 0.006 * (drive().outdoor_humidity_ratio - wet.hourly("humidity_ratio")) + 4e-5
    taken = wet.hourly("latent_W") / moist_air.VAPORISATION
    assert taken.sum() > 0
    assert brought.sum() == pytest.approx(taken.sum(), rel=1e-6)
    assert np.all(wet.hourly("humidity_ratio")[taken > 0] > 0.0088)
    assert wet.annual("humidity_h") < dry.annual("humidity_h")


def test_quarter_hours_are_the_same_house():
    """Four steps an hour: hours stay hours and energies near those of the hourly walk."""
    fine = modal(network_of(house()), 900.0)
    inputs = np.repeat(drive().inputs, 4, axis=0)
    hourly = kernel.year(modal(network_of(house())), Drive(inputs=drive().inputs, bins=MONTHS, heat_set_C=20.0, cool_set_C=25.0))
    quarter = kernel.year(
        fine, Drive(inputs=inputs, bins=np.repeat(MONTHS, 4), heat_set_C=20.0, cool_set_C=25.0), warm_up=4 * 336
    )
    assert quarter.annual("air_K_h") == pytest.approx(hourly.annual("air_K_h"), rel=0.01)
    assert quarter.annual("heat_kWh") == pytest.approx(hourly.annual("heat_kWh"), rel=0.03)


OWN = {  # heating, cooling [MWh], peaks [kW], warmest, coldest, mean of one-hour means [C]
    "600": (3.032, 5.231, 3.253, 5.747, 27.211, 19.832, 23.655),
    "900": (1.314, 2.769, 2.729, 2.554, 27.059, 19.896, 24.62),
    "600FF": (0.0, 0.0, 0.0, 0.0, 63.976, -12.484, 26.467),
    "900FF": (0.0, 0.0, 0.0, 0.0, 41.636, -2.001, 26.482),
    "610": (3.109, 3.763, 3.253, 5.494, 27.206, 19.843, 23.53),
    "620": (3.191, 4.333, 3.25, 3.847, 27.147, 19.848, 23.54),
    "640": (1.938, 5.127, 5.059, 5.684, 27.21, 9.974, 22.391),
}


@cache
def greensboro():
    pvlib = pytest.importorskip("pvlib")
    return case140.weather_with_opaque_cloud(Path(pvlib.__file__).parent / "data" / "723170TYA.CSV")


@pytest.mark.parametrize("case", list(OWN))
def test_test_buildings_on_a_file_every_machine_has(case):
    """Standard 140's buildings on pvlib's 723170TYA.CSV: no published answer, only that nothing moved."""
    assert astuple(case140.run(f"standard140_{case}.toml", greensboro())) == pytest.approx(OWN[case], abs=6e-4)


def test_directions_of_the_test_buildings():
    """An overhang cools; glass to east and west needs more cooling in summer than glass to the south, setback less heat.

    Over the whole year the south glass of this building needs the most: the low winter sun, not the summer's.
    """
    plant = {
        c: case140.hourly(case140.walked(f"standard140_{c}.toml", greensboro())[0], case140.STEPS_AN_HOUR)
        for c in ("600", "610", "620", "640")
    }
    summer = slice(151 * 24, 243 * 24)
    cooling = {c: np.maximum(-q, 0.0).sum() for c, q in plant.items()}
    in_summer = {c: np.maximum(-q[summer], 0.0).sum() for c, q in plant.items()}
    assert cooling["610"] < cooling["600"]
    assert in_summer["620"] > in_summer["600"] > in_summer["610"]
    assert np.maximum(plant["640"], 0.0).sum() < np.maximum(plant["600"], 0.0).sum()
    assert plant["640"].max() > plant["600"].max()
    assert plant["640"].argmax() % 24 == 7  # the hour ending 08:00, after the night
