"""A unit as text for the terminal and as JSON."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np

from heatcalc import units
from heatcalc.answers.unit.curves import CurveTable, LevelLine
from heatcalc.answers.unit.unit_answer import RATED_HEATING_C, UnitAnswer
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, PrintedRoom, Unit
from heatcalc.render.as_json import json_text
from heatcalc.show.unit_place_text import place_text, side_by_side
from heatcalc.wording import said

GENERIC = "generic, replace with your unit's table"
CAUTION = "For information: the unit's manual and nameplate, local codes and licensed trades decide."
SIGNS = {"given": " ", "between": " ", "estimated": "~", "off": " "}


def shelf_text(shelf: dict[str, Unit], system: str) -> str:
    """The generic classes, one line each."""
    rating = units.text(RATED_HEATING_C, "temperature", system, 0) + " rated"
    head = f"{'unit':<12}{'volts':>6}{'MCA':>7}{'MOP':>6}  {rating:>12} {'lowest':>8}   class"
    lines = ["Generic classes (invented; " + GENERIC + ")", "", head]
    for u in shelf.values():
        rated = float(np.interp(RATED_HEATING_C, u.heating.outdoor_C, u.heating.capacity_W["rated"]))
        lines.append(
            f"{u.name:<12}{u.volts:>6.0f}{u.mca_A:>7.1f}{u.mop_A:>6.0f}  "
            f"{units.text(rated, 'power', system):>12} "
            f"{units.text(u.lowest_heating_C, 'temperature', system, 0):>8}   {u.unit_class}"
        )
    return "\n".join([*lines, "", "heatcalc unit NAME or FILE shows one; copy a file of workbooks/units to write your own."])


def unit_text(answer: UnitAnswer, system: str) -> str:
    """One unit explained."""
    u = answer.unit
    parts = [
        _head(u, system),
        _table(answer.heating, system),
        _table(answer.cooling, system),
        *(_rooms(curves, system) for curves in (u.heating, u.cooling)),
        _retention(answer, system),
        _doubts(answer, system),
        _seasons(answer, system),
    ]
    parts.append(place_text(answer.places[0], system) if len(answer.places) == 1 else side_by_side(answer.places, system))
    parts.append(_notes(answer, system))
    return "\n\n".join(part for part in parts if part)


def _head(u: Unit, system: str) -> str:
    label = f"  [{GENERIC}]" if u.generic else ""
    sound = f", sound {u.sound_dBA:g} dB(A) as printed" if u.sound_dBA is not None else ""
    watts = units.convert(u.size_kBtuh, "kBtu/hour", "kilowatt")
    size = f"{u.size_kBtuh:g} kBtu/h" + (f" ({watts:.1f} kW)" if system == "si" else "")
    return (
        f"{u.name}: {size}, {u.unit_class}, {u.volts:.0f} V, MCA {u.mca_A:g} A, MOP {u.mop_A:g} A, "
        f"{u.refrigerant} {units.text(u.charge_kg, 'mass', system, 2)}{label}\n"
        f"lowest heating {units.text(u.lowest_heating_C, 'temperature', system, 0)}, cooling "
        f"{units.text(u.lowest_cooling_C, 'temperature', system, 0)}; pan heater {u.pan_heater_W:.0f} W, standby "
        f"{u.standby_W:.0f} W, crankcase {u.crankcase_W:.0f} W{sound}"
    )


def _table(table: CurveTable, system: str) -> str:
    label = units.label("power", system)
    cells = "".join(f"{line.level + ' ' + label:>15}{'W':>8}{'COP':>7}" for line in table.lines)
    reach = units.text(REACH_K, "temperature difference", system, 1)
    lines = [f"{table.mode}   ~ estimated, off = outside its range or over {reach} beyond its table", f"{'outdoor':>9}{cells}"]
    for k, outdoor in enumerate(table.outdoor_C):
        row = "".join(_cell(line, k, system) for line in table.lines)
        lines.append(f"{units.text(float(outdoor), 'temperature', system, 0):>9}{row}")
    return "\n".join(lines)


def _cell(line: LevelLine, k: int, system: str) -> str:
    if line.capacity.mark[k] == "off":
        return f"{'off':>15}{'':>8}{'':>7}"
    shown = units.shown(float(line.capacity.value_W[k]), "power", system)
    sign = SIGNS[str(line.capacity.mark[k])]
    power_sign = SIGNS[str(line.power.mark[k])]
    return f"{sign + format(shown, ',.0f'):>15}{power_sign + format(line.power.value_W[k], '.0f'):>8}{line.cop[k]:>7.2f}"


def _rooms(curves: Curves, system: str) -> str:
    """Which other rooms the unit's table prints, and how many rows of each."""
    counts = [sum(int(flags.sum()) for flags in room.given.values()) for room in curves.rooms]
    rooms = [f"{room_text(curves.mode, r, system)} (rows: {n})" for r, n in zip(curves.rooms, counts, strict=True)]
    own = f"{curves.mode} above is for {room_text(curves.mode, curves, system)}"
    return f"{own}; its table also prints {', '.join(rooms)}: used where a house asks for them" if rooms else ""


