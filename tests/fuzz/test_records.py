"""Mutated hourly files and owner's logs: repaired and said so, or refused in one line; nothing impossible passes."""

from __future__ import annotations

import random

import numpy as np
import pytest

from heatcalc.inputs.log.log_file import read_log
from heatcalc.inputs.weather.weather_files import read_hours
from heatcalc.inputs.weather.weather_hours import read_weather
from tests import good_weather
from tests.fuzz.mutations import WORDS, Tally, mutated_text, not_finite, put, seeds

HEAD, COLUMNS = good_weather.head(), good_weather.COLUMNS + ",sky_cover (%)"
CELLS = [
    *WORDS,
    "1e308",
    "-1e308",
    "-9999",
    "99999",
    "1e-320",
    "2023-02-30 01:00",
    "9999-12-31 24:00",
    "0001-01-01 00:00",
    "2023-01-01T24:00T24:00",
    "2023-01-01 01:00+99:00",
    "1/1/2023 1:00",
    "2023-01-01 01:00Z",
    "-40",
    "500",
    "1e6",
]


YEAR = [f"{row},40" for row in good_weather.rows()]


def test_short_weather_files(tmp_path):
    """1,500 files of a few rows: heads, names, units and times gone wrong are refused before the rows are missed."""
    tally, file = Tally(), tmp_path / "hours.csv"
    text = HEAD + "\n".join([COLUMNS, *YEAR[:12]]) + "\n"
    for seed in seeds(1500):
        put(file, mutated_text(text, random.Random(seed)))
        with tally.trying(seed):
            read_hours(file)
    assert tally.accepted == 0


def test_whole_weather_years(tmp_path):
    """60 years of hours with odd cells and columns: a whole, finite, physical year, or one line."""
    tally, file = Tally(), tmp_path / "hours.csv"
    for seed in seeds(60):
        rng, lines = random.Random(seed), [COLUMNS, *YEAR]
        column, factor = rng.randrange(1, 9), rng.choice((None, None, None, 1e3, 1e300, -1, 1.8))
        for _ in range(rng.choice((1, 5, 100, 400))):
            at = rng.randrange(1, len(lines))
            cells = lines[at].split(",")
            cells[rng.choice((0, column, column))] = rng.choice(CELLS[-15:] if seed % 2 else ["1e308", "-40", "500", "1e6", ""])
            lines[at] = ",".join(cells)
        if factor:
            lines = [lines[0], *(_scaled(row, column, factor) for row in lines[1:])]
        put(file, HEAD + "\n".join(lines) + "\n")
        with tally.trying((seed, column, factor)):
            year = read_weather(file)
            assert not not_finite(year)
            for name, low, high in (
                ("dry_bulb_C", -90, 60),
                ("dew_point_C", -110, 40),
                ("wind_m_s", 0, 120),
                ("ghi", 0, 1600),
                ("pressure_Pa", 4e4, 1.1e5),
                ("dni", 0, 1600),
                ("dhi", 0, 1600),
                ("sky_cover", 0, 1),
            ):
                values = getattr(year, name)
                assert values is None or (values.min() >= low and values.max() <= high), (name, values.min(), values.max())
    assert tally.accepted >= 5 and tally.refused > 10


def _scaled(row: str, column: int, factor: float) -> str:
    cells = row.split(",")
    try:
        cells[column] = f"{float(cells[column]) * factor:g}"
    except ValueError:
        return row
    return ",".join(cells)


LOG = "# meter: house\n# other loads: 250 W\ntime,energy (kWh),outdoor (F),indoor (F)\n" + "".join(
    f"2025-01-{d:02d} {h:02d}:00,{1.0 + 0.03 * h:.2f},{12 + h % 7},69.8\n" for d in range(1, 6) for h in range(24)
)


def test_logs(tmp_path):
    """800 logs of five days."""
    tally, file = Tally(), tmp_path / "log.csv"
    for seed in seeds(800):
        rng = random.Random(seed)
        text = mutated_text(LOG, rng) if seed % 3 else mutated_text(LOG[:400], rng) + LOG[400:]
        put(file, text)
        with tally.trying(seed):
            log = read_log(file)
            assert np.isfinite(log.power_W).all() and (log.hours > 0).all()
            assert not np.isinf(log.outdoor_C).any() and not np.isinf(log.indoor_C).any()
    assert tally.accepted > 50 and tally.refused > 300


@pytest.mark.parametrize("cell", ["2023-01-01" + "T24:00" * 5000, "9999-12-31 24:00", "2023-01-01 00:00" + "0" * 5000])
def test_times_that_nest(tmp_path, cell):
    file, tally = tmp_path / "hours.csv", Tally()
    file.write_text(f"{HEAD}{COLUMNS}\n{cell},1,1,1,1,1,1,1,1\n", encoding="utf-8")
    with tally.trying(cell[:30]):
        read_hours(file)
    assert tally.refused == 1
