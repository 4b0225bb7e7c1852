"""Whole windows from their parts.

Sources: ISO 10077-1; California Reference Appendix NA6 for defaults.
"""

from __future__ import annotations


def whole_window_u(
    glass_area: float, glass_u: float, frame_area: float, frame_u: float, edge_length: float, edge_psi: float
) -> float:
    """Uw = (Ag Ug + Af Uf + lg psi)/(Ag + Af) [W/m2K].  ISO 10077-1."""
    return (glass_area * glass_u + frame_area * frame_u + edge_length * edge_psi) / (glass_area + frame_area)


def edge_of_glass_u(glass_u: float, edge_psi: float, band: float = 0.0635) -> float:
    """Mean U of the band of glass along the frame [W/m2K]: glass plus the edge's extra loss spread over it.

    U_g + psi/b with psi of ISO 10077-1 and b 63.5 mm, the North American edge-of-glass band (from memory).  The sight line
    itself is colder than the band's mean.
    """
    return glass_u + edge_psi / band


def simple_window_u(width: float, height: float, frame_width: float, glass_u: float, frame_u: float, edge_psi: float) -> float:
    """Uw of a one-light rectangular window with a frame of one width [W/m2K].  ISO 10077-1."""
    glass_w, glass_h = _glass_size(width, height, frame_width)
    glass = glass_w * glass_h
    return whole_window_u(glass, glass_u, width * height - glass, frame_u, 2.0 * (glass_w + glass_h), edge_psi)


def edge_share(width: float, height: float, frame_width: float) -> float:
    """Share of a rectangular one-light window that is frame."""
    glass_w, glass_h = _glass_size(width, height, frame_width)
    return 1.0 - glass_w * glass_h / (width * height)


def _glass_size(width: float, height: float, frame_width: float) -> tuple[float, float]:
    glass = width - 2.0 * frame_width, height - 2.0 * frame_width
    if min(glass) <= 0.0:
        raise ValueError("the frame is wider than half the window")
    return glass


def default_whole_u(glass_u: float, frame: str) -> float:
    """U_T = C1 + C2 U_c of a window from its centre of glass, W/m2K.  California Reference Appendix NA6.

    frame "metal", or "thermal break" and "nonmetal" (one line for both); coefficients in Btu/h ft2 F.
    """
    c1, c2 = (0.311, 0.872) if frame == "metal" else (0.202, 0.867)
    return c1 * 5.678263 + c2 * glass_u


def default_whole_shgc(glass_shgc: float) -> float:
    """SHGC_T = 0.08 + 0.86 SHGC_c.  California Reference Appendix NA6 [-]."""
    return 0.08 + 0.86 * glass_shgc
