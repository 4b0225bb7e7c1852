"""Our own sums of sun on planes, once computed with another program of ours: not references."""

import os
from pathlib import Path

import numpy as np
import pytest

from heatcalc.physics.sun import sun

PLANES = {"N": (90, 0), "E": (90, 90), "S": (90, 180), "W": (90, 270), "H": (0, 0)}
# station file: albedo, sky, sums [kWh/m2] and the tolerance of their making (digits; another declination)
KNOWN = [
    ("723170TYA.CSV", 0.25, "isotropic", {"N": 556.90, "E": 918.72, "S": 1124.31, "W": 929.40, "H": 1566.36}, 2e-3),
    ("725650TYA.CSV", 0.2, "perez", {"N": 433, "E": 1060, "S": 1369, "W": 968, "H": 1672}, 1.2e-3),
    ("725650TYA.CSV", 0.2, "isotropic", {"N": 480, "E": 1016, "S": 1284, "W": 924}, 1.2e-3),
]


def find(name: str) -> Path:
    import pvlib

    for folder in (Path(os.path.dirname(pvlib.__file__)) / "data", Path(__file__).parents[3] / "shared" / "weather"):
        if (folder / name).exists():
            return folder / name
    pytest.skip(f"the typical year {name} is not at hand")


@pytest.mark.parametrize(("name", "albedo", "sky", "sums", "tolerance"), KNOWN)
def test_plane_sums_of_a_typical_year(name, albedo, sky, sums, tolerance):
    import pvlib

    data, meta = pvlib.iotools.read_tmy3(find(name), map_variables=True)
    dni, ghi, dhi = (data[k].to_numpy(float) for k in ("dni", "ghi", "dhi"))
    position = sun.solar_position_year(meta["latitude"], meta["longitude"], int(meta["TZ"]))
    tilt, azimuth = np.array([PLANES[k] for k in sums], float).T
    own = sun.plane_irradiance(position, dni, ghi, dhi, tilt, azimuth, albedo, sky).total.sum(axis=1) / 1000
    assert own == pytest.approx(np.array(list(sums.values())), rel=tolerance)
