"""One assembly explained, or several side by side: heat, mass, dynamics, inches; what gaps, fasteners and repeated bridges add
to its U-value, each with its formula (ISO 6946).
"""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.answers.envelope.step import Step
from heatcalc.inputs.assembly.assembly_file import Assembly, DoorAssembly, OpaqueAssembly, WindowAssembly
from heatcalc.inputs.assembly.assembly_layers import RepeatedBridge
from heatcalc.physics.shell.dynamics import Dynamics, dynamics
from heatcalc.physics.shell.layers import Fasteners, Layer, UValue, equivalent_resistance, heat_paths, u_value
from heatcalc.physics.shell.vapour import interface_temperatures, retarder_class

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


METHOD = (
    "combined method of ISO 6946: mean of the upper limit (heat flows straight) and the lower limit "
    "(planes between layers isothermal) of the total resistance, corrections added"
)


@dataclass(frozen=True, kw_only=True)
class LayerLine:
    """One line of the explanation; temperatures on the layer's inner side through the clear section."""

    name: str
    thickness_m: float
    resistance_m2K_W: float
    equivalent_m2K_W: float
    framing_share: float
    framing_resistance_m2K_W: float | None
    mass_kg_m2: float
    sd_m: float
    retarder: str
    inner_C: float | None
    group: str = "other"
    cladding: bool = False


@dataclass(frozen=True, kw_only=True)
class AssemblyAnswer:
    """What the bench says of one assembly; None where it has no layers to say it from."""

    name: str
    kind: str
    title: str
    source: str
    u_value_W_m2K: float
    u: UValue | None
    dynamics: Dynamics | None
    thickness_m: float | None
    mass_kg_m2: float | None
    price_per_m2: float | None
    price_basis: str
    shgc: float | None
    air_leakage_m3_s_m2: float | None
    lines: tuple[LayerLine, ...]
    paths: tuple[tuple[float, float], ...]
    r_inside: float
    r_outside: float
    notes: tuple[str, ...]
    corrections: tuple[Step, ...] = ()
    outer_C: float | None = None
    """Temperature of the outer surface (of the last layer that counts)."""

    @property
    def spread(self) -> float | None:
        """Half the distance between the two limits, as a share of U."""
        if self.u is None:
            return None
        return 0.5 * (self.u.lower_limit - self.u.upper_limit) / self.u.combined

    @property
    def resistance_per_metre(self) -> float | None:
        """Total resistance per thickness [mK/W]: what an inch of wall buys."""
        return 1.0 / self.u_value_W_m2K / self.thickness_m if self.thickness_m else None


def explain_assembly(found: Assembly, indoor_C: float | None = None, outdoor_C: float | None = None) -> AssemblyAnswer:
    """The answer for one assembly; with two air temperatures the layers carry their temperatures."""
    if isinstance(found, OpaqueAssembly):
        return _opaque(found, indoor_C, outdoor_C)
    if isinstance(found, DoorAssembly) and found.layers:
        return _layered_door(found, indoor_C, outdoor_C)
    assert isinstance(found, WindowAssembly | DoorAssembly)
    pane = found if isinstance(found, WindowAssembly) else None
    return AssemblyAnswer(
        name=found.name,
        kind=found.kind,
        title=found.title,
        source=found.source,
        u_value_W_m2K=found.u_value_W_m2K,
        u=None,
        dynamics=None,
        thickness_m=None,
        mass_kg_m2=pane.mass_kg_m2 if pane else None,
        price_per_m2=found.price_per_m2,
        price_basis=found.price_basis,
        shgc=pane.shgc if pane else None,
        air_leakage_m3_s_m2=pane.air_leakage_m3_s_m2 if pane else None,
        lines=(),
        paths=(),
        r_inside=0.13,
        r_outside=0.04,
        notes=found.notes,
    )


