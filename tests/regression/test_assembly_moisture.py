"""Our own numbers: the guide's table of computed humidity against class 3, recomputed."""

import re
from pathlib import Path

import pytest

from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.model.house_model import house_model
from heatcalc.model.indoor_air import air_by_class, air_of_house
from heatcalc.model.moisture import moisture

GUIDE = Path(__file__).parents[2] / "docs" / "engineer.md"
ROWS = re.findall(r"^\| ([^|,]+), (Duluth|Houston) \|(.+)\|$", GUIDE.read_text(encoding="utf-8"), re.MULTILINE)
FULL = {"Duluth": "Duluth, MN", "Houston": "Houston, TX"}


def cells(name, air):
    found = moisture(load_assemblies()[name], air)
    water = f"{1000 * max((w.peak_kg_m2 for w in found.wet), default=0.0):.0f}{'' if found.dries_out else ', stays wet'}"
    return f"{air.indoor_rh[0]:.0%}", f"{found.needed_factor:.2f} ({found.critical_month})", water


def test_the_table_is_there():
    assert len(ROWS) == 6


@pytest.mark.parametrize(("name", "town", "printed"), ROWS)
def test_the_guides_table(name, town, printed):
    place, house = find_place(FULL[town]), load_house()
    computed = cells(name, air_of_house(house_model(house, place.elevation_m), place))
    by_class = cells(name, air_by_class(place, house.set_points.heating, 3))
    paired = [x for pair in zip(computed, by_class, strict=True) for x in pair]
    assert [x.strip() for x in printed.split("|")] == paired
