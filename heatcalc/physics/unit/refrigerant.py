"""The vapour-compression cycle on refrigerant properties (CoolProp, Helmholtz equations of state)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import sqrt
from typing import Any

from heatcalc.physics.air.moist_air import ZERO_C_K

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
