"""A variable-speed ductless unit as a refrigerant cycle between two coils.

The generic classes and the tables of shapes come from it.  Absolute power needs an anchor; it is good at
shapes (ratios). Own study on the table machine.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from math import log

from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.refrigerant import cycle, saturation_pressure
from heatcalc.tables import rows

COIL_AIR_J_KGK = 1020.0  # moist air through the coil
RATED_OUTDOOR_C = 35.0
HOTTEST_C = 68.0  # well below the critical point of all three refrigerants
_PASSES, _DAMPING = 60, 0.6


@cache
def parameter(name: str, unit_class: str) -> float:
    """One parameter of the model for a class ("standard" or "cold"), from the table machine [unit in the table]."""
    return next(float(row[unit_class]) for row in rows("machine") if row["name"] == name)


@dataclass(frozen=True, kw_only=True)
class Machine:
    """A fitted unit: displacement at relative speed 1, and an efficiency level for each mode."""

    refrigerant: str
    unit_class: str
    rated_cooling_W: float
    displacement_m3_s: float
    cooling_efficiency: float
    heating_efficiency: float

    def of(self, name: str) -> float:
        """A model parameter of this machine's class."""
        return parameter(name, self.unit_class)


@dataclass(frozen=True)
class Running:
    """One steady operating point."""

    capacity_W: float
    power_W: float
    evaporating_C: float
    condensing_C: float
    sensible_heat_ratio: float = 1.0

    @property
    def cop(self) -> float:
        """Capacity over electric input."""
        return self.capacity_W / self.power_W


def _air_flow(m: Machine, speed: float) -> float:
    return min(1.0, max(m.of("air_flow_low"), speed ** m.of("air_flow_exponent")))


def _conductance(m: Machine, coil: str, speed: float) -> float:
    full = m.of(f"{coil}_conductance_W_K") * m.rated_cooling_W / 1000.0
    return full * _air_flow(m, speed) ** m.of("conductance_exponent")


def _fan_W(m: Machine, coil: str, speed: float) -> float:
    return m.of(f"{coil}_fan_W") * m.rated_cooling_W / 1000.0 * _air_flow(m, speed) ** m.of("fan_exponent")


def _controls_W(m: Machine) -> float:
    return m.of("controls_W") + m.of("controls_W_kW") * m.rated_cooling_W / 1000.0


def isentropic_efficiency(m: Machine, level: float, pressure_ratio: float, speed: float) -> float:
    """e0 (1 - b1 ln2(pr/2.8)) (1 - b2 ln2(n/0.75)); assumption, see the table machine [-]."""
    lift = 1.0 - m.of("pressure_loss_factor") * log(pressure_ratio / m.of("best_pressure_ratio")) ** 2
    pace = 1.0 - m.of("speed_loss_factor") * log(speed / m.of("best_speed")) ** 2
    return level * lift * pace


def _compression(m: Machine, level: float, evaporating_C: float, condensing_C: float, speed: float):
    """Heat taken up, heat given to the condenser and shaft work [W] at given coil temperatures."""
    low = saturation_pressure(m.refrigerant, evaporating_C)
    high = max(saturation_pressure(m.refrigerant, min(condensing_C, HOTTEST_C)), m.of("least_pressure_ratio") * low)
    ratio = high / low
    efficiency = isentropic_efficiency(m, level, ratio, speed)
    c = cycle(m.refrigerant, evaporating_C, high, m.of("superheat_K"), m.of("subcooling_K"), efficiency)
    filling = 1.0 - m.of("clearance") * (ratio ** (1.0 / m.of("clearance_exponent")) - 1.0)
    flow = filling * m.displacement_m3_s * speed * c.inlet_density
    taken, work = flow * c.cooling_J_kg, flow * c.work_J_kg
    return taken, taken + work * (1.0 - m.of("shell_loss")), work


def heating(m: Machine, outdoor_C: float, speed: float, indoor_C: float = 70.0 / 1.8 - 160.0 / 9.0) -> Running:
    """Steady heating with a dry outdoor coil: Te = To - Qe/ko, Tc = Ti + Qc/ki by damped passes."""
    ko, ki = _conductance(m, "outdoor", speed), _conductance(m, "indoor", speed)
    evaporating, condensing = outdoor_C - 6.0, indoor_C + 18.0
    for _ in range(_PASSES):
        taken, given, work = _compression(m, m.heating_efficiency, evaporating, condensing, speed)
        step = (outdoor_C - taken / ko - evaporating, indoor_C + given / ki - condensing)
        evaporating, condensing = evaporating + _DAMPING * step[0], condensing + _DAMPING * step[1]
        if max(map(abs, step)) < 1e-6:
            break
    return Running(given + _fan_W(m, "indoor", speed), _electric(m, work, speed), evaporating, condensing)


