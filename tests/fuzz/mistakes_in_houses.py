"""A valid house file of the generator, and what people write wrong in one."""

from __future__ import annotations

import copy
import random
from collections.abc import Callable

from tests.fuzz.mistakes import ASKED, REFUSED, UNKNOWABLE, Mistake, Said, more, number, put, swap, unit_for
from tests.fuzz.mistakes_in_files import valid_tariff


def valid_house(rng: random.Random) -> Said:
    """A plausible house with all that is needed for the mistakes."""
    feet = lambda low, high: f"{rng.randint(low * 2, high * 2) / 2:g} ft"  # noqa: E731
    window = lambda face, w, h: {  # noqa: E731
        "face": face, "width": w, "height": h, "count": rng.randint(1, 2), "u_value": f"U-{rng.uniform(0.22, 0.4):.2f}",
        "shgc": round(rng.uniform(0.2, 0.4), 2), "overhang": f"{rng.choice((0, 12, 18, 24))} in",
    }  # fmt: skip
    return {
        "name": "invented",
        "body": {"length": feet(20, 34), "width": rng.choice(("8.5 ft", "8 ft", "10 ft")), "wall_height": feet(9, 11)},
        "roof": {"form": "gable", "slope": rng.choice((0.25, 0.33, 0.5))},
        "bedrooms": 1,
        "loft": {"area": f"{rng.randint(50, 80)} ft2", "warmer_by": "5 F"},
        "boxes": [{"name": "bay", "length": "2 ft", "width": "5 ft", "height": "6 ft", "attached": "right"}],
        "windows": [window("left", feet(2, 4), feet(2, 4)), window("back", feet(2, 4), feet(2, 4))],
        "doors": [{"face": "left", "width": "3 ft", "height": "6.67 ft", "u_value": "U-0.30"}],
        "below": {"kind": "skirted", "height": "2 ft", "skirt_u_value": "U-0.5"},
        "thermal_bridges": [{"name": "edge", "length": f"{rng.randint(50, 75)} ft", "psi": "0.06 W/mK"}],
        "air": {"tightness": f"{rng.uniform(2, 8):.1f} ACH50"},
        "ventilation": {"rate": f"{rng.randint(25, 60)} cfm", "kind": "balanced", "heat_recovery": 0.75},
        "living": {
            "people": rng.randint(1, 3), "showers_per_person": 1.0, "loads_per_week": 3, "refrigerator": "1 kWh",
            "lights": "0.4 kWh", "electronics": "1 kWh", "unvented_heater": "0 W",
        },
        "set_points": {
            "heating": f"{rng.randint(67, 72)} F", "cooling": f"{rng.randint(75, 78)} F",
            "night_heating": f"{rng.randint(60, 66)} F",
            "cooling_humidity": 0.5,
        },
        "design": {
            "heating": f"{rng.randint(-19, -15)} F", "cooling": f"{rng.randint(81, 85)} F", "cooling_wet_bulb": "69 F",
            "daily_range": "22 F", "source": "invented",
        },
        "site": {"elevation": "1400 ft", "ground_reflectance": 0.2, "front_faces": rng.choice(("unknown", "south", "east"))},
        "supply": {
            "cord": "50 A 120/240 V", "length": "25 ft",
            "appliances": [
                {"name": "range", "watts": "1500 W", "volts": 120, "breaker": "20 A"},
                {"name": "pump", "watts": "300 W", "volts": 120},
            ],
            "generator": {"rated": "3500 W", "surge": "4500 W"},
            "battery": {"capacity": "10 kWh", "usable": 0.8},
        },
        "furniture": "20 kg/m2",
        "tariff": valid_tariff(rng),
    }  # fmt: skip


def listed_twice(key: str, count: int) -> Callable[[Said, random.Random], None]:
    def done(said: Said, rng: random.Random) -> None:
        said[key][0]["count"] = count
        said[key].append(copy.deepcopy(said[key][0]))

    return done


