"""The sizing as text for a terminal, and its tables for any other page."""

from __future__ import annotations

from heatcalc import units
from heatcalc.judge.choice import MILD_C, Candidate
from heatcalc.judge.sizing import CAUTIONS, SizeResult
from heatcalc.show.plan_text import decision, plan_lines, plans_text
from heatcalc.show.words import MONTHS, columns, wrapped
from heatcalc.wording import Said, said


def size_text(r: SizeResult, system: str) -> str:
    """The whole answer, readable without a browser."""
    parts = (
        heading(r, system),
        _decision(r, system),
        _notes("Warnings", r.warnings, system),
        _conditions(r, system),
        _heating(r, system),
        _cooling(r, system),
        _units(r, system),
        _assumptions(r, system),
        _notes("Cautions", CAUTIONS, system),
    )
    return "\n\n".join("\n".join(part) for part in parts if part)


def heading(r: SizeResult, system: str) -> list[str]:
    """Which house, where."""
    house, place = r.house, r.place
    package = f", package {house.package}" if house.package else ""
    note = f" ({house.note})" if house.note else ""
    height = units.text(place.elevation_m, "length", system, 0)
    where = f"{place.zone_edition} zone {place.zone}, {height}, climate grade {place.grade}"
    return [f"{house.name}{note}{package}, in {place.name}", where]


def condition_rows(r: SizeResult, system: str) -> list[tuple[str, str, str]]:
    """Outdoor design conditions: name, value, remark."""
    c, p = r.designer.conditions, r.place

    def t(x: float, kind: str = "temperature") -> str:
        return units.text(x, kind, system)

    sigma = [f"+/- {t(k, 'temperature difference')} one sigma" for k in (p.sigma_heating_K, p.sigma_cooling_K)]
    return [
        ("heating 99 %", t(c.heating_99_C), f"{sigma[0]}; 99.6 %: {t(c.heating_996_C)}"),
        (
            "cooling 1 %",
            t(c.cooling_1_C),
            f"{sigma[1]}; wet bulb {t(c.cooling_1_mcwb_C)}, daily range {t(c.daily_range_K, 'temperature difference')}",
        ),
    ]


def _conditions(r: SizeResult, system: str) -> list[str]:
    return [
        "Design conditions",
        *columns(condition_rows(r, system), right=(1,)),
        *wrapped(f"source: {said(r.designer.conditions.source, system)}"),
    ]


def heating_line(r: SizeResult, system: str) -> str:
    """The heating load in one line."""
    h, per = r.heating, units.text(r.load_per_floor_W_m2, "heat flow density", system, 0)
    at = [units.text(x.outdoor_C, "temperature", system) for x in (h, r.heating_996)]
    watts = [units.text(x.load_W, "power", system) for x in (h, r.heating_996)]
    return f"Heating load at {at[0]}: {watts[0]} ({per} of floor); at {at[1]} (99.6 %): {watts[1]}"


def heating_rows(r: SizeResult, system: str) -> list[tuple[str, str, str]]:
    """Heat loss by part, largest first: part, loss, share."""
    whole = r.heating.load_W
    return [
        (name, units.text(w, "power", system), f"{w / whole:.0%}" if whole else "") for name, w in by_size(r.heating.components_W)
    ]


LOWER = (
    "; the load is below it because inside surfaces trade two thirds of their heat with each other, which are colder than what "
    "the room feels like"
)


def hand_check(r: SizeResult, system: str) -> str:
    """The sum a person would do on paper."""
    h = r.heating
    why = LOWER if h.load_W < h.hand_check_W else ""
    return (
        f"hand check, U x A x difference with the same air: {units.text(h.hand_check_W, 'power', system)}; "
        f"U x A = {units.text(h.ua_W_K, 'heat loss coefficient', system)}{why}"
    )


def _heating(r: SizeResult, system: str) -> list[str]:
    return [heating_line(r, system), *columns(heating_rows(r, system), right=(1, 2)), f"  {hand_check(r, system)}"]


def by_size(components_W: dict[str, float]) -> list[tuple[str, float]]:
    """Components, largest first."""
    return sorted(components_W.items(), key=lambda item: -item[1])


def cooling_line(r: SizeResult, system: str) -> str:
    """The cooling load in one line."""
    c = r.designer.cooling
    way = f", front to the {c.front_faces}" + (" (the worst of eight)" if r.house.site.front_faces == "unknown" else "")
    watts = [units.text(w, "power", system) for w in (c.peak_sensible_W, c.latent_at_peak_W)]
    return (
        f"Cooling load in {MONTHS[c.month - 1]}, hour ending {c.peak_hour}:00 standard time{way}: {watts[0]} sensible and "
        f"{watts[1]} latent at {units.text(c.outdoor_at_peak_C, 'temperature', system)} outdoors"
    )


