"""What `heatcalc place` says: design values with their sureness, months, hours by temperature and sun, also at a glance and
readable in grey print; the worst of several places.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from heatcalc.inputs.place.find_place import Place
from heatcalc.inputs.place.place_record import REGIMES
from heatcalc.model.climate import Places, year_bins
from heatcalc.report.drawing import measured, ruled
from heatcalc.report.report import (
    ONE_SIGMA,
    Bullet,
    Caution,
    Chapter,
    Figure,
    Note,
    Report,
    Sentence,
    bullets,
    chapter,
    chapters,
    place_warnings,
    stamped,
)
from heatcalc.report.table import Column, Table, facts
from heatcalc.units import label, shown, text
from heatcalc.wording import SHORT_MONTHS, Q, Said, worded

T, DIFFERENCE, DAYS = "temperature", "temperature difference", "degree-days"
CAUTION = "For information: local codes and licensed practice decide. A typical year is not a worst one."
COLD_C = (-20.0, -25.0, -30.0)  # -4, -13, -22 F: where many units stop
BASE_C, GROWING_C = 18.333, 10.0
DESIGN = {  # design value -> its words, its kind, the base of its degree-days, its one sigma
    "heating_99_C": ("heating 99 %", T, None, "sigma_heating_K"),
    "heating_996_C": ("heating 99.6 %", T, None, "sigma_heating_996_K"),
    "cooling_1_C": ("cooling 1 %", T, None, "sigma_cooling_K"),
    "cooling_04_C": ("cooling 0.4 %", T, None, ""),
    "cooling_1_mcwb_C": ("wet bulb at cooling 1 %", T, None, ""),
    "daily_range_K": ("daily range, hottest month", DIFFERENCE, None, ""),
    "hdd18_3_Kd": ("heating degree-days below {}", DAYS, BASE_C, ""),
    "cdd18_3_Kd": ("cooling degree-days above {}", DAYS, BASE_C, ""),
    "cdd10_Kd": ("growing degree-days above {}", DAYS, GROWING_C, ""),
}
NOTES = (
    "The daily range is the mean daily maximum less the mean daily minimum; heating 99.6 % is the prudent choice for a light, "
    "small house.",
    "Worst years are colder than the typical record: the records hold one typical year, so no ten- or twenty-year value is "
    "estimated.",
)


def about_place(a: Places) -> Report:
    """One place, or several side by side with the worst of each design value."""
    one = a.places[0] if a.worst is None else None
    return Report(
        question="place",
        title=one.name if one else f"{len(a.places)} places, and the worst of each design value",
        decision=tuple(Sentence(_in_short(p, "Design values" if one else p.name)) for p in a.places),
        chapters=chapters(
            _design(a),
            *(c for n, p in enumerate(a.places, 1) for c in _one(p, *(("", "") if one else (f" of {p.name}", f"-{n}")))),
            chapter("Cautions", Caution(CAUTION)),
        ),
        values=_record(one) if one else _records(a),
        stamp=stamped(one),
    )


def _in_short(p: Place, name: str) -> Said:
    words = "{}: heating {} (99 %), cooling {} with a wet bulb of {} (1 %); zone {}, grade {}."
    return worded(words, name, *(Q(t, T, 1) for t in (p.heating_99_C, p.cooling_1_C, p.cooling_1_mcwb_C)), p.zone, p.grade)


def _one(p: Place, name: str, end: str) -> Iterator[Chapter | None]:
    """Chapters of one place; of several by its name, their tables by its number."""
    yield chapter(f"Record{name}", _head(p, end), Note(worded("source: {}", p.source)))
    yield chapter(f"Months{name}", _months(p, end), _figure(p))
    yield _hours(p, name, end)
    yield chapter(f"Warnings{name}", *bullets(p.warnings, Caution))


def _head(p: Place, end: str) -> Table:
    regime, station = REGIMES.get(p.moisture_regime, "") if p.moisture_regime else "", p.hourly_station
    away = worded(", {} away", Q(station.km * 1000.0, "distance")) if station and station.km else ""
    return facts(
        f"record{end}",
        ("position", f"{p.lat:.2f}, {p.lon:.2f}; standard time UTC{p.utc_offset_h:+g} h"),
        ("height", worded("{} ({})", Q(p.elevation_m, "length", 0), p.height_source)),
        ("climate zone", f"{p.zone} ({p.zone_edition}{', ' + regime if regime else ''})"),
        ("typical year", worded("station {} {}{}", station.id, station.name, away)) if station else None,
        ("grade", f"{p.grade} (A best; from its sigma and how surely its height is known)"),
    )


def _design(a: Places) -> Chapter | None:
    """Places down, values across; of several the worst of each, and who sets it."""
    columns = [Column("place")]
    for key, (_, _, _, sigma) in DESIGN.items():
        kind, decimals = _said_as(key)
        columns.append(Column(design_words(key), kind, decimals=decimals))
        columns += [Column(worded("{}, one sigma", design_words(key)), DIFFERENCE, missing="as given")] if sigma else []
    columns.append(Column("coldest hour, typical record", T, decimals=1, missing="not known"))
    columns += [Column(worded("hours colder than {}", Q(t, T, 0)), unit="h", decimals=0, missing="not known") for t in COLD_C]
    rows = tuple((p.name, *_values_of(p)) for p in a.places)
    worst = [] if a.worst is None else [(k, v, a.worst.set_by[k]) for k, v in a.worst.values.items()]
    set_by = (Bullet(worded("{}: {}, {}", design_words(k), Q(v, *_said_as(k)), who)) for k, v, who in worst)
    return chapter(
        "Design values, and the worst of each" if a.worst else "Design values",
        Table("design", "", tuple(columns), rows, across=True),
        *set_by,
        *bullets(NOTES, Note),
        Sentence(ONE_SIGMA),
    )


def _said_as(key: str) -> tuple[str, int | None]:
    """Kind and decimals of a design value."""
    kind = DESIGN[key][1]
    return kind, None if kind == DAYS else 1


def design_words(key: str) -> Said:
    """A design value's words, with the base of its degree-days."""
    words, _, base, _ = DESIGN[key]
    return words if base is None else worded(words, Q(base, T))


