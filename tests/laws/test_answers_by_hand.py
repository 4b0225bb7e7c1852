"""What the hand methods, the year and the owner's log say of a house, each figure worked out beside its assertion."""

from dataclasses import replace
from math import log, pi
from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.answers.methods import envelope_rules, hand_method, side_by_side, time_series_house
from heatcalc.answers.methods.side_by_side import ThreeMethods
from heatcalc.answers.year import log_answer, outage, year_answer
from heatcalc.answers.year.run_load_answer import RunLoad
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.log.log_file import Log
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import MonthBins
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge.cases import Case
from heatcalc.judge.metered_year import MeteredYear
from heatcalc.judge.rules import LOADS, SUPPLY, YEAR, all_rules
from heatcalc.model.year_drivers import MONTH_OF_HOUR
from heatcalc.physics.unit.heat_pump import power
from heatcalc.physics.zone.loss_line import LossLine, loss_line
from tests.made import designer_in, made

HOURS = np.ones(8760)


def designer(*changes):
    return designer_in("Burlington, VT", *changes)


# ---- hand methods


def hand(total_W, *reasons):
    return SimpleNamespace(cooling_total_W=total_W, reasons=reasons)


def three(factor, series=None):
    network = SimpleNamespace(cooling=SimpleNamespace(peak_sensible_W=1000.0))
    return made(ThreeMethods, designer=network, load_factor=factor, time_series=series or hand(1300.0))


def test_how_far_the_hand_methods_are_off():
    """1,100 and 1,300 W beside 1,000."""
    assert three(hand(1100.0)).off("load factor") == pytest.approx(0.1)
    assert three(hand(1100.0)).off("time series") == pytest.approx(0.3)


@pytest.mark.parametrize(("reasons", "luck"), [((), False), (("small", "light"), True)])
def test_agreement_outside_the_range_of_a_method_is_called_luck(monkeypatch, reasons, luck):
    monkeypatch.setattr(side_by_side, "kept_share", lambda _: 0.4)
    c = three(hand(1100.0, *reasons))
    object.__setattr__(c, "steps", (SimpleNamespace(peak_W=1500.0), SimpleNamespace(peak_W=1200.0)))
    factor, series = side_by_side._totals(c)
    assert "+10% of the network's peak" in factor and ("outside the method's range in 2 ways" in factor) is luck
    assert "+30%; with the network's film, sky and layers +20%" in series and "40% becomes load" in series


def test_a_house_without_glass_keeps_all_of_no_light():
    blind = SimpleNamespace(model=SimpleNamespace(windows=(), summer=designer().model.summer))
    assert side_by_side.kept_share(blind) == 1.0
    assert 0.3 < side_by_side.kept_share(designer()) < 1.0


def test_a_month_of_bins_by_hand():
    """10 h at 2.5 C and 20 h at 7.5 C, 100 W/K below a balance of 10 C: (7.5 x 10 + 2.5 x 20) x 0.1 kWh."""
    place = SimpleNamespace(bins=(MonthBins((0.0, 5.0), (10, 20), 5.0),) * 2, monthly=SimpleNamespace(ghi_kWh_m2_day=None))
    where = SimpleNamespace(place=place)
    assert side_by_side._bins_kWh(where, 100.0, [10.0, 10.0]) == pytest.approx(25.0)
    assert "no sun in this place's record" in side_by_side._year_note(where)
    assert "no sun" not in side_by_side._year_note(designer())


def test_gains_of_a_day_are_those_to_the_air_and_to_the_walls(monkeypatch):
    living = SimpleNamespace(sensible_convective_W=np.array([100.0, 200.0]), sensible_radiant_W=np.array([30.0, 70.0]))
    monkeypatch.setattr(side_by_side, "living_day", lambda _: living)
    assert side_by_side._gains_W(designer()) == 200.0


def test_a_cool_slab_is_covered_by_all_its_layers():
    """0.05 and 0.03 m2K/W of cover, 1.9 - 1.4/(0.12 + R) W/m2 (table of the method): the resistances add up."""
    part = SimpleNamespace(body=SimpleNamespace(resistance=(0.05, 0.03, 0.0)))
    assert hand_method._slab_cooling(part) == pytest.approx(1.9 - 1.4 / 0.2)


