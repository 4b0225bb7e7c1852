"""Checks of the thermal network against closed forms, and of the five-resistance hourly method against a worked hour."""

from __future__ import annotations

from functools import cache

import numpy as np

from heatcalc.checks.published import Span
from heatcalc.physics.zone import five_resistances as five
from heatcalc.physics.zone.network import Control, free_float, inputs_of, modal, recover, repeating_day, uniform_state
from heatcalc.physics.zone.nodes import admittances, layer_matrix
from heatcalc.physics.zone.zone import ElementBody, Films, OpaqueElement, Zone, network_of

DAY_S = 86_400.0
K_CONCRETE, RHO_C = 1.13, 1.4e6
BUILDING = five.FiveResistances(
    floor_area=48.0, mass_area=120.0, surface_area=216.0, capacity=7.92e6, windows=36.0, opaque=50.0, ventilation=18.0
)
GIVEN = five.HourGiven(outdoor_C=-5.0, supply_C=-5.0, internal_W=200.0, solar_W=500.0)
STILL = five.HourGiven(0.0, 0.0, 200.0, 0.0)


@cache
def _deep_body(cells_a_metre: int, film: float) -> tuple[np.ndarray, tuple[str, ...]]:
    """Two metres of concrete behind a film to outdoors; outdoors steps by 10 K."""
    n, d = 2 * cells_a_metre, 1.0 / cells_a_metre
    wall = OpaqueElement(
        name="wall",
        area_m2=1.0,
        body=ElementBody(resistance=(d / K_CONCRETE,) * n, capacity=(d * RHO_C,) * n),
        films=Films(1e-9, 0.0, film),
    )
    network = network_of(Zone(air_capacity_J_K=1.0, elements=(wall,), node_error=float("inf")))
    modes = modal(network)
    outdoor = inputs_of(network, {"outdoor_C": np.full(6, 10.0)})
    walked = free_float(modes, outdoor, uniform_state(modes, 0.0))
    states, inputs = recover(network)
    return (states @ modes.from_modal @ walked.states[1:].T).T + outdoor @ inputs.T, network.node_names


def _deep_reading(hour: int, figure: str, cells: int) -> float:
    if figure == "surface share":
        temperatures, names = _deep_body(cells, 8.29)
        return float(temperatures[hour - 1, list(names).index("wall outside")] / 10.0)
    temperatures, names = _deep_body(cells, 1e7)
    last = list(names).index(f"wall {2 * cells - cells // 10}")
    return float(0.5 * (temperatures[hour - 1, last] + temperatures[hour - 1, last + 1]))


def deep_body(hour: int, figure: str) -> Span:
    """0.1 m inside concrete after a step of its surface [C], or the surface's share behind a film of 8.29 W/m2K.

    Cells of 2.5 mm; the error falls with the square of the cell, so a third of the change from 5 mm is left open.
    """
    coarse, fine = (_deep_reading(hour, figure, cells) for cells in (200, 400))
    left = abs(fine - coarse) / 3
    return Span(fine - left, fine, fine + left)


def periodic_wall(construction: str, layers: list, figure: str) -> float:
    """Periodic transmittance and inside admittance by the layer matrices [W/m2K]."""
    matrix = layer_matrix(0.13, 0.0, DAY_S)
    for k, d, rho, c in layers:
        matrix = layer_matrix(d / k, d * rho * c, DAY_S) @ matrix
    inside, across, _ = np.abs(admittances(layer_matrix(0.04, 0.0, DAY_S) @ matrix))
    return float(inside if figure == "admittance" else across)


def one_capacity(hour: int) -> float:
    """One capacity of 10.227 h left alone at 20 C in 0 C [C]."""
    network = network_of(Zone(air_capacity_J_K=3.84e6, elements=(), air_exchange_W_K=104.3))
    modes = modal(network)
    walked = free_float(modes, inputs_of(network, {"outdoor_C": np.zeros(24)}), uniform_state(modes, 20.0))
    return float(walked.air_end_C[hour - 1])


def _night_off(step_s: float) -> tuple[float, float]:
    """Temperature at the end [C] and energy a day [kWh] of one capacity held at 20 C for 16 h, off for 8."""
    one, steps = network_of(Zone(air_capacity_J_K=3.84e6, elements=(), air_exchange_W_K=104.3)), int(DAY_S / step_s)
    on = np.where(np.arange(steps) < steps * 2 // 3, 20.0, -100.0)
    day = repeating_day(modal(one, step_s), inputs_of(one, {"outdoor_C": np.zeros(steps)}), Control(heat_set_C=on))
    return float(day.air_end_C[-1]), float(day.plant_W.sum() * step_s / 3.6e6)


def night_off(figure: str) -> float | Span:
    """The end of the night [C], or the day's energy [kWh] extrapolated to instant recovery, less what a coarser pair leaves."""
    if figure == "end":
        return _night_off(30.0)[0]
    coarse, middle, fine = (_night_off(step_s)[1] for step_s in (120.0, 60.0, 30.0))
    found, before = 2 * fine - middle, 2 * middle - coarse
    left = abs(found - before) / 3
    return Span(found - left, found, found + left)


@cache
def _hour() -> dict[str, float]:
    b, hour = BUILDING, five.hour_with(BUILDING, STILL, 0.0, 0.0)
    for _ in range(2000):
        hour = five.hour_with(b, STILL, hour.mass_end_C, 0.0)
    got = {name: getattr(b, name) for name in ("h_ms", "h_em", "h_is", "h_1", "h_2", "h_3")}
    got |= dict(zip(("to_air", "to_surface", "to_mass"), five.heat_split(b, GIVEN), strict=True))
    for word, one in (
        ("free", five.hour_with(b, GIVEN, 18.0, 0.0)),
        ("trial", five.hour_with(b, GIVEN, 18.0, 480.0)),
        ("held", five.hour_controlled(b, GIVEN, 18.0, 20.0, 27.0)),
        ("steady", hour),
    ):
        got |= {f"{word} {k}": getattr(one, k) for k in vars(one)}
    got["steady losses_W"] = b.h_em * hour.mass_C + b.windows * hour.surface_C + b.ventilation * hour.air_C
    got["steady direct_loss_W"] = five.direct_loss(b, STILL)
    rate, half = b.capacity / 3600.0, 0.5 * (b.h_3 + b.h_em)
    return got | {"factor": (rate - half) / (rate + half)}


def five_resistances(figure: str) -> float:
    """One figure of the worked hour."""
    return float(_hour()[figure])


EVALUATORS = {f.__name__: f for f in (deep_body, periodic_wall, one_capacity, night_off, five_resistances)}
