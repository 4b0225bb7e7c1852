"""The year on the supply as plain text and as a mapping: every use, chance of an overload, lock-outs, battery and sun."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from textwrap import fill
from typing import Any

from heatcalc import units
from heatcalc.answers.year.cord_year import CordYear
from heatcalc.show.words import columns

GALLON_M3 = 0.003785411784
TRIPS = "Trips follow from a usual breaker band, partly from memory: a trip says remove load, never fit a larger breaker."


def cord_year_text(y: CordYear, system: str) -> list[str]:
    """Sections, one a question."""
    return [
        "\n".join(section) for section in (_uses(y, system), _overload(y), _held(y, system), list(_stored(y, system))) if section
    ]


def cord_year_record(y: CordYear) -> dict[str, Any]:
    """Plain mapping in SI and kWh; hourly series stay behind."""
    rows = [
        {"use": r.name, "fuel": r.fuel, "month_kWh": r.month_kWh.tolist(), "year_kWh": r.year_kWh, "year_usd": r.year_usd}
        for r in y.energy.uses.rows
    ]
    uses = y.energy.uses
    return {
        "uses": rows,
        "electricity_kWh": uses.electricity_kWh,
        "electricity_usd": uses.electricity_usd,
        "propane_gal": uses.propane_gal,
        "propane_usd": uses.propane_usd,
        "hot_water": None if y.energy.water is None else asdict(y.energy.water),
        "overload": asdict(y.overload),
        "remedies": [asdict(r) for r in y.remedies],
        "lock_outs": None if y.held is None else asdict(y.held),
        "sun": None if y.sun is None else asdict(y.sun),
        "battery": [asdict(s) for s in y.stored],
    }


def _uses(y: CordYear, system: str) -> list[str]:
    uses = y.energy.uses
    rows = [("use", "kWh a year", "January", "July", "US$ a year", "")]
    rows += [
        (r.name, f"{r.year_kWh:,.0f}", f"{r.month_kWh[0]:,.0f}", f"{r.month_kWh[6]:,.0f}", f"{r.year_usd:,.0f}", _fuel(r.fuel))
        for r in uses.rows
    ]
    lines = ["Every use of energy in a year", *columns(rows, right=(1, 2, 3, 4))]
    lines.append(
        f"  on the meter {uses.electricity_kWh:,.0f} kWh, ${uses.electricity_usd:,.0f} with monthly charges; {uses.priced_by}"
    )
    lines.append("  defrosting is within the heating, as the unit's table carries it")
    if uses.propane_gal > 0:
        lines.append(f"  propane {uses.propane_gal:,.0f} gal, ${uses.propane_usd:,.0f}, at {uses.propane_words}")
    return [fill(line, 130, subsequent_indent="    ") if len(line) > 130 else line for line in lines] + _water(y, system)


def _fuel(fuel: str) -> str:
    return "" if fuel == "electricity" else fuel


def _water(y: CordYear, system: str) -> list[str]:
    w = y.energy.water
    if w is None:
        return []
    cold, warm = (units.text(t, "temperature", system) for t in (w.coldest_mains_C, w.warmest_mains_C))
    drawn, hour = (_water_amount(m3, system) for m3 in (w.drawn_m3_day, w.recovery_m3_s * 3600.0))
    words = (
        f"hot water: {w.kind}, {drawn} a day, mains {cold} to {warm}; it recovers {hour} an hour at the coldest mains; by the "
        f"one-line equation of a tank {w.by_hand_kWh:,.0f} kWh, hour by hour {w.walked_kWh:,.0f} kWh"
    )
    return [fill(words, 110, initial_indent="  ", subsequent_indent="    ")]


def _water_amount(m3: float, system: str) -> str:
    """Gallons or litres, as water is sold and tanks are named."""
    return f"{m3 / GALLON_M3:,.1f} gal" if system == "ip" else f"{1000.0 * m3:,.0f} L"


def _overload(y: CordYear) -> list[str]:
    o = y.overload
    rows = [
        ("", "minutes above 80 %", "minutes above the rating"),
        ("as it is", *_minutes(o.minutes_above_80, o.minutes_above_rating)),
    ]
    rows += [(r.words, *_minutes(r.minutes_above_80, r.minutes_above_rating)) for r in y.remedies]
    lines = ["Chance of an overload, a year", *columns(rows, right=(1, 2))]
    if o.minutes_above_rating < 0.5:
        return [*lines, "  the loads of this house exceed the rating for less than a minute of the year"]
    when = f"{o.worst_hour}:00 to {o.worst_hour + 1}:00"
    worst = f"worst on a January evening: {when}, {o.worst_chance:.0%} of the time above the rating"
    pair = f"; most of it by {o.pair[0]} and {o.pair[1]} together" if o.pair else ""
    trips = f"breaker trips to expect: {_count(o.trips_low)} to {_count(o.trips_high)} a year (latest and earliest curve)"
    return [*lines, *(fill(words, 110, initial_indent="  ", subsequent_indent="    ") for words in (worst + pair, trips, TRIPS))]


def _minutes(above_80: float, above: float) -> tuple[str, str]:
    return f"{above_80:,.0f}", f"{above:,.0f}"


def _count(trips: float) -> str:
    return f"{trips:.0f}" if trips >= 1 or trips == 0 else "under 1"


def _held(y: CordYear, system: str) -> list[str]:
    h = y.held
    if h is None:
        return []
    hours = ", ".join(f"{name} {share:,.0f} h" for name, share in h.hours_held.items())
    before, after = (units.text(t, "temperature", system) for t in h.coldest_C)
    lines = [
        f"held off while asking: {hours} a year",
        f"coldest indoor hour {after} ({before} without the lock-outs); hours too cold {h.too_cold_h[1]:,.0f} "
        f"({h.too_cold_h[0]:,.0f}); second heater {h.heater_kWh[1]:,.0f} kWh ({h.heater_kWh[0]:,.0f})",
        f"draws that find no hot water: {h.cold_water_min:,.0f} minutes a year",
    ]
    return ["Lock-outs through the year", *(fill(x, 110, initial_indent="  ", subsequent_indent="    ") for x in lines)]


def _stored(y: CordYear, system: str) -> Iterator[str]:
    if y.sun is not None:
        january, july, year = y.sun.month_kWh[0], y.sun.month_kWh[6], sum(y.sun.month_kWh)
        area, roof = (units.text(a, "area", system) for a in (y.sun.area_m2, y.sun.roof_m2))
        yield f"Sun: {year:,.0f} kWh a year, January {january:,.0f}, July {july:,.0f}; modules {area}, the whole roof is {roof}"
    if y.stored:
        yield "Battery through the year, from full at the start of a cut"
        rows = [("carries", "a cut in January", "a cut in July", "of the year", "days short", "hours over the inverter")]
        rows += [
            (s.what, _span(s.january_h), _span(s.july_h), f"{s.share_of_year:.0%}", f"{s.days_short}", f"{s.over_inverter_h}")
            for s in y.stored
        ]
        yield from columns(rows)
        yield "  least and median hours over the days of the month; 240 h is as far as a cut is followed"


def _span(hours: tuple[float, float]) -> str:
    return f"{hours[0]:.0f}-{hours[1]:.0f} h"
