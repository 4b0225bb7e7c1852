"""What `heatcalc unit` says: the shelf, one unit explained, the same unit in one place or in several."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.unit.unit_answer import RATED_HEATING_C, CurveTable, LevelLine, UnitAnswer, UnitAtPlace
from heatcalc.judge.choice import MILD_C
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, Unit
from heatcalc.report.about_units import GENERIC, room_words, unit_figure
from heatcalc.report.report import Bullet, Caution, Figure, Note, Report, Sentence, bullets, chapter, chapters
from heatcalc.report.table import Cell, Column, Rough, Table, table_of
from heatcalc.wording import Q, Said, joined, worded

CAUTION = "For information: the unit's manual and nameplate, local codes and licensed trades decide."
T, POWER, WATTS = "temperature", "power", "electric power"
NAMES = {"heating": "EU SCOP", "cooling": "EU SEER"}


def about_shelf(shelf: Mapping[str, Unit]) -> Report:
    """The generic classes, one line each."""
    table = table_of(
        "shelf",
        shelf.values(),
        (Column("unit"), "name"),
        (Column("class"), "unit_class"),
        (Column("volts", "voltage"), "volts"),
        (Column("MCA", "current"), "mca_A"),
        (Column("MOP", "current", decimals=0), "mop_A"),
        (Column(worded("rated at {}", Q(RATED_HEATING_C, T)), POWER), lambda u: _rated(u.heating, RATED_HEATING_C)),
        (Column("lowest heating", T, decimals=0), "lowest_heating_C"),
    )
    more = "heatcalc unit NAME or FILE shows one; copy a file of workbooks/units to write your own."
    title = f"Generic classes (invented; {GENERIC})"
    return Report("unit", title, chapters=chapters(chapter("", table, more)), values={"units": shelf})


def _rated(curves: Curves, outdoor_C: float) -> float:
    return float(np.interp(outdoor_C, curves.outdoor_C, curves.capacity_W["rated"]))


def about_unit(a: UnitAnswer) -> Report:
    """One unit explained, and where it stands if a place was named."""
    u, one = a.unit, len(a.places) == 1
    label = f"  [{GENERIC}]" if u.generic else ""
    return Report(
        question="unit",
        title=f"{u.name}: {u.unit_class}, {u.volts:.0f} V{label}",
        under=tuple(_plate(u)),
        decision=(Sentence(_gives(a)), *(Note(_in_place(p)) for p in a.places[:1] if one)),
        chapters=chapters(
            *((_place(p) for p in a.places) if one else (_side_by_side(a.places),)),
            _curves(a.heating),
            _curves(a.cooling),
            chapter("Other rooms", *(_rooms(curves) for curves in (u.heating, u.cooling))),
            _retention(a),
            _doubts(a),
            _seasons(a),
            chapter("Curves", Figure(f"unit-{_stem(u.name)}", u.name, _says(a), partial(unit_figure, a))),
            chapter(
                "Notes",
                *bullets([f"understood: {words}" for words in u.understood]),
                *bullets([worded("assumed: {}", words) for words in u.assumed]),
                *bullets([f"source: {s}" for s in a.sources], Note),
                Sentence(CAUTION),
            ),
        ),
        values={"units": [{**asdict(a), "label": GENERIC if u.generic else ""}], "caution": CAUTION},
    )


def units_record(answers: Sequence[UnitAnswer]) -> Report:
    """Several units as one record."""
    values = {"units": [x for a in answers for x in about_unit(a).values["units"]], "caution": CAUTION}  # type: ignore[call-overload]
    return Report("unit", "Units", values=values)


def _stem(name: str) -> str:
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in name)


def _gives(a: UnitAnswer) -> Said:
    """What it can do, in one sentence."""
    heat, cold = (
        [(float(C), W) for k, C in enumerate(table.outdoor_C) if (W := _most(table.lines[-1], k)) is not None]
        for table in (a.heating, a.cooling)
    )
    ends = min(heat, key=lambda x: abs(x[0] - RATED_HEATING_C)), min(heat), max(cold)
    said = [q for C, W in ends for q in (Q(W, POWER), Q(C, T, 0))]
    words = "At most {} of heat at {} outdoors, {} at {}, and {} of cooling at {}; it heats down to {}."
    return worded(words, *said, Q(a.unit.lowest_heating_C, T, 0))


def _in_place(p: UnitAtPlace) -> Said:
    """What it does at a place's design cold."""
    most = _most(p.heating, 0)
    gives = worded("at most {}", Q(most, POWER)) if most is not None else "nothing: it stands still then"
    return worded("In {}, at the design cold of {}: {}.", p.place, Q(p.heating_design_C, T, 0), gives)


