"""What the year's electricity costs under a tariff (a row a use, by month and in money, which sum to the meter), what it emits,
the same heat from other sources; and how much of every month and hour falls under each period, which makes a price table
live.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.inputs.supply.supply_record import PricePeriod, Tariff, Tier, in_canada, state_row
from heatcalc.tables import rows
from heatcalc.wording import USD, money

KG_PER_LB = 0.45359237
J_PER_BTU = 1055.05585
LITRES_PER_GALLON = 3.785411784
WEEKDAY_SHARE = {"all": 1.0, "weekdays": 5 / 7, "weekends": 2 / 7}  # a typical year has no calendar
_MONTH_OF_HOUR = np.repeat(np.arange(12), [24 * monthrange(2023, month)[1] for month in range(1, 13)])


@dataclass(frozen=True, kw_only=True)
class Bill:
    """Twelve months of electricity; money in the tariff's currency."""

    tariff: str
    energy_kWh: tuple[float, ...]
    energy_cost: tuple[float, ...]  # of the kWh alone, with their taxes
    month_cost: tuple[float, ...]  # with fixed and least charges and taxes
    year_kWh: float
    year_cost: float
    mean_price: float
    assumption: str


@dataclass(frozen=True)
class Emission:
    """CO2 of electricity at the average rate of the grid that serves the state; of a province with other gases as CO2."""

    kg: float
    rate_kg_per_kWh: float
    subregion: str
    year: str
    source: str


@dataclass(frozen=True, kw_only=True)
class HeatSource:
    """The year's heat from one source; the cost in the tariff's currency, None where no price is known in it."""

    name: str
    amount: float  # bought, in `unit`
    unit: str
    cost: float | None
    co2_kg: float
    assumption: str

    @property
    def bought(self) -> str:
        """What is bought in a year."""
        return f"{self.amount:,.0f} {self.unit}"


@dataclass(frozen=True)
class Propane:
    """A price of propane, None where none is known in that currency, a gallon or a litre; and whose price it is."""

    price: float | None
    unit: str  # gal or L
    kWh: float  # heat in one
    dated: str
    words: str


def month_hour(energy_kWh: ArrayLike) -> np.ndarray:
    """8,760 hourly kWh (hour ending, January 1 first) as kWh by month and hour of the day, 12 x 24."""
    hours = np.asarray(energy_kWh, dtype=float)
    if hours.shape != (8760,):
        raise ValueError("a year is 8,760 hours")
    table = np.zeros((12, 24))
    np.add.at(table, (_MONTH_OF_HOUR, np.tile(np.arange(24), 365)), hours)
    return table


def bill(energy: ArrayLike, tariff: Tariff) -> Bill:
    """Cost by month under a tariff, from 8,760 hourly kWh or a 12 x 24 table of kWh by month and hour."""
    table = np.asarray(energy, dtype=float)
    table = table if table.shape == (12, 24) else month_hour(table)
    months = table.sum(axis=1)
    cost = (
        (table * hour_prices(tariff)).sum(axis=1)
        if tariff.kind != "tiered"
        else np.array([tiered_cost(kwh, tariff.tiers_of(m)) for m, kwh in enumerate(months, 1)])
    ) + tariff.added_price * months
    whole = np.maximum(cost + fixed_charges(tariff), tariff.minimum_charge) * (1.0 + tariff.tax)
    total, used = float(whole.sum()), float(months.sum())
    return Bill(
        tariff=tariff.name,
        energy_kWh=tuple(map(float, months)),
        energy_cost=tuple(map(float, cost * (1.0 + tariff.tax))),
        month_cost=tuple(map(float, whole)),
        year_kWh=used,
        year_cost=total,
        mean_price=total / used if used > 0 else 0.0,
        assumption=_words(tariff),
    )


def _words(tariff: Tariff) -> str:
    words = f"{tariff.name}, {tariff.kind}" + (f", {tariff.year}" if tariff.year else "")
    if any(period.days != "all" for period in tariff.periods):
        words += "; a typical year has no calendar: weekdays are 5/7 of every hour's energy"
    return words + (f"; {tariff.source}" if tariff.source else "")


def fixed_charges(tariff: Tariff) -> np.ndarray:
    """Charges of each month whatever is used, before taxes."""
    return tariff.monthly_charge + tariff.daily_charge * np.bincount(_MONTH_OF_HOUR) / 24.0