def test_the_envelope_rules_area_and_seventy_degrees():
    """Every part with an area of its own counts; 70 F is 21.11 C, and nothing else of the house changes."""
    parts = [SimpleNamespace(area_m2=a, of=SimpleNamespace(radiates=r)) for a, r in ((20.0, True), (30.0, True), (7.0, False))]
    assert envelope_rules._area_m2(SimpleNamespace(model=SimpleNamespace(parts=parts))) == 50.0
    cool = designer("set_points.heating=18 C")
    own, warm = cool.model.house, envelope_rules.at_seventy(cool).model.house
    assert warm.set_points.heating == pytest.approx((70 - 32) / 1.8) != own.set_points.heating
    assert warm.set_points.cooling == own.set_points.cooling and warm.below == own.below


def test_sun_and_conduction_of_a_window_apart():
    """Sun goes by the label's share of it, conduction does not."""
    c = hand_method.conditions(designer())
    opening = hand_method._openings(designer(), "south")[0]
    dark, third, full = (dict(hand_method._split(replace(opening, shgc=g), c)) for g in (0.0, 0.2, 0.6))
    assert dark["sun through glass"] == pytest.approx(0.0, abs=1e-9) and full["sun through glass"] > 0.0
    assert full["sun through glass"] == pytest.approx(3 * third["sun through glass"])
    assert full["windows"] == pytest.approx(third["windows"]) == pytest.approx(dark["windows"])


def test_outdoor_air_by_the_chapter_never_cools_a_house_that_is_warmer(monkeypatch):
    """No difference counts where the hot hour is cooler than the room, of sensible and of latent air alike."""
    seen = []
    monkeypatch.setattr(hand_method, "_flow", lambda _, season, delta_K, recovery: seen.append((season, delta_K)) or 1.0)
    hand_method._air(designer(), replace(hand_method.conditions(designer()), heating_K=40.0, cooling_K=-2.0))
    assert seen == [("heating", 40.0), ("cooling", 0.0), ("cooling", 0.0)]


def test_excess_humidity_is_outdoor_less_indoor():
    """35 C dry and 24 C wet bulb hold 14.3 g/kg, 24 C at half humidity 9.3 g/kg (psychrometric chart at sea level)."""
    c = SimpleNamespace(elevation_m=0.0, cooling_1_C=35.0, cooling_1_mcwb_C=24.0)
    points = SimpleNamespace(cooling=24.0, cooling_humidity=0.5)
    where = SimpleNamespace(conditions=c, model=SimpleNamespace(house=SimpleNamespace(set_points=points)))
    assert hand_method.excess_humidity(where) == pytest.approx(0.0143 - 0.0093, abs=2e-4)


def test_the_time_series_says_what_the_whole_shell_loses():
    """30 and 20 W/K over 20 m2 are 2.5 W/m2K."""
    model = SimpleNamespace(ua_W_K={"wall": 30.0, "window": 20.0}, floor_area_m2=20.0)
    assert "2.500 W/m²K over its floor area" in str(time_series_house._reasons(SimpleNamespace(model=model))[0])


# ---- the year


def test_the_price_of_each_kWh_and_of_none():
    for kWh, price in ((200.0, 0.25), (0.5, 100.0), (0.0, 0.0)):
        one = made(RunLoad, money=SimpleNamespace(year_cost=50.0), load=SimpleNamespace(year_kWh=kWh))
        assert one.mean_price == price


def test_heat_of_a_year_is_the_units_and_the_heaters():
    year = SimpleNamespace(annual={"heat": 3000.0, "backup heat": 500.0}.__getitem__)
    assert made(MeteredYear, year=year).heat_kWh == 3500.0


@pytest.mark.parametrize(
    ("begins", "cut"), [(5000, outage.heat_cut), (8759, outage.heat_cut), (5000, outage.power_cut), (8759, outage.power_cut)]
)
def test_a_cut_begins_with_the_worst_twelve_hours(monkeypatch, begins, cut):
    """Twelve hours 30 K away from the others, round the turn of the year too."""
    hot = cut is outage.heat_cut
    outdoor = np.full(8760, 0.0)
    outdoor[(begins + np.arange(12)) % 8760] = 30.0 if hot else -30.0
    found = SimpleNamespace(hourly=lambda name: np.full(8760, 25.0))
    monkeypatch.setattr(outage, "_without_power", lambda *_, **__: found)
    monkeypatch.setattr(outage, "_cooldown", lambda *_: None)
    one = cut(SimpleNamespace(brings=SimpleNamespace(outdoor_C=outdoor)))
    start, mean = list(vars(one).values())[:2]
    assert (start, mean) == (begins, pytest.approx(30.0 if hot else -30.0))


