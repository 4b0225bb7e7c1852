"""The main job: one house in one place, its loads, every unit judged, the plan, and what would change it."""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.supply.supply_record import Supply
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.assumed import Assumption, assumptions_of
from heatcalc.judge.cases import Case, candidates_of
from heatcalc.judge.choice import Candidate, Task, task_of
from heatcalc.judge.facts import Asked
from heatcalc.judge.one_head import one_head_warnings, places_told
from heatcalc.judge.plan import Judged, Plan, of_one_house, order_key
from heatcalc.judge.plan_year import SHORT_K, PlanYear
from heatcalc.judge.sense import sense_warnings
from heatcalc.judge.three_plans import ThreePlans, judged_units, three_plans
from heatcalc.model.designer import Designer
from heatcalc.model.house_model import parts_in_files
from heatcalc.model.steady_load import HeatingLoad
from heatcalc.wording import Q, Said, worded

CAUTIONS = (
    "For information. Local codes, the unit's manual and licensed practice decide; nothing here certifies a house "
    "or an installation.",
    "Generic units stand for classes, not products: replace them with your unit's own table before ordering.",
    "Electric supply: a licensed electrician and the authority having jurisdiction decide.",
    "Refrigerant in a small room: the unit's manual gives the smallest room for its charge.",
    "Backup heat by combustion must be sealed or vented; fit a carbon monoxide alarm.",
    "In a power cut or below the temperature held, water lines can freeze: protect or drain them.",
)
SURE = 0.9
SURE_RANGE = (0.5, 0.99)
MOST_KEPT = 8  # the newest sizings of `size_house`, so that a question about the same case finds it sized; each holds its years
KEPT: dict[bytes, SizeResult] = {}

__all__ = ["CAUTIONS", "SURE", "SizeResult", "candidates_of", "minded", "size_case", "size_house"]


@dataclass(frozen=True, kw_only=True, eq=False)
class SizeResult:
    """Everything the main job answers, with its terms, assumptions and warnings; SI throughout.

    Of several places `designer`, `place` and the loads are those of the one with the largest heating load.
    """

    case: Case
    designer: Designer
    task: Task
    heating: HeatingLoad
    heating_996: HeatingLoad
    candidates: tuple[Candidate, ...]
    recommended: Candidate
    planned: ThreePlans
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Said, ...]

    @property
    def plan(self) -> Plan:
        """The first plan: the one every other surface computes with."""
        return self.planned.first

    @property
    def plans(self) -> tuple[Plan, ...]:
        """One to three plans; the others are worked out when first asked for, with what changes to the house would keep."""
        return self.planned.all

    @property
    def house(self) -> House:
        """The house as described."""
        return self.case.house

    @property
    def hangs_on(self) -> Supply:
        """The house's supply as the plan has it: on its own cord where that carries the plan, else on the plan's."""
        own, plan = self.house.supply, self.plan
        return own if plan.supply_carried or plan.supply is None else own.model_copy(update={"cord": plan.supply})

    @property
    def place(self) -> Place:
        """The place, at the site's elevation."""
        return self.designer.place

    @property
    def places(self) -> tuple[Place, ...]:
        """Every place of the case."""
        return self.case.sites_places

    @cached_property
    def each(self) -> tuple[SizeResult, ...]:
        """The same plan as each of its places has it: that place's loads, year and warnings."""
        if len(self.places) == 1:
            return (self,)
        judged = [c.judged for c in self.candidates]
        return tuple(_seen_at(k, self.planned, judged, (p,)) for k, p in enumerate(self.places))

    @property
    def year(self) -> PlanYear | None:
        """The walked year of the plan in this place; None where none is known or none was walked."""
        found = self.plan.year
        return found and found.every[self.recommended.at]

    @cached_property
    def load_per_floor_W_m2(self) -> float:
        """Heating load over floor area without the loft, the trade's ratio."""
        return self.heating.load_W / self.designer.model.floor_area_m2


def size_house(
    house: House,
    place: Place | Sequence[Place],
    units: dict[str, Unit] | None = None,
    folder: Path | None = None,
    walk: bool = True,
    sure: float = SURE,
) -> SizeResult:
    """Size the unit of `house` in a place, or in each of several where it moves.

    units : None = the generic shelf and the house file's own unit files
    folder : where the house file lies
    walk : whether the plans' years are walked (humidity, kilowatt-hours, money); False where only loads and verdicts are asked
    sure : chance (0.5 to 0.99) with which the plan is to hold the set point at the design cold
    Raises InputError for an unknown unit or assembly, NoAnswer where no candidate exists.
    """
    places = (place,) if isinstance(place, Place) else tuple(place)
    case = Case(house=house, places=places, folder=folder, units=units, package_usd=package_usd_of(house))
    if units is not None or _reads_files(house):
        return size_case(case, walk, sure)
    asked = pickle.dumps((house, [[getattr(p, f.name) for f in fields(p)] for p in places], walk, sure))
    found = KEPT.pop(asked, None) or size_case(case, walk, sure)
    KEPT[asked] = found  # the newest last
    for oldest in list(KEPT)[:-MOST_KEPT]:
        KEPT.pop(oldest, None)
    return found


