"""Network, load factor and time series beside each other: where they part, by how much, and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heatcalc.answers.methods.hand_method import HandLoad, air_heat_capacity, hand_load_factor
from heatcalc.answers.methods.time_series_house import HANDBOOK, MethodOutside, hand_time_series
from heatcalc.inputs.house.living import living_day
from heatcalc.model.designer import DESIGN_WIND_COOLING_M_S, Designer
from heatcalc.model.house_model import HouseModel, bare_films
from heatcalc.physics.sun.sun import MONTH_DAYS
from heatcalc.physics.zone import loss_line
from heatcalc.physics.zone.network import inputs_of, steady
from heatcalc.wording import Q, Said, worded

OTHER_CAUSES = ("sun through glass", "people and appliances", "outdoor air")
NOTICED_SHARE = 0.03  # of the network's load: smaller differences of a component stay without a sentence
SUN_ON_ANY_WALL = 0.5  # of the sun on the flat, mean over all ways a window may face: common practice, no source
WHY_LOAD_FACTOR: dict[str, Said] = {  # beside what each kind of part says of itself
    "sun through glass": "one clear-day value and one factor a facade, for the hour in which a house glazed on all sides "
    "peaks; the network takes this hour's sun on each window, stored and partly lost again",
    "people and appliances": worded(
        "{} stands for a full-size set of appliances; the network takes this household's own hour, supper included",
        Q(136, "power"),
    ),
    "outdoor air": "leakage area by a design factor, half of the fan added, at the day's highest temperature; the network "
    "joins wind, warmth and fan in quadrature at the peak hour's temperature",
}
WHY_TIME_SERIES: dict[str, Said] = {
    "sun through glass": "all of it becomes load; in the network a part flows out again through shell and glass",
    "people and appliances": "all of it becomes load; in the network a part of the radiant share flows out again",
}
WHY_HEATING = (
    "heating: in the network the room feels like the set point, so behind cold walls its air is a little warmer (outdoor "
    "air costs more) and its radiant temperature a little lower (the shell loses less); the sheets know one indoor "
    "temperature and still air's inside films, the network those beside a head. The load factor method has its own leakage rule."
)


@dataclass(frozen=True)
class ComponentRow:
    """One component by three methods [W]."""

    component: str
    network_W: float
    load_factor_W: float
    time_series_W: float


@dataclass(frozen=True)
class MethodStep:
    """The time series peak with one more of its inputs made the network's [W]."""

    name: str
    peak_W: float


@dataclass(frozen=True)
class ThreeMethods:
    """The three methods on one house in one place, same way turned; loads in W."""

    designer: Designer
    load_factor: HandLoad
    time_series: HandLoad

    @cached_property
    def heating(self) -> tuple[ComponentRow, ...]:
        """Heating by component, infiltration and ventilation as one: outdoor air."""
        net = _joined(self.designer.heating().components_W)
        return _rows(self.designer.model, net, self.load_factor.heating_W, self.time_series.heating_W)

    @cached_property
    def cooling(self) -> tuple[ComponentRow, ...]:
        """Sensible cooling by component, each method in its own peak hour."""
        day = self.designer.cooling
        net = {name: float(series[day.peak_hour - 1]) for name, series in day.components_W.items()}
        return _rows(self.designer.model, net, self.load_factor.cooling_W, self.time_series.cooling_W)

    @cached_property
    def steps(self) -> tuple[MethodStep, ...]:
        """The time series brought to the network's outside and layers: what is left is heat that flows out again."""
        film = sum(bare_films("summer"))
        said = {
            "as the handbook has it": HANDBOOK,
            "with the network's outside film": MethodOutside(film),
            "and the sky at air temperature": MethodOutside(film, 0.0),
            "and the damping of each part's own layers": MethodOutside(film, 0.0, own_layers=True),
        }
        return tuple(MethodStep(name, hand_time_series(self.designer, None, o).cooling_total_W) for name, o in said.items())

    def off(self, method: str) -> float:
        """Peak sensible cooling of "load factor" or "time series" over the network's, less one."""
        hand = self.load_factor if method == "load factor" else self.time_series
        return hand.cooling_total_W / self.designer.cooling.peak_sensible_W - 1

    @property
    def sentences(self) -> tuple[Said, ...]:
        """One sentence for each component and method that part noticeably, largest first."""
        return _sentences(self)


def compare(designer: Designer) -> ThreeMethods:
    """The hand methods beside the network on the network's worst day."""
    return ThreeMethods(designer, hand_load_factor(designer), hand_time_series(designer))


def kept_share(designer: Designer) -> float:
    """Share of the light let through the glass that becomes load for good; the rest flows out again."""
    net, windows = designer.model.summer, designer.model.windows
    nil = {name: 0.0 for name in net.input_names}
    lit = nil | {w.transmitted: 1.0 for w in windows}
    area = sum(w.area_m2 for w in windows)
    return -steady(net, inputs_of(net, lit), 0.0).load_W / area if area > 0 else 1.0


def _joined(components_W: dict[str, float]) -> dict[str, float]:
    air = components_W["infiltration"] + components_W["ventilation"]
    return {k: v for k, v in components_W.items() if k not in ("infiltration", "ventilation")} | {"outdoor air": air}