def test_a_sleeves_resistance_is_its_own_and_its_films():
    """A pipe of d in a sleeve of s: ln((d + 2s)/d)/(2 pi k) and 1/(h pi (d + 2s)) m K/W."""
    tube, k = outage.fact("outside_diameter"), outage.fact("sleeve_conductivity")
    outer = tube + 0.025
    assert outage._sleeved(0.0125, 10.0) == pytest.approx(log(outer / tube) / (2 * pi * k) + 1 / (10.0 * pi * outer))


def test_leaks_answer_to_the_rooms_own_difference():
    brings = SimpleNamespace(outdoor_C=np.array([-10.0, 0.0, 10.0]), wind_m_s=np.array([1.0, 2.0, 3.0]))
    model = SimpleNamespace(elevation_m=0.0, air=SimpleNamespace(leak=lambda delta, wind: 1e-3 * delta * wind))
    driven = SimpleNamespace(house=SimpleNamespace(model=model), brings=brings)
    found = outage._leaks_W_K(driven, np.array([0, 2]), np.array([20.0, 15.0]))
    assert found == pytest.approx([0.030 * 1204.0, 0.015 * 1224.0], rel=0.01)  # dry air of 20 and 15 C at 1,006 J/kgK


def test_the_year_says_whose_unit_it_walks(monkeypatch):
    monkeypatch.setattr(year_answer, "_answer", lambda house, place, sized, why, folder: why)
    for unit, words in ((None, "as planned; fits"), ("G12-C-230", "as asked; fits")):
        sized = SimpleNamespace(house=SimpleNamespace(unit=unit), place=None, plan=SimpleNamespace(verdict="fits"))
        assert year_answer.year_of_plan(sized) == words


# ---- the owner's log


def logged(outdoor_C, power_W, **more):
    count = len(outdoor_C)
    days = dict(begin_h=24.0 * np.arange(count), hours=np.full(count, 24.0), indoor_C=np.full(count, 20.0), interval_h=24.0)
    days |= dict(meter="house", other_W=np.nan, file="log.csv", report=())
    return Log(outdoor_C=np.array(outdoor_C), power_W=np.array(power_W), **(days | more))


@pytest.mark.parametrize(("mild_days", "other_W"), [(2, 100.0), (3, 300.0)])
def test_everything_else_on_the_meter_is_read_from_mild_days(mild_days, other_W):
    """The household is computed at 100 W; three or more days between 14 and 20 C at 300 W say three times as much."""
    outdoor = [17.0] * mild_days + [13.9, 20.1] + [-5.0] * 10
    power = [300.0] * mild_days + [900.0, 900.0] + [2000.0] * 10
    year = SimpleNamespace(middle=SimpleNamespace(series={"rest_W": 100.0 * HOURS}))
    found = log_answer.without_other(logged(outdoor, power), year)
    assert found.power_W[-1] == pytest.approx(2000.0 - other_W) and found.other_W == 0.0 and len(found.report) == 1
    metered = logged(outdoor, power, meter="unit")
    assert log_answer.without_other(metered, year) is metered
    said = logged(outdoor, power, other_W=50.0)
    assert log_answer.without_other(said, year) is said


def test_a_months_share_of_everything_else():
    """Twice as much in February: a February day loses twice what a January day does."""
    rest = np.where(MONTH_OF_HOUR == 1, 200.0, 100.0)
    year = SimpleNamespace(middle=SimpleNamespace(series={"rest_W": rest}))
    found = log_answer.without_other(logged([-5.0, -5.0], [1000.0, 1000.0], begin_h=np.array([24.0 * 10, 24.0 * 40])), year)
    assert found.power_W == pytest.approx([900.0, 800.0])


