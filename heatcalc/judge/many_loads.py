"""Design loads of one house at many places at once, and how far they may be off; the same figures as `size` at each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

import numpy as np

from heatcalc.inputs.house.living import living_day
from heatcalc.judge.chance import Spread, factor_spread, function_spread, nothing
from heatcalc.judge.sites import MONTH_SHARES, Sites, Skies
from heatcalc.model.designer import DESIGN_WIND_COOLING_M_S, DESIGN_WIND_HEATING_M_S, EIGHT_BEARINGS, Designer
from heatcalc.model.house_model import HouseModel
from heatcalc.model.outdoor_air import AirModel
from heatcalc.model.parts import ground_C
from heatcalc.model.sunlight import INSIDE_FILM_W_m2K
from heatcalc.physics.air import moist_air
from heatcalc.physics.air.air_change import after_recovery, fan_and_leak, latent_heat
from heatcalc.physics.shell.glazing import absorbed_at_inner_pane
from heatcalc.physics.shell.shape import BEARING
from heatcalc.physics.zone.fast_loads import HeatLine, day_responses, heat_line, heat_losses, in_one

Array = np.ndarray
STEP_K = 0.1
COOLS_FROM_K = 8.0
SAME = ("cooling_C", "line_C")  # alike in every place
GRID_C = np.arange(-52.5, 22.0, 2.5)


@dataclass(frozen=True, eq=False, kw_only=True)
class ManyLoads:
    """Loads of one house, a row for each place; `line_W` over `line_C` as the load line of a sizing."""

    sites: Sites
    cooling_C: float  # the set point
    design_C: Array
    heating_W: Array
    heating_996_W: Array
    coldest_C: Array  # the colder of the 99.6 % temperature less its sigma and the coldest hour of the typical record
    coldest_W: Array
    line_C: Array
    line_W: Array  # (places, temperatures)
    spread: Spread  # of the load at the design cold, the climate's own error apart; its mean is beyond the load
    night_gains_W: Array  # of the household asleep, which a design load leaves out
    sensible_W: Array
    latent_W: Array
    hot_C: Array
    month: Array
    damp_sensible_W: Array  # the 1 % dew-point condition; nil where the record has no dew point
    damp_latent_W: Array
    damp_C: Array

    def at(self, outdoor_C: Array) -> Array:
        """Heating load at any temperatures, straight between the points of the line, (places, temperatures)."""
        i = np.clip(np.searchsorted(self.line_C, outdoor_C, side="right") - 1, 0, len(self.line_C) - 2)
        x = (outdoor_C - self.line_C[i]) / (self.line_C[i + 1] - self.line_C[i])
        return (1 - x) * self.line_W[:, i] + x * self.line_W[:, i + 1]

    @classmethod
    def joined(cls, found: Sequence[ManyLoads]) -> ManyLoads:
        """Loads of several houses with one set point, one after another as of so many places."""
        columns = {f.name: [getattr(x, f.name) for x in found] for f in fields(cls)}
        join: dict[str, Callable[[list], Any]] = {
            "sites": Sites.joined,
            "spread": Spread.joined,
            **dict.fromkeys(SAME, lambda same: same[0]),
        }
        return cls(**{name: join.get(name, np.concatenate)(values) for name, values in columns.items()})

    def take(self, k: int) -> ManyLoads:
        """The loads of one place."""
        own = slice(k, k + 1)
        of: dict[str, Callable[[Any], Any]] = {
            "sites": lambda x: x.take(own),
            "spread": lambda x: x.take(own),
            **dict.fromkeys(SAME, lambda x: x),
        }
        return ManyLoads(**{f.name: of.get(f.name, lambda x: x[own])(getattr(self, f.name)) for f in fields(self)})

    def at_own(self, outdoor_C: Array) -> Array:
        """Heating load at the places' own temperatures, (places, temperatures), straight between the points of the line."""
        i = np.clip(np.searchsorted(self.line_C, outdoor_C, side="right") - 1, 0, len(self.line_C) - 2)
        x = (outdoor_C - self.line_C[i]) / (self.line_C[i + 1] - self.line_C[i])
        low, high = (np.take_along_axis(self.line_W, k, axis=1) for k in (i, i + 1))
        return (1 - x) * low + x * high

    @cached_property
    def alone(self) -> Spread:
        """The load at the design cold by itself, everything uncertain of the house joined."""
        return replace(self.spread, mean=self.heating_W + self.spread.mean)

    @cached_property
    def near_cold_W(self) -> Array:
        """The load at the temperatures about the design cold, (places, nodes); see `Sites.near_cold_C`."""
        return self.at_own(self.sites.near_cold_C(self.design_C))

    @cached_property
    def month_heat_W(self) -> Array:
        """The load less the household's own heat in the hours of the months, (places, hours)."""
        return np.maximum(self.at_own(self.sites.month_hours_C) - self.night_gains_W[:, None], 0.0)

    @cached_property
    def month_cold_W(self) -> Array:
        """Mean cooling load of the year: straight from nil, 8 K below the set point, to the design hour (own choice)."""
        none = self.cooling_C - COOLS_FROM_K
        share = (self.sites.month_hours_C - none) / np.maximum(self.hot_C - none, 1.0)[:, None]
        return np.clip(share, 0.0, 1.0) @ MONTH_SHARES * (self.sensible_W + self.latent_W)

    @cached_property
    def fine_C(self) -> Array:
        """Temperatures at which a balance point is looked for, as in `choice.balance_point`."""
        return np.arange(self.line_C[0], self.line_C[-1], STEP_K)

    @cached_property
    def fine_W(self) -> Array:
        """The load there."""
        return self.at(self.fine_C)


