"""The owner's log: a known coefficient is found at the stated confidence, each cause by its own sign, noise by none.

Logs are made with four kinds of noise in turn.  HEATCALC_LOG_TIMES=n makes n times as many of them.
"""

import os
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heatcalc.answers.year.log_answer import compare_log, heat_of, log_house
from heatcalc.answers.year.log_causes import NAMED, LikeDays, causes
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.log.log_file import Log
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import built_year
from heatcalc.judge.sizing import candidates_of
from heatcalc.model.house_model import house_model
from heatcalc.model.year_walk import run_year
from heatcalc.physics.unit.heat_pump import capacity, power
from heatcalc.physics.zone.loss_line import CONFIDENCE, days_worth, loss_line
from heatcalc.report.about_log import about_log, verdict

UNIT, PLACE = "G12-C-230", "Burlington, VT"
SLOPE, INTERCEPT = 80.0, -300.0
TRIALS = 400
BY_CHANCE = 3.3 * np.sqrt(CONFIDENCE * (1 - CONFIDENCE) / TRIALS)  # 99.9 % of a binomial share


def following(rng, count, lag_one):
    """Normal numbers, each like the one before."""
    found = rng.normal(size=count)
    for k in range(1, count):
        found[k] = lag_one * found[k - 1] + np.sqrt(1 - lag_one**2) * found[k]
    return found


@pytest.mark.parametrize(
    ("days", "of_difference", "of_noise"), [(15, 0.0, 0.0), (30, 0.7, 0.0), (90, 0.0, 0.6), (90, 0.7, 0.4), (180, 0.7, 0.6)]
)
def test_the_known_slope_lies_in_its_interval_as_often_as_stated(days, of_difference, of_noise):
    rng, inside = np.random.default_rng(3), 0
    for _ in range(TRIALS):
        x = 20 + 6 * following(rng, days, of_difference)
        low, high = loss_line(x, SLOPE * x + INTERCEPT + 200 * following(rng, days, of_noise)).interval_W_K
        inside += low <= SLOPE <= high
    assert inside / TRIALS == pytest.approx(CONFIDENCE, abs=BY_CHANCE)


def test_ordinary_errors_would_be_too_sure_of_days_that_resemble_each_other():
    """The lowered number of days is needed: without it too few intervals hold the slope."""
    rng, inside = np.random.default_rng(3), 0
    for _ in range(TRIALS):
        x = 20 + 6 * following(rng, 90, 0.7)
        found = loss_line(x, SLOPE * x + 200 * following(rng, 90, 0.6))
        half = found.half_width_W_K * np.sqrt(found.days_worth / found.days)
        inside += abs(found.slope_W_K - SLOPE) <= half
    assert inside / TRIALS < CONFIDENCE - BY_CHANCE


def test_odd_days_hardly_move_the_line():
    rng = np.random.default_rng(5)
    x = 20 + 6 * rng.normal(size=100)
    clean = SLOPE * x + INTERCEPT + 100 * rng.normal(size=100)
    odd = clean + np.where(np.arange(100) % 20 == 0, 3000.0 * np.sign(x - 20), 0.0)
    found, plain = loss_line(x, odd), np.polyfit(x, odd, 1)[0]
    assert abs(found.slope_W_K - SLOPE) < 0.25 * abs(plain - SLOPE)
    assert found.odd.sum() == 5 and found.odd[::20].all()


def test_an_exact_line_is_found_exactly_and_scale_and_shift_follow():
    x = np.array([8.0, 12.0, 15.0, 22.0, 31.0, 35.0])
    exact = loss_line(x, SLOPE * x + INTERCEPT)
    assert exact.slope_W_K == pytest.approx(SLOPE) and exact.intercept_W == pytest.approx(INTERCEPT)
    noisy = SLOPE * x + np.array([50.0, -40.0, 10.0, -30.0, 60.0, -20.0])
    one, double = loss_line(x, noisy), loss_line(x, 2 * noisy + 100)
    assert double.slope_W_K == pytest.approx(2 * one.slope_W_K) and double.half_width_W_K == pytest.approx(2 * one.half_width_W_K)
    assert double.intercept_W == pytest.approx(2 * one.intercept_W + 100)


def test_too_little_is_refused():
    with pytest.raises(ValueError, match="five rows"):
        loss_line(np.arange(4.0), np.arange(4.0))
    with pytest.raises(ValueError, match="five rows"):
        loss_line(np.ones(9), np.arange(9.0))


def test_days_worth_lies_between_three_and_their_number():
    rng = np.random.default_rng(1)
    x, e = rng.normal(size=200), rng.normal(size=200)
    assert 3 <= days_worth(np.cumsum(x), np.cumsum(e)) < 100 < days_worth(x, e) <= 200


