"""Design loads as text: the methods side by side, air, humidity, the month and the way, screening and pick-up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from heatcalc import units
from heatcalc.answers.methods.design_loads import FloorCase, LoadsResult
from heatcalc.answers.methods.hand_method import HandLoad
from heatcalc.answers.methods.pick_up import CAUTION
from heatcalc.answers.methods.side_by_side import ComponentRow
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.render.as_text import chapter_lines
from heatcalc.report.about_size import about_size, conditions_chapter, cooling_chapter, heating_chapter
from heatcalc.show.loads_air_text import air_rows, drying_lines, fan_rows, living_rows, winter_notes, winter_rows
from heatcalc.show.loads_rules_text import Row, code_table, peak_rows, pick_up_rows, pick_up_title, screening_lines, watts
from heatcalc.show.words import columns, wrapped
from heatcalc.wording import MONTHS, Said, said, worded

METHODS = ("network", "load-factor", "time-series", "all")


def loads_text(r: LoadsResult, system: str, method: str = "all") -> str:
    """Everything for "all"; else one method's loads by component."""
    parts = [
        [said(line, system) for line in (about_size(r.size).title, *about_size(r.size).under)],
        chapter_lines(conditions_chapter(r.size), system),
    ]
    if method == "all":
        parts += [_methods(r, system), *_rest(r, system)]
    else:
        parts.append(_one_method(r, system, method))
    parts.append(_notes("Warnings", r.warnings, system))
    if method == "all":
        said_ones = (worded("{}: {} ({}; {})", a.name, a.value, a.why, a.source) for a in r.size.assumptions)
        parts.append(_notes("Assumptions of the network", tuple(said_ones), system))
    parts.append(["Cautions", *(line for note in CAUTIONS for line in wrapped(f"- {note}"))])
    return "\n\n".join("\n".join(part) for part in parts if part)


def _notes(title: str, notes: tuple[Said, ...], system: str) -> list[str]:
    return [title, *(line for note in notes for line in wrapped("- " + said(note, system)))] if notes else []


def _rest(r: LoadsResult, system: str) -> Iterator[list[str]]:
    yield ["U x A x difference, part by part", *columns(sheet_rows(r, system), right=(2, 3, 4, 5))]
    yield ["What the heating load hangs on", *columns(heating_case_rows(r, system), right=(1, 2))]
    yield ["The year by hand", *columns(year_rows(r, system), right=(1,)), *wrapped(r.year.note)]
    yield [
        "Outdoor air by every route",
        *columns(air_rows(r, system), right=(1, 2, 3, 4)),
        *wrapped(f"used: {r.air_winter.used.name}: {r.air_winter.why}"),
        *wrapped("taken: " + "; ".join(r.air_winter.assumptions)),
        *columns(fan_rows(r, system), right=(1,)),
    ]
    yield [
        "People and appliances, mean of the day and the cooling peak's hour",
        *columns(living_rows(r, system), right=(1, 2, 3)),
    ]
    yield [
        "Indoor humidity in winter",
        *columns(winter_rows(r, system), right=(1, 2)),
        *(w for n in winter_notes(r) for w in wrapped(f"- {n}")),
    ]
    yield ["Does the unit dry enough in summer?", *(w for line in drying_lines(r, system) for w in wrapped(line))]
    yield [
        "Peak sensible cooling by month and by the way the front faces",
        *columns(peak_rows(r, system), right=tuple(range(1, 10))),
    ]
    yield [
        "Published envelope rules, a screening",
        *(w for line in screening_lines(r, system) for w in wrapped(line)),
        *columns(code_table(r, system), right=(1, 2)),
    ]
    yield [pick_up_title(r, system), *columns(pick_up_rows(r, system), right=(1, 2, 3, 4)), *wrapped(CAUTION)]


def method_rows(rows: Sequence[ComponentRow], totals: tuple[float, float, float], system: str) -> list[Row]:
    """Components by three methods with head and total; a dash where a method has no such component."""
    body = [(row.component, *(watts(w, system) for w in (row.network_W, row.load_factor_W, row.time_series_W))) for row in rows]
    return [("", "network", "load factor", "time series"), *body, ("total", *(watts(w, system) for w in totals))]


def heating_method_rows(r: LoadsResult, system: str) -> list[Row]:
    """Heating load by component and method."""
    c = r.comparison
    return method_rows(c.heating, (r.size.heating.load_W, c.load_factor.heating_total_W, c.time_series.heating_total_W), system)


