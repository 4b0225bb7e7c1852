"""Range hood, bath fan and dryer in a small tight box: the make-up air they need and the pressure they pull."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.model.outdoor_air import AirInputs, leakage_of
from heatcalc.physics.air import ventilation
from heatcalc.tables import rows

BACKDRAFT_PA = 5.0  # where natural-draught flues begin to spill: common practice, no source
CAUTION = (
    "An exhaust without make-up air can pull combustion products back into the room. Fuel-burning "
    "appliances here should take their air from outdoors; the local code, the appliance's manual and a "
    "working CO alarm decide."
)


@dataclass(frozen=True)
class ExhaustCheck:
    """One local exhaust: its flow, what it adds to a day's mean outdoor air and the pressure it pulls alone."""

    name: str
    flow_m3_s: float
    mean_m3_s: float
    pressure_Pa: float
    needs_make_up: bool
    source: str
    mark: str


def local_exhausts(inputs: AirInputs) -> tuple[ExhaustCheck, ...]:
    """Every usual local exhaust against the leakage of this house; no make-up opening counted."""
    shell = leakage_of(inputs)
    return tuple(_check(row, shell.coefficient, shell.exponent) for row in rows("local_exhaust"))


def _check(row: dict[str, str], coefficient: float, exponent: float) -> ExhaustCheck:
    flow = float(row["flow_cfm"]) * ventilation.CFM
    mean = ventilation.mean_extra_flow(flow, float(row["minutes_per_day"]))
    pull = ventilation.depressurisation(flow, coefficient, exponent)
    return ExhaustCheck(row["name"], flow, mean, pull, pull > BACKDRAFT_PA, row["source"], row["mark"])