def _plate(u: Unit) -> Iterator[Said]:
    sound = f", sound {u.sound_dBA:g} dB(A) as printed" if u.sound_dBA is not None else ""
    charge = Q(u.charge_kg, "mass", 2)
    yield worded(
        "{:g} kBtu/h class, circuit for at least {:g} A (MCA), breaker of at most {:g} A (MOP), {} {}",
        u.size_kBtuh,
        u.mca_A,
        u.mop_A,
        u.refrigerant,
        charge,
    )
    words = "lowest heating {}, cooling {}; pan heater {:.0f} W, standby {:.0f} W, crankcase {:.0f} W{}"
    lowest = Q(u.lowest_heating_C, T, 0), Q(u.lowest_cooling_C, T, 0)
    yield worded(words, *lowest, u.pan_heater_W, u.standby_W, u.crankcase_W, sound)


def _says(a: UnitAnswer) -> Said:
    most = Q(_most(a.heating.lines[-1], 0), POWER)
    at = Q(float(a.heating.outdoor_C[0]), T)
    return worded("capacity above COP over the outdoor temperature, heating left, cooling right; at {} at most {}", at, most)


def _most(line: LevelLine, k: int) -> float | None:
    return None if line.capacity.mark[k] == "off" else float(line.capacity.value_W[k])


def _curves(table: CurveTable) -> Any:
    columns = [Column("outdoor", T, decimals=0)]
    for line in table.lines:
        columns += [
            Column(f"{line.level}", POWER, missing="off"),
            Column(f"{line.level} input", WATTS, missing=""),
            Column(f"{line.level} COP", decimals=2, missing=""),
        ]
    rows = tuple(
        (float(outdoor), *(cell for line in table.lines for cell in _cells(line, k))) for k, outdoor in enumerate(table.outdoor_C)
    )
    words = worded("~ estimated, off = outside its range or over {} beyond its table", Q(REACH_K, "temperature difference", 1))
    return chapter(table.mode.capitalize(), Table(table.mode, "", tuple(columns), rows, head_units=True), Note(words))


def _cells(line: LevelLine, k: int) -> tuple[Cell, Cell, Cell]:
    if line.capacity.mark[k] == "off":
        return None, None, None
    return _marked(line.capacity, k), _marked(line.power, k), float(line.cop[k])


def _marked(values: Any, k: int) -> Cell:
    value = float(values.value_W[k])
    return Rough(value) if values.mark[k] == "estimated" else value


def _rooms(curves: Curves) -> Said:
    """Which other rooms the unit's table prints, and how many rows of each."""
    counts = [sum(int(flags.sum()) for flags in room.given.values()) for room in curves.rooms]
    rooms = [worded("{} (rows: {})", room_words(curves.mode, r), n) for r, n in zip(curves.rooms, counts, strict=True)]
    if not rooms:
        return ""
    words = "{} above is for {}; its table also prints {}: used where a house asks for them"
    return worded(words, curves.mode, room_words(curves.mode, curves), joined(", ", rooms))


def _retention(a: UnitAnswer) -> Any:
    table = table_of(
        "retention",
        a.retention,
        (Column("outdoor", T, decimals=0), "outdoor_C"),
        (Column("of it", "fraction", missing="off"), lambda r: None if r.mark == "off" else r.share),
        *(((Column("likely"), _likely),) if any(r.mark == "estimated" for r in a.retention) else ()),
        (Column("beside printed rows of real units (not named)"), _printed),
    )
    printed = list(dict.fromkeys(f"{what}: {source}" for r in a.retention for what, _, source in r.published))
    return chapter(worded("Maximum in the cold over rated at {}", Q(RATED_HEATING_C, T, 0)), table, *bullets(printed, Note))


def _likely(r: Any) -> str:
    return f"{r.low:.0%} to {r.high:.0%}" if r.mark == "estimated" else ""


def _printed(r: Any) -> str:
    return "; ".join(f"{what} {share:.0%}" for what, share, _ in r.published) or "no printed row"


def _doubts(a: UnitAnswer) -> Any:
    if not a.doubts:
        return chapter("Plausibility", "No printed point stands out.")
    words = [worded("{} {} at {}: {}", d.mode, d.level, Q(d.outdoor_C, T, 0), d.reason) for d in a.doubts]
    return chapter("Plausibility: ask the maker about", *bullets(words, Caution))


def _seasons(a: UnitAnswer) -> Any:
    table = table_of(
        "seasons",
        a.seasons,
        (Column("figure"), lambda s: "EU SEER cooling" if s.season == "cooling" else f"EU SCOP {s.season}"),
        (Column("watts a watt", decimals=2), "overall"),
        (Column("while running", decimals=2), "active"),
        (Column("design load", POWER), "design_load_W"),
        (Column("a year", unit="kWh", decimals=0), "electricity_kWh"),
    )
    note = "On the bins of Regulation (EU) No 206/2012; computed here, not declared values and not the figures of the US label."
    return chapter("Seasonal figures", table, Note(note))


