"""Laws of the year: the balance closes, months add up, and every change moves the year the way it must."""

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from heatcalc.model.year_walk import drivers, run_year
from heatcalc.physics.sun.sun_day import clear_sun, cloud_from_sun
from heatcalc.physics.year.kernel import year
from heatcalc.physics.year.kernel_pack import NONE, Drive, Plant
from heatcalc.physics.zone.network import modal

spec = importlib.util.spec_from_file_location("year_case", Path(__file__).parents[1] / "regression" / "year_case.py")
case = importlib.util.module_from_spec(spec)
spec.loader.exec_module(case)
COLD, HOT = "Burlington, VT", "Houston, TX"


def run(where, *changes, unit=None, backup=None, way="south"):
    home, of = case.house(*changes, where=where), unit and case.unit(unit)
    return run_year(home, case.brings(where), of, backup, way, rooms=case.ROOMS)


@pytest.mark.parametrize("where", [COLD, HOT])
@pytest.mark.parametrize("unit", [None, "G06-S-230", "G12-C-230"])
def test_balance_closes_and_months_sum_to_the_year(where, unit):
    r = run_year(case.house(where=where), case.brings(where), unit and case.unit(unit), series=True, rooms=case.ROOMS)
    assert r.closure < 1e-9
    given = r.annual("heat") + r.annual("backup heat") - r.annual("cool")
    assert sum(r.balance_kWh.values()) == pytest.approx(given, rel=1e-9)
    for name, hourly in (("heat", "heat_W"), ("backup heat", "backup_W"), ("cool", "cool_W"), ("latent", "latent_W")):
        assert r.middle.series[hourly].sum() / 1000 == pytest.approx(r.middle.energy_kWh[name].sum(), rel=1e-9)
    if unit:
        assert r.middle.series["total_power_W"].sum() / 1000 == pytest.approx(r.middle.total_kWh, rel=1e-9)


def test_balance_gives_the_mean_air_the_walk_saw():
    """The terms come from one solve over the year; its mean air temperature must be the loop's own."""
    home = case.house()
    d = drivers(home, case.brings(COLD), "south")
    y = year(home.modes, d.drive)
    net, known = home.modes.network, d.drive.inputs.mean(axis=0)
    source = net.input_matrix @ known
    source[net.air] += (y.annual("heat_kWh") - y.annual("cool_kWh") + y.annual("exchange_kWh")) / 8.76
    stored = net.capacity * (home.modes.from_modal @ (y.end_state - y.start_state)[: len(home.modes.decay)]) / (8760 * 3600)
    assert np.linalg.solve(net.conductance, source - stored)[net.air] == pytest.approx(y.annual("air_K_h") / 8760, rel=1e-9)


def test_leakier_house_needs_more_heat():
    heats = [run(COLD, f'air.tightness="{ach} ACH50"').annual("heat") for ach in (1, 4, 10)]
    assert heats == sorted(heats) and heats[0] < heats[2]


def test_overhang_needs_less_cooling():
    long = ["windows.0.overhang=2 ft", "windows.1.overhang=2 ft", "windows.2.overhang=2 ft"]
    assert run(HOT, *long).annual("cool") < run(HOT).annual("cool")


def test_glass_to_east_and_west_needs_more_cooling_than_to_south():
    """Its glass is in the long sides: they face east and west with the front to the north."""
    assert run(HOT, way="north").annual("cool") > run(HOT, way="east").annual("cool")


def test_night_setback_saves_heat_and_raises_the_morning():
    plain, night = run(COLD), run(COLD, "set_points.night_heating=60 F")
    assert night.annual("heat") < plain.annual("heat")
    morning = [r.middle.series["heat_W"].reshape(365, 24)[:, 6].max() for r in (plain, night)]
    assert morning[1] > morning[0]


def test_bigger_unit_leaves_fewer_hours_unmet():
    short = [run(COLD, unit=n).hours["too cold"] for n in ("G06-C-230", "G09-C-230", "G12-C-230", "G24-C-230")]
    assert short == sorted(short, reverse=True) and short[0] > short[-1]
    hot = [run(HOT, unit=n).degree_hours_K_h["too warm"] for n in ("G06-S-230", "G12-S-230")]
    assert hot[0] > hot[1]


def test_backup_takes_exactly_what_the_unit_leaves():
    full, unlimited = run(COLD, unit="G09-C-230", backup="resistance"), run(COLD)
    assert full.annual("heat") + full.annual("backup heat") == pytest.approx(unlimited.annual("heat"), rel=1e-9)
    assert full.hours["too cold"] == 0


def test_more_capacity_tends_to_the_mean():
    """Left to itself, a house has the mean temperature of its mean inputs whatever it stores; with more it swings less."""
    home = case.house("ventilation.kind=none")
    d = drivers(home, case.brings(COLD), "south")
    net, swings = home.modes.network, []
    free = np.linalg.solve(net.conductance, net.input_matrix @ d.drive.inputs.mean(axis=0))[net.air]
    for factor in (1.0, 10.0, 100.0):
        modes = modal(replace(net, capacity=net.capacity * factor), linear=("outdoor_C", "sky_C"))
        y = year(
            modes,
            Drive(inputs=d.drive.inputs, bins=d.drive.bins),
            Plant(heating=NONE, cooling=NONE),
            warm_up=8760,
            start_C=float(free),
            series=True,
        )
        assert y.hourly("air_mean_C").mean() == pytest.approx(free, abs=0.05)
        swings.append(float(np.ptp(y.hourly("air_mean_C"))))
    assert swings[0] > swings[1] > swings[2]


def test_frost_and_pan_heater_only_where_it_freezes():
    south = run_year(case.house(where="Miami, FL"), case.brings("Miami, FL"), case.unit("G12-C-230"), rooms=case.ROOMS)
    warm = float((case.brings("Miami, FL").outdoor_C < 4.0).sum())
    assert south.electricity_kWh["pan heater"].sum() <= 0.2 * warm
    assert run(COLD, unit="G12-C-230").electricity_kWh["pan heater"].sum() > 50


def test_damper_living_makes_a_damper_house():
    few, many = (run(HOT, f"living.people={n}", unit="G09-S-230") for n in (1, 4))
    assert many.relative_mean.mean() > few.relative_mean.mean()
    assert many.annual("latent") > few.annual("latent")


def test_cloud_from_sun_at_its_ends():
    cosine = np.tile(np.maximum(np.sin(np.linspace(0, np.pi, 24)), 0.0), 2)
    sun = clear_sun(cosine)
    sun[24:] *= 0.25
    cover = cloud_from_sun(sun, cosine)
    assert cover[:24] == pytest.approx(0.0, abs=1e-6) and cover[24:] == pytest.approx(1.0)
    assert cloud_from_sun(np.zeros(24), np.full(24, -0.3)) == pytest.approx(0.5)
