"""Everything a buyer is told about one house with one unit in one place, computed once for every page and file.

What would change (other set points, a skirt, shade, another siding: each made to the house and its year walked again), and what
may be promised: the plan's temperature at its chance, how often it is colder, what helps then, and a power cut.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.answers.sale.band import Band, band
from heatcalc.answers.year.outage import HeatCut, PowerCut, heat_cut, power_cut
from heatcalc.answers.year.run_load_answer import RunLoad, run_load
from heatcalc.inputs.house.house_pieces import WindowIn
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.supply.supply_record import Tariff
from heatcalc.judge.choice import Candidate, hot_held_C
from heatcalc.judge.metered_year import MeteredYear, money_of, walk
from heatcalc.judge.plan import Plan
from heatcalc.judge.sizing import SizeResult
from heatcalc.model.house_model import house_model
from heatcalc.model.year_drivers import in_months
from heatcalc.model.year_walk import drivers
from heatcalc.supply.cord import HourCheck
from heatcalc.supply.money import Emission, HeatSource, compare_heat, electricity_co2
from heatcalc.wording import Q, Said, worded

SIXTY_SIX_C, SEVENTY_EIGHT_C = (66.0 - 32.0) / 1.8, (78.0 - 32.0) / 1.8
AWNING_M, BLINDS, WORTH_SHADING = 0.914, 0.6, 0.1  # three feet out; shade of light blinds (common practice); of the run load
COOLER_THAN_K = 0.5
DARK, LIGHT = "dark", "light"


@dataclass(frozen=True, eq=False, kw_only=True)
class WhatIf:
    """One change: its words, and the year with it and its difference from the house as described."""

    change: Said
    year_kWh: float
    year_cost: float
    more_kWh: float
    more_cost: float
    heating_more_kWh: float
    cooling_more_kWh: float
    tables: tuple[np.ndarray, np.ndarray]  # kWh by month and hour, of the run load and of the rest


def what_if(r: RunLoad) -> tuple[WhatIf, ...]:
    """Every change that applies to this house."""
    cools = float(r.load.uses_W["cooling"].sum()) >= WORTH_SHADING * float(r.load.run_W.sum())
    changes = [*_changes(r.sized.house), *(_cooler(r.sized.house) if cools else ())]
    return tuple(_tried(r, words, house) for words, house in changes)


def _changes(house: House) -> Iterator[tuple[Said, House]]:
    points = house.set_points
    if points.heating > SIXTY_SIX_C + COOLER_THAN_K:
        night = None if points.night_heating is None else min(points.night_heating, SIXTY_SIX_C)
        yield (
            worded("heat to {} instead of {}", Q(SIXTY_SIX_C, "temperature"), Q(points.heating, "temperature")),
            _with(house, "set_points", {"heating": SIXTY_SIX_C, "night_heating": night}),
        )
    if house.below.kind == "open air":
        yield "add skirting around the house", _with(house, "below", {"kind": "skirted"})
    other = LIGHT if house.colours.siding in (DARK, "black") else DARK
    yield f"choose {other} siding instead of {house.colours.siding}", _with(house, "colours", {"siding": other})


def _cooler(house: House) -> Iterator[tuple[Said, House]]:
    """What makes less heat in summer, where cooling matters."""
    points, glass = house.set_points, house.windows
    if points.cooling < SEVENTY_EIGHT_C - COOLER_THAN_K:
        words = worded("cool to {} instead of {}", Q(SEVENTY_EIGHT_C, "temperature"), Q(points.cooling, "temperature"))
        yield words, _with(house, "set_points", {"cooling": SEVENTY_EIGHT_C})
    if any(w.inside_shade > BLINDS for w in glass):
        yield "light blinds, drawn all year", _windows(house, lambda w: {"inside_shade": min(w.inside_shade, BLINDS)})
    if any(w.overhang < AWNING_M and w.face != "roof" for w in glass):
        words = worded("an awning {} deep over every window", Q(AWNING_M, "length"))
        yield words, _windows(house, lambda w: {} if w.face == "roof" else {"overhang": max(w.overhang, AWNING_M)})


def _windows(house: House, values: Callable[[WindowIn], dict[str, float]]) -> House:
    return house.model_copy(update={"windows": tuple(w.model_copy(update=values(w)) for w in house.windows)})


def _with(house: House, table: str, values: dict[str, object]) -> House:
    return house.model_copy(update={table: getattr(house, table).model_copy(update=values)})


def _tried(r: RunLoad, words: Said, house: House) -> WhatIf:
    load = walk(house_model(house, r.sized.place.elevation_m, r.folder), r.asked)
    cost = _cost(load, r.money.tariff)
    heating, cooling = (_of(load, use) - _of(r.load, use) for use in (("heating", "backup"), ("cooling",)))
    return WhatIf(
        change=words,
        year_kWh=load.year_kWh,
        year_cost=cost,
        more_kWh=load.year_kWh - r.load.year_kWh,
        more_cost=cost - r.money.year_cost,
        heating_more_kWh=heating,
        cooling_more_kWh=cooling,
        tables=load.tables,
    )


def _cost(load: MeteredYear, tariff: Tariff) -> float:
    return money_of(load, tariff, "").year_cost


def _of(load: MeteredYear, uses: tuple[str, ...]) -> float:
    return float(np.sum([load.uses_W[use].sum() for use in uses])) / 1000.0


@dataclass(frozen=True, kw_only=True)
class Promise:
    """The promise box: the plan, and what a typical year makes of it; temperatures in degC, power in W."""

    plan: Plan
    why_not: Said  # the sizing's first reason, where no unit here carries the house
    indoor_C: float
    colder_h: int  # hours of a typical year colder than the temperature held
    lowest_C: float  # the unit's lowest operating temperature, heating
    standing_h: int  # hours of a typical year colder than that, from the place's bins as in the sizing
    backup_kWh: float
    coldest_outdoor_C: float
    coldest_indoor_C: float
    too_cold_h: float
    unit_heats_h: float
    full_h: float
    design_C: float
    cooling_C: float  # the set point held in summer
    hot_held_C: (
        float | None
    )  # hottest outdoors with that, at the chance asked for; None where not even the design hour is carried
    hot_held_paper_C: float | None
    hotter_h: int  # hours of the typical year hotter than held
    too_warm_h: float
    hottest_outdoor_C: float
    hottest_indoor_C: float
    mainly_cools: bool  # cooling takes more electricity than heating: the promise begins with the heat
    cord: str
    cord_loads: tuple[str, ...]  # what runs together in the fuller of the two design hours, water heater and all
    cord_reason: str  # the supply check's words for that hour
    plugs_in: bool
    months: tuple[int, ...]  # in which the house stands there: all hours above are theirs

    @property
    def held_C(self) -> float | None:
        """Coldest outdoor temperature held at the chance asked for, with the plan's heater."""
        return self.plan.held_C

    @property
    def backup_W(self) -> float:
        """The plan's second heater."""
        return self.plan.heater_W

    @property
    def cord_passes(self) -> bool:
        """The supply the house has carries the plan."""
        return self.plan.supply_carried

    @property
    def smallest_cord(self) -> str | None:
        """The plan's supply."""
        return self.plan.supply


