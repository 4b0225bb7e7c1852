"""What `heatcalc loads` says: methods side by side, air, humidity, the month and the way, screening, pick-up; or one method."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from heatcalc.answers.methods.design_loads import CAUTION, FloorCase, LoadsResult
from heatcalc.answers.methods.envelope_rules import Held
from heatcalc.answers.methods.hand_method import HandLoad
from heatcalc.answers.methods.side_by_side import ComponentRow
from heatcalc.inputs.house.living import living_day
from heatcalc.model.comfort import DryingCase
from heatcalc.report.about_design import (
    assumptions_chapter,
    cautions_chapter,
    conditions_chapter,
    cooling_chapter,
    heating_chapter,
    line_chapter,
)
from heatcalc.report.about_size import about_size
from heatcalc.report.loads_values import BY_METHOD, loads_values, methods_figure, peaks_figure
from heatcalc.report.report import Caution, Chapter, Figure, Note, Report, Sentence, bullets, chapter, chapters
from heatcalc.report.table import Cell, Column, Table, facts, table_of
from heatcalc.units import convert
from heatcalc.wording import MONTHS, Q, Said, worded

METHODS = ("network", "load-factor", "time-series", "all")
T, POWER, U, AREA, FLOW = "temperature", "power", "U-value", "area", "air flow"
ROOM_C, TABLE_M2 = convert(70.0, "degF", "degC"), convert(500.0, "foot**2", "meter**2")  # of the rules screened against


def about_loads(r: LoadsResult, method: str = "all") -> Report:
    """Everything for "all"; else one method's loads by component."""
    whole = about_size(r.size)
    body = _everything(r) if method == "all" else _one_method(r, method)
    return Report(
        question="loads",
        title=whole.title,
        under=whole.under,
        decision=(Sentence(heating_words(r)), Sentence(cooling_words(r))) if method == "all" else (),
        chapters=chapters(*body, chapter("Warnings", *bullets(r.warnings, Caution)), *_behind(r, method)),
        values=loads_values(r),
        stamp=whole.stamp,
    )


def _behind(r: LoadsResult, method: str) -> Iterator[Chapter | None]:
    yield conditions_chapter(r.size)
    if method == "all":
        yield assumptions_chapter(r.size)
    yield cautions_chapter()


def _everything(r: LoadsResult) -> Iterator[Chapter | None]:
    c = r.comparison
    both = Figure("methods", "Loads by component and method", _both(r), partial(methods_figure, r))
    most = Figure("months-and-ways", "Peak sensible cooling by month and way", _peaks_say(r), partial(peaks_figure, r))
    yield chapter(worded("Heating load at {}", Q(r.size.heating.outdoor_C, T)), _heating(r))
    yield chapter(f"Sensible cooling, front to the {r.designer.cooling.front_faces}", _cooling(r), both)
    yield chapter("Where they part and why", *bullets(c.sentences), _steps(r), more=True)
    yield chapter("Ranges of the hand methods", *_range(c.load_factor), *_range(c.time_series), more=True)
    yield chapter("U x A x difference, part by part", _sheet(r), more=True)
    yield chapter("What the heating load hangs on", _heating_cases(r), more=True)
    yield chapter("The year by hand", _year(r), Note(r.year.note), more=True)
    yield chapter("Outdoor air by every route", *_air(r), more=True)
    yield chapter("People and appliances", _living(r), more=True)
    yield chapter("Indoor humidity in winter", _winter(r), *bullets(r.winter[0][2].notes, Caution), more=True)
    dries = [_dries(case) for case in r.drying] or ["no unit is recommended here"]
    yield chapter("Does the unit dry enough in summer?", *dries, more=True)
    yield chapter("Peak sensible cooling by month and by the way the front faces", _peaks(r), most, more=True)
    yield chapter("Published envelope rules, a screening", *_screening(r), _code(r), more=True)
    yield chapter(_pick_up_title(r), _pick_up(r), Caution(CAUTION), more=True)


def _one_method(r: LoadsResult, method: str) -> Iterator[Chapter | None]:
    if method == "network":
        yield from (
            replace(one, more=False) for one in (line_chapter(r.size), heating_chapter(r.size), cooling_chapter(r.size)) if one
        )
        return
    hand = r.comparison.load_factor if method == "load-factor" else r.comparison.time_series
    heads = (Column("component"), Column("heating", POWER, missing=""), Column("sensible cooling", POWER))
    rows = [
        *((n, hand.heating_W.get(n, 0.0), hand.cooling_W.get(n, 0.0)) for n in {**hand.heating_W, **hand.cooling_W}),
        ("total", hand.heating_total_W, hand.cooling_total_W),
        ("latent", None, hand.latent_W),
    ]
    yield chapter("Loads by component", Table("loads", "", heads, tuple(rows)), *_range(hand))


