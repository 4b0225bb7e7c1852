"""What a plane of solar modules gives hour by hour, through pvlib."""

from __future__ import annotations

import numpy as np

from heatcalc.inputs.supply.supply_record import Solar
from heatcalc.inputs.weather.weather_hours import Weather
from heatcalc.physics.sun.sun import SunPosition

BEARINGS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
HEAT_COEFFICIENT = -0.004  # 1/K, crystalline silicon: common practice
WATTS_PER_M2 = 200.0  # a module's standard watts over its area: common practice, no source
INVERTER = 0.96


def array_power(solar: Solar, weather: Weather, position: SunPosition, albedo: float = 0.2) -> np.ndarray:
    """AC watts of the array in each hour (8,760), from the hour's sun on its plane, air and wind.

    Plane: pvlib's transposition by Hay and Davies; cells by Faiman; module, losses and inverter as pvlib's PVWatts (Dobos 2014).
    """
    from pvlib.irradiance import get_total_irradiance
    from pvlib.pvsystem import pvwatts_dc
    from pvlib.temperature import faiman

    plane = get_total_irradiance(
        solar.tilt,
        45.0 * BEARINGS.index(solar.faces),
        90.0 - position.altitude_deg,
        position.azimuth_deg,
        weather.dni,
        weather.ghi,
        weather.dhi,
        dni_extra=position.extraterrestrial,
        albedo=albedo,
        model="haydavies",
    )["poa_global"]
    falling = np.nan_to_num(np.maximum(np.asarray(plane), 0.0))
    cell_C = faiman(falling, weather.dry_bulb_C, weather.wind_m_s)
    direct = pvwatts_dc(falling, cell_C, solar.watts, HEAT_COEFFICIENT)
    return np.asarray(direct) * (1.0 - solar.losses) * INVERTER


def array_area_m2(solar: Solar) -> float:
    """Roof the modules cover [m2]."""
    return solar.watts / WATTS_PER_M2
