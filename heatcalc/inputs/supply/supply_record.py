"""Where the house's electricity comes from, what hangs on it, and what it costs: cord, appliances, generator, battery, tariff."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationInfo, field_validator, model_validator

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import Checked, check, quantity, read_toml
from heatcalc.tables import rows
from heatcalc.wording import USD, currencies, named

CordKind = Literal["20 A 120 V", "30 A 120 V", "30 A 120/240 V", "50 A 120/240 V", "hard-wired 100 A"]
HEAT_PUMP, BACKUP, DEHUMIDIFIER = "heat pump", "backup heat", "dehumidifier"
HOT_WATER = "hot water"
MOST_LOCKED = 14

Watts = quantity("electric power", 1.0, 20_000.0, "one appliance of a small house")
Name = Annotated[str, Field(min_length=1, max_length=60)]


class Appliance(Checked):
    """One electric load.  A name of the appliance table fills in whatever the file leaves out.

    `together`: counted in the hour in which loads coincide; the others are tested one at a time on top of it.
    """

    name: Name
    watts: Watts  # type: ignore[valid-type]
    volts: Literal[120, 240] = 120
    continuous: bool = Field(False, description="expected to run three hours or more")
    together: bool = False
    season: Literal["any", "cold", "hot"] = "any"
    starting: quantity("electric power", 1.0, 60_000.0) | None = None  # type: ignore[valid-type]
    circuit: str = Field("", max_length=60, description="circuits of the same name are shared; empty = its own")
    breaker: quantity("current", 5.0, 100.0) | None = None  # type: ignore[valid-type]
    minutes: float | None = Field(None, ge=0.0, le=1440.0, description="a day it runs; None = as usual for its name")
    leg: Literal[1, 2] | None = Field(None, description="the leg it is wired to; None = the emptier one")

    @model_validator(mode="before")
    @classmethod
    def _from_table(cls, said: Any) -> Any:
        if isinstance(said, str):
            said = {"name": said}
        if not isinstance(said, dict) or "watts" in said and "volts" in said:
            return said
        known = _appliance_table()
        filled = known.get(str(said.get("name")), {}) | said
        if "watts" not in filled:
            hint = nearest(str(said.get("name")), list(known)) or f"names that need no watts: {', '.join(known)}"
            raise ValueError(f'needs watts, e.g. watts = "1500 W"; {hint}')
        return filled

    @model_validator(mode="after")
    def _one_leg(self) -> Appliance:
        if self.leg is not None and self.volts == 240:
            raise ValueError("a 240 V load stands on both legs: leave leg out")
        return self


def appliance_row(name: str) -> dict[str, str]:
    """The appliance table's row of that name; empty for an own one."""
    return next((row for row in rows("appliances_electric") if row["name"] == name), {})


def heats_water(name: str) -> bool:
    """Whether a load of that name is a water heater."""
    return appliance_row(name).get("row", "") == HOT_WATER


def _appliance_table() -> dict[str, dict[str, Any]]:
    return {row["name"]: _said_of(row) for row in rows("appliances_electric")}


def _said_of(row: dict[str, str]) -> dict[str, Any]:
    said: dict[str, Any] = {
        "name": row["name"],
        "watts": f"{row['usual_W']} W",
        "volts": int(row["volts"]),
        "continuous": row["continuous"] == "yes",
        "together": row["together"] == "yes",
        "season": row["season"],
        "circuit": row["circuit"],
    }
    return said | ({"starting": f"{row['starting_W']} W"} if row["starting_W"] else {})


def usual_appliances() -> tuple[Appliance, ...]:
    """The appliances a small house usually has: the rows of the appliance table marked as default."""
    return tuple(Appliance.model_validate(_said_of(row)) for row in rows("appliances_electric") if row["default"] == "yes")


class Generator(Checked):
    """A portable generator; how it loses power with height and heat is the most cautious published rule unless said here."""

    rated: quantity("electric power", 200.0, 50_000.0, "on the fuel it burns")  # type: ignore[valid-type]
    fuel: Literal["gasoline", "propane", "diesel"] = "gasoline"
    surge: quantity("electric power", 200.0, 80_000.0) | None = None  # type: ignore[valid-type]
    unit_start: float = Field(1.0, ge=1.0, le=8.0, description="heat pump, starting over running: variable speed 1, fixed 5-8")
    start_altitude: quantity("length", 0.0, 5000.0) | None = None  # type: ignore[valid-type]
    altitude_step: quantity("length", 10.0, 5000.0) = 500.0  # type: ignore[valid-type]
    loss_per_altitude_step: quantity("fraction", 0.0, 0.5) = 0.03  # type: ignore[valid-type]
    start_temperature: quantity("temperature", -20.0, 60.0) = 40.0  # type: ignore[valid-type]
    temperature_step: quantity("temperature difference", 1.0, 50.0) = 5.0  # type: ignore[valid-type]
    loss_per_temperature_step: quantity("fraction", 0.0, 0.5) = 0.03  # type: ignore[valid-type]

    @model_validator(mode="after")
    def _order(self) -> Generator:
        if self.surge is not None and self.surge < self.rated:
            raise ValueError(f"surge cannot be below rated: {self.surge:g} W of {self.rated:g} W")
        own = self.model_fields_set - {"rated", "fuel", "surge", "unit_start"}
        if own and self.start_altitude is None:
            raise ValueError(f"{min(own)} belongs to a rule of your own: give start_altitude too")
        return self


