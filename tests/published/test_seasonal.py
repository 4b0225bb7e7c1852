"""Seasonal bins and hours against two EU laws."""

import json
from pathlib import Path

import numpy as np
import pytest

from heatcalc.physics.seasonal import (
    active_figure,
    equivalent_hours,
    overall_figure,
    part_load_ratio,
    season,
)

CASES = json.loads((Path(__file__).parent / "data" / "heat_pump.json").read_text(encoding="utf-8"))
SEASONS = ("average", "warmer", "colder", "cooling")


@pytest.mark.parametrize("name", SEASONS)
def test_bins_of_the_law(name):
    """Commission Regulation (EU) No 206/2012, Annex II Table 1: every bin and the totals, whole hours."""
    printed = CASES["EU-BINS-01"]["inputs"][f"bins_{name}"]
    s = season(name)
    assert {str(int(t)): h for t, h in zip(s.outdoor_C, s.hours, strict=True)} == printed
    assert s.hours.sum() == CASES["EU-BINS-01"]["expected"][f"total_{name}"]


@pytest.mark.parametrize("name", SEASONS[:3])
def test_bins_of_one_law_give_the_hours_of_the_other(name):
    """206/2012 Annex II Table 1 bins; Delegated Regulation (EU) No 811/2013, Annex VII 4(c) hours, whole hours."""
    assert equivalent_hours(season(name)) == pytest.approx(CASES["EU-HHE-02"]["expected"][name], abs=0.5)


def test_part_load_ratios():
    """Definition 15 of 206/2012 Annex I; the whole percents A to D are from memory (EN 14825), printed to 1 %."""
    said = CASES["EU-PLR-03"]
    for name, given in (("average", "T_average"), ("warmer", "T_warmer"), ("colder", "T_colder"), ("cooling", "T_cool")):
        ours = 100.0 * part_load_ratio(np.array(said["inputs"][given], float), season(name).design_C)
        assert ours == pytest.approx(said["expected"][name], abs=1.0)  # 88.46 is printed as 88, 10.5 as 11


def test_equivalent_and_idle_hours():
    """206/2012 Annex II Table 4, reversible unit, whole hours."""
    said = CASES["EU-HOURS-04"]["expected"]
    for name in SEASONS[:3]:
        s = season(name)
        assert s.equivalent_h == said["HHE"][name]
        assert s.thermostat_off_h == said["HTO_heat"][name]
        assert s.crankcase_h == said["HCK_heat"][name]
        assert (s.standby_h, s.off_h) == (said["HSB_heat"], said["HOFF_heat"])
    s = season("cooling")
    assert (s.equivalent_h, s.thermostat_off_h, s.standby_h, s.off_h, s.crankcase_h) == (
        said["HCE"],
        said["HTO_cool"],
        said["HSB_cool"],
        said["HOFF_cool"],
        said["HCK_cool"],
    )


def test_declared_points_through_the_definitions():
    """Own invented inputs through 206/2012 Annex I 26-32, 45: a regression lock, not an independent reference.

    COP and capacity straight between declared points, COPbin = COPd (1 - 0.25 (1 - CR)), back-up at COP 1.
    """
    case = CASES["EU-SCOP-SYN-06"]
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
