"""The shop card: what is built in, where head and outdoor unit may stand, and what is measured when the house is started up."""

from __future__ import annotations

from heatcalc.answers.sale.sale_answer import Sale
from heatcalc.show.papers_block import Block, Paper
from heatcalc.show.run_load_text import heading
from heatcalc.show.words import quantity

MANUAL = "the unit's manual"
ROAD_WIDTH_M = 8.5 * 0.3048  # 102 inches, 23 CFR 658.15, from memory
CAUTIONS = (
    "Clearances, least and greatest line length, lift, torque and charge are the unit manual's; it decides wherever it differs.",
    "Refrigerant and electric work belong to certified and licensed people; local codes and the authority at the place decide.",
)
AT_START_UP = (
    ("refrigerant lines hold pressure, then vacuum", "as in the manual"),
    ("line length and lift; charge added", "within the manual's limits"),
    ("condensate runs off with the house level", "a litre poured in comes out"),
    ("air into and out of the head after 15 minutes, heating", "as in the manual"),
    ("earth, ground-fault and smoke and carbon monoxide alarms tested", "all trip"),
    ("thermostat's sensor against a thermometer in the middle of the room", "within 2 F (1 K)"),
)


def shop_paper(s: Sale, system: str) -> Paper:
    """One card to build, place and start up by."""
    return Paper(
        "shop-card",
        "Shop card",
        tuple(heading(s.buyer, system)),
        (
            Block("Built in", (), "As ordered", ("what", "which"), tuple(_built_in(s, system))),
            Block("Where the head stands", ticks=tuple(_head(s, system))),
            Block("Where the outdoor unit stands", ticks=tuple(_outdoor(s, system))),
            Block("Start-up", (), "To be measured and signed", ("what", "target", "measured", "by"), tuple(_start_up(s, system))),
            Block("Cautions", cautions=CAUTIONS),
        ),
    )


def _built_in(s: Sale, system: str) -> list[tuple[str, str]]:
    plan, unit = s.sized.plan, s.buyer.run.candidate.unit
    heater = f"{plan.heater_W:,.0f} W, for {plan.heater_for}" if plan.heater_W else "none"
    dryer = f"{plan.dehumidifier_W:,.0f} W" if plan.dehumidifier_W else "none"
    sound = "see its data sheet" if unit.sound_dBA is None else f"{unit.sound_dBA:.0f} dB(A) indoors, as its maker states"
    return [
        ("heat pump", f"{unit.name}, {unit.volts:.0f} V, least circuit {unit.mca_A:.0f} A, largest breaker {unit.mop_A:.0f} A"),
        ("refrigerant", f"{unit.refrigerant}, {quantity(unit.charge_kg, 'mass', system, 2)} at most"),
        ("sound", sound),
        ("second heater", heater),
        ("dehumidifier", dryer),
        ("supply", plan.supply or "none listed carries it"),
        *(("changes", change) for change in plan.changes),
    ]


def _head(s: Sale, system: str) -> list[str]:
    house = s.sized.house
    ticks = [
        "In the largest room, high on a wall, blowing along the room and not at the bed or a seat; nothing before it.",
        f"Clear above, beside and below: as {MANUAL} says; room to take the filter out.",
        "Its drain falls all the way outdoors, also with the house a little out of level.",
        "Not above the cooker, not where curtains or a door meet its air.",
        "Its sensor not in the warm layer that gathers under a loft or a high roof; else a wall sensor in the living space.",
    ]
    rooms = [room.name for room in house.supply.closed_rooms]
    behind = f" {', '.join(rooms)}:" if rooms else ""
    ticks.append(f"Bath and rooms behind doors get none of its air:{behind} a heater or a transfer fan of their own.")
    return ticks


def _outdoor(s: Sale, system: str) -> list[str]:
    width = s.sized.house.body.width
    limit = quantity(ROAD_WIDTH_M, "length", system)
    left = ROAD_WIDTH_M - width
    spare = (
        f"what stands out on a side may take {quantity(left, 'length', system)} in all"
        if left > 0.02
        else "nothing may stand out"
    )
    road = (
        f"Towing: the body is {quantity(width, 'length', system)} wide and {limit} is the usual limit without a permit: {spare}, "
        "bracket, cover and pipes with it; else on the tongue or the rear wall, or taken off for the road."
    )
    towed = s.sized.house.built_as == "tiny house on wheels"
    return [
        f"Line length and lift within {MANUAL}'s least and greatest: ________ and ________.",
        f"Clear on every side as {MANUAL} says; not in a closed skirt, not facing another unit or a corner.",
        "Above the deepest snow, its pan drain free; not under roof drip.",
        road if towed else "Lashed, and its fan held still, while the house is moved.",
        "On rubber and off the bedroom wall; its sound outdoors is the maker's own stated value: ________ dB(A).",
        "Within sight of its switch; working space before it as local codes ask.",
    ]


def _start_up(s: Sale, system: str) -> list[tuple[str, str, str, str]]:
    air, c = s.sized.designer.model.air, s.buyer.run.candidate
    flow = quantity(air.balanced_m3_s + air.unbalanced_m3_s, "air flow", system)
    volts = f"{0.9 * c.unit.volts:.0f} to {1.1 * c.unit.volts:.0f} V, or as its plate says"
    fan = [] if s.sized.house.ventilation.kind == "none" else [("whole-house fan, flow at its grille", flow)]
    heater = [("second heater: watts; locked out as wired", f"{s.sized.plan.heater_W:,.0f} W")] if s.sized.plan.heater_W else []
    rows = (
        ("fan test of the finished house", f"{air.leakage.ach50:.1f} ACH50 or less"),
        *fan,
        ("voltage at the unit, everything on", volts),
        ("current of the heat pump at full heat", f"{c.cold_A:.1f} A or less"),
        *heater,
        *AT_START_UP,
    )
    return [(*row, "________", "______") for row in rows]
