"""Holds: at the design cold the unit keeps the set point with the chance asked for, or with a second heater beside it."""

from __future__ import annotations

from functools import cache

import numpy as np

from heatcalc.judge.facts import Facts
from heatcalc.judge.rules import JUST, LOADS, TOO_SMALL, WITH_HEATER, Outcome, SoFar

STAGE = LOADS
ONE_HEATER_W = 1500.0  # US DOE appliance list: a portable heater is 1,500 W; more beside a running unit is another installation


def rule(f: Facts, _: SoFar) -> Outcome:
    """Chance from the uncertain inputs with the place's own sigma; no sun, no people, as the handbooks."""
    needed = f.heater_for_W(f.asked.sure)
    load = f.loads.heating_W
    off = f.heat_W <= 0.0
    paper = np.where(off, 0.0, np.maximum(f.missing_W, 0.0))
    small = ~off & (needed > np.maximum(load / 2, ONE_HEATER_W))
    return Outcome(
        code="holds",
        title="holds the set point at the design cold",
        ok=needed <= 0.0,
        source="chance: cumulants of the ranges of tables/uncertain_inputs.csv, the place's sigma, the unit's table, published "
        "altitude factors; a heater of at most 1.5 kW or half the load beside a running unit: own choice",
        quantities={
            "design_C": f.loads.design_C,
            "load_W": load,
            "heat_W": f.heat_W,
            "chance": cache(lambda: f.chance(0.0)),
            "chance_with_household": cache(lambda: f.chance(0.0, gains_W=f.loads.night_gains_W)),
            "missing_on_paper_W": np.maximum(f.missing_W, 0.0),
        },
        verdict=np.select([small, paper > 0.0], [TOO_SMALL, WITH_HEATER], JUST),
        heater_W=np.where(off, 0.0, needed),
        heater_for="what the heat pump leaves at the design cold",
    )
