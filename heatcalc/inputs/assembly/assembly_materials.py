"""Materials, labelled batts and own values as layers."""

from __future__ import annotations

import re
from dataclasses import dataclass

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.assembly.assembly_said import LayerSaid
from heatcalc.physics.shell.framing import INCH_M, R_IP_M2K_W, compressed_share
from heatcalc.physics.shell.layers import Layer
from heatcalc.tables import rows


@dataclass(frozen=True)
class Made:
    """A layer with its material group, what is to be said about it, openings of an air layer, steel studs in it."""

    layer: Layer
    group: str
    notes: tuple[str, ...] = ()
    openings_mm2_m: float | None = None
    between_studs: tuple[float, float] | None = None
    """Of insulation between steel studs: its own resistance [m2K/W] and their spacing [m]."""


def material_row(name: str, where: str) -> dict[str, str]:
    """The row of the materials table for a name, letter case ignored; InputError with the nearest otherwise."""
    known = {row["name"].lower(): row for row in rows("materials")}
    if name.lower() not in known:
        names = [row["name"] for row in rows("materials")]
        raise InputError("material", name, "is not in the materials table", nearest(name, names) or "see materials.csv", where)
    return known[name.lower()]


def _number(row: dict[str, str], key: str) -> float | None:
    return float(row[key]) if row[key] else None


def _thickness(said: LayerSaid, row: dict[str, str], spot: str) -> float:
    thickness = said.thickness or _number(row, "thickness_m")
    if thickness is None:
        raise InputError("thickness", None, f'is missing for {row["name"]!r}, e.g. thickness = "1/2 in"', "", spot)
    return thickness


def _vapour_factor(row: dict[str, str], thickness: float) -> float:
    """mu of a material, or sd over the thickness of a sheet."""
    return _number(row, "vapour_resistance_factor") or max(float(row["sd_m"] or 0.0) / thickness, 1.0)


def material_layer(row: dict[str, str], thickness: float, said: LayerSaid) -> Layer:
    """A layer of a material; what was said of it (conductivity, density, R ...) wins over the table."""
    conductivity = said.conductivity or _number(row, "conductivity_W_mK")
    if said.r_value is not None:
        resistance = said.r_value
    else:
        resistance = thickness / conductivity if conductivity else float(row["resistance_m2K_W"])
    return Layer(
        name=said.name or row["name"],
        thickness_m=thickness,
        resistance_m2K_W=resistance,
        density_kg_m3=said.density or float(row["density_kg_m3"]),
        specific_heat_J_kgK=said.specific_heat or float(row["specific_heat_J_kgK"]),
        vapour_resistance_factor=said.vapour_resistance_factor or _vapour_factor(row, thickness),
    )


def plain_layer(said: LayerSaid, spot: str) -> Made:
    """A layer without framing: a material, an insulation, or own values."""
    if said.material is None and said.insulation is None:
        return _own(said, spot)
    if said.insulation is not None:
        layer, note = insulation_layer(said, said.thickness, spot)
        return Made(layer, "insulation", note)
    row = material_row(said.material or "", spot)
    return Made(material_layer(row, _thickness(said, row, spot), said), row["group"])


def _own(said: LayerSaid, spot: str) -> Made:
    if said.name is None or said.thickness is None or (said.r_value is None and said.conductivity is None):
        raise InputError(
            "layer", None, "needs a material, framing, air, or a name with thickness and conductivity or r_value", "", spot
        )
    resistance = said.r_value if said.r_value is not None else said.thickness / float(said.conductivity or 1.0)
    layer = Layer(
        name=said.name,
        thickness_m=said.thickness,
        resistance_m2K_W=resistance,
        density_kg_m3=said.density or 0.0,
        specific_heat_J_kgK=said.specific_heat or 1000.0,
        vapour_resistance_factor=said.vapour_resistance_factor or 1.0,
    )
    return Made(layer, "other")


def insulation_layer(said: LayerSaid, depth: float | None, spot: str) -> tuple[Layer, tuple[str, ...]]:
    """Insulation named by its label ("R-13", "R-15 mineral wool") or by material ("closed-cell spray foam")."""
    layer, notes = _named(said.insulation or "", said, depth, spot)
    if layer.resistance_m2K_W <= 0.0:
        raise InputError(
            "insulation", said.insulation, "has no thermal resistance of its own", "name a membrane as a `material`", spot
        )
    return layer, notes


def _named(words: str, said: LayerSaid, depth: float | None, spot: str) -> tuple[Layer, tuple[str, ...]]:
    batts = {row["name"].lower(): row for row in rows("batts")}
    if words.lower() in batts:
        return _batt(batts[words.lower()], depth, said)
    label = re.match(r"^(R-?\d+(?:\.\d+)?)(?: (.+))?$", words, re.IGNORECASE)
    if label:
        return _labelled(units.parse(label[1], "thermal resistance"), label[2] or "glass fibre batt", words, depth, spot)
    row = material_row(words, spot)
    if depth is None:
        raise InputError("thickness", None, f"is missing for {words!r}", "", spot)
    return material_layer(row, depth, said), ()


def _batt(batt: dict[str, str], depth: float | None, said: LayerSaid) -> tuple[Layer, tuple[str, ...]]:
    full = float(batt["thickness_in"]) * INCH_M
    thickness = min(depth or full, full)
    share = compressed_share(thickness / full)
    row = material_row(batt["material"], "batts")
    layer = Layer(
        name=said.name or f"{batt['name']} {row['name']}",
        thickness_m=thickness,
        resistance_m2K_W=float(batt["r_ip"]) * R_IP_M2K_W * share,
        density_kg_m3=float(batt["density_kg_m3"]) * full / thickness,
        specific_heat_J_kgK=float(row["specific_heat_J_kgK"]),
        vapour_resistance_factor=1.0,
    )
    if share > 0.999:
        return layer, ()
    r_left = float(batt["r_ip"]) * share
    return layer, (
        f"{batt['name']} batt pressed from {full / INCH_M:g} to {thickness / INCH_M:g} in counts as R-{r_left:.1f}"
        " (24 CFR 3280.509(c))",
    )


def _labelled(r: float, material: str, words: str, depth: float | None, spot: str) -> tuple[Layer, tuple[str, ...]]:
    row = material_row(material, spot)
    conductivity = _number(row, "conductivity_W_mK")
    thickness = depth or (r * conductivity if conductivity else None)
    if thickness is None:
        raise InputError("thickness", None, f"is missing for {words!r}", "", spot)
    factor = _vapour_factor(row, thickness)
    return Layer(
        name=words,
        thickness_m=thickness,
        resistance_m2K_W=r,
        density_kg_m3=float(row["density_kg_m3"]),
        specific_heat_J_kgK=float(row["specific_heat_J_kgK"]),
        vapour_resistance_factor=factor,
    ), ()
