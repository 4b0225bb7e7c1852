"""Reach: the arrays give what `size` and `year` give at the same place; sites are the tables' own places."""

import numpy as np
import pytest

from heatcalc.answers.reach.many_units import Rooms, judge_everywhere
from heatcalc.answers.reach.many_years import unit_tables, walk_everywhere, walk_place
from heatcalc.answers.reach.outline import land_grid, state_lines
from heatcalc.answers.reach.reach_study import reach, zone_table
from heatcalc.errors import InputError
from heatcalc.files import folder
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.inputs.unit.unit_file import load_units, read_unit
from heatcalc.judge.facts import Asked
from heatcalc.judge.many_loads import many_loads
from heatcalc.judge.sites import counties, sites_of, skies_of, stations
from heatcalc.judge.sizing import size_house
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.year_walk import run_year, weather_year, year_house

ALL = stations()
FEW = ALL.take([3, 150, 300, 480, 610, 777, 905])
MILLIWATT = 0.00051  # a load of the judge is rounded to the milliwatt
TWO_LEGS = 'supply.cord="30 A 120/240 V"'


@pytest.mark.parametrize("kind", ["stations", "counties"])
def test_sites_hold_what_the_places_hold(kind):
    sites = {"stations": ALL, "counties": counties()}[kind]
    some = list(range(5, len(sites), len(sites) // 25))
    fresh = sites_of([sites.place(i) for i in some])
    for name in (
        "heating_99_C",
        "heating_996_C",
        "cooling_1_C",
        "cooling_1_mcwb_C",
        "daily_range_K",
        "mean_C",
        "max_C",
        "dew_point_C",
        "ghi_kWh_m2_day",
        "elevation_m",
        "utc_offset_h",
        "sigma_heating_K",
        "lat",
        "lon",
    ):
        assert np.allclose(getattr(sites.take(some), name), getattr(fresh, name), rtol=1e-12, atol=1e-9), name
    assert sites.take(some).zone == fresh.zone


def test_every_usable_place_is_there():
    assert len(ALL) == 1009 and len(counties()) == 3143  # the table holds 1,011 stations, two of them marked unusable


@pytest.mark.parametrize(
    "changes",
    [
        (),
        ("below.kind=skirted", "windows.0.overhang=1 ft", "windows.1.inside_shade=0.7"),
        ("site.front_faces=east", 'design.percentile="99.6 %"', "below.kind=slab"),
    ],
)
def test_loads_are_those_of_a_sizing_at_the_same_place(changes):
    house = load_house(changes=changes)
    many = many_loads(house_model(house, 0.0), skies_of(FEW))
    for i in range(len(FEW)):
        place = FEW.place(i)
        designer = designer_of(house_model(house, place.elevation_m), place)
        cooling = designer.cooling
        assert many.heating_W[i] == pytest.approx(designer.heating().load_W, abs=MILLIWATT)
        assert many.heating_996_W[i] == pytest.approx(designer.heating(place.heating_996_C).load_W, abs=MILLIWATT)
        assert many.sensible_W[i] == pytest.approx(cooling.peak_sensible_W, abs=MILLIWATT)
        assert many.latent_W[i] == pytest.approx(cooling.latent_at_peak_W, abs=MILLIWATT)
        assert (many.hot_C[i], many.month[i]) == pytest.approx((cooling.outdoor_at_peak_C, cooling.month))


def alone(u):
    """The coldest outdoor temperature at which each place's unit alone carries the load [degC]."""
    return u.judged.facts.held_C(np.zeros(len(u.backup_W)), None)


def test_verdicts_amperes_and_the_recommended_unit_are_those_of_size():
    found = reach(None, ["Breeze"], changes=[TWO_LEGS], where=FEW)
    package, house = found.packages[0], load_house(changes=[TWO_LEGS])
    for i in range(len(FEW)):
        sized = size_house(house, FEW.place(i), walk=False)
        best = package.best[i]
        assert (sized.recommended.name if sized.recommended else None) == (found.unit_names[best] if best >= 0 else None)
        for c in sized.candidates:
            u = package.unit(c.name)
            assert (c.verdict, c.runs_from_cord) == (u.verdict[i], bool(u.from_cord[i]))
            for ours, theirs in (
                (u.most_heat_W, c.max_heat_at_design_W),
                (u.backup_W, c.backup_W),
                (u.cold_A, c.judged.facts.cold_A[c.at]),
                (u.hot_A, c.judged.facts.hot_A[c.at]),
                (alone(u), c.lowest_temperature_held_C),
                (u.judged.facts.there.least_mild_W, c.min_heat_W),
            ):
                assert ours[i] == pytest.approx(theirs, rel=1e-9, abs=1e-9)
            for ours, theirs in ((u.sensible_cooling_W, c.sensible_cooling_W), (u.latent_cooling_W, c.latent_cooling_W)):
                assert ours[i] == pytest.approx(theirs, rel=1e-4)  # the coil's share is drawn through three heights


def test_a_unit_with_rows_for_other_rooms_is_judged_as_in_size():
    """The house's set points lie between the rooms that the example's table prints."""
    unit = read_unit(folder("workbooks") / "units" / "example_rooms.csv")
    house = load_house(changes=[TWO_LEGS])
    many = many_loads(house_model(house, 0.0), skies_of(FEW))
    found = judge_everywhere(unit, house, many, Rooms(house, FEW), Asked())
    for i in range(len(FEW)):
        place = FEW.place(i)
        (one,) = size_house(house, place, {unit.name: unit}, walk=False).candidates
        facts = one.judged.facts
        assert found.most_heat_W[i] == pytest.approx(one.max_heat_at_design_W, rel=1e-9)
        assert (found.cold_A[i], found.hot_A[i]) == pytest.approx((facts.cold_A[one.at], facts.hot_A[one.at]), rel=1e-9)
        assert found.sensible_cooling_W[i] == pytest.approx(one.sensible_cooling_W, rel=1e-4)
        assert found.latent_cooling_W[i] == pytest.approx(one.latent_cooling_W, rel=1e-4)


def test_a_better_package_never_reaches_less_far():
    found = reach(None, ["Breeze", "Hearth"], ["G09-C-230"], where=ALL.take(slice(None, None, 9)))
    breeze, hearth = (p.unit("G09-C-230") for p in found.packages)
    assert np.all(hearth.backup_W <= breeze.backup_W + 1e-9)
    assert np.all(alone(hearth) <= alone(breeze) + 1e-9)
    lines = zone_table(found, found.packages[0], "G09-C-230")
    assert sum(z.places for z in lines) == len(found.sites)


@pytest.mark.parametrize("where", ["Burlington, VT", "Phoenix, AZ", "Leadville, CO"])
def test_the_fast_year_is_the_year_of_heatcalc_year(where):
    """Heat, backup and hours against the full walk with the unit in the loop, four ways of standing.

    Differences left: one mean sun for four ways, cooled-room wet bulb at sea level, a coarser curve grid.
    """
    place, unit = find_place(where), load_units()["G09-C-230"]
    model = house_model(load_house(), 0.0)
    sums, needs = walk_place([year_house(model)], [[0]], [unit_tables([unit], model)], place)
    full = run_year(house_model(load_house(), place.elevation_m), weather_year(built_year(place)), unit)
    use = {k: float(v.sum()) for k, v in full.electricity_kWh.items()}
    idle = use["standby"] + use["crankcase heater"] + use["pan heater"]
    assert needs[0, 0] == pytest.approx(full.annual("heat") + full.annual("backup heat"), rel=0.01, abs=5)
    assert needs[0, 1] == pytest.approx(full.annual("cool"), rel=0.02, abs=10)
    for k, theirs in enumerate((use["heating"], use["cooling"], idle, use["backup heat"])):
        assert sums[0, 0, k] == pytest.approx(theirs, rel=0.02, abs=5.0)


def test_places_in_processes_are_the_same_as_one_by_one():
    model, units = house_model(load_house(), 0.0), [load_units()["G12-C-230"]]
    two = FEW.take([0, 1])
    together = walk_everywhere([model], units, two, workers=1)
    alone, _ = walk_place([year_house(model)], [[0]], [unit_tables(units, model)], two.place(1))
    assert together.sums["heating_kWh"][0, 0, 1] == pytest.approx(alone[0, 0, 0])


@pytest.mark.optional
def test_a_local_cluster_gives_the_same_years():
    """The processes are joblib's, so a Dask cluster is another backend and nothing else."""
    distributed = pytest.importorskip("dask.distributed", reason="dask.distributed is not installed")
    from joblib import parallel_config

    model, units, two = house_model(load_house(), 0.0), [load_units()["G12-C-230"]], FEW.take([0, 1])
    cluster = distributed.LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None)
    with cluster, distributed.Client(cluster), parallel_config(backend="dask"):
        far = walk_everywhere([model], units, two, workers=1)
    near = walk_everywhere([model], units, two, workers=1)
    assert np.array_equal(far.sums["heating_kWh"], near.sums["heating_kWh"])


def test_one_height_for_all_places_is_refused():
    with pytest.raises(InputError, match="site.elevation"):
        reach(None, ["Breeze"], ["G09-C-230"], ["site.elevation=500 m"], FEW)


def test_outline_knows_land_from_sea_and_one_state_from_the_next():
    lat, lon, land = land_grid()

    def on_land(where_lat, where_lon):
        return land[np.argmin(np.abs(lat - where_lat)), np.argmin(np.abs(lon - where_lon))]

    assert on_land(39.0, -98.0) and not on_land(30.0, -75.0) and on_land(64.8, -147.7)
    lines = state_lines()
    middle = lines.mean(axis=1)
    four_corners = np.hypot((middle[:, 0] + 109.045) * 0.8, middle[:, 1] - 37.0).min()
    assert four_corners < 0.5  # degrees
    assert np.hypot(middle[:, 0] + 98.5, middle[:, 1] - 38.5).min() > 1.0  # no line in the middle of Kansas
