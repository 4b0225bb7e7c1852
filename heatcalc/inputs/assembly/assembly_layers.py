"""From what was said about layers to `Layer`s: materials, framing, batts, air layers, ventilated cavities."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from heatcalc.errors import InputError
from heatcalc.inputs.assembly.assembly_materials import (
    FT2_M2,
    LayerSaid,
    Made,
    OpaqueSaid,
    ThermalBridgeSaid,
    insulation_layer,
    material_layer,
    material_row,
    plain_layer,
)
from heatcalc.physics.shell.framing import (
    INCH_M,
    R_IP_M2K_W,
    Framing,
    counts_as_short,
    default_share,
    read_framing,
    steel_stud_factor,
)
from heatcalc.physics.shell.layers import (
    Bridge,
    Fasteners,
    Layer,
    air_layer_resistance,
    surface_resistance,
    ventilated_share,
    with_fitted_taper,
)
from heatcalc.wording import Q, Said, worded

DIRECTION = {"wall": "horizontal", "roof": "up", "floor": "down"}
GAPS_W_m2K = {"none": 0.0, "small": 0.01, "large": 0.04}  # ISO 6946 levels 0, 1, 2 (from memory)
AIR_DENSITY, AIR_SPECIFIC_HEAT = 1.23, 1008.0
MOST_CROSSING = 6  # patterns of framing that may cross; the straight paths double with each
STEEL_CONDUCTIVITY = 50.0
STEEL_STUD_kg_m = 1.3  # light-gauge C stud 3 1/2 in, about 0.9 lb/ft (from memory)
_OPENING_WORDS = {"none": 0.0, "closed": 0.0, "well ventilated": 1500.0, "ventilated": 1500.0, "open": 1500.0}


@dataclass(frozen=True)
class RepeatedBridge:
    """A repeated bridge spread over the assembly's area [W/m2K], with what it was made from."""

    name: str
    loss: float
    """psi [W/mK] of a linear bridge, chi [W/K] of a point."""
    per: float
    """Its spacing [m], or the area each stands for [m2]."""
    linear: bool

    @property
    def added_W_m2K(self) -> float:
        """psi over spacing, or chi over area (ISO 6946, from memory)."""
        return self.loss / self.per

    @property
    def basis(self) -> Said:
        """What it was made from."""
        if self.linear:
            return worded("psi {} every {}", Q(self.loss, "linear thermal transmittance"), Q(self.per, "length"))
        return worded("chi {} for each {}", Q(self.loss, "heat loss coefficient"), Q(self.per, "area"))


@dataclass(frozen=True)
class SteelStuds:
    """Steel studs in one layer: its index, the insulation's own resistance, the spacing."""

    layer: int
    insulation_m2K_W: float
    spacing_m: float


@dataclass(frozen=True, kw_only=True)
class Built:
    """Everything `build` makes of an opaque assembly."""

    layers: tuple[Layer, ...]
    cladding: tuple[Layer, ...]
    r_inside: float
    r_outside: float
    direction: str
    thermal_bridges: tuple[RepeatedBridge, ...]
    groups: tuple[str, ...]
    notes: tuple[str, ...]
    price_per_m2: float | None
    steel_studs: SteelStuds | None


def build(said: OpaqueSaid, where: str) -> Built:
    """The layers of a checked wall, roof or floor.  Raises InputError naming the layer by its number."""
    direction = DIRECTION[said.kind]
    r_inside = surface_resistance("inside", direction, said.films)
    r_outside = surface_resistance("outside", direction, said.films)
    made = [_layer(layer, i, direction, said, where) for i, layer in enumerate(said.layers)]
    bridges = tuple(_bridge(b, where) for b in said.thermal_bridges)
    layers, cladding, r_out, notes = _at_the_cavity(made, r_inside, r_outside, where)
    patterns = {layer.pattern for layer in layers if layer.bridges}
    if len(patterns) > MOST_CROSSING:
        raise InputError(
            "layers",
            None,
            f"have {len(patterns)} framing patterns that cross; at most {MOST_CROSSING} are taken",
            "use same_framing_as for layers between the same members",
            where,
        )
    layers = _tapered(said, layers, r_inside + r_out)
    if bridges:
        added = layers[0].added_W_m2K + sum(b.added_W_m2K for b in bridges)
        layers = (replace(layers[0], added_W_m2K=added), *layers[1:])
    if not sum(layer.resistance_m2K_W for layer in layers) > 0.0:
        raise InputError(
            "layers", None, "have no thermal resistance at all; name a material with thickness or an R-value", "", where
        )
    return Built(
        layers=layers,
        cladding=cladding,
        r_inside=r_inside,
        r_outside=r_out,
        direction=direction,
        thermal_bridges=bridges,
        groups=tuple(m.group for m in made),
        notes=tuple(n for m in made for n in m.notes) + notes,
        price_per_m2=_price(said),
        steel_studs=next((SteelStuds(k, *m.between_studs) for k, m in enumerate(made) if m.between_studs), None),
    )


