"""A sound hourly file for tests on any machine: the project's own built year of a place, written as the plain CSV."""

from datetime import datetime, timedelta
from functools import cache

from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year

COLUMNS = "time,dry_bulb (C),dew_point (C),wind (m/s),pressure (hPa),ghi (W/m2),dni (W/m2),dhi (W/m2)"
PLACE = "Duluth, MN"


def head(place: str = PLACE) -> str:
    """The lines that say where; dates of one year, as in a measured record."""
    p = find_place(place)
    return f"# latitude: {p.lat}\n# longitude: {p.lon}\n# elevation: {p.elevation_m:.0f} m\n# utc offset: {p.utc_offset_h:g}\n"


@cache
def rows(place: str = PLACE) -> tuple[str, ...]:
    """8,760 rows, hour ending, 2023."""
    w = built_year(find_place(place))
    columns = zip(w.dry_bulb_C, w.dew_point_C, w.wind_m_s, w.pressure_Pa / 100.0, w.ghi, w.dni, w.dhi, strict=True)
    begin = datetime(2023, 1, 1)
    return tuple(
        f"{begin + timedelta(hours=i + 1):%Y-%m-%d %H:%M}," + ",".join(f"{x:.10g}" for x in cells)
        for i, cells in enumerate(columns)
    )


def good_csv(place: str = PLACE) -> str:
    """The whole file."""
    return head(place) + "\n".join([COLUMNS, *rows(place)]) + "\n"