class Battery(Checked):
    """A battery with its inverter."""

    capacity: quantity("energy", 3.6e5, 3.6e8)  # type: ignore[valid-type]
    usable: quantity("fraction", 0.1, 1.0) = 0.8  # type: ignore[valid-type]
    efficiency: quantity("fraction", 0.5, 1.0) = 0.9  # type: ignore[valid-type]
    inverter: quantity("electric power", 200.0, 50_000.0) | None = None  # type: ignore[valid-type]


class Solar(Checked):
    """A plane of solar modules; `faces` and `tilt` of the plane, `watts` at standard test conditions."""

    watts: quantity("electric power", 50.0, 30_000.0)  # type: ignore[valid-type]
    tilt: quantity("angle", 0.0, 90.0) = 10.0  # type: ignore[valid-type]
    faces: Literal["north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"] = "south"
    losses: quantity("fraction", 0.0, 0.6) = 0.14  # type: ignore[valid-type]


class ClosedRoom(Checked):
    """A room that can be shut off, for the refrigerant screening; it counts where an indoor unit hangs in it."""

    name: Name
    area: quantity("area", 1.0, 60.0)  # type: ignore[valid-type]
    volume: quantity("volume", 2.0, 200.0)  # type: ignore[valid-type]
    indoor_unit: bool = Field(True, description="an indoor unit hangs in it")


class Supply(Checked):
    """The electric supply of the house and the loads on it."""

    cord: CordKind = "30 A 120 V"
    length: quantity("length", 1.0, 150.0, "one way, from the receptacle to the house's panel") = 7.62  # type: ignore[valid-type]
    gauge_awg: Literal[2, 3, 4, 6, 8, 10, 12] | None = Field(None, description="None: the cord's usual conductor")
    conductor_temperature: quantity("temperature", -20.0, 90.0) = 75.0  # type: ignore[valid-type]
    appliances: tuple[Appliance, ...] = Field(default_factory=usual_appliances, max_length=60)
    lock_outs: tuple[tuple[Name, Name], ...] = Field(
        (), max_length=40, description="pairs that never run together; heat pump, backup heat too"
    )
    priority: tuple[Name, ...] = Field(
        (),
        max_length=40,
        description="who runs of a pair that never runs together, first come; then heat pump, backup heat, the rest",
    )
    generator: Generator | None = None
    battery: Battery | None = None
    solar: Solar | None = None
    indoor_unit: Literal["floor", "window", "wall", "ceiling"] = "wall"
    indoor_unit_height: quantity("length", 0.0, 4.0) | None = None  # type: ignore[valid-type]
    closed_rooms: tuple[ClosedRoom, ...] = Field((), max_length=10)

    @model_validator(mode="before")
    @classmethod
    def _electric(cls, said: Any) -> Any:
        """The plan's second heater hangs on the supply; one that burns something is refused rather than counted as electric."""
        if isinstance(said, dict) and "backup" in said:
            raise ValueError(
                "the second heater of a plan is electric and counts on the cord, so backup is no choice; a heater that burns "
                "propane or wood is not sized here: take the plan's kW to who installs it, sealed or vented, with a CO alarm"
            )
        return said

    @model_validator(mode="after")
    def _names(self) -> Supply:
        off = next((a for a in self.appliances if a.leg == 2 and "120/240" not in self.cord and "100 A" not in self.cord), None)
        if off:
            raise ValueError(f'{off.name!r} stands on leg 2, and cord = "{self.cord}" has one leg')
        largest = max((a for a in self.appliances if a.together), key=lambda a: a.watts, default=None)
        if self.generator and largest and self.generator.rated < largest.watts:
            raise ValueError(
                f"generator of {self.generator.rated:.0f} W is smaller than {largest.name!r} alone, {largest.watts:.0f} W"
            )
        names = [a.name for a in self.appliances]
        twice = next((n for n in names if names.count(n) > 1 or n in (HEAT_PUMP, BACKUP)), None)
        if twice:
            raise ValueError(f"the name {twice!r} is taken; give each appliance its own, e.g. {twice + ' 2'!r}")
        if any(a == b for a, b in self.lock_outs):
            raise ValueError("a lock-out pairs two different loads")
        if len({n for pair in self.lock_outs for n in pair}) > MOST_LOCKED:
            raise ValueError(f"at most {MOST_LOCKED} loads in lock-out pairs")
        return self


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
