"""Rooms, their surfaces and what a unit does in them, each figure worked out beside its assertion."""

from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.answers.methods import design_loads
from heatcalc.answers.methods.design_loads import pick_up
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge import choice
from heatcalc.judge.choice import candidate_of
from heatcalc.model import comfort, designer, humidity, moisture
from heatcalc.model.comfort import house_exhausts, local_exhausts, unit_removal
from heatcalc.model.designer import CoolingLoad
from heatcalc.model.outdoor_air import AirConditions, AirInputs, air_exchange
from heatcalc.model.part import OpaquePart
from heatcalc.model.parts import sky_view
from heatcalc.model.steady_load import MOST_WARMER_K, HeatingLoad
from heatcalc.model.year_sums import _tenths
from heatcalc.physics.air import moist_air
from heatcalc.physics.shell.conduction import solve
from heatcalc.physics.shell.conduction_mesh import AirSide, Edge, Region, Section, first_grid
from heatcalc.physics.shell.glazing import hemispherical_mean, horizon_sky_share
from heatcalc.physics.unit import at_site, seasonal
from tests.made import designer_in, made

UNIT = load_units()["G12-C-230"]


def of(*changes):
    return designer_in("Burlington, VT", *changes)


# ---- the design hours


def test_the_peak_hours_own_values():
    """Largest in the hour ending at three: the latent load and the outdoor air are that hour's."""
    sensible, latent, outdoor = (
        np.array([1.0, 2.0, 9.0, 4.0]),
        np.array([10.0, 20.0, 30.0, 40.0]),
        np.array([25.0, 26.0, 27.0, 28.0]),
    )
    day = made(CoolingLoad, outdoor_C=outdoor, sensible_W=sensible, latent_W=latent)
    assert (day.peak_hour, day.peak_sensible_W, day.latent_at_peak_W, day.outdoor_at_peak_C) == (3, 9.0, 30.0, 27.0)
    assert day.total_at_peak_W == 39.0


@pytest.mark.parametrize(
    ("own", "record", "dry", "found"),
    [
        (None, 22.0, 27.0, (22.0, 27.0)),
        (24.0, 22.0, 27.0, (24.0, 29.0)),
        (None, None, None, (None, None)),
        (24.0, None, None, (24.0, 24.0 + designer.USUAL_DAMP_RISE_K)),
    ],
)
def test_the_damp_hour_is_the_records_or_the_users(own, record, dry, found):
    """A dew point of the user keeps the record's distance to the dry bulb; with neither there is no damp hour."""
    assert designer._dew_point(own, SimpleNamespace(dew_point_1_C=record, dew_point_1_dry_bulb_C=dry)) == found


def test_warming_up_ends_when_the_room_feels_as_warm_as_it_can():
    """With any heat it likes the air is there at once; the walls follow, and the room feels warm within the time looked at."""
    found = pick_up(of(), None)
    (heater,) = found.ways
    assert heater.heat_W == design_loads.ONE_HEATER_W
    modes = design_loads.modal(of().model.winter, design_loads.STEP_S)
    strong = design_loads._warmed(of(), of().model.winter, modes, "any", 1e6, found.start_C, found.goal_C)
    air_h, felt_h = list(vars(strong).values())[2:4]
    assert air_h is not None and air_h <= 0.5 and felt_h is not None and felt_h > air_h


# ---- surfaces


def test_a_houses_horizon_takes_its_share_of_the_sky():
    """An upright plane sees half of the sky, of which cos 45 deg counts; a horizon of 30 deg leaves its own share of that."""
    assert sky_view(90.0) == pytest.approx(0.5**1.5) and sky_view(0.0) == 1.0
    share = horizon_sky_share(30.0, 90.0)
    assert 0.0 < share < 1.0 and sky_view(90.0, 30.0) == pytest.approx(0.5**1.5 * share)


def test_the_mean_over_a_hemisphere_of_several_panes_at_once():
    """2/3 of the cosine, 1/2 of its square, a pane a row."""
    assert hemispherical_mean(lambda c: np.stack([c, c**2])) == pytest.approx([2 / 3, 1 / 2])


def test_faces_of_a_plate_stand_at_its_edges():
    """0.2 m of a plate between two airs at its sides: faces at 0 and 0.2 m, as high as the plate."""
    plate = Region(((0.0, 0.0), (0.2, 0.0), (0.2, 0.1), (0.0, 0.1)), 0.5)
    edges = Edge("left", 0, 0.1, 0), Edge("right", 0, 0.1, 1)
    section = Section((plate,), (AirSide(20.0, 0.1), AirSide(0.0, 0.04)), edges)
    faces = solve(section, first_grid(section)).contacts
    for air, x in ((0, 0.0), (1, 0.2)):
        assert faces.x[faces.air == air] == pytest.approx(x) and faces.length[faces.air == air].sum() == pytest.approx(0.1)


def test_a_wall_without_framing_has_one_spot(monkeypatch):
    framed = load_assemblies()["2x4 wall R-13 24 in"]
    assert [spot for spot, _ in moisture._factors(framed)] == ["clear cavity", "framing"]
    monkeypatch.setattr(moisture, "heat_paths", lambda *_: [(1.0, 2.5)])
    assert [spot for spot, _ in moisture._factors(framed)] == ["clear cavity"]


def test_a_part_without_layers_has_no_thickness():
    assert OpaquePart.thickness_m.fget(SimpleNamespace(fabric=None)) == 0.0
    wall = load_assemblies()["2x4 wall R-13 24 in"]
    assert OpaquePart.thickness_m.fget(SimpleNamespace(fabric=wall)) == wall.thickness_m > 0.09


