"""How much water may gather at one place of an assembly, and whose limit it is (tables/moisture_limits.csv)."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.inputs.assembly.assembly_file import OpaqueAssembly
from heatcalc.physics.shell.layers import Layer
from heatcalc.tables import rows


@dataclass(frozen=True)
class WaterLimit:
    """The most water [kg/m2] by one layer's rule, in words with its source."""

    kg_m2: float
    words: str


def limit_between(found: OpaqueAssembly, inner: int, outer: int) -> WaterLimit:
    """The stricter limit of the two layers that meet there."""
    both = (limit_of(found.layers[k], found.groups[k]) for k in {inner, outer})
    return min(both, key=lambda limit: limit.kg_m2)


def limit_of(layer: Layer, group: str) -> WaterLimit:
    """One layer's limit: a share of the mass of wood and its boards, else by area and by whether it takes water up."""
    row = _row(layer.name, group)
    source = f"{row['source']} ({row['mark']})"
    if row["share"]:
        share = float(row["share"])
        return WaterLimit(
            share * layer.density_kg_m3 * layer.thickness_m, f"{share:.0%} of the mass of the {layer.name}; {source}"
        )
    return WaterLimit(float(row["kg_m2"]), source)


def _row(name: str, group: str) -> dict[str, str]:
    known = {row["layer"]: row for row in rows("moisture_limits")}
    if name in known["wood product"]["materials"].split(";"):
        return known["wood product"]
    return known["wood" if group == "wood" else "absorbing" if group == "mineral" else "not absorbing"]
