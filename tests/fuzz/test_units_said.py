"""The same quantity in another unit is the same answer; a unit of another kind, or none, is refused.  No wrong unit is silent."""

from __future__ import annotations

import json
import re
import tomllib

import numpy as np
import pytest

from heatcalc import units
from heatcalc.errors import InputError
from heatcalc.files import folder
from heatcalc.inputs.house.house_file import house_from
from heatcalc.inputs.log.log_file import read_log
from heatcalc.inputs.unit.unit_file import read_unit
from heatcalc.inputs.weather.weather_hours import read_weather
from tests.fuzz.commands import ending
from tests.fuzz.mutations import tried
from tests.fuzz.test_readers import FULL_HOUSE
from tests.fuzz.test_records import COLUMNS, HEAD, LOG, YEAR
from tests.test_units import REGISTRY


def in_unit(value: float, kind: units.Kind, unit: str) -> float:
    """An SI value in another unit, by the unit library's own conversion."""
    return float(REGISTRY.Quantity(value, kind.si).to(unit).magnitude)


def quantities(said, path=()):
    """Where the house file says a number with a unit."""
    items = said.items() if isinstance(said, dict) else enumerate(said) if isinstance(said, list) else ()
    for key, value in items:
        if isinstance(value, str) and re.match(r"^-?[\d.]+ \D", value) and key != "tightness":
            yield (*path, key), value
        yield from quantities(value, (*path, key))


def put(said, path, value):
    if not path:
        return value
    copied = dict(said) if isinstance(said, dict) else list(said)
    copied[path[0]] = put(said[path[0]], path[1:], value)
    return copied


def at(said, path):
    for key in path:
        said = said[key]
    return said


def spellings_of(said: str, value: float) -> dict[str, tuple[units.Kind, str]]:
    """The spellings of every kind under which the words come to the value that was read."""
    kinds = []
    for name, kind in units.KINDS.items():
        try:
            kinds += [kind] if np.isclose(units.parse(said, name), value, rtol=1e-12) else []
        except ValueError:
            continue
    shared = set.intersection(*({*k.spellings} for k in kinds)) if kinds else set()
    return {word: (kinds[0], kinds[0].spellings[word]) for word in shared}


def test_every_spelling_of_a_house_says_the_same():
    """Every quantity of a house in every spelling of its kind: the same house."""
    said = tomllib.loads(FULL_HOUSE)
    plain, done = house_from(said).model_dump(mode="json"), 0
    for path, words in quantities(said):
        value = at(plain, path)
        found = spellings_of(words, value) if isinstance(value, float) else {}
        for spelling, (kind, unit) in found.items():
            tried.one()
            done += 1
            other = house_from(put(said, path, f"{in_unit(value, kind, unit):.14g} {spelling}")).model_dump(mode="json")
            assert np.isclose(at(other, path), value, rtol=1e-9), (path, spelling)
            assert put(other, path, value) == plain, (path, spelling)
    assert done > 200


def test_no_number_is_taken_with_another_unit_or_none():
    """A field of a house gets the same number with every unit of every kind: taken where the unit is its own, else refused."""
    said, done = tomllib.loads(FULL_HOUSE), 0
    for path, value in quantities(said):
        number, _, own = value.partition(" ")
        kinds = [k for k in units.KINDS.values() if own.lower().split(" ")[0] in k.spellings]
        allowed = {word for kind in kinds for word in kind.spellings}
        for word in {"", *(w for kind in units.KINDS.values() for w in kind.spellings if w not in allowed)}:
            tried.one()
            done += 1
            with pytest.raises(InputError):
                house_from(put(said, path, f"{number} {word}".strip() if word else float(number)))
    assert done > 3000


def test_the_flow_of_a_fan_test_is_no_ventilation():
    with pytest.raises(InputError, match="cfm50"):
        house_from(tomllib.loads(FULL_HOUSE), ["ventilation.rate=250 cfm50"])


SIZES = [
    ("body.length", "26 ft", "7.9248 m"),
    ("body.wall_height", "9 ft 6 in", "114 in"),
    ("air.tightness", "250 cfm50", "424.752705 m3/h50"),
    ("set_points.heating", "68 F", "20 C"),
    ("design.heating", "-13 F", "-25 C"),
    ("design.cooling", "95 F", "308.15 K"),
    ("ventilation.rate", "30 cfm", "14.158423 l/s"),
    ("windows.0.u_value", "U-0.30", "1.7034789 W/m2K"),
    ("site.elevation", "1000 ft", "304.8 m"),
    ("furniture", "4 lb/ft2", "19.529711 kg/m2"),
    ("loft.warmer_by", "9 F", "5 K"),
]


