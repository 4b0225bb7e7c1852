"""The questions turned round: how cold may it get, how leaky may it be, how much glass, which skirting saves a unit size.

Each is a root of the same answers that `size` gives, between bounds that are said.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from heatcalc.answers.sale.band import airier
from heatcalc.errors import InputError
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import candidate_of
from heatcalc.judge.sizing import size_house
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import HouseModel, house_model
from heatcalc.physics.unit.at_site import at_site
from heatcalc.physics.unit.heat_pump import capacity

COLDEST_C, MOST_LEAKS, MOST_GLASS = -50.0, 20.0, 4.0
BELOW = ("open air", "skirted", "crawl space", "slab")


@dataclass(frozen=True)
class HowCold:
    """Coldest outdoor temperature at which the set point is held with so much backup heat; `stops` where the unit stops first."""

    backup_W: float
    outdoor_C: float | None
    stops: bool


@dataclass(frozen=True)
class Most:
    """The most of something with which the unit carries the house; None where not even the least will do, `free` where no limit
    was met within the bounds."""

    value: float | None
    as_described: float
    free: bool


@dataclass(frozen=True)
class Skirting:
    """One way the floor may stand: the load and the unit recommended then."""

    below: str
    heating_W: float
    unit: str
    size_kBtuh: float


@dataclass(frozen=True)
class Limits:
    """All four answers for one unit."""

    unit: Unit
    cold: tuple[HowCold, ...]
    ach50: Most
    glass_m2: Most
    skirting: tuple[Skirting, ...]

    @property
    def saves_size(self) -> tuple[str, ...]:
        """Ways to stand with a smaller recommended unit than open air asks for."""
        first = self.skirting[0].size_kBtuh
        return tuple(s.below for s in self.skirting[1:] if s.size_kBtuh < first)


def limits_of(house: House, place: Place, unit: Unit, folder: Path | None = None) -> Limits:
    """All four for one house, place and unit."""
    model = house_model(house, place.elevation_m, folder)
    return Limits(
        unit,
        tuple(how_cold(model, place, unit, w) for w in (0.0, 500.0, 1000.0, 1500.0)),
        how_leaky(model, place, unit),
        how_much_glass(house, place, unit, folder),
        skirting(house, place, folder),
    )


def most_heat(designer: Designer, unit: Unit) -> Callable[[float], float]:
    """The unit's most heat at an outdoor temperature, at this site [W]."""
    curves = at_site(unit, designer.conditions.elevation_m, designer.model.house.set_points.heating).heating
    return lambda outdoor_C: float(capacity(curves, np.array([outdoor_C]), "max").value_W[0])


def how_cold(model: HouseModel, place: Place, unit: Unit, backup_W: float = 0.0) -> HowCold:
    """The outdoor temperature at which load = most heat + backup, between -50 degC and 5 K below the set point.

    Below its lowest temperature the unit gives nothing, so where it still carries the house there it is the unit that ends it.
    """
    from scipy.optimize import brentq

    designer = designer_of(model, place)
    given = most_heat(designer, unit)

    def spare(outdoor_C: float) -> float:
        return given(outdoor_C) + backup_W - designer.heating(outdoor_C).load_W

    warm = model.house.set_points.heating - 5.0
    floor = max(unit.lowest_heating_C, COLDEST_C)
    while floor < warm and given(floor) <= 0.0:  # a print that ends long before the unit does
        floor += 0.5
    if spare(warm) < 0:
        return HowCold(backup_W, None, False)
    if spare(floor) >= 0:
        return HowCold(backup_W, floor, True)
    return HowCold(backup_W, float(brentq(spare, floor, warm, xtol=0.01)), False)


def how_leaky(model: HouseModel, place: Place, unit: Unit) -> Most:
    """The most ACH50 with which the unit gives the design heating load, from sealed to twenty times as described."""
    from scipy.optimize import brentq

    now = model.air.leakage.ach50
    designer = designer_of(model, place)
    most = most_heat(designer, unit)(designer.conditions.heating_C)

    def short(times: float) -> float:
        return designer_of(airier(model, times, 1.0), place).heating().load_W - most

    if short(0.0) > 0:
        return Most(None, now, False)
    if short(MOST_LEAKS) <= 0:
        return Most(MOST_LEAKS * now, now, True)
    return Most(now * float(brentq(short, 0.0, MOST_LEAKS, xtol=1e-4)), now, False)


def how_much_glass(house: House, place: Place, unit: Unit, folder: Path | None = None) -> Most:
    """The most window area [m2] with which the unit's verdict is "fits", every window's width scaled alike.

    Halving between none and four times as described, or what the walls hold; the verdict counts heat and cold.
    """
    area = sum(w.area_m2 for w in house.windows)

    def fits(times: float) -> bool | None:
        wider = tuple(w.model_copy(update={"width": w.width * times}) for w in house.windows)
        try:
            designer = designer_of(house_model(house.model_copy(update={"windows": wider}), place.elevation_m, folder), place)
        except InputError:
            return None  # they no longer fit the walls
        return candidate_of(unit, designer).carries

    if not fits(0.05):
        return Most(None, area, False)
    low, high = 0.05, MOST_GLASS
    while fits(high) is None and high > low:
        high *= 0.9
    if fits(high):
        return Most(high * area, area, True)
    while high - low > 0.01:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if fits(middle) else (low, middle)
    return Most(low * area, area, False)


def skirting(house: House, place: Place, folder: Path | None = None) -> tuple[Skirting, ...]:
    """The recommended unit with every way the floor may stand, open air first."""
    found = []
    for kind in BELOW:
        changed = house.model_copy(update={"unit": None, "below": house.below.model_copy(update={"kind": kind})})
        sized = size_house(changed, place, folder=folder, walk=False)
        best = sized.recommended
        found.append(Skirting(kind, sized.heating.load_W, best.name, best.unit.size_kBtuh))
    return tuple(found)
