"""Valid tariffs, unit files, logs and orders of the generator, and what people write wrong in them."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Callable

from tests.fuzz.mistakes import ASKED, REFUSED, UNKNOWABLE, Mistake, Said, put, swap


def valid_tariff(rng: random.Random) -> Said:
    """A flat, tiered or time-of-use tariff."""
    price = round(rng.uniform(0.09, 0.32), 3)
    return {"kind": "flat", "price": price, "monthly_charge": 12.0}


def valid_tiers(rng: random.Random) -> Said:
    """A tiered tariff."""
    low = round(rng.uniform(0.08, 0.15), 3)
    return {"kind": "tiered", "tiers": [{"up_to_kWh": rng.choice((400, 600)), "price": low}, {"price": low + 0.05}]}


def valid_periods(rng: random.Random) -> Said:
    """A time-of-use tariff."""
    return {"kind": "time-of-use", "price": 0.12, "periods": [{"name": "peak", "price": 0.3, "from_hour": 16, "to_hour": 21}]}


PLATE = """name,mine
size,12 kBtu/h
class,cold
voltage,230 V
mca,10 A
mop,15 A
refrigerant,R-32
charge,0.95 kg
lowest_heating,-13 F
lowest_cooling,14 F
pan_heater,60 W
standby,5 W
crankcase,30 W
source,invented for a test