def many_loads(model: HouseModel, skies: Skies) -> ManyLoads:
    """Design loads of one house everywhere; design temperatures are the places' own."""
    known = np.isfinite(skies.sites.dew_point_1_C)
    damp = tuple(np.where(known, x, 0.0) for x in cooling_everywhere(model, skies.damp)[:3])
    return loads_at(model, skies.sites, (*cooling_everywhere(model, skies), *damp))


def loads_of(designers: Sequence[Designer], sites: Sites, wind_m_s: float = DESIGN_WIND_HEATING_M_S) -> ManyLoads:
    """The same from cooling days solved in detail, one designer a place."""
    columns = zip(*(_cooling_of(d) for d in designers), strict=True)
    return loads_at(designers[0].model, sites, tuple(np.array(x) for x in columns), wind_m_s)


def _cooling_of(d: Designer) -> tuple[float, ...]:
    """Sensible and latent load, outdoor temperature and month of the hot day; the first three of the damp day."""
    hot, damp = d.cooling, d.damp
    dew = (0.0, 0.0, 0.0) if damp is None else (damp.peak_sensible_W, damp.latent_at_peak_W, damp.outdoor_at_peak_C)
    return hot.peak_sensible_W, hot.latent_at_peak_W, hot.outdoor_at_peak_C, hot.month, *dew


def loads_at(model: HouseModel, sites: Sites, cooling: tuple[Array, ...], wind_m_s: float = DESIGN_WIND_HEATING_M_S) -> ManyLoads:
    """Heating loads beside ready cooling loads, to the milliwatt so that one place and a thousand say the same."""
    cold = sites.design_C(model.house.design.percentile)
    warm = model.house.set_points.heating
    grid = np.append(GRID_C[warm - 0.5 > GRID_C], warm)
    line = heat_line(model.still)
    at = np.column_stack([cold, sites.heating_996_C, sites.coldest_C, np.broadcast_to(grid, (len(sites), len(grid)))])
    lost, exchanged = losses(model, in_one(line), sites, at, wind_m_s)
    heat = np.round(lost[0] + exchanged, 3)
    sensible, latent, hot, month, damp_sensible, damp_latent, damp_C = cooling
    return ManyLoads(
        sites=sites,
        cooling_C=model.house.set_points.cooling,
        design_C=cold,
        heating_W=heat[:, 0],
        heating_996_W=heat[:, 1],
        coldest_C=sites.coldest_C,
        coldest_W=heat[:, 2],
        line_C=grid,
        line_W=heat[:, 3:],
        spread=load_spread(model, line, sites, cold),
        night_gains_W=np.full(len(sites), night_gains_W(model)),
        sensible_W=np.round(sensible, 3),
        latent_W=np.round(latent, 3),
        hot_C=np.round(hot, 6),
        month=month,
        damp_sensible_W=np.round(damp_sensible, 3),
        damp_latent_W=np.round(damp_latent, 3),
        damp_C=np.round(damp_C, 6),
    )