def cooling_method_rows(r: LoadsResult, system: str) -> list[Row]:
    """Sensible cooling by component and method, and latent below."""
    c, day = r.comparison, r.designer.cooling
    rows = method_rows(c.cooling, (day.peak_sensible_W, c.load_factor.cooling_total_W, c.time_series.cooling_total_W), system)
    latent = tuple(watts(w, system) for w in (day.latent_at_peak_W, c.load_factor.latent_W, c.time_series.latent_W))
    when = (
        f"{MONTHS[day.month - 1]}, {day.peak_hour}:00",
        f"{MONTHS[c.load_factor.month - 1]} peak",
        f"{MONTHS[c.time_series.month - 1]}, {c.time_series.peak_hour}:00",
    )
    return [*rows, ("latent", *latent), ("when (hour ending)", *when)]


def step_rows(r: LoadsResult, system: str) -> list[Row]:
    """The time series brought step by step to the network's inputs."""
    return [
        ("network", watts(r.designer.cooling.peak_sensible_W, system)),
        *((f"time series {step.name}", watts(step.peak_W, system)) for step in r.comparison.steps),
    ]


def _methods(r: LoadsResult, system: str) -> list[str]:
    c, right = r.comparison, (1, 2, 3)
    return [
        f"Heating load at {units.text(r.size.heating.outdoor_C, 'temperature', system)} by three methods",
        *columns(heating_method_rows(r, system), right=right),
        "",
        f"Sensible cooling by three methods, front to the {r.designer.cooling.front_faces}",
        *columns(cooling_method_rows(r, system), right=right),
        "",
        "Where they part and why",
        *(w for s in c.sentences for w in wrapped("- " + said(s, system))),
        *columns(step_rows(r, system), right=(1,)),
        "",
        *_range(c.load_factor, system),
        *_range(c.time_series, system),
    ]


def _range(hand: HandLoad, system: str) -> list[str]:
    notes = [*(worded("limit: {}", x) for x in hand.reasons), *(worded("taken: {}", x) for x in hand.choices)]
    return [f"{hand.method}: {hand.source}", *(w for note in notes for w in wrapped("- " + said(note, system)))]


def _one_method(r: LoadsResult, system: str, method: str) -> list[str]:
    if method == "network":
        return [*chapter_lines(heating_chapter(r.size), system), "", *chapter_lines(cooling_chapter(r.size), system)]
    hand = r.comparison.load_factor if method == "load-factor" else r.comparison.time_series
    used = [name for name in (*hand.heating_W, *hand.cooling_W)]
    rows = [
        (name, watts(hand.heating_W.get(name, 0.0), system), watts(hand.cooling_W.get(name, 0.0), system))
        for name in dict.fromkeys(used)
    ]
    total = ("total", watts(hand.heating_total_W, system), watts(hand.cooling_total_W, system))
    return [
        *columns([("", "heating", "sensible cooling"), *rows, total, ("latent", "", watts(hand.latent_W, system))], right=(1, 2)),
        "",
        *_range(hand, system),
    ]


def sheet_rows(r: LoadsResult, system: str) -> list[Row]:
    """The steady sum on paper."""
    t = units.text
    head = ("part", "assembly", "U", "area", "difference", "loss")
    return [
        head,
        *(
            (
                x.name,
                said(x.assembly, system),
                t(x.u_value, "U-value", system),
                t(x.area_m2, "area", system),
                t(x.difference_K, "temperature difference", system),
                watts(x.loss_W, system),
            )
            for x in r.sheet
        ),
    ]


def heating_case_rows(r: LoadsResult, system: str) -> list[Row]:
    """Percentile, what is under the floor, the loft's warm layer."""

    def own(case: FloorCase) -> str:
        return " (as described)" if case.own else ""

    cold = (("99 % design cold", r.size.heating), ("99.6 % design cold", r.size.heating_996))
    cases = [(name, watts(x.load_W, system), units.text(x.outdoor_C, "temperature", system)) for name, x in cold]
    cases += [(f"floor: {f.name}{own(f)}", watts(f.heating_W, system), watts(f.part_W, system)) for f in r.floors]
    cases += [(f"loft: {said(f.name, system)}{own(f)}", watts(f.heating_W, system), watts(f.part_W, system)) for f in r.loft]
    bridges = watts(r.size.heating.components_W.get("thermal bridges", 0.0), system)
    return [("case", "heating load", "at, or by that part"), *cases, ("steel and other thermal bridges", "", bridges)]


def year_rows(r: LoadsResult, system: str) -> list[Row]:
    """Degree-days and bins."""
    y = r.year
    bins = "none in this record" if y.bin_kWh is None else f"{y.bin_kWh:,.0f} kWh"
    return [
        ("conductance with outdoor air", units.text(y.conductance_W_K, "heat loss coefficient", system)),
        ("mean gains of people and appliances", watts(y.gains_W, system)),
        ("mean sun through glass", watts(y.sun_W, system)),
        ("balance point, mean of the months", units.text(y.balance_C, "temperature", system)),
        ("heat of the year by degree-days", f"{y.degree_day_kWh:,.0f} kWh"),
        ("heat of the year by bins", bins),
    ]
