"""What a person may say about an assembly, field by field: materials, labelled batts and own values as layers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from heatcalc import units
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import Checked, quantity
from heatcalc.physics.shell.framing import INCH_M, R_IP_M2K_W, compressed_share
from heatcalc.physics.shell.layers import Layer
from heatcalc.tables import rows

Length = quantity("length", 1e-5, 1.5)
Price = float | None
FT2_M2 = 0.09290304


class LayerSaid(Checked):
    """One layer: a material, a framed cavity (`framing` + `insulation`) or an air layer (`air`)."""

    material: str | None = None
    name: str | None = None
    thickness: Length | None = None  # type: ignore[valid-type]
    thickest: Length | None = None  # type: ignore[valid-type]
    taper: Literal["rectangle", "thick at apex", "thin at apex"] = "rectangle"
    r_value: quantity("thermal resistance", 0.0, 20.0) | None = None  # type: ignore[valid-type]
    conductivity: quantity("conductivity", 0.001, 500.0) | None = None  # type: ignore[valid-type]
    density: quantity("density", 0.1, 20000.0) | None = None  # type: ignore[valid-type]
    specific_heat: quantity("specific heat", 100.0, 5000.0) | None = None  # type: ignore[valid-type]
    vapour_resistance_factor: float | None = Field(None, ge=1.0, le=1e7)
    framing: str | None = None
    framing_fraction: quantity("fraction", 0.0, 0.9) | None = None  # type: ignore[valid-type]
    framing_material: str = "softwood framing"
    insulation: str | None = None
    insulation_thickness: Length | None = None  # type: ignore[valid-type]
    same_framing_as: int | None = Field(None, ge=1)
    gaps: Literal["none", "small", "large"] = "none"
    fasteners_per_m2: float = Field(0.0, ge=0.0, le=50.0)
    fastener_area_mm2: float = Field(20.0, gt=0.0, le=500.0)
    fastener_depth: Length | None = None  # type: ignore[valid-type]
    air: quantity("length", 0.001, 0.3) | None = None  # type: ignore[valid-type]
    emittance: float = Field(0.9, ge=0.02, le=0.98)
    openings: str = "none"
    price_per_ft2: float | None = Field(None, ge=0.0, le=10000.0)


class ThermalBridgeSaid(Checked):
    """A repeated linear bridge (`psi` every `spacing`) or point bridge (`chi` for `each` area)."""

    name: str
    psi: quantity("linear thermal transmittance", -1.0, 10.0) | None = None  # type: ignore[valid-type]
    spacing: quantity("length", 0.05, 20.0) | None = None  # type: ignore[valid-type]
    chi: quantity("heat loss coefficient", -1.0, 50.0) | None = None  # type: ignore[valid-type]
    each: quantity("area", 0.01, 200.0) | None = None  # type: ignore[valid-type]


class OpaqueSaid(Checked):
    """A wall, roof or floor, layers from the inside to the outside."""

    kind: Literal["wall", "roof", "floor"]
    title: str = ""
    source: str = "layers as written; material values from the materials table"
    notes: tuple[str, ...] = ()
    layers: tuple[LayerSaid, ...] = Field(min_length=1, max_length=40)
    films: Literal["iso", "north american"] = "iso"
    thermal_bridges: tuple[ThermalBridgeSaid, ...] = ()


class WindowSaid(Checked):
    """A window: the label's whole-window values win; parts by ISO 10077-1 next; the default table last."""

    kind: Literal["window"]
    title: str = ""
    source: str = "as written"
    notes: tuple[str, ...] = ()
    u_value: quantity("U-value", 0.2, 9.0) | None = None  # type: ignore[valid-type]
    shgc: float | None = Field(None, ge=0.02, le=0.95)
    air_leakage_cfm_ft2: float | None = Field(None, ge=0.0, le=5.0)
    frame: Literal["nonmetal", "thermal break", "metal"] = "nonmetal"
    panes: Literal["single", "double"] = "double"
    glazing: str | None = None
    frame_share: quantity("fraction", 0.01, 0.8) | None = None  # type: ignore[valid-type]
    width: quantity("length", 0.2, 5.0) = 0.9144  # type: ignore[valid-type]
    height: quantity("length", 0.2, 5.0) = 0.9144  # type: ignore[valid-type]
    frame_width: quantity("length", 0.01, 0.3) = 0.0635  # type: ignore[valid-type]
    glass_u: quantity("U-value", 0.2, 7.0) | None = None  # type: ignore[valid-type]
    frame_u: quantity("U-value", 0.2, 15.0) | None = None  # type: ignore[valid-type]
    glass_shgc: float | None = Field(None, ge=0.02, le=0.95)
    edge_psi: quantity("linear thermal transmittance", 0.0, 0.5) = 0.08  # type: ignore[valid-type]
    mass_per_area: quantity("mass per area", 2.0, 200.0) = 24.4  # type: ignore[valid-type]
    price_per_ft2: float | None = Field(None, ge=0.0, le=10000.0)

    @property
    def air_leakage(self) -> float | None:
        """Label air leakage [m3/(s m2)]."""
        return None if self.air_leakage_cfm_ft2 is None else self.air_leakage_cfm_ft2 * 4.719474e-4 / FT2_M2

    @property
    def price_per_m2(self) -> float | None:
        """Price in the user's money per m2."""
        return None if self.price_per_ft2 is None else self.price_per_ft2 / FT2_M2


class DoorSaid(Checked):
    """A door: its U-value, its layers, or a type of the door table."""

    kind: Literal["door"]
    title: str = ""
    source: str = "as written"
    notes: tuple[str, ...] = ()
    u_value: quantity("U-value", 0.2, 9.0) | None = None  # type: ignore[valid-type]
    type: str | None = None
    layers: tuple[LayerSaid, ...] = ()
    price_per_ft2: float | None = Field(None, ge=0.0, le=10000.0)

    @property
    def price_per_m2(self) -> float | None:
        """Price in the user's money per m2."""
        return None if self.price_per_ft2 is None else self.price_per_ft2 / FT2_M2


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
