"""A solved detail as text and as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from heatcalc.model.bridge import LOW_R_SHARE, Bridge
from heatcalc.show.words import said
from heatcalc.units import label, shown, text
from heatcalc.wording import joined

PSI = "linear thermal transmittance"


def as_json(bridge: Bridge) -> str:
    """The machine-readable result; numbers in SI, rounded at the ninth digit."""
    t, d = bridge.transmittance, bridge.detail
    return json.dumps(
        _rounded(
            {
                "name": d.name,
                "title": d.title,
                "heat_flow_W_m": bridge.heat_flow_W_m,
                "psi_W_mK": bridge.psi_W_mK,
                "surface_temperature_min_C": bridge.surface_temperature_min_C,
                "temperature_factor": bridge.temperature_factor,
                "cells": bridge.cells,
                "points": dict(bridge.points),
                "dimensions": d.dimensions,
                "psi_internal_W_mK": t.psi_internal_W_mK,
                "psi_external_W_mK": t.psi_external_W_mK,
                "psi_reference": t.reference,
                "psi_change_W_mK": t.change_W_mK,
                "coupling_W_mK": t.coupling_W_mK,
                "spacing_m": d.spacing_m,
                "added_u_value_W_m2K": bridge.added_u_value_W_m2K,
                "temperature_factor_sheltered": bridge.sheltered_temperature_factor,
                "mould_humidity_limit": bridge.mould_humidity_limit,
                "condensation_humidity": bridge.condensation_humidity,
                "low_r_share": bridge.low_r_share,
                "heat_flow_last_change": bridge.solution.last_change,
                "plain_parts": [vars(p) for p in t.plain_parts],
                "materials": [said(m, "si") for m in d.material_sources],
                "source": d.source,
                "cautions": bridge.cautions,
            }
        ),
        indent=2,
        ensure_ascii=False,
    )


def report_text(bridge: Bridge, system: str) -> str:
    """The result for a reader: heat, psi with its terms, the cold spot and what it bears, points, cautions."""
    d = bridge.detail
    parts = [
        f"{d.title}  ({d.name})",
        f"  {d.source}" if d.source else "",
        *(f"  {note}" for note in d.notes),
        "",
        *_heat_lines(bridge, system),
        *_surface_lines(bridge, system),
        *_point_lines(bridge, system),
        "",
        "Materials: " + said(joined("; ", d.material_sources), system),
        *bridge.cautions,
    ]
    return "\n".join(line.rstrip() for i, line in enumerate(parts) if line or i > 1)


def list_text(details: Sequence[dict[str, Any]], system: str, machine: bool) -> str:
    """The ready details with their psi."""
    if machine:
        return json.dumps(_rounded(list(details)), indent=2, ensure_ascii=False)
    width = max(len(d["name"]) for d in details)
    lines = [
        f"{d['name']:<{width}}  {shown(d['psi_external_W_mK'], PSI, system):>7.3f}  "
        f"{shown(d['psi_internal_W_mK'], PSI, system):>7.3f}  {d['title']}"
        for d in details
    ]
    return "\n".join(
        [
            f"psi in {label(PSI, system)} by external and internal lengths, computed from the drawings:",
            f"{'ready detail':<{width}}  {'extern.':>7}  {'intern.':>7}",
            *lines,
        ]
    )


def per_length(value: float, system: str) -> str:
    """A psi or coupling [W/mK] as a person reads it."""
    return text(value, PSI, system)


def _heat_lines(bridge: Bridge, system: str) -> list[str]:
    flow = text(bridge.heat_flow_W_m, "heat flow per length", system)
    t = bridge.transmittance
    lines = [
        f"Heat flow          {flow}   ({bridge.cells:,} cells; the last halving changed it by {bridge.solution.last_change:.2%})"
    ]
    if t.coupling_W_mK is not None:
        lines.append(f"Coupling L2D       {per_length(t.coupling_W_mK, system)}")
    lines += [
        f"  less {p.name}: U {text(p.u_value_W_m2K, 'U-value', system)} x {text(p.internal_m, 'length', system, 2)}"
        f" inside, {text(p.external_m, 'length', system, 2)} outside ({p.origin})"
        for p in t.plain_parts
    ]
    if t.reference_flow_W_mK is not None:
        lines.append(f"  less {per_length(t.reference_flow_W_mK, system)}: {t.reference}")
    return lines + _psi_lines(bridge, system)


def _psi_lines(bridge: Bridge, system: str) -> list[str]:
    t = bridge.transmittance
    if t.psi_external_W_mK is None or t.psi_internal_W_mK is None or t.change_W_mK is None:
        return [f"psi                -   {t.reference}"]
    both = "" if not t.plain_parts else f" by external lengths; {per_length(t.psi_internal_W_mK, system)} by internal"
    lines = [
        f"psi                {per_length(t.psi_external_W_mK, system)}{both}"
        f"   (last halving: {per_length(t.change_W_mK, system)})"
    ]
    if bridge.added_u_value_W_m2K is not None and bridge.detail.spacing_m is not None:
        lines.append(
            f"  every {text(bridge.detail.spacing_m, 'length', system, 2)} it adds "
            f"{text(bridge.added_u_value_W_m2K, 'U-value', system)} to the floor, wall or roof"
        )
    if bridge.low_r_share is not None:
        verdict = "count it" if bridge.low_r_share > LOW_R_SHARE else "below the 1 % line"
        lines.append(
            f"  {bridge.low_r_share:.1%} of the inside surface has less than half the plain R "
            f"(24 CFR 3280.508(c), low-R paths over 1 % of the area: {verdict})"
        )
    return lines


def _surface_lines(bridge: Bridge, system: str) -> list[str]:
    coldest, at, inside, outside = (bridge.surface_temperature_min_C, bridge.coldest_at_m, bridge.inside_C, bridge.outside_C)
    if coldest is None or at is None:
        return []
    where = " ".join(f"{axis} {text(v, 'length', system, 2)}" for axis, v in zip("xy", at, strict=True))
    lines = [f"Coldest surface    {text(coldest, 'temperature', system, 1)} at {where}"]
    factor, sheltered = bridge.temperature_factor, bridge.sheltered_temperature_factor
    mould, wet = bridge.mould_humidity_limit, bridge.condensation_humidity
    if inside is None or outside is None or factor is None or sheltered is None or mould is None or wet is None:
        return lines
    lines[0] += f", room {text(inside, 'temperature', system)}, outside {text(outside, 'temperature', system)}"
    lines.append(
        f"Temperature factor {factor:.2f}; {sheltered:.2f} "
        f"behind furniture (film {text(0.25, 'thermal resistance', system, 2)}, ISO 13788)"
    )
    lines.append(f"Mould limit        room humidity up to {mould:.0%} keeps this spot below 80 %; condensation from {wet:.0%}")
    return lines


def _point_lines(bridge: Bridge, system: str) -> list[str]:
    if not bridge.points:
        return []
    width = max(len(name) for name, _ in bridge.points)
    return ["Points", *(f"  {name:<{width}}  {text(value, 'temperature', system, 1)}" for name, value in bridge.points)]


def _rounded(said):
    if isinstance(said, float):
        return float(f"{said:.9g}")
    if isinstance(said, dict):
        return {key: _rounded(value) for key, value in said.items()}
    return [_rounded(value) for value in said] if isinstance(said, (list, tuple)) else said