def _values_of(p: Place) -> Iterator[float | None]:
    for key, (_, _, _, sigma) in DESIGN.items():
        yield getattr(p, key)
        if sigma:
            yield getattr(p, sigma) or None
    yield p.coldest_hour_C
    yield from (None if p.coldest_hour_C is None else p.hours_below(t) for t in COLD_C)


def _months(p: Place, end: str) -> Table:
    m = p.monthly
    series = (
        (Column("mean", T, decimals=0), m.mean_C),
        (Column("mean daily maximum", T, decimals=0), m.max_C),
        (Column("mean daily minimum", T, decimals=0), m.min_C),
        (Column("dew point", T, decimals=0), m.dew_point_C),
        (Column("day-to-day sigma", DIFFERENCE), m.daily_sd_K),
        (Column("sun on the level, a day", "energy per area", decimals=(0, 1)), m.ghi_kWh_m2_day),
    )
    known = [(column, values) for column, values in series if values is not None]
    rows = zip(SHORT_MONTHS, *(values for _, values in known), strict=True)
    return Table(
        f"months{end}", "", (Column("month"), *(column for column, _ in known)), tuple(rows), across=True, head_units=True
    )


def _hours(p: Place, name: str, end: str) -> Chapter | None:
    bins = year_bins(p)
    if bins is None:
        return None
    heads = (Column("from", T, decimals=0), Column("hours a year", unit="h", decimals=0))
    words = worded("Each row holds the hours from its edge over {}.", Q(bins.width_K, DIFFERENCE))
    rows = tuple(zip(bins.lower_edges_C, bins.hours, strict=True))
    return chapter(f"Hours by temperature{name}", words, Table(f"hours{end}", "", heads, rows), more=True)


def _figure(p: Place) -> Figure:
    stem = "place-" + re.sub(r"[^a-z0-9]+", "-", p.name.lower()).strip("-")[:60]
    cold, warm = (pick(range(12), key=lambda k: p.monthly.mean_C[k]) for pick in (min, max))
    means = (x for k in (cold, warm) for x in (SHORT_MONTHS[k], Q(p.monthly.mean_C[k], T, 0)))
    says = worded("Coldest month {}: {} on average; warmest {}: {}. {}", *means, _in_short(p, "Design values"))
    return Figure(stem, p.name, says, partial(year_figure, p))


def _record(p: Place) -> dict[str, Any]:
    return p.as_dict() | {"warnings": place_warnings(p)}


def _records(a: Places) -> dict[str, Any]:
    assert a.worst is not None
    worst = {key: {"value": value, "set_by": a.worst.set_by[key]} for key, value in a.worst.values.items()}
    return {"places": [_record(p) for p in a.places], "worst": worst}


COLD, WARM, SUN, LINE = "#2f6690", "#c8553d", "#e0a100", "#222222"
AT = np.arange(12)
SUNSHINE, DECIMALS = "energy per area", {"ip": 0, "si": 1}
COOL_C, WARM_C = 10.0, (75.0 - 32.0) / 1.8  # 50 F and 75 F: colours of the bins only


def year_figure(place: Place, system: str = "ip") -> Any:
    """A matplotlib Figure; panels the records cannot fill are left out and named."""
    from matplotlib.figure import Figure

    bins, sun = year_bins(place), place.monthly.ghi_kWh_m2_day
    figure = Figure(figsize=(11.5 if bins else 7.5, 6.2 if sun else 4.6), layout="constrained")
    columns, rows = (1.45, 1.0)[: 1 + (bins is not None)], (1.45, 1.0)[: 1 + (sun is not None)]
    grid = figure.add_gridspec(len(rows), len(columns), width_ratios=columns, height_ratios=rows)
    _months_drawn(figure.add_subplot(grid[0, 0]), place, system)
    if sun:
        _sun(figure.add_subplot(grid[1, 0]), shown(np.array(sun), SUNSHINE, system), system)
    if bins:
        _bins(figure.add_subplot(grid[:, 1]), bins, place, system)
    figure.suptitle(place.name, fontweight="bold", fontsize=13)
    figure.supxlabel(_footer(place, system), fontsize=8.5)
    return figure