def _price(said: OpaqueSaid) -> float | None:
    prices = [layer.price_per_ft2 for layer in said.layers if layer.price_per_ft2 is not None]
    return sum(prices) / FT2_M2 if prices else None


def _layer(said: LayerSaid, i: int, direction: str, whole: OpaqueSaid, where: str) -> Made:
    spot = f"{where} layer {i + 1}"
    try:
        if said.air is not None and said.framing is None:
            return _air(said, direction, spot)
        made = _framed(said, i, direction, whole, spot) if said.framing or said.same_framing_as else plain_layer(said, spot)
    except ValueError as problem:
        if isinstance(problem, InputError):
            raise
        raise InputError("layer", said.framing or said.material, str(problem), "", spot) from None
    depth = said.fastener_depth or made.layer.thickness_m
    steel = Fasteners(STEEL_CONDUCTIVITY, said.fastener_area_mm2 * 1e-6, said.fasteners_per_m2, depth)
    through = steel if steel.area_m2 * steel.per_m2 > 0 else None
    return replace(made, layer=replace(made.layer, gaps_W_m2K=GAPS_W_m2K[said.gaps], fasteners=through))


def _framed(said: LayerSaid, i: int, direction: str, whole: OpaqueSaid, spot: str) -> Made:
    shared = said.same_framing_as
    if shared is not None and not (shared <= i and whole.layers[shared - 1].framing):
        raise InputError("same_framing_as", shared, "is the number of an earlier layer that has framing", "", spot)
    words = whole.layers[shared - 1] if shared is not None else said
    framing = read_framing(words.framing or "")
    depth = said.thickness or said.air or (framing.depth_m if shared is None else None)
    if depth is None:
        raise InputError("thickness", None, "is needed where framing is shared with another layer", "", spot)
    cavity, notes = _cavity(said, depth, direction, spot)
    if framing.steel:
        return _steel(cavity, framing, spot, notes)
    share, basis = (words.framing_fraction, "as given") if words.framing_fraction is not None else default_share(framing)
    if share == 0.0:
        return Made(cavity, "framed", notes)
    row = material_row(said.framing_material, spot)
    stud = material_layer(row, depth, LayerSaid())
    bridge = Bridge(
        name=f"{framing.member} ({row['name']})",
        share=share,
        resistance_m2K_W=stud.resistance_m2K_W,
        density_kg_m3=stud.density_kg_m3,
        specific_heat_J_kgK=stud.specific_heat_J_kgK,
        vapour_resistance_factor=stud.vapour_resistance_factor,
    )
    note = () if shared else (f"{words.framing}: {share:.1%} of the area is framing ({basis})",)
    short = counts_as_short(share, bridge.resistance_m2K_W, cavity.resistance_m2K_W)
    flag = (
        (
            f"{framing.member} beside {cavity.name} have less than half its R on more than 1 % of the area: counted in U "
            "(24 CFR 3280.508(c))",
        )
        if short
        else ()
    )
    pattern = f"layer {shared or i + 1}"
    return Made(replace(cavity, bridges=(bridge,), pattern=pattern), "framed", (*notes, *note, *flag))


def _cavity(said: LayerSaid, depth: float, direction: str, spot: str) -> tuple[Layer, tuple[str, ...]]:
    """What stands between the members, `depth` deep: insulation, with an air gap where it is thinner."""
    if said.insulation is None:
        resistance = air_layer_resistance(min(depth, 0.3), direction, said.emittance)
        return Layer(
            name=said.name or "empty cavity",
            thickness_m=depth,
            resistance_m2K_W=resistance,
            density_kg_m3=AIR_DENSITY,
            specific_heat_J_kgK=AIR_SPECIFIC_HEAT,
            vapour_resistance_factor=1.0,
        ), ()
    if said.insulation_thickness is not None and said.insulation_thickness > depth + 0.001:
        sizes = worded("{} do not fit into {}", Q(said.insulation_thickness, "length", 3), Q(depth, "length", 3))
        raise InputError("insulation_thickness", None, sizes.said("both"), "leave it out: the cavity is filled", spot)
    room = said.insulation_thickness or depth
    layer, notes = insulation_layer(said, room, spot)
    gap = depth - layer.thickness_m
    if gap < 0.003:
        return replace(layer, thickness_m=depth), notes
    resistance = layer.resistance_m2K_W + air_layer_resistance(min(gap, 0.3), direction, said.emittance)
    share = layer.thickness_m / depth
    filled = replace(
        layer,
        thickness_m=depth,
        resistance_m2K_W=resistance,
        density_kg_m3=layer.density_kg_m3 * share,
        vapour_resistance_factor=max(layer.vapour_resistance_factor * share, 1.0),
    )
    return filled, (*notes, f"{layer.name} leaves a {gap / INCH_M:.2g} in air gap in the cavity")


