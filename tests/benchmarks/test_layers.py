"""Speed of the U-value engine: 1,000 bridged walls; target 0.2 s, reported, not judged."""

import pytest

from heatcalc.physics.shell.layers import Bridge, Layer, u_value


def thousand_walls():
    stud, batten = Bridge("stud", 0.2, 0.74), Bridge("batten", 0.1, 0.3)
    return [
        (
            Layer("board", 0.0127, 0.08),
            Layer("battens", 0.04, 1.0 + k * 1e-4, bridges=(batten,)),
            Layer("cavity", 0.09, 2.0 + k * 1e-3, bridges=(stud,)),
            Layer("sheathing", 0.011, 0.085),
            Layer("foam", 0.025, 0.9),
            Layer("siding", 0.0095, 0.073),
        )
        for k in range(1000)
    ]


@pytest.mark.benchmark_group
def test_a_thousand_u_values(benchmark):
    walls = thousand_walls()
    found = benchmark(lambda: [u_value(wall, 0.13, 0.04).combined for wall in walls])
    assert len(found) == 1000 and found[0] > found[-1]