def _reads_files(house: House) -> bool:
    """Whether a sizing reads files that the house names: they may have changed since."""
    return bool(house.units) or isinstance(house.fleet, str) or parts_in_files(house)


def package_usd_of(house: House) -> float:
    """What the house's package adds to the quote; 0 where its file names no price."""
    origin = house.origin
    table = {} if origin is None else origin.said.get("packages", {}).get(house.package or "", {})
    return float(table.get("price", 0.0) or 0.0)


def size_case(case: Case, walk: bool = True, sure: float = SURE, known: SizeResult | None = None) -> SizeResult:
    """Size a case; see `size_house`.

    known : the same house in the same place, but for the unit it names and its tariff, sized before: neither moves a load or a
        verdict
    """
    if not SURE_RANGE[0] <= sure <= SURE_RANGE[1]:
        raise InputError("--sure", f"{100 * sure:g}", "is a chance from 50 to 99 of 100", "e.g. --sure 90")
    asked = Asked(sure)
    if known is None or len(case.places) > 1:
        judged = judged_units(case, asked)
    else:
        case = replace(case, ready=tuple(d.on_panel(case.house) for d in known.case.designers))
        judged = [replace(c.judged, house=case.house) for c in known.candidates]
    named = case.house.unit
    if named is not None and named not in case.shelf:
        raise InputError("unit", named, "is not among the candidates", nearest(named, list(case.shelf)))
    planned = three_plans(case, judged, named, walk)
    judged = [of_one_house(j) for j in sorted(judged, key=order_key)]
    return _seen_at(int(np.argmax(case.loads.heating_W)), planned, judged)


def _seen_at(at: int, planned: ThreePlans, judged: Sequence[Judged], places: Sequence[Place] = ()) -> SizeResult:
    """The sizing as one of its places has it; `places` are those whose warnings it carries, none named for all."""
    case, plan = planned.case, planned.first
    designer = case.designers[at]
    task, dries = task_of(designer), plan.dehumidifier_W or 0.0
    assert plan.judged is not None
    chosen = Candidate(of_one_house(plan.judged), task, at, dries)  # on the panel of the plan, lock-outs and all
    return SizeResult(
        case=case,
        designer=designer,
        task=task,
        heating=designer.heating(),
        heating_996=designer.heating(designer.conditions.heating_996_C),
        candidates=tuple(Candidate(j, task, at, dries if j.unit.name == plan.unit else 0.0) for j in judged),
        recommended=chosen,
        planned=planned,
        assumptions=assumptions_of(designer),
        warnings=tuple(_warnings(places or case.sites_places, designer, chosen, plan)),
    )


def minded(places: Sequence[Place]) -> list[Said]:
    """What is to be minded about several places, each by its name."""
    return [worded("{}: {}", place.name, words) for place in places for words in place.warnings]


def _warnings(places: Sequence[Place], designer: Designer, chosen: Candidate, plan: Plan) -> Iterator[Said]:
    yield from places[0].warnings if len(places) == 1 else minded(places)
    yield from sense_warnings(designer, chosen.name, chosen.balance_point_C)
    if plan.dehumidifier_W:
        dry = next(r for r in plan.rules if r.code == "dry").quantities
        above = ", ".join(f"above {k} % in {dry[f'above_{k}_h']:,.0f} hours" for k in (60, 80))
        yield (
            f"indoor humidity is {above} of the warm half of a typical year with {chosen.name} alone: "
            f"the plan has a dehumidifier of {plan.dehumidifier_pints_day:.0f} pints a day"
        )
    if plan.cold_water_share:
        yield f"with the water heater held off {plan.cold_water}; a propane heater or a larger supply ends that"
    drop = chosen.supply.drop
    if not drop.enough:
        yield worded(
            "at the end of {} of {} AWG the heat pump is left {:.1f} V at the full draw of {}, below its least of {:.1f} V "
            "({}): a shorter cord or a larger conductor",
            Q(drop.length_m, "length"),
            drop.gauge_awg,
            drop.left_at_full_draw_V,
            drop.cord,
            drop.least_V,
            drop.least_from,
        )
    hours = max(p.hours_below(chosen.unit.lowest_heating_C) for p in places)
    if hours >= 0.5:
        yield worded(
            "a typical year has about {:.0f} hours colder than {}, in which {} stands still: the second heater of the plan then "
            "carries the house; water lines may freeze without it",
            hours,
            Q(chosen.unit.lowest_heating_C, "temperature"),
            chosen.name,
        )
    if plan.short_h:
        yield worded(
            "in a typical year the room is more than {} below the set point in {:.0f} hours with this plan",
            Q(SHORT_K, "temperature difference"),
            plan.short_h,
        )
    yield from one_head_warnings(designer.model, chosen)
    yield from places_told(designer)
