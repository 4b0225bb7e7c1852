"""How the house stands against published envelope rules: a screening, never a certificate.

24 CFR 3280.506 (manufactured homes): area-weighted U of the shell, transmission only, and the lowest outdoor temperature
at which 70 F is held.  IECC prescriptive U-values beside it.  A tiny house on wheels is usually built to other rules.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import GRID_C, ONE_HEATER_W
from heatcalc.model.designer import Designer
from heatcalc.physics.air.air_change import hud_default_heat
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity
from heatcalc.tables import rows

SEVENTY_F_C = (70.0 - 32.0) / 1.8
U_IP = 5.678263341113488  # W/m2K in one Btu/(h ft2 F): 1055.05585262 J, 0.3048 m, 5/9 K
PRINTED = 3  # decimals of the rules' own limits
NOTE = (
    "A screening with this program's U-values, not the rule's calculation and not a certificate: the manufacturer's approved "
    "calculation and the authority having jurisdiction decide."
)


@dataclass(frozen=True)
class Held:
    """A way of heating and the lowest outdoor temperature at which it holds 70 F, by two infiltration routes [degC].

    None where it fails even in mild weather; `floor` says the temperature is the unit's own lowest, not the load's.
    """

    source: str
    network_C: float | None
    rule_C: float | None
    floor: bool


@dataclass(frozen=True)
class CodeRow:
    """One part's area-weighted U against the prescriptive value of the climate zone [W/m2K]."""

    part: str
    u_value: float
    most: float
    mark: str

    @property
    def within(self) -> bool:
        """Not above the prescriptive value."""
        return not _above(self.u_value, self.most)


@dataclass(frozen=True, kw_only=True)
class EnvelopeScreening:
    """Uo against the three zones, the zone of the state, the temperature held, and the energy code's values."""

    u_overall: float
    area_m2: float
    limits: tuple[tuple[int, float], ...]
    zone: int | None
    zone_mark: str
    strictest_met: int | None
    default_infiltration_W: float
    held: tuple[Held, ...]
    code: tuple[CodeRow, ...]
    code_zone: str
    note: str = NOTE

    @property
    def meets(self) -> bool | None:
        """Whether Uo is not above the limit of the state's zone; None where the state has none."""
        return None if self.zone is None else not _above(self.u_overall, dict(self.limits)[self.zone])


def _above(u_value: float, most: float) -> bool:
    """Above a printed limit at the digits in which the rule prints it."""
    return round(u_value / U_IP, PRINTED) > round(most / U_IP, PRINTED)


def screening(designer: Designer, unit: Unit | None) -> EnvelopeScreening:
    """Screen a house in a place with a unit (None: heaters only)."""
    area = _area_m2(designer)
    overall = sum(designer.model.ua_W_K.values()) / area
    limits = tuple((int(r["zone"]), float(r["u_overall_ip"]) * U_IP) for r in rows("hud_limits"))
    state = next((r for r in rows("hud_zones") if r["state"] == designer.place.state), None)
    met = [zone for zone, most in limits if not _above(overall, most)]
    perimeter, cold = designer.model.shell.perimeter_m, designer.conditions.heating_C
    default = float(hud_default_heat(perimeter, max(SEVENTY_F_C - cold, 0.0)))
    zone, mark = (int(state["zone"]), state["mark"]) if state else (None, "")
    return EnvelopeScreening(
        u_overall=overall,
        area_m2=area,
        limits=limits,
        zone=zone,
        zone_mark=mark,
        strictest_met=max(met, default=None),
        default_infiltration_W=default,
        held=_held(designer, unit, overall * area),
        code=code_rows(designer),
        code_zone=designer.place.zone,
    )


def _area_m2(designer: Designer) -> float:
    """Shell area; a thermal bridge has none of its own."""
    model = designer.model
    return sum(p.area_m2 for p in model.parts if p.of.radiates)


def _held(designer: Designer, unit: Unit | None, ua_W_K: float) -> tuple[Held, ...]:
    """The unit alone, with one portable heater, and the heater alone."""
    at = np.append(np.arange(GRID_C[0], SEVENTY_F_C - 0.5, 2.5), SEVENTY_F_C)
    ours = np.array([at_seventy(designer).heating(float(t)).load_W for t in at])
    theirs = (ua_W_K * (SEVENTY_F_C - at)) + hud_default_heat(designer.model.shell.perimeter_m, SEVENTY_F_C - at)
    ways: list[tuple[str, Unit | None, float]] = [("one 1,500 W heater alone", None, ONE_HEATER_W)]
    if unit is not None:
        ways = [(f"{unit.name} alone", unit, 0.0), (f"{unit.name} and one 1,500 W heater", unit, ONE_HEATER_W), *ways]
    return tuple(_one(designer, name, u, extra, at, ours, theirs) for name, u, extra in ways)


def at_seventy(designer: Designer) -> Designer:
    """The same house asked for 70 F indoors."""
    house = designer.model.house
    points = house.set_points.model_copy(update={"heating": SEVENTY_F_C})
    warm = replace(designer.model, house=house.model_copy(update={"set_points": points}))
    return Designer(warm, designer.place, designer.conditions)


def _one(
    designer: Designer, name: str, unit: Unit | None, extra_W: float, at: np.ndarray, ours: np.ndarray, theirs: np.ndarray
) -> Held:
    fine = np.arange(at[0], at[-1], 0.1)
    heat = extra_W + (most_heat_W(designer, unit, fine) if unit else np.zeros_like(fine))
    found = [_lowest(fine, heat, np.interp(fine, at, load)) for load in (ours, theirs)]
    floor = unit is not None and found[0] is not None and found[0] <= unit.lowest_heating_C + 0.15
    return Held(name, found[0], found[1], floor)


def most_heat_W(designer: Designer, unit: Unit, outdoor_C: np.ndarray) -> np.ndarray:
    """Most heat of a unit at the site with 70 F indoors [W]; nothing where it does not run."""
    here = at_site(unit, designer.conditions.elevation_m, SEVENTY_F_C)
    most = capacity(here.heating, outdoor_C, "max")
    return np.where(most.mark == "off", 0.0, most.value_W)


def _lowest(at: np.ndarray, heat: np.ndarray, load: np.ndarray) -> float | None:
    short = np.flatnonzero(heat < load)
    if len(short) == 0:
        return float(at[0])
    return float(at[short[-1] + 1]) if short[-1] + 1 < len(at) else None


def code_rows(designer: Designer) -> tuple[CodeRow, ...]:
    """Area-weighted U of each kind of part beside the prescriptive table of the place's climate zone."""
    zone = designer.place.zone
    key = zone if any(r["zone"] == zone for r in rows("iecc_u_values")) else zone[:1]
    known = [r for r in rows("iecc_u_values") if r["zone"] == key]
    found = ((r, _mean_u(designer, r["part"])) for r in known)
    return tuple(CodeRow(r["part"], u, float(r["u_ip"]) * U_IP, r["mark"]) for r, u in found if u is not None)


def _mean_u(designer: Designer, part: str) -> float | None:
    chosen = [p for p in designer.model.parts if p.kind == part]
    area = sum(p.area_m2 for p in chosen)
    return sum(p.ua_W_K for p in chosen) / area if area > 0 else None
