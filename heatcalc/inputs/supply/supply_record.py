"""Where the house's electricity comes from and what hangs on it: cord, appliances, generator, battery."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from heatcalc.errors import nearest
from heatcalc.inputs.checked import Checked, quantity
from heatcalc.tables import rows

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
