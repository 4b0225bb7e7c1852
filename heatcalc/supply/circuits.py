"""The circuit list: one line a breaker, with its loads, its conductor and whether it holds."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Appliance, Supply, appliance_row
from heatcalc.physics.supply import electrics
from heatcalc.tables import rows

LEAST_BREAKER_A = 15.0
LARGEST_120_V_HEATER_W = 1500.0  # US DOE appliance list: portable heaters reach 1,500 W
LEAST_UNIT_AWG = 12  # installer manual of ductless 9-24 kBtu/h units (maker not named), p. 6


ELECTRICIAN = "a licensed electrician and the authority having jurisdiction decide"
CONTINUOUS = "continuous at 125 %: NEC 210.20(A), from memory"
SHARED = "shared general circuit: NEC 210.23, from memory"
OWN = "own circuit: common practice, no source"


@dataclass(frozen=True, kw_only=True)
class CircuitLine:
    """One branch circuit: its loads, device, conductor and the text each comes from; `step` is the load method's letter."""

    name: str
    volts: int
    breaker_A: float | None
    gauge_awg: int | None
    loads: tuple[str, ...]
    load_A: float
    share: float | None
    note: str
    step: str
    dedicated: bool
    continuous: bool
    source: str

    @property
    def legs(self) -> int:
        """Legs it stands on."""
        return self.volts // 120


def circuit_list(
    supply: Supply,
    unit_A: float,
    unit_volts: float,
    backup_W: float,
    legs: int,
    mca_A: float | None = None,
    mop_A: float | None = None,
    dehumidifier_W: float = 0.0,
) -> tuple[CircuitLine, ...]:
    """A row for every load of the plan: heat pump, second heater, dehumidifier, the appliances, the circuits every house gets."""
    lines = [unit_circuit(unit_A, unit_volts, mca_A, mop_A)]
    if backup_W > 0:
        lines.append(_backup_circuit(backup_W, legs))
    listed = {a.name for a in supply.appliances}
    if dehumidifier_W > 0 and DEHUMIDIFIER not in listed:
        lines.append(_dedicated(DEHUMIDIFIER, 120, dehumidifier_W / 120.0, True, None, "own circuit", step="B"))
    groups: dict[str, list[Appliance]] = {}
    for appliance in supply.appliances:
        groups.setdefault(appliance.circuit or appliance.name, []).append(appliance)
    usual = {row["circuit"]: row for row in rows("circuits")}
    for name, row in usual.items():
        lines.append(_shared(name, groups.pop(name, []), float(row["breaker_A"]), row["source"]))
    lines += [_own(name, group) for name, group in groups.items()]
    return tuple(lines)


def load_step(appliance: Appliance) -> str:
    """Letter of the load method's step that counts an appliance: by the table, else (A) on the circuits every house has and (F)
    on its own."""
    known = appliance_row(appliance.name)
    if known:
        return known["load_step"]
    if appliance.starting is not None:
        return "B motor"
    return "A" if appliance.circuit in {row["circuit"] for row in rows("circuits")} else "F"


def unit_circuit(unit_A: float, unit_volts: float, mca_A: float | None, mop_A: float | None) -> CircuitLine:
    """The heat pump's own circuit: nameplate MCA and MOP, or the code's formulas on the running amperes."""
    ampacity = unit_ampacity(unit_A, mca_A)
    breaker = mop_A if mop_A is not None else _unit_breaker(unit_A, ampacity)
    note = f"MCA about {ampacity:.1f} A by NEC 440.33 on the running amperes; the nameplate decides"
    if mca_A is not None and mop_A is not None:
        note = f"nameplate: MCA {mca_A:g} A, largest device {mop_A:g} A"
    return CircuitLine(
        name=HEAT_PUMP,
        volts=240 if unit_volts >= 200 else 120,
        breaker_A=breaker,
        gauge_awg=_gauge(ampacity, LEAST_UNIT_AWG),
        loads=(HEAT_PUMP,),
        load_A=unit_A,
        share=unit_A / breaker,
        note=f"own circuit, disconnect in sight; {note}",
        step="B",
        dedicated=True,
        continuous=True,
        source="nameplate, else NEC 440.33 and 440.22(A), three printings; disconnect in sight NEC 440.14, from memory",
    )


def unit_ampacity(unit_A: float, mca_A: float | None) -> float:
    """Ampacity the heat pump's circuit needs [A]: the nameplate's MCA, else NEC 440.33 on the running amperes."""
    return mca_A if mca_A is not None else electrics.minimum_circuit_ampacity(unit_A)


