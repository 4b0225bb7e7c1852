"""One list of loads: what `living` says about water, cooking and laundry, and what `supply` lists, made to say the same."""

from __future__ import annotations

from typing import Any, cast

from heatcalc.errors import nearest
from heatcalc.inputs.house.living import DAY_S, EnergyUse, Living, water_heater_row
from heatcalc.inputs.supply.supply_record import BACKUP, DEHUMIDIFIER, HEAT_PUMP, Appliance, Supply, appliance_row, heats_water
from heatcalc.tables import rows

COOKING, PREHEATER = "electric cooking", "core preheater"


def one_list(living: Living, supply: Supply, preheater_W: float = 0.0) -> tuple[Living, Supply]:
    """Both with every load of the other, and the heater before a core.  ValueError where the file says two things."""
    living, appliances = _water(living, supply)
    appliances = _laundry(living, _cooking(living, supply, appliances), supply)
    if preheater_W and not any(a.name == PREHEATER for a in appliances):
        heater = Appliance(name=PREHEATER, watts=f"{preheater_W} W", season="cold", continuous=True, together=True)
        appliances = (*appliances, heater)
    living = living.model_copy(update={"uses": _uses(living, appliances)})
    names = {a.name for a in appliances}
    own = tuple(
        Appliance(name=u.name, watts=f"{u.watts} W", volts=u.volts, season=u.season) for u in living.uses if u.name not in names
    )
    supply = supply if (*appliances, *own) == supply.appliances else _with(supply, (*appliances, *own))
    _names_known(supply)
    return living, supply


def _names_known(supply: Supply) -> None:
    """Lock-outs and priorities name loads of the one list, or those a plan may bring."""
    known = [*(a.name for a in supply.appliances), HEAT_PUMP, BACKUP, DEHUMIDIFIER]
    said = [("lock_outs", n) for pair in supply.lock_outs for n in pair] + [("priority", n) for n in supply.priority]
    for field, name in said:
        if name not in known:
            raise ValueError(f"supply.{field} names {name!r}; {nearest(name, known) or 'known: ' + ', '.join(known)}")


def _with(supply: Supply, appliances: tuple[Appliance, ...]) -> Supply:
    """The supply with another list; whether the file gave a list of its own is kept."""
    said = supply.model_fields_set
    changed = supply.model_copy(update={"appliances": appliances})
    if "appliances" not in said:
        changed.model_fields_set.discard("appliances")
    return changed


def _row(appliance: Appliance) -> str:
    return appliance_row(appliance.name).get("row", "")


def _water(living: Living, supply: Supply) -> tuple[Living, tuple[Appliance, ...]]:
    """The water heater of `living` in the list, or that of the list in `living`."""
    listed = [a for a in supply.appliances if heats_water(a.name)]
    kinds = {r["appliance"]: r["kind"] for r in rows("water_heaters") if r["appliance"]}
    if listed and "appliances" in supply.model_fields_set:
        kind = kinds[listed[0].name]
        if "water_heater" in living.model_fields_set and living.water_heater != kind:
            raise ValueError(
                f'water_heater = "{living.water_heater}" in living, but {listed[0].name!r} in the list of appliances: say one'
            )
        return living.model_copy(update={"water_heater": kind}), supply.appliances
    name = water_heater_row(living.water_heater)["appliance"]
    if any(a.name == name for a in listed):
        return living, supply.appliances
    at = supply.appliances.index(listed[0]) if listed else len(supply.appliances)
    rest = tuple(a for a in supply.appliances if a not in listed)
    return living, (*rest[:at], *([Appliance.model_validate(name)] if name else []), *rest[at:])


def _cooking(living: Living, supply: Supply, appliances: tuple[Appliance, ...]) -> tuple[Appliance, ...]:
    plates = [a for a in appliances if _row(a) == COOKING]
    if living.cooking == "electric" or not plates:
        return appliances
    if "appliances" in supply.model_fields_set:
        raise ValueError(f'cooking = "{living.cooking}" in living, but {plates[0].name!r} in the list of appliances: say one')
    return tuple(a for a in appliances if a not in plates)


def _laundry(living: Living, appliances: tuple[Appliance, ...], supply: Supply) -> tuple[Appliance, ...]:
    wanted = {"vented dryer": "clothes dryer", "120 V washer-dryer": "washer-dryer"}.get(living.laundry)
    if wanted is None or any(a.name == wanted for a in appliances):
        return appliances
    usual = "appliances" not in supply.model_fields_set and wanted == "washer-dryer"
    kept = tuple(a for a in appliances if not (usual and a.name == "clothes washer"))
    return (*kept, Appliance.model_validate(wanted))


def _uses(living: Living, appliances: tuple[Appliance, ...]) -> tuple[EnergyUse, ...]:
    """The uses of the file and, after them, listed appliances that are part of no other use and run so many minutes a day."""
    known = {u.name for u in living.uses}
    found = [_use(a, living) for a in appliances if a.name not in known and not _row(a)]
    return (*living.uses, *(use for use in found if use is not None))


def _use(appliance: Appliance, living: Living) -> EnergyUse | None:
    row = appliance_row(appliance.name)
    minutes = appliance.minutes if appliance.minutes is not None else float(row.get("minutes") or 0.0)
    if not minutes or living.home == "never":
        return None
    return EnergyUse.model_construct(
        name=appliance.name,
        energy=appliance.watts * minutes * 60.0,
        watts=max(appliance.watts, appliance.watts * minutes * 60.0 / DAY_S),
        volts=appliance.volts,
        hours=cast(Any, row.get("profile") or "waking"),
        season=appliance.season,
        heat_to_room=0.0 if appliance.season != "any" or appliance.circuit in ("outside", "pump") else 1.0,
    )