def _place(p: UnitAtPlace) -> Any:
    """One place, a line for each thing said."""
    return chapter(
        worded("At {}, {}", p.place, Q(p.elevation_m, "length", 0)),
        *p.unit.corrections,
        *(worded("{} of {}: {}", *_design(*x)) for x in _ends(p)),
        worded(
            "balance point {} (colder, it no longer carries the load line alone); {} of backup heat at the design cold",
            Q(p.balance_point_C, T, 1),
            Q(p.backup_W, WATTS),
        ),
        worded("least heat at {} {}: runs {:.0%} of the hour there", Q(MILD_C, T, 0), Q(p.least_heat_W, POWER), p.mild_run),
        Note(f"published altitude factors (they disagree): {', '.join(f'{k} {v:.2f}' for k, v in p.altitude_spread.items())}"),
        *_years(p),
        worded("load line: {}", p.load_line),
        *(Bullet(worded("note: {}", w)) for w in p.warnings),
    )


def _ends(p: UnitAtPlace) -> Iterator[tuple[str, float, LevelLine]]:
    yield "heating in the design cold", p.heating_design_C, p.heating
    yield "cooling in the hour of the largest cooling load", p.cooling_design_C, p.cooling


def _design(mode: str, outdoor_C: float, line: LevelLine) -> tuple[Any, ...]:
    value, mark = _most(line, 0), str(line.capacity.mark[0])
    if value is None:
        return mode, Q(outdoor_C, T, 0), "off"
    low, high = (Q(float(x[0]), POWER) for x in (line.capacity.low_W, line.capacity.high_W))
    words = "{} ({} to {}), drawing {:,.0f} W, COP {:.2f}, {}"
    return mode, Q(outdoor_C, T, 0), worded(words, Q(value, POWER), low, high, line.power.value_W[0], line.cop[0], mark)


def _years(p: UnitAtPlace) -> Iterator[Said]:
    words = (
        "a year of {} here: {} {:.2f}, {:,.0f} kWh of electricity for {:,.0f} kWh, of it {:,.0f} kWh backup; {:,.0f} h on and "
        "off (design load {})"
    )
    for mode, year, load in (("heating", p.heating_year, p.heating_load_W), ("cooling", p.cooling_year, p.cooling_load_W)):
        if year is not None:
            energy = year.electricity_kWh, year.demand_kWh, year.backup_kWh, year.cycling_h
            yield worded(words, mode, NAMES[mode], year.figure, *energy, Q(load, POWER))
    if p.hours_below_lowest is None:
        yield "no temperature bins for this place: no year here"


def _side_by_side(places: Sequence[UnitAtPlace]) -> Any:
    """The same unit in several places, a column each."""
    if not places:
        return None
    mild = Q(MILD_C, T, 0)
    table = table_of(
        "places",
        places,
        (Column("place"), lambda p: p.place.split(" (")[0]),
        (Column("elevation", "length", decimals=0), "elevation_m"),
        (Column("design cold", T, decimals=0), "heating_design_C"),
        (Column("most heat there (~ estimated)", POWER, missing="off"), lambda p: _there(p.heating)),
        (Column("COP there", decimals=2), lambda p: None if _there(p.heating) is None else float(p.heating.cop[0])),
        (Column("load there", POWER), "heating_load_W"),
        (Column("balance point", T, decimals=1, missing="none"), "balance_point_C"),
        (Column("backup at the design cold", WATTS), "backup_W"),
        (Column(worded("least heat at {}", mild), POWER), "least_heat_W"),
        (Column(worded("share of the hour it runs at {}", mild), "fraction"), "mild_run"),
        (Column("outdoors at the largest cooling load", T, decimals=0), "cooling_design_C"),
        (Column("most cooling there", POWER, missing="off"), lambda p: _there(p.cooling)),
        (Column("cooling load there", POWER), "cooling_load_W"),
        (Column("EU SCOP by its own bins", decimals=2), lambda p: _of_year(p.heating_year, "figure")),
        (Column("heating electricity a year", unit="kWh", decimals=0), lambda p: _of_year(p.heating_year, "electricity_kWh")),
        (Column("of it backup", unit="kWh", decimals=0), lambda p: _of_year(p.heating_year, "backup_kWh")),
        (Column("EU SEER by its own bins", decimals=2), lambda p: _of_year(p.cooling_year, "figure")),
        (Column("cooling electricity a year", unit="kWh", decimals=0), lambda p: _of_year(p.cooling_year, "electricity_kWh")),
        (Column("hours below its lowest", unit="h", decimals=0), "hours_below_lowest"),
        across=True,
    )
    lines = list(dict.fromkeys(worded("load line: {}", p.load_line) for p in places))
    notes = [worded("{}: {}", p.place, w) for p in places for w in p.warnings]
    return chapter("The same unit in other places", table, *lines, *bullets(notes))


def _there(line: LevelLine) -> Cell:
    """The most at the design temperature; None where the unit stands still."""
    return None if line.capacity.mark[0] == "off" else _marked(line.capacity, 0)


def _of_year(year: Any, field: str) -> float | None:
    return None if year is None else float(getattr(year, field))