def promise(r: RunLoad) -> Promise:
    """The promise of a computed year."""
    c, task, year, plan = r.candidate, r.sized.task, r.load.year, r.sized.plan
    (hot, hot_paper), heat_kWh = hot_held_C(c, r.sized.designer, plan.sure, 0.5), r.load.heating_electricity_kWh
    fuller, place = fuller_hour(c), r.sized.place
    there, stays = in_months(place.months), np.array(place.months) - 1
    indoor, outdoor = (r.hours[of][there] for of in ("indoor_C", "outdoor_C"))
    unmet_h = {of: float(np.mean([way.unmet_h[of][stays].sum() for way in year.ways])) for of in ("too cold", "too warm")}
    return Promise(
        plan=plan,
        why_not="" if plan.holds else c.reasons[0],
        indoor_C=task.heating_set_C,
        colder_h=0 if plan.held_C is None else round(place.hours_below(plan.held_C)),
        lowest_C=c.unit.lowest_heating_C,
        standing_h=round(place.hours_below(c.unit.lowest_heating_C)),
        backup_kWh=float(r.load.uses_W["backup"].sum()) / 1000.0,
        coldest_outdoor_C=float(outdoor.min()),
        coldest_indoor_C=float(min(way.series["indoor_C"][there].min() for way in year.ways)),
        too_cold_h=unmet_h["too cold"],
        unit_heats_h=year.hours["heating"],
        full_h=year.hours["full output, heating"],
        design_C=task.design_C,
        cooling_C=task.cooling_set_C,
        hot_held_C=hot,
        hot_held_paper_C=hot_paper,
        hotter_h=0 if hot is None else int((outdoor > hot).sum()),
        too_warm_h=unmet_h["too warm"],
        hottest_outdoor_C=float(outdoor.max()),
        hottest_indoor_C=float(indoor.max()),
        mainly_cools=float(r.load.uses_W["cooling"].sum()) / 1000.0 > heat_kWh,
        cord=r.sized.house.supply.cord,
        cord_loads=tuple(load.name for load in fuller.loads),
        cord_reason=fuller.reason,
        plugs_in=c.plugs_in,
        months=place.months,
    )


