"""The log command as an owner's builder types it: formats, repairs, refusals, the shipped example."""

import csv
import json
from datetime import datetime, timedelta

import numpy as np
import pytest

from heatcalc.cli import main
from heatcalc.errors import InputError
from heatcalc.files import folder
from heatcalc.inputs.log.log_file import read_log

EXAMPLE = folder("workbooks") / "logs" / "owner_log_invented.csv"
HOUSE = ["--house", "plover-26g", "--place", "Burlington, VT", "--set", "unit=G12-C-230"]


def run(capsys, *words):
    code = main(["log", *words])
    out, err = capsys.readouterr()
    return code, out, err


def rows():
    lines = [line for line in EXAMPLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.reader(lines))[1:]


def write(path, header, lines, head=()):
    path.write_text("\n".join([*head, header, *(",".join(map(str, line)) for line in lines)]) + "\n", encoding="utf-8")
    return path


def test_the_shipped_example_says_it_is_invented_and_finds_its_leak(capsys):
    assert "INVENTED" in EXAMPLE.read_text(encoding="utf-8").splitlines()[0]
    code, out, err = run(capsys, "owner_log_invented", *HOUSE)
    assert code == 0 and not err
    assert "loses more heat than computed" in out and "more loss:" in out and "air leak" in out and "95% interval" in out


def test_json_holds_the_same_and_is_finite(capsys):
    code, out, _ = run(capsys, str(EXAMPLE), *HOUSE, "--json")
    record = json.loads(out)
    assert code == 0 and [f["kind"] for f in record["findings"]] == ["more loss"] and not record["as_computed"]
    low, high = record["interval_W_K"]
    assert low < record["loss_coefficient_W_K"] < high and record["periods"] == 74
    assert record["real_band_W_K"][0] < low and record["confidence"] == 0.95


def test_both_unit_systems_show_the_record(capsys):
    _, out, _ = run(capsys, str(EXAMPLE), *HOUSE, "--json")
    record = json.loads(out)
    _, si, _ = run(capsys, str(EXAMPLE), *HOUSE, "--units", "si")
    _, ip, _ = run(capsys, str(EXAMPLE), *HOUSE)
    assert f"{record['loss_coefficient_W_K']:.1f} W/K" in si
    assert f"{record['loss_coefficient_W_K'] * 3.412142 / 1.8:.1f} Btu/h·°F" in ip


def test_the_folder_is_the_same_bytes_twice(capsys, tmp_path):
    for name in ("a", "b"):
        assert run(capsys, str(EXAMPLE), *HOUSE, "-o", str(tmp_path / name))[0] == 0
    files = sorted(p.name for p in (tmp_path / "a").iterdir())
    figures = [f"{name}.{kind}" for name in ("log-loss-line", "log-off-the-line") for kind in ("png", "svg")]
    assert files == sorted(["log.html", *figures, "result.json"])
    for name in files:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def slope(capsys, path, *more):
    code, out, err = run(capsys, str(path), *HOUSE, "--json", *more)
    assert code == 0, err
    return json.loads(out)["loss_coefficient_W_K"]


def test_every_way_to_write_the_same_log_gives_the_same_answer(capsys, tmp_path):
    base, there = rows(), slope(capsys, EXAMPLE)
    hour = timedelta(hours=2)
    stamp = [datetime.fromisoformat(r[0]) for r in base]
    energy = np.array([float(r[1]) for r in base])
    usual = "time,energy (kWh),outdoor (F),indoor (F)"
    turned = [(f"{s:%m/%d/%Y %H:%M}", *r[1:]) for s, r in zip(stamp, base, strict=True)]
    counted = [(r[0], f"{e:.6f}", r[2], r[3]) for r, e in zip(base, np.cumsum(energy), strict=True)]
    celsius = [(r[0], r[1], *(f"{(float(x) - 32) / 1.8:.6f}" for x in r[2:])) for r in base]
    ways = {
        "watts": ("time,power (W),outdoor (F),indoor (F)", [(r[0], f"{float(r[1]) * 500:.6f}", r[2], r[3]) for r in base], ()),
        "wh": ("time,energy (Wh),outdoor_F,indoor_F", [(r[0], f"{float(r[1]) * 1000:.3f}", r[2], r[3]) for r in base], ()),
        "celsius": ("time,energy_kWh,outdoor (C),indoor [C]", celsius, ()),
        "begin": (usual, [(s - hour, *r[1:]) for s, r in zip(stamp, base, strict=True)], ("# stamps: begin",)),
        "american": ("Time,Energy (kWh),Outside (F),Inside (F)", turned, ()),
        "turned": (usual, base[::-1], ()),
        "house": (usual, [(r[0], f"{float(r[1]) + 0.6:.6f}", *r[2:]) for r in base], ("# meter: house", "# other loads: 300 W")),
        "counter": ("time,reading (kWh),outdoor (F),indoor (F)", [(stamp[0] - hour, 0, "", ""), *counted], ()),
    }
    for name, (header, lines, head) in ways.items():
        assert slope(capsys, write(tmp_path / f"{name}.csv", header, lines, head)) == pytest.approx(there, rel=1e-4), name