def cooling(
    m: Machine,
    outdoor_C: float,
    speed: float,
    indoor_C: float = 80.0 / 1.8 - 160.0 / 9.0,
    indoor_wet_bulb_C: float = 67.0 / 1.8 - 160.0 / 9.0,
) -> Running:
    """Steady cooling; wet coil by enthalpy potential, h_sat(Te) = h_in - Qe cp/ki, else dry."""
    ko, ki = _conductance(m, "outdoor", speed), _conductance(m, "indoor", speed)
    entering = moist_air.enthalpy(indoor_C, moist_air.humidity_ratio_from_wet_bulb(indoor_C, indoor_wet_bulb_C))
    evaporating, condensing = indoor_C - 14.0, outdoor_C + 10.0
    for _ in range(_PASSES):
        taken, given, work = _compression(m, m.cooling_efficiency, evaporating, condensing, speed)
        surface = max(_saturated_air_temperature(entering - taken * COIL_AIR_J_KGK / ki), indoor_C - taken / ki)
        step = (surface - evaporating, outdoor_C + given / ko - condensing)
        evaporating, condensing = evaporating + _DAMPING * step[0], condensing + _DAMPING * step[1]
        if max(map(abs, step)) < 1e-6:
            break
    total = taken - _fan_W(m, "indoor", speed)
    share = min(1.0, (ki * (indoor_C - evaporating) - _fan_W(m, "indoor", speed)) / total)
    return Running(total, _electric(m, work, speed), evaporating, condensing, share)


def _electric(m: Machine, work_W: float, speed: float) -> float:
    fans = _fan_W(m, "indoor", speed) + _fan_W(m, "outdoor", speed)
    return work_W / m.of("drive_efficiency") + fans + _controls_W(m)


def _saturated_air_temperature(enthalpy_J_kg: float) -> float:
    """Temperature of saturated air with an enthalpy, between -30 and 45 C."""
    return _root(lambda t: moist_air.enthalpy(t, moist_air.saturated_humidity_ratio(t)) - enthalpy_J_kg, -30.0, 45.0)


def _root(rule, low: float, high: float) -> float:
    """Where a rising function crosses zero (false position, Illinois form), else the nearer end."""
    below, above = rule(low), rule(high)
    if below >= 0.0 or above <= 0.0:
        return low if below >= 0.0 else high
    side = 0
    for _ in range(60):
        middle = (low * above - high * below) / (above - below)
        here = rule(middle)
        if abs(here) < 1e-6 or high - low < 1e-9:
            break
        if here < 0.0:
            low, below, above, side = middle, here, above * (0.5 if side < 0 else 1.0), -1
        else:
            high, above, below, side = middle, here, below * (0.5 if side > 0 else 1.0), 1
    return middle


def fitted(refrigerant: str, unit_class: str, rated_cooling_W: float, rated_power_W: float) -> Machine:
    """A machine that meets capacity and power of cooling at 95 F outdoors, 80/67 F indoors.

    Heating efficiency is the class factor times that of cooling.
    """
    start = Machine(
        refrigerant=refrigerant,
        unit_class=unit_class,
        rated_cooling_W=rated_cooling_W,
        displacement_m3_s=1.4e-7 * rated_cooling_W,
        cooling_efficiency=0.55,
        heating_efficiency=0.55,
    )
    for _ in range(3):
        start = _with_power(_with_capacity(start), rated_power_W)
    factor = parameter("heating_efficiency_factor", unit_class)
    return replace(start, heating_efficiency=factor * start.cooling_efficiency)


def _with_capacity(m: Machine) -> Machine:
    def excess(displacement: float) -> float:
        return cooling(replace(m, displacement_m3_s=displacement), RATED_OUTDOOR_C, 1.0).capacity_W - m.rated_cooling_W

    guess = m.displacement_m3_s
    return replace(m, displacement_m3_s=_root(excess, 0.5 * guess, 2.0 * guess))


def _with_power(m: Machine, power_W: float) -> Machine:
    def excess(e: float) -> float:
        return power_W - cooling(replace(m, cooling_efficiency=e), RATED_OUTDOOR_C, 1.0).power_W

    return replace(m, cooling_efficiency=_root(excess, 0.15, 0.95))