def damp_line(r: SizeResult, system: str) -> str:
    """The 1 % dew-point condition beside it, which of the two totals is larger, and the water to take out."""
    damp, water = r.designer.damp, units.text(r.task.dehumidification_kg_s, "water a day", system)
    if damp is None:
        return f"No 1 % dew point is on record here; water to take out: {water}"
    watts = [units.text(w, "power", system) for w in (damp.peak_sensible_W, damp.latent_at_peak_W)]
    larger = r.designer.cooling_conditions[0].condition
    return (
        f"In the 1 % dew-point condition ({MONTHS[damp.month - 1]}): {watts[0]} sensible and {watts[1]} latent at "
        f"{units.text(damp.outdoor_at_peak_C, 'temperature', system)} outdoors; the larger total is that of the {larger}; "
        f"water to take out: {water}"
    )


def cooling_rows(r: SizeResult, system: str) -> list[tuple[str, str]]:
    """Sensible load of the peak hour by cause, largest first."""
    c = r.designer.cooling
    peak = {name: float(series[c.peak_hour - 1]) for name, series in c.components_W.items()}
    return [(name, units.text(w, "power", system)) for name, w in by_size(peak) if abs(w) >= 0.5]


def _cooling(r: SizeResult, system: str) -> list[str]:
    lines = [*wrapped(cooling_line(r, system), indent=0), *wrapped(damp_line(r, system), indent=0)]
    return [*lines, *columns(cooling_rows(r, system), right=(1,))]


def unit_rows(r: SizeResult, system: str) -> list[tuple[str, ...]]:
    """Table of candidates: head row first."""

    def t(x: float | None) -> str:
        return "none" if x is None else units.text(x, "temperature", system)

    def p(w: float) -> str:
        return units.text(w, "power", system)

    head = (
        "unit",
        "verdict",
        "sure",
        f"most heat at {t(r.task.design_C)}",
        f"least at {t(MILD_C)}",
        "balance point",
        "second heater",
        "most A heating",
        "most A cooling",
        "cord",
    )
    return [
        head,
        *(
            (
                c.name,
                c.verdict,
                f"{c.chance:.0%}",
                p(c.max_heat_at_design_W),
                p(c.min_heat_W),
                t(c.balance_point_C),
                f"{c.backup_W / 1000:.1f} kW" if c.backup_W else "none",
                f"{c.cold_A:.1f} A",
                f"{c.hot_A:.1f} A",
                cord_word(c),
            )
            for c in r.candidates
        ),
    ]


def cord_word(c: Candidate) -> str:
    """Whether the unit runs from the house's cord."""
    if not c.plugs_in:
        return f"needs {c.unit.volts:.0f} V"
    return "runs" if c.runs_from_cord else f"needs {c.smallest_supply or 'more than listed'}"


def _units(r: SizeResult, system: str) -> list[str]:
    title = f"Units, at {units.text(r.task.elevation_m, 'length', system, 0)} elevation, on a {r.house.supply.cord} supply"
    return [
        title,
        *columns(unit_rows(r, system), right=(2, 3, 4, 5, 6, 7, 8)),
        "  generic classes are invented stand-ins: replace them with your unit's own table",
    ]


def recommendation(r: SizeResult, system: str) -> list[str]:
    """The decision, the reasons and the plans as sentences."""
    return [decision(r), *(f"{said(reason, system)}." for reason in r.recommended.reasons), *plan_lines(r, system)]


def _decision(r: SizeResult, system: str) -> list[str]:
    reasons = [w for reason in r.recommended.reasons for w in wrapped("- " + said(reason, system))]
    return [*wrapped(decision(r), indent=0), "", "Plans", *plans_text(r, system), "", "Why", *reasons]


def _notes(title: str, notes: tuple[Said, ...], system: str) -> list[str]:
    return [title, *(w for note in notes for w in wrapped("- " + said(note, system)))] if notes else []


def _assumptions(r: SizeResult, system: str) -> list[str]:
    rows = [f"- {a.name}: {said(a.value, system)} ({said(a.why, system)}; {said(a.source, system)})" for a in r.assumptions]
    return ["Assumptions", *(w for row in rows for w in wrapped(row))]
