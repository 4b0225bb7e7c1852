"""Option packages of one model side by side: loads, energy, money, amperes, weight, inches, moisture margin."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from heatcalc.answers.study.pareto import dominated_by
from heatcalc.answers.year.run_load_answer import run_load
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.assembly.assembly_file import OpaqueAssembly, WindowAssembly
from heatcalc.inputs.checked import read_toml
from heatcalc.inputs.house.house_file import house_from, house_path, table_of_tables
from heatcalc.inputs.place.find_place import Place
from heatcalc.judge.choice import Candidate
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.model.house_model import HouseModel
from heatcalc.model.indoor_air import air_of_house
from heatcalc.model.moisture import moisture
from heatcalc.tables import rows
from heatcalc.wording import USD, price_of_kWh

AS_DESCRIBED = "as described"
LIMITS = (
    "Prices are those of the house file; where it has none, payback and life-cycle cost are left out.",
    "Weight is that of walls, roof and floor by layer; windows, doors, frame and furniture are the same for all.",
    "Moisture margin: the weakest inner surface's temperature factor less what the worst month needs (ISO 13788); below 0 = "
    "mould risk by that method, which sees no air leaks into cavities; doors, the same for all, are left out.",
    "Life-cycle cost: price plus the present value of heating and cooling electricity; no repair, resale or unit cost.",
)


@dataclass(frozen=True, kw_only=True)
class Package:
    """One option package with everything a buyer and a shop trade."""

    name: str
    sized: SizeResult
    candidate: Candidate
    price: float | None
    heating_W: float
    cooling_W: float
    year_kWh: float
    year_cost: float
    currency: str  # of the year's cost; the price is in US dollars
    peak_A: float
    carried_by_cord: bool
    mass_kg: float
    wall_m: float
    roof_m: float
    floor_m: float
    moisture_margin: float
    moisture_weakest: str
    life_cycle_cost: float | None
    payback_years: float | None


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Packages in the order asked; differences are to the first."""

    place: Place
    packages: tuple[Package, ...]
    dominated_by: tuple[tuple[str, ...], ...]
    objectives: tuple[str, ...]
    tariff: str
    years: float
    discount_rate: float
    limits: tuple[str, ...] = LIMITS

    @property
    def front(self) -> tuple[str, ...]:
        """Names of the packages nothing beats."""
        return tuple(p.name for p, others in zip(self.packages, self.dominated_by, strict=True) if not others)


def said_of(file: str | Path | None) -> dict[str, Any]:
    """The house file as TOML gives it."""
    return read_toml(house_path(file))


def package_names(said: Mapping[str, Any], wanted: Sequence[str] = ()) -> tuple[str, ...]:
    """The packages asked for, or all of the file, the file's own first.  InputError for an unknown or repeated one."""
    known = list(table_of_tables(said.get("packages", {}), "packages"))
    own = said.get("package")
    names = list(wanted) or ([own] if own in known else []) + [k for k in known if k != own]
    for name in names:
        if name not in known and name != AS_DESCRIBED:
            raise InputError(
                "package", name, f"no such package; known: {'; '.join(known) or 'none in this file'}", nearest(name, known)
            )
        if names.count(name) > 1:
            raise InputError("package", name, "is named twice")
    return tuple(names) or (AS_DESCRIBED,)


def package_list(file: str | Path | None, words: str | None) -> tuple[str, ...]:
    """Names parted by commas; a name of the file that holds a comma itself is found first."""
    if words is None:
        return ()
    known = sorted(table_of_tables(said_of(file).get("packages", {}), "packages"), key=len, reverse=True)
    names: list[str] = []
    while words := words.strip(" ,"):
        name = next((k for k in known if words == k or words.startswith(f"{k},")), words.partition(",")[0].strip())
        names.append(name)
        words = words[len(name) :]
    return tuple(names)


def house_with(said: Mapping[str, Any], name: str, changes: Sequence[str], where: str):
    """The house with one of its packages."""
    return house_from(said, changes, None if name == AS_DESCRIBED else name, where)


def compare_packages(
    file: str | Path | None, place: Place, names: Sequence[str] = (), unit: str | None = None, changes: Sequence[str] = ()
) -> Comparison:
    """Size, walk the year of, and price each package of a house file in one place.

    unit : the same unit for all; None = the recommended one of each
    """
    return compare_in_places(file, (place,), names, unit, changes)[0]


def compare_in_places(
    file: str | Path | None,
    places: Sequence[Place],
    names: Sequence[str] = (),
    unit: str | None = None,
    changes: Sequence[str] = (),
) -> tuple[Comparison, ...]:
    """The same in each place of a house that moves; every package has one plan for all of them."""
    said, path = said_of(file), house_path(file)
    more = [*changes, *([f'unit="{unit}"'] if unit else [])]
    houses = {name: house_with(said, name, more, path.name) for name in package_names(said, names)}
    sized = {name: size_house(house, places, folder=path.parent).each for name, house in houses.items()}
    prices = {name: said.get("packages", {}).get(name, {}).get("price") for name in houses}
    return tuple(
        _compared(place, [_package(name, every[k], path.parent, prices[name]) for name, every in sized.items()])
        for k, place in enumerate(places)
    )


