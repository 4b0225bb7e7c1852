"""What electricity costs: flat, in blocks of the month, or by season and hour; fixed and least charges, taxes."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationInfo, field_validator, model_validator

from heatcalc.currency import USD, currencies, named
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import Checked, check, quantity, read_toml
from heatcalc.tables import rows

PROVINCES = ["AB", "BC", "MB", "NB", "NL", "NS", "NT", "NU", "ON", "PE", "QC", "SK", "YT"]
LEAST, MOST, MOST_CHARGE = -1.0, 5.0, {"monthly_charge": 1000.0, "daily_charge": 50.0, "minimum_charge": 1000.0}
OTHERS = 10_000.0  # times that, of a currency of which a kWh costs many

Price = Annotated[float, Field(description="price of a kWh in the tariff's currency, e.g. 0.11")]


def _currency(said: str) -> str:
    code = said.strip().upper()
    if code not in currencies():
        hint = nearest(code, list(currencies()))
        raise ValueError(f"is not an ISO 4217 code in use, e.g. USD, CAD, MXN, EUR{f'; {hint}' if hint else ''}")
    return code


def _within(said: float, low: float, high: float, currency: str, unit: str) -> None:
    """Refuses what no price is; where the currency is like a dollar, cents meant are told."""
    times = 1.0 if currencies().get(currency, True) else OTHERS
    if not low * times <= said <= high * times:
        cents = f"; {said:g} cents is {said / 100:g}" if times == 1.0 and high < said <= 100 * high else ""
        raise ValueError(f"allowed {low * times:g} to {high * times:g}, {named(currency)}{unit}{cents}")


def _months(said: tuple[int, ...]) -> tuple[int, ...]:
    if not said or any(not 1 <= m <= 12 for m in said):
        raise ValueError(f"months are numbers 1 to 12, given {', '.join(map(str, said)) or 'none'}")
    return said


Months = Annotated[tuple[int, ...], AfterValidator(_months), Field(description="months it holds in, 1 to 12, e.g. [6, 7, 8]")]
ALL_YEAR = tuple(range(1, 13))


class Tier(Checked):
    """Price of the kWh of a month up to a limit, in given months; the last tier of a month has no limit."""

    up_to_kWh: float | None = Field(None, gt=0, le=1e6)
    price: Price
    months: Months = ALL_YEAR


class PricePeriod(Checked):
    """A time-of-use price: hours `from_hour` to `to_hour` (wrapping past midnight), given months and days."""

    name: str = Field(min_length=1, max_length=40)
    price: Price
    from_hour: int = Field(0, ge=0, le=23)
    to_hour: int = Field(24, ge=1, le=24)
    months: Months = ALL_YEAR
    days: Literal["all", "weekdays", "weekends"] = "all"

    @model_validator(mode="after")
    def _sound(self) -> PricePeriod:
        if self.from_hour == self.to_hour:
            raise ValueError(f"from_hour and to_hour are the same, {self.from_hour}; a whole day is 0 to 24")
        return self


class Tariff(Checked):
    """One of flat (`price`), tiered (`tiers`) or time of use (`periods`, and `price` for the rest)."""

    currency: Annotated[str, AfterValidator(_currency)] = Field(
        USD, max_length=20, description="of all its money: ISO 4217 code, e.g. USD, CAD, MXN, EUR; never converted"
    )
    name: str = Field("own tariff", max_length=80)
    kind: Literal["flat", "tiered", "time-of-use"] = "flat"
    price: Price | None = None
    tiers: tuple[Tier, ...] = ()
    periods: tuple[PricePeriod, ...] = ()
    added_price: float = Field(0.0, description="on top of every price of a kWh: fuel, delivery, riders")
    monthly_charge: float = Field(0.0, description="a month, whatever is used")
    daily_charge: float = Field(0.0, description="a day, whatever is used")
    minimum_charge: float = Field(0.0, description="the least a month costs, before taxes")
    propane_price: float | None = Field(
        None, gt=0, le=1e5, description="of propane, a `propane_unit`; None = the state's average"
    )
    propane_unit: Literal["gallon", "litre"] = "gallon"
    tax: quantity("fraction", 0.0, 0.5) = Field(0.0, description="taxes on all of it, e.g. 7.5 %")  # type: ignore[valid-type]
    year: str = Field("", max_length=10)
    source: str = Field("", max_length=300)

    @field_validator("price", "added_price", "tiers", "periods")
    @classmethod
    def _prices(cls, said: Any, info: ValidationInfo) -> Any:
        for one in said if isinstance(said, tuple) else (said,):
            price, low = getattr(one, "price", one), -MOST if info.field_name == "added_price" else LEAST
            if price is not None:
                _within(price, low, MOST, info.data.get("currency", USD), " per kWh")
        return said

    @field_validator(*MOST_CHARGE)
    @classmethod
    def _charges(cls, said: float, info: ValidationInfo) -> float:
        _within(said, 0.0, MOST_CHARGE[str(info.field_name)], info.data.get("currency", USD), "")
        return said

    @model_validator(mode="after")
    def _sound(self) -> Tariff:
        if self.kind != "tiered" and self.price is None:
            raise ValueError(f"a {self.kind} tariff needs price = ... [{named(self.currency)} per kWh]")
        if (self.kind == "tiered") != bool(self.tiers) or (self.kind == "time-of-use") != bool(self.periods):
            raise ValueError('kind "tiered" goes with tiers, kind "time-of-use" with periods, kind "flat" with neither')
        if self.tiers:
            for month in ALL_YEAR:
                _rising([tier.up_to_kWh or 0.0 for tier in self.tiers_of(month)], month)
        return self

    def tiers_of(self, month: int) -> tuple[Tier, ...]:
        """The blocks of a month (1 to 12), the lowest first."""
        return tuple(tier for tier in self.tiers if month in tier.months)


def _rising(limits: list[float], month: int) -> None:
    """The blocks of one month: limits above nil that rise, the last without one."""
    if not limits:
        raise ValueError(f"no tier holds in month {month}; months of the tiers cover the year")
    rising = all(0 < low < high for low, high in pairwise(limits[:-1])) and all(limits[:-1])
    if limits[-1] or not rising:
        raise ValueError(f"tiers rise by up_to_kWh and the last one of every month has none (see month {month})")


def load_tariff(path: Path | str) -> Tariff:
    """A tariff from a TOML file, either at its top or in its table [tariff]."""
    said: dict[str, Any] = read_toml(path)
    return check(Tariff, said.get("tariff", said), Path(path).name)


def in_canada(state: str) -> bool:
    """Whether it is the code of a Canadian province or territory."""
    return state.strip().upper() in PROVINCES


def state_row(table: str, state: str) -> dict[str, str]:
    """The first row of a state table for a name or two-letter code; where none is for a Canadian province, the US one.

    InputError with the nearest match for anything else.
    """
    if not state.strip():
        raise InputError(
            "place", None, "of these hours has no state for prices and CO2", 'name it beside them: --place "Duluth, MN"'
        )
    known = rows(table)
    own = not in_canada(state) or any(r["code"] == state.strip().upper() for r in known)
    wanted = state.strip().lower() if own else "us"
    row = next((r for r in known if wanted in (r["state"].lower(), r["code"].lower())), None)
    if row is None:
        raise InputError("state", state, "is not a state of the table", nearest(state, [r["state"] for r in known]))
    return row if wanted != "us" else row | {"source": f"{row['source']}{_stands_in(state)}"}


def _stands_in(state: str) -> str:
    return f"; no figure for {state.strip().upper()}, US average stands in" if in_canada(state) else ""


def state_average(state: str) -> Tariff:
    """The state's or province's average residential price as a flat tariff in its own money, with its year and source."""
    row = state_row("electricity_price", state)
    return Tariff(
        currency=row["currency"],
        name=f"{row['state']} average",
        price=float(row["cents_per_kWh"]) / 100,
        year=row["period"],
        source=f"{row['source']} ({row['mark']})",
    )
