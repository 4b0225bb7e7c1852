"""Design loads an engineer checks: methods beside each other, air, humidity, cooling by month and way, screening, and how long
the house takes to be warm again after a cold soak.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from heatcalc.answers.methods.envelope_rules import EnvelopeScreening, most_heat_W, screening
from heatcalc.answers.methods.hand_method import SheetRow, air_heat_capacity, excess_humidity, loss_sheet
from heatcalc.answers.methods.side_by_side import ThreeMethods, YearCheck, compare, year_check
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import ONE_HEATER_W
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.model.comfort import DryingCase, ExhaustCheck, drying_cases, local_exhausts, winter_cases
from heatcalc.model.designer import (
    DESIGN_WIND_COOLING_M_S,
    DESIGN_WIND_HEATING_M_S,
    EIGHT_BEARINGS,
    CoolingLoad,
    Designer,
    cooling_days,
    designer_of,
    with_components,
)
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import WinterHumidity
from heatcalc.model.outdoor_air import AirConditions, AirExchange, air_exchange
from heatcalc.model.steady_load import HeatingLoad
from heatcalc.physics.zone.network import Control, Modal, Network, inputs_of, modal, recover, steady, uniform_state, walk
from heatcalc.wording import Q, Said, worded

START_C, GOAL_C = (20.0 - 32.0) / 1.8, (68.0 - 32.0) / 1.8
STEP_S = 120.0
LONGEST_H = 72
NEAR_K = 1.0  # felt: this close to what the room feels like for good with its air at the goal
CAUTION = "Water lines inside were frozen at the start: look for leaks before the supply is opened."


@dataclass(frozen=True)
class PickUp:
    """Hours until the air reaches the goal and the room feels within 1 K of its final warmth; None where it never does."""

    source: str
    heat_W: float
    air_h: float | None
    felt_h: float | None
    felt_after_air_C: float | None


@dataclass(frozen=True)
class PickUps:
    """Ways of warming up at one outdoor temperature; all temperatures in degC."""

    outdoor_C: float
    start_C: float
    goal_C: float
    ways: tuple[PickUp, ...]


def pick_up(designer: Designer, unit: Unit | None, start_C: float = START_C, goal_C: float = GOAL_C) -> PickUps:
    """Walk the winter network from a soaked house at full heat, no sun, nobody home, design cold and wind.

    At the start everything in the house is at `start_C`; the air exchange is that of half way.
    The unit gives what it gives to a 70 F room, a little less than to a cold one.
    """
    outdoor = designer.conditions.heating_C
    ways = [(f"one {ONE_HEATER_W:,.0f} W heater alone", ONE_HEATER_W)]
    if unit is not None:
        full = float(most_heat_W(designer, unit, np.array([outdoor]))[0])
        ways = [(f"{unit.name} alone", full), (f"{unit.name} and one {ONE_HEATER_W:,.0f} W heater", full + ONE_HEATER_W), *ways]
    net = designer.model.winter
    modes = modal(net, STEP_S)
    return PickUps(
        outdoor, start_C, goal_C, tuple(_warmed(designer, net, modes, name, heat, start_C, goal_C) for name, heat in ways)
    )


def _warmed(designer: Designer, net: Network, modes: Modal, name: str, heat_W: float, start_C: float, goal_C: float) -> PickUp:
    outdoor = designer.conditions.heating_C
    inputs = inputs_of(net, {"outdoor_C": outdoor, "sky_C": outdoor, "below_C": float(designer.below_C(outdoor, "winter"))})
    steps = int(LONGEST_H * 3600 / STEP_S)
    control = Control(
        heat_set_C=goal_C, heat_max_W=heat_W, exchange_W_K=_exchange_W_K(designer, 0.5 * (start_C + goal_C)), exchange_C=outdoor
    )
    gone = walk(modes, np.tile(inputs, (steps, 1)), control, uniform_state(modes, start_C))
    air, felt = _hours(gone.air_end_C, goal_C), _felt(net, modes, gone.states[1:], inputs, gone.air_end_C)
    at = None if air is None else float(np.interp(air, np.arange(1, steps + 1) * STEP_S / 3600, felt))
    final = 0.5 * (goal_C + steady(net, inputs, goal_C).temperatures_C["radiant star"])
    return PickUp(name, heat_W, air, None if air is None else _hours(felt, final - NEAR_K), at)


def _hours(series_C: np.ndarray, level_C: float) -> float | None:
    """Hours until a series first comes within 0.05 K of a level, to the step."""
    there = np.flatnonzero(series_C >= level_C - 0.05)
    return None if len(there) == 0 else float((there[0] + 1) * STEP_S / 3600)


def _felt(net: Network, modes: Modal, states: np.ndarray, inputs: np.ndarray, air_C: np.ndarray) -> np.ndarray:
    """Mean of air and radiant temperature at the end of each step (ISO 7726)."""
    from_state, from_inputs = recover(net)
    star = net.node_names.index("radiant star")
    radiant = states @ (from_state[star] @ modes.from_modal) + from_inputs[star] @ inputs
    return 0.5 * (air_C + radiant)


def _exchange_W_K(designer: Designer, indoor_C: float) -> float:
    air = designer.model.air
    flow = float(air.sensible(indoor_C - designer.conditions.heating_C, DESIGN_WIND_HEATING_M_S))
    return air_heat_capacity(designer, indoor_C) * flow


FLOORS = ("open air", "skirted", "crawl space", "slab")
LOFT_K = 5 / 1.8  # the input's default


@dataclass(frozen=True)
class FloorCase:
    """The heating load with one thing under the floor, or with the loft's warm layer changed [W]."""

    name: Said
    heating_W: float
    part_W: float
    own: bool


