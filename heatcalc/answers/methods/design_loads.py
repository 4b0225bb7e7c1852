"""Design loads an engineer checks: methods beside each other, air, humidity, cooling by month and way, screening, pick-up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from heatcalc.answers.methods.envelope_rules import EnvelopeScreening, screening
from heatcalc.answers.methods.hand_method import SheetRow, loss_sheet
from heatcalc.answers.methods.load_factor_house import excess_humidity
from heatcalc.answers.methods.pick_up import PickUps, pick_up
from heatcalc.answers.methods.side_by_side import ThreeMethods, YearCheck, compare, year_check
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.model.damp import DryingCase, drying_cases, winter_cases
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
from heatcalc.model.exhaust import ExhaustCheck, local_exhausts
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import WinterHumidity
from heatcalc.model.outdoor_air import AirConditions, AirExchange, air_exchange
from heatcalc.model.steady_load import HeatingLoad
from heatcalc.wording import Q, Said, worded

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