def test_outdoor_from_a_second_file(capsys, tmp_path):
    base = rows()
    meter = write(tmp_path / "meter.csv", "time,energy (kWh),indoor (F)", [(r[0], r[1], r[3]) for r in base])
    air = write(tmp_path / "air.csv", "time,outdoor (F)", [(r[0], r[2]) for r in base])
    code, _, err = run(capsys, str(meter), *HOUSE)
    assert code == 2 and "--outdoor" in err
    assert slope(capsys, meter, "--outdoor", str(air)) == pytest.approx(slope(capsys, EXAMPLE), rel=1e-6)


def test_quarter_hours_days_and_months_are_read(tmp_path):
    start = datetime(2025, 1, 1)
    for name, hours, count in (("quarter", 0.25, 96 * 12), ("day", 24.0, 40), ("month", 0.0, 8)):
        ends = (
            [start + timedelta(hours=hours * (k + 1)) for k in range(count)]
            if hours
            else [datetime(2024 + (8 + k) // 12, (8 + k) % 12 + 1, 1) for k in range(count)]
        )
        before = [start, *ends][: len(ends)] if hours else [datetime(2024, 8, 1), *ends][: len(ends)]
        lengths = [(e - b).total_seconds() / 3600 for b, e in zip(before, ends, strict=True)]
        lines = [(e, 0.4 * h, 20 + 10 * np.sin(k), 70) for k, (e, h) in enumerate(zip(ends, lengths, strict=True))]
        log = read_log(write(tmp_path / f"{name}.csv", "time,energy (kWh),outdoor (F),indoor (F)", lines))
        assert len(log.hours) == {"quarter": 12, "day": 40, "month": 7}[name]
        assert log.power_W == pytest.approx(400.0, rel=1e-6)


def test_repairs_are_said(tmp_path):
    base = rows()
    base[30][1] = ""  # a gap: one row of twelve, the day has less than nine tenths of its rows
    base[31][1] = ""
    base[60][2] = "999"
    base.append(base[100])
    log = read_log(write(tmp_path / "log.csv", "time,energy (kWh),outdoor (F),indoor (F)", base))
    assert "1 days with gaps left out" in log.report and "1 impossible outdoor values left out" in log.report
    assert "1 rows given twice dropped" in log.report and "rows put in order of time" in log.report


BAD = {
    "no energy": ("time,outdoor (F)", None, "energy"),
    "no time": ("when,energy (kWh),outdoor (F),indoor (F)", None, "time"),
    "no unit": ("time,energy,outdoor (F),indoor (F)", None, "kwh"),
    "wrong unit": ("time,energy (kWh),outdoor (K),indoor (F)", None, "outdoor"),
    "a word": ("time,energy (kWh),outdoor (F),indoor (F)", (5, 1, "much"), "row 6"),
    "no moment": ("time,energy (kWh),outdoor (F),indoor (F)", (5, 0, "yesterday"), "row 6"),
    "a short row": ("time,energy (kWh),outdoor (F),indoor (F),more", None, "cells"),
    "celsius as fahrenheit": ("time,energy (kWh),outdoor (C),indoor (C)", None, "cannot be real"),
    "nested hours": ("time,energy (kWh),outdoor (F),indoor (F)", (5, 0, "2025-01-01" + "T24:00" * 3000), "row 6"),
    "an endless heading": ("time,energy (kWh)," + "(" * 5000 + " " * 5000 + ",indoor (F)", None, "outdoor"),
    "half with offset": ("time,energy (kWh),outdoor (F),indoor (F)", (5, 0, "2025-01-01T12:00Z"), "offset"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_wrong_log_is_one_line(capsys, tmp_path, name):
    header, change, hint = BAD[name]
    base = [list(r[: header.count(",") + 1]) for r in rows()]
    if name == "no energy":
        base = [[r[0], r[2]] for r in rows()]
    if change:
        base[change[0]][change[1]] = change[2]
    bad = write(tmp_path / "bad.csv", header, base)
    code, out, err = run(capsys, str(bad), *HOUSE, "-o", str(tmp_path / "out"))
    assert code == 2 and not out and err.count("\n") == 1 and hint in err.lower()
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("head", "hint"), [("# meter: hose", "house"), ("# stamps: middle", "end"), ("# meter: house\n# other loads: 9 kW", "5,000")]
)
def test_wrong_head_lines_are_one_line(tmp_path, head, hint):
    with pytest.raises(InputError, match=hint):
        read_log(write(tmp_path / "bad.csv", "time,energy (kWh),outdoor (F),indoor (F)", rows(), [head]))


@pytest.mark.parametrize(
    "content",
    [b"", b"\x00\x01", "time".encode("utf-16"), b"time,energy (kWh)\n", b"\xff\xfe\x00"],
    ids=["empty", "binary", "utf-16", "header alone", "broken"],
)
def test_broken_files_are_one_line(capsys, tmp_path, content):
    file = tmp_path / "log.csv"
    file.write_bytes(content)
    code, out, err = run(capsys, str(file), *HOUSE)
    assert code == 2 and not out and err.count("\n") == 1


def test_too_few_cold_days_have_no_answer(capsys, tmp_path):
    few = write(tmp_path / "few.csv", "time,energy (kWh),outdoor (F),indoor (F)", rows()[: 12 * 6])
    code, out, err = run(capsys, str(few), *HOUSE)
    assert code == 1 and not out and "at least 10" in err


def test_an_unknown_unit_is_one_line(capsys):
    code, _, err = run(capsys, str(EXAMPLE), "--house", "plover-26g", "--place", "Burlington, VT", "--set", "unit=G12-C-23")
    assert code == 2 and "G12-C-230" in err and err.count("\n") == 1