def test_a_room_that_stays_cold_beside_its_surfaces():
    for air_C, cold in ((21.0, False), (21.0 + 0.9 * MOST_WARMER_K, False), (21.0 + MOST_WARMER_K, True)):
        assert made(HeatingLoad, indoor_C=21.0, air_C=air_C).stays_cold is cold


# ---- air of a room


def test_more_water_than_the_air_can_carry_is_said():
    said = [any("More water" in note for note in humidity._notes(SimpleNamespace(terms=()), wet)) for wet in (0.9, 1.0, 1.01)]
    assert said == [False, False, True]


def test_an_exhaust_pulls_beside_an_exhaust_fan_alone():
    """A balanced fan leaves a hood as hard a pull as no fan; an exhaust fan adds its own."""
    balanced, exhaust = (of(f"ventilation.kind={kind}").model for kind in ("balanced", "exhaust"))
    alone = {x.name: x.pressure_Pa for x in local_exhausts(balanced.air.inputs)}
    for model, more in ((balanced, False), (exhaust, True)):
        assert all((x.pressure_Pa > alone[x.name] * (1 + 1e-9)) is more for x in house_exhausts(model))


def test_winters_air_is_warmed_as_dry_air():
    """Flow times 1,006 J/kgK times the density of dry air of 70 F at the place's height, in both winter cases."""
    room_C, pressure = of().model.house.set_points.heating, moist_air.pressure_at_altitude(of().place.elevation_m)
    for _, outdoor_C, winter in comfort.winter_cases(of()):
        air = winter.air
        assert air.heat_loss_W_K == pytest.approx(1006.0 * pressure / (287.042 * (273.15 + room_C)) * air.sensible_m3_s, rel=2e-3)
        assert air.sensible_W == pytest.approx(air.heat_loss_W_K * (room_C - outdoor_C))


def test_a_room_hardly_warmer_than_outdoors_is_heated():
    """Half a kelvin: the winter's design factor, 51 + 3 x 0.5 x 0.35 (Fundamentals ch. 17 eq. 10), in L/s for each cm2."""
    inputs = AirInputs(volume_m3=64.0, floor_area_m2=22.1, shell_area_m2=108.7, height_m=3.0, perimeter_m=22.25, ach50=7.0)
    for outdoor_C, factor in ((20.5, 51 + 1.5 * 0.35), (21.5, 25 + 1.5 * 0.38)):
        found = air_exchange(inputs, AirConditions(21.0, outdoor_C, 4.0))
        (route,) = [r for r in found.routes if r.name == "load factor"]
        assert route.flow_m3_s == pytest.approx(10.0 * found.leakage.area_m2 * factor / 1000.0)


def test_a_unit_of_little_load_runs_little():
    """A tenth of its least output is a tenth of the hour; beyond its least it runs all of it, and takes out more water."""
    outdoor = np.full(24, 30.0)
    least = float(comfort.capacity(UNIT.cooling, outdoor[:1], "min").value_W[0])
    (little, tenth), (much, whole) = (unit_removal(of(), UNIT, outdoor, np.full(24, w), 0.7) for w in (0.07 * least, 2.0 * least))
    assert 0.05 < tenth < 0.15 and whole == 1.0 and much > little >= 0.0


def test_hours_by_tenths_of_the_most_a_plant_gives():
    """Half, all, more than all and nothing of 1,000 W: one hour in the fifth or sixth tenth, two in the last, one in none."""
    found = _tenths(np.array([520.0, 1000.0, 1500.0, 0.0]), np.full((4, 1), 1000.0))
    assert found.tolist() == [0, 0, 0, 0, 0, 1, 0, 0, 0, 2]
    assert _tenths(np.array([250.0, 2000.0]), np.full((2, 1), np.inf)).tolist() == [0, 1, 0, 0, 0, 0, 0, 0, 0, 1]


# ---- the unit


def test_the_dew_point_of_a_room_by_its_bulbs():
    """80 F dry and 67 F wet bulb: 60.3 F (psychrometric chart)."""
    assert at_site._dew((80 - 32) / 1.8, (67 - 32) / 1.8) * 1.8 + 32 == pytest.approx(60.3, abs=0.2)


def test_the_seasons_load_meets_the_rated_else_the_largest_output():
    """At the bivalent point of -10 C half of the line from 16 C down to -36 C: the load is twice what is given there."""
    season = SimpleNamespace(bivalent_C=-10.0, design_C=-36.0)
    curves = SimpleNamespace(outdoor_C=np.array([-20.0, 0.0]), levels=("min", "max"))
    curves.capacity_W = {"min": np.array([500.0, 700.0]), "max": np.array([2000.0, 4000.0]), "rated": np.array([1500.0, 2500.0])}
    assert seasonal.design_load(curves, season) == pytest.approx(2 * 3000.0)
    curves.levels = ("min", "rated", "max")
    assert seasonal.design_load(curves, season) == pytest.approx(2 * 2000.0)


def test_the_supply_is_asked_at_the_places_own_cold(monkeypatch):
    """A generator's and a conductor's cold and heat are those of the design hours at the house's height."""
    seen = {}
    check = choice.check_supply
    monkeypatch.setattr(choice, "check_supply", lambda *at, **said: seen.update(said) or check(*at, **said))
    one = candidate_of(UNIT, of())
    one.supply_through()
    assert (seen["coldest_C"], seen["hottest_C"], seen["elevation_m"]) == (
        one.task.design_C,
        one.task.hot_C,
        one.task.elevation_m,
    )
    assert seen["coldest_C"] == of().conditions.heating_C < -15.0
