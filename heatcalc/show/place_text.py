"""A place in words and tables: design values with their sureness, months, bins, warnings."""

from __future__ import annotations

from typing import Any

from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.place.place_record import REGIMES
from heatcalc.model.climate import Places, year_bins
from heatcalc.render.as_json import json_text
from heatcalc.units import convert, label, shown, text
from heatcalc.wording import said

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
CAUTION = "For information: local codes and licensed practice decide. A typical year is not a worst one."
WORDS = {
    "heating_99_C": "heating 99 %",
    "heating_996_C": "heating 99.6 %",
    "cooling_1_C": "cooling 1 %",
    "cooling_04_C": "cooling 0.4 %",
    "cooling_1_mcwb_C": "wet bulb at cooling 1 %",
    "daily_range_K": "daily range, hottest month",
    "hdd18_3_Kd": "heating degree-days",
    "cdd18_3_Kd": "cooling degree-days",
    "cdd10_Kd": "growing degree-days",
}
COLD_C = (-20.0, -25.0, -30.0)  # -4, -13, -22 F: where many units stop
DEGREE_DAYS = ("hdd18_3_Kd", "cdd18_3_Kd", "cdd10_Kd")


def as_json(answer: Places) -> str:
    """One object for one place; for several a list of them under "places", and "worst"."""
    if answer.worst is None:
        return json_text(_record(answer.places[0])).rstrip()
    whole = {
        "places": [_record(place) for place in answer.places],
        "worst": {key: {"value": value, "set_by": answer.worst.set_by[key]} for key, value in answer.worst.values.items()},
    }
    return json_text(whole).rstrip()


def _record(place: Place) -> dict[str, Any]:
    return place.as_dict() | {"warnings": [said(note, "si") for note in place.warnings]}


def report_text(answer: Places, system: str) -> str:
    """Every place in turn, then the worst of each design value."""
    blocks = [place_text(place, system) for place in answer.places]
    return "\n\n".join([*blocks, *([worst_text(answer, system)] if answer.worst else []), CAUTION])


def place_text(place: Place, system: str) -> str:
    """One place."""
    return "\n".join(
        [
            place.name,
            "=" * len(place.name),
            *_head(place, system),
            "",
            *_design(place, system),
            *_cold(place, system),
            "",
            *_months(place, system),
            *_bins(place, system),
            *_warnings(place, system),
        ]
    )


def value_text(key: str, value: float, system: str) -> str:
    """One design value or degree-days with its unit."""
    if key in DEGREE_DAYS:
        return f"{value * 1.8:,.0f} °F·d" if system == "ip" else f"{value:,.0f} K·d"
    return text(value, "temperature difference" if key.endswith("_K") else "temperature", system, 1)


def _head(place: Place, system: str) -> list[str]:
    regime = REGIMES.get(place.moisture_regime, "")
    zone = f"{place.zone} ({place.zone_edition}{', ' + regime if regime and place.moisture_regime else ''})"
    station = place.hourly_station
    lines = [
        f"position        {place.lat:.2f}, {place.lon:.2f}; standard time UTC{place.utc_offset_h:+g} h",
        f"height          {text(place.elevation_m, 'length', system, 0)} ({said(place.height_source, system)})",
        f"climate zone    {zone}",
    ]
    if station is not None:
        away = f", {text(station.km * 1000.0, 'distance', system)} away" if station.km else ""
        lines.append(f"typical year    station {station.id} {station.name}{away}")
    return [
        *lines,
        f"grade           {place.grade} (A best; from its sigma and how surely its height is known)",
        f"source          {said(place.source, system)}",
    ]


