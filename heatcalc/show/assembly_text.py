"""Assemblies as text: one explained layer by layer, several side by side, and the machine-readable form."""

from __future__ import annotations

import json
from collections.abc import Sequence

from heatcalc import units
from heatcalc.answers.envelope.assembly_answer import METHOD, AssemblyAnswer, LayerLine, record
from heatcalc.model.indoor_air import AirOverYear
from heatcalc.model.moisture import NEVER_COLD, MoistureAnswer
from heatcalc.show.explain_text import step_lines
from heatcalc.show.words import said, wrapped

PERMS_PER_SD = 2.0e-10 / 5.721e-11
OUNCES_PER_FT2 = 35.27396 * 0.09290304


def as_json(answers: Sequence[AssemblyAnswer], wet: Sequence[MoistureAnswer | None]) -> str:
    """A list of records, one an assembly; moisture where a place was given."""
    return json.dumps(
        [{**record(a), "moisture": _moisture_record(m)} if m else record(a) for a, m in zip(answers, wet, strict=True)], indent=1
    )


def _moisture_record(m: MoistureAnswer) -> dict[str, object]:
    return {
        "basis": said(m.air.basis, "si"),
        "indoor_C": list(m.air.indoor_C),
        "indoor_relative_humidity": list(m.air.indoor_rh),
        "needed_temperature_factor": m.needed_factor,
        "critical_month": m.critical_month,
        "weakest": m.weakest.name,
        "dries_out": m.dries_out,
        "finding": said(m.verdict, "si"),
        "dew_point": vars(m.dew_point) if m.dew_point else None,
        "retarder": said(m.retarder, "si"),
        "limits": list(m.limits),
        "spots": [
            {"name": s.name, "temperature_factor": s.temperature_factor, "surface_C": s.surface_C, "below_mould_limit": s.safe}
            for s in m.spots
        ],
        "condensation": [{"where": w.where, "water_kg_m2": list(w.water_kg_m2)} for w in m.wet],
    }


def compared(answers: Sequence[AssemblyAnswer], wet: Sequence[MoistureAnswer | None], system: str) -> str:
    """Side by side, best U-value first within each kind."""
    order = ("wall", "roof", "floor", "window", "door")
    paired = sorted(zip(answers, wet, strict=True), key=lambda x: (order.index(x[0].kind), x[0].u_value_W_m2K))
    heads = _heads(system, any(wet))
    table = [heads, *(_row(a, m, system, any(wet)) for a, m in paired)]
    notes = [f"U by the {METHOD}.", "Windows and doors: label, parts or default as their notes say; limits do not apply."]
    notes += _price_notes([a for a, _ in paired])
    if any(wet):
        notes += moisture_notes([m for m in wet if m], system)
    kept = [k for k in range(len(heads)) if any(row[k] for row in table[1:])]
    return "\n".join([*_columns([[row[k] for k in kept] for row in table]), "", *notes])


def _heads(system: str, moist: bool) -> list[str]:
    heads = [
        "name",
        "kind",
        f"U {units.label('U-value', system)}",
        "limits",
        _r_label(system),
        "in" if system == "ip" else "mm",
        _per_thickness_label(system),
        units.label("mass per area", system),
        "inside kJ/m²K" if system == "si" else "inside Btu/ft²°F",
        "lag h",
        "price/ft²" if system == "ip" else "price/m²",
    ]
    return heads + (["weakest point", "has", "mould", "inside"] if moist else [])


def _r_label(system: str) -> str:
    return "R" if system == "ip" else "R m²K/W"


def _per_thickness_label(system: str) -> str:
    return "R/in" if system == "ip" else "R/cm"


def _row(a: AssemblyAnswer, m: MoistureAnswer | None, system: str, moist: bool) -> list[str]:
    u = units.shown(a.u_value_W_m2K, "U-value", system)
    both = (a.u.upper_limit, a.u.lower_limit) if a.u else ()
    limits = "-".join(f"{units.shown(x, 'U-value', system):.3f}" for x in both)
    r = units.shown(1.0 / a.u_value_W_m2K, "thermal resistance", system)
    row = [
        a.name,
        a.kind,
        f"{u:.3f}",
        limits,
        f"{r:.1f}" if system == "ip" else f"{r:.2f}",
        _thickness(a.thickness_m, system),
        _r_per_thickness(a, system),
        "" if a.mass_kg_m2 is None else f"{units.shown(a.mass_kg_m2, 'mass per area', system):.1f}",
        _capacity(a, system),
        f"{a.dynamics.time_lag_h:.1f}" if a.dynamics else "",
        "" if a.price_per_m2 is None else _price(a.price_per_m2, system),
    ]
    if moist:
        row += ["", "", "", ""] if m is None else moisture_cells(m, system)
    return row


def moisture_cells(m: MoistureAnswer, system: str) -> list[str]:
    """The weakest point, its temperature factor, whether the method sees mould there, and the water inside."""
    mould = "risk" if m.at_risk or m.needed_factor >= 1.0 else "not seen"
    return [m.weakest.name, f"{m.weakest.temperature_factor:.2f}", mould, _inside(m, system)]


