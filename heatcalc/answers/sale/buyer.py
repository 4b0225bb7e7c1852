"""Everything a buyer is told about one house with one unit in one place, computed once for every page and file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from heatcalc.answers.sale.band import Band, band
from heatcalc.answers.sale.promise import Promise, cut_cooling, cut_power, promise
from heatcalc.answers.sale.what_if import WhatIf, what_if
from heatcalc.answers.year.outage import HeatCut, PowerCut
from heatcalc.answers.year.run_load_answer import RunLoad, run_load
from heatcalc.judge.sizing import SizeResult
from heatcalc.supply.money import Emission, HeatSource, compare_heat, electricity_co2
from heatcalc.wording import Said

CAUTIONS = (
    "Computed for a typical year and the living described, not measured: another winter, another household or an open window "
    "move it; the range shows how far.",
    "For information. Local codes, the unit's manual and licensed practice decide; nothing here certifies a house or a supply.",
    "Electric supply: a licensed electrician decides. Never run a generator indoors, under the house or near openings.",
    "Backup heat by combustion must be sealed or vented; keep a carbon monoxide alarm.",
    "Water lines freeze before the room does: protect or drain them.",
)


@dataclass(frozen=True, eq=False, kw_only=True)
class Buyer:
    """The run load with its band, promise, power cut, what-ifs, fuels and carbon."""

    run: RunLoad
    band: Band
    promise: Promise
    cut: PowerCut
    hot_cut: HeatCut
    changes: tuple[WhatIf, ...]
    fuels: tuple[HeatSource, ...]
    carbon: Emission

    @property
    def sized(self) -> SizeResult:
        """The sizing behind it."""
        return self.run.sized

    @property
    def house_warnings(self) -> tuple[Said, ...]:
        """What to mind about the house.

        The promise itself counts the hours in which the unit stops.
        """
        return self.sized.warnings


def tell(sized: SizeResult, folder: Path | None = None) -> Buyer:
    """All of it; `folder` is where the house's own files lie.  Raises NoAnswer where no unit carries the house."""
    r = run_load(sized, folder)
    state = sized.place.state
    fuels = compare_heat(r.load.heat_kWh, r.load.heating_electricity_kWh, r.mean_price, state, r.money.tariff)
    return Buyer(
        run=r,
        band=band(r),
        promise=promise(r),
        cut=cut_power(r),
        hot_cut=cut_cooling(r),
        changes=what_if(r),
        fuels=fuels,
        carbon=electricity_co2(r.load.year_kWh, state),
    )
