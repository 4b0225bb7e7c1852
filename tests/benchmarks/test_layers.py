"""Speed of the U-value engine: 1,000 bridged walls; target 0.2 s, reported, not judged."""

import pytest

from heatcalc.physics.shell.layers import Bridge, Layer, u_value


def thousand_walls():
    stud, batten = Bridge(name="stud", share=0.2, resistance_m2K_W=0.74), Bridge(name="batten", share=0.1, resistance_m2K_W=0.3)
    return [
        (
            Layer(name="board", thickness_m=0.0127, resistance_m2K_W=0.08),
            Layer(name="battens", thickness_m=0.04, resistance_m2K_W=1.0 + k * 1e-4, bridges=(batten,)),
            Layer(name="cavity", thickness_m=0.09, resistance_m2K_W=2.0 + k * 1e-3, bridges=(stud,)),
            Layer(name="sheathing", thickness_m=0.011, resistance_m2K_W=0.085),
            Layer(name="foam", thickness_m=0.025, resistance_m2K_W=0.9),
            Layer(name="siding", thickness_m=0.0095, resistance_m2K_W=0.073),
        )
        for k in range(1000)
    ]


@pytest.mark.benchmark_group
def test_a_thousand_u_values(benchmark):
    walls = thousand_walls()
    found = benchmark(lambda: [u_value(wall, 0.13, 0.04).combined for wall in walls])
    assert len(found) == 1000 and found[0] > found[-1]
