"""What a drawn detail loses beyond its plain parts, how cold its surface gets, and what humidity that bears.

psi = L2D - sum U l (ISO 10211:2017, eq. for the linear thermal transmittance); f_Rsi = (t_si - t_e)/(t_i - t_e) and
the 80 % surface humidity limit after ISO 13788:2012.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.errors import InputError, NoAnswer
from heatcalc.inputs.assembly.detail import Detail
from heatcalc.physics.air.moist_air import saturation_pressure
from heatcalc.physics.shell.conduction import Converged, Field, cut_resistance, solve, solve_to_limit, temperature_at, with_films
from heatcalc.physics.shell.conduction_mesh import AirSide, Grid, Section, first_grid

LIMIT = 0.002  # share of the heat flow; ISO 10211 asks 0.01
MOULD_SURFACE_HUMIDITY = 0.80  # ISO 13788:2012, monthly mean at the surface
SHELTERED_FILM_m2K_W = 0.25  # ISO 13788:2012, inside film to judge opaque surfaces (corners, behind furniture)
LOW_R_SHARE = 0.01  # 24 CFR 3280.508(c): low-R paths count from 1 % of the area
CAUTIONS = (
    "Steady and two-dimensional: no air leakage, sun, rain, thermal mass; three-way corners are colder.",
    "The mould limit is a monthly mean at the surface (ISO 13788), not a promise that no mould grows;"
    " damp materials, furniture and wet rooms need more margin.",
    "Dimensions of a ready detail are common practice; draw your own steel before you rely on a number.",
    "For information: local codes and licensed practice decide.",
)


@dataclass(frozen=True)
class PlainPart:
    """A flank with its resolved U [W/m2K], lengths [m] and origin."""

    name: str
    u_value_W_m2K: float
    internal_m: float
    external_m: float
    origin: str


@dataclass(frozen=True, kw_only=True)
class Transmittance:
    """Coupling inside to outside and psi [W/mK] by both length conventions; None with the reason where undefined."""

    coupling_W_mK: float | None
    psi_internal_W_mK: float | None
    psi_external_W_mK: float | None
    reference: str
    change_W_mK: float | None  # by the last halving of the grid
    plain_parts: tuple[PlainPart, ...] = ()
    reference_flow_W_mK: float | None = None

    def psi(self, dimensions: str) -> float | None:
        """psi [W/mK] for "external" or "internal" lengths."""
        return self.psi_internal_W_mK if dimensions == "internal" else self.psi_external_W_mK


@dataclass(frozen=True, kw_only=True)
class BridgeAnswer:
    """The answer for one detail, with its terms, sources and cautions."""

    detail: Detail
    transmittance: Transmittance
    solution: Converged
    inside_C: float | None
    outside_C: float | None
    surface_temperature_min_C: float | None
    coldest_at_m: tuple[float, float] | None
    temperature_factor: float | None
    sheltered_temperature_factor: float | None
    mould_humidity_limit: float | None
    condensation_humidity: float | None
    low_r_share: float | None
    points: tuple[tuple[str, float], ...]
    cautions: tuple[str, ...] = CAUTIONS

    @property
    def heat_flow_W_m(self) -> float:
        """Heat through the section, W per metre run."""
        return self.solution.field.heat_flow_W_m

    @property
    def psi_W_mK(self) -> float | None:
        """psi by the detail's own length convention [W/mK]."""
        return self.transmittance.psi(self.detail.dimensions)

    @property
    def cells(self) -> int:
        """Cells of the last grid."""
        return self.solution.field.grid.cells

    @property
    def added_u_value_W_m2K(self) -> float | None:
        """psi over the member spacing [W/m2K], where the detail repeats."""
        psi, spacing = self.psi_W_mK, self.detail.spacing_m
        return None if psi is None or spacing is None else psi / spacing