def _compared(place: Place, found: Sequence[Package]) -> Comparison:
    first = found[0]
    lines = tuple(_with_money(p, first) for p in found)
    objectives, table = _objectives(lines)
    beaten = tuple(tuple(lines[k].name for k in others) for others in dominated_by(table))
    terms = life_terms()
    return Comparison(
        place=place,
        packages=lines,
        dominated_by=beaten,
        objectives=objectives,
        tariff=_tariff_words(first),
        years=terms["years"],
        discount_rate=terms["real_discount_rate"],
    )


def _package(name: str, sized: SizeResult, folder: Path, price: float | None) -> Package:
    chosen, load = sized.recommended, run_load(sized, folder)
    model = sized.designer.model
    margin, weakest = moisture_margin(model, sized.place)
    cooling = sized.designer.cooling
    return Package(
        name=name,
        sized=sized,
        candidate=chosen,
        price=None if price is None else float(price),
        heating_W=sized.heating.load_W,
        cooling_W=cooling.peak_sensible_W + cooling.latent_at_peak_W,
        year_kWh=load.load.year_kWh,
        year_cost=load.money.year_cost,
        currency=load.money.currency,
        peak_A=max(*chosen.supply.cold.leg_A, *chosen.supply.hot.leg_A),
        carried_by_cord=chosen.runs_from_cord,
        mass_kg=shell_mass_kg(model),
        wall_m=thickness_m(model, "wall"),
        roof_m=thickness_m(model, "roof"),
        floor_m=thickness_m(model, "floor"),
        moisture_margin=margin,
        moisture_weakest=weakest,
        life_cycle_cost=None,
        payback_years=None,
    )


def shell_mass_kg(model: HouseModel) -> float:
    """Mass of walls, roof and floor by their layers [kg]."""
    return float(sum(p.mass_kg_m2 * p.area_m2 for p in model.opaque))


def thickness_m(model: HouseModel, kind: str) -> float:
    """Greatest thickness of one kind of part [m]."""
    return max((p.thickness_m for p in model.opaque if p.kind == kind), default=0.0)


def moisture_margin(model: HouseModel, place: Place) -> tuple[float, str]:
    """Temperature factor of the weakest inner surface less the needed one, and which it is (ISO 13788); doors left out."""
    air = air_of_house(model, place)
    used = dict.fromkeys(p.fabric for p in model.parts if isinstance(p.fabric, (OpaqueAssembly, WindowAssembly)))
    answers = [moisture(fabric, air, model.lines) for fabric in used]
    worst = min(answers, key=lambda a: a.weakest.temperature_factor - a.needed_factor)
    spot = worst.weakest
    return spot.temperature_factor - worst.needed_factor, spot.name if spot.of_house else f"{worst.name}, {spot.name}"


def life_terms() -> dict[str, float]:
    """Years, real discount rate and price growth of the life-cycle cost, see tables/life_cycle.csv."""
    return {r["name"]: float(r["value"]) for r in rows("life_cycle")}


def present_value(cost_a_year: float, years: float, rate: float, growth: float = 0.0) -> float:
    """Present value of a yearly cost paid at each year's end: c sum((1+g)^(k-1)/(1+i)^k), k = 1..n (NIST Handbook 135)."""
    k = np.arange(1, int(years) + 1)
    return float(cost_a_year * np.sum((1 + growth) ** (k - 1) / (1 + rate) ** k))


def payback(more_price: float, saved_a_year: float) -> float | None:
    """Simple payback in years; 0 where nothing more is paid, None where it never comes back."""
    if more_price <= 0:
        return 0.0 if saved_a_year >= 0 else None
    return more_price / saved_a_year if saved_a_year > 0 else None


def _with_money(p: Package, first: Package) -> Package:
    """A package with its life-cycle cost, and its payback against the first (whose price counts as 0 where unsaid)."""
    if (p.price is None and p is not first) or p.currency != USD:
        return p
    terms, price = life_terms(), p.price or 0.0
    cost = price + present_value(p.year_cost, terms["years"], terms["real_discount_rate"], terms["price_growth"])
    back = None if p is first else payback(price - (first.price or 0.0), first.year_cost - p.year_cost)
    return replace(p, price=price, life_cycle_cost=cost, payback_years=back)


def _objectives(lines: Sequence[Package]) -> tuple[tuple[str, ...], np.ndarray]:
    """What the Pareto front is over: less of each is better."""
    columns = {
        "price": [np.nan if p.price is None else p.price for p in lines],
        "year's energy": [p.year_kWh for p in lines],
        "heating load": [p.heating_W for p in lines],
        "weight": [p.mass_kg for p in lines],
    }
    kept = {k: v for k, v in columns.items() if np.isfinite(v).any()}
    return tuple(kept), np.array(list(kept.values())).T


def _tariff_words(p: Package) -> str:
    from heatcalc.judge.metered_year import tariff_of

    tariff, why = tariff_of(p.sized.house, p.sized.place.state)
    price = price_of_kWh(tariff.price, tariff.currency) if tariff.kind == "flat" and tariff.price is not None else tariff.kind
    return f"{tariff.name}, {price} ({why}){f'; {tariff.source}' if tariff.source else ''}"