def _by_method(words: str, network_W: float, load_factor_W: float, time_series_W: float) -> Said:
    return worded(
        f"{words}; by hand {{}} (load factor), {{}} (time series).",
        *(Q(watts, POWER) for watts in (network_W, load_factor_W, time_series_W)),
    )


def heating_words(r: LoadsResult) -> Said:
    """The heating load by three methods."""
    c = r.comparison
    return _by_method(
        "Heating: {} by the model (network)", r.size.heating.load_W, c.load_factor.heating_total_W, c.time_series.heating_total_W
    )


def cooling_words(r: LoadsResult) -> Said:
    """The sensible cooling load by three methods."""
    c, day = r.comparison, r.designer.cooling
    return _by_method(
        "Sensible cooling: {} by the model", day.peak_sensible_W, c.load_factor.cooling_total_W, c.time_series.cooling_total_W
    )


def _both(r: LoadsResult) -> Said:
    return worded("{} {}", heating_words(r), cooling_words(r))


def _methods(key: str, rows: Sequence[ComponentRow], totals: tuple[Cell, ...], *below: tuple[Cell, ...]) -> Table:
    """Components by three methods, their sums, and more lines below."""
    columns = ((Column(name, POWER), field) for name, field in BY_METHOD.items())
    made = table_of(key, rows, (Column("component"), "component"), *columns)
    return replace(made, rows=(*made.rows, ("total", *totals), *below))


def _heating(r: LoadsResult) -> Table:
    c = r.comparison
    totals = (r.size.heating.load_W, c.load_factor.heating_total_W, c.time_series.heating_total_W)
    return _methods("heating methods", c.heating, totals)


def _cooling(r: LoadsResult) -> Table:
    c, day = r.comparison, r.designer.cooling
    factor, series = c.load_factor, c.time_series
    totals = (day.peak_sensible_W, factor.cooling_total_W, series.cooling_total_W)
    when = (
        f"{MONTHS[day.month - 1]}, {day.peak_hour}:00",
        f"{MONTHS[factor.month - 1]} peak",
        f"{MONTHS[series.month - 1]}, {series.peak_hour}:00",
    )
    latent = ("latent", day.latent_at_peak_W, factor.latent_W, series.latent_W)
    return _methods("cooling methods", c.cooling, totals, latent, ("when (hour ending)", *when))


def _steps(r: LoadsResult) -> Table:
    """The time series brought step by step to the network's inputs."""
    steps = ((f"time series {step.name}", step.peak_W) for step in r.comparison.steps)
    rows = (("network", r.designer.cooling.peak_sensible_W), *steps)
    return Table("steps", "", (Column("peak"), Column("sensible cooling", POWER)), rows)


def _range(hand: HandLoad) -> Iterator[Sentence]:
    yield Sentence(f"{hand.method}: {hand.source}")
    yield from bullets([*(worded("limit: {}", x) for x in hand.reasons), *(worded("taken: {}", x) for x in hand.choices)])


def _sheet(r: LoadsResult) -> Table:
    return table_of(
        "sheet",
        r.sheet,
        (Column("part"), "name"),
        (Column("assembly"), "assembly"),
        (Column("U", U), "u_value"),
        (Column("area", AREA), "area_m2"),
        (Column("difference", "temperature difference"), "difference_K"),
        (Column("loss", POWER), "loss_W"),
    )


def _heating_cases(r: LoadsResult) -> Table:
    """Percentile, what is under the floor, the loft's warm layer."""

    def words(what: str, case: FloorCase) -> Said:
        return worded("{}: {}{}", what, case.name, " (as described)" if case.own else "")

    heads = (
        Column("case"),
        Column("heating load", POWER, missing=""),
        Column("outdoors", T, missing=""),
        Column("by that part", POWER, missing=""),
    )
    cold = (("99 % design cold", r.size.heating), ("99.6 % design cold", r.size.heating_996))
    changed = (("floor", f) for f in r.floors), (("loft", f) for f in r.loft)
    rows: tuple[tuple[Cell, ...], ...] = (
        *((name, x.load_W, x.outdoor_C, None) for name, x in cold),
        *((words(what, f), f.heating_W, None, f.part_W) for some in changed for what, f in some),
        ("steel and other thermal bridges", None, None, r.size.heating.components_W.get("thermal bridges", 0.0)),
    )
    return Table("heating cases", "", heads, rows)