def solve_detail(detail: Detail, share: float = LIMIT) -> BridgeAnswer:
    """Everything the drawing tells, refined until the heat flow changes by less than `share`.

    Raises InputError for a drawing that cannot be solved, NoAnswer where the limit needs too many cells.
    """
    solution = _converged(detail.section, share, detail.name)
    inside, outside = _one_temperature(detail, "inside"), _one_temperature(detail, "outside")
    coldest, at = _coldest(detail, solution.field)
    humidity = None if coldest is None or inside is None else _surface_humidity_ratio(coldest, inside)
    return BridgeAnswer(
        detail=detail,
        transmittance=transmittance(detail, solution, share),
        solution=solution,
        inside_C=inside,
        outside_C=outside,
        surface_temperature_min_C=coldest,
        coldest_at_m=at,
        temperature_factor=_factor(coldest, inside, outside),
        sheltered_temperature_factor=_sheltered_factor(detail, solution, inside, outside),
        mould_humidity_limit=None if humidity is None else min(MOULD_SURFACE_HUMIDITY * humidity, 1.0),
        condensation_humidity=None if humidity is None else min(humidity, 1.0),
        low_r_share=_low_r_share(detail, solution.field, inside, outside),
        points=_read_points(detail, solution.field),
    )


def transmittance(detail: Detail, solution: Converged, share: float = LIMIT) -> Transmittance:
    """psi = L2D - sum U l [W/mK]; the reference is the detail's flanks, or the drawing without its bridging regions.

    ISO 10211:2017.  Undefined (None, with the reason) without reference, or where air is neither in nor outside.
    """
    sides = detail.air_sides
    if "other" in sides or {"inside", "outside"} - set(sides):
        return Transmittance(
            coupling_W_mK=None,
            psi_internal_W_mK=None,
            psi_external_W_mK=None,
            reference="psi needs air inside and outside and no other air",
            change_W_mK=None,
        )
    coupling = _coupling(detail, solution.field)
    change = coupling * solution.last_change
    if detail.flanks:
        return _beyond_flanks(detail, coupling, change)
    if not any(detail.bridging):
        return Transmittance(
            coupling_W_mK=coupling,
            psi_internal_W_mK=None,
            psi_external_W_mK=None,
            reference="no psi: the drawing names no flank and no bridging region",
            change_W_mK=change,
        )
    plain = _converged(detail.without_bridges, share, detail.name)
    reference = _coupling(detail, plain.field)
    psi = coupling - reference
    return Transmittance(
        coupling_W_mK=coupling,
        psi_internal_W_mK=psi,
        psi_external_W_mK=psi,
        reference="the same drawing without its bridging regions",
        change_W_mK=change + reference * plain.last_change,
        plain_parts=(),
        reference_flow_W_mK=reference,
    )


def ready_values(detail: Detail) -> tuple[float, float, float | None]:
    """What a house cites of a detail: psi by external and internal lengths [W/mK], and f_Rsi of the coldest inside surface.

    f_Rsi is with the sheltered inside film of ISO 13788.  Raises NoAnswer where the drawing has no psi.
    """
    solution = _converged(detail.section, LIMIT, detail.name)
    found = transmittance(detail, solution)
    external, internal = found.psi_external_W_mK, found.psi_internal_W_mK
    if external is None or internal is None:
        raise NoAnswer(f"the ready detail {detail.name} has no psi: {found.reference}")
    inside, outside = _one_temperature(detail, "inside"), _one_temperature(detail, "outside")
    return external, internal, _sheltered_factor(detail, solution, inside, outside)


def _converged(section: Section, share: float, name: str) -> Converged:
    try:
        solve(section, first_grid(section))
    except ValueError as problem:
        raise InputError("region", None, str(problem), "", name) from None
    try:
        return solve_to_limit(section, share)
    except ValueError as problem:
        raise NoAnswer(f"{name}: {problem}; give a wider --limit or draw a smaller piece") from None


def _beyond_flanks(detail: Detail, coupling: float, change: float) -> Transmittance:
    parts = tuple(
        PlainPart(f.name, f.u_value_W_m2K or _cut_u_value(detail, f.cut, f.name), f.internal_m, f.external_m, f.origin)
        for f in detail.flanks
    )
    internal = coupling - sum(p.u_value_W_m2K * p.internal_m for p in parts)
    external = coupling - sum(p.u_value_W_m2K * p.external_m for p in parts)
    return Transmittance(
        coupling_W_mK=coupling,
        psi_internal_W_mK=internal,
        psi_external_W_mK=external,
        reference="the plain parts beside it",
        change_W_mK=change,
        plain_parts=parts,
    )


