"""A unit in one place, or in several side by side, as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from heatcalc import units
from heatcalc.answers.unit.curves import LevelLine
from heatcalc.answers.unit.unit_places import UnitAtPlace
from heatcalc.judge.choice import MILD_C
from heatcalc.physics.unit.seasonal import BinTotals
from heatcalc.wording import said

NAME_WIDTH, WIDTH, MOST_COLUMNS = 34, 19, 5
SIGNS = {"estimated": "~"}
NAMES = {"heating": "EU SCOP", "cooling": "EU SEER"}


def place_text(p: UnitAtPlace, system: str) -> str:
    """One place, a line for each thing said."""
    height = units.text(p.elevation_m, "length", system, 0)
    lines = [f"At {p.place}, {height}", *(f"  {said(words, system)}" for words in p.unit.corrections)]
    for words, outdoor, line in (("heating", p.heating_design_C, p.heating), ("cooling", p.cooling_design_C, p.cooling)):
        lines.append(f"  {words} at the design {units.text(outdoor, 'temperature', system, 0)}: {_design(line, system)}")
    backup = units.text(p.backup_W, "electric power", system)
    lines.append(f"  balance point {_balance(p, system)}, backup {backup} at the design cold")
    mild = units.text(MILD_C, "temperature", system, 0)
    lines.append(f"  least heat at {mild} {units.text(p.least_heat_W, 'power', system)}: runs {p.mild_run:.0%} of the hour there")
    factors = ", ".join(f"{k} {v:.2f}" for k, v in p.altitude_spread.items())
    lines.append(f"  published altitude factors (they disagree): {factors}")
    for words, year, load in (("heating", p.heating_year, p.heating_load_W), ("cooling", p.cooling_year, p.cooling_load_W)):
        if year is not None:
            lines.append(
                f"  {words} over this place's bins: {NAMES[words]} {year.figure:.2f}, {year.electricity_kWh:,.0f} kWh for "
                f"{year.demand_kWh:,.0f} kWh, backup {year.backup_kWh:,.0f} kWh, cycling {year.cycling_h:,.0f} h "
                f"(design load {units.text(load, 'power', system)})"
            )
    if p.hours_below_lowest is None:
        lines.append("  no temperature bins for this place: no year here")
    lines.append(f"  load line: {said(p.load_line, system)}")
    return "\n".join([*lines, *(f"  note: {said(w, system)}" for w in p.warnings)])


def _design(line: LevelLine, system: str) -> str:
    if line.capacity.mark[0] == "off":
        return "off"
    low, high = (units.text(float(x[0]), "power", system) for x in (line.capacity.low_W, line.capacity.high_W))
    value = units.text(float(line.capacity.value_W[0]), "power", system)
    return f"{value} ({low} to {high}), {line.power.value_W[0]:.0f} W, COP {line.cop[0]:.2f}, {line.capacity.mark[0]}"


def _balance(p: UnitAtPlace, system: str) -> str:
    return "none" if p.balance_point_C is None else units.text(p.balance_point_C, "temperature", system, 1)


def side_by_side(places: Sequence[UnitAtPlace], system: str) -> str:
    """The same unit in several places, a column each; empty without places."""
    parts = []
    for start in range(0, len(places), MOST_COLUMNS):
        columns = places[start : start + MOST_COLUMNS]
        head = "The same unit in other places" if start == 0 else ""
        parts += [head, _row("", [_short(p.place) for p in columns])] if head else [_row("", [_short(p.place) for p in columns])]
        parts += [_row(name, [show(p) for p in columns]) for name, show in _rows(system)]
    lines = sorted({f"load line: {said(p.load_line, system)}" for p in places})
    notes = [f"{p.place}: {said(w, system)}" for p in places for w in p.warnings]
    return "\n".join([*parts, *(f"  {x}" for x in [*lines, *notes])]) if places else ""


def _row(name: str, cells: list[str]) -> str:
    return f"  {name:<{NAME_WIDTH}}" + "".join(f"{cell:>{WIDTH}}" for cell in cells)


def _short(name: str) -> str:
    """A place without its county, cut to a column."""
    name = name.split(" (")[0]
    return name if len(name) < WIDTH else name[: WIDTH - 2].rstrip() + "…"


def _rows(system: str) -> list[tuple[str, Callable[[UnitAtPlace], str]]]:
    """What is shown of each place, top to bottom."""

    def of(kind: str, value: float, decimals: int | None = None) -> str:
        return units.text(value, kind, system, decimals)

    mild = of("temperature", MILD_C, 0)
    return [
        ("elevation", lambda p: of("length", p.elevation_m, 0)),
        ("design cold", lambda p: of("temperature", p.heating_design_C, 0)),
        ("most heat there (~ estimated)", lambda p: _most(p.heating, system)),
        ("COP there", lambda p: _cop(p.heating)),
        ("load there", lambda p: of("power", p.heating_load_W)),
        ("balance point", lambda p: _balance(p, system)),
        ("backup at the design cold", lambda p: of("electric power", p.backup_W)),
        (f"least heat at {mild}", lambda p: of("power", p.least_heat_W)),
        (f"share of the hour it runs at {mild}", lambda p: f"{p.mild_run:.0%}"),
        ("design heat", lambda p: of("temperature", p.cooling_design_C, 0)),
        ("most cooling there", lambda p: _most(p.cooling, system)),
        ("load there", lambda p: of("power", p.cooling_load_W)),
        ("EU SCOP by its own bins", lambda p: _figure(p.heating_year)),
        ("heating electricity a year", lambda p: _kWh(p.heating_year)),
        ("of it backup", lambda p: "-" if p.heating_year is None else f"{p.heating_year.backup_kWh:,.0f} kWh"),
        ("EU SEER by its own bins", lambda p: _figure(p.cooling_year)),
        ("cooling electricity a year", lambda p: _kWh(p.cooling_year)),
        ("hours below its lowest", lambda p: "-" if p.hours_below_lowest is None else f"{p.hours_below_lowest:.0f} h"),
    ]


def _most(line: LevelLine, system: str) -> str:
    mark = str(line.capacity.mark[0])
    return "off" if mark == "off" else SIGNS.get(mark, "") + units.text(float(line.capacity.value_W[0]), "power", system)


def _cop(line: LevelLine) -> str:
    return "-" if line.capacity.mark[0] == "off" else f"{line.cop[0]:.2f}"


def _figure(year: BinTotals | None) -> str:
    return "-" if year is None else f"{year.figure:.2f}"


def _kWh(year: BinTotals | None) -> str:
    return "-" if year is None else f"{year.electricity_kWh:,.0f} kWh"
