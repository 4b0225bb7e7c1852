"""Keys of a house file that change nothing because another one wins: each is said in the answer, never dropped in silence."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from operator import attrgetter
from typing import Any

import numpy as np

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.living import drawn_m3_day, water_heater_row
from heatcalc.inputs.supply.supply_record import appliance_row

COLDEST_HOUR = np.array(6)  # of the clock, before sunrise on most winter days: own choice
DESIGN_VALUES = ("heating", "cooling", "cooling_wet_bulb", "cooling_dew_point", "daily_range")


NIGHT = ("night_from", "night_to", "night_when")


def _no_airing(h: House) -> bool:
    return not h.ventilation.night_window and not h.ventilation.night_fan


def _labelled(openings: tuple[Any, ...], label: bool) -> bool:
    """Every opening has a type of its own, or (for a window) both label values."""
    return bool(openings) and all(o.type or (label and _label(o)) for o in openings)


def _label(o: Any) -> bool:
    return o.u_value is not None and getattr(o, "shgc", 0.0) is not None


# key, when it is idle, why
IDLE: tuple[tuple[str, Callable[[House], bool], str], ...] = (
    ("roof.slope", lambda h: h.roof.form == "flat", "a flat roof has none"),
    ("roof.high_side", lambda h: h.roof.form != "shed", "only a shed roof has one"),
    ("assemblies.window", lambda h: _labelled(h.windows, True), "every window states its type or its label values"),
    ("assemblies.window", lambda h: not h.windows, "there is no window"),
    ("assemblies.door", lambda h: _labelled(h.doors, True), "every door states its type or its U-value"),
    ("assemblies.door", lambda h: not h.doors, "there is no door"),
    ("below.skirt_u_value", lambda h: h.below.kind not in ("skirted", "crawl space"), "nothing closes the space below the floor"),
    ("below.vent_area_per_length", lambda h: h.below.kind not in ("skirted", "crawl space"), "nothing closes the space below"),
    ("below.height", lambda h: h.below.kind in ("open air", "slab"), "there is no closed space below the floor"),
    ("bedrooms", lambda h: h.ventilation.rate != "auto" or h.ventilation.kind == "none", "the ventilation rate is stated"),
    ("ventilation.rate", lambda h: h.ventilation.kind == "none", "there is no ventilation"),
    ("set_points.night_from", lambda h: h.set_points.night_heating is None, "no night_heating is stated"),
    ("set_points.night_to", lambda h: h.set_points.night_heating is None, "no night_heating is stated"),
    ("design.percentile", lambda h: h.design.heating is not None, "design.heating is stated"),
    ("design.source", lambda h: all(getattr(h.design, k) is None for k in DESIGN_VALUES), "no design value is stated"),
    ("living.loads_per_week", lambda h: h.living.laundry == "elsewhere", "laundry is done elsewhere"),
    ("living.showers_per_person", lambda h: h.living.people == 0, "nobody lives there"),
    ("living.home", lambda h: h.living.people == 0, "nobody lives there"),
    ("living.hot_water", lambda h: not drawn_m3_day(h.living), "nobody draws hot water"),
    ("living.hot_water_temperature", lambda h: h.living.water_heater == "none", "nothing heats water"),
    ("living.water_heater_place", lambda h: not _stands(h), "the water heater has no tank"),
    ("living.unvented_heater_when", lambda h: not h.living.unvented_heater, "there is no unvented heater"),
    ("ventilation.frost_below", lambda h: not h.ventilation.heat_recovery, "there is no heat recovery"),
    ("ventilation.preheat", lambda h: not h.ventilation.heat_recovery, "there is no heat recovery"),
    *((f"ventilation.{key}", _no_airing, "no night_window or night_fan is stated") for key in NIGHT),
    ("below.soil_conductivity", lambda h: h.below.kind == "open air", "the floor stands off the ground"),
    ("supply.indoor_unit", lambda h: h.supply.indoor_unit_height is not None, "indoor_unit_height is stated"),
    ("supply.priority", lambda h: not h.supply.lock_outs, "no loads are locked out of each other"),
    ("tariff.price", lambda h: h.tariff is not None and h.tariff.kind == "tiered", "the tiers have their prices"),
    ("tariff.propane_unit", lambda h: h.tariff is not None and h.tariff.propane_price is None, "no propane_price is stated"),
)


def _stands(h: House) -> bool:
    return float(water_heater_row(h.living.water_heater)["standby_kWh_day"]) > 0


# keys of the entries of a list: key, when it is idle in a house, why
OF_ENTRIES: dict[str, tuple[tuple[str, Callable[[House, Any], bool], str], ...]] = {
    "windows": (
        ("overhang_above", lambda h, w: w.overhang == 0.0, "there is no overhang"),
        ("overhang", lambda h, w: w.face == "roof", "a roof window has none"),
        ("side_fins", lambda h, w: w.face == "roof", "a roof window has none"),
        ("fins_beside", lambda h, w: w.side_fins == 0.0 or w.face == "roof", "there are no side fins"),
        ("type", lambda h, w: _label(w), "u_value and shgc are stated"),
        ("shade_from", lambda h, w: w.inside_shade == 1.0 and w.slats_level is None, "there is no inside_shade"),
        ("shade_to", lambda h, w: w.inside_shade == 1.0 and w.slats_level is None, "there is no inside_shade"),
        ("shutter_from", lambda h, w: w.shutter == 0.0, "there is no shutter"),
        ("shutter_to", lambda h, w: w.shutter == 0.0, "there is no shutter"),
        ("shutter_closed", lambda h, w: not w.shut(COLDEST_HOUR), "no shutter is closed at six in the morning"),
    ),
    "doors": (("type", lambda h, d: _label(d), "u_value is stated"),),
    "boxes": (("below", lambda h, b: h.below.kind == "open air", "the body stands in open air too"),),
    "thermal_bridges": (
        ("part", lambda h, b: b.psi is not None and b.psi >= 0.0, "only a negative psi takes back area of a part"),
    ),
    "supply.appliances": (("minutes", lambda h, a: h.living.home == "never" and not appliance_row(a.name), "nobody is at home"),),
}


def idle_keys(house: House) -> Iterator[str]:
    """A sentence for every stated key that changes nothing here."""
    for key, idle, why in IDLE:
        if _stated(house, key.split(".")) and idle(house):
            yield f"{key} changes nothing here: {why}"
    for table, known in OF_ENTRIES.items():
        for i, entry in enumerate(attrgetter(table)(house)):
            for key, off, why in known:
                if key in entry.model_fields_set and getattr(entry, key) is not None and off(house, entry):
                    yield f"{table}.{i}.{key} changes nothing here: {why}"


def _stated(record: Any, path: list[str]) -> bool:
    """Whether the file gives the key itself (a table that is absent gives none)."""
    if record is None or path[0] not in record.model_fields_set:
        return False
    return len(path) == 1 or _stated(getattr(record, path[0]), path[1:])