def _opaque(found: OpaqueAssembly, indoor_C: float | None, outdoor_C: float | None) -> AssemblyAnswer:
    u = found.u
    inner = _temperatures(found.layers, found.r_inside, found.r_outside, indoor_C, outdoor_C)
    everything = zip(
        (*found.layers, *found.cladding), (*inner[:-1], *([outdoor_C] * len(found.cladding))), found.groups, strict=True
    )
    lines = tuple(_line(layer, at, group, k >= len(found.layers)) for k, (layer, at, group) in enumerate(everything))
    return AssemblyAnswer(
        name=found.name,
        kind=found.kind,
        title=found.title,
        source=found.source,
        u_value_W_m2K=u.combined,
        u=u,
        dynamics=dynamics(found.layers, found.r_inside, found.r_outside),
        thickness_m=found.thickness_m,
        mass_kg_m2=found.mass_kg_m2,
        price_per_m2=found.price_per_m2,
        price_basis=found.price_basis,
        shgc=None,
        air_leakage_m3_s_m2=None,
        lines=lines,
        paths=tuple(heat_paths(found.layers, found.r_inside, found.r_outside)),
        r_inside=found.r_inside,
        r_outside=found.r_outside,
        notes=found.notes,
        corrections=correction_steps(found),
        outer_C=inner[-1],
    )


def _layered_door(found: DoorAssembly, indoor_C: float | None, outdoor_C: float | None) -> AssemblyAnswer:
    films = found.r_inside, found.r_outside
    inner = _temperatures(found.layers, *films, indoor_C, outdoor_C)
    lines = tuple(_line(layer, at) for layer, at in zip(found.layers, inner[:-1], strict=True))
    return AssemblyAnswer(
        name=found.name,
        kind=found.kind,
        title=found.title,
        source=found.source,
        u_value_W_m2K=found.u_value_W_m2K,
        u=u_value(found.layers, *films),
        dynamics=dynamics(found.layers, *films),
        thickness_m=sum(x.thickness_m for x in found.layers),
        mass_kg_m2=sum(x.mass_kg_m2 for x in found.layers),
        price_per_m2=found.price_per_m2,
        price_basis=found.price_basis,
        shgc=None,
        air_leakage_m3_s_m2=None,
        lines=lines,
        paths=tuple(heat_paths(found.layers, *films)),
        r_inside=found.r_inside,
        r_outside=found.r_outside,
        notes=found.notes,
        outer_C=inner[-1],
    )


def _temperatures(
    layers: tuple[Layer, ...], r_inside: float, r_outside: float, indoor_C: float | None, outdoor_C: float | None
) -> list[float | None]:
    """Of the inner side of each layer and of the outer surface, through the clear section."""
    if indoor_C is None or outdoor_C is None:
        return [None] * (len(layers) + 1)
    clear = [layer.resistance_m2K_W for layer in layers]
    return [float(t) for t in interface_temperatures(clear, r_inside, r_outside, indoor_C, outdoor_C)]


def _line(layer: Layer, inner_C: float | None, group: str = "other", cladding: bool = False) -> LayerLine:
    framing = layer.bridges[0].resistance_m2K_W if layer.bridges else None
    return LayerLine(
        name=layer.name,
        thickness_m=layer.thickness_m,
        resistance_m2K_W=layer.resistance_m2K_W,
        equivalent_m2K_W=equivalent_resistance(layer),
        framing_share=1.0 - layer.main_share,
        framing_resistance_m2K_W=framing,
        mass_kg_m2=layer.mass_kg_m2,
        sd_m=layer.sd_m,
        retarder=retarder_class(layer.sd_m),
        inner_C=inner_C,
        group=group,
        cladding=cladding,
    )


def record(answer: AssemblyAnswer) -> dict[str, object]:
    """The machine-readable record of one assembly, SI, None where a window or door has no layers."""
    u, moving = answer.u, answer.dynamics
    return {
        "name": answer.name,
        "kind": answer.kind,
        "title": answer.title,
        "u_value_W_m2K": answer.u_value_W_m2K,
        "u_upper_limit_W_m2K": u.upper_limit if u else None,
        "u_lower_limit_W_m2K": u.lower_limit if u else None,
        "r_total_m2K_W": 1.0 / answer.u_value_W_m2K,
        "parallel_path_u_W_m2K": u.parallel_path if u else None,
        "isothermal_planes_u_W_m2K": u.isothermal_planes if u else None,
        "thickness_m": answer.thickness_m,
        "mass_kg_m2": answer.mass_kg_m2,
        "areal_heat_capacity_inside_J_m2K": moving.heat_capacity_inside if moving else None,
        "periodic_transmittance_W_m2K": moving.periodic_transmittance if moving else None,
        "decrement_factor": moving.decrement_factor if moving else None,
        "time_lag_h": moving.time_lag_h if moving else None,
        "shgc": answer.shgc,
        "price_per_m2": answer.price_per_m2,
        "price_basis": answer.price_basis,
        "notes": list(answer.notes),
        "source": answer.source,
    }