def backup_legs(backup_W: float, supply_legs: int) -> int:
    """Legs of the backup heat: 240 V where the supply has it and one 120 V heater is not enough."""
    return 2 if supply_legs == 2 and backup_W > LARGEST_120_V_HEATER_W else 1


def _backup_circuit(backup_W: float, legs: int) -> CircuitLine:
    large = backup_W > LARGEST_120_V_HEATER_W
    volts = 120 * backup_legs(backup_W, legs)
    note = "fixed heat at 125 %: NEC 424.4, from memory"
    if large and volts == 120:
        note = f"more than one {LARGEST_120_V_HEATER_W:,.0f} W heater: a circuit for each instead of this sum; {note}"
    return _dedicated(BACKUP, volts, backup_W / volts, True, None, note, step="B")


def _unit_breaker(unit_A: float, ampacity_A: float) -> float:
    """175 % of the compressor, next lower size (NEC 440.22(A)); not below the circuit's ampacity nor 15 A."""
    start = electrics.standard_size_below(max(electrics.overcurrent_ceiling(unit_A, (), 1.75), LEAST_BREAKER_A), sizes())
    return max(start, electrics.standard_size_above(ampacity_A, sizes()), LEAST_BREAKER_A)


def _own(name: str, group: list[Appliance]) -> CircuitLine:
    if len(group) > 1:
        return _shared(name, group, next((a.breaker for a in group if a.breaker), 20.0), "shared circuit of the house file")
    only, amperes = group[0], group[0].watts / group[0].volts
    return _dedicated(name, only.volts, amperes, only.continuous, only.breaker, "own circuit", only.name, load_step(only)[0])


def _dedicated(
    name: str, volts: int, amperes: float, continuous: bool, breaker_A: float | None, note: str, load: str = "", step: str = "F"
) -> CircuitLine:
    required = electrics.required_rating(amperes, 0.0) if continuous else amperes
    breaker = breaker_A or max(LEAST_BREAKER_A, electrics.standard_size_above(min(required, max(sizes())), sizes()))
    if required > breaker + 1e-9:
        note = f"TOO SMALL: needs {required:.1f} A; {note}"
    source = f"{OWN}; {CONTINUOUS}" if continuous else OWN
    loads, share = (load or name,), amperes / breaker
    return CircuitLine(
        name=name,
        volts=volts,
        breaker_A=breaker,
        gauge_awg=_gauge(breaker),
        loads=loads,
        load_A=amperes,
        share=share,
        note=note,
        step=step,
        dedicated=True,
        continuous=continuous,
        source=source,
    )


def _shared(name: str, group: list[Appliance], breaker_A: float, source: str) -> CircuitLine:
    volts = max((a.volts for a in group), default=120)
    continuous = sum(a.watts / volts for a in group if a.continuous)
    largest = max((a.watts / volts for a in group if not a.continuous), default=0.0)
    required = electrics.required_rating(continuous, largest)
    note = source if required <= breaker_A + 1e-9 else f"TOO SMALL: needs {required:.1f} A; {source}"
    if sum(not a.continuous for a in group) > 1:
        note = f"one of its large loads at a time; {note}"
    amperes, names = continuous + largest, tuple(a.name for a in group)
    steps = "".join(sorted({load_step(a)[0] for a in group})) or "A"
    share, law = amperes / breaker_A, f"{source}; {SHARED}"
    return CircuitLine(
        name=name,
        volts=volts,
        breaker_A=breaker_A,
        gauge_awg=_gauge(breaker_A),
        loads=names,
        load_A=amperes,
        share=share,
        note=note,
        step=steps,
        dedicated=False,
        continuous=continuous > 0,
        source=law,
    )


def sizes() -> tuple[float, ...]:
    """Standard overcurrent ratings [A] (NEC 240.6(A), from memory)."""
    return tuple(float(row["rating_A"]) for row in rows("overcurrent_sizes"))


def _gauge(amperes: float, thinnest: int = 14) -> int | None:
    """Thinnest conductor for a breaker or ampacity, not thinner than `thinnest`; None beyond the table."""
    fitting = [
        int(row["awg"]) for row in rows("conductors") if row["largest_breaker_A"] and float(row["largest_breaker_A"]) >= amperes
    ]
    return min(max(fitting), thinnest) if fitting else None
