"""Checks of films, air layers, U-values, ground, periodic heat flow, moisture, windows and two-dimensional conduction."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

from heatcalc.checks.published import Span
from heatcalc.physics.shell.dynamics import characteristics
from heatcalc.physics.shell.framing import R_IP_M2K_W, compressed_share, steel_stud_factor
from heatcalc.physics.shell.glazing import simple_window_u
from heatcalc.physics.shell.ground import slab_on_ground_u, sleeve_resistance, time_to_freezing_s, water_heat, yearly_depth
from heatcalc.physics.shell.layers import (
    Bridge,
    Layer,
    air_layer_resistance,
    heat_paths,
    inside_resistance,
    outside_resistance,
    surface_resistance,
    u_value,
    upper_limit_resistance,
)
from heatcalc.physics.shell.vapour import lowest_safe_surface, needed_temperature_factor, saturation_pressure

INCH_M = 0.0254


def film(side: str, direction: str, figure: str) -> float:
    """Surface resistance: tabulated or by formula [m2K/W], or the code's air film [h ft2 F/Btu]."""
    if figure == "formula":
        return inside_resistance(direction)
    if figure == "code":
        return surface_resistance(side, direction, "north american") / R_IP_M2K_W
    return surface_resistance(side, direction)


def film_by_wind(wind_m_s: float) -> float:
    """Outside surface resistance in wind [m2K/W]."""
    return outside_resistance(wind_m_s)


def air_layer(thickness_mm: float, direction: str) -> float:
    """Unventilated air layer [m2K/W]."""
    return air_layer_resistance(thickness_mm / 1000, direction)


def foil_air_space(emittance: float, other: float, direction: str) -> float:
    """13 mm air space with foil at 23 C [m2K/W]."""
    return air_layer_resistance(0.013, direction, emittance, other, mean_C=23.0)


def component_u(sheet: str, r_inside: float, r_outside: float, layers: list) -> float:
    """U of a component with framing by the combined method [W/m2K]; layers as thickness, conductivity, other, share."""
    return u_value([_layer(*row) for row in layers], r_inside, r_outside).combined


def _layer(name: str, thickness: float, conductivity: float, other: float = 0.0, share: float = 0.0) -> Layer:
    bridges = (Bridge(name="wood", share=share, resistance_m2K_W=thickness / other),) if other else ()
    return Layer(name=name, thickness_m=thickness, resistance_m2K_W=thickness / conductivity, bridges=bridges)


def _ip(r: float, share: float = 0.0, other: float = 1.0) -> Layer:
    """A layer of a known resistance, in whatever unit the sum is done."""
    return Layer(
        name="layer",
        thickness_m=0.01,
        resistance_m2K_W=r,
        bridges=(Bridge(name="stud", share=share, resistance_m2K_W=other),) if share else (),
    )


def stacked_layers(layers: list, r_inside: float, r_outside: float, figure: str) -> float:
    """Paths and U of layers of known resistance; a bridged layer is [resistance, share, resistance of the bridge]."""
    stack = [_ip(*row) if isinstance(row, list) else _ip(row) for row in layers]
    if figure in ("clear path", "framed path"):
        return heat_paths(stack, r_inside, r_outside)[figure == "framed path"][1]
    if figure == "upper limit":
        return upper_limit_resistance(stack, r_inside, r_outside)
    return getattr(u_value(stack, r_inside, r_outside), figure)


def insulation_over_base(base_low: float, base_high: float, base_r: float, r: float) -> Span:
    """U of an assembly of a printed base with insulation `r` instead of `base_r`, in the table's own unit."""
    low, middle, high = (1 / (1 / base - base_r + r) for base in (base_low, 0.5 * (base_low + base_high), base_high))
    return Span(low, middle, high)


def steel_stud_wall(r: float) -> Span:
    """U of a wall with steel studs 16 in apart [Btu/(h ft2 F)]; Fc is printed to 0.01."""
    factor = steel_stud_factor(r, 16)
    low, middle, high = (
        u_value([_ip(0.56), _ip(r * f), _ip(0.64)], 0.68, 0.17).combined for f in (factor + 0.005, factor, factor - 0.005)
    )
    return Span(low, middle, high)


def steel_stud_effective_r(r: float, spacing_in: float) -> Span:
    """Effective R of insulation between steel studs; Fc is printed to 0.01."""
    factor = steel_stud_factor(r, spacing_in)
    return Span(r * (factor - 0.005), r * factor, r * (factor + 0.005))


def compressed_percent(thickness_percent: float) -> float:
    """Share of R left in a compressed batt [%]."""
    return 100 * compressed_share(thickness_percent / 100)


def compressed_batt(batt: str, cavity_in: float) -> float:
    """R of a labelled batt in a thinner cavity, by the law's table [h ft2 F/Btu]."""
    from heatcalc.tables import rows

    row = next(r for r in rows("batts") if r["name"] == batt)
    return float(row["r_ip"]) * compressed_share(cavity_in / float(row["thickness_in"]))


def slab_by_ratio(perimeter_over_area: float) -> float:
    """Uninsulated solid floor on clay by P/A [W/m2K]."""
    return slab_on_ground_u(0.0, 1.0, perimeter_over_area)


def depth_in_soil(conductivity: float) -> float:
    """Depth of the year's swing in soil of a conductivity [m]."""
    return yearly_depth(conductivity)