def room_text(mode: str, room: Curves | PrintedRoom, system: str) -> str:
    """The room a table is for: its dry bulb, in cooling its wet bulb too."""
    dry, wet = (units.text(t, "temperature", system, 0) for t in (room.indoor_C, room.indoor_wet_bulb_C))
    return f"a room of {dry}" + (f" / {wet} wet bulb" if mode == "cooling" else "")


def _retention(answer: UnitAnswer, system: str) -> str:
    rated = units.text(RATED_HEATING_C, "temperature", system, 0)
    lines = [f"Maximum in the cold over rated at {rated}, beside printed rows of real units (not named)"]
    for r in answer.retention:
        band = f" ({r.low:.0%} to {r.high:.0%})" if r.mark == "estimated" else ""
        beside = "; ".join(f"{what} {share:.0%}" for what, share, _ in r.published)
        value = "off" if r.mark == "off" else f"{r.share:.0%}{band}"
        at = units.text(r.outdoor_C, "temperature", system, 0)
        lines.append(f"  {at}  {value}   beside: {beside or 'no printed row'}")
    printed = dict.fromkeys(f"  {what}: {source}" for r in answer.retention for what, _, source in r.published)
    return "\n".join([*lines, *printed])


def _doubts(answer: UnitAnswer, system: str) -> str:
    if not answer.doubts:
        return "Plausibility: no printed point stands out."
    lines = ["Plausibility: ask the maker about"]
    for d in answer.doubts:
        at = units.text(d.outdoor_C, "temperature", system, 0)
        lines.append(f"  {d.mode} {d.level} at {at}: {said(d.reason, system)}")
    return "\n".join(lines)


def _seasons(answer: UnitAnswer, system: str) -> str:
    lines = [
        "Seasonal, on the bins of Regulation (EU) No 206/2012: EU SEER and EU SCOP, W/W, not the figures of the US label",
        "(computed here, not declared values)",
    ]
    for s in answer.seasons:
        name = "EU SEER cooling" if s.season == "cooling" else f"EU SCOP {s.season}"
        load = units.text(s.design_load_W, "power", system)
        lines.append(f"  {name:<17}{s.overall:5.2f}  (running {s.active:.2f}; design load {load}; {s.electricity_kWh:.0f} kWh/a)")
    return "\n".join(lines)


def _notes(answer: UnitAnswer, system: str) -> str:
    assumed = [f"assumed: {said(a, system)}" for a in answer.unit.assumed]
    understood = [f"understood: {words}" for words in answer.unit.understood]
    return "\n".join([*understood, *assumed, *(f"source: {s}" for s in answer.sources), CAUTION])


def as_json(answers: list[UnitAnswer]) -> str:
    """All answers, SI, ready to load again."""
    explained = [{**asdict(a), "label": GENERIC if a.unit.generic else ""} for a in answers]
    return json_text({"units": explained, "caution": CAUTION}).rstrip()
