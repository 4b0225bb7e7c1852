"""Speed of look-ups and of the built year: processor time after start against what is promised (0.1 s each)."""

import subprocess
import sys

import pytest

MEASURE = """
import time
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
start = time.process_time()
place = find_place({query!r})
found = time.process_time()
built_year(place)
print(found - start, time.process_time() - found, "pandas" in __import__("sys").modules)
"""


@pytest.mark.benchmark_group
@pytest.mark.parametrize("query", ["Duluth, MN", "55802", "46.8,-92.1", "727450", "St. Louis County, MN"])
def test_a_lookup_is_quick_and_needs_no_heavy_library(query):
    """Printed, not judged on seconds (a shared machine may be slow); a look-up that imports pandas fails."""
    done = subprocess.run([sys.executable, "-c", MEASURE.format(query=query)], capture_output=True, text=True, check=True)
    lookup, year, heavy = done.stdout.split()
    print(f"{query}: look-up {float(lookup):.3f} s, built year {float(year):.3f} s")
    assert heavy == "False"
    assert float(year) < 20 * max(float(lookup), 0.05), "the built year costs more than twenty look-ups"
