"""How people live in the house: who is home, what runs, how much water it sets free, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

import numpy as np
from pydantic import Field, model_validator

from heatcalc.inputs.checked import Checked, quantity
from heatcalc.physics.air import moist_air
from heatcalc.physics.supply.electrics import HOT_WATER_J_m3K
from heatcalc.tables import rows

EVAPORATION_J_KG = 2.43e6  # water leaving skin or a wet surface near 30 C
JOULE_PER_KWH = 3.6e6
DAY_S = 86_400.0
TEST_RISE_K = 67.0 / 1.8  # from 58 to 125 F: federal test of water heaters
WINTER_BELOW_C = 15.0  # mean outdoor temperature of a month in which a house is heated: common practice, no source
NIL = np.zeros(24)
NIL.setflags(write=False)


WaterHeater = Literal["tank 12 A", "tank 240 V", "heat-pump tank", "propane tank", "instantaneous propane", "none"]


class EnergyUse(Checked):
    """One more use of electricity: what it takes on a day on which it runs, the watts it draws meanwhile, and when."""

    name: str = Field(min_length=1, max_length=60)
    energy: quantity("energy", 0.0, 40 * JOULE_PER_KWH, "a day")  # type: ignore
    watts: quantity("electric power", 1.0, 20_000.0)  # type: ignore
    volts: Literal[120, 240] = 120
    hours: Literal["all day", "evening", "waking", "cooking", "shower", "laundry"] = "all day"
    season: Literal["any", "cold", "hot"] = "any"
    heat_to_room: quantity("fraction", 0.0, 1.0) = 1.0  # type: ignore

    @model_validator(mode="after")
    def _duty(self) -> EnergyUse:
        most = float((self.energy / DAY_S * profile_shape(self.hours)).max())
        if most > self.watts * (1 + 1e-9):
            raise ValueError(
                f"energy needs {most:.0f} W in its busiest hour, more than watts = {self.watts:.0f} W: a duty above one"
            )
        return self


class Living(Checked):
    """What the household does on a plain day; the defaults are two people in a small house."""

    people: int = Field(default=2, ge=0, le=8)
    home: Literal["evenings", "all day", "never"] = "evenings"
    cooking: Literal["electric", "propane", "none"] = "electric"
    showers_per_person: float = Field(default=1.0, ge=0, le=4)
    loads_per_week: float = Field(default=2.0, ge=0, le=21)
    laundry: Literal["elsewhere", "vented dryer", "120 V washer-dryer", "drying indoors"] = "elsewhere"
    plants: int = Field(default=0, ge=0, le=50)
    refrigerator: quantity("energy", 0.0, 5 * JOULE_PER_KWH, "a day") = 0.96 * JOULE_PER_KWH  # type: ignore
    lights: quantity("energy", 0.0, 5 * JOULE_PER_KWH, "a day") = 0.4 * JOULE_PER_KWH  # type: ignore
    electronics: quantity("energy", 0.0, 20 * JOULE_PER_KWH, "a day") = 1.0 * JOULE_PER_KWH  # type: ignore
    water_heater: WaterHeater = "tank 12 A"
    water_heater_place: Literal["indoors", "outside"] = "indoors"
    hot_water: quantity("volume", 0.0, 0.4, "a person and day, at the heater's temperature") = 0.053  # type: ignore
    hot_water_temperature: quantity("temperature", 40.0, 70.0) = (125.0 - 32.0) / 1.8  # type: ignore
    uses: tuple[EnergyUse, ...] = Field(default=(), max_length=40)
    unvented_heater: quantity("power", 0.0, 5000.0, "a day's mean heat") = 0.0  # type: ignore
    unvented_heater_when: Literal["winter", "all year"] = "winter"


@dataclass(frozen=True, kw_only=True)
class Term:
    """One source over the day: 24 hourly means [W, kg/s] and where its numbers come from."""

    name: str
    convective_W: np.ndarray
    radiant_W: np.ndarray
    moisture_kg_s: np.ndarray
    electric_W: np.ndarray
    source: str
    mark: str
    propane_W: np.ndarray  # heat in the fuel


@dataclass(frozen=True, kw_only=True)
class LivingDay:
    """A day's gains, hour 0 being 0:00 to 1:00 local time; every array has 24 values."""

    sensible_convective_W: np.ndarray
    sensible_radiant_W: np.ndarray
    latent_W: np.ndarray
    moisture_kg_s: np.ndarray
    electric_W: np.ndarray
    people_home: np.ndarray
    terms: tuple[Term, ...]