@pytest.mark.parametrize("outdoor", [-20.0, -8.0, 0.0, 9.0])
def test_a_meter_read_backwards_gives_the_heat(outdoor):
    """At full resolution within the 60 steps of the reading: a steady load's own input gives the load again."""
    unit = candidates_of(load_house())[UNIT]
    top = float(capacity(unit.heating, outdoor, "max").value_W[0])
    loads = np.linspace(0.1, 1.0, 7) * top
    run = power(unit.heating, np.full(7, outdoor), loads)
    pan = unit.pan_heater_W if outdoor < 4 else 0.0
    rest = unit.standby_W + (unit.crankcase_W if outdoor < 10 else 0.0)
    watts = run.power_W + run.run_fraction * pan + (1 - run.run_fraction) * rest
    heat, most, _ = heat_of(unit, np.full(7, outdoor), watts)
    assert heat == pytest.approx(loads, abs=top / 60) and most == pytest.approx(top)
    assert heat_of(unit, np.full(7, outdoor), watts + 5000.0)[0][-1] == pytest.approx(top + 5000.0, abs=top / 60)


@cache
def place():
    return find_place(PLACE)


@cache
def walked(*changes, package=None):
    house = load_house("plover-26g", changes, package)
    return run_year(house_model(house, place().elevation_m), built_year(place()), candidates_of(house)[UNIT], series=True)


NOISES = ((0.08, 0.0, True), (0.15, 0.0, True), (0.08, 0.6, True), (0.15, 0.6, False))  # scatter, of the day before, room logged
TIMES = max(int(os.environ.get("HEATCALC_LOG_TIMES", "1")), 1)


def restless(seed, year, **said):
    """A log with the seed's kind of noise."""
    scatter, before, room = NOISES[seed % len(NOISES)]
    log = logged(seed, year, scatter=scatter, before=before, **said)
    return log if room else replace(log, indoor_C=np.full(len(log.hours), np.nan))


def logged(seed, year, until=120, scatter=0.08, factor=None, warm_K=0.0, before=0.0):
    """A log of days made from a computed year with scatter; `factor` on the meter by outdoor temperature."""
    rng, s = np.random.default_rng(seed), year.series
    day = {k: np.asarray(v).reshape(365, 24).mean(axis=1)[:until] for k, v in s.items()}
    noise = np.maximum(1 + scatter * following(rng, until, before), 0.1)
    watts = (day["unit_power_W"] + day["extra_power_W"] + day["backup_W"]) * noise
    watts = watts * (factor(day["outdoor_C"]) if factor else 1.0)
    begin = 24.0 * (20089 + np.arange(until))  # days from 2025-01-01
    return Log(
        begin_h=begin,
        hours=np.full(until, 24.0),
        power_W=watts,
        outdoor_C=day["outdoor_C"] + 0.3 * rng.normal(size=until),
        indoor_C=day["indoor_C"] + warm_K,
        meter="unit",
        other_W=0.0,
        interval_h=24.0,
        file="made.csv",
        report=(),
    )


@cache
def home():
    return log_house(load_house("plover-26g", [f"unit={UNIT}"]), place())


def compared(log):
    return compare_log(log, home())


def kinds(result):
    return [f.kind for f in result.findings]


SEEDS = range(12)


@pytest.mark.parametrize("days", [30, 120, 365])
def test_the_computed_house_s_own_log_is_as_computed(days):
    """In 95 of 100 at least; nearly every interval holds the coefficient of its own heat."""
    results = [compared(restless(seed, walked(), until=days)) for seed in range(40 * TIMES)]
    assert np.mean([r.as_computed and not r.findings for r in results]) >= 0.95
    inside = np.mean([r.fit.interval_W_K[0] <= r.computed.slope_W_K <= r.fit.interval_W_K[1] for r in results])
    assert inside >= CONFIDENCE - 3.3 * np.sqrt(CONFIDENCE * (1 - CONFIDENCE) / len(results))
    if days >= 120:
        assert np.mean([r.fit.slope_W_K / r.computed.slope_W_K for r in results]) == pytest.approx(1.0, abs=0.03)


def weak(outdoor):
    """A unit that needs a quarter more electricity for its heat: it gives a fifth less than its table."""
    return np.full(len(outdoor), 1.25)


PLANTED = {
    "leak": ({"year": ("air.tightness=20 ACH50",)}, "more loss", "leak"),
    "weak unit": ({"year": (), "factor": weak}, "more loss", "weak unit"),
    "fan off": ({"year": ("ventilation.kind=none",)}, "less loss", "fan off"),
    "large leak": ({"year": ("air.tightness=30 ACH50",)}, "more loss", "leak"),
    "better package": ({"package": "Hearth"}, "less loss", "better insulated"),
}


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_named_right_or_the_answer_says_that_the_data_cannot_tell(fault):
    """At 120 winter days, a fault of about a fifth of the loss: right in nine of ten, or said to be beyond what the data tell."""
    made, kind, cause = PLANTED[fault]
    year, right = walked(*made.get("year", ()), package=made.get("package")), 0
    for seed in range(len(SEEDS) * TIMES):
        found = compared(restless(seed, year, factor=made.get("factor")))
        words = "\n".join(str(s.words) for s in about_log(found).decision)
        named = [c.name for f in found.findings for c in f.causes if c.share >= NAMED]
        silent = not named and "cannot tell" in words
        right += (named == [cause] or silent) and set(kinds(found)) <= {kind, "unit short"}
        assert "tighter" not in words or found.used_kWh <= found.expected_kWh or "besides the heat pump" in words
    assert right >= 0.9 * len(SEEDS) * TIMES


