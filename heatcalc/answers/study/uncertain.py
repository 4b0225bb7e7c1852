"""What is uncertain about a house in a place: ranges with their sources, draws from them, and the case each value makes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from heatcalc.answers.sale.band import airier, brighter
from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.place.place_record import sureness
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.model.designer import DESIGN_WIND_HEATING_M_S, EIGHT_BEARINGS
from heatcalc.model.fleet_learning import TEN_PERCENT_POINT
from heatcalc.model.house_model import HouseModel
from heatcalc.model.part import OpaquePart
from heatcalc.model.parts import losing_inputs
from heatcalc.physics.shell.glazing import scaled
from heatcalc.physics.unit.heat_pump import Curves
from heatcalc.tables import rows

Array = np.ndarray


@dataclass(frozen=True, kw_only=True)
class UncertainInput:
    """One row of tables/uncertain_inputs.csv; `low` to `high` in SI, a sigma already scaled by the place's own."""

    name: str
    words: str
    kind: str  # "factor", "shift", "value", "number", "direction" or "sigma"
    unit: str
    low: float
    middle: float
    high: float
    distribution: str
    acts_on: tuple[str, ...]
    source: str
    mark: str


@dataclass(frozen=True, eq=False)
class StudyCase:
    """A house, a place and a unit with some inputs moved; wind in the design cold and the year's mean shift beside them."""

    model: HouseModel
    place: Place
    unit: Unit
    wind_m_s: float = DESIGN_WIND_HEATING_M_S
    year_K: float = 0.0


def uncertain_inputs(case: StudyCase) -> tuple[UncertainInput, ...]:
    """Every uncertain input that this house has: no direction where it is said, no loft where there is none."""
    own, place, published = case.model.house.design, case.place, sureness("published")
    sigma = {
        "cold": place.sigma_heating_K if own.heating is None else min(published.heating_K, place.sigma_heating_K),
        "heat": place.sigma_cooling_K if own.cooling is None else min(published.cooling_K, place.sigma_cooling_K),
    }
    found = [_learnt(_read(r, sigma.get(r["name"], 1.0)), case.model) for r in rows("uncertain_inputs")]
    house = case.model.house
    absent = {name: True for name in losing_inputs()} | {p.of.uncertain: False for p in case.model.parts}
    absent |= {
        "direction": house.site.front_faces != "unknown",
        "loft": house.loft is None,
        "people": house.living.home == "never",
        "fan": house.ventilation.kind == "none",
        "glass": not case.model.windows,
    }
    kept = [u for u in found if not absent.get(u.name, False)]
    return tuple(
        replace(u, middle=float(house.living.people), low=min(u.low, house.living.people), high=max(u.high, house.living.people))
        if u.name == "people"
        else u
        for u in kept
    )


def _learnt(of: UncertainInput, model: HouseModel) -> UncertainInput:
    """The input with the range that delivered houses taught, where they did."""
    if of.name not in model.learnt:
        return of
    (low, middle, high), _ = model.learnt[of.name]
    return replace(of, low=low, middle=middle, high=high, source="learnt from the houses of the fleet file", mark="own choice")


def _read(row: Mapping[str, str], scale: float) -> UncertainInput:
    low, middle, high = (float(row[k]) * scale for k in ("low", "middle", "high"))
    return UncertainInput(
        name=row["name"],
        words=row["words"],
        kind=row["kind"],
        unit=row["unit"],
        low=low,
        middle=middle,
        high=high,
        distribution=row["distribution"],
        acts_on=tuple(row["acts_on"].split()),
        source=row["source"],
        mark=row["mark"],
    )


def drawn(u: UncertainInput, share: Array) -> Array:
    """Values at shares 0 to 1 of the distribution: its inverse.

    Triangular between its ends with its peak at the middle; normal with 10 % and 90 % points at its ends; discrete evenly
    over whole numbers.
    """
    if u.distribution == "triangular":
        rise = (u.middle - u.low) / (u.high - u.low)
        left = u.low + np.sqrt(share * (u.high - u.low) * (u.middle - u.low))
        right = u.high - np.sqrt((1 - share) * (u.high - u.low) * (u.high - u.middle))
        return np.where(share < rise, left, right)
    if u.distribution == "normal":
        from scipy.special import ndtri

        return u.middle + (u.high - u.middle) / TEN_PERCENT_POINT * ndtri(np.clip(share, 1e-6, 1 - 1e-6))
    return np.minimum(np.floor(u.low + share * (u.high - u.low + 1)), u.high)


def moved(case: StudyCase, name: str, value: float) -> StudyCase:
    """The case with one input at a value."""
    if name in losing_inputs():
        return _model(case, lambda m: losing(m, name, value))
    return _MOVES[name](case, value)