def cut_cooling(r: RunLoad) -> HeatCut:
    """A power cut on the hottest day of the year, the house standing the way nearest the mean."""
    year = r.load.year
    return heat_cut(drivers(year.house, r.asked.brings, year.middle.front_faces), r.sized.place.months)


def fuller_hour(c: Candidate) -> HourCheck:
    """The design hour that takes up more of the cord, one that fails first."""
    return max((c.supply.cold, c.supply.hot), key=lambda hour: (hour.verdict == "fail", hour.leg_required_A))


def cut_power(r: RunLoad) -> PowerCut:
    """A power cut on the coldest night of the year, the house standing the way nearest the mean."""
    year = r.load.year
    return power_cut(drivers(year.house, r.asked.brings, year.middle.front_faces), r.sized.place.months)


CAUTIONS = (
    "Computed for a typical year and the living described, not measured: another winter, another household or an open window "
    "move it; the range shows how far.",
    "For information. Local codes, the unit's manual and licensed practice decide; nothing here certifies a house or a supply.",
    "Electric supply: a licensed electrician decides. Never run a generator indoors, under the house or near openings.",
    "Backup heat by combustion must be sealed or vented; keep a carbon monoxide alarm.",
    "Water lines freeze before the room does: protect or drain them.",
)


@dataclass(frozen=True, eq=False, kw_only=True)
class Buyer:
    """The run load with its band, promise, power cut, what-ifs, fuels and carbon."""

    run: RunLoad
    band: Band
    promise: Promise
    cut: PowerCut
    hot_cut: HeatCut
    changes: tuple[WhatIf, ...]
    fuels: tuple[HeatSource, ...]
    carbon: Emission

    @property
    def sized(self) -> SizeResult:
        """The sizing behind it."""
        return self.run.sized

    @property
    def house_warnings(self) -> tuple[Said, ...]:
        """What to mind about the house.

        The promise itself counts the hours in which the unit stops.
        """
        return self.sized.warnings


def tell(sized: SizeResult, folder: Path | None = None) -> Buyer:
    """All of it; `folder` is where the house's own files lie.  Raises NoAnswer where no unit carries the house."""
    r = run_load(sized, folder)
    state = sized.place.state
    fuels = compare_heat(r.load.heat_kWh, r.load.heating_electricity_kWh, r.mean_price, state, r.money.tariff)
    return Buyer(
        run=r,
        band=band(r),
        promise=promise(r),
        cut=cut_power(r),
        hot_cut=cut_cooling(r),
        changes=what_if(r),
        fuels=fuels,
        carbon=electricity_co2(r.load.year_kWh, state),
    )
