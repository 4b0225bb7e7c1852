"""Hand methods on this house: what each hands back, the steady sum they share (U x A x difference, part by part), and the
residential load factor method on one page.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from heatcalc.model.designer import DESIGN_WIND_HEATING_M_S, EIGHT_BEARINGS, Designer
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.model.sunlight import past_screen
from heatcalc.physics.air import air_change, moist_air
from heatcalc.physics.shell.shape import BEARING
from heatcalc.physics.zone import load_factor
from heatcalc.physics.zone.load_factor import AirFlow, DesignDifferences, Line, OpaqueSurface, WindowOpening
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


SOURCE = "residential load factor method, ASHRAE Handbook - Fundamentals (2021) ch. 17"
PEAK_MONTH = 7


def hand_load_factor(designer: Designer) -> HandLoad:
    """The method fed from the same house and place, turned the way the network found worst.

    The floor's winter line meets what is below it (chapter eq. 5), a loft's warm layer is added to the roof's difference.
    """
    c, way = conditions(designer), designer.cooling.front_faces
    openings = _openings(designer, way)
    parts = [(p, _opaque_line(designer, p, c)) for p in designer.model.opaque]
    air = _air(designer, c)
    lines = load_factor.air_lines(air, c)
    windows = [load_factor.opening_line(o, c) for o in openings]
    people, floor = designer.model.house.living.people, designer.model.floor_area_m2
    gain = load_factor.internal_gain_W(floor, people)
    latent = load_factor.internal_latent_W(floor, people) + load_factor.LATENT_AIR * air.cooling_latent * max(
        air.excess_humidity, 0
    )
    heating = [(p.component, line.heating_W) for p, line in parts] + [("windows", w.heating_W) for w in windows]
    cooling = [(p.component, line.cooling_W) for p, line in parts] + [x for o in openings for x in _split(o, c)]
    reasons = load_factor.out_of_range(c, openings, floor, designer.conditions.elevation_m, designer.cooling.month)
    return HandLoad(
        method="load factor",
        heating_W=by_component([*heating, ("outdoor air", lines[0].heating_W)]),
        cooling_W=by_component([*cooling, ("people and appliances", gain), ("outdoor air", lines[1].cooling_W)]),
        latent_W=latent,
        month=PEAK_MONTH,
        front_faces=way,
        peak_hour=None,
        hourly_W=np.array([]),
        reasons=reasons,
        choices=_choices(designer),
        source=SOURCE,
    )


def conditions(designer: Designer) -> DesignDifferences:
    """The chapter's design differences from the place's design values."""
    c, points = designer.conditions, designer.model.house.set_points
    return DesignDifferences(designer.place.lat, points.heating - c.heating_C, c.cooling_1_C - points.cooling, c.daily_range_K)


def _opaque_line(designer: Designer, part: OpaquePart, c: DesignDifferences) -> Line:
    kind = "floor over crawlspace" if part.body.boundary == "below" else part.of.load_factor
    if designer.model.house.below.kind == "slab" and kind == "floor over crawlspace":
        return Line(part.name, part.area_m2, part.u_value * difference_K(designer, part), _slab_cooling(part))
    absorptance = part.body.solar_absorptance * part.taken_in
    line = load_factor.surface_line(OpaqueSurface(part.name, kind, part.area_m2, part.u_value, absorptance), c)
    return replace(line, heating_factor=part.u_value * difference_K(designer, part))


def _slab_cooling(part: OpaquePart) -> float:
    """The cool slab: the floor's own layers are its cover."""
    return load_factor.slab_cooling_factor(sum(part.body.resistance))


def _openings(designer: Designer, way: str) -> tuple[WindowOpening, ...]:
    front = EIGHT_BEARINGS[way]
    return tuple(_opening(w, front) for w in designer.model.windows)


def _opening(w: WindowPart, front_bearing_deg: float) -> WindowOpening:
    azimuth = (front_bearing_deg + BEARING[w.face]) % 360 if w.tilt_deg > 60 else None
    said, past = w.said, past_screen(w)
    return WindowOpening(
        name=w.name,
        azimuth_deg=azimuth,
        area_m2=w.area_m2,
        height_m=said.height,
        u_value=w.u_value,
        shgc=w.shgc,
        screen=past,
        inside_shade=said.shade_all_day,
        overhang_m=said.overhang,
        gap_above_m=said.overhang_above,
    )


def _split(o: WindowOpening, c: DesignDifferences) -> list[tuple[str, float]]:
    """A window's cooling line as conduction and sun."""
    line, dark = load_factor.opening_line(o, c), load_factor.opening_line(replace(o, shgc=0.0), c)
    return [("windows", dark.cooling_W), ("sun through glass", line.cooling_W - dark.cooling_W)]


def _air(designer: Designer, c: DesignDifferences) -> AirFlow:
    """The chapter's own air: leakage by design factor, fans by eq. 14, recovery by eqs. 15-17, thinner air by pressure."""
    model, thin = designer.model, pressure_ratio(designer)
    cold = float(model.air.recovered(model.air.inputs.sensible_recovery, c.heating_K))
    return AirFlow(
        thin * _flow(designer, "heating", c.heating_K, cold),
        thin * _flow(designer, "cooling", max(c.cooling_K, 0.0), model.air.inputs.sensible_recovery),
        thin * _flow(designer, "cooling", max(c.cooling_K, 0.0), model.air.inputs.moisture_recovery),
        excess_humidity(designer),
    )


def _flow(designer: Designer, season: str, delta_K: float, recovery: float) -> float:
    air = designer.model.air
    leak = air_change.load_factor_flow(air.leakage.area_m2, season, air.inputs.height_m, delta_K)
    both = float(air_change.fan_and_leak_residential(leak, air.balanced_m3_s, air.unbalanced_m3_s))
    return float(air_change.after_recovery(both, air.balanced_m3_s, recovery))


def excess_humidity(designer: Designer) -> float:
    """Outdoor less indoor humidity ratio at the 1 % cooling condition [kg/kg]."""
    c, points = designer.conditions, designer.model.house.set_points
    pressure = moist_air.pressure_at_altitude(c.elevation_m)
    outside = moist_air.humidity_ratio_from_wet_bulb(c.cooling_1_C, c.cooling_1_mcwb_C, pressure)
    return float(outside - moist_air.humidity_ratio_from_relative(points.cooling, points.cooling_humidity, pressure))


def _choices(designer: Designer) -> tuple[str, ...]:
    said = [
        "no insect screens",
        "ductless: no duct factor",
        "doors count as sunlit walls, thermal bridges as floor over open air",
        "air by the chapter's leakage-area factor and its fan rule, not the network's",
    ]
    if designer.model.house.below.kind == "slab":
        said.append("slab: winter loss by ISO 13370, summer by the chapter's slab factor")
    return tuple(said)