@cache
def _row(table: str, name: str) -> dict[str, str]:
    return next(r for r in rows(table) if r["name"] == name)


@cache
def _hours(name: str) -> np.ndarray:
    values = np.array([float(_row("living_profiles", name)[f"h{i}"]) for i in range(24)])
    values.setflags(write=False)
    return values


def profile_shape(profile: str) -> np.ndarray:
    """Weights of the day with mean 1."""
    weights = _hours(profile)
    return weights / weights.mean()


@lru_cache(maxsize=256)
def living_day(living: Living, winter: bool = False) -> LivingDay:
    """Hourly gains of a plain day, of the cold season or not; the same statement always gives the same bytes."""
    burns = winter or living.unvented_heater_when == "all year"
    terms = (*_people(living), *_appliances(living), *_moisture(living), *(_unvented(living) if burns else ()))
    zero = np.zeros(24)
    convective, radiant, moisture, electric = (
        sum((getattr(t, field) for t in terms), zero) for field in ("convective_W", "radiant_W", "moisture_kg_s", "electric_W")
    )
    home = living.people * _hours(f"present {living.home}")
    return LivingDay(
        sensible_convective_W=convective,
        sensible_radiant_W=radiant,
        latent_W=EVAPORATION_J_KG * moisture,
        moisture_kg_s=moisture,
        electric_W=electric,
        people_home=home,
        terms=terms,
    )


def _people(living: Living) -> tuple[Term, ...]:
    present, asleep = _hours(f"present {living.home}"), _hours("asleep")
    shares = {"asleep": present * asleep, "seated": present * (1 - asleep)}
    return tuple(_person(name, living.people * share) for name, share in shares.items() if living.people and share.any())


def _person(name: str, count: np.ndarray) -> Term:
    row = _row("occupant_heat", name)
    sensible, radiant = count * float(row["sensible_W"]), float(row["radiant_share"])
    water = count * float(row["latent_W"]) / EVAPORATION_J_KG
    return Term(
        name=f"people {name}",
        convective_W=(1 - radiant) * sensible,
        radiant_W=radiant * sensible,
        moisture_kg_s=water,
        electric_W=NIL,
        source=row["source"],
        mark=row["mark"],
        propane_W=NIL,
    )


def _appliances(living: Living) -> tuple[Term, ...]:
    loads = living.loads_per_week / 7 if living.laundry != "elsewhere" else 0.0
    cooks = living.people if living.cooking != "none" and living.home != "never" else 0
    fuel = f"{living.cooking} cooking" if living.cooking != "none" else "electric cooking"
    joules = {
        "refrigerator": living.refrigerator,
        "lights": living.lights,
        "electronics": living.electronics,
        fuel: cooks * _energy(fuel),
        "washing machine": loads * _energy("washing machine") if living.laundry != "120 V washer-dryer" else 0.0,
        "washer-dryer": loads * _energy("washer-dryer") if living.laundry == "120 V washer-dryer" else 0.0,
        "vented dryer": loads * _energy("vented dryer") if living.laundry == "vented dryer" else 0.0,
    }
    known = (_appliance(name, joule) for name, joule in joules.items() if joule > 0)
    return (*known, *_water_heater(living), *(_own(use) for use in living.uses if use.season == "any"))


def _energy(name: str) -> float:
    return float(_row("appliances", name)["kWh"]) * JOULE_PER_KWH


def _appliance(name: str, joule_a_day: float) -> Term:
    row = _row("appliances", name)
    power = joule_a_day / DAY_S * profile_shape(row["profile"])
    sensible, radiant = power * float(row["sensible_share"]), float(row["radiant_share"])
    electric = power * float(row["electric"])
    return Term(
        name=name,
        convective_W=(1 - radiant) * sensible,
        radiant_W=radiant * sensible,
        moisture_kg_s=NIL,
        electric_W=electric,
        source=row["source"],
        mark=row["mark"],
        propane_W=power - electric,
    )


