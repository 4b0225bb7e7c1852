"""The run load of a sizing: what the owner will see on the meter, by hour and month, in money, and on the cord."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.errors import NoAnswer
from heatcalc.judge.choice import Candidate
from heatcalc.judge.metered_year import DAYS_OF_MONTH, MeteredYear, Money, RunYear, cord_series
from heatcalc.judge.plan_year import plan_year
from heatcalc.judge.sizing import SizeResult
from heatcalc.model.year_drivers import in_months
from heatcalc.supply.cord import cord_named
from heatcalc.supply.money import month_hour
from heatcalc.supply.supply_check import HourlyShare, hourly_share

OFF_K = 1.5  # a room this far off its set point is what the day is shown for (own choice)


@dataclass(frozen=True, eq=False, kw_only=True)
class RunLoad:
    """The computed year of one house with one unit, its money, and its amperes on the cord."""

    sized: SizeResult
    candidate: Candidate
    asked: RunYear
    load: MeteredYear
    money: Money
    folder: Path | None  # where the house's own files lie
    amperes: np.ndarray  # of the way of standing that loads the cord most
    cord: HourlyShare

    @property
    def tables(self) -> tuple[np.ndarray, np.ndarray]:
        """kWh by month and hour of the day of the run load, and of the rest of the house."""
        return self.load.tables

    @property
    def mean_price(self) -> float:
        """US dollars for each kWh of heat, cold and air."""
        return self.money.year_cost / self.load.year_kWh if self.load.year_kWh > 0 else 0.0

    @property
    def hours(self) -> dict[str, np.ndarray]:
        """Hourly series of the way of standing nearest the mean."""
        return self.load.year.middle.series

    @property
    def month_hour_W(self) -> np.ndarray:
        """Average watts by month and hour of the day, 12 x 24."""
        return month_hour(self.load.run_W) / DAYS_OF_MONTH[:, None]

    def day(self, hottest: bool) -> int:
        """Day (0 to 364) with the warmest or coldest hour of the room where it leaves its set point, else outdoors."""
        points = self.sized.house.set_points
        there = in_months(self.sized.place.months)
        indoor, outdoor = (np.where(there, self.hours[of], -np.inf if hottest else np.inf) for of in ("indoor_C", "outdoor_C"))
        off = indoor.max() > points.cooling + OFF_K if hottest else indoor.min() < points.heating - OFF_K
        line = indoor if off else outdoor
        return int(np.argmax(line) if hottest else np.argmin(line)) // 24


def run_load(sized: SizeResult, folder: Path | None = None) -> RunLoad:
    """The year of the plan's unit and heater.  Raises NoAnswer where the records hold no year."""
    chosen, year = sized.recommended, sized.year or plan_year(sized.case, sized.recommended.unit, sized.plan.heater_W)
    if year is None:
        raise NoAnswer(f"no year can be built for {sized.place.name}: its records hold no hours; give an hourly file")
    amperes = cord_series(year.load.year, sized.hangs_on, chosen.unit.volts)
    share = hourly_share(amperes, cord_named(sized.hangs_on.cord).rating_A)
    return RunLoad(
        sized=sized,
        candidate=chosen,
        asked=year.asked,
        load=year.load,
        money=year.money,
        folder=folder,
        amperes=amperes,
        cord=share,
    )
