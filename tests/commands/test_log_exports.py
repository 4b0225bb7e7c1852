"""Exports as utilities, meters and loggers write them (invented numbers): the same four days, or the same bills, in each."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.log.log_file import read_log

START, DAYS = datetime(2025, 1, 30), 4
WATTS = [400.0, 1000.0, 1600.0, 2200.0]
BILLS = [(datetime(2024, 11, 14), 30, 620), (datetime(2024, 12, 14), 31, 1240), (datetime(2025, 1, 14), 30, 1530)]
AIR = "30.0"


def rows(hours):
    """Begin, end, kWh of every row of the four days."""
    step = timedelta(hours=hours)
    for k in range(round(24 * DAYS / hours)):
        at = START + k * step
        yield at, at + step, WATTS[(at - START).days] * hours / 1000.0


def table(head, lines, above=(), below=(), mark=","):
    return "\n".join([*above, head, *(mark.join(line) for line in lines), *below]) + "\n"


def clock(t):
    return f"{t:%I:%M %p}".lstrip("0")


def us(t):
    return f"{t.month}/{t.day}/{t.year}"


SHAPES = {
    "begin and end, AM and PM": lambda: table(
        "Interval Start,Interval End,Usage (kWh),Avg Temp (F)",
        [(f"{us(a)} {clock(a)}", f"{us(b)} {clock(b)}", f"{e:.3f}", AIR) for a, b, e in rows(1)],
    ),
    "quarter hours, day apart from the clock, last minute counted, an account above": lambda: table(
        "TYPE,DATE,START TIME,END TIME,USAGE,UNITS,COST,Temperature (F)",
        [
            (
                "Electric usage",
                f"{a:%Y-%m-%d}",
                f"{a:%H:%M}",
                f"{b - timedelta(minutes=1):%H:%M}",
                f"{e:.4f}",
                "kWh",
                "$0.03",
                AIR,
            )
            for a, b, e in rows(0.25)
        ],
        ("Name,INVENTED OWNER", 'Address,"1 Nowhere Lane, Unit 2"', "Account Number,0000000000", ""),
    ),
    "hours side by side": lambda: table(
        "Meter Number,Date," + ",".join(f"{h:02d}:00" for h in range(24)),
        [("1", us(START + timedelta(d)), *[f"{WATTS[d] / 1000:.2f}"] * 24) for d in range(DAYS)],
    ),
    "hours ending side by side": lambda: table(
        "Account,Usage Date," + ",".join(f"HE{h:02d}" for h in range(1, 25)),
        [("0", f"{START + timedelta(d):%d-%b-%Y}", *[f"{WATTS[d] / 1000:.2f}"] * 24) for d in range(DAYS)],
    ),
    "a bare date is that day": lambda: table(
        "Date,Consumption (kWh),Average Temperature (F)",
        [(us(START + timedelta(d)), f"{WATTS[d] * 0.024:.2f}", AIR) for d in range(DAYS)],
    ),
    "a day stamped at midnight by a spreadsheet": lambda: table(
        "Date,kWh,Outdoor (F)", [(f"{START + timedelta(d)}", f"{WATTS[d] * 0.024:.2f}", AIR) for d in range(DAYS)]
    ),
    "hour of the day in a column of its own": lambda: table(
        "Date,Hour,Heat pump (kWh),Outdoor (F)", [(us(a), str(a.hour), f"{e:.3f}", AIR) for a, _, e in rows(1)]
    ),
    "hours 1 to 24": lambda: table(
        "Date,Hour,Usage kWh,Temp (F)", [(us(a), str(a.hour + 1), f"{e:.3f}", AIR) for a, _, e in rows(1)]
    ),
    "a span of clock times": lambda: table(
        "Day,Interval,Net usage (kWh),Temp (F)", [(us(a), f"{clock(a)} - {clock(b)}", f"{e:.3f}", AIR) for a, b, e in rows(1)]
    ),
    "semicolons, decimal commas, days first": lambda: table(
        "Time;Import (kWh);Outside (°C)",
        [(f"{a:%d.%m.%Y %H:%M}", f"{e:.3f}".replace(".", ","), "-1,1") for a, _, e in rows(0.5)],
        mark=";",
    ),
    "tabs, two-digit years, Wh with thousands": lambda: table(
        "Timestamp\tHVAC [Wh]\tOutdoor (F)", [(f"{a:%m/%d/%y %H:%M}", f"{e * 1000:,.0f}", AIR) for a, _, e in rows(2)], mark="\t"
    ),
    "offsets behind every time": lambda: table(
        "start_time,end_time,usage_kwh,outdoor_f",
        [(f"{a.isoformat()}-05:00", f"{b.isoformat()}-05:00", f"{e:.3f}", AIR) for a, b, e in rows(1)],
    ),
    "kilowatts of a logger, newest first": lambda: table(
        "Date/Time,Circuit 3 (kW),Outdoor (F)",
        [(f"{a:%Y-%m-%d %H:%M:%S}", f"{e:.3f}", AIR) for a, _, e in reversed(list(rows(1)))],
    ),
    "a total below": lambda: table(
        "Hour Ending,Usage (kWh),Temp (F)",
        [(f"{b:%m/%d/%Y %H:%M}", f"{e:.3f}", AIR) for _, b, e in rows(1)],
        below=('Total,"1,248.0",',),
    ),
    "bills from and to": lambda: table(
        "Service From,Service To,Days,Usage (kWh),Amount,Avg Temp (F)",
        [(us(a), us(a + timedelta(d - 1)), str(d), f'"{e:,}"', "$99.00", AIR) for a, d, e in BILLS for _ in (0,)],
    ),
    "bills by their readings": lambda: table(
        "Read Date,Usage (kWh),Average Temperature (F)",
        [(us(BILLS[0][0]), "555", AIR), *((f"{a + timedelta(d):%b %d %Y}", f'"{e:,}"', AIR) for a, d, e in BILLS)],
    ),
    "a counter read once a month": lambda: table(
        "Reading Date,Meter Reading (kWh),Outdoor (F)",
        [
            (us(BILLS[0][0]), "41000", AIR),
            *((us(a + timedelta(d)), str(41000 + s), AIR) for (a, d, _), s in zip(BILLS, (620, 1860, 3390), strict=True)),
        ],
    ),
    "months by name": lambda: table(
        "Month,kWh,Avg Temp (F)",
        [(f"{datetime(2025, m, 1):%b %Y}", str(k), AIR) for m, k in ((1, 744), (2, 672), (3, 744), (4, 720))],
    ),
}
METER = {"hour of the day in a column of its own": "unit", "tabs, two-digit years, Wh with thousands": "unit"}
METER |= dict.fromkeys(
    ("kilowatts of a logger, newest first", "a day stamped at midnight by a spreadsheet", "months by name"), "unit"
)


@pytest.mark.parametrize("shape", SHAPES)
def test_an_ordinary_export_is_read_as_it_stands(tmp_path, shape):
    (tmp_path / "export.csv").write_text(SHAPES[shape](), encoding="utf-8")
    air = tmp_path / "air.csv"
    air.write_text("date,outdoor (F)\n" + "".join(f"{START + timedelta(d):%Y-%m-%d},30\n" for d in range(DAYS)), encoding="utf-8")
    beside = air if "side by side" in shape else None
    log = read_log(tmp_path / "export.csv", beside)
    first = np.datetime64("1970-01-01T00") + np.timedelta64(int(log.begin_h[0]), "h")
    if "month" in shape and "once" not in shape:
        assert log.power_W == pytest.approx([1000.0] * 3) and log.hours == pytest.approx([744.0, 672.0, 744.0])
    elif "bills" in shape or "once a month" in shape:
        assert log.hours / 24 == pytest.approx([d for _, d, _ in BILLS]) and first == np.datetime64(BILLS[0][0], "h")
        assert log.power_W == pytest.approx([e * 1000 / 24 / d for _, d, e in BILLS])
    else:
        assert log.power_W == pytest.approx(WATTS, rel=1e-3) and first == np.datetime64(START, "h")
    assert np.isfinite(log.outdoor_C).all() and log.outdoor_C == pytest.approx(-1.1, abs=0.02)
    assert log.meter == METER.get(shape, "house") and any("meter" in str(line) for line in log.report)


@pytest.mark.parametrize(
    ("head", "lines", "hint"),
    [
        ("Interval Start,Usage", [("1/1/2025 1:00 AM", "1")] * 5, "needs a unit"),
        ("Start Time,Usage (kWh)", [(f"{h}:00 AM", "1") for h in range(1, 6)], "without its day"),
        ("Date,Usage (kWh)", [("1/1/2025", "1")] * 5, "rows 0.00 h apart"),
        ("Date,Usage (kWh)", [(f"2/{d}/2025", "1") for d in range(25, 31)], "is no time"),
        ("Date,Cost ($)", [(f"2/{d}/2025", "1") for d in range(1, 9)], "has no column"),
        ("Date,Usage (kWh)", [(f"2/{d}/2025", "1,5") for d in range(1, 9)], "has 3 cells"),
    ],
)
def test_an_export_that_cannot_be_read_is_one_line(tmp_path, head, lines, hint):
    (tmp_path / "export.csv").write_text(table(head, lines), encoding="utf-8")
    with pytest.raises(InputError, match=hint) as caught:
        read_log(tmp_path / "export.csv")
    assert "\n" not in str(caught.value)


def test_the_meter_may_be_said(tmp_path):
    (tmp_path / "export.csv").write_text(SHAPES["a bare date is that day"](), encoding="utf-8")
    assert read_log(tmp_path / "export.csv", meter="unit").meter == "unit"
    assert read_log(tmp_path / "export.csv", meter="house", other="300 W").other_W == 300.0