def _inside(m: MoistureAnswer, system: str) -> str:
    if not m.layered:
        return ""
    if not m.wet:
        return "none found"
    return f"{_water(max(w.peak_kg_m2 for w in m.wet), system)}, {'dries' if m.dries_out else 'stays wet'}"


def _water(kg_m2: float, system: str) -> str:
    """Condensed water: ounces per square foot, or grams per square metre."""
    shown, unit, digits = (kg_m2 * OUNCES_PER_FT2, "oz/ft²", 2) if system == "ip" else (1000 * kg_m2, "g/m²", 0)
    least = 10.0**-digits
    return f"under {least:.{digits}f} {unit}" if shown < least else f"{shown:.{digits}f} {unit}"


def _thickness(thickness_m: float | None, system: str, decimals: int = 1) -> str:
    if thickness_m is None:
        return ""
    return f"{thickness_m / 0.0254:.{decimals}f}" if system == "ip" else f"{1000 * thickness_m:.{decimals}f}"


def _r_per_thickness(a: AssemblyAnswer, system: str) -> str:
    if a.resistance_per_metre is None:
        return ""
    per_metre = units.shown(a.resistance_per_metre, "thermal resistance", system)
    return f"{per_metre * (0.0254 if system == 'ip' else 0.01):.2f}"


def _capacity(a: AssemblyAnswer, system: str) -> str:
    if a.dynamics is None:
        return ""
    inside = a.dynamics.heat_capacity_inside
    return f"{inside / 20441.7:.2f}" if system == "ip" else f"{inside / 1000:.1f}"


def _price(per_m2: float, system: str) -> str:
    return f"${per_m2 * 0.09290304:.2f}" if system == "ip" else f"${per_m2:.2f}"


def _price_notes(answers: Sequence[AssemblyAnswer]) -> list[str]:
    bases = dict.fromkeys(a.price_basis for a in answers if a.price_basis)
    return [f"Prices: {', '.join(bases)}; --prices FILE.toml takes your own."] if bases else []


def explained(a: AssemblyAnswer, m: MoistureAnswer | None, indoor_C: float, outdoor_C: float | None, system: str) -> str:
    """One assembly: layers, U by every method, dynamics, moisture, notes."""
    lines = [f"{a.name} ({a.kind}): {a.title}", ""]
    if a.lines:
        lines += [*_layer_table(a, indoor_C, outdoor_C, system), ""]
    lines += [*_heat(a, system), ""]
    if m is not None:
        lines += [*_moisture(m, system), ""]
    return "\n".join([*lines, *(f"- {note}" for note in a.notes), f"- source: {a.source}"])


def _layer_table(a: AssemblyAnswer, indoor_C: float, outdoor_C: float | None, system: str) -> list[str]:
    warm = outdoor_C is not None
    heads = [
        "inside to outside",
        "in" if system == "ip" else "mm",
        _r_label(system),
        "framing",
        "R framing",
        "perm" if system == "ip" else "sd m",
        "retarder",
        units.label("mass per area", system),
    ]
    heads += ["inner side"] if warm else []
    film = ["inside film", "", _r(a.r_inside, system), "", "", "", "", ""]
    table = [heads, film + ([units.text(indoor_C, "temperature", system)] if warm else [])]
    table += [_layer_row(x, system, warm) for x in a.lines]
    end = [] if outdoor_C is None else [f"outside {units.text(outdoor_C, 'temperature', system)}"]
    table.append(["outside film", "", _r(a.r_outside, system), "", "", "", "", "", *end])
    return _columns(table)


def _layer_row(x: LayerLine, system: str, warm: bool) -> list[str]:
    share = f"{x.framing_share:.0%}" if x.framing_share else ""
    framing = _r(x.framing_resistance_m2K_W, system) if x.framing_resistance_m2K_W is not None else ""
    vapour = f"{PERMS_PER_SD / x.sd_m:.2g}" if system == "ip" else f"{x.sd_m:.2g}"
    row = [
        x.name,
        _thickness(x.thickness_m, system, 2 if system == "ip" else 1),
        "(vented)" if x.cladding else _r(x.resistance_m2K_W, system),
        share,
        framing,
        vapour,
        "" if x.retarder == "none" else x.retarder,
        f"{units.shown(x.mass_kg_m2, 'mass per area', system):.2f}",
    ]
    inner = units.text(x.inner_C, "temperature", system) if x.inner_C is not None else ""
    return row + ([inner] if warm else [])


def _r(value: float, system: str) -> str:
    return f"{units.shown(value, 'thermal resistance', system):.{2 if system == 'ip' else 3}f}"