def all_moved(case: StudyCase, values: Mapping[str, float]) -> StudyCase:
    """The case with many inputs moved."""
    for name, value in values.items():
        case = moved(case, name, value)
    return case


def _model(case: StudyCase, change: Callable[[HouseModel], HouseModel]) -> StudyCase:
    return replace(case, model=change(case.model))


def _table(model: HouseModel, table: str, values: dict[str, Any]) -> HouseModel:
    inner = getattr(model.house, table).model_copy(update=values)
    return replace(model, house=model.house.model_copy(update={table: inner}))


def losing(model: HouseModel, group: str, times: float) -> HouseModel:
    """The house with the heat loss of one group of parts scaled, layers keeping their proportions."""
    opaque = tuple(_losing(p, times) if p.of.uncertain == group else p for p in model.opaque)
    panes = tuple(replace(w, u_value=w.u_value * times) if w.of.uncertain == group else w for w in model.windows)
    return replace(model, opaque=opaque, windows=panes)


def _losing(part: OpaquePart, times: float) -> OpaquePart:
    return part.lossier(times) if part.of.radiates else part.sized(times)


def sunnier(model: HouseModel, times: float) -> HouseModel:
    """The house with the solar gain of its glass scaled."""
    return replace(
        model, windows=tuple(replace(w, shgc=w.shgc * times, glazing=scaled(w.glazing, w.shgc * times)) for w in model.windows)
    )


def darker(model: HouseModel, colour: str, by: float) -> HouseModel:
    """The house with the solar absorptance of its "siding" or "roof" shifted, kept between 0.05 and 0.98."""
    return replace(
        model,
        opaque=tuple(
            p.coloured(min(max(p.body.solar_absorptance + by, 0.05), 0.98)) if p.of.colour == colour and p.body.sun else p
            for p in model.opaque
        ),
    )


def _set(case: StudyCase, field: str, by_K: float) -> StudyCase:
    points = case.model.house.set_points
    values = {field: getattr(points, field) + by_K}
    if field == "heating" and points.night_heating is not None:
        values["night_heating"] = points.night_heating + by_K
    return _model(case, lambda m: _table(m, "set_points", values))


def _loft(model: HouseModel, times: float) -> HouseModel:
    loft = model.house.loft
    return model if loft is None else _table(model, "loft", {"warmer_by": loft.warmer_by * times})


def stronger(unit: Unit, times: float) -> Unit:
    """The unit with its heat and cold scaled at the same input."""

    def of(curves: Curves) -> Curves:
        return replace(curves, capacity_W={k: v * times for k, v in curves.capacity_W.items()})

    return replace(unit, heating=of(unit.heating), cooling=of(unit.cooling))


def _warmer_place(place: Place, cold_K: float, hot_K: float) -> Place:
    return replace(
        place,
        heating_99_C=place.heating_99_C + cold_K,
        heating_996_C=place.heating_996_C + cold_K,
        cooling_1_C=place.cooling_1_C + hot_K,
        cooling_04_C=place.cooling_04_C + hot_K,
    )


def _warmer_design(case: StudyCase, season: str, by_K: float) -> StudyCase:
    """The same for a design value of the user's own, which stands in place of the place's."""
    own = getattr(case.model.house.design, season)
    return case if own is None else _model(case, lambda m: _table(m, "design", {season: own + by_K}))


_MOVES: dict[str, Callable[[StudyCase, float], StudyCase]] = {
    "leaks": lambda c, x: _model(c, lambda m: airier(m, x, 1.0)),
    "fan": lambda c, x: _model(c, lambda m: airier(m, 1.0, x)),
    "glass": lambda c, x: _model(c, lambda m: sunnier(m, x)),
    "siding": lambda c, x: _model(c, lambda m: darker(m, "siding", x)),
    "roof colour": lambda c, x: _model(c, lambda m: darker(m, "roof", x)),
    "people": lambda c, x: _model(c, lambda m: _table(m, "living", {"people": int(x)})),
    "plugs": lambda c, x: _model(c, lambda m: brighter(m, x)),
    "heating set point": lambda c, x: _set(c, "heating", x),
    "cooling set point": lambda c, x: _set(c, "cooling", x),
    "loft": lambda c, x: _model(c, lambda m: _loft(m, x)),
    "wind": lambda c, x: replace(c, wind_m_s=x),
    "cold": lambda c, x: _warmer_design(replace(c, place=_warmer_place(c.place, x, 0.0)), "heating", x),
    "heat": lambda c, x: _warmer_design(replace(c, place=_warmer_place(c.place, 0.0, x)), "cooling", x),
    "year": lambda c, x: replace(c, year_K=x),
    "direction": lambda c, x: _model(c, lambda m: _table(m, "site", {"front_faces": list(EIGHT_BEARINGS)[int(x)]})),
    "capacity": lambda c, x: replace(c, unit=stronger(c.unit, x)),
}