def _year(r: LoadsResult) -> Table:
    """Degree-days and bins."""
    y = r.year
    return facts(
        "year",
        (Column("conductance with outdoor air", "heat loss coefficient"), y.conductance_W_K),
        (Column("mean gains of people and appliances", POWER), y.gains_W),
        (Column("mean sun through glass", POWER), y.sun_W),
        (Column("balance point, mean of the months", T), y.balance_C),
        (Column("heat of the year by degree-days", unit="kWh", decimals=0), y.degree_day_kWh),
        (Column("heat of the year by bins", unit="kWh", decimals=0, missing="none in this record"), y.bin_kWh),
    )


def _air(r: LoadsResult) -> tuple[Table, Note, Note, Table]:
    """Every infiltration route at the design cold and in the heat, the used one first; ventilation rules and exhausts."""
    routes = table_of(
        "air",
        zip(r.air_winter.routes, r.air_summer.routes, strict=True),
        (Column("route"), lambda ways: ways[0].name),
        (Column("design cold", FLOW), lambda ways: ways[0].flow_m3_s),
        (Column("an hour", decimals=2), lambda ways: ways[0].air_changes_per_h),
        (Column("1 % heat", FLOW), lambda ways: ways[1].flow_m3_s),
        (Column("least in the cold", FLOW, decimals=1), lambda ways: ways[0].low_m3_s),
        (Column("most in the cold", FLOW, decimals=1), lambda ways: ways[0].high_m3_s),
        (Column("remark"), lambda ways: ways[0].note),
    )
    used = Note(f"used: {r.air_winter.used.name}: {r.air_winter.why}")
    return routes, used, Note("taken: " + "; ".join(r.air_winter.assumptions)), _fans(r)


def _fans(r: LoadsResult) -> Table:
    v, a = r.air_winter.ventilation, r.air_winter
    rows: tuple[tuple[Cell, ...], ...] = (
        ("ASHRAE 62.2 by formula", v.formula_m3_s, ""),
        ("ASHRAE 62.2-2016 by table", v.table_m3_s, worded("the table stops falling under {}", Q(TABLE_M2, AREA))),
        ("24 CFR 3280.103(b)", v.manufactured_home_m3_s, "manufactured homes"),
        ("fan taken", v.fan_m3_s, v.note),
        ("fan and leak in quadrature", a.total_m3_s, "used: ch. 16 eq. 51"),
        ("fan and half, the residential rule", a.total_residential_rule_m3_s, "ch. 17 eq. 14, used in the load factor method"),
    )
    exhausts = (
        (
            e.name,
            e.flow_m3_s,
            f"alone it pulls {e.pressure_Pa:.0f} Pa in this shell" + (": it needs make-up air" if e.needs_make_up else ""),
        )
        for e in r.exhausts
    )
    return Table("fans", "", (Column("what"), Column("flow", FLOW), Column("remark")), (*rows, *exhausts))


def _living(r: LoadsResult) -> Table:
    """Sensible heat by source: mean of the day, the cooling peak's hour, water, and how the number is known."""
    hour = r.designer.cooling.peak_hour - 1
    return table_of(
        "living",
        living_day(r.size.house.living, winter=True).terms,
        (Column("source"), "name"),
        (Column("mean of the day", POWER), lambda term: float((term.convective_W + term.radiant_W).mean())),
        (Column("cooling peak's hour", POWER), lambda term: float((term.convective_W + term.radiant_W)[hour])),
        (Column("water", "mass flow"), lambda term: float(term.moisture_kg_s.mean())),
        (Column("how known"), "mark"),
    )


def _winter(r: LoadsResult) -> Table:
    """Humidity, dew point and dry surfaces in two outdoor conditions."""
    surfaces = [
        column
        for k, surface in enumerate(r.winter[0][2].surfaces)
        for column in (
            (Column(f"{surface.name}: temperature", T), lambda w, k=k: w[2].surfaces[k].temperature_C),
            (Column(f"{surface.name}: least air that keeps it dry", FLOW), lambda w, k=k: w[2].surfaces[k].dry_flow_m3_s),
        )
    ]
    return table_of(
        "winter humidity",
        r.winter,
        (Column("condition"), lambda w: w[0]),
        (Column("outdoors", T), lambda w: w[1]),
        (Column("relative humidity", "fraction"), lambda w: w[2].relative),
        (Column("at least", "fraction"), lambda w: w[2].low_relative),
        (Column("at most", "fraction"), lambda w: w[2].high_relative),
        (Column("dew point inside", T), lambda w: w[2].dew_point_C),
        (Column("outdoor air", FLOW), lambda w: w[2].flow_m3_s),
        *surfaces,
        (Column("CO2, everybody home, awake", unit="ppm", decimals=0), lambda w: w[2].co2_day_ppm),
        (Column("CO2, everybody home, asleep", unit="ppm", decimals=0), lambda w: w[2].co2_night_ppm),
        across=True,
    )