def _heat(a: AssemblyAnswer, system: str) -> list[str]:
    def u(x: float) -> str:
        return units.text(x, "U-value", system)

    lines = [f"U {u(a.u_value_W_m2K)}   R {units.text(1.0 / a.u_value_W_m2K, 'thermal resistance', system)}"]
    if a.u is not None:
        spread = f", spread ±{a.spread:.1%}" if a.spread else ""
        lines += [
            f"  {METHOD}",
            f"  limits {u(a.u.upper_limit)} to {u(a.u.lower_limit)}{spread}",
            f"  without corrections: parallel path {u(a.u.parallel_path)}, isothermal planes {u(a.u.isothermal_planes)}",
        ]
        if a.u.correction:
            lines.append(f"  gaps, fasteners and repeated bridges add {u(a.u.correction)}")
    lines += [line for step in a.corrections for line in step_lines(step, system)]
    lines += _sizes(a, system)
    if a.shgc is not None:
        lines.append(f"SHGC {a.shgc:.2f}")
    return lines


def _sizes(a: AssemblyAnswer, system: str) -> list[str]:
    lines = []
    if a.thickness_m is not None and a.mass_kg_m2 is not None:
        unit = "in" if system == "ip" else "mm"
        lines.append(
            f"thickness {_thickness(a.thickness_m, system, 2 if system == 'ip' else 0)} {unit}, "
            f"{_r_per_thickness(a, system)} {_per_thickness_label(system)}, mass "
            f"{units.text(a.mass_kg_m2, 'mass per area', system)}"
        )
    if a.price_per_m2 is not None:
        lines.append(f"price {_price(a.price_per_m2, system)}/{'ft²' if system == 'ip' else 'm²'} ({a.price_basis})")
    if a.dynamics is not None:
        d = a.dynamics
        periodic = units.text(d.periodic_transmittance, "U-value", system)
        lines.append(
            f"daily swing (ISO 13786): periodic transmittance {periodic}, "
            f"decrement {d.decrement_factor:.2f}, time lag {d.time_lag_h:.1f} h, inside heat capacity "
            f"{_capacity(a, system)} {'Btu/ft²°F' if system == 'ip' else 'kJ/m²K'}"
        )
    return lines


def _moisture(m: MoistureAnswer, system: str) -> list[str]:
    lines = ["moisture (ISO 13788)", *wrapped(said(m.verdict, system)), *air_lines(m.air, system), f"  {_asked(m)}:"]
    lines += [
        f"    {s.name}: {s.temperature_factor:.2f}, {units.text(s.surface_C, 'temperature', system)}"
        f" inside, {'above' if s.safe else 'BELOW'} the limit"
        for s in m.spots
    ]
    lines += [f"  {text}" for text in (_dew_point(m, system), said(m.retarder, system)) if text]
    for wet in m.wet:
        lines.append(f"  water {wet.where}, {_monthly_water(wet.water_kg_m2, system)}")
    return [*lines, *_limits(m.limits)]


def _asked(m: MoistureAnswer) -> str:
    if not m.needed_factor:
        return f"temperature factor of the surface: {NEVER_COLD}"
    return f"the surface must reach temperature factor {m.needed_factor:.2f} in {m.critical_month}"


def air_lines(air: AirOverYear, system: str) -> list[str]:
    """Where the indoor humidity comes from, and its twelve months."""
    months = " ".join(f"{share:.0%}" for share in air.indoor_rh)
    return [*wrapped(f"indoor air by {said(air.basis, system)}"), f"  indoor humidity Jan-Dec: {months}"]


def _monthly_water(kg_m2: Sequence[float], system: str) -> str:
    if system == "ip":
        return f"oz/ft² Jan-Dec: {' '.join(f'{OUNCES_PER_FT2 * x:.2f}' for x in kg_m2)}"
    return f"g/m² Jan-Dec: {' '.join(f'{1000 * x:.0f}' for x in kg_m2)}"


def _dew_point(m: MoistureAnswer, system: str) -> str:
    at = m.dew_point
    if at is None:
        return ""
    air = f"indoor air (dew point {units.text(at.dew_point_C, 'temperature', system)})"
    if at.depth_m is None:
        return f"in {at.month} {air} would condense nowhere in it"
    depth = f"{_thickness(at.depth_m, system)} {'in' if system == 'ip' else 'mm'}"
    return f"in {at.month} {air} that reached it would condense from {depth} deep, in the {at.layer}"


def moisture_notes(wet: Sequence[MoistureAnswer], system: str) -> list[str]:
    """What the worst month asks of every surface, where the indoor humidity comes from, and the limits of the method."""
    every = list(dict.fromkeys(text for m in wet for text in m.limits))
    return [f"Moisture by ISO 13788: {_asked(wet[0])}.", *air_lines(wet[0].air, system), *_limits(every)]


def _limits(limits: Sequence[str]) -> list[str]:
    return ["  limits of the method:", *(f"    - {text}" for text in limits)]


def _columns(table: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(row[k]) for row in table) for k in range(len(table[0]))]
    return [
        "  ".join(
            cell.ljust(w) if k == 0 else cell.rjust(w) for k, (cell, w) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in table
    ]
