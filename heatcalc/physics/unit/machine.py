"""A variable-speed ductless unit as a vapour-compression cycle between two coils, on refrigerant properties (CoolProp, Helmholtz
equations of state).

The generic classes and the tables of shapes come from it.  Absolute power needs an anchor; it is good at
shapes (ratios). Own study on the table machine.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from math import log, sqrt
from typing import Any

from heatcalc.physics.air import moist_air
from heatcalc.physics.air.moist_air import ZERO_C_K
from heatcalc.tables import rows

# R-454B: 68.9 % R-32 and 31.1 % R-1234yf by mass, from memory (ASHRAE 34)
_FLUIDS: dict[str, tuple[str, tuple[float, ...]]] = {
    "R-32": ("R32", ()),
    "R-410A": ("R410A", ()),
    "R-134a": ("R134a", ()),
    "R-454B": ("R32&R1234yf", (0.689, 0.311)),
}
REFRIGERANTS = ("R-32", "R-454B", "R-410A")


@dataclass(frozen=True, kw_only=True)
class Cycle:
    """Corners of one cycle: 1 compressor inlet, 2 outlet, 3 liquid leaving, 4 expanded; J/kg, Pa."""

    evaporating_Pa: float
    condensing_Pa: float
    h1: float
    h2: float
    h3: float
    inlet_density: float
    discharge_C: float

    @property
    def cooling_J_kg(self) -> float:
        """Heat taken up per kg, h1 - h3."""
        return self.h1 - self.h3

    @property
    def work_J_kg(self) -> float:
        """Compressor work per kg, h2 - h1."""
        return self.h2 - self.h1

    @property
    def cop_cooling(self) -> float:
        """Heat taken up over work."""
        return self.cooling_J_kg / self.work_J_kg

    @property
    def cop_heating(self) -> float:
        """Heat given off over work."""
        return (self.h2 - self.h3) / self.work_J_kg


@cache
def _states(refrigerant: str) -> tuple[Any, Any]:
    """Two states of one refrigerant: free, and with the gas phase imposed (blends fail else)."""
    import CoolProp

    if refrigerant not in _FLUIDS:
        raise ValueError(f"refrigerant {refrigerant!r} is not one of {', '.join(_FLUIDS)}")
    name, mass_fractions = _FLUIDS[refrigerant]
    free, gas = (CoolProp.AbstractState("HEOS", name) for _ in range(2))
    for state in (free, gas):
        if mass_fractions:
            state.set_mass_fractions(list(mass_fractions))
    gas.specify_phase(CoolProp.iphase_gas)
    return free, gas


def _saturated(refrigerant: str, quality: float, celsius: float) -> Any:
    import CoolProp

    state = _states(refrigerant)[0]
    state.update(CoolProp.QT_INPUTS, quality, celsius + ZERO_C_K)
    return state


def saturation_pressure(refrigerant: str, celsius: float) -> float:
    """Pressure [Pa] at a mid-glide temperature: geometric mean of bubble and dew pressure."""
    bubble = _saturated(refrigerant, 0.0, celsius).p()
    return sqrt(bubble * _saturated(refrigerant, 1.0, celsius).p())


def saturation_temperature(refrigerant: str, pressure_Pa: float) -> float:
    """Dew temperature [C] at a pressure."""
    import CoolProp

    state = _states(refrigerant)[0]
    state.update(CoolProp.PQ_INPUTS, pressure_Pa, 1.0)
    return state.T() - ZERO_C_K


def liquid_enthalpy(refrigerant: str, celsius: float) -> float:
    """Enthalpy [J/kg] of saturated liquid; the datum is CoolProp's, so use differences only."""
    return _saturated(refrigerant, 0.0, celsius).hmass()


