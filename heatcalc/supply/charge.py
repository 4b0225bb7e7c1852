"""Flammable refrigerant in a small room: area rule and concentration limit, side by side."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.house.house_record import Box, House
from heatcalc.inputs.supply.supply_record import ClosedRoom
from heatcalc.physics.unit import refrigerant_charge as rule
from heatcalc.tables import rows

NO_HEAD = "no head in it"
BOX_SIDE_M = 0.15  # wall, floor or roof of a box, common practice, no source
LB_PER_1000_FT3 = 0.45359237 / 28.316846592  # kg/m3

CHARGE_CAUTIONS = (
    "A screening aid, not an approval: the unit's manual, its own charge table and the installer decide; the "
    "two routes can disagree, so the code adopted at the place must be named.",
    "RCL: ASHRAE 15 with 34, the whole charge in that room alone. ASHRAE 15.2-2022, for one dwelling, is said on trade pages "
    "to ask for no test up to 6 x LFL. Its equations, and those of ASHRAE 15 for joined rooms and releasable charge "
    "(addendum g to 15-2019), were not seen and are not used; from memory they allow about V x LFL x 0.5.",
    "A room of its own counts only where an indoor unit hangs in it with the door shut.",
    "Line-set additions count into the charge; work on the circuit needs a certified technician.",
)


@dataclass(frozen=True, kw_only=True)
class RoomCharge:
    """One room against the charge; masses in kg, areas in m2; `height_m` is the rule's mounting height of the head.

    A room without a head does not count: it is shown with what to do (`advice`) if one is hung there.
    """

    room: str
    area_m2: float
    volume_m3: float
    height_m: float
    area_rule_m2: float | None
    linear_m2: float | None
    area_rule: str  # "no area rule", "pass", "some manuals", "fail" or NO_HEAD
    area_rule_if_older: str  # with the older 4 x LFL threshold
    concentration_kg: float
    concentration: str  # "pass", "fail" or NO_HEAD
    advice: str


@dataclass(frozen=True, kw_only=True)
class ChargeScreen:
    """The refrigerant charge against every room."""

    refrigerant: str
    safety_class: str
    charge_kg: float
    m1_kg: float | None
    m1_older_kg: float | None
    m2_kg: float | None
    m3_kg: float | None
    rooms: tuple[RoomCharge, ...]
    source: str
    cautions: tuple[str, ...] = CHARGE_CAUTIONS


def screen_charge(
    refrigerant: str, charge_kg: float, position: str, rooms: tuple[ClosedRoom, ...], height_m: float | None = None
) -> ChargeScreen:
    """Screen a charge for the whole house and each closed room.

    `position` names a reference height (floor, window, wall, ceiling); `height_m` is the real one.
    """
    row = _refrigerant(refrigerant)
    height = height_m if height_m is not None else reference_height(position)
    lfl = float(row["lfl_kg_m3"]) if row["lfl_kg_m3"] else None
    limit = float(row["rcl_lb_per_1000ft3"]) * LB_PER_1000_FT3
    m1, older, m2, m3 = (lfl and rule.charge_threshold(lfl, volumes) for volumes in (6, 4, 26, 130))
    lines = tuple(_room(room, charge_kg, height, lfl, limit) for room in rooms)
    return ChargeScreen(
        refrigerant=row["refrigerant"],
        safety_class=row["safety_class"],
        charge_kg=charge_kg,
        m1_kg=m1,
        m1_older_kg=older,
        m2_kg=m2,
        m3_kg=m3,
        rooms=lines,
        source=f"{row['source']} ({row['mark']}); IEC 60335-2-40 annex GG as in installer manuals",
    )


def _refrigerant(name: str) -> dict[str, str]:
    known = {row["refrigerant"]: row for row in rows("refrigerants_safety")}
    if name not in known:
        raise InputError("refrigerant", name, f"known: {', '.join(known)}", nearest(name, list(known)))
    return known[name]


def reference_height(position: str) -> float:
    """Reference release height of an indoor unit [m] by its position."""
    return next(float(row["height_m"]) for row in rows("indoor_unit_heights") if row["position"] == position)


def _room(room: ClosedRoom, charge: float, height: float, lfl: float | None, limit: float) -> RoomCharge:
    most = rule.concentration_charge(room.volume, limit)
    verdicts = [_area_verdict(room.area, charge, height, lfl, m1) for m1 in (6, 4)]
    verdicts.append("pass" if charge <= most else "fail")
    return RoomCharge(
        room=room.name,
        area_m2=room.area,
        volume_m3=room.volume,
        height_m=height if lfl is None else rule.release_height(height),
        area_rule_m2=lfl and rule.area_rule_area(charge, height, lfl),
        linear_m2=lfl and rule.linear_area(charge, height, lfl),
        area_rule=verdicts[0] if room.indoor_unit else NO_HEAD,
        area_rule_if_older=verdicts[1] if room.indoor_unit else NO_HEAD,
        concentration_kg=most,
        concentration=verdicts[2] if room.indoor_unit else NO_HEAD,
        advice=_advice(room, "fail" in verdicts),
    )


def _advice(room: ClosedRoom, fails: bool) -> str:
    """What to do about a room; empty for one that counts and passes."""
    other = "take a unit whose charge is within both routes"
    if room.indoor_unit:
        return f"{room.name}: {other}, or hang the head where the room is larger; the unit's manual decides" if fails else ""
    if not fails:
        return f"{room.name}: no head hangs in it, so it does not count; one would be within both routes"
    return (
        f"{room.name}: no head hangs in it, so it does not count. Hang none there with this charge; if one must, {other} "
        "or leave the room open to the house, as the unit's manual allows"
    )


def _area_verdict(area: float, charge: float, height: float, lfl: float | None, m1_volumes: float) -> str:
    if lfl is None or charge <= rule.charge_threshold(lfl, m1_volumes):
        return "no area rule"
    if charge > rule.charge_threshold(lfl, 26) or charge > rule.area_rule_charge(area, height, lfl):
        return "fail"
    return "pass" if charge <= rule.linear_charge(area, height, lfl) else "some manuals"


def rooms_of(house: House, floor_area_m2: float, volume_m3: float) -> tuple[ClosedRoom, ...]:
    """The whole house and its closed rooms: those of the house file, else the extra boxes that are bedrooms, without a head.

    A loft's floor is no floor of the room: the area that the rules ask for is the room's own.
    A box is taken `BOX_SIDE_M` thinner on every side, since only its outside is known.
    """
    whole = ClosedRoom.model_construct(
        name="whole house", area=floor_area_m2 - (house.loft.area if house.loft else 0.0), volume=volume_m3
    )
    return (whole, *(house.supply.closed_rooms or map(_box_room, filter(_is_bedroom, house.boxes))))


def _is_bedroom(box: Box) -> bool:
    return "bedroom" in box.name.lower()


def _box_room(box: Box) -> ClosedRoom:
    length, width, height = (side - 2 * BOX_SIDE_M for side in (box.length, box.width, box.height))
    volume = length * width * height
    return ClosedRoom.model_construct(name=f"{box.name}, closed", area=length * width, volume=volume, indoor_unit=False)