@dataclass(frozen=True, kw_only=True)
class PeakCell:
    """Peak sensible cooling of one month with the house turned one way, and what makes it [W]."""

    month: int
    front_faces: str
    peak_W: float
    peak_hour: int
    outdoor_C: float
    largest: str
    largest_W: float


@dataclass(frozen=True)
class LoadsResult:
    """One house in one place; everything is computed when first asked for."""

    size: SizeResult
    folder: Path | None = None

    @property
    def designer(self) -> Designer:
        """The house in its place with its design conditions."""
        return self.size.designer

    @property
    def unit(self) -> Unit | None:
        """The recommended unit."""
        return self.size.recommended.unit

    @cached_property
    def comparison(self) -> ThreeMethods:
        """Network, load factor and time series."""
        return compare(self.designer)

    @cached_property
    def sheet(self) -> tuple[SheetRow, ...]:
        """U x A x difference, part by part."""
        return loss_sheet(self.designer)

    @cached_property
    def year(self) -> YearCheck:
        """The year's heating by degree-days and bins."""
        return year_check(self.designer)

    @cached_property
    def air_winter(self) -> AirExchange:
        """All routes of the outdoor air at the design cold."""
        d = self.designer
        return air_exchange(
            d.model.air.inputs, AirConditions(d.model.house.set_points.heating, d.conditions.heating_C, DESIGN_WIND_HEATING_M_S)
        )

    @cached_property
    def air_summer(self) -> AirExchange:
        """All routes of the outdoor air in the 1 % heat."""
        d = self.designer
        inside = d.model.house.set_points.cooling
        return air_exchange(
            d.model.air.inputs, AirConditions(inside, d.conditions.cooling_1_C, DESIGN_WIND_COOLING_M_S, 0.0, excess_humidity(d))
        )

    @cached_property
    def exhausts(self) -> tuple[ExhaustCheck, ...]:
        """Range hood, bath fan and dryer against this shell."""
        return local_exhausts(self.designer.model.air.inputs)

    @cached_property
    def winter(self) -> tuple[tuple[str, float, WinterHumidity], ...]:
        """Humidity in the coldest month and at the design cold: name, outdoor temperature, answer."""
        return winter_cases(self.designer)

    @cached_property
    def drying(self) -> tuple[DryingCase, ...]:
        """Water to remove against what the recommended unit removes, on a hot and on a mild humid day."""
        return drying_cases(self.designer, self.unit)

    @property
    def warnings(self) -> tuple[Said, ...]:
        """The sizing's."""
        return self.size.warnings

    @cached_property
    def floors(self) -> tuple[FloorCase, ...]:
        """The same house over open air, skirted, over a crawl space and on a slab."""
        return tuple(_floor(self, kind) for kind in FLOORS)

    @cached_property
    def loft(self) -> tuple[FloorCase, ...]:
        """The load without and with the warm layer under the roof; empty without a loft."""
        return tuple(_loft(self, k) for k in (0.0, LOFT_K)) if self.size.house.loft else ()

    @cached_property
    def peaks(self) -> tuple[PeakCell, ...]:
        """Every month that can peak, all eight ways."""
        d = self.designer
        return tuple(_cell(d, day) for day in cooling_days(d, d.months_that_can_peak(), list(EIGHT_BEARINGS)))

    @cached_property
    def screening(self) -> EnvelopeScreening:
        """Published envelope rules."""
        return screening(self.designer, self.unit)

    @cached_property
    def pick_up(self) -> PickUps:
        """From 20 F inside to 68 F."""
        return pick_up(self.designer, self.unit)


def loads_of(house: House, place: Place, folder: Path | None = None) -> LoadsResult:
    """Design loads of a house in a place.  Raises what `size_house` raises."""
    return LoadsResult(size_house(house, place, folder=folder), folder)


def _cell(designer: Designer, day: CoolingLoad) -> PeakCell:
    parts = {name: float(series[day.peak_hour - 1]) for name, series in with_components(designer, day).components_W.items()}
    largest = max(parts, key=lambda name: parts[name])
    return PeakCell(
        month=day.month,
        front_faces=day.front_faces,
        peak_W=day.peak_sensible_W,
        peak_hour=day.peak_hour,
        outdoor_C=day.outdoor_at_peak_C,
        largest=largest,
        largest_W=parts[largest],
    )


def _heating_of(result: LoadsResult, house: House) -> HeatingLoad:
    d = result.designer
    return designer_of(house_model(house, d.conditions.elevation_m, result.folder), d.place).heating()


def _floor(result: LoadsResult, kind: str) -> FloorCase:
    house = result.size.house
    load = _heating_of(result, house.model_copy(update={"below": house.below.model_copy(update={"kind": kind})}))
    return FloorCase(kind, load.load_W, load.components_W.get("floor", 0.0), kind == house.below.kind)


def _loft(result: LoadsResult, warmer_K: float) -> FloorCase:
    house = result.size.house
    assert house.loft is not None
    load = _heating_of(result, house.model_copy(update={"loft": house.loft.model_copy(update={"warmer_by": warmer_K})}))
    return FloorCase(
        worded("{} warmer under the roof", Q(warmer_K, "temperature difference")),
        load.load_W,
        load.components_W.get("roof", 0.0),
        warmer_K == house.loft.warmer_by,
    )