def _footer(place: Place, system: str) -> str:
    zone = f"climate zone {place.zone} ({place.zone_edition}), " if place.zone else ""
    days = (place.hdd18_3_Kd, place.cdd18_3_Kd)
    words = (
        f"{days[0] * 1.8:,.0f} heating and {days[1] * 1.8:,.0f} cooling degree-days (65 °F)"
        if system == "ip"
        else f"{days[0]:,.0f} heating and {days[1]:,.0f} cooling degree-days (18.3 °C)"
    )
    return (
        f"{zone}grade {place.grade}, {text(place.elevation_m, 'length', system, 0)} above sea level, {words}\n"
        "A typical year, not a worst one. For information; local codes and licensed practice decide."
    )


def _months_drawn(axes: Any, place: Place, system: str) -> None:
    months = place.monthly
    columns = (months.max_C, months.min_C, months.mean_C)
    high, low, mean = (shown(np.array(column), "temperature", system) for column in columns)
    look = {"width": 0.62, "color": "#d7d2c8", "edgecolor": "#8d8778", "linewidth": 0.8}
    axes.bar(AT, high - low, bottom=low, label="mean daily minimum to maximum", **look)
    axes.plot(AT, mean, color=LINE, marker="o", markersize=4, label="mean")
    if months.dew_point_C:
        damp = shown(np.array(months.dew_point_C), "temperature", system)
        axes.plot(AT, damp, ":s", color="#5f7f6f", markersize=3.2, label="dew point")
    for words, value, look in _design_lines(place):
        line = f"{words}: {text(value, 'temperature', system, 0)}"
        axes.axhline(shown(value, "temperature", system), label=line, **look)
    _calendar(axes, measured("outdoor air", "temperature", system))
    axes.set_title("months, and the design temperatures", loc="left", fontsize=10)
    axes.legend(fontsize=8, frameon=False, ncols=3, loc="upper center", bbox_to_anchor=(0.5, -0.08))


def _design_lines(place: Place) -> Iterator[tuple[str, float, dict[str, Any]]]:
    """The design temperatures, and how each line looks."""
    yield "heating 99 %", place.heating_99_C, {"color": COLD, "linestyle": "--", "linewidth": 1.6}
    yield "cooling 1 %", place.cooling_1_C, {"color": WARM, "linestyle": "-.", "linewidth": 1.6}


def _calendar(axes: Any, unit: str) -> None:
    axes.set_xticks(AT, SHORT_MONTHS)
    axes.set_xlim(-0.6, 11.6)
    axes.set_ylabel(unit)
    ruled(axes)


def _sun(axes: Any, sun: np.ndarray, system: str) -> None:
    axes.bar(AT, sun, width=0.62, color=SUN, edgecolor="#8a6300", linewidth=0.8)
    for at, value in zip(AT, sun, strict=True):
        axes.annotate(f"{value:,.{DECIMALS[system]}f}", (at, value), ha="center", va="bottom", fontsize=8)
    _calendar(axes, f"{label(SUNSHINE, system)} a day")
    axes.set_ylim(0, sun.max() * 1.18 + 0.1)
    axes.set_title("sun on level ground", loc="left", fontsize=10)


def _bins(axes: Any, bins: Any, place: Place, system: str) -> None:
    width = shown(bins.width_K, "temperature difference", system)
    middle = shown(np.array(bins.lower_edges_C), "temperature", system) + width / 2
    cool, warm = (text(t, "temperature", system, 0) for t in (COOL_C, WARM_C))
    kinds = np.searchsorted((COOL_C, WARM_C), np.array(bins.lower_edges_C) + 1e-6)
    looks = ((f"below {cool}", COLD, "///"), ("between", "#d7d2c8", ""), (f"{warm} and above", WARM, "\\\\\\"))
    for kind, (words, colour, hatch) in enumerate(looks):
        hours, look = np.array(bins.hours)[kinds == kind], {"color": colour, "hatch": hatch, "edgecolor": "white"}
        axes.barh(middle[kinds == kind], hours, height=width * 0.86, linewidth=0.4, label=words, **look)
    for _, value, look in _design_lines(place):
        axes.axhline(shown(value, "temperature", system), **look)
    axes.set_ylabel(measured("outdoor air", "temperature", system))
    axes.set_xlabel("hours of a typical year")
    ruled(axes, "x")
    axes.legend(fontsize=8, loc="best", facecolor="white", edgecolor="none", framealpha=1.0)
    axes.set_title("hours by outdoor temperature", loc="left", fontsize=10)