def tiered_cost(kwh: float, tiers: Sequence[Tier]) -> float:
    """Cost of one month's energy under rising tiers."""
    cost, from_kwh = 0.0, 0.0
    for tier in tiers:
        limit = float("inf") if tier.up_to_kWh is None else tier.up_to_kWh
        cost += tier.price * max(min(kwh, limit) - from_kwh, 0.0)
        from_kwh = limit
    return cost


def hour_prices(tariff: Tariff) -> np.ndarray:
    """Mean price of every month and hour, 12 x 24; hour 0 is the hour from midnight to one."""
    prices = np.full((12, 24), tariff.price if tariff.price is not None else 0.0)
    taken = np.zeros((12, 24, 2))  # share of weekdays and of weekends already priced by an earlier period
    for period in tariff.periods:
        _price_period(prices, taken, period, tariff.price or 0.0)
    return prices


def _price_period(prices: np.ndarray, taken: np.ndarray, period: PricePeriod, usual: float) -> None:
    hours = period_hours(period)
    for kind, days in enumerate(("weekdays", "weekends")):
        if period.days not in ("all", days):
            continue
        for month in (m - 1 for m in period.months):
            free = hours[taken[month, hours, kind] == 0]
            prices[month, free] += WEEKDAY_SHARE[days] * (period.price - usual)
            taken[month, free, kind] = 1


def period_hours(period: PricePeriod) -> np.ndarray:
    """Hours of the day a period covers, 0 to 23, wrapping past midnight."""
    length = (period.to_hour - period.from_hour) % 24 or 24
    return (period.from_hour + np.arange(length)) % 24


def electricity_co2(kwh: float, state: str) -> Emission:
    """CO2 of a year's electricity: of the grid subregion that mainly serves the state, or of the province's own consumption."""
    if in_canada(state):
        row = next(r for r in rows("electricity_co2_canada") if r["code"] == state.strip().upper())
        rate, region = float(row["g_per_kWh"]) / 1000, row["province"]
    else:
        row = state_row("electricity_co2", state)
        rate, region = float(row["lb_per_MWh"]) * KG_PER_LB / 1000, row["subregion_name"]
    return Emission(kwh * rate, rate, region, row["year"], f"{row['source']} ({row['mark']})")


def propane_of(tariff: Tariff, state: str) -> Propane:
    """The tariff's own price of propane, else the state's average where the tariff is in its US dollars; nothing is converted."""
    litres = tariff.propane_unit == "litre" if tariff.propane_price is not None else in_canada(state)
    unit, kWh = ("L", propane_kwh_per_gallon() / LITRES_PER_GALLON) if litres else ("gal", propane_kwh_per_gallon())
    if tariff.propane_price is not None:
        price, dated, words = tariff.propane_price, tariff.year or "the tariff given", "as stated"
    elif tariff.currency == USD and not in_canada(state):
        price, words = propane_price(state)
        dated = words.split(", ")[1]
    else:
        words = f"no price in {tariff.currency} is listed; say it as propane_price of the tariff"
        return Propane(None, unit, kWh, "", words)
    return Propane(price, unit, kWh, dated, f"{money(price, tariff.currency, 2)}/{unit} ({words})")


def propane_price(state: str) -> tuple[float, str]:
    """Residential propane price [US dollars/gallon] of the state, or the national one if not listed."""
    row = next((r for r in rows("propane_price") if state.lower() in (r["state"].lower(), r["code"].lower())), None)
    if row is None:
        row = state_row("propane_price", "US")
    return float(row["usd_per_gallon"]), f"{row['state']}, {row['period']}, {row['source']}"


def propane_kwh_per_gallon() -> float:
    """Heat in a US gallon of propane [kWh]: lb CO2 per gallon over lb CO2 per million Btu (EIA factors)."""
    row = _propane()
    return float(row["lb_CO2_per_gallon"]) / float(row["lb_CO2_per_MMBtu"]) * 1e6 * J_PER_BTU / 3.6e6


def _propane() -> dict[str, str]:
    return next(row for row in rows("fuels") if row["fuel"] == "propane")


