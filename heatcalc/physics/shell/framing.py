"""Framing as the trade says it: member, spacing, share of the area, steel correction factors.

Sources: 24 CFR 3280.508-509, ANSI/ASHRAE/IES 90.1 Appendix A, PS 20.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from heatcalc.tables import rows

INCH_M = 0.0254
R_IP_M2K_W = 0.1761102  # 1 h ft2 F/Btu in m2K/W
COUNTED_FROM_SHARE = 0.01  # 24 CFR 3280.508(c)
LEAST_MM = 19  # the thinnest dressed board in millimetres
MEMBERS = ("studs", "joists", "rafters", "battens", "furring", "purlins", "splines")
_WORDS = re.compile(
    r"^(?:(?P<size>\d+x\d+)(?:\s*mm)?\s+)?(?P<steel>steel\s+|metal\s+)?(?P<member>[a-z]+)\s+"
    r"(?:at\s+|@\s*)?(?P<spacing>\d+(?:\.\d+)?)\s*(?P<unit>in|mm|cm)\.?\s*"
    r"(?:o\.?\s*c\.?|on center|on centre|centres|centers)?$"
)


@dataclass(frozen=True)
class Framing:
    """A bridging pattern: `width_m` along the surface, `depth_m` through it, repeated at `spacing_m`."""

    member: str
    steel: bool
    width_m: float
    depth_m: float
    spacing_m: float

    @property
    def geometric_share(self) -> float:
        """Width over spacing: the members alone, no plates, headers or blocking."""
        return self.width_m / self.spacing_m


def lumber_size(nominal: str) -> tuple[float, float]:
    """Dressed (thickness, width) [m] of a nominal size such as "2x6".  PS 20.  KeyError for another."""
    for row in rows("lumber"):
        if row["nominal"] == nominal:
            return float(row["thick_in"]) * INCH_M, float(row["wide_in"]) * INCH_M
    raise KeyError(nominal)


def read_framing(words: str) -> Framing:
    """`"2x4 studs 16 in o.c."` as numbers.  Battens and furring lie flat, every other member stands on edge.

    Raises ValueError with an example for anything else.
    """
    match = _WORDS.match(" ".join(words.lower().split()))
    if not match or match["member"] not in MEMBERS:
        raise ValueError(f"framing is written like '2x4 studs 16 in o.c.'; members: {', '.join(MEMBERS)}")
    steel = bool(match["steel"])
    if not match["size"] and not steel:
        raise ValueError("framing needs the member's size, e.g. '2x4 studs 16 in o.c.'")
    thin, wide = _size(match["size"] or "2x4")
    flat = match["member"] in ("battens", "furring")
    spacing = float(match["spacing"]) * {"in": INCH_M, "mm": 0.001, "cm": 0.01}[match["unit"]]
    width, depth = (wide, thin) if flat else (thin, wide)
    if spacing <= width:
        raise ValueError(f"members {width / INCH_M:g} in wide do not fit at {spacing / INCH_M:g} in")
    return Framing(match["member"], steel, width, depth, spacing)


def _size(nominal: str) -> tuple[float, float]:
    """A nominal size in inches, or a dressed one in millimetres ("45x145": no lumber is 19 in thick)."""
    thin, wide = sorted(map(int, nominal.split("x")))
    if thin >= LEAST_MM:
        return thin / 1000.0, wide / 1000.0
    try:
        return lumber_size(nominal)
    except KeyError:
        known = ", ".join(row["nominal"] for row in rows("lumber"))
        raise ValueError(
            f"{nominal} is not a lumber size in the table ({known}), nor one in millimetres such as 45x145"
        ) from None


def default_share(framing: Framing) -> tuple[float, str]:
    """(share of area, its basis) when the user gives none.

    Studs: code framing weights, plates and headers included.  Joists, rafters, purlins: 10 % or the members'
    own share, whichever is more (24 CFR 3280.509(b)).  Battens, furring, splines: the members' own share.
    """
    own = framing.geometric_share, "members' own share, width over spacing"
    if framing.member == "studs":
        row = _nearest_spacing(framing.spacing_m / INCH_M)
    elif framing.member in ("joists", "rafters", "purlins"):
        row = next(row for row in rows("framing_fractions") if row["member"] == "hud floor")
    else:
        return own
    return max((float(row["fraction"]), row["source"]), own)


def _nearest_spacing(spacing_in: float) -> dict[str, str]:
    known = [row for row in rows("framing_fractions") if row["member"] == "studs"]
    return min(known, key=lambda row: abs(float(row["spacing_in"]) - spacing_in))


def steel_stud_factor(r_ip: float, spacing_in: float) -> float:
    """Fc of insulation `r_ip` between steel studs 16 or 24 in on centre, linear between table rows [-].

    ANSI/ASHRAE/IES 90.1 Normative Appendix A; see the table for which rows are from memory.  R-11 to R-25.
    """
    curve = sorted(
        (float(row["r_ip"]), float(row["factor"]))
        for row in rows("steel_stud_factors")
        if abs(float(row["spacing_in"]) - spacing_in) < 0.5
    )
    if not curve:
        raise ValueError("steel-stud factors are known at 16 and 24 in only; draw others as a 2-D detail")
    if not curve[0][0] <= r_ip <= curve[-1][0]:
        raise ValueError(f"steel-stud factors are known from R-{curve[0][0]:g} to R-{curve[-1][0]:g} only")
    return float(np.interp(r_ip, *np.transpose(curve)))


def counts_as_short(area_share: float, r_path: float, r_insulation: float) -> bool:
    """Whether a low-resistance path must be counted: over 1 % of the area and below half the insulation's R.

    24 CFR 3280.508(c).
    """
    return area_share > COUNTED_FROM_SHARE and r_path < 0.5 * r_insulation


def compressed_share(thickness_share: float, kind: str = "uniform_batt") -> float:
    """Share of the nominal R left at a share of the original thickness (0..1).

    24 CFR 3280.509(c), linear between rows; kind "uniform_batt", "nonuniform_batt" or "blown".
    """
    table = rows("compressed_insulation")
    thickness = [float(row["thickness_percent"]) for row in table]
    left = [float(row[f"{kind}_percent"]) for row in table]
    return float(np.interp(100.0 * thickness_share, thickness, left)) / 100.0