def whole_floor(said: Said, rng: random.Random) -> None:
    size = said["body"]
    said["loft"]["area"] = f"{number(size['length']) * number(size['width']):.0f} ft2"


H = "house"
SAME_AREA = "the area, and so the load, is the same"
MAY_BE = "a house may be built or used so"
HOUSE_MISTAKES = (
    Mistake(H, "length in metres under ft", put("body.length", unit_for("ft", 0.3048)), ASKED),
    Mistake(H, "length in feet under m", put("body.length", unit_for("m")), REFUSED),
    Mistake(H, "length in feet under in", put("body.length", unit_for("in")), REFUSED),
    Mistake(H, "length without a unit", put("body.length", number), REFUSED),
    Mistake(H, "length with a decimal comma", put("body.length", "26,5 ft"), REFUSED),
    Mistake(H, "length and width swapped", swap("body.length", "body.width"), REFUSED),
    Mistake(H, "width in inches under ft", put("body.width", "102 ft"), REFUSED),
    Mistake(H, "width in feet under m", put("body.width", unit_for("m")), REFUSED),
    Mistake(H, "width in metres under ft", put("body.width", unit_for("ft", 0.3048)), REFUSED),
    Mistake(H, "wall height in feet under m", put("body.wall_height", unit_for("m")), REFUSED),
    Mistake(H, "wall height in inches under ft", put("body.wall_height", unit_for("ft", 12)), REFUSED),
    Mistake(H, "the house's height for the wall's", put("body.wall_height", "13 ft 5 in"), UNKNOWABLE, MAY_BE),
    Mistake(H, "window width in feet under in", put("windows.0.width", unit_for("in")), REFUSED),
    Mistake(H, "window width in inches under ft", put("windows.0.width", unit_for("ft", 12)), REFUSED),
    Mistake(H, "window width in feet under m", put("windows.0.width", "4 m"), REFUSED),
    Mistake(H, "window height in feet under m", put("windows.1.height", "4 m"), REFUSED),
    Mistake(H, "window width and height swapped", swap("windows.0.width", "windows.0.height"), UNKNOWABLE, SAME_AREA),
    Mistake(H, "a width in inches for a count", put("windows.0.count", 36), REFUSED),
    Mistake(H, "a window counted once too often", put("windows.0.count", lambda n: n + 1), UNKNOWABLE, MAY_BE),
    Mistake(H, "windows listed twice", listed_twice("windows", 2), ASKED),
    Mistake(H, "doors listed twice", listed_twice("doors", 2), ASKED),
    Mistake(H, "window R for U", put("windows.0.u_value", "U-3.3"), REFUSED),
    Mistake(H, "window R written as R", put("windows.0.u_value", "R-3.3"), REFUSED),
    Mistake(H, "window U of SI under U-", put("windows.0.u_value", "U-1.7"), REFUSED),
    Mistake(H, "window U of IP under W/m2K", put("windows.0.u_value", "0.30 W/m2K"), ASKED),
    Mistake(H, "SHGC as a percent", put("windows.0.shgc", 30), REFUSED),
    Mistake(
        H, "visible transmittance for SHGC", put("windows.0.shgc", 0.55), UNKNOWABLE, "labels hold both values, in one range"
    ),
    Mistake(H, "shading coefficient for SHGC", put("windows.0.shgc", lambda x: x * 1.15), UNKNOWABLE, "they differ by 15 %"),
    Mistake(H, "overhang in inches under ft", put("windows.0.overhang", "18 ft"), REFUSED),
    Mistake(H, "left for right", put("windows.0.face", "right"), UNKNOWABLE, MAY_BE),
    Mistake(H, "door width and height swapped", swap("doors.0.width", "doors.0.height"), ASKED),
    Mistake(H, "door in inches under ft", put("doors.0.height", "80 ft"), REFUSED),
    Mistake(H, "door width in cm under m", put("doors.0.width", "90 m"), REFUSED),
    Mistake(H, "roof angle for slope", put("roof.slope", 18), REFUSED),
    Mistake(H, "slope as a percent", put("roof.slope", 25), REFUSED),
    Mistake(H, "run over rise", put("roof.slope", "12 in 3"), REFUSED),
    Mistake(H, "loft of the whole floor", whole_floor, ASKED),
    Mistake(H, "loft in m2 under ft2", put("loft.area", unit_for("ft2", 0.0929)), ASKED),
    Mistake(H, "loft in ft2 under m2", put("loft.area", unit_for("m2")), REFUSED),
    Mistake(H, "loft warmer by a temperature", put("loft.warmer_by", "75 F"), REFUSED),
    Mistake(H, "loft twice", lambda s, r: more(s, "boxes", s["boxes"][0] | {"name": "Loft", "attached": "back"}), ASKED),
    Mistake(H, "a box listed twice", lambda s, r: more(s, "boxes", dict(s["boxes"][0])), ASKED),
    Mistake(H, "box in inches under ft", put("boxes.0.length", "24 ft"), REFUSED),
    Mistake(H, "skirting R for U", put("below.skirt_u_value", "R-10"), REFUSED),
    Mistake(H, "skirting height in inches under ft", put("below.height", "24 ft"), REFUSED),
    Mistake(H, "a U-value for a psi", put("thermal_bridges.0.psi", "2.0 W/mK"), ASKED),
    Mistake(H, "psi of SI under IP", put("thermal_bridges.0.psi", "0.06 Btu/h ft F"), UNKNOWABLE, "both are usual values"),
    Mistake(H, "bridge length in inches under ft", put("thermal_bridges.0.length", unit_for("ft", 12)), REFUSED),
    Mistake(H, "bridge by detail and by psi", put("thermal_bridges.0.detail", "floor-edge"), REFUSED),
    Mistake(H, "cfm50 for ACH50", put("air.tightness", "250 ACH50"), REFUSED),
    Mistake(H, "ACH50 for cfm50", put("air.tightness", "3 cfm50"), ASKED),
    Mistake(H, "natural air changes for those at 50 Pa", put("air.tightness", "0.2 ACH50"), ASKED),
    Mistake(H, "tightness ten times", put("air.tightness", "30 ACH50"), ASKED),
    Mistake(H, "tightness without its pressure", put("air.tightness", "3.0"), REFUSED),
    Mistake(H, "L/s for cfm", put("ventilation.rate", unit_for("L/s")), UNKNOWABLE, "twice the air is chosen too"),
    Mistake(H, "m3/h for cfm", put("ventilation.rate", unit_for("m3/h")), UNKNOWABLE, "half the air is chosen too"),
    Mistake(H, "a bathroom fan's top speed", put("ventilation.rate", "300 cfm"), ASKED),
    Mistake(H, "recovery as a percent", put("ventilation.heat_recovery", 75), REFUSED),
    Mistake(H, "a loss for a recovery", put("ventilation.heat_recovery", 0.25), ASKED),
    Mistake(H, "recovery with an exhaust fan", put("ventilation.kind", "exhaust"), REFUSED),
    Mistake(H, "people of the whole park", put("living.people", 20), REFUSED),
    Mistake(H, "the household's showers for each one's", put("living.showers_per_person", 4), ASKED),
    Mistake(H, "loads a month for loads a week", put("living.loads_per_week", 13), ASKED),
    Mistake(H, "a year's refrigerator", put("living.refrigerator", "350 kWh"), REFUSED),
    Mistake(H, "a month's lights", put("living.lights", "12 kWh"), REFUSED),
    Mistake(H, "a month's electronics", put("living.electronics", "30 kWh"), REFUSED),
    Mistake(H, "watts for kWh a day", put("living.electronics", "60 W"), REFUSED),
    Mistake(H, "a burner's rating for a day's mean", put("living.unvented_heater", "8 kBtu/h"), ASKED),
    Mistake(H, "set point in Celsius under F", put("set_points.heating", "21 F"), REFUSED),
    Mistake(H, "set point in Fahrenheit under C", put("set_points.heating", "70 C"), REFUSED),
    Mistake(H, "heating and cooling swapped", swap("set_points.heating", "set_points.cooling"), REFUSED),
    Mistake(H, "day and night swapped", swap("set_points.heating", "set_points.night_heating"), ASKED),
    Mistake(H, "humidity as a percent", put("set_points.cooling_humidity", 50), REFUSED),
    Mistake(H, "a minus lost", put("design.heating", lambda t: t.lstrip("-")), ASKED),
    Mistake(
        H,
        "design cold of F under C",
        put("design.heating", lambda t: t.replace("F", "C")),
        UNKNOWABLE,
        "near -16 the two scales differ by 10 K, within what records of one county differ by (below 4 sigma)",
    ),
    Mistake(H, "design cold of C under F", put("design.heating", "-27 F"), ASKED),
    Mistake(H, "another place's design cold", put("design.heating", "22 F"), ASKED),
    Mistake(H, "a summer mean for the design heat", put("design.cooling", "66 F"), ASKED),
    Mistake(H, "design heat in C under F", put("design.cooling", "28 F"), ASKED),
    Mistake(H, "design cold and heat swapped", swap("design.heating", "design.cooling"), ASKED),
    Mistake(H, "wet and dry bulb swapped", swap("design.cooling", "design.cooling_wet_bulb"), ASKED),
    Mistake(H, "wet bulb in C under F", put("design.cooling_wet_bulb", "21 F"), ASKED),
    Mistake(H, "the day's high for its range", put("design.daily_range", "83 F"), REFUSED),
    Mistake(H, "design values without a source", put("design.source", ""), REFUSED),
    Mistake(
        H,
        "elevation in feet under m",
        put("site.elevation", "1400 m"),
        UNKNOWABLE,
        "the answer says from where to where it moved",
    ),
    Mistake(H, "reflectance as a percent", put("site.ground_reflectance", 20), REFUSED),
    Mistake(H, "front the other way", put("site.front_faces", "north"), UNKNOWABLE, MAY_BE),
    Mistake(H, "cord length in metres under ft", put("supply.length", unit_for("ft", 0.3048)), ASKED),
    Mistake(H, "cord length in feet under m", put("supply.length", unit_for("m")), UNKNOWABLE, "cords of 82 ft are used"),
    Mistake(H, "kW under W", put("supply.appliances.0.watts", "1.5 W"), ASKED),
    Mistake(H, "W under kW", put("supply.appliances.0.watts", "1500 kW"), REFUSED),
    Mistake(H, "watts for amperes", put("supply.appliances.0.breaker", "1500 A"), REFUSED),
    Mistake(H, "generator rating and surge swapped", swap("supply.generator.rated", "supply.generator.surge"), REFUSED),
    Mistake(H, "generator kW under W", put("supply.generator.rated", "3.5 W"), REFUSED),
    Mistake(H, "ampere-hours for kWh", put("supply.battery.capacity", "200 kWh"), REFUSED),
    Mistake(H, "usable as a percent", put("supply.battery.usable", 80), REFUSED),
    Mistake(
        H, "an appliance listed twice", lambda s, r: more(s["supply"], "appliances", dict(s["supply"]["appliances"][0])), REFUSED
    ),
    Mistake(H, "a lock-out of no load", put("supply.lock_outs", [["rnge", "pump"]]), REFUSED),
    Mistake(H, "furniture in pounds under kg", put("furniture", "98 kg/m2"), ASKED),
    Mistake(H, "a misspelt key", put("windws", []), REFUSED),
    Mistake(H, "a key of another table", put("assemblies", {"shgc": 0.3}), REFUSED),
    Mistake(H, "one cord for another", put("supply.cord", "30 A 120 V"), UNKNOWABLE, "it is what the owner may have"),
)
