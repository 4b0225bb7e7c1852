"""What the hand methods, the year and the owner's log say of a house, each figure worked out beside its assertion."""

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest

from heatcalc.answers.methods import envelope_rules, hand_method, side_by_side
from heatcalc.answers.methods.side_by_side import ThreeMethods
from heatcalc.answers.year import log_answer, outage
from heatcalc.answers.year.run_load_answer import RunLoad
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.log.log_file import Log
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import MonthBins
from heatcalc.judge.cases import Case
from heatcalc.judge.metered_year import MeteredYear
from heatcalc.judge.rules import LOADS, SUPPLY, YEAR, all_rules
from heatcalc.model.designer import designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.year_drivers import MONTH_OF_HOUR

HOURS = np.ones(8760)


@cache
def designer(*changes):
    place = find_place("Burlington, VT")
    return designer_of(house_model(load_house(changes=changes), place.elevation_m), place)


def made(kind, **fields):
    """A record with only these fields: for its properties, which read no others."""
    one = object.__new__(kind)
    for name, value in fields.items():
        object.__setattr__(one, name, value)
    return one


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


# ---- the year


def test_the_price_of_each_kWh_and_of_none():
    for kWh, price in ((200.0, 0.25), (0.5, 100.0), (0.0, 0.0)):
        one = made(RunLoad, money=SimpleNamespace(year_cost=50.0), load=SimpleNamespace(year_kWh=kWh))
        assert one.mean_price == price


def test_heat_of_a_year_is_the_units_and_the_heaters():
    year = SimpleNamespace(annual={"heat": 3000.0, "backup heat": 500.0}.__getitem__)
    assert made(MeteredYear, year=year).heat_kWh == 3500.0


@pytest.mark.parametrize(("begins", "cut"), [(5000, outage.heat_cut), (5000, outage.power_cut), (8750, outage.power_cut)])
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


# ---- the owner's log


def log(outdoor_C, power_W, **more):
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
    found = log_answer.without_other(log(outdoor, power), year)
    assert found.power_W[-1] == pytest.approx(2000.0 - other_W) and found.other_W == 0.0 and len(found.report) == 1
    metered = log(outdoor, power, meter="unit")
    assert log_answer.without_other(metered, year) is metered
    said = log(outdoor, power, other_W=50.0)
    assert log_answer.without_other(said, year) is said


def test_a_months_share_of_everything_else():
    """Twice as much in February: a February day loses twice what a January day does."""
    rest = np.where(MONTH_OF_HOUR == 1, 200.0, 100.0)
    year = SimpleNamespace(middle=SimpleNamespace(series={"rest_W": rest}))
    found = log_answer.without_other(log([-5.0, -5.0], [1000.0, 1000.0], begin_h=np.array([24.0 * 10, 24.0 * 40])), year)
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