def _rows(
    model: HouseModel, net: dict[str, float], factor: dict[str, float], series: dict[str, float]
) -> tuple[ComponentRow, ...]:
    used = [c for c in (*model.components, *OTHER_CAUSES) if any(c in method for method in (net, factor, series))]
    return tuple(ComponentRow(c, net.get(c, 0.0), factor.get(c, 0.0), series.get(c, 0.0)) for c in used)


def _sentences(c: ThreeMethods) -> tuple[Said, ...]:
    kinds = {p.of for p in c.designer.model.parts}
    by_factor: dict[str, Said] = {k.word: k.why_load_factor for k in kinds if k.why_load_factor} | WHY_LOAD_FACTOR
    by_series: dict[str, Said] = {k.word: k.why_time_series for k in kinds if k.why_time_series} | WHY_TIME_SERIES
    apart = [(row, "load factor", row.load_factor_W - row.network_W, by_factor) for row in c.cooling]
    apart += [(row, "time series", row.time_series_W - row.network_W, by_series) for row in c.cooling]
    limit = NOTICED_SHARE * c.designer.cooling.peak_sensible_W
    noticed = sorted((x for x in apart if abs(x[2]) > limit and x[0].component in x[3]), key=lambda x: -abs(x[2]))
    said = (
        worded(
            "{}, {}: {} {} - {}.",
            method,
            row.component,
            Q(abs(watts), "power"),
            "more" if watts > 0 else "less",
            why[row.component],
        )
        for row, method, watts, why in noticed
    )
    return (WHY_HEATING, *said, *_totals(c))


def _totals(c: ThreeMethods) -> tuple[str, str]:
    left = c.steps[-1].peak_W / c.designer.cooling.peak_sensible_W - 1
    outside = len(c.load_factor.reasons)
    luck = f", but the house is outside the method's range in {outside} ways: agreement is luck in part" if outside else ""
    return (
        f"load factor, total: {c.off('load factor'):+.0%} of the network's peak{luck}.",
        f"time series, total: {c.off('time series'):+.0%}; with the network's film, sky and layers {left:+.0%}, and that rest is "
        f"heat which flows out again: of the light let in, {kept_share(c.designer):.0%} becomes load for good here, "
        "and the method counts all; its inside films are still air's, the network's those beside a head.",
    )


# The year by hand ----------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class YearCheck:
    """Yearly heating by degree-days and by temperature bins [kWh of heat], with the mean gains they know."""

    conductance_W_K: float
    gains_W: float
    sun_W: float
    balance_C: float
    degree_days_Kd: float
    degree_day_kWh: float
    bin_kWh: float | None
    note: str


def year_check(designer: Designer) -> YearCheck:
    """Degree-days to the balance point and bins, month by month; sun and people as month means.

    Sources: `physics.degree_days`.  A check beside the year's walk, not an answer.
    """
    place, months = designer.place, range(12)
    k, people = year_conductance(designer), float(_gains_W(designer))
    sun = [_sun_W(designer, m) for m in months]
    inside = designer.model.house.set_points.heating
    balance = [loss_line.balance_point_C(inside, people + sun[m], k) for m in months]
    spread = place.monthly.daily_sd_K or (0.0,) * 12
    days = [loss_line.month_degree_days(place.monthly.mean_C[m], spread[m], MONTH_DAYS[m], balance[m])[0] for m in months]
    energy = loss_line.degree_day_energy_kWh(k, sum(days))
    return YearCheck(
        conductance_W_K=k,
        gains_W=people,
        sun_W=float(np.mean(sun)),
        balance_C=float(np.mean(balance)),
        degree_days_Kd=sum(days),
        degree_day_kWh=energy,
        bin_kWh=_bins_kWh(designer, k, balance),
        note=_year_note(designer),
    )


def year_conductance(designer: Designer) -> float:
    """Shell and outdoor air at the year's mean wind and a 15 K difference [W/K]."""
    model, wind = designer.model, designer.place.wind_mean_m_s or DESIGN_WIND_COOLING_M_S
    air = air_heat_capacity(designer, model.house.set_points.heating) * float(model.air.sensible(15.0, wind))
    return sum(model.ua_W_K.values()) + air


def _gains_W(designer: Designer) -> float:
    living = living_day(designer.model.house.living)
    return float((living.sensible_convective_W + living.sensible_radiant_W).mean())


def _sun_W(designer: Designer, month: int) -> float:
    """Month mean of the sun through all glass [W]: half of the flat's sun on any wall."""
    ghi = designer.place.monthly.ghi_kWh_m2_day
    opening = sum(w.area_m2 * w.glazing.shgc_diffuse * w.said.shade_all_day for w in designer.model.windows)
    return SUN_ON_ANY_WALL * 1000 / 24 * ghi[month] * opening if ghi else 0.0


def _bins_kWh(designer: Designer, conductance_W_K: float, balance_C: list[float]) -> float | None:
    if designer.place.bins is None:
        return None
    pairs = zip(designer.place.bins, balance_C, strict=True)
    return sum(
        loss_line.bin_energy_kWh(conductance_W_K, balance, np.array(b.lower_edges_C) + b.width_K / 2, b.hours)[0]
        for b, balance in pairs
    )


def _year_note(designer: Designer) -> str:
    missing = "" if designer.place.monthly.ghi_kWh_m2_day else "; no sun in this place's record"
    return f"mean gains and mean sun, no stored heat: a check of the year's walk, typically within a quarter of it{missing}"