def test_a_logged_house_stands_at_its_own_height_with_the_unit_that_size_recommends(monkeypatch):
    """At 2,000 m the place is that high; without a unit in its file it has the one of the whole question, its year walked."""
    seen = []
    monkeypatch.setattr(log_answer, "designer_of", lambda model, site: seen.append(site) or SimpleNamespace(model=model))
    for name in ("year_house", "weather_year", "year_at", "run_year", "sun_by_month"):
        monkeypatch.setattr(log_answer, name, lambda *_, **__: None)
    recommended = lambda *_, walk, **__: SimpleNamespace(recommended=SimpleNamespace(unit="walked" if walk else "plain"))  # noqa: E731
    monkeypatch.setattr(log_answer, "size_house", recommended)
    place = find_place("Burlington, VT")
    found = log_answer.log_house(load_house(changes=["site.elevation=2000 m"]), place)
    assert seen[0].elevation_m == pytest.approx(2000.0) and seen[0].name == place.name and found.unit == "walked"
    log_answer.log_house(load_house(), place)
    assert seen[1] is place


def line(slope, half=0.0, intercept=0.0):
    return made(LossLine, slope_W_K=slope, half_width_W_K=half, intercept_W=intercept)


def test_real_and_computed_agree_within_what_both_are_known_to():
    """Half widths of 3 and 4 W/K join to 5: 100 and 105 W/K agree, 100 and 106 do not."""
    for computed, agree in ((105.0, True), (106.0, False), (95.0, True), (94.0, False)):
        bands = dict(real_band_W_K=(97.0, 103.0), computed_band_W_K=(computed - 4.0, computed + 4.0))
        found = made(log_answer.LogResult, fit=line(100.0), computed=line(computed), read=line(80.0), **bands)
        assert log_answer.allowed_W_K(found) == pytest.approx(5.0) and found.as_computed is agree
        assert found.slope_of_days_W_K == pytest.approx(100.0 * 80.0 / computed)
    x = np.array([5.0, 10.0, 20.0, 30.0, 40.0])
    one = loss_line(x, 100.0 * x + np.array([30.0, -30.0, 20.0, -30.0, 10.0]))
    assert log_answer.scaled(one, 2.0).interval_W_K == pytest.approx(tuple(2.0 * w for w in one.interval_W_K))


def test_leaks_bend_the_line_that_the_days_are_read_on():
    """A parabola of difference comes back at other differences as it is."""
    x = np.array([5.0, 10.0, 20.0, 30.0])
    bent = log_answer._bent(
        {"difference": x, "read": 50.0 * x + 2.0 * x**2}, SimpleNamespace(difference_K=np.array([15.0, 40.0]))
    )
    assert bent == pytest.approx([1200.0, 5200.0])


def test_metered_and_expected_energy_of_the_days():
    """1,000 W through one day and through two are 72 kWh; what is expected is the unit's input at the line's load less sun."""
    unit, days = load_units()["G12-C-230"], np.array([1.0, 2.0])
    outdoor, sun = np.array([-5.0, -5.0]), np.array([0.0, 200.0])
    m = SimpleNamespace(watts=np.full(2, 1000.0), days=days, outdoor_C=outdoor, difference_K=np.full(2, 25.0), sun_W=sun)
    used, expected = log_answer._energy(m, line(80.0, intercept=-100.0), unit)
    inputs = [
        float(np.ravel(log_answer.heating_input_W(unit, outdoor[:1], power(unit.heating, outdoor[:1], np.array([w]))))[0])
        for w in (1900.0, 1700.0)
    ]
    assert used == pytest.approx(72.0) and expected == pytest.approx((24 * inputs[0] + 48 * inputs[1]) / 1000.0)


# ---- the judge


def test_rules_are_asked_in_their_order():
    """What loads ask for, then what carries it, then the year: each reads what the ones before it said."""
    stages = [rule.STAGE for rule in all_rules()]
    assert stages == sorted(stages) and {LOADS, SUPPLY, YEAR} == set(stages)


def test_one_place_of_a_case_keeps_the_designer_worked_out_for_it():
    """Loads of many places at once need no designer; one that is there already is not worked out again."""
    house, places = load_house(), (find_place("Burlington, VT"), find_place("Duluth, MN"))
    ready = (designer(), replace(designer(), place=places[1]))
    known = SimpleNamespace(take=lambda k: f"loads of {k}")
    for many in (None, known):
        one = Case(house=house, places=places, ready=ready, known=many).at(1)
        assert one.ready == (ready[1],) and one.known == (many and "loads of 1")
    assert Case(house=house, places=places, known=known).at(1).ready == ()
