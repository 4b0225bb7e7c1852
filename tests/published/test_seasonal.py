"""Every seasonal bin of a law, and its definitions; totals, part loads and idle hours are in heatcalc/checks/unit.json."""

import json
from pathlib import Path

import numpy as np
import pytest

from heatcalc.physics.unit.seasonal import active_figure, overall_figure, part_load_ratio, season

CASES = json.loads((Path(__file__).parent / "data" / "seasons.json").read_text(encoding="utf-8"))
SEASONS = ("average", "warmer", "colder", "cooling")


@pytest.mark.parametrize("name", SEASONS)
def test_bins_of_the_law(name):
    """Commission Regulation (EU) No 206/2012, Annex II Table 1: every bin, whole hours."""
    printed = CASES["bins"][name]
    s = season(name)
    assert {str(int(t)): h for t, h in zip(s.outdoor_C, s.hours, strict=True)} == printed


def test_declared_points_through_the_definitions():
    """Own invented inputs through 206/2012 Annex I 26-32, 45: a regression lock, not an independent reference.

    COP and capacity straight between declared points, COPbin = COPd (1 - 0.25 (1 - CR)), back-up at COP 1.
    """
    case = CASES["declared_points"]
    given, s = case["inputs"], season("average")
    points = sorted((float(t), given["Pdh"][t], given["COPd"][t]) for t in given["Pdh"])
    outdoor, capacity, cop = np.array(points).T

    def line(values):
        slope = (values[-1] - values[-2]) / (outdoor[-1] - outdoor[-2])
        inside = np.interp(s.outdoor_C, outdoor, values)
        return np.where(s.outdoor_C > outdoor[-1], values[-1] + slope * (s.outdoor_C - outdoor[-1]), inside)

    load = given["Pdesignh_kW"] * part_load_ratio(s.outdoor_C, s.design_C)
    delivered, declared = np.minimum(load, line(capacity)), line(capacity)
    ratio = np.minimum(1.0, load / declared)
    active = active_figure(s.hours, load, delivered, line(cop) * (1.0 - 0.25 * (1.0 - ratio)))
    demand = given["Pdesignh_kW"] * s.equivalent_h
    idle = tuple(1000.0 * x for x in (given["P_TO_kW"], given["P_SB_kW"], 0.0, given["P_CK"]))
    overall = overall_figure(active, demand, s, idle)
    assert active == pytest.approx(case["expected"]["SCOPon"], abs=1e-4)
    assert demand == pytest.approx(case["expected"]["QH_kWh"], abs=0.05)
    assert overall == pytest.approx(case["expected"]["SCOP"], abs=1e-4)
    assert demand / overall == pytest.approx(case["expected"]["QHE_kWh"], abs=0.01)


def test_unknown_season():
    with pytest.raises(ValueError, match="known: average"):
        season("arctic")
