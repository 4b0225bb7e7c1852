"""Keys of a house file that change nothing because another one wins: each is said in the answer, never dropped in silence."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from heatcalc.inputs.house.house_record import House

DESIGN_VALUES = ("heating", "cooling", "cooling_wet_bulb", "cooling_dew_point", "daily_range")


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
    (
        "design.source",
        lambda h: all(
            getattr(h.design, k) is None for k in ("heating", "cooling", "cooling_wet_bulb", "cooling_dew_point", "daily_range")
        ),
        "no design value is stated",
    ),
    ("living.loads_per_week", lambda h: h.living.laundry == "elsewhere", "laundry is done elsewhere"),
    ("living.showers_per_person", lambda h: h.living.people == 0, "nobody lives there"),
    ("living.home", lambda h: h.living.people == 0, "nobody lives there"),
)
WINDOW_IDLE: tuple[tuple[str, Callable[[Any], bool], str], ...] = (
    ("overhang_above", lambda w: w.overhang == 0.0, "there is no overhang"),
    ("overhang", lambda w: w.face == "roof", "a roof window has none"),
    ("type", lambda w: w.u_value is not None and w.shgc is not None, "u_value and shgc are stated"),
)


def idle_keys(house: House) -> Iterator[str]:
    """A sentence for every stated key that changes nothing here."""
    for key, idle, why in IDLE:
        if _stated(house, key.split(".")) and idle(house):
            yield f"{key} changes nothing here: {why}"
    for i, bridge in enumerate(house.thermal_bridges):
        if "part" in bridge.model_fields_set and bridge.psi is not None and bridge.psi >= 0.0:
            yield f"thermal_bridges.{i}.part changes nothing here: only a negative psi takes back area of a part"
    for i, window in enumerate(house.windows):
        for key, idle, why in WINDOW_IDLE:
            if key in window.model_fields_set and getattr(window, key) is not None and idle(window):
                yield f"windows.{i}.{key} changes nothing here: {why}"


def _stated(record: Any, path: list[str]) -> bool:
    return path[0] in record.model_fields_set and (len(path) == 1 or _stated(getattr(record, path[0]), path[1:]))
