"""What `heatcalc unit` says: the shelf, one unit explained, the same unit in one place or in several."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from heatcalc.answers.unit.unit_answer import RATED_HEATING_C, CurveTable, LevelLine, UnitAnswer, UnitAtPlace
from heatcalc.judge.choice import MILD_C
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, Unit
from heatcalc.report.about_units import GENERIC, room_words, unit_figure
from heatcalc.report.report import Bullet, Figure, Note, Report, Sentence, bullets, chapter, chapters
from heatcalc.report.table import Cell, Column, Rough, Table
from heatcalc.wording import Q, Said, joined, worded

CAUTION = "For information: the unit's manual and nameplate, local codes and licensed trades decide."
T, POWER, WATTS = "temperature", "power", "electric power"
NAMES = {"heating": "EU SCOP", "cooling": "EU SEER"}
PUBLISHED = Column("beside printed rows of real units (not named)")


def about_shelf(shelf: Mapping[str, Unit]) -> Report:
    """The generic classes, one line each."""
    heads = (
        Column("unit"),
        Column("class"),
        Column("volts", "voltage"),
        Column("MCA", "current"),
        Column("MOP", "current", decimals=0),
        Column(worded("rated at {}", Q(RATED_HEATING_C, T)), POWER),
        Column("lowest heating", T, decimals=0),
    )
    rows = tuple(
        (u.name, u.unit_class, u.volts, u.mca_A, u.mop_A, _rated(u.heating, RATED_HEATING_C), u.lowest_heating_C)
        for u in shelf.values()
    )
    more = "heatcalc unit NAME or FILE shows one; copy a file of workbooks/units to write your own."
    title = f"Generic classes (invented; {GENERIC})"
    return Report("unit", title, chapters=chapters(chapter("", Table("shelf", "", heads, rows), more)), values={"units": shelf})


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
        chapters=chapters(
            *((_place(p) for p in a.places) if one else (_side_by_side(a.places),)),
            _curves(a.heating),
            _curves(a.cooling),
            chapter("Other rooms", *(_rooms(curves) for curves in (u.heating, u.cooling))),
            _retention(a),
            _doubts(a),
            _seasons(a),
            chapter("Curves", Figure(f"unit-{_stem(u.name)}", u.name, _says(a), lambda system: unit_figure(a, system))),
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


def _plate(u: Unit) -> Iterator[Said]:
    sound = f", sound {u.sound_dBA:g} dB(A) as printed" if u.sound_dBA is not None else ""
    charge = Q(u.charge_kg, "mass", 2)
    yield worded("{:g} kBtu/h class, MCA {:g} A, MOP {:g} A, {} {}", u.size_kBtuh, u.mca_A, u.mop_A, u.refrigerant, charge)
    yield worded(
        "lowest heating {}, cooling {}; pan heater {:.0f} W, standby {:.0f} W, crankcase {:.0f} W{}",
        Q(u.lowest_heating_C, T, 0),
        Q(u.lowest_cooling_C, T, 0),
        u.pan_heater_W,
        u.standby_W,
        u.crankcase_W,
        sound,
    )


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
    heads = (Column("outdoor", T, decimals=0), Column("of it", "fraction", missing="off"), Column("likely"), PUBLISHED)
    rows = tuple(
        (
            r.outdoor_C,
            None if r.mark == "off" else r.share,
            f"{r.low:.0%} to {r.high:.0%}" if r.mark == "estimated" else "",
            "; ".join(f"{what} {share:.0%}" for what, share, _ in r.published) or "no printed row",
        )
        for r in a.retention
    )
    printed = list(dict.fromkeys(f"{what}: {source}" for r in a.retention for what, _, source in r.published))
    title = worded("Maximum in the cold over rated at {}", Q(RATED_HEATING_C, T, 0))
    return chapter(title, Table("retention", "", heads, rows), *bullets(printed, Note))


def _doubts(a: UnitAnswer) -> Any:
    if not a.doubts:
        return chapter("Plausibility", "Plausibility: no printed point stands out.")
    words = [worded("{} {} at {}: {}", d.mode, d.level, Q(d.outdoor_C, T, 0), d.reason) for d in a.doubts]
    return chapter("Plausibility: ask the maker about", *bullets(words))


def _seasons(a: UnitAnswer) -> Any:
    heads = (
        Column("figure"),
        Column("W/W", decimals=2),
        Column("running", decimals=2),
        Column("design load", POWER),
        Column("a year", unit="kWh", decimals=0),
    )
    rows = tuple(
        (
            "EU SEER cooling" if s.season == "cooling" else f"EU SCOP {s.season}",
            s.overall,
            s.active,
            s.design_load_W,
            s.electricity_kWh,
        )
        for s in a.seasons
    )
    note = "On the bins of Regulation (EU) No 206/2012; computed here, not declared values and not the figures of the US label."
    return chapter("Seasonal figures", Table("seasons", "", heads, rows), Note(note))


def _place(p: UnitAtPlace) -> Any:
    """One place, a line for each thing said."""
    return chapter(
        worded("At {}, {}", p.place, Q(p.elevation_m, "length", 0)),
        *p.unit.corrections,
        *(worded("{} at the design {}: {}", *_design(*x)) for x in _ends(p)),
        worded("balance point {}, backup {} at the design cold", Q(p.balance_point_C, T, 1), Q(p.backup_W, WATTS)),
        worded("least heat at {} {}: runs {:.0%} of the hour there", Q(MILD_C, T, 0), Q(p.least_heat_W, POWER), p.mild_run),
        Note(f"published altitude factors (they disagree): {', '.join(f'{k} {v:.2f}' for k, v in p.altitude_spread.items())}"),
        *_years(p),
        worded("load line: {}", p.load_line),
        *(Bullet(worded("note: {}", w)) for w in p.warnings),
    )


def _ends(p: UnitAtPlace) -> Iterator[tuple[str, float, LevelLine]]:
    yield "heating", p.heating_design_C, p.heating
    yield "cooling", p.cooling_design_C, p.cooling


def _design(mode: str, outdoor_C: float, line: LevelLine) -> tuple[Any, ...]:
    value, mark = _most(line, 0), str(line.capacity.mark[0])
    if value is None:
        return mode, Q(outdoor_C, T, 0), "off"
    low, high = (Q(float(x[0]), POWER) for x in (line.capacity.low_W, line.capacity.high_W))
    words = "{} ({} to {}), {:.0f} W, COP {:.2f}, {}"
    return mode, Q(outdoor_C, T, 0), worded(words, Q(value, POWER), low, high, line.power.value_W[0], line.cop[0], mark)


def _years(p: UnitAtPlace) -> Iterator[Said]:
    for mode, year, load in (("heating", p.heating_year, p.heating_load_W), ("cooling", p.cooling_year, p.cooling_load_W)):
        if year is not None:
            energy = year.electricity_kWh, year.demand_kWh, year.backup_kWh, year.cycling_h
            yield worded(
                "{} over this place's bins: {} {:.2f}, {:,.0f} kWh for {:,.0f} kWh, backup {:,.0f} kWh, cycling {:,.0f} h "
                "(design load {})",
                mode,
                NAMES[mode],
                year.figure,
                *energy,
                Q(load, POWER),
            )
    if p.hours_below_lowest is None:
        yield "no temperature bins for this place: no year here"


def _side_by_side(places: Sequence[UnitAtPlace]) -> Any:
    """The same unit in several places, a column each."""
    if not places:
        return None
    mild = Q(MILD_C, T, 0)
    columns = (
        Column("place"),
        Column("elevation", "length", decimals=0),
        Column("design cold", T, decimals=0),
        Column("most heat there (~ estimated)", POWER, missing="off"),
        Column("COP there", decimals=2),
        Column("load there", POWER),
        Column("balance point", T, decimals=1, missing="none"),
        Column("backup at the design cold", WATTS),
        Column(worded("least heat at {}", mild), POWER),
        Column(worded("share of the hour it runs at {}", mild), "fraction"),
        Column("design heat", T, decimals=0),
        Column("most cooling there", POWER, missing="off"),
        Column("cooling load there", POWER),
        Column("EU SCOP by its own bins", decimals=2),
        Column("heating electricity a year", unit="kWh", decimals=0),
        Column("of it backup", unit="kWh", decimals=0),
        Column("EU SEER by its own bins", decimals=2),
        Column("cooling electricity a year", unit="kWh", decimals=0),
        Column("hours below its lowest", unit="h", decimals=0),
    )
    lines = list(dict.fromkeys(worded("load line: {}", p.load_line) for p in places))
    notes = [worded("{}: {}", p.place, w) for p in places for w in p.warnings]
    table = Table("places", "", columns, tuple(_column(p) for p in places), across=True)
    return chapter("The same unit in other places", table, *lines, *bullets(notes))


def _column(p: UnitAtPlace) -> tuple[Cell, ...]:
    heat, cold = p.heating_year, p.cooling_year
    there = [(None if line.capacity.mark[0] == "off" else _marked(line.capacity, 0)) for line in (p.heating, p.cooling)]
    return (
        p.place.split(" (")[0],
        p.elevation_m,
        p.heating_design_C,
        there[0],
        None if there[0] is None else float(p.heating.cop[0]),
        p.heating_load_W,
        p.balance_point_C,
        p.backup_W,
        p.least_heat_W,
        p.mild_run,
        p.cooling_design_C,
        there[1],
        p.cooling_load_W,
        *((heat.figure, heat.electricity_kWh, heat.backup_kWh) if heat else (None, None, None)),
        *((cold.figure, cold.electricity_kWh) if cold else (None, None)),
        p.hours_below_lowest,
    )
