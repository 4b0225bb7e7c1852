"""How people live in the house: who is home, what runs, how much water it sets free, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

import numpy as np
from pydantic import Field

from heatcalc.inputs.checked import Checked, quantity
from heatcalc.physics.air import indoor_humidity
from heatcalc.tables import rows

EVAPORATION_J_KG = 2.43e6  # water leaving skin or a wet surface near 30 C
JOULE_PER_KWH = 3.6e6
DAY_S = 86_400.0


class Living(Checked):
    """What the household does on a plain day; the defaults are two people in a small house."""

    people: int = Field(default=2, ge=0, le=8)
    home: Literal["evenings", "all day", "never"] = "evenings"
    cooking: Literal["electric", "gas", "none"] = "electric"
    showers_per_person: float = Field(default=1.0, ge=0, le=4)
    loads_per_week: float = Field(default=2.0, ge=0, le=21)
    laundry: Literal["elsewhere", "vented dryer", "drying indoors"] = "elsewhere"
    plants: int = Field(default=0, ge=0, le=50)
    refrigerator: quantity("energy", 0.0, 5 * JOULE_PER_KWH, "a day") = 0.96 * JOULE_PER_KWH  # type: ignore
    lights: quantity("energy", 0.0, 5 * JOULE_PER_KWH, "a day") = 0.4 * JOULE_PER_KWH  # type: ignore
    electronics: quantity("energy", 0.0, 20 * JOULE_PER_KWH, "a day") = 1.0 * JOULE_PER_KWH  # type: ignore
    water_heater: Literal["tank indoors", "instantaneous", "outside"] = "tank indoors"
    unvented_heater: quantity("power", 0.0, 5000.0, "a day's mean heat") = 0.0  # type: ignore


@dataclass(frozen=True)
class Term:
    """One source over the day: 24 hourly means [W, kg/s] and where its numbers come from."""

    name: str
    convective_W: np.ndarray
    radiant_W: np.ndarray
    moisture_kg_s: np.ndarray
    electric_W: np.ndarray
    source: str
    mark: str


@dataclass(frozen=True)
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


def _shape(profile: str) -> np.ndarray:
    """Weights of the day with mean 1."""
    weights = _hours(profile)
    return weights / weights.mean()


@lru_cache(maxsize=256)
def living_day(living: Living) -> LivingDay:
    """Hourly gains of a plain day; the same statement always gives the same bytes."""
    terms = (*_people(living), *_appliances(living), *_moisture(living), *_unvented(living))
    zero = np.zeros(24)
    convective, radiant, moisture, electric = (
        sum((getattr(t, field) for t in terms), zero) for field in ("convective_W", "radiant_W", "moisture_kg_s", "electric_W")
    )
    home = living.people * _hours(f"present {living.home}")
    return LivingDay(convective, radiant, EVAPORATION_J_KG * moisture, moisture, electric, home, terms)


def _people(living: Living) -> tuple[Term, ...]:
    present, asleep = _hours(f"present {living.home}"), _hours("asleep")
    shares = {"asleep": present * asleep, "seated": present * (1 - asleep)}
    return tuple(_person(name, living.people * share) for name, share in shares.items() if living.people and share.any())


def _person(name: str, count: np.ndarray) -> Term:
    row = _row("occupant_heat", name)
    sensible, radiant = count * float(row["sensible_W"]), float(row["radiant_share"])
    water = count * float(row["latent_W"]) / EVAPORATION_J_KG
    return Term(f"people {name}", (1 - radiant) * sensible, radiant * sensible, water, np.zeros(24), row["source"], row["mark"])


def _appliances(living: Living) -> tuple[Term, ...]:
    loads = living.loads_per_week / 7 if living.laundry != "elsewhere" else 0.0
    standby = _energy("tank water heater") if living.water_heater == "tank indoors" else 0.0
    cooks = living.people if living.cooking != "none" and living.home != "never" else 0
    fuel = f"{living.cooking} cooking" if living.cooking != "none" else "electric cooking"
    joules = {
        "refrigerator": living.refrigerator,
        "lights": living.lights,
        "electronics": living.electronics,
        fuel: cooks * _energy(fuel),
        "tank water heater": standby,
        "washing machine": loads * _energy("washing machine"),
        "vented dryer": loads * _energy("vented dryer") if living.laundry == "vented dryer" else 0.0,
    }
    return tuple(_appliance(name, joule) for name, joule in joules.items() if joule > 0)


def _energy(name: str) -> float:
    return float(_row("appliances", name)["kWh"]) * JOULE_PER_KWH


def _appliance(name: str, joule_a_day: float) -> Term:
    row = _row("appliances", name)
    power = joule_a_day / DAY_S * _shape(row["profile"])
    sensible, radiant = power * float(row["sensible_share"]), float(row["radiant_share"])
    electric = power * float(row["electric"])
    return Term(name, (1 - radiant) * sensible, radiant * sensible, np.zeros(24), electric, row["source"], row["mark"])


def _moisture(living: Living) -> tuple[Term, ...]:
    here = living.people if living.home != "never" else 0
    cooks = here if living.cooking != "none" else 0
    units = {
        "shower": here * living.showers_per_person,
        "cooking": cooks,
        "dish washing": cooks,
        "gas flame": cooks if living.cooking == "gas" else 0,
        "drying indoors": living.loads_per_week / 7 if living.laundry == "drying indoors" else 0.0,
        "plant": living.plants,
    }
    return tuple(_wet(name, count) for name, count in units.items() if count > 0)


def _wet(name: str, count: float) -> Term:
    """Water set free; what dries in room air takes its heat of evaporation from that air."""
    row = _row("moisture_sources", name)
    water = count * float(row["kg"]) / DAY_S * _shape(row["profile"])
    cooling = -EVAPORATION_J_KG * water if row["heat_from"] == "room air" else np.zeros(24)
    return Term(f"water: {name}", cooling, np.zeros(24), water, np.zeros(24), row["source"], row["mark"])


def _unvented(living: Living) -> tuple[Term, ...]:
    if not living.unvented_heater:
        return ()
    row = _row("moisture_sources", "propane")
    water = np.full(24, indoor_humidity.propane_water(living.unvented_heater))
    heat = living.unvented_heater - EVAPORATION_J_KG * water
    return (Term("unvented heater", heat, np.zeros(24), water, np.zeros(24), row["source"], row["mark"]),)
