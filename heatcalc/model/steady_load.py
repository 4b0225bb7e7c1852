"""The steady heating load by component: the air as warm as it takes for the room to feel like the set point."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.model.house_model import HouseModel
from heatcalc.physics.air import moist_air
from heatcalc.physics.zone.fast_loads import MOST_WARMER_K
from heatcalc.physics.zone.network import inputs_of, steady


@dataclass(frozen=True, kw_only=True)
class HeatingLoad:
    """The steady load at one outdoor temperature, by component [W]; components sum to the load."""

    outdoor_C: float
    indoor_C: float
    load_W: float
    components_W: dict[str, float]
    ua_W_K: float
    hand_check_W: float
    air_changes_per_h: float
    air_C: float  # of the room's air, for the room to feel like `indoor_C` beside cold surfaces

    @property
    def stays_cold(self) -> bool:
        """Whether the room feels colder than asked for with the warmest air that is counted."""
        return self.air_C > self.indoor_C + MOST_WARMER_K - 1e-9


def heating_load(model: HouseModel, outdoor_C: float, below_C: float, wind_m_s: float) -> HeatingLoad:
    """One steady state of the winter network, by component."""
    indoor = model.house.set_points.heating
    flow = float(model.air.sensible(indoor - outdoor_C, wind_m_s))
    leak = float(model.air.leak(indoor - outdoor_C, wind_m_s))
    per_flow = room_heat_capacity(model, indoor)
    loft = model.house.loft.warmer_by if model.house.loft else 0.0
    air_C, terms = felt_state(model, _still(model, outdoor_C, below_C, loft), indoor, per_flow * flow)
    parts = {p.name: p.component for p in model.parts}
    exchanged = terms.get("air exchange", 0.0)
    components = _grouped(terms, parts)
    leak_share = min(leak / flow, 1.0) if flow > 0 else 0.0
    components |= {"infiltration": exchanged * leak_share, "ventilation": exchanged * (1 - leak_share)}
    ua = sum(model.cold.ua_W_K.values())
    total = float(model.air.total(indoor - outdoor_C, wind_m_s))
    return HeatingLoad(
        outdoor_C=outdoor_C,
        indoor_C=indoor,
        load_W=sum(components.values()),
        components_W=components,
        ua_W_K=ua,
        hand_check_W=(ua + per_flow * flow) * (indoor - outdoor_C),
        air_changes_per_h=3600 * total / model.volume_m3,
        air_C=air_C,
    )


def felt_state(model: HouseModel, inputs: np.ndarray, felt_C: float, exchange_W_K: float) -> tuple[float, dict[str, float]]:
    """Air temperature [degC] and losses [W] with the air as warm as it takes for the room to feel like `felt_C`.

    Felt is the mean of air and radiant temperature (ISO 7726); no air is asked for that is warmer by `MOST_WARMER_K`.  An
    air-only reading would flatter the load by a tenth behind cold walls; hand sheets mean the felt temperature too, since
    their one inside film takes air and surroundings at one temperature.  The network is linear, so two states give the answer.
    """
    one, two = (steady(model.still, inputs, air, exchange_W_K) for air in (felt_C, felt_C + 1.0))
    felt = [0.5 * (felt_C + k + state.temperatures_C["radiant star"]) for k, state in enumerate((one, two))]
    warmer = min((felt_C - felt[0]) / (felt[1] - felt[0]), MOST_WARMER_K)
    return felt_C + warmer, {name: watts + warmer * (two.terms_W[name] - watts) for name, watts in one.terms_W.items()}


def _grouped(terms: dict[str, float], component_of: dict[str, str]) -> dict[str, float]:
    grouped: dict[str, float] = {}
    for name, watts in terms.items():
        if name in component_of:
            grouped[component_of[name]] = grouped.get(component_of[name], 0.0) + watts
    return grouped


def _still(model: HouseModel, outdoor_C: float, below_C: float, loft_K: float) -> np.ndarray:
    channels = {"outdoor_C": outdoor_C, "sky_C": outdoor_C, "below_C": below_C}
    if "loft_K" in model.still.input_names:
        channels["loft_K"] = loft_K
    return inputs_of(model.still, channels)


def room_heat_capacity(model: HouseModel, air_C: float) -> float:
    """rho cp of the room's air at the site's pressure [J/(m3 K)]."""
    return float(moist_air.volumetric_heat_capacity(air_C, 0.0, moist_air.pressure_at_altitude(model.elevation_m)))
