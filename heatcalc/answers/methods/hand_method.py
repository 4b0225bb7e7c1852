"""What every hand method hands back, and the steady sum they share: U x A x difference, part by part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.model.designer import DESIGN_WIND_HEATING_M_S, Designer
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.physics.air import moist_air
from heatcalc.wording import Said


@dataclass(frozen=True, kw_only=True)
class HandLoad:
    """One method's design loads by component [W]; `hourly_W` is empty for a method without hours.

    `reasons` say where the house leaves the method's range, `choices` what the method had to be told.
    """

    method: str
    heating_W: dict[str, float]
    cooling_W: dict[str, float]
    latent_W: float
    month: int
    front_faces: str
    peak_hour: int | None
    hourly_W: np.ndarray
    reasons: tuple[Said, ...]
    choices: tuple[Said, ...]
    source: str

    @property
    def heating_total_W(self) -> float:
        """Design heating load [W]."""
        return sum(self.heating_W.values())

    @property
    def cooling_total_W(self) -> float:
        """Peak sensible cooling load [W]."""
        return sum(self.cooling_W.values())


@dataclass(frozen=True, kw_only=True)
class SheetRow:
    """One line of the steady sum: U [W/m2K], A [m2], the difference it meets [K] and the product [W]."""

    name: str
    component: str
    assembly: Said
    u_value: float
    area_m2: float
    difference_K: float

    @property
    def loss_W(self) -> float:
        """U A dt [W]."""
        return self.u_value * self.area_m2 * self.difference_K


def loss_sheet(designer: Designer) -> tuple[SheetRow, ...]:
    """Every part's line at the design cold; the roof meets the warm layer of a loft, the floor what is below it.

    Source: q = U A dt, ASHRAE Handbook - Fundamentals (2021) ch. 17 eq. 33; the air is `sheet_air_W`.
    """
    return tuple(
        SheetRow(
            name=p.name,
            component=p.component,
            assembly=p.assembly,
            u_value=p.u_value,
            area_m2=p.area_m2,
            difference_K=difference_K(designer, p),
        )
        for p in designer.model.parts
    )


def difference_K(designer: Designer, part: OpaquePart | WindowPart) -> float:
    """Design temperature difference of one part in winter [K]."""
    house, outdoor = designer.model.house, designer.conditions.heating_C
    inside = house.set_points.heating
    if isinstance(part, OpaquePart) and part.body.boundary == "below":
        return inside - float(designer.below_C(outdoor, "winter"))
    layer = house.loft.warmer_by if house.loft and part.of.under_loft else 0.0
    return inside + layer - outdoor


def by_component(rows: list[tuple[str, float]]) -> dict[str, float]:
    """Watts summed under the words a person sees."""
    total: dict[str, float] = {}
    for component, watts in rows:
        total[component] = total.get(component, 0.0) + watts
    return total


def sheet_air_W(designer: Designer) -> float:
    """Heat of the outdoor air at the design cold with the flow the network uses [W]."""
    model = designer.model
    delta = model.house.set_points.heating - designer.conditions.heating_C
    flow = float(model.air.sensible(delta, DESIGN_WIND_HEATING_M_S))
    return air_heat_capacity(designer, model.house.set_points.heating) * flow * delta


def air_heat_capacity(designer: Designer, indoor_C: float) -> float:
    """rho cp of room air at the site [J/(m3 K)]."""
    pressure = moist_air.pressure_at_altitude(designer.conditions.elevation_m)
    return float(moist_air.volumetric_heat_capacity(indoor_C, 0.0, pressure))


def pressure_ratio(designer: Designer) -> float:
    """Air pressure at the site over sea level: the sea-level constants of the hand methods times this."""
    return float(moist_air.pressure_at_altitude(designer.conditions.elevation_m)) / moist_air.SEA_LEVEL_PA
