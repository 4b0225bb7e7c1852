"""How long the year takes, as ratios on one machine; no pass or fail on seconds.

pytest tests/benchmarks/test_network.py --benchmark-enable --benchmark-columns=min,median,rounds
The generic solver walks two weeks (a year would be 26 times that); it frees the air, which is its easiest case.
"""

from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from heatcalc.physics.year import kernel
from heatcalc.physics.year.kernel_pack import Drive, Levels, Plant
from heatcalc.physics.zone.network import inputs_of, modal
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Window, Zone, network_of
from tests.plain_kernel import walk_years

HOURS = np.arange(8760)
OUTDOOR = 8.0 - 16.0 * np.cos(2 * np.pi * HOURS / 8760) - 6.0 * np.cos(2 * np.pi * (HOURS - 3) / 24)
SUN = np.maximum(0.0, np.sin(np.pi * (HOURS % 24 - 6) / 12)) * 400.0
VARIANTS = 1000


def variants(benchmark, full: int = VARIANTS) -> int:
    """How many are walked: all where times are taken, a few where the code is only tried."""
    return 8 if benchmark.disabled else full


def house(thickness: float = 1.0) -> Zone:
    """Six elements, one window: over 30 nodes with capacity."""
    layers = ((0.075, 1.65 * thickness, 0.064), (9576.0, 665.0, 4293.0))
    faces = (
        ("north", 14.0, 0.05),
        ("south", 11.0, 0.05),
        ("east", 6.0, 0.05),
        ("west", 6.0, 0.05),
        ("roof", 16.0, 0.2),
        ("floor", 16.0, 0.5),
    )
    walls = tuple(
        OpaqueElement(
            name=n,
            area_m2=a,
            body=ElementBody(resistance=layers[0], capacity=layers[1], sky_view=0.4, solar_absorptance=0.6, sun=f"{n} sun"),
            films=Films(2.5, 5.0, 12.0, 4.8),
            inside_solar_share=s,
        )
        for n, a, s in faces
    )
    glass = Window(
        name="glass",
        area_m2=5.0,
        resistance=0.35,
        films=Films(2.4, 5.0, 8.0, 4.5),
        sky_view=0.35,
        transmitted="through",
        absorbed_outside="outer",
        absorbed_inside="inner",
    )
    return Zone(air_capacity_J_K=250e3, elements=walls, windows=(glass,), solar_lost=0.1, air_exchange_W_K=8.0, node_error=0.02)


@cache
def modes(thickness: float = 1.0):
    found = modal(network_of(house(thickness)))
    assert len(found.decay) >= 30
    return found


@cache
def drive() -> Drive:
    sun = {
        f"{n} sun": f * SUN
        for n, f in zip(("north", "south", "east", "west", "roof", "floor"), (0.2, 0.6, 0.4, 0.4, 1.0, 0.0), strict=True)
    }
    inputs = inputs_of(
        modes(),
        {
            "outdoor_C": OUTDOOR,
            "sky_C": OUTDOOR - 10.0,
            **sun,
            "through": 0.4 * SUN,
            "outer": 0.05 * SUN,
            "inner": 0.03 * SUN,
            "radiant_gain_W": 150.0,
        },
    )
    return Drive(
        inputs=inputs,
        bins=np.minimum(HOURS // 730, 11),
        heat_set_C=20.0,
        cool_set_C=25.0,
        exchange_W_K=8.0 + 6.0 * np.cos(HOURS / 27.0),
        exchange_C=OUTDOOR,
        moisture_flow_kg_s=0.006,
        outdoor_humidity_ratio=0.006,
        moisture_gain_kg_s=4e-5,
        humid_limit=0.0105,
    )


@cache
def unit() -> Plant:
    top = 2600.0 + 55.0 * OUTDOOR
    heat = Levels(np.stack([0.3 * top, 0.7 * top, top], -1), np.array([4.2, 3.6, 2.8]))
    cool = Levels(np.array([700.0, 1700.0, 2100.0]), np.array([5.0, 4.2, 3.2]), np.array([0.0, 0.05, 0.09]))
    return Plant(heating=heat, cooling=cool, backup_W=800.0, coil_humidity_ratio=0.0088, always_W=3.0, idle_W=25.0)


def test_one_year_with_the_unit_compiled(benchmark):
    kernel.year(modes(), drive(), unit(), moisture_kg=300.0)
    benchmark(kernel.year, modes(), drive(), unit(), moisture_kg=300.0)


def test_one_year_with_the_unit_plain(benchmark):
    benchmark.pedantic(kernel.year, (modes(), drive(), unit()), {"moisture_kg": 300.0, "walk": walk_years}, rounds=1)


@pytest.mark.parametrize("plant", [kernel.UNLIMITED_PLANT, unit()], ids=["unlimited", "unit"])
@pytest.mark.parametrize("count", [VARIANTS // 4, VARIANTS])
def test_many_years_compiled(benchmark, plant, count):
    count = variants(benchmark, count)
    many = [modes(1.0 + 0.1 * (i % 10)) for i in range(count)]
    kernel.years(many[:2], [drive()] * 2, [plant] * 2)
    benchmark.pedantic(kernel.years, (many, [drive()] * count, [plant] * count), rounds=3)


def test_many_years_plain(benchmark):
    count = variants(benchmark)
    many = [modes(1.0 + 0.1 * (i % 10)) for i in range(count)]
    benchmark.pedantic(kernel.years, (many, [drive()] * count, [unit()] * count), {"walk": walk_years}, rounds=1)


def test_assemble_and_decompose(benchmark):
    benchmark(lambda: modal(network_of(house())))


def test_two_weeks_generic_solver(benchmark):
    net = modes().network
    inputs = drive().inputs[:336]
    slope = np.diag(1.0 / net.capacity) @ net.conductance
    source = inputs @ net.input_matrix.T / net.capacity

    def rate(t, y):
        return source[min(int(t / 3600.0), 335)] - slope @ y

    benchmark.pedantic(
        solve_ivp,
        (rate, (0.0, 336 * 3600.0), np.full(len(net.capacity), 20.0)),
        {"method": "LSODA", "rtol": 1e-6, "atol": 1e-6, "max_step": 3600.0},
        rounds=1,
    )
