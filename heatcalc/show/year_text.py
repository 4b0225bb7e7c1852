"""The year as text for a terminal, as one JSON record in SI, and hour by hour as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from heatcalc import units
from heatcalc.answers.year.freezing import PipeFreeze
from heatcalc.answers.year.outage import CAUTIONS, Cooldown
from heatcalc.answers.year.year_answer import YearAnswer
from heatcalc.model.year_sums import SERIES_UNITS, USES
from heatcalc.model.year_walk import YearResult
from heatcalc.show.words import columns, wrapped
from heatcalc.supply.supply_check import hour_words
from heatcalc.wording import MONTHS, Said, said

SHORT = [m[:3] for m in MONTHS]


def year_text(a: YearAnswer, system: str) -> str:
    """The whole answer, readable without a browser."""
    parts = (
        heading(a),
        _energy(a.year),
        _electricity(a),
        _hours(a, system),
        _peaks(a, system),
        _damp(a.year),
        _shares(a.year),
        _off_normal(a, system),
        _checks(a, system),
        _notes("Warnings", a.warnings, system),
        _notes("Notes", a.notes, system),
        _notes("Cautions", CAUTIONS, system),
    )
    return "\n\n".join("\n".join(part) for part in parts if part)


def heading(a: YearAnswer) -> list[str]:
    """Which house, where, with what unit and weather."""
    package = f", package {a.house.package}" if a.house.package else ""
    note = f" ({a.house.note})" if a.house.note else ""
    name = "no unit" if a.unit is None else f"{a.unit.name}{' (generic class, invented)' if a.unit.generic else ''}"
    ways = [w.front_faces for w in a.year.ways]
    stands = (
        f"front to the {ways[0]}"
        if len(ways) == 1
        else (f"mean of front to the {', '.join(ways[:-1])} and {ways[-1]}; peaks: the worst")
    )
    backup = [] if a.unit is None else [f"second heater: {a.backup_W / 1000:.1f} kW"] if a.backup_W else ["second heater: none"]
    return [
        f"{a.house.name}{note}{package}, in {a.place.name}",
        f"{name}: {a.chosen}",
        *backup,
        *wrapped(f"weather: {a.year.weather_source}", indent=0),
        stands,
    ]


def _energy(r: YearResult) -> list[str]:
    keys = ("heat", "backup heat", "cool", "latent")
    rows: list[tuple[str, ...]] = [("kWh of heat", "unit's heat", "backup heat", "cooling", "moisture removed")]
    rows += [(SHORT[m], *(f"{r.energy_kWh[k][m]:,.0f}" for k in keys)) for m in range(12)]
    rows.append(("year", *(f"{r.annual(k):,.0f}" for k in keys)))
    if len(r.ways) > 1:
        rows.append(("least-most", *(_range(r.span(k)) for k in keys)))
    return ["Heat and cold by month", *columns(rows, right=(1, 2, 3, 4))]


def _range(span: tuple[float, float]) -> str:
    return f"{span[0]:,.0f}-{span[1]:,.0f}"


def _electricity(a: YearAnswer) -> list[str]:
    r = a.year
    used = [u for u in USES if r.electricity_kWh[u].sum() > 0.5]
    rows = [("kWh", *used, "all")]
    for m in range(12):
        values = [r.electricity_kWh[u][m] for u in used]
        rows.append((SHORT[m], *(f"{v:,.0f}" for v in values), f"{sum(values):,.0f}"))
    rows.append(("year", *(f"{r.electricity_kWh[u].sum():,.0f}" for u in used), f"{r.electricity_year_kWh:,.0f}"))
    lines = ["Electricity by month", *columns(rows, right=tuple(range(1, len(used) + 2)))]
    if len(r.ways) > 1:
        lines.append(f"  {_range(r.span('electricity'))} kWh with the way the house stands")
    dry = f", {a.dehumidifier_kWh:,.0f} kWh of the dehumidifier" if a.dehumidifier_kWh else ""
    return lines + wrapped(
        f"heat, cold and fresh air, as the run-load sheet counts them: {a.conditioning_kWh:,.0f} kWh, with "
        f"{a.fan_kWh:,.0f} kWh of the ventilation fan{dry} and without the rest of the house"
    )


def _hours(a: YearAnswer, system: str) -> list[str]:
    r = a.year
    d = lambda k_h: f"{k_h * (1.8 if system == 'ip' else 1.0):,.0f} {'°F' if system == 'ip' else 'K'}·h"  # noqa: E731
    rows = [
        (name, f"{r.hours[name]:,.0f} h")
        for name in (
            "heating",
            "cooling",
            "cycling, heating",
            "cycling, cooling",
            "full output, heating",
            "full output, cooling",
            "too warm",
        )
    ]
    lines = ["Hours of the year", *columns(rows, right=(1,))]
    walked = {f"with {a.backup_W / 1000:.1f} kW of backup heat": r} if a.backup_W else {}
    for words, one in (walked | {"without backup heat": a.without_backup}).items() if a.unit else ():
        cold = one.peak("coldest_C")
        lines += wrapped(
            f"{words}: {one.hours['too cold']:,.0f} h and {d(one.degree_hours_K_h['too cold'])} "
            f"below the set point; coldest indoor hour "
            f"{units.text(cold[0], 'temperature', system)} ({hour_words(cold[1])})"
        )
    warm = r.peak("warmest_C")
    return lines + wrapped(
        f"above the cooling set point {d(r.degree_hours_K_h['too warm'])}; hottest indoor hour "
        f"{units.text(warm[0], 'temperature', system)} ({hour_words(warm[1])})"
    )


def _peaks(a: YearAnswer, system: str) -> list[str]:
    r, rows = a.year, []
    names = {
        "heat_peak_W": ("most heat in an hour", "power"),
        "cool_peak_W": ("most sensible cooling in an hour", "power"),
        "unit_peak_W": ("most electricity of the unit", "electric power"),
        "house_peak_W": ("most electricity of the house", "electric power"),
    }
    for key, (words, kind) in names.items():
        value, when = r.peak(key)
        rows.append((words, units.text(value, kind, system), hour_words(when) if value > 0 else ""))
    c = a.cord
    rows.append(("most amperes on the cord", f"{c.highest_A:.1f} A", c.highest_when))
    above = (
        f"  {c.hours_above_80} h above 80 % of the {a.hangs_on} supply, {c.hours_above_rating} h above its rating; "
        "hot water is in it"
    )
    return ["Peaks, means of an hour", *columns(rows, right=(1,)), above]


def _damp(r: YearResult) -> list[str]:
    rows = [
        ("relative humidity indoors", *SHORT),
        ("mean, %", *(f"{x:.0%}"[:-1] for x in r.relative_mean)),
        ("highest hour, %", *(f"{x:.0%}"[:-1] for x in r.relative_max)),
    ]
    hours = [f"{r.hours[f'above {x} relative humidity']:,.0f} h above {x}" for x in ("60%", "70%")]
    return ["Humidity", *columns(rows, right=tuple(range(1, 13))), f"  {', '.join(hours)}"]


def _shares(r: YearResult) -> list[str]:
    rows = [
        ("share of full output", *(f"to {10 * k} %" for k in range(1, 11))),
        ("heating, h", *(f"{x:,.0f}" for x in r.heating_tenths_h)),
        ("cooling, h", *(f"{x:,.0f}" for x in r.cooling_tenths_h)),
    ]
    return ["Hours by load, as a share of what the unit can give then", *columns(rows, right=tuple(range(1, 11)))]


def _off_normal(a: YearAnswer, system: str) -> list[str]:
    t = lambda x: units.text(x, "temperature", system, 0)  # noqa: E731
    cut = (
        f"power cut at the start of {hour_words(a.cut.starts)}, then the coldest twelve hours of the year, "
        f"{t(a.cut.night_mean_C)} on average:"
    )
    lines = ["Off normal", *wrapped(cut)]
    lines += [f"    nobody home: {_falls(a.cut.empty, t)}", f"    people home: {_falls(a.cut.people, t)}"]
    lines += wrapped(f"water lines, nobody home, fans stopped: {pipe_words(a.cut.empty)}")
    if a.pick_up is not None:
        x, alone = a.pick_up, a.pick_up.ways[0]
        cold = f"everything inside at {t(x.start_C)} and {t(x.outdoor_C)} outdoors"
        lines += wrapped(
            f"{cold}: the unit does not reach {t(x.goal_C)} alone"
            if alone.felt_after_air_C is None
            else f"{cold}: {alone.air_h:.1f} h of full output until the air reads {t(x.goal_C)}; the room then feels "
            f"like {t(alone.felt_after_air_C)}"
        )
    if a.empty is not None:
        e = a.empty
        lines += wrapped(
            f"standing empty a year: {e.low_kWh:,.0f} kWh for heating at {t(e.low_set_C)}, "
            f"{e.usual_kWh:,.0f} kWh at {t(e.usual_set_C)}: {e.saving_kWh:,.0f} kWh saved"
        )
    return lines


def pipe_words(c: Cooldown) -> str:
    """When standing water freezes by where its line lies, and what the remedy gains."""
    return "; ".join(_pipe(p) for p in c.pipes)


def _pipe(p: PipeFreeze) -> str:
    if p.hours is None:
        return f"{p.where} not within ten days"
    gain = "" if p.minutes_gained is None else f" ({p.remedy}: {p.minutes_gained:+,.0f} min)"
    return f"{p.where} after {p.hours:.1f} h{gain}"


def _falls(c: Cooldown, t) -> str:
    said = [
        f"{t(limit)} not within ten days" if hours is None else f"{t(limit)} after {hours:.1f} h" for limit, hours in c.hours_to
    ]
    return f"from {t(c.start_C)} to " + ", ".join(said)


def _checks(a: YearAnswer, system: str) -> list[str]:
    h, need = a.hand, a.needs
    causes = sorted(need.balance_kWh.items(), key=lambda x: -x[1])
    rows = [(name, f"{kWh:,.0f} kWh") for name, kWh in causes if abs(kWh) >= 0.5]
    rows.append(("sum", f"{sum(need.balance_kWh.values()):,.0f} kWh"))
    sums = f"the sum is {need.annual('heat'):,.0f} kWh of heat given less {need.annual('cool'):,.0f} kWh taken away by cooling"
    k, balance = (units.text(h.conductance_W_K, "heat loss coefficient", system), units.text(h.balance_C, "temperature", system))
    by_hand = (
        f"by hand {h.heating_kWh:,.0f} kWh of heat ({k} below a balance point of {balance}), hour by hour "
        f"{need.annual('heat'):,.0f} kWh; by hand, walls are as warm as the air and sun is even: 15 to 35 % more is usual"
    )
    return [
        "Where the year's heat goes (losses positive, each part with the sun on it), if the load is always carried",
        *columns(rows, right=(1,)),
        *wrapped(sums),
        *wrapped(by_hand),
    ]


def _notes(title: str, notes: Sequence[Said], system: str) -> list[str]:
    return [title, *(w for note in notes for w in wrapped("- " + said(note, system)))] if notes else []


def year_record(a: YearAnswer) -> dict[str, Any]:
    """One object, SI, keys with their unit."""
    r = a.year
    return {
        "house": {"name": a.house.name, "package": a.house.package, "note": a.house.note},
        "place": a.place.name,
        "unit": None if a.unit is None else a.unit.name,
        "chosen": a.chosen,
        "backup_W": a.backup_W,
        "plan": None if a.plan is None else a.plan.record(),
        "weather": r.weather_source,
        "front_faces": [w.front_faces for w in r.ways],
        "energy_kWh": r.energy_kWh,
        "electricity_kWh": r.electricity_kWh,
        "electricity_year_kWh": r.electricity_year_kWh,
        "heat_cold_air_kWh": a.conditioning_kWh,
        "ventilation_fan_kWh": a.fan_kWh,
        "dehumidifier_kWh": a.dehumidifier_kWh,
        "electricity_span_kWh": r.span("electricity"),
        "hours": r.hours,
        "degree_hours_K_h": r.degree_hours_K_h,
        "peaks": _peaks_record(r),
        "cord": asdict(a.cord),
        "relative_humidity_mean": r.relative_mean,
        "relative_humidity_max": r.relative_max,
        "heating_hours_by_tenth": r.heating_tenths_h,
        "cooling_hours_by_tenth": r.cooling_tenths_h,
        "balance_kWh": r.balance_kWh,
        "balance_closure": r.closure,
        "without_backup": {
            "hours": a.without_backup.hours,
            "degree_hours_K_h": a.without_backup.degree_hours_K_h,
            "coldest_C": a.without_backup.peak("coldest_C")[0],
        },
        "needs": {"heat_kWh": a.needs.energy_kWh["heat"], "cool_kWh": a.needs.energy_kWh["cool"]},
        "hand_check": asdict(a.hand),
        "power_cut": {
            "hour_from": a.cut.starts,
            "night_mean_C": a.cut.night_mean_C,
            "nobody_home": _cut_record(a.cut.empty),
            "people_home": _cut_record(a.cut.people),
        },
        "pick_up": None if a.pick_up is None else asdict(a.pick_up),
        "unoccupied": None if a.empty is None else asdict(a.empty),
        "warnings": [said(w, "si") for w in a.warnings],
        "notes": [said(n, "si") for n in a.notes],
        "cautions": CAUTIONS,
    }


def _peaks_record(r: YearResult) -> dict[str, Any]:
    names = ("heat_peak_W", "cool_peak_W", "unit_peak_W", "house_peak_W", "coldest_C", "warmest_C")
    return {n: {"value": value, "hour_ending": when + 1} for n in names for value, when in (r.peak(n),)}


def _cut_record(c: Cooldown) -> dict[str, Any]:
    return {
        "start_C": c.start_C,
        "coldest_C": c.coldest_C,
        "hours_to": [{"limit_C": limit, "hours": hours} for limit, hours in c.hours_to],
        "pipes": [asdict(p) for p in c.pipes],
    }


def hourly_csv(a: YearAnswer) -> str:
    """Every hour of the middle way, SI; the first column is the hour of the year at whose end the row stands."""
    assert a.year.series is not None
    table = np.column_stack([a.year.series[name] for name in SERIES_UNITS])
    head = ",".join(("hour_ending", *SERIES_UNITS))
    lines = (",".join([str(k + 1), *(f"{x + 0.0:.5g}" for x in row)]) for k, row in enumerate(table.tolist()))
    return "\n".join([head, *lines]) + "\n"