def _steel(cavity: Layer, framing: Framing, spot: str, notes: tuple[str, ...]) -> Made:
    if framing.member != "studs":
        raise InputError(
            "framing",
            f"steel {framing.member}",
            "have no published correction factor; draw them as a 2-D detail "
            "(heatcalc bridge) and give the psi under thermal_bridges",
            "",
            spot,
        )
    factor = steel_stud_factor(cavity.resistance_m2K_W / R_IP_M2K_W, framing.spacing_m / INCH_M)
    density = cavity.density_kg_m3 + STEEL_STUD_kg_m / framing.spacing_m / cavity.thickness_m
    layer = replace(
        cavity,
        name=f"{cavity.name} between steel studs",
        density_kg_m3=density,
        resistance_m2K_W=cavity.resistance_m2K_W * factor,
    )
    note = (
        f"steel studs: correction factor {factor:.2f} on the insulation (ASHRAE 90.1 Normative Appendix A, some rows from "
        "memory); ISO 6946 has no limits for metal through insulation, so both limits show the same value"
    )
    return Made(layer, "steel framed", (*notes, note), between_studs=(cavity.resistance_m2K_W, framing.spacing_m))


# air layers and the ventilated cavity --------------------------------------------------------------------------


def _air(said: LayerSaid, direction: str, spot: str) -> Made:
    thickness = float(said.air or 0.0)
    resistance = air_layer_resistance(thickness, direction, said.emittance)
    layer = Layer(
        name=said.name or "air layer",
        thickness_m=thickness,
        resistance_m2K_W=resistance,
        density_kg_m3=AIR_DENSITY,
        specific_heat_J_kgK=AIR_SPECIFIC_HEAT,
        vapour_resistance_factor=1.0,
    )
    return Made(layer, "air", (), _openings(said.openings, spot))


def _openings(words: str, spot: str) -> float:
    if words.lower() in _OPENING_WORDS:
        return _OPENING_WORDS[words.lower()]
    match = re.match(r"^(\d+(?:\.\d+)?)\s*mm2(?:/m2?)?$", words.lower().replace("²", "2"))
    if not match:
        raise InputError("openings", words, 'write "none", "well ventilated" or an area like "1000 mm2/m"', "", spot)
    return float(match[1])


def _at_the_cavity(made: list[Made], r_inside: float, r_outside: float, where: str):
    """(layers, cladding, outside film, notes) after ISO 6946's rule for ventilated air layers.

    Well ventilated: the cavity and what is outside it do not insulate, the outer surface is sheltered (Rse = Rsi).
    Slightly ventilated: the resistances outside shrink so that the total is the linear blend of the two.
    """
    i = next((k for k, m in enumerate(made) if (m.openings_mm2_m or 0.0) > 500.0), None)
    layers = tuple(m.layer for m in made)
    if i is None:
        return layers, (), r_outside, ()
    share = ventilated_share(made[i].openings_mm2_m or 0.0)
    if share >= 1.0:
        if i == 0:
            raise InputError("layers", None, "nothing stands inside the ventilated cavity", "", where)
        return (layers[:i], layers[i:], r_inside, ("ventilated cavity: it and the cladding do not count in U (ISO 6946)",))
    outside = sum(layer.resistance_m2K_W for layer in layers[i:])
    blend = (1.0 - share) * outside + share * (r_inside - r_outside)
    scaled = tuple(replace(layer, resistance_m2K_W=layer.resistance_m2K_W * blend / outside) for layer in layers[i:])
    return (
        (*layers[:i], *scaled),
        (),
        r_outside,
        (f"slightly ventilated cavity: {share:.0%} of the way to well ventilated (ISO 6946)",),
    )


def _tapered(said: OpaqueSaid, layers: tuple[Layer, ...], films: float) -> tuple[Layer, ...]:
    for i, layer in enumerate(said.layers[: len(layers)]):
        if layer.thickest is not None and layer.thickness is not None and layer.thickest > layer.thickness:
            per_metre = layers[i].resistance_m2K_W / layers[i].thickness_m
            layers = with_fitted_taper(layers, i, (layer.thickest - layer.thickness) * per_metre, layer.taper, films)
            mean = {"rectangle": 1 / 2, "thick at apex": 1 / 3, "thin at apex": 2 / 3}[layer.taper]
            thickness = layer.thickness + mean * (layer.thickest - layer.thickness)
            layers = (*layers[:i], replace(layers[i], thickness_m=thickness), *layers[i + 1 :])
    return layers


def _bridge(said: ThermalBridgeSaid, where: str) -> RepeatedBridge:
    if said.psi is not None and said.spacing is not None:
        return RepeatedBridge(said.name, said.psi, said.spacing, True)
    if said.chi is not None and said.each is not None:
        return RepeatedBridge(said.name, said.chi, said.each, False)
    raise InputError("thermal_bridges", said.name, "needs psi with spacing, or chi with each (an area)", "", where)