def compare_heat(
    heat_kWh: float, heating_electricity_kWh: float, price_per_kWh: float, state: str, tariff: Tariff
) -> tuple[HeatSource, ...]:
    """The year's delivered heat from the heat pump, from electric resistance and from propane.

    `heating_electricity_kWh` is all electricity for heating (unit, backup, defrost); the same price for both
    electric rows, the bill's mean.
    """
    rate = electricity_co2(1.0, state).kg
    electric = (
        ("heat pump as computed", heating_electricity_kWh, "unit with its pan and crankcase heaters, backup and defrost"),
        ("electric resistance", heat_kWh, "one kWh of heat a kWh"),
    )
    found = (
        HeatSource(name=name, amount=kWh, unit="kWh", cost=kWh * price_per_kWh, co2_kg=kWh * rate, assumption=words)
        for name, kWh, words in electric
    )
    return *found, _propane_heat(heat_kWh, propane_of(tariff, state))


def _propane_heat(heat_kWh: float, propane: Propane) -> HeatSource:
    row = _propane()
    amount = heat_kWh / float(row["efficiency"]) / propane.kWh
    return HeatSource(
        name="propane heater",
        amount=amount,
        unit=propane.unit,
        cost=None if propane.price is None else amount * propane.price,
        co2_kg=amount * propane.kWh / propane_kwh_per_gallon() * float(row["lb_CO2_per_gallon"]) * KG_PER_LB,
        assumption=f"{propane.words}; efficiency {float(row['efficiency']):.0%} ({row['efficiency_mark']})",
    )


def period_shares(tariff: Tariff) -> np.ndarray:
    """Shares (periods, 12, 24); what no period takes is at the base price.

    Prices are linear in the period's own price: the share is what a dollar more on it adds.
    """
    base = hour_prices(tariff)
    raised = [hour_prices(tariff.model_copy(update={"periods": _dearer(tariff, k)})) for k in range(len(tariff.periods))]
    return np.array([dear - base for dear in raised]).reshape(len(tariff.periods), 12, 24)


def _dearer(tariff: Tariff, which: int) -> tuple:
    return tuple(p.model_copy(update={"price": p.price + 1.0}) if k == which else p for k, p in enumerate(tariff.periods))


ELECTRICITY, PROPANE = "electricity", "propane"


@dataclass(frozen=True, eq=False)
class EnergyRow:
    """One use: kWh by month (of propane its heat), cost of the year without fixed charges, None unpriced."""

    name: str
    fuel: str
    month_kWh: np.ndarray
    year_cost: float | None

    @property
    def year_kWh(self) -> float:
        """Its sum."""
        return float(self.month_kWh.sum())


@dataclass(frozen=True, eq=False, kw_only=True)
class EveryUse:
    """All rows, electricity first, and what they sum to."""

    rows: tuple[EnergyRow, ...]
    electricity_kWh: float
    electricity_cost: float  # with fixed and least charges
    propane: float  # bought, gal or L
    propane_unit: str
    propane_cost: float | None
    propane_words: str
    priced_by: str
    currency: str


def every_use(electric_W: Mapping[str, np.ndarray], propane_W: Mapping[str, np.ndarray], tariff: Tariff, state: str) -> EveryUse:
    """Rows from hourly watts (8,760); each takes its share of every month's bill by its own hours' prices."""
    table = {name: month_hour(watts / 1000.0) for name, watts in electric_W.items()}
    whole = bill(np.sum(list(table.values()), axis=0), tariff)
    priced = {name: (kWh * hour_prices(tariff)).sum(axis=1) for name, kWh in table.items()}
    if tariff.kind == "tiered":
        priced = {name: kWh.sum(axis=1) for name, kWh in table.items()}
    sums = np.sum(list(priced.values()), axis=0)
    share = np.divide(whole.energy_cost, sums, out=np.zeros(12), where=sums != 0)
    rows = [EnergyRow(name, ELECTRICITY, table[name].sum(axis=1), float((priced[name] * share).sum())) for name in table]
    gas = propane_of(tariff, state)
    per_kWh = None if gas.price is None else gas.price / gas.kWh
    fuel = {name: month_hour(watts / 1000.0).sum(axis=1) for name, watts in propane_W.items()}
    rows += [EnergyRow(name, PROPANE, m, None if per_kWh is None else float(m.sum()) * per_kWh) for name, m in fuel.items()]
    burnt = float(sum(m.sum() for m in fuel.values()))
    return EveryUse(
        rows=tuple(rows),
        electricity_kWh=whole.year_kWh,
        electricity_cost=whole.year_cost,
        propane=burnt / gas.kWh,
        propane_unit=gas.unit,
        propane_cost=None if per_kWh is None else burnt * per_kWh,
        propane_words=gas.words,
        priced_by=whole.assumption,
        currency=tariff.currency,
    )
