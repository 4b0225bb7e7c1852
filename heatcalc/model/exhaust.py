"""Range hood, bath fan and dryer in a small tight box: the make-up air they need and the pressure they pull."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.model.house_model import HouseModel
from heatcalc.model.outdoor_air import AirInputs, leakage_of
from heatcalc.physics.air import ventilation
from heatcalc.tables import rows

BACKDRAFT_PA = 5.0
BACKDRAFT_SOURCE = "the limit of CSA F300-13 for solid fuel, as the preface of its 2022 edition names it"
CAUTION = (
    "An exhaust without make-up air can pull combustion products back into the room. Fuel-burning "
    "appliances here should take their air from outdoors; the local code, the appliance's manual and a "
    "working CO alarm decide."
)


@dataclass(frozen=True, kw_only=True)
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


def house_exhausts(model: HouseModel) -> tuple[ExhaustCheck, ...]:
    """The local exhausts this household has, each beside the whole-house exhaust fan."""
    living, inputs, shell = model.house.living, model.air.inputs, model.air.leakage
    has = {"range hood": living.cooking != "none", "bath fan": True, "vented dryer": living.laundry == "vented dryer"}
    beside = model.air.unbalanced_m3_s if inputs.ventilation_kind == "exhaust" else 0.0
    return tuple(_check(r, shell.coefficient, shell.exponent, beside) for r in rows("local_exhaust") if has[r["name"]])


def _check(row: dict[str, str], coefficient: float, exponent: float, beside_m3_s: float = 0.0) -> ExhaustCheck:
    flow = float(row["flow_cfm"]) * ventilation.CFM
    mean = ventilation.mean_extra_flow(flow, float(row["minutes_per_day"]))
    pull = ventilation.depressurisation(flow + beside_m3_s, coefficient, exponent)
    return ExhaustCheck(
        name=row["name"],
        flow_m3_s=flow,
        mean_m3_s=mean,
        pressure_Pa=pull,
        needs_make_up=pull > BACKDRAFT_PA,
        source=row["source"],
        mark=row["mark"],
    )