def water_heater_row(kind: str) -> dict[str, str]:
    """The table's row of a kind of water heater."""
    return next(r for r in rows("water_heaters") if r["kind"] == kind)


def hot_water_shape() -> np.ndarray:
    """Weights of the hours in which hot water is drawn, mean 1: two thirds with showers, the rest with cooking (own choice)."""
    return (2 * profile_shape("shower") + profile_shape("cooking")) / 3


def _water_heater(living: Living) -> tuple[Term, ...]:
    """What the water heater does to the room; its electricity depends on the place and is no plain day's.

    A tank warms the room by its standby; a heat-pump tank takes the rest of the heat it makes from the room's air, here at
    the federal test's 67 F rise.
    """
    row = water_heater_row(living.water_heater)
    standby = float(row["standby_kWh_day"]) * JOULE_PER_KWH / DAY_S
    warms = np.full(24, standby * float(row["room_share"]) * (living.water_heater_place == "indoors"))
    taken = np.zeros(24)
    if living.water_heater == "heat-pump tank" and living.water_heater_place == "indoors":
        made = standby + drawn_m3_day(living) / DAY_S * hot_water_shape() * HOT_WATER_J_m3K * TEST_RISE_K
        taken = made * (1 - 1 / float(row["efficiency"]))
    if not warms.any():
        return ()
    return (
        Term(
            name="tank water heater",
            convective_W=0.7 * warms - taken,
            radiant_W=0.3 * warms,
            moisture_kg_s=NIL,
            electric_W=NIL,
            source=row["source"],
            mark=row["mark"],
            propane_W=NIL,
        ),
    )


def drawn_m3_day(living: Living) -> float:
    """Hot water a day [m3]; none where nobody lives or nothing heats it."""
    lived_in = living.home != "never" and living.water_heater != "none"
    return living.people * living.hot_water if lived_in else 0.0


def use_power(use: EnergyUse) -> np.ndarray:
    """Hourly watts of a use on a day on which it runs (24)."""
    return use.energy / DAY_S * profile_shape(use.hours)


def _own(use: EnergyUse) -> Term:
    power = use_power(use)
    warms = use.heat_to_room * power
    return Term(
        name=use.name,
        convective_W=0.7 * warms,
        radiant_W=0.3 * warms,
        moisture_kg_s=NIL,
        electric_W=power,
        source="the house file",
        mark="as stated",
        propane_W=NIL,
    )


def _moisture(living: Living) -> tuple[Term, ...]:
    here = living.people if living.home != "never" else 0
    cooks = here if living.cooking != "none" else 0
    units = {
        "shower": here * living.showers_per_person,
        "cooking": cooks,
        "dish washing": cooks,
        "propane flame": cooks if living.cooking == "propane" else 0,
        "drying indoors": living.loads_per_week / 7 if living.laundry == "drying indoors" else 0.0,
        "plant": living.plants,
    }
    return tuple(_wet(name, count) for name, count in units.items() if count > 0)


def _wet(name: str, count: float) -> Term:
    """Water set free; what dries in room air takes its heat of evaporation from that air."""
    row = _row("moisture_sources", name)
    water = count * float(row["kg"]) / DAY_S * profile_shape(row["profile"])
    cooling = -EVAPORATION_J_KG * water if row["heat_from"] == "room air" else np.zeros(24)
    return Term(
        name=f"water: {name}",
        convective_W=cooling,
        radiant_W=np.zeros(24),
        moisture_kg_s=water,
        electric_W=NIL,
        source=row["source"],
        mark=row["mark"],
        propane_W=NIL,
    )


def _unvented(living: Living) -> tuple[Term, ...]:
    if not living.unvented_heater:
        return ()
    row = _row("moisture_sources", "propane")
    water = np.full(24, moist_air.propane_water(living.unvented_heater))
    heat = living.unvented_heater - EVAPORATION_J_KG * water
    return (
        Term(
            name="unvented heater",
            convective_W=heat,
            radiant_W=np.zeros(24),
            moisture_kg_s=water,
            electric_W=NIL,
            source=row["source"],
            mark=row["mark"],
            propane_W=NIL,
        ),
    )