def _cut_u_value(detail: Detail, side: str, flank: str) -> float:
    try:
        airs, resistance = cut_resistance(detail.section, side)
    except ValueError as problem:
        raise InputError(f"flank {flank}.cut", side, str(problem), "give u_value or layers", detail.name) from None
    if {detail.air_sides[a] for a in airs} != {"inside", "outside"}:
        raise InputError(f"flank {flank}.cut", side, "does not run from inside to outside", "", detail.name)
    return 1.0 / resistance


def _of_side(detail: Detail, side: str) -> list[int]:
    return [i for i, s in enumerate(detail.air_sides) if s == side]


def _coupling(detail: Detail, field: Field) -> float:
    between = field.coupling_W_mK[np.ix_(_of_side(detail, "inside"), _of_side(detail, "outside"))]
    return float(-between.sum())


def _one_temperature(detail: Detail, side: str) -> float | None:
    found = {detail.section.airs[i].temperature_C for i in _of_side(detail, side)}
    return found.pop() if len(found) == 1 else None


def _coldest(detail: Detail, field: Field) -> tuple[float | None, tuple[float, float] | None]:
    """The coldest inside surface: the coldest face, read in its middle and at its ends (a corner may be an end)."""
    contacts = field.contacts
    within = np.isin(contacts.air, _of_side(detail, "inside"))
    if not within.any():
        return None, None
    at = int(np.where(within, field.surface_C, np.inf).argmin())
    x, y, half = float(contacts.x[at]), float(contacts.y[at]), float(contacts.length[at]) / 2
    upright = bool(np.isin(contacts.x[at], field.grid.x))
    ends = [(x, y - half), (x, y + half)] if upright else [(x - half, y), (x + half, y)]
    found = [(float(field.surface_C[at]), (x, y)), *((temperature_at(field, *end), end) for end in ends)]
    return min(found)


def _factor(surface: float | None, inside: float | None, outside: float | None) -> float | None:
    if surface is None or inside is None or outside is None or inside == outside:
        return None
    return (surface - outside) / (inside - outside)


def _sheltered_factor(detail: Detail, solution: Converged, inside: float | None, outside: float | None) -> float | None:
    """f_Rsi with at least 0.25 m2K/W inside, on the grid before the last."""
    if inside is None or outside is None:
        return None
    airs = tuple(
        AirSide(a.temperature_C, max(a.film_m2K_W, SHELTERED_FILM_m2K_W) if s == "inside" else a.film_m2K_W)
        for a, s in zip(detail.section.airs, detail.air_sides, strict=True)
    )
    grid = solution.field.grid
    field = solve(with_films(detail.section, airs), Grid(grid.x[::2], grid.y[::2]))
    return _factor(_coldest(detail, field)[0], inside, outside)


def _surface_humidity_ratio(surface_C: float, inside_C: float) -> float:
    """Relative humidity of the room at which the surface reaches 100 %, p_sat(t_si)/p_sat(t_i)."""
    return float(saturation_pressure(surface_C) / saturation_pressure(inside_C))


def _low_r_share(detail: Detail, field: Field, inside: float | None, outside: float | None) -> float | None:
    """Share of the inside surface whose local R (temperature difference over heat flow) is below half the plain R.

    For drawings with bridging regions; the plain R is that of the best face, the one farthest from trouble.
    """
    if not any(detail.bridging) or inside is None or outside is None or inside == outside:
        return None
    contacts = field.contacts
    within = np.isin(contacts.air, _of_side(detail, "inside"))
    cell = field.temperature_C[contacts.row, contacts.column]
    flow = np.abs((inside - cell) / contacts.resistance)[within]
    length = contacts.length[within]
    return float(length[flow > 2 * flow.min()].sum() / length.sum())


def _read_points(detail: Detail, field: Field) -> tuple[tuple[str, float], ...]:
    try:
        return tuple((name, temperature_at(field, x, y)) for name, x, y in detail.points)
    except ValueError as problem:
        raise InputError("point", None, str(problem), "a point lies on or in a material", detail.name) from None