"""


UNIT_COLUMNS = ["mode", "outdoor_F", "level", "capacity_Btuh", "power_W", "sensible_heat_ratio"]


def valid_unit(rng: random.Random) -> Said:
    """A unit file as plate and rows: those of the generic 12 kBtu/h cold-climate class, a few percent off."""
    from heatcalc.files import folder

    text = (folder("workbooks") / "units" / "G12-C-230.csv").read_text(encoding="utf-8")
    head, _, table = text.partition("\nmode,")
    times = rng.uniform(0.97, 1.03)
    rows = [line.split(",") for line in table.strip().splitlines()[1:]]
    made = [[m, t, level, f"{float(q) * times:.0f}", f"{float(p) * times:.0f}", s] for m, t, level, q, p, s in rows]
    plate = dict(line.split(",", 1) for line in PLATE.strip().splitlines())
    return {"plate": plate, "columns": UNIT_COLUMNS, "rows": made}


def unit_text(said: Said) -> str:
    return "\n".join(
        [*(f"{k},{v}" for k, v in said["plate"].items()), "", ",".join(said["columns"]), *(",".join(r) for r in said["rows"])]
    )


def valid_log(rng: random.Random) -> Said:
    """Forty winter days, an hour a row."""
    rows = []
    for i in range(24 * 40):
        outdoor = 20 + 12 * ((i // 24 * 7) % 5 - 2) / 2 + 5 * ((i % 24) / 24)
        rows.append(
            [
                f"2025-01-{1 + i // 24:02d} {i % 24:02d}:00" if i < 24 * 31 else f"2025-02-{i // 24 - 30:02d} {i % 24:02d}:00",
                f"{(70 - outdoor) * 0.012 * rng.uniform(0.9, 1.1):.3f}",
                f"{outdoor:.1f}",
                "69.8",
            ]
        )
    return {"head": "# meter: unit", "columns": ["time", "energy (kWh)", "outdoor (F)", "indoor (F)"], "rows": rows}  # fmt: skip


def log_text(said: Said) -> str:
    return "\n".join([said["head"], ",".join(said["columns"]), *(",".join(r) for r in said["rows"])]) + "\n"


def valid_orders(rng: random.Random) -> Said:
    """Three orders of the demo house."""
    towns = rng.sample(("Duluth, MN", "Burlington, VT", "Phoenix, AZ", "Houston, TX", "55802", "46.8,-92.1"), 3)
    supply = ("", "30 A 120 V", "50 A 120/240 V")
    rows = [
        [f"N{n}", "plover-26g", rng.choice(("Breeze", "Hearth")), town, rng.choice(supply), rng.choice(("", "G12-C-230")), ""]
        for n, town in enumerate(towns)
    ]
    return {"columns": ["reference", "model", "package", "place", "supply", "unit", "options"], "rows": rows}


def orders_text(said: Said) -> str:
    """As a spreadsheet writes it; a list of lists under "raw" is joined by commas without quotes."""
    out = io.StringIO()
    csv.writer(out, delimiter=said.get("delimiter", ",")).writerows([said["columns"], *said["rows"]])
    return out.getvalue() + "".join(",".join(row) + "\n" for row in said.get("raw", ()))


def column(k: int, change: Callable[[str], str]) -> Callable[[Said, random.Random], None]:
    """Every cell of one column changed."""

    def done(said: Said, rng: random.Random) -> None:
        for row in said["rows"]:
            row[k] = change(row[k])

    return done


def times(k: int, factor: float) -> Callable[[Said, random.Random], None]:
    return column(k, lambda cell: f"{float(cell) * factor:.4g}")


def swapped_columns(one: int, other: int) -> Callable[[Said, random.Random], None]:
    def done(said: Said, rng: random.Random) -> None:
        for row in said["rows"]:
            row[one], row[other] = row[other], row[one]

    return done


def running_sum(said: Said, rng: random.Random) -> None:
    total = 0.0
    for row in said["rows"]:
        total += float(row[1])
        row[1] = f"{total:.3f}"


def modes_swapped(said: Said, rng: random.Random) -> None:
    for row in said["rows"]:
        row[0] = {"heating": "cooling", "cooling": "heating"}[row[0]]


def cop_for_power(said: Said, rng: random.Random) -> None:
    for row in said["rows"]:
        row[4] = f"{float(row[3]) * 0.293 / float(row[4]):.2f}"


def row_again(*changed: str) -> Callable[[Said, random.Random], None]:
    """The first order once more, its first cells replaced."""
    return lambda said, rng: said["rows"].append([*changed, *said["rows"][0][len(changed) :]])


def unquoted(said: Said, rng: random.Random) -> None:
    said["raw"] = [["N9", "plover-26g", "Breeze", "Duluth, MN", "", "", "", ""]]


def without_a_head(said: Said, rng: random.Random) -> None:
    said["columns"] = said["rows"].pop(0)


def own_cold(said: Said, rng: random.Random) -> None:
    said["rows"][0][3:7] = ["Duluth, MN", "", "", "design.heating=16 F; design.source=the county"]


def two_cords(said: Said, rng: random.Random) -> None:
    said["rows"][0][4], said["rows"][0][6] = "30 A 120 V", "supply.cord=50 A 120/240 V"


T, U, L, R = "tariff", "unit", "log", "orders"
FOUND = "there is one; the table says what was found"
FILE_MISTAKES = (
    Mistake(T, "cents for dollars", put("price", lambda p: round(p * 100)), REFUSED),
    Mistake(T, "a point moved right", put("price", lambda p: p * 10), ASKED),
    Mistake(T, "a point moved left", put("price", lambda p: p / 10), ASKED),
    Mistake(T, "a year's charge for a month's", put("monthly_charge", 144.0), ASKED),
    Mistake(T, "a price as text", put("price", "0,14"), REFUSED),
    Mistake(T, "a percent", put("price", "14 %"), REFUSED),
    Mistake(T, "tiers without their kind", put("tiers", [{"price": 0.1}]), REFUSED),
    Mistake("tiers", "kWh a day for a month", put("tiers.0.up_to_kWh", 20), ASKED),
    Mistake("tiers", "kWh a year for a month", put("tiers.0.up_to_kWh", 7300), ASKED),
    Mistake("tiers", "tiers that fall", lambda s, r: s["tiers"].insert(1, {"up_to_kWh": 100, "price": 0.1}), REFUSED),
    Mistake("tiers", "cents in a tier", put("tiers.1.price", 18), REFUSED),
    Mistake("periods", "cents in a period", put("periods.0.price", 30), REFUSED),
    Mistake(
        "periods",
        "4 to 9 for 16 to 21",
        put("periods.0", lambda p: p | {"from_hour": 4, "to_hour": 9}),
        UNKNOWABLE,
        "a morning peak exists",
    ),
    Mistake("periods", "no hours", put("periods.0.to_hour", 16), REFUSED),
    Mistake(U, "size in tons", put("plate.size", "1 kBtu/h"), REFUSED),
    Mistake(U, "MCA and MOP swapped", swap("plate.mca", "plate.mop"), REFUSED),
    Mistake(U, "ounces under pounds", put("plate.charge", "33 lb"), REFUSED),
    Mistake(U, "pounds under kilograms", put("plate.charge", "2.1 kg"), UNKNOWABLE, "long line sets hold as much"),
    Mistake(U, "voltage ten times", put("plate.voltage", "2300 V"), REFUSED),
    Mistake(U, "the running input for the standby", put("plate.standby", "95 W"), ASKED),
    Mistake(U, "no source", put("plate.source", ""), REFUSED),
    Mistake(U, "capacity in kBtu/h under Btu/h", times(3, 0.001), REFUSED),
    Mistake(U, "capacity in W under Btu/h", times(3, 0.293), ASKED),
    Mistake(U, "power in kW under W", times(4, 0.001), REFUSED),
    Mistake(U, "power in Btu/h under W", times(4, 3.412), ASKED),
    Mistake(U, "COP for power", cop_for_power, REFUSED),
    Mistake(U, "heating and cooling swapped", modes_swapped, ASKED),
    Mistake(U, "capacity and power swapped", swapped_columns(3, 4), REFUSED),
    Mistake(U, "outdoor in C under F", column(1, lambda t: f"{(float(t) - 32) / 1.8:.1f}"), ASKED),
    Mistake(L, "kW under W", lambda s, r: put("columns.1", "power (W)")(s, r), ASKED),
    Mistake(L, "Wh under kWh", times(1, 1000.0), REFUSED),
    Mistake(L, "kWh under Wh", put("columns.1", "energy (Wh)"), ASKED),
    Mistake(L, "a running counter under energy", running_sum, REFUSED),
    Mistake(L, "indoor and outdoor swapped", swapped_columns(2, 3), ASKED),
    Mistake(L, "indoor in C under F", column(3, lambda t: "21"), ASKED),
    Mistake(L, "indoor in F under C", put("columns.3", "indoor (C)"), REFUSED),
    Mistake(L, "outdoor in C under F", column(2, lambda t: f"{(float(t) - 32) / 1.8:.1f}"), UNKNOWABLE, "a colder place logs so"),
    Mistake(
        L, "the whole house's meter", times(1, 1.6), UNKNOWABLE, "a leakier house draws as much; the file says which meter it is"
    ),
    Mistake(R, "a model misspelt", put("rows.0.1", "plover-62g"), REFUSED),
    Mistake(R, "a package misspelt", put("rows.0.2", "Hearh"), REFUSED),
    Mistake(R, "model and package swapped", swapped_columns(1, 2), REFUSED),
    Mistake(R, "reference and place swapped", swapped_columns(0, 3), REFUSED),
    Mistake(R, "supply and unit swapped", put("rows.0.5", "50 A 120/240 V"), REFUSED),
    Mistake(R, "a town of many states without one", put("rows.0.3", "Duluth"), REFUSED),
    Mistake(R, "another state's town", put("rows.0.3", "Duluth, GA"), UNKNOWABLE, FOUND),
    Mistake(R, "a ZIP as a decimal number", put("rows.0.3", "55802.0"), REFUSED),
    Mistake(R, "a digit too many in a ZIP", put("rows.0.3", "558022"), REFUSED),
    Mistake(R, "two digits of a ZIP swapped", put("rows.0.3", "58502"), UNKNOWABLE, FOUND),
    Mistake(R, "latitude and longitude swapped", put("rows.0.3", "-92.1,46.8"), REFUSED),
    Mistake(R, "a longitude without its minus", put("rows.0.3", "46.8,92.1"), REFUSED),
    Mistake(R, "no place", put("rows.0.3", ""), REFUSED),
    Mistake(R, "a place without its quotes", unquoted, REFUSED),
    Mistake(R, "amperes alone", put("rows.0.4", "50 A"), REFUSED),
    Mistake(R, "a ready word for another cord", put("rows.0.4", "20 A 120 V"), UNKNOWABLE, "it is what the buyer may have"),
    Mistake(R, "a size for a unit's name", put("rows.0.5", "12k"), REFUSED),
    Mistake(R, "options joined by commas", put("rows.0.6", "air.tightness=3.0 ACH50, below.kind=skirted"), REFUSED),
    Mistake(R, "an option without its value", put("rows.0.6", "below.kind"), REFUSED),
    Mistake(R, "an option with a colon", put("rows.0.6", "below.kind: skirted"), REFUSED),
    Mistake(R, "an option misspelt", put("rows.0.6", "air.tigtness=3.0 ACH50"), REFUSED),
    Mistake(R, "an option twice", put("rows.0.6", "below.kind=skirted; below.kind=slab"), REFUSED),
    Mistake(R, "a cord in its column and in the options", two_cords, REFUSED),
    Mistake(R, "a decimal comma in an option", put("rows.0.6", "air.tightness=3,0 ACH50"), REFUSED),
    Mistake(R, "an option ten times", put("rows.0.6", "air.tightness=30 ACH50"), ASKED),
    Mistake(R, "a set point in Celsius under F", put("rows.0.6", "set_points.heating=21 F"), REFUSED),
    Mistake(R, "a lost minus in an option", own_cold, ASKED),
    Mistake(R, "an order twice", row_again("N9"), ASKED),
    Mistake(R, "a reference twice", row_again("N1", "plover-26g", "Breeze", "Tucson, AZ"), ASKED),
    Mistake(R, "no head line", without_a_head, REFUSED),
    Mistake(R, "semicolons for commas", put("delimiter", ";"), REFUSED),
    Mistake(R, "a column misspelt", put("columns.3", "plase"), REFUSED),
    Mistake(R, "a column twice", put("columns.0", "place"), REFUSED),
)
