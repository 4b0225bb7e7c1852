"""What gaps, fasteners and repeated bridges add to an assembly's U-value, each with its formula (ISO 6946)."""

from __future__ import annotations

from heatcalc.answers.envelope.step import Step
from heatcalc.inputs.assembly.assembly_file import OpaqueAssembly
from heatcalc.inputs.assembly.assembly_layers import RepeatedBridge
from heatcalc.physics.shell.layers import Fasteners, Layer

ISO6946 = "ISO 6946 (from memory)"


def correction_steps(found: OpaqueAssembly) -> tuple[Step, ...]:
    """One step for each layer that is pierced or gappy, and one for each repeated bridge [W/m2K]."""
    u = found.u
    total = 1.0 / (u.combined - u.correction)
    pierced = [(k, layer) for k, layer in enumerate(found.layers, 1) if layer.penetration_W_m2K]
    return (
        *(_through(k, layer, total) for k, layer in pierced),
        *(_repeated(k, bridge) for k, bridge in enumerate(found.thermal_bridges, 1)),
    )


def _through(k: int, layer: Layer, total: float) -> Step:
    """dU = dU'' (R1/RT)^2 of one layer."""
    parts = (
        _raw(k, layer),
        Step(f"R1-{k}", f"the {layer.name} alone", layer.resistance_m2K_W, "thermal resistance"),
        Step("R_c", "total before corrections", total, "thermal resistance", source="combined method"),
    )
    return Step(
        f"dU{k}",
        f"gaps and fasteners of the {layer.name}",
        layer.penetration_W_m2K * (layer.resistance_m2K_W / total) ** 2,
        "U-value",
        f"{{dU''{k}}} x ({{R1-{k}}} / {{R_c}})^2",
        parts,
        ISO6946,
    )


def _raw(k: int, layer: Layer) -> Step:
    """dU'' of one layer: the level of its gaps, and its fasteners."""
    name, gaps = f"dU''{k}", Step("gaps", "air gaps of this level", layer.gaps_W_m2K, "U-value", source=ISO6946)
    if layer.fasteners is None:
        return Step(name, "before it is scaled", layer.penetration_W_m2K, "U-value", "{gaps}", (gaps,), ISO6946)
    metal = _metal(layer.fasteners, layer.thickness_m)
    own = "0.8 x {d1} / {d0} x {k} x {A_f} x {n} / {d0}"
    formula = f"{{gaps}} + {own}" if layer.gaps_W_m2K else own
    parts = (gaps, *metal) if layer.gaps_W_m2K else metal
    return Step(name, "before it is scaled", layer.penetration_W_m2K, "U-value", formula, parts, ISO6946, si=True)


def _metal(f: Fasteners, thickness_m: float) -> tuple[Step, ...]:
    return (
        Step("d1", "depth of a fastener in the layer", min(f.depth_m, thickness_m), "length"),
        Step("d0", "thickness of the layer", thickness_m, "length"),
        Step("k", "conductivity of a fastener", f.conductivity, "conductivity"),
        Step("A_f", "section of a fastener", f.area_m2, "area"),
        Step("n", "fasteners in a square metre", f.per_m2, "number"),
    )


def _repeated(k: int, bridge: RepeatedBridge) -> Step:
    """psi over spacing, or chi over the area each stands for."""
    symbol, kind, per, over = (
        (f"psi{k}", "linear thermal transmittance", f"s{k}", "length")
        if bridge.linear
        else (f"chi{k}", "heat loss coefficient", f"A{k}", "area")
    )
    parts = (
        Step(symbol, "what one adds", bridge.loss, kind),
        Step(per, "spacing" if bridge.linear else "area each stands for", bridge.per, over),
    )
    return Step(
        f"dU-b{k}", bridge.name, bridge.added_W_m2K, "U-value", f"{{{symbol}}} / {{{per}}}", parts, "repeated bridge, ISO 6946"
    )