def losses(
    model: HouseModel,
    line: HeatLine,
    sites: Sites,
    outdoor_C: Array,
    wind_m_s: float = DESIGN_WIND_HEATING_M_S,
    loft: float = 1.0,
) -> tuple[Array, Array]:
    """Steady losses by term and of the outdoor air [W], (terms, places, temperatures), as `designer.heating_load`."""
    indoor, delta = model.house.set_points.heating, model.house.set_points.heating - outdoor_C
    flow = np.asarray(_air_at(model, sites.elevation_m[:, None]).sensible(delta, wind_m_s))
    channels = {
        "outdoor_C": outdoor_C,
        "sky_C": outdoor_C,
        "below_C": _below(model, sites, outdoor_C, "winter"),
        "loft_K": loft * model.house.loft.warmer_by if model.house.loft else 0.0,
    }
    return heat_losses(line, channels, indoor, _per_flow(sites, indoor)[:, None] * flow)


def _air_at(model: HouseModel, elevation_m: Any) -> AirModel:
    """The outdoor air of a house at places of several heights: thin air is warmed further by a preheater."""
    air = model.air
    return replace(air, inputs=replace(air.inputs, elevation_m=elevation_m)) if air.inputs.preheater_W else air


def load_spread(model: HouseModel, line: HeatLine, sites: Sites, cold_C: Array) -> Spread:
    """How far the load at the design cold may be off what is computed: parts as built, leakage, wind, the loft's warm air [W]."""
    lost, exchanged = (x[..., 0] for x in losses(model, line, sites, cold_C[:, None]))
    input_of = {p.name: p.of.uncertain for p in model.parts}
    groups: dict[str, Array] = {}
    for name, watts in zip(line.term_names, lost, strict=True):
        if name in input_of:
            groups[input_of[name]] = groups.get(input_of[name], 0.0) + watts
    spread = sum((factor_spread(name, watts, model.learnt) for name, watts in groups.items()), nothing(cold_C.shape))
    delta = model.house.set_points.heating - cold_C
    flow = np.asarray(_air_at(model, sites.elevation_m).sensible(delta, DESIGN_WIND_HEATING_M_S))
    per_flow = exchanged / np.maximum(flow, 1e-12)
    spread = spread + function_spread(
        "leaks", lambda x: per_flow * _leaking(model, delta, DESIGN_WIND_HEATING_M_S, x), model.learnt
    )
    spread = spread + function_spread("wind", lambda v: per_flow * _leaking(model, delta, v, 1.0))
    if model.house.loft:
        flat = losses(model, line, sites, cold_C[:, None], loft=0.0)[0][..., 0]
        spread = spread + factor_spread("loft", (lost - flat).sum(axis=0))
    return spread


def _leaking(model: HouseModel, delta_K: Array, wind_m_s: float, leaks: float) -> Array:
    """Outdoor air that carries heat with the leakage scaled [m3/s]."""
    air = model.air
    total = fan_and_leak(leaks * np.asarray(air.leak(delta_K, wind_m_s)), air.balanced_m3_s, air.unbalanced_m3_s)
    return after_recovery(total, air.balanced_m3_s, air.inputs.sensible_recovery)


def night_gains_W(model: HouseModel) -> float:
    """Heat of people asleep and of what always runs, mean of the hours from midnight to six [W]."""
    day = living_day(model.house.living)
    return float((day.sensible_convective_W + day.sensible_radiant_W)[:6].mean())


def _per_flow(sites: Sites, air_C: float) -> Array:
    return moist_air.volumetric_heat_capacity(air_C, 0.0, moist_air.pressure_at_altitude(sites.elevation_m))


def _below(model: HouseModel, sites: Sites, outdoor_C: Array, season: str, rows: Array | slice = slice(None)) -> Array:
    share = next((p.outdoor_share for p in model.opaque if p.body.boundary == "below"), 1.0)
    if share == 1.0:
        return outdoor_C
    known = model.shell, model.on_ground_m2K_W
    ground = ground_C(*known, sites.mean_C, season, model.house.below.soil_conductivity)
    return share * outdoor_C + (1.0 - share) * ground[rows][:, None]


