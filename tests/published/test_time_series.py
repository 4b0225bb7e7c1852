"""The radiant time series' tables; the worked room, hour by hour, is in heatcalc/checks/hand.json.

Source: ASHRAE Handbook - Fundamentals (2021, SI) ch. 18, single-room example, Tables 28-31.  The running text
of Parts 2-4 belongs to older weather and is not used; it gives 0.052 for a dark surface, the example 0.053.
"""

import pytest

from heatcalc.errors import InputError
from heatcalc.physics.zone import time_series as ts


def test_series_keep_heat():
    for kind in ("solar", "nonsolar"):
        assert ts.radiant_series(kind).sum() == pytest.approx(1)
    assert ts.conduction_series("roof", "1").sum() == pytest.approx(1)
    assert ts.nearest_conduction("roof", 0.24, "metal") == "1"
    with pytest.raises(InputError, match="construction"):
        ts.conduction_series("wall", "99")
    with pytest.raises(InputError, match="did you mean"):
        ts.radiant_series("solar", "medium carpet")
