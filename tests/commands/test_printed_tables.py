"""A maker's tables as printed: the same points in five layouts, what was understood, and what is asked."""

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from heatcalc.cli import main
from heatcalc.errors import InputError
from heatcalc.files import folder
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.unit.unit_file import read_unit
from heatcalc.judge.cases import candidates_of

PRINTED = folder("workbooks") / "units" / "example_printed.csv"
PLATE = """name,Quote
size,{size}
voltage,230 V
mca,10 A
mop,15 A
refrigerant,R-32
charge,1.1 kg
lowest_heating,5 F
source,invented for a test
"""
WIDE = """Heating (indoor 70 °F)
Outdoor DB/WB,Min,,Rated,,Max,
(°F),Capacity (Btu/h),COP,Capacity (Btu/h),COP,Capacity (Btu/h),COP
47/43,"3,860",5.57,"13,800",3.87,"18,280",3.12
17/15,"2,940",3.68,"9,140",3.13,"13,800",2.53
Cooling
Outdoor °F,Indoor DB/WB °F,Rated Btu/h,Rated EER
95,80/67,"12,000",12.2
82,80/67,"12,700",15.8
"""
BY_ROW = """Mode,Outdoor DB,Indoor DB,Unit,Min,Rated,Max
Heating,47°F,70°F,Btu/h,"3,860","13,800","18,280"
,,,COP,5.57,3.87,3.12
,17°F,70°F,Btu/h,"2,940","9,140","13,800"
,,,COP,3.68,3.13,2.53
Cooling,95°F,80°F,Btu/h,,"12,000",
,,,EER,,12.2,
,82°F,80°F,Btu/h,,"12,700",
,,,EER,,15.8,
"""
OVER_COLUMNS = """Heating (indoor 70 °F)
Outdoor °F,47,17
Max capacity Btu/h,"18,280","13,800"
Max COP,3.12,2.53
Rated capacity Btu/h,"13,800","9,140"
Rated COP,3.87,3.13
Min capacity Btu/h,"3,860","2,940"
Min COP,5.57,3.68
Cooling
Outdoor °F,95,82
Rated capacity tons,1.0,1.058333
Rated EER,12.2,15.8
"""
RANGES = """Heating
Item,At 47 °F outdoor,At 17 °F outdoor
Capacity Btu/h,"13,800 (3,860 - 18,280)","9,140 (2,940 - 13,800)"
COP,3.87 (5.57 - 3.12),3.13 (3.68 - 2.53)
Cooling
Item,At 95 °F outdoor,At 82 °F outdoor
Rated capacity Btu/h,"12,000","12,700"
Rated EER,12.2,15.8
"""

CORNER = """Heating,Min,Rated,Max
47 °F outdoor: capacity (Btu/h),"3,860","13,800","18,280"
47 °F outdoor: COP,5.57,3.87,3.12
17 °F outdoor: capacity (Btu/h),"2,940","9,140","13,800"
17 °F outdoor: COP,3.68,3.13,2.53
Cooling,Rated,Amperes
95 °F outdoor: capacity (Btu/h),"12,000",
95 °F outdoor: EER,12.2,
82 °F outdoor: capacity (Btu/h),"12,700",
82 °F outdoor: EER,15.8,
"""


def quote(tmp_path: Path, tables: str, size: str = "12 kBtu/h") -> Path:
    """A unit file with these tables below its nameplate."""
    file = tmp_path / "quote.csv"
    file.write_text(PLATE.format(size=size) + tables, encoding="utf-8")
    return file


LAYOUTS = {"a row a quantity": BY_ROW, "over columns": OVER_COLUMNS, "rated (min - max)": RANGES, "mode in a corner": CORNER}


@pytest.mark.parametrize("tables", LAYOUTS.values(), ids=LAYOUTS)
def test_every_layout_says_the_same(tables, tmp_path):
    """The same numbers, wide with Min | Rated | Max side by side and in four other layouts."""
    one, other = read_unit(quote(tmp_path, WIDE)), read_unit(quote(tmp_path, tables, "1 ton"))
    for mode in ("heating", "cooling"):
        a, b = getattr(one, mode), getattr(other, mode)
        assert np.allclose(a.outdoor_C, b.outdoor_C) and a.levels == b.levels
        for level in a.levels:
            assert np.allclose(a.capacity_W[level], b.capacity_W[level]) and np.allclose(a.power_W[level], b.power_W[level])
    assert one.heating.levels == ("min", "rated", "max")