def test_large_faults_are_seen():
    """Half more loss by leaks is more loss in every log; a better package is less loss in nine of ten."""
    leaky = [kinds(compared(logged(seed, walked("air.tightness=30 ACH50")))) for seed in SEEDS]
    better = [kinds(compared(logged(seed, walked(package="Hearth")))) for seed in SEEDS]
    assert all(f[-1] == "more loss" for f in leaky) and better.count(["less loss"]) >= 0.9 * len(SEEDS)


def test_causes_of_very_different_shape_are_told_apart():
    """Odds follow the shape: heat that grows with the square of the difference is no part that grows with it evenly."""
    m = compared(logged(1, walked())).measured
    quiet = replace(compared(logged(1, walked())).fit, scatter_W=1.0, days_worth=float(len(m.days)))
    x = m.difference_K
    shapes = {"leaks": 0.2 * x**2, "shell": 60.0 * x, "fan": 12.0 * x, "unit": np.full(len(x), 900.0), "gains": np.ones(len(x))}
    shapes["unit"] = shapes["unit"] + 40.0 * (x > np.median(x))
    for name, cause in (("leaks", "leak"), ("shell", "insulation or steel"), ("unit", "weak unit")):
        size = 1.5 if name == "leaks" else 0.35
        planted = replace(m, heat_W=m.heat_W + size * shapes[name])
        likely = causes(planted, quiet, LikeDays((x, x, x), m.heat_W + m.sun_W, shapes), more=True)
        assert likely[0].name == cause and likely[0].share > NAMED and sum(c.share for c in likely) == pytest.approx(1.0)


def test_more_energy_with_a_flatter_line_names_the_other_cause():
    """A steady extra use hides less loss: the answer says so before it says tighter."""
    year = walked(package="Hearth")
    extra = [replace(log, power_W=log.power_W + 500.0) for log in (logged(seed, year) for seed in SEEDS)]
    for found in map(compared, extra):
        words = "\n".join(str(s.words) for s in about_log(found).decision)
        assert found.used_kWh > found.expected_kWh and ("less loss" not in kinds(found) or "besides the heat pump" in words)


def test_a_house_meter_gives_the_unit_s_line_with_everything_else_taken_out():
    """Everything else read from mild days: the loss as from the heat pump's own meter, to the day's scatter."""
    own = logged(3, walked(), until=365)
    rest = np.asarray(walked().series["rest_W"]).reshape(365, 24).mean(axis=1)
    whole = compared(replace(own, power_W=own.power_W + rest, meter="house", other_W=float("nan")))
    assert whole.fit.slope_W_K == pytest.approx(compared(own).fit.slope_W_K, rel=0.10)
    assert any("everything else" in str(line) for line in whole.log.report)


def test_ice_is_seen_near_freezing_only():
    def iced(outdoor):
        return np.where((outdoor > -8) & (outdoor < 6), 1.4, 1.0)

    for seed in SEEDS:
        assert "icing" in kinds(compared(logged(seed, walked(), factor=iced)))
        assert "icing" not in kinds(compared(logged(seed, walked(), factor=lambda outdoor: np.full(len(outdoor), 1.1))))


def test_another_set_point_is_named_and_no_leak():
    for seed in SEEDS:
        assert kinds(compared(logged(seed, walked("set_points.heating=73.4 F")))) == ["set point"]


def test_a_unit_that_runs_flat_out_in_a_cold_room_is_too_small():
    small = "G06-S-230"
    house = load_house("plover-26g", [f"unit={small}"])
    computed = log_house(house, place())
    year = run_year(computed.designer.model, built_year(place()), computed.unit, backup=None, series=True)
    for seed in SEEDS:
        assert "unit short" in kinds(compare_log(logged(seed, year, scatter=0.02), computed))


@pytest.mark.parametrize("factor", [10.0, 0.1])
def test_a_wrong_unit_of_energy_is_a_data_problem(factor):
    assert kinds(compared(logged(2, walked(), factor=lambda t: np.full(len(t), factor)))) in (["data"], ["data", "data"])


def test_a_meter_that_knows_nothing_of_the_cold_is_a_data_problem():
    log = logged(2, walked())
    rng = np.random.default_rng(4)
    flat = replace(log, power_W=400 + 150 * rng.random(len(log.hours)))
    found = compared(flat)
    assert kinds(found) == ["data"] and "cannot be compared" in verdict(found)