def periodic(construction: str, layers: list, figure: str) -> float:
    """Periodic characteristics of a construction; layers as thickness, conductivity, density, specific heat."""
    found = characteristics([d / k for d, k, _, _ in layers], [d * rho * c for d, _, rho, c in layers], 0.13, 0.04)
    kilo = 1000.0 if figure.startswith("heat_capacity") else 1.0
    return getattr(found, figure) / kilo


def vapour_pressure(t_C: float, humidity: float) -> float:
    """Vapour pressure [Pa]."""
    return float(humidity * saturation_pressure(t_C))


def mould_limit(figure: str) -> float:
    """Lowest safe surface [C] or the factor it needs, 20 C 50 % inside and -5 C outside."""
    vapour = float(0.5 * saturation_pressure(20.0))
    return lowest_safe_surface(vapour) if figure == "surface" else needed_temperature_factor(vapour, -5.0, 20.0)


def whole_window(glass_u: float, frame_u: float, psi: float) -> float:
    """U of a 1.23 x 1.48 m window, frame 109 mm [W/m2K]."""
    return simple_window_u(1.23, 1.48, 0.109, glass_u, frame_u, psi)


@cache
def _square_column():
    import numpy as np

    from heatcalc.physics.shell.conduction import solve
    from heatcalc.physics.shell.conduction_mesh import AirSide, Edge, Grid, Region, Section

    box = Region(((0, 0), (0.5, 0), (0.5, 1), (0, 1)), 1.0)
    section = Section(
        (box,), (AirSide(20, 0), AirSide(0, 0)), (Edge("top", 0, 0.5, 0), Edge("left", 0, 1, 1), Edge("bottom", 0, 0.5, 1))
    )
    return solve(section, Grid(np.linspace(0, 0.5, 65), np.linspace(0, 1, 129)))


def column_temperature(x: str, y: str) -> float:
    """ISO 10211 case 1: temperature in half of a square column, 64 x 128 cells [C]."""
    from heatcalc.physics.shell.conduction import temperature_at

    return float(temperature_at(_square_column(), float(Fraction(x)), float(Fraction(y))))


@cache
def _case_2():
    from importlib.resources import files

    from heatcalc.inputs.assembly.detail import read_detail
    from heatcalc.inputs.checked import read_toml
    from heatcalc.model.detail_bridge import solve_detail

    file = files("heatcalc") / "checks" / "iso10211_case2.toml"
    return solve_detail(read_detail(read_toml(str(file)), "case-2", "case 2"), 0.002)


def detail_of_case_2(point: str) -> float:
    """ISO 10211 case 2: temperature at a lettered point [C], or the heat flow [W/m]."""
    return _case_2().heat_flow_W_m if point == "heat flow" else dict(_case_2().points)[point]


def metal_joist_floor(r_ip: float, depth_in: float) -> float:
    """U of a floor on 54 mil steel channels 16 in apart, carpet on pad, in two dimensions [Btu/(h ft2 F)]."""
    from heatcalc.physics.shell.conduction import solve_to_limit
    from heatcalc.physics.shell.conduction_mesh import AirSide, Edge, Region, Section

    def box(left: float, right: float, low: float, high: float, conductivity: float) -> Region:
        return Region(((left, low), (right, low), (right, high), (left, high)), conductivity)

    half, top, t, f, pad, ply = 8 * INCH_M, depth_in * INCH_M, 0.054 * INCH_M, 0.8125 * INCH_M, 0.0127, 0.01905
    section = Section(
        (
            box(-half, half, 0, top, top / (r_ip * R_IP_M2K_W)),
            box(-half, half, top, top + ply, 0.1154),
            box(-half, half, top + ply, top + ply + pad, pad / (1.23 * R_IP_M2K_W)),
            box(-f, f, 0, t, 50.0),
            box(-f, f, top - t, top, 50.0),
            box(-f, -f + t, 0, top, 50.0),
        ),
        (AirSide(20, 0.92 * R_IP_M2K_W), AirSide(0, 0.17 * R_IP_M2K_W)),
        (Edge("top", -half, half, 0), Edge("bottom", -half, half, 1)),
    )
    return solve_to_limit(section, 0.002).field.heat_flow_W_m / 20 / (2 * half) * R_IP_M2K_W


def time_to_freezing(
    inside_in: float, outside_in: float, insulation_in: float, k_ip: float, from_F: float, ambient_F: float
) -> float:
    """Time until standing water in an insulated pipe reaches freezing [h]; k in Btu in/(h ft2 F)."""
    k = k_ip * INCH_M / R_IP_M2K_W
    sleeve = sleeve_resistance(outside_in * INCH_M, (outside_in + 2 * insulation_in) * INCH_M, k)
    start, around = ((x - 32.0) / 1.8 for x in (from_F, ambient_F))
    return time_to_freezing_s(water_heat(inside_in * INCH_M), sleeve, start, around) / 3600.0


EVALUATORS = {
    f.__name__: f
    for f in (
        film,
        film_by_wind,
        air_layer,
        foil_air_space,
        component_u,
        stacked_layers,
        insulation_over_base,
        steel_stud_wall,
        steel_stud_effective_r,
        compressed_percent,
        compressed_batt,
        slab_by_ratio,
        depth_in_soil,
        periodic,
        vapour_pressure,
        mould_limit,
        whole_window,
        column_temperature,
        detail_of_case_2,
        metal_joist_floor,
        time_to_freezing,
    )
}
