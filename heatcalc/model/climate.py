"""What the climate records say: one place, the worst of several, the user's own values before all."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from heatcalc.inputs.house.house_record import Design
from heatcalc.inputs.place.find_place import Place
from heatcalc.physics.year.weather_statistics import rebinned
from heatcalc.wording import worded

COLDEST = ("heating_99_C", "heating_996_C", "hdd18_3_Kd")
HOTTEST = ("cooling_1_C", "cooling_04_C", "cooling_1_mcwb_C", "cdd18_3_Kd", "cdd10_Kd")
FOLLOWS_COOLING = ("daily_range_K",)
FIVE_F_K = 5.0 / 1.8


@dataclass(frozen=True)
class Worst:
    """The worst of each design value of several places, and the place that sets it; `daily_range_K` is that of the
    place that sets the cooling dry bulb."""

    values: dict[str, float]
    set_by: dict[str, str]


@dataclass(frozen=True)
class Places:
    """The places asked for, in order, and where there are several the worst of each design value."""

    places: tuple[Place, ...]
    worst: Worst | None


def places_answer(found, own: Design | None = None) -> Places:
    """The answer for places already known (from the tables or the user's hourly file)."""
    places = tuple(with_own_values(place, own) for place in found)
    return Places(places, worst_of(places) if len(places) > 1 else None)


def with_own_values(place: Place, own: Design | None) -> Place:
    """The place with the user's own design values in place of the record's, named with their source text."""
    if own is None:
        return place
    said = {
        "heating": own.heating,
        "cooling": own.cooling,
        "cooling wet bulb": own.cooling_wet_bulb,
        "daily range": own.daily_range,
    }
    said = {name: value for name, value in said.items() if value is not None}
    if not said:
        return place
    changes: dict = {"source": worded("{}: the user's own ({}); rest: {}", ", ".join(said), own.source, place.source)}
    if own.heating is not None:
        changes |= {
            "heating_99_C": own.heating,
            "heating_996_C": min(own.heating, place.heating_996_C),
            "sigma_heating_K": 0.0,
            "sigma_heating_996_K": 0.0,
        }
    if own.cooling is not None:
        changes |= {"cooling_1_C": own.cooling, "cooling_04_C": max(own.cooling, place.cooling_04_C), "sigma_cooling_K": 0.0}
    wet = own.cooling_wet_bulb if own.cooling_wet_bulb is not None else place.cooling_1_mcwb_C
    changes["cooling_1_mcwb_C"] = min(wet, changes.get("cooling_1_C", place.cooling_1_C))
    if own.daily_range is not None:
        changes["daily_range_K"] = own.daily_range
    return replace(place, **changes)


def worst_of(places) -> Worst:
    """For a house that moves: the coldest heating and the hottest, most humid cooling values, each with its place."""
    coldest = {k: min(places, key=lambda p: getattr(p, k) * (-1 if k.startswith("hdd") else 1)) for k in COLDEST}
    hottest = {k: max(places, key=lambda p: getattr(p, k)) for k in HOTTEST}
    follows = {k: hottest["cooling_1_C"] for k in FOLLOWS_COOLING}
    setters = coldest | hottest | follows
    return Worst({k: getattr(p, k) for k, p in setters.items()}, {k: p.name for k, p in setters.items()})


@dataclass(frozen=True)
class YearBins:
    """Hours of the year in bins of 5 F, lower edges inclusive."""

    lower_edges_C: tuple[float, ...]
    hours: tuple[float, ...]
    width_K: float


def year_bins(place: Place) -> YearBins | None:
    """The months' bins on whole multiples of 5 F, even within a bin; None where the records have none."""
    if place.bins is None:
        return None
    low = min(b.lower_edges_C[0] for b in place.bins)
    high = max(b.lower_edges_C[-1] + b.width_K for b in place.bins)
    first, last = np.floor((low * 1.8 + 32.0) / 5.0 + 1e-9), np.ceil((high * 1.8 + 32.0) / 5.0 - 1e-9)
    edges = (np.arange(first, last + 1) * 5.0 - 32.0) / 1.8
    hours = sum(rebinned(b.lower_edges_C, b.hours, b.width_K, edges) for b in place.bins)
    return YearBins(tuple(float(e) for e in edges[:-1]), tuple(float(h) for h in np.asarray(hours)), FIVE_F_K)
