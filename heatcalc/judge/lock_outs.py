"""Lock-outs that keep a supply: pairs that never run together, and what those that hold the hot water off cost who lives there.

A lock-out of the water heater is felt: an inverter runs on and on, and the tank recovers in what is left of the hour.  It is
never free, however little comes cold (own choice): no first plan takes it, and where another does the cold water is told as its
price.  Other large loads wait.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.supply.supply_record import BACKUP, HEAT_PUMP, Supply, appliance_row, heats_water
from heatcalc.judge.cases import Change
from heatcalc.model.household import cold_water
from heatcalc.model.year_walk import YearResult
from heatcalc.supply.cord import LARGE_LOAD_W

NEVER = ("refrigerator",)  # what spoils by waiting is held off by no plan


def lock_outs(house: House, felt: bool = False) -> Iterator[Change]:
    """Pairs of the heat pump, or of the second heater too, against each large load of the house: those free, or those felt."""
    supply = house.supply
    large = [
        a.name
        for a in supply.appliances
        if a.together and a.watts >= LARGE_LOAD_W and appliance_row(a.name).get("row") not in NEVER
    ]
    large = [name for name in large if heats_water(name) == felt]
    one = [((HEAT_PUMP, name),) for name in large]
    for pairs in (*one, *(((HEAT_PUMP, name), (BACKUP, name)) for name in large)):
        if not set(pairs) <= set(supply.lock_outs):
            new = supply.model_copy(update={"lock_outs": (*supply.lock_outs, *pairs)})
            words = " and the ".join(a for a, _ in pairs)
            said = ", ".join(f"[{a!r}, {b!r}]" for a, b in pairs)
            yield Change(
                f"lock {pairs[0][1]} out while the {words} runs",
                house.model_copy(update={"supply": new}),
                f"[supply] lock_outs = [{said}]",
            )


def cold_water_of(supply: Supply, walked: Sequence[YearResult]) -> tuple[float, float]:
    """Share of the hot water that comes cold where the heat pump runs first of a pair with the water heater, and the hours of a
    typical year in which the tank is empty; of several walked years the worst."""
    heater = tank_of(supply)
    pairs = {(HEAT_PUMP, heater), (heater, HEAT_PUMP)}
    if heater is None or heater in supply.priority or not pairs & set(supply.lock_outs):
        return 0.0, 0.0
    found = [cold_water(year.household.water, 1.0 - year.middle.run_share) for year in walked]
    return max(share for _, share in found), max(minutes for minutes, _ in found) / 60.0


def tank_of(supply: Supply) -> str | None:
    """The name of the water heater among the loads; None where none hangs on the supply."""
    return next((a.name for a in supply.appliances if heats_water(a.name)), None)


def cold_water_words(share: float, empty_h: float) -> str:
    """What comes of a water heater that is held off; empty where nothing does."""
    return f"{share:.1%} of the year's hot water comes cold ({empty_h:,.0f} h of empty tank)" if share else ""
