"""Speed of a ready detail to its refinement limit; reported and compared between versions, never a pass or fail."""

import pytest

from heatcalc.inputs.assembly.detail import load_detail, ready_names
from heatcalc.model.detail_bridge import solve_detail


@pytest.mark.parametrize("name", ready_names())
def test_ready_detail(benchmark, name):
    detail = load_detail(name)
    bridge = benchmark.pedantic(solve_detail, (detail,), rounds=2)
    assert bridge.solution.last_change <= 0.002