def cooling_everywhere(model: HouseModel, skies: Skies) -> tuple[Array, Array, Array, Array]:
    """Peak sensible load, latent load then [W], outdoor temperature then [degC] and the month, a value for each place."""
    said = model.house.site.front_faces
    ways: list[str] = list(EIGHT_BEARINGS) if said == "unknown" else [said]
    loads = _sensible(model, skies, ways)
    peak = np.max([load.max(axis=1) for load in loads], axis=0)
    order = np.lexsort((-peak, skies.site_of))  # of each place the largest day first
    row = order[np.searchsorted(skies.site_of[order], np.arange(len(skies.sites)))]
    there = np.array([load[row] for load in loads])
    hour = there.max(axis=0).argmax(axis=1)
    return peak[row], _latent(model, skies, row, hour), skies.dry_bulb_C[row, hour], skies.month[row]


def _sensible(model: HouseModel, skies: Skies, ways: list[str]) -> list[Array]:
    """Sensible load [W] of each way it may stand, (rows, hours): what the day asks for without turning, and each side turned."""
    indoor, outdoor = model.house.set_points.cooling, skies.hour_mean_C
    response = {name: -r for name, r in day_responses(model.summer_held).items()}
    delta = indoor - outdoor
    flow = np.asarray(model.air.sensible(delta, DESIGN_WIND_COOLING_M_S))
    still = _per_flow(skies.sites, indoor)[skies.site_of][:, None] * flow * -delta
    living, below = living_day(model.house.living), _below(model, skies.sites, outdoor, "summer", skies.site_of)
    channels = {
        "outdoor_C": outdoor - indoor,
        "sky_C": outdoor - indoor,
        "below_C": below - indoor,
        "convective_gain_W": living.sensible_convective_W[None],
        "radiant_gain_W": living.sensible_radiant_W[None],
    }
    for name, series in channels.items():
        if name in response:
            still = still + series @ response[name]
    sides = _sides(model, response)
    level = {f: sides.pop(f) for f in list(sides) if f not in BEARING}
    if level:
        still = sum(_turned(model, skies, level, 0.0).values(), still)
    bearing = {(w, f): (EIGHT_BEARINGS[w] + BEARING[f]) % 360.0 for w in ways for f in sides}
    each = {
        a: _turned(model, skies, {f: sides[f] for f in sides if any(bearing.get((w, f)) == a for w in ways)}, a)
        for a in set(bearing.values())
    }
    return [sum((each[bearing[w, f]][f] for f in sides), still) for w in ways]


def _sides(model: HouseModel, response: dict[str, Array]) -> dict[str, dict]:
    """By face and kind of plane or window there: one of it, and its responses below each other, (24 or 48, 24)."""
    sides: dict[str, dict] = {}
    for p in model.opaque:
        if p.body.sun and p.body.sun in response:
            sides.setdefault(p.face, {})[p.tilt_deg] = (p.tilt_deg, response[p.body.sun])
    for w in model.windows:
        windows, key = sides.setdefault(w.face, {}), (w.glazing, w.tilt_deg, w.shading)
        warm = absorbed_at_inner_pane(1.0, w.u_value, INSIDE_FILM_W_m2K) * response[w.absorbed]
        window, before = windows.get(key, (w, 0.0))
        windows[key] = (window, before + np.vstack([response[w.transmitted], warm]))
    return sides


def _turned(model: HouseModel, skies: Skies, sides: dict[str, dict], azimuth: float) -> dict[str, Array]:
    """Load of all that faces one way, were it each of some sides, by face [W], (rows, hours); one product for all of them."""
    kinds = {key: of for parts in sides.values() for key, of in parts.items()}
    light = skies.of(model.house.site, azimuth).light({key: one for key, (one, _) in kinds.items()})
    none = {key: (one, np.zeros_like(response)) for key, (one, response) in kinds.items()}
    each = np.hstack([np.vstack([response for _, response in (none | parts).values()]) for parts in sides.values()])
    return dict(zip(sides, np.split(light @ each, len(sides), axis=1), strict=True))


def _latent(model: HouseModel, skies: Skies, row: Array, hour: Array) -> Array:
    """Latent load in an hour of a row [W], a value for each place, as `design._latent`."""
    s, points = skies.sites, model.house.set_points
    pressure = moist_air.pressure_at_altitude(s.elevation_m)
    inside = moist_air.humidity_ratio_from_relative(points.cooling, points.cooling_humidity, pressure)
    flow = np.asarray(model.air.moisture(points.cooling - skies.hour_mean_C[row, hour], DESIGN_WIND_COOLING_M_S))
    air = latent_heat(flow, skies.humidity_ratio[row] - inside, pressure, points.cooling)
    return np.maximum(air + living_day(model.house.living).latent_W[hour], 0.0)
