"""The residential load factor method on this house: one factor a part, one page."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from heatcalc.answers.methods.hand_method import HandLoad, by_component, difference_K, pressure_ratio
from heatcalc.model.designer import EIGHT_BEARINGS, Designer
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.model.sunlight import past_screen
from heatcalc.physics.air import infiltration, moist_air, ventilation
from heatcalc.physics.shell.shape import BEARING
from heatcalc.physics.zone import load_factor
from heatcalc.physics.zone.load_factor import AirFlow, DesignDifferences, Line, OpaqueSurface, WindowOpening

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
    leak = infiltration.load_factor_flow(air.leakage.area_m2, season, air.inputs.height_m, delta_K)
    both = float(ventilation.fan_and_leak_residential(leak, air.balanced_m3_s, air.unbalanced_m3_s))
    return float(ventilation.after_recovery(both, air.balanced_m3_s, recovery))


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