def _dries(case: DryingCase) -> Said:
    words = "{} ({}, mean {}): sensible load {} on average, water to remove {}, the unit takes {}, running {:.0%} of the time. {}"
    day = case.name, MONTHS[case.month - 1], Q(case.outdoor_mean_C, T), Q(case.mean_sensible_W, POWER)
    water = (Q(kg_s, "mass flow") for kg_s in (case.need.needed_kg_s, case.need.unit_kg_s))
    return worded(words, *day, *water, case.run_share, case.sentence)


def _peaks(r: LoadsResult) -> Table:
    """Months down, ways across; the last column says what makes the month's worst peak."""
    ways = dict.fromkeys(cell.front_faces for cell in r.peaks)
    rows: list[tuple[Cell, ...]] = []
    for month in dict.fromkeys(cell.month for cell in r.peaks):
        cells = [cell for cell in r.peaks if cell.month == month]
        worst = max(cells, key=lambda cell: cell.peak_W)
        made_by = worded("{} {}", worst.largest, Q(worst.largest_W, POWER))
        rows.append((MONTHS[month - 1], *(c.peak_W for c in cells), f"{worst.peak_hour}:00", made_by))
    heads = (Column("month"), *(Column(way, POWER) for way in ways), Column("hour"), Column("made by"))
    return Table("peaks", "", heads, tuple(rows), head_units=True)


def _peaks_say(r: LoadsResult) -> Said:
    most, least = (pick(r.peaks, key=lambda c: c.peak_W) for pick in (max, min))
    words = "Most in {} with the front to the {}: {}, {} the largest part; least in {}, front to the {}: {}."
    worst, mildest = ((MONTHS[c.month - 1], c.front_faces, Q(c.peak_W, POWER)) for c in (most, least))
    return worded(words, *worst, most.largest, *mildest)


def _screening(r: LoadsResult) -> Iterator[Said]:
    """Uo against the zones, the temperature held, and what it is not."""
    s = r.screening
    limits = [x for zone, most in s.limits for x in (zone, Q(most, U))]
    where = f"{r.size.place.state} is in zone {s.zone} ({s.zone_mark})" if s.zone else "this place is in none of its zones"
    verdict = "" if s.meets is None else f": {'not above' if s.meets else 'above'} its limit"
    zones = ", ".join(["zone {} {}"] * len(s.limits))
    words = "24 CFR 3280.506: Uo {} over {}, transmission only; limits " + zones + ". {}{}."
    yield worded(words, Q(s.u_overall, U), Q(s.area_m2, AREA), *limits, where, verdict)
    default = Q(s.default_infiltration_W, POWER)
    yield worded("Default infiltration at the design cold, 0.7 Btu/h per F and foot of perimeter (24 CFR 3280.509): {}.", default)
    yield from (_held(h) for h in s.held)
    yield s.note


def _held(h: Held) -> Said:
    words = "Lowest outdoor temperature with {} indoors, {}: {}; with the rule's Uo and default infiltration {}{}."
    own = " (the unit's own lowest)" if h.floor else ""
    return worded(words, Q(ROOM_C, T, 0), h.source, Q(h.network_C, T), Q(h.rule_C, T), own)


def _code(r: LoadsResult) -> Table:
    """Area-weighted U beside the prescriptive table."""
    return table_of(
        "code",
        r.screening.code,
        (Column(f"zone {r.screening.code_zone}"), "part"),
        (Column("this house", U), "u_value"),
        (Column("2021 IECC at most", U), "most"),
        (Column("remark"), lambda c: f"{'within' if c.within else 'above'}; table {c.mark}"),
    )


def _pick_up_title(r: LoadsResult) -> Said:
    """What is warmed, from where to where."""
    at = (Q(t, T) for t in (r.pick_up.start_C, r.pick_up.goal_C, r.pick_up.outdoor_C))
    return worded("Warming up after a cold soak: from {} to {} inside with {} outside", *at)


def _pick_up(r: LoadsResult) -> Table:
    """Hours by way of heating."""
    return table_of(
        "pick-up",
        r.pick_up.ways,
        (Column("with"), "source"),
        (Column("heat", POWER), "heat_W"),
        (Column("air warm", unit="h", decimals=1, missing="never"), "air_h"),
        (Column("room feels warm", unit="h", decimals=1, missing="never"), "felt_h"),
        (Column("felt when the air is warm", T, missing=""), "felt_after_air_C"),
    )
