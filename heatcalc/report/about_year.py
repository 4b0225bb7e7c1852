"""What `heatcalc year` says: electricity, heat and cold by month, hours, peaks, damp, off normal, where the heat goes; and the
same as one object in SI and hour by hour as CSV.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.year.outage import CAUTIONS, Cooldown, PipeFreeze
from heatcalc.answers.year.year_answer import YearAnswer
from heatcalc.model.year_sums import SERIES_UNITS, USES
from heatcalc.model.year_walk import YearResult
from heatcalc.report.report import Caution, Chapter, Figure, Note, Report, Sentence, bullets, chapter, chapters, named, stamped
from heatcalc.report.table import Cell, Column, Table, by_month, facts, fields_of
from heatcalc.report.year_figures import days_figure, electricity_figure, load_figure
from heatcalc.supply.supply_check import hour_words
from heatcalc.wording import SHORT_MONTHS, Q, Said, joined, worded

T, POWER, WATTS, UA, DEGREE_HOURS = "temperature", "power", "electric power", "heat loss coefficient", "degree-hours"
WALKED = (
    "heating",
    "cooling",
    "cycling, heating",
    "cycling, cooling",
    "full output, heating",
    "full output, cooling",
    "too warm",
)
HEAT = {"heat": "unit's heat", "backup heat": "backup heat", "cool": "cooling", "latent": "moisture removed"}


BRIEF = (
    "in a power cut drain the water before you leave: pipes near outside walls freeze hours before the air inside; never heat "
    "with a cooker, grill or unvented burner: carbon monoxide kills; keep an alarm."
)


def about_year(a: YearAnswer) -> Report:
    """The whole answer."""
    return Report(
        question="year",
        title=f"{named(a.house)}, in {a.place.name}",
        under=tuple(_under(a)),
        decision=tuple(Sentence(words) for words in _decision(a)),
        chapters=chapters(
            _electricity(a),
            _hours(a),
            _peaks(a),
            chapter("Off normal", *_off_normal(a), brief=_cut_brief(a)),
            chapter("Warnings", *bullets(a.warnings, Caution)),
            _heat(a.year),
            _damp(a.year),
            _shares(a),
            _where_it_goes(a),
            chapter("Notes", *bullets(a.notes, Note), more=True),
            chapter("Cautions", *bullets(CAUTIONS, Caution), brief=BRIEF),
        ),
        values=year_values(a),
        stamp=stamped(a.place, a.house.name),
    )


def _under(a: YearAnswer) -> Iterator[Said]:
    """With what unit and weather, and how it stands."""
    name = "no unit" if a.unit is None else f"{a.unit.name}{' (generic class, invented)' if a.unit.generic else ''}"
    yield f"{name}: {a.chosen}"
    if a.unit is not None:
        yield f"second heater: {f'{a.backup_W / 1000:.1f} kW' if a.backup_W else 'none'}"
    yield worded("weather: {}", a.year.weather_source)
    *ways, last = (w.front_faces for w in a.year.ways)
    yield f"mean of front to the {', '.join(ways)} and {last}; peaks: the worst" if ways else f"front to the {last}"


def _decision(a: YearAnswer) -> Iterator[Said]:
    r = a.year
    yield f"{r.electricity_year_kWh:,.0f} kWh of electricity a year, {r.annual('heat'):,.0f} kWh of heat from the unit."
    dry = f", {a.dehumidifier_kWh:,.0f} kWh of the dehumidifier" if a.dehumidifier_kWh else ""
    heater = " with its preheater" if a.house.ventilation.preheater_W else ""
    yield (
        f"Heat, cold and fresh air, as the run-load sheet counts them: {a.conditioning_kWh:,.0f} kWh, with "
        f"{a.fan_kWh:,.0f} kWh of the ventilation fan{heater}{dry} and without the rest of the house."
    )


def _heat(r: YearResult) -> Chapter | None:
    spans = [r.span(k) for k in HEAT] if len(r.ways) > 1 else []
    below: list[tuple[Cell, ...]] = [
        (name, *(span[k] for span in spans)) for k, name in enumerate(("least way", "most way")) if spans
    ]
    table = by_month("heat", "", {name: r.energy_kWh[k] for k, name in HEAT.items()}, *below)
    return chapter("Heat and cold by month", table, more=True)


def _electricity(a: YearAnswer) -> Chapter | None:
    r = a.year
    used = {u: r.electricity_kWh[u] for u in USES if r.electricity_kWh[u].sum() > 0.5}
    every = sum(used.values(), np.zeros(12))
    span = "{:,.0f}-{:,.0f} kWh with the way the house stands".format(*r.span("electricity")) if len(r.ways) > 1 else ""
    says = ", ".join(f"{use} {kWh.sum():,.0f} kWh" for use, kWh in used.items())
    return chapter(
        "Electricity by month",
        by_month("electricity", "", used | {"all": every}),
        span,
        Figure("year-electricity", "Electricity by month", f"A year: {says}.", partial(electricity_figure, a)),
        brief="; ".join(filter(None, (says, span))),
    )


def _hours(a: YearAnswer) -> Chapter | None:
    r = a.year
    table = facts("hours", *((Column(name, unit="h", decimals=0), float(r.hours[name])) for name in WALKED))
    most = ("heating", "cooling", "full output, heating", "full output, cooling", "too warm")
    walked = "; ".join(f"{name} {r.hours[name]:,.0f} h" for name in most)
    (coldest_C, _), (warmest_C, _) = r.peak("coldest_C"), r.peak("warmest_C")
    found = f"{walked}; too cold {r.hours['too cold']:,.0f} h; indoors {{}} at the coldest, {{}} at the hottest"
    brief = worded(found, Q(coldest_C, T), Q(warmest_C, T))
    return chapter("Hours of the year", table, *_short(a), _days(a), brief=brief)


def _short(a: YearAnswer) -> Iterator[Said]:
    """How far the room leaves its set points."""
    r = a.year
    walked = {f"with {a.backup_W / 1000:.1f} kW of backup heat": r} if a.backup_W else {}
    for words, one in (walked | {"without backup heat": a.without_backup}).items() if a.unit else ():
        (coldest_C, when), below = one.peak("coldest_C"), Q(one.degree_hours_K_h["too cold"], DEGREE_HOURS)
        line = "{}: {:,.0f} h and {} below the set point; coldest indoor hour {} ({})"
        yield worded(line, words, one.hours["too cold"], below, Q(coldest_C, T), hour_words(when))
    warmest_C, when = r.peak("warmest_C")
    above = Q(r.degree_hours_K_h["too warm"], DEGREE_HOURS)
    yield worded("above the cooling set point {}; hottest indoor hour {} ({})", above, Q(warmest_C, T), hour_words(when))


def _days(a: YearAnswer) -> Figure:
    says = joined("; ", _short(a))
    return Figure("year-days", "The coldest and the hottest day", says, partial(days_figure, a))


def _peaks(a: YearAnswer) -> Chapter | None:
    r, c = a.year, a.cord
    names = {
        "heat_peak_W": "most heat in an hour",
        "cool_peak_W": "most sensible cooling in an hour",
        "unit_peak_W": "most electricity of the unit",
        "house_peak_W": "most electricity of the house",
    }
    rows: list[tuple[Cell, ...]] = []
    for key, words in names.items():
        value, when = r.peak(key)
        heat = key in ("heat_peak_W", "cool_peak_W")
        rows.append((words, *((value, None) if heat else (None, value)), None, hour_words(when) if value > 0 else ""))
    rows.append(("most amperes on the cord", None, None, c.highest_A, c.highest_when))
    heads = (
        Column("peak"),
        Column("heat", POWER, missing=""),
        Column("electricity", WATTS, missing=""),
        Column("current", "current", missing=""),
        Column("when"),
    )
    above = f"{c.hours_above_80} h above 80 % of the {a.hangs_on}, {c.hours_above_rating} h above its rating; hot water is in it"
    watts, when = r.peak("house_peak_W")
    brief = f"{watts:,.0f} W of the house on {hour_words(when)}, {c.highest_A:.1f} A on the cord; {above}"
    return chapter("Peaks, means of an hour", Table("peaks", "", heads, tuple(rows)), above, brief=brief)


def _damp(r: YearResult) -> Chapter | None:
    heads = (Column("indoors"), Column("mean relative humidity", "fraction"), Column("highest hour", "fraction"))
    rows = tuple(zip(SHORT_MONTHS, map(float, r.relative_mean), map(float, r.relative_max), strict=True))
    hours = ", ".join(f"{r.hours[f'above {x} relative humidity']:,.0f} h above {x}" for x in ("60%", "70%"))
    return chapter("Humidity", Table("humidity", "", heads, rows, across=True, head_units=True), hours, more=True)


def _shares(a: YearAnswer) -> Chapter | None:
    r = a.year
    heads = (Column("share of full output"), *(Column(name, unit="h", decimals=0) for name in ("heating", "cooling")))
    tenths = zip(map(float, r.heating_tenths_h), map(float, r.cooling_tenths_h), strict=True)
    rows = tuple((f"to {10 * k} %", *pair) for k, pair in enumerate(tenths, 1))
    most = 10 * int(np.argmax(r.heating_tenths_h + r.cooling_tenths_h))
    says = f"The most hours ask for {most} to {most + 10} % of full output."
    figure = Figure("year-load-hours", "Hours by load", says, partial(load_figure, a))
    table = Table("load hours", "", heads, rows, across=True, head_units=True)
    return chapter("Hours by load, as a share of what the unit can give then", table, figure, more=True)


def _off_normal(a: YearAnswer) -> Iterator[Said]:
    t = partial(Q, kind=T, decimals=0)
    cut = "power cut at the start of {}, then the coldest twelve hours of the year, {} on average:"
    yield worded(cut, hour_words(a.cut.starts), t(a.cut.night_mean_C))
    yield worded("nobody home: {}", _falls(a.cut.empty))
    yield worded("people home: {}", _falls(a.cut.people))
    yield f"water lines, nobody home, fans stopped, freeze {pipe_words(a.cut.empty)}"
    if a.pick_up is not None:
        x, alone = a.pick_up, a.pick_up.ways[0]
        cold = worded("everything inside at {} and {} outdoors", t(x.start_C), t(x.outdoor_C))
        felt, goal = alone.felt_after_air_C, t(x.goal_C)
        words = "{}: {:.1f} h of full output until the air reads {}; the room then feels like {}"
        never = worded("{}: the unit does not reach {} alone", cold, goal)
        yield never if felt is None else worded(words, cold, alone.air_h, goal, t(felt))
    if a.empty is not None:
        e = a.empty
        words = "standing empty a year: {:,.0f} kWh for heating at {}, {:,.0f} kWh at {}: {:,.0f} kWh saved"
        yield worded(words, e.low_kWh, t(e.low_set_C), e.usual_kWh, t(e.usual_set_C), e.saving_kWh)


def _cut_brief(a: YearAnswer) -> Said:
    """How fast it cools with nobody home, and what freezes first."""
    first = min(a.cut.empty.pipes, key=lambda p: math.inf if p.hours is None else p.hours)
    return worded("power cut in the coldest night, nobody home: {}; water lines: {}", _falls(a.cut.empty), _pipe(first))


def pipe_words(c: Cooldown) -> str:
    """When standing water freezes by where its line lies, and what the remedy gains."""
    return "; ".join(map(_pipe, c.pipes)) if any(p.hours is not None for p in c.pipes) else "nowhere within ten days"


def _pipe(p: PipeFreeze) -> str:
    if p.hours is None:
        return f"{p.where} not within ten days"
    gain = "" if p.minutes_gained is None else f" ({p.remedy}: {p.minutes_gained:+,.0f} min)"
    when = f"after {p.hours:.1f} h" if p.hours >= 0.05 else "at once"
    return f"{p.where} {when}{gain}"


def _falls(c: Cooldown) -> Said:
    falls = (
        worded("{} {}", Q(limit, T, 0), "not within ten days" if hours is None else f"after {hours:.1f} h")
        for limit, hours in c.hours_to
    )
    return worded("from {} to {}", Q(c.start_C, T, 0), joined(", ", falls))


def _where_it_goes(a: YearAnswer) -> Chapter | None:
    h, need = a.hand, a.needs
    heat = need.annual("heat")
    causes = sorted(need.balance_kWh.items(), key=lambda x: -x[1])
    rows = [*((name, kWh) for name, kWh in causes if abs(kWh) >= 0.5), ("sum", sum(need.balance_kWh.values()))]
    words = (
        "by hand {:,.0f} kWh of heat ({} below a balance point of {}), hour by hour {:,.0f} kWh; by hand, walls are as warm as "
        "the air and sun is even"
    )
    by_hand = worded(words, h.heating_kWh, Q(h.conductance_W_K, UA), Q(h.balance_C, T), heat)
    return chapter(
        "Where the year's heat goes (losses positive, each part with the sun on it), if the load is always carried",
        Table("balance", "", (Column("cause"), Column("heat a year", unit="kWh", decimals=0)), tuple(rows)),
        f"the sum is {heat:,.0f} kWh of heat given less {need.annual('cool'):,.0f} kWh taken away by cooling",
        by_hand,
        more=True,
    )


def year_values(a: YearAnswer) -> dict[str, Any]:
    """One object, SI, keys with their unit."""
    r, bare = a.year, a.without_backup
    return {
        "house": fields_of(a.house, "name package note"),
        "place": a.place.name,
        "unit": None if a.unit is None else a.unit.name,
        **fields_of(a, "chosen backup_W"),
        "plan": None if a.plan is None else a.plan.record(),
        "weather": r.weather_source,
        "front_faces": [w.front_faces for w in r.ways],
        **fields_of(r, "energy_kWh electricity_kWh electricity_year_kWh"),
        **fields_of(a, "heat_cold_air_kWh=conditioning_kWh ventilation_fan_kWh=fan_kWh dehumidifier_kWh"),
        "electricity_span_kWh": r.span("electricity"),
        **fields_of(r, "hours degree_hours_K_h"),
        "peaks": _peaks_record(r),
        "cord": a.cord,
        **fields_of(r, "relative_humidity_mean=relative_mean relative_humidity_max=relative_max"),
        **fields_of(r, "heating_hours_by_tenth=heating_tenths_h cooling_hours_by_tenth=cooling_tenths_h"),
        **fields_of(r, "balance_kWh balance_closure=closure"),
        "without_backup": fields_of(bare, "hours degree_hours_K_h") | {"coldest_C": bare.peak("coldest_C")[0]},
        "needs": {"heat_kWh": a.needs.energy_kWh["heat"], "cool_kWh": a.needs.energy_kWh["cool"]},
        "hand_check": a.hand,
        "power_cut": {
            **fields_of(a.cut, "hour_from=starts night_mean_C"),
            "nobody_home": _cut_record(a.cut.empty),
            "people_home": _cut_record(a.cut.people),
        },
        **fields_of(a, "pick_up unoccupied=empty warnings notes"),
        "cautions": CAUTIONS,
    }


def _peaks_record(r: YearResult) -> dict[str, Any]:
    names = ("heat_peak_W", "cool_peak_W", "unit_peak_W", "house_peak_W", "coldest_C", "warmest_C")
    return {n: {"value": value, "hour_ending": when + 1} for n in names for value, when in (r.peak(n),)}


def _cut_record(c: Cooldown) -> dict[str, Any]:
    limits = [{"limit_C": limit, "hours": hours} for limit, hours in c.hours_to]
    return fields_of(c, "start_C coldest_C") | {"hours_to": limits, "pipes": c.pipes}


def hourly_csv(a: YearAnswer) -> str:
    """Every hour of the middle way, SI; the first column is the hour of the year at whose end the row stands."""
    assert a.year.series is not None
    table = np.column_stack([a.year.series[name] for name in SERIES_UNITS])
    head = ",".join(("hour_ending", *SERIES_UNITS))
    lines = (",".join([str(k + 1), *(f"{x + 0.0:.5g}" for x in row)]) for k, row in enumerate(table.tolist()))
    return "\n".join([head, *lines]) + "\n"