def test_metric_and_imperial_tables_agree(tmp_path):
    """47 and 17 °F are 8.33 and -8.33 °C; 13,800 Btu/h are 4.044 kW: the numbers of one sheet printed in both systems."""
    metric = """Heating
Outdoor °C,Rated kW,Rated W,Max kW,Max W
8.333333,4.0444,1045,5.3574,1717
-8.333333,2.6787,856,4.0444,1598
Cooling
Outdoor °C,Rated capacity kW,Rated power kW
35,3.5169,0.9836
27.777778,3.7220,0.8038
"""
    with pytest.raises(InputError, match=r"line 12.*capacity or power\?"):
        read_unit(quote(tmp_path, metric))
    metric = metric.replace("Rated kW,", "Rated capacity kW,").replace("Max kW,", "Max output kW,")
    one, other = read_unit(quote(tmp_path, WIDE)), read_unit(quote(tmp_path, metric))
    for level in ("rated", "max"):
        assert np.allclose(one.heating.capacity_W[level], other.heating.capacity_W[level], rtol=1e-4)
        assert np.allclose(one.heating.power_W[level], other.heating.power_W[level], rtol=2e-3)


def test_the_example_says_what_it_understood(capsys):
    assert main(["unit", str(PRINTED), "--full"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert (
        "understood: heating: 11 points at 47 °F, 35 °F, 17 °F, 5 °F, -13 °F; min, rated, max; capacity in Btu/h, power in W"
        in said
    )
    assert "understood: outdoor wet bulb read, not used" in said
    assert "208/230 V taken as the 230 V class" in said and "defrost: ask" not in said
    assert main(["unit", str(PRINTED), "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["units"][0]["unit"]["understood"]) == 3


ASKS = [
    ("Rated Btu/h", "Rated", "quantity"),
    ("Rated Btu/h", "Rated capacity", "write Btu/h, kBtu/h, kW, W, ton"),
    ("Rated Btu/h", "Btu/h", "write min, rated or max"),
    ("Cooling\n", "Summer\n", "write heating or cooling"),
    ("Outdoor °F,Indoor", "Outdoor,Indoor", "°F or °C?"),
    ("Outdoor °F,Indoor", "°F,Indoor", "outdoor or indoor?"),
    ('"12,000"', '"12,0"', "write 12.0"),
    ('"12,000"', "12,000", "number under no name"),
    ("82,80/67", "95,80/67", "is given twice"),
    ("47/43", "47/43/40", "not a temperature"),
    ("Outdoor DB/WB", "Station", "outdoor or indoor?"),
    ("Outdoor DB/WB", "Outdoor WB", "stands at an outdoor wet bulb of 47 F alone"),
    (WIDE, "\n".join(";".join(row) for row in csv.reader(WIDE.splitlines())), "separated by semicolons"),
]


@pytest.mark.parametrize(("old", "new", "words"), ASKS, ids=[a[2][:24] for a in ASKS])
def test_it_asks_where_it_cannot_know(old, new, words, tmp_path, capsys):
    assert old in WIDE
    assert main(["unit", str(quote(tmp_path, WIDE.replace(old, new)))]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and words in said.err


@pytest.mark.parametrize(
    ("near_35", "said", "words", "share"),
    [
        (14_900, "unknown", "0.90 of the straight line, which looks integrated", 1.0),
        (16_500, "unknown", "1.00 of the straight line, which looks not", 1.0),
        (16_500, "integrated", "", 1.0),
        (16_500, "not", "without their defrosts", 0.89),
    ],
)
def test_defrost_is_asked_and_a_pattern_hints(near_35, said, words, share, tmp_path):
    """35 °F between 18,280 Btu/h at 47 and 13,800 at 17: 16,488 on the line.  Factor at 35 °F of the printed table: 0.89."""
    tables = WIDE.replace("17/15", f'35/33,,,,,"{near_35:,}",2.6\n17/15')
    file = quote(tmp_path, f"defrost,{said}\n" + tables)
    unit = read_unit(file)
    assert unit.defrost == said and unit.tested_frost_point == (share == 1.0)
    assert words in "; ".join(map(str, unit.assumed))
    at_35 = float(np.interp(35 / 1.8 - 32 / 1.8, unit.heating.outdoor_C, unit.heating.capacity_W["max"]))
    assert at_35 == pytest.approx(near_35 * 0.29307107 * share, rel=0.005)


def test_a_house_names_several_unit_files_and_folders(tmp_path, capsys):
    """Two quotes and a folder beside the house: all are candidates; two of one name are refused in one line."""
    house = (folder("workbooks") / "houses" / "starter.toml").read_text(encoding="utf-8")
    (tmp_path / "quotes").mkdir()
    for name, where in (("A", "a.csv"), ("B", "b.csv"), ("C", "quotes/c.csv"), ("D", "quotes/d.csv")):
        (tmp_path / where).write_text(PLATE.format(size="12 kBtu/h").replace("Quote", name) + WIDE, encoding="utf-8")
    file = tmp_path / "house.toml"
    file.write_text('units = ["a.csv", "b.csv", "quotes"]\n' + house, encoding="utf-8")
    assert {"A", "B", "C", "D", "G12-C-230"} <= set(candidates_of(load_house(file), tmp_path))
    (tmp_path / "quotes" / "c.csv").write_text(PLATE.format(size="12 kBtu/h").replace("Quote", "A") + WIDE, encoding="utf-8")
    assert main(["size", str(file), "--place", "Duluth, MN"]) == 2
    assert "holds a unit named A, and so does a.csv" in capsys.readouterr().err
