"""What is asked about in the answer instead of being dropped or taken in silence: keys of a house file that change nothing
because another one wins, and values that may be meant though people seldom mean them.

`tables/usual_ranges.csv` holds one row a field: what is usual, and what is probably meant beyond it.  What one field alone cannot
show - width and length swapped, a wet bulb above its dry bulb, a window listed twice - is one line of RELATIONS.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from operator import attrgetter
from typing import Any

import numpy as np

from heatcalc import units
from heatcalc.inputs.house.house_pieces import Opening, read_tightness
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.living import drawn_m3_day, water_heater_row
from heatcalc.inputs.place.place_record import Place
from heatcalc.inputs.supply.supply_record import appliance_row
from heatcalc.physics.unit.heat_pump import Unit
from heatcalc.physics.unit.plausibility import doubts
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, currencies, worded

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


WORDED = {"number": lambda said: float(said), "ACH50": lambda said: float(said)}
SLACK = 1e-9
LOST_SIGN_K, FAR_SIGMAS = 2.5, 4.0
NO_DIGITS = ("", "auto")


@cache
def _usual(record: str) -> tuple[tuple[tuple[str, ...], str, float, float, str, str, str], ...]:
    return tuple(
        (
            tuple(r["field"].split(".")),
            r["kind"],
            _value(r["low"], r["kind"]),
            _value(r["high"], r["kind"]),
            r["low"],
            r["high"],
            r["meant"],
        )
        for r in rows("usual_ranges")
        if r["record"] == record
    )


def _value(said: Any, kind: str) -> float:
    return float(said) if kind in ("number", "ACH50") else units.parse(said, kind)


def doubts_of(record: Any, kind: str) -> Iterator[Said]:
    """A question for every value of a checked record ("house", "tariff", "unit" or "log") beyond what is usual."""
    if kind == "tariff" and not currencies()[record.currency]:
        return  # what is usual is told in dollars
    for path, quantity, low, high, *said, meant in _usual(kind):
        for name, value in _found(record, path, ""):
            number = _number(value, quantity)
            if number is not None and not low - SLACK <= number <= high + SLACK:
                yield _question(name, number, quantity, (low, high), said, meant)


def _found(thing: Any, path: tuple[str, ...], name: str) -> Iterator[tuple[str, Any]]:
    """Every value at a dotted path, a * for every entry, with its own path."""
    if thing is None:
        return
    if not path:
        yield name, thing
    elif path[0] == "*":
        for i, entry in enumerate(thing):
            yield from _found(entry, path[1:], f"{name}.{i}")
    else:
        yield from _found(getattr(thing, path[0], None), path[1:], f"{name}.{path[0]}".lstrip("."))


def _number(value: Any, kind: str) -> float | None:
    if isinstance(value, np.ndarray):  # a log's column: its middle
        known = value[np.isfinite(value)]
        return float(np.median(known)) if len(known) else None
    if kind == "ACH50":
        return read_tightness(value).ach50
    if isinstance(value, str):
        return None if value in NO_DIGITS else units.parse(value, kind)
    recovery_left_out = value == 0.0 and kind == "number"
    return None if recovery_left_out else float(value)


def _question(name: str, value: float, kind: str, span: tuple[float, float], said: list[str], meant: str) -> Said:
    if kind in ("number", "ACH50"):
        shown: list[Any] = [f"{value:g}", *said]
    else:
        shown = [Q(x, kind) for x in (value, *span)]
    hint = f" - {meant}" if meant else ""
    return worded("{} is {}, beyond the usual {} to {}: is it meant{}?", name, *shown, hint)


def _twice(openings: tuple[Opening, ...]) -> bool:
    """Two entries alike in everything, each of more than one piece."""
    said = [repr(o) for o in openings if o.count > 1]
    return len(said) > len(set(said))


def _above(low: float | None, high: float | None) -> bool:
    return low is not None and high is not None and low > high


def _flow_ach50(h: House) -> float:
    """Air changes of a fan test stated as a flow; a usual one where it is stated otherwise."""
    flow = read_tightness(h.air.tightness).flow50_m3_s
    return 5.0 if flow is None else flow * 3600.0 / (h.body.length * h.body.width * h.body.wall_height)


# what is asked, and when: the relation of two fields
RELATIONS: tuple[tuple[str, Callable[[House], bool]], ...] = (
    ("body.width exceeds body.length: are the two swapped?", lambda h: h.body.width > h.body.length),
    (
        "loft.area is more than 0.7 of the body's floor: is it the loft's own floor, counted once?",
        lambda h: h.loft is not None and h.loft.area > 0.7 * h.body.length * h.body.width,
    ),
    (
        "a box is called a loft and there is a loft: is it described twice?",
        lambda h: h.loft is not None and any("loft" in b.name.lower() for b in h.boxes),
    ),
    ("two windows are alike in everything: is one listed twice?", lambda h: _twice(h.windows)),
    ("two doors are alike in everything: is one listed twice?", lambda h: _twice(h.doors)),
    ("two boxes have one name: is one listed twice?", lambda h: len({b.name for b in h.boxes}) < len(h.boxes)),
    (
        "set_points.night_heating is above set_points.heating: are day and night swapped?",
        lambda h: _above(h.set_points.night_heating, h.set_points.heating),
    ),
    ("design.heating is above design.cooling: are the two swapped?", lambda h: _above(h.design.heating, h.design.cooling)),
    (
        "design.cooling_wet_bulb is above design.cooling: are the two swapped?",
        lambda h: _above(h.design.cooling_wet_bulb, h.design.cooling),
    ),
    (
        "design.cooling_dew_point is above design.cooling: is it a relative humidity?",
        lambda h: _above(h.design.cooling_dew_point, h.design.cooling),
    ),
    ("a door is wider than high: are width and height swapped?", lambda h: any(_above(d.width, d.height) for d in h.doors)),
    (
        "windows cover more than 0.6 of the floor: sizes in another unit, or a count too many?",
        lambda h: sum(w.area_m2 for w in h.windows) > 0.6 * h.body.length * h.body.width,
    ),
    (
        "a generator's surge is more than twice its rating: is the surge of another machine?",
        lambda h: h.supply.generator is not None and _above(h.supply.generator.surge, 2.0 * h.supply.generator.rated),
    ),
    (
        "air.tightness, as a flow over the body's volume, is beyond 0.4 to 25 ACH50: ACH50 or another unit?",
        lambda h: not 0.4 <= _flow_ach50(h) <= 25.0,
    ),
    ("more than two people and bedrooms = 0: is it a studio?", lambda h: h.bedrooms == 0 and h.living.people > 2),
)


def doubts_of_house(house: House) -> tuple[Said, ...]:
    """Everything to ask about a house by itself, its tariff with it, and what it states in vain."""
    tariff = () if house.tariff is None else doubts_of(house.tariff, "tariff")
    related = (words for words, odd in RELATIONS if odd(house))
    return (*doubts_of(house, "house"), *tariff, *related, *idle_keys(house))


def asked_of_unit(unit: Unit) -> Iterator[Said]:
    """What to ask the maker of an own unit: nameplate values beyond what is usual, printed points that cannot be believed."""
    yield from doubts_of(unit, "unit")
    odd = (*doubts(unit.heating), *doubts(unit.cooling))
    if odd:
        first = odd[0]
        yield worded(
            "{} printed points are hard to believe, the first {} {} at {} ({}): a unit or a column mistaken?",
            len(odd),
            first.mode,
            first.level,
            Q(first.outdoor_C, "temperature"),
            first.reason,
        )


def doubts_of_site(house: House, record: Place) -> Iterator[Said]:
    """What to ask of the user's own design values beside the place's record."""
    for name, own, theirs, sigma in (
        ("heating", house.design.heating, record.heating_99_C, record.sigma_heating_K),
        ("cooling", house.design.cooling, record.cooling_1_C, record.sigma_cooling_K),
    ):
        if own is None:
            continue
        signs = (-own, -own - 64.0 / 1.8)  # the sign lost in degC, and in degF
        lost = own > theirs + 2.0 and min(abs(x - theirs) for x in signs) < LOST_SIGN_K
        if not lost and abs(own - theirs) <= max(FAR_SIGMAS * sigma, 4.0):
            continue
        yield worded(
            "design.{} is {} where the records of {} have {}: is {}?",
            name,
            Q(own, "temperature"),
            record.name,
            Q(theirs, "temperature"),
            "a minus lost" if lost else "it another place's, or in another unit",
        )
