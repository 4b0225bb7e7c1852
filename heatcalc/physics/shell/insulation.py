"""Batts in cavities: what is left of the labelled R when the cavity is thinner than the batt."""

from __future__ import annotations

import numpy as np

from heatcalc.tables import rows


def compressed_share(thickness_share: float, kind: str = "uniform_batt") -> float:
    """Share of the nominal R left at a share of the original thickness (0..1).

    24 CFR 3280.509(c), linear between rows; kind "uniform_batt", "nonuniform_batt" or "blown".
    """
    table = rows("compressed_insulation")
    thickness = [float(row["thickness_percent"]) for row in table]
    left = [float(row[f"{kind}_percent"]) for row in table]
    return float(np.interp(100.0 * thickness_share, thickness, left)) / 100.0