@pytest.mark.parametrize(("field", "one", "other"), SIZES, ids=[field for field, _, _ in SIZES])
def test_a_sizing_is_the_same_in_either_unit(capsys, field, one, other):
    quick = ["--set", "site.front_faces=south", "--set", "design.source=own", "--set", "loft.area=40 ft2"]
    shown = [ending(["size", "--json", *quick, "--set", f"{field}={word}"], capsys)[1].replace(word, "") for word in (one, other)]
    first, second = map(json.loads, shown)
    assert alike(first, second), field


def alike(one, other) -> bool:
    """The same records, numbers to seven digits; in words each number may be rounded otherwise."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(alike(one[k], other[k]) for k in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float) or isinstance(other, float):
        return bool(np.isclose(one, other, rtol=1e-6, atol=1e-6))
    return one == other


OWN = ["--source", "own"]


@pytest.mark.parametrize(
    "words",
    [
        (["place", "55802", "--elevation", "1450 ft"], ["place", "55802", "--elevation", "441.96 m"]),
        (
            ["place", "55802", "--heating", "-13 F", "--cooling", "86 F", *OWN],
            ["place", "55802", "--heating", "-25 C", "--cooling", "30 C", *OWN],
        ),
        (["place", "55802", "--daily-range", "18 F", *OWN], ["place", "55802", "--daily-range", "10 K", *OWN]),
        (
            ["assembly", "Breeze wall", "--outdoor", "14 F", "--indoor", "68 F"],
            ["assembly", "Breeze wall", "--outdoor", "-10 C", "--indoor", "20 C"],
        ),
        (
            ["assembly", "Breeze wall", "--place", "05401", "--moisture", "100 g/h", "--airflow", "50 m3/h"],
            ["assembly", "Breeze wall", "--place", "05401", "--moisture", "2.4 kg/day", "--airflow", "13.888889 l/s"],
        ),
        (
            ["assembly", "Breeze wall", "--place", "05401", "--indoor-rh", "40 %"],
            ["assembly", "Breeze wall", "--place", "05401", "--indoor-rh", "0.4"],
        ),
    ],
    ids=lambda pair: " ".join(pair[0][2:4]),
)
def test_the_options_of_a_command_are_the_same_in_either_unit(capsys, words):
    first, second = (json.loads(ending([*line, "--json"], capsys)[1]) for line in words)
    assert alike(first, second)


@pytest.mark.parametrize(
    "words",
    [
        ["place", "55802", "--elevation", "1450"],
        ["place", "55802", "--elevation", "1450 F"],
        ["place", "55802", "--heating", "-13"],
        ["place", "55802", "--heating", "-13 ft"],
        ["place", "55802", "--daily-range", "18"],
        ["assembly", "Breeze wall", "--outdoor", "14"],
        ["assembly", "Breeze wall", "--indoor", "68 W"],
        ["assembly", "--place", "05401", "--moisture", "100", "--airflow", "50 m3/h"],
        ["assembly", "--place", "05401", "--moisture", "100 g/h", "--airflow", "50 kg/h"],
        ["bridge", "wall-corner", "--limit", "1 ft"],
        ["assembly", "--place", "05401", "--indoor-rh", "40"],
        ["assembly", "--place", "05401", "--indoor-rh", "40 F"],
        ["size", "--set", "set_points.heating=70"],
        ["size", "--set", "air.tightness=3"],
        ["size", "--set", "body.length=26 F"],
    ],
)
def test_an_option_without_its_unit_is_refused(capsys, words):
    assert ending(words, capsys)[0] == 2


UNIT = (folder("workbooks") / "units" / "example_submittal.csv").read_text(encoding="utf-8")


def test_a_unit_file_is_the_same_in_SI(tmp_path):
    head, _, table = UNIT.partition("\n\n")
    names, *lines = table.splitlines()
    rows = [line.split(",") for line in lines if line]
    turned = []
    for mode, outdoor, indoor, wet, level, capacity, power, share in rows:
        c = [f"{(float(x) - 32) / 1.8:.12g}" if x else "" for x in (outdoor, indoor, wet)]
        turned.append(
            ",".join([mode, *c, level, f"{float(capacity) * 0.29307107017:.12g}", f"{float(power) / 1000:.12g}", share])
        )
    renamed = names.replace("_F", "_C").replace("capacity_Btuh", "capacity_W").replace("power_W", "power_kW")
    (tmp_path / "ip.csv").write_text(UNIT, encoding="utf-8")
    (tmp_path / "si.csv").write_text("\n".join([head, "", renamed, *turned]) + "\n", encoding="utf-8")
    one, other = read_unit(tmp_path / "ip.csv"), read_unit(tmp_path / "si.csv")
    for mode in ("heating", "cooling"):
        a, b = getattr(one, mode), getattr(other, mode)
        for level in a.capacity_W:
            assert np.allclose(a.capacity_W[level], b.capacity_W[level], rtol=1e-6)
            assert np.allclose(a.power_W[level], b.power_W[level], rtol=1e-6)


@pytest.mark.parametrize(
    ("column", "wrong"),
    [
        ("outdoor_F", "outdoor"),
        ("outdoor_F", "outdoor_K"),
        ("capacity_Btuh", "capacity"),
        ("capacity_Btuh", "capacity_F"),
        ("power_W", "power"),
        ("power_W", "power_Btuh"),
    ],
)
def test_a_column_of_a_unit_file_without_its_unit_is_refused(tmp_path, column, wrong):
    (tmp_path / "unit.csv").write_text(UNIT.replace(column, wrong), encoding="utf-8")
    with pytest.raises(InputError):
        read_unit(tmp_path / "unit.csv")


TO_IP = {
    "dry_bulb (C)": ("dry_bulb (F)", lambda x: x * 1.8 + 32),
    "dew_point (C)": ("dew_point (F)", lambda x: x * 1.8 + 32),
    "wind (m/s)": ("wind (mph)", lambda x: x / 0.44704),
    "pressure (hPa)": ("pressure (kPa)", lambda x: x / 10),
}


def test_a_weather_file_is_the_same_in_other_units(tmp_path):
    names = COLUMNS.split(",")
    turned = [",".join(TO_IP.get(n, (n, None))[0] for n in names)]
    for row in YEAR:
        cells = row.split(",")
        turned.append(",".join(f"{TO_IP[n][1](float(c)):.10g}" if n in TO_IP else c for n, c in zip(names, cells, strict=True)))
    (tmp_path / "si.csv").write_text(HEAD + "\n".join([COLUMNS, *YEAR]), encoding="utf-8")
    (tmp_path / "ip.csv").write_text(HEAD + "\n".join(turned), encoding="utf-8")
    one, other = read_weather(tmp_path / "si.csv"), read_weather(tmp_path / "ip.csv")
    for name in ("dry_bulb_C", "dew_point_C", "wind_m_s", "pressure_Pa", "ghi", "dni", "dhi"):
        assert np.allclose(getattr(one, name), getattr(other, name), rtol=1e-7, atol=1e-6), name


@pytest.mark.parametrize(
    ("column", "wrong"),
    [
        ("dry_bulb (C)", "dry_bulb"),
        ("dry_bulb (C)", "dry_bulb (m/s)"),
        ("wind (m/s)", "wind"),
        ("wind (m/s)", "wind (C)"),
        ("pressure (hPa)", "pressure"),
        ("sky_cover (%)", "sky_cover"),
        ("dew_point (C)", "dew_point (%)"),
        ("ghi (W/m2)", "ghi (W)"),
    ],
)
def test_a_column_of_a_weather_file_without_its_unit_is_refused(tmp_path, column, wrong):
    (tmp_path / "hours.csv").write_text(HEAD + "\n".join([COLUMNS.replace(column, wrong), *YEAR]), encoding="utf-8")
    with pytest.raises(InputError):
        read_weather(tmp_path / "hours.csv")


def turned_log(energy, factor, temperature) -> str:
    lines = []
    for line in LOG.splitlines():
        cells = line.split(",")
        if line.startswith(("#", "time")):
            lines.append(line.replace("energy (kWh)", energy).replace("(F)", f"({temperature})"))
        else:
            warm = [f"{(float(c) - 32) / 1.8:.10g}" if temperature == "C" else c for c in cells[2:]]
            lines.append(",".join([cells[0], f"{float(cells[1]) * factor:.10g}", *warm]))
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(("energy", "factor"), [("energy (Wh)", 1000), ("power (W)", 1000), ("power (kW)", 1)])
def test_a_log_is_the_same_in_other_units(tmp_path, energy, factor):
    (tmp_path / "one.csv").write_text(LOG, encoding="utf-8")
    (tmp_path / "other.csv").write_text(turned_log(energy, factor, "C"), encoding="utf-8")
    one, other = read_log(tmp_path / "one.csv"), read_log(tmp_path / "other.csv")
    for name in ("power_W", "outdoor_C", "indoor_C", "hours"):
        assert np.allclose(getattr(one, name), getattr(other, name), rtol=1e-7, equal_nan=True), name


@pytest.mark.parametrize(
    ("energy", "temperature"),
    [
        ("energy", "F"),
        ("energy (W)", "F"),
        ("power (kWh)", "F"),
        ("power", "F"),
        ("energy (kWh)", ""),
        ("energy (kWh)", "K"),
        ("energy (Btu)", "F"),
    ],
)
def test_a_column_of_a_log_without_its_unit_is_refused(tmp_path, energy, temperature):
    (tmp_path / "log.csv").write_text(turned_log(energy, 1, temperature), encoding="utf-8")
    with pytest.raises(InputError):
        read_log(tmp_path / "log.csv")
