"""What a person may say about an assembly, field by field."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from heatcalc.inputs.checked import Checked, quantity

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