def _vapour(refrigerant: str, pressure_Pa: float, celsius: float) -> Any:
    """Superheated (or just saturated) vapour at a pressure and temperature."""
    import CoolProp

    dew = saturation_temperature(refrigerant, pressure_Pa)
    if celsius <= dew + 1e-6:
        return _saturated(refrigerant, 1.0, dew)
    gas = _states(refrigerant)[1]
    gas.update(CoolProp.PT_INPUTS, pressure_Pa, celsius + ZERO_C_K)
    return gas


def _isentropic(refrigerant: str, pressure_Pa: float, entropy: float) -> tuple[float, float]:
    """Enthalpy and temperature at a pressure and entropy in the vapour: Newton's rule, dT = T ds / cp."""
    import CoolProp

    gas = _states(refrigerant)[1]
    kelvin = saturation_temperature(refrigerant, pressure_Pa) + ZERO_C_K + 20.0
    for _ in range(30):
        gas.update(CoolProp.PT_INPUTS, pressure_Pa, kelvin)
        step = kelvin * (entropy - gas.smass()) / gas.cpmass()
        kelvin += max(-15.0, min(30.0, step))
        if abs(step) < 1e-7:
            break
    return gas.hmass(), kelvin - ZERO_C_K


def cycle(
    refrigerant: str,
    evaporating_C: float,
    condensing_Pa: float,
    superheat_K: float = 0.0,
    subcooling_K: float = 0.0,
    isentropic_efficiency: float = 1.0,
) -> Cycle:
    """The four-corner cycle between an evaporating temperature and a condensing pressure (textbook).

    h2 = h1 + (h2s - h1) / efficiency; throttling keeps enthalpy (h4 = h3).  Valid well below the critical
    point.  Raises ValueError for an unknown refrigerant or where condensing is not above evaporating.
    """
    evaporating_Pa = saturation_pressure(refrigerant, evaporating_C)
    if condensing_Pa <= evaporating_Pa:
        raise ValueError("condensing pressure must be above evaporating pressure")
    inlet = _vapour(refrigerant, evaporating_Pa, saturation_temperature(refrigerant, evaporating_Pa) + superheat_K)
    h1, s1, density = inlet.hmass(), inlet.smass(), inlet.rhomass()
    ideal, discharge_C = _isentropic(refrigerant, condensing_Pa, s1)
    bubble_C = _bubble_temperature(refrigerant, condensing_Pa)
    h3 = liquid_enthalpy(refrigerant, bubble_C - subcooling_K)
    return Cycle(
        evaporating_Pa=evaporating_Pa,
        condensing_Pa=condensing_Pa,
        h1=h1,
        h2=h1 + (ideal - h1) / isentropic_efficiency,
        h3=h3,
        inlet_density=density,
        discharge_C=discharge_C,
    )


def measured_cycle(
    refrigerant: str, inlet: tuple[float, float], discharge: tuple[float, float], liquid_C: float, shell_loss: float = 0.0
) -> Cycle:
    """The cycle between two given vapour states, (pressure [Pa], temperature [C]) at compressor inlet and discharge (textbook).

    The shell loses `shell_loss` of the work, so the work taken in is (h2 - h1) / (1 - shell_loss): `h2` is that of the shaft.
    Raises ValueError where the discharge is not above the inlet.
    """
    if discharge[0] <= inlet[0]:
        raise ValueError("discharge pressure must be above inlet pressure")
    gas = _vapour(refrigerant, *inlet)
    h1, density = gas.hmass(), gas.rhomass()
    shaft = (_vapour(refrigerant, *discharge).hmass() - h1) / (1.0 - shell_loss)
    return Cycle(
        evaporating_Pa=inlet[0],
        condensing_Pa=discharge[0],
        h1=h1,
        h2=h1 + shaft,
        h3=liquid_enthalpy(refrigerant, liquid_C),
        inlet_density=density,
        discharge_C=discharge[1],
    )


def _bubble_temperature(refrigerant: str, pressure_Pa: float) -> float:
    import CoolProp

    state = _states(refrigerant)[0]
    state.update(CoolProp.PQ_INPUTS, pressure_Pa, 0.0)
    return state.T() - ZERO_C_K


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