def _design(place: Place, system: str) -> list[str]:
    heating, prudent, cooling = (
        f"+/- {text(s, 'temperature difference', system, 1)} (one sigma)" if s > 0 else "as given"
        for s in (place.sigma_heating_K, place.sigma_heating_996_K, place.sigma_cooling_K)
    )
    sure = {
        "heating_99_C": heating,
        "heating_996_C": f"{prudent}; prudent choice for a light, small house",
        "cooling_1_C": cooling,
        "daily_range_K": "mean daily maximum less minimum",
        "hdd18_3_Kd": f"below {_base(18.333, system)}",
        "cdd18_3_Kd": f"above {_base(18.333, system)}",
        "cdd10_Kd": f"above {_base(10.0, system)}",
    }
    return [
        f"{words:<28}{value_text(key, getattr(place, key), system):>12}   {sure.get(key, '')}".rstrip()
        for key, words in WORDS.items()
    ]


def _cold(place: Place, system: str) -> list[str]:
    """The hours beyond the design temperature, as the typical record has them."""
    if place.coldest_hour_C is None:
        return []
    below = [f"{text(t, 'temperature', system, 0)} {place.hours_below(t):.0f} h" for t in COLD_C]
    return [
        f"{'coldest hour, typical record':<28}{text(place.coldest_hour_C, 'temperature', system, 1):>12}   "
        "worst years are colder: the records hold one typical year, so no ten- or twenty-year value is estimated",
        f"{'colder than':<28}{'; '.join(below)}",
    ]


def _base(base_C: float, system: str) -> str:
    return text(base_C, "temperature", system, 0 if system == "ip" else 1)


def _months(place: Place, system: str) -> list[str]:
    months = place.monthly
    unit = label("temperature", system)
    rows: list[tuple[str, list[str]]] = [
        (f"{name} {unit}", [_whole(shown(v, "temperature", system)) for v in values])
        for name, values in (
            ("mean", months.mean_C),
            ("mean daily maximum", months.max_C),
            ("mean daily minimum", months.min_C),
            ("dew point", months.dew_point_C),
        )
        if values is not None
    ]
    if months.daily_sd_K is not None:
        rows.append(
            (
                f"day-to-day sigma {label('temperature difference', system)}",
                [f"{shown(v, 'temperature difference', system):.1f}" for v in months.daily_sd_K],
            )
        )
    if months.ghi_kWh_m2_day is not None:
        rows.append(_sun(months.ghi_kWh_m2_day, system))
    return [
        " " * 24 + "".join(f"{m:>6}" for m in MONTHS),
        *(f"{name:<24}" + "".join(f"{cell:>6}" for cell in cells) for name, cells in rows),
    ]


def _sun(kWh_m2_day: tuple[float, ...], system: str) -> tuple[str, list[str]]:
    if system == "ip":
        per = convert(1.0, "kilowatt_hour/meter**2", "Btu/foot**2")
        return "sun, level, Btu/ft² a day", [f"{v * per:.0f}" for v in kWh_m2_day]
    return "sun, level, kWh/m² a day", [f"{v:.1f}" for v in kWh_m2_day]


def _whole(value: float) -> str:
    """Rounded, without a minus before zero."""
    return f"{round(value) + 0:d}"


def _bins(place: Place, system: str) -> list[str]:
    found = year_bins(place)
    if found is None:
        return []
    cells = [
        f"{_whole(shown(edge, 'temperature', system))}: {hours:.0f}"
        for edge, hours in zip(found.lower_edges_C, found.hours, strict=True)
    ]
    title = f"hours of the year by {label('temperature', system)} (from each edge over {5 if system == 'ip' else 2.8:g} degrees)"
    return ["", title, *("  ".join(f"{cell:<10}" for cell in cells[i : i + 8]).rstrip() for i in range(0, len(cells), 8))]


def _warnings(place: Place, system: str) -> list[str]:
    return ["", *(f"note: {said(note, system)}" for note in place.warnings)] if place.warnings else []


def worst_text(answer: Places, system: str) -> str:
    """The worst of each design value and the place that sets it."""
    assert answer.worst is not None
    lines = [
        f"{WORDS[key]:<28}{value_text(key, value, system):>12}   {answer.worst.set_by[key]}"
        for key, value in answer.worst.values.items()
    ]
    return "\n".join(["worst of each, and the place that sets it", "-" * 41, *lines])
