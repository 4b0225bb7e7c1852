"""Every use of energy of a house on one bill: a row a use, by month and in money, which sum to the meter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from heatcalc.inputs.supply.tariff import Tariff
from heatcalc.supply.money import bill, hour_prices, month_hour, propane_of

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
