"""Sensitivity: published indices through our wrapper, hand variances, convergence, fast loads against the network."""

from dataclasses import replace

import numpy as np
import pytest

from heatcalc.answers.sale.band import airier
from heatcalc.answers.study.chances import fast_case, monte_carlo
from heatcalc.answers.study.indices import load_model, screen, sobol, year_model
from heatcalc.answers.study.inverse import how_cold, how_leaky, how_much_glass, skirting
from heatcalc.answers.study.processes import in_processes
from heatcalc.answers.study.tornado import OUTPUTS, case_of, evaluate, tornado, weathers, year_of_case
from heatcalc.answers.study.uncertain import UncertainInput, all_moved, drawn, losing, moved, uncertain_inputs
from heatcalc.answers.study.years import YearStudy
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.model.designer import designer_of
from heatcalc.model.year_walk import run_year
from heatcalc.physics.zone.fast_loads import Shares, Variants, cooling_variants, heating_variants
from heatcalc.tables import rows

SALib = pytest.importorskip("SALib", reason="the sensitivity extra is not installed")
PLACE = find_place("Burlington, VT")
SIZED, CASE = case_of(load_house(), PLACE, "G12-C-230")
FAST, INPUTS = fast_case(CASE), uncertain_inputs(CASE)
TRIANGLE = UncertainInput(
    name="x",
    words="x",
    kind="factor",
    unit="-",
    low=0.8,
    middle=1.0,
    high=1.4,
    distribution="triangular",
    acts_on=("heating",),
    source="",
    mark="",
)


def ishigami(shares, a=7.0, b=0.1):
    x, y, z = (np.pi * (2 * shares[:, k] - 1) for k in range(3))
    return np.sin(x) + a * np.sin(y) ** 2 + b * z**4 * np.sin(x)


def test_ishigami_gives_its_analytic_indices():
    """Ishigami and Homma (1990); a = 7, b = 0.1: S = 0.3139, 0.4424, 0; ST = 0.5576, 0.4424, 0.2437 (closed forms)."""
    found = sobol(("x", "y", "z"), ishigami, base=8192)
    b, pi4 = 0.1, np.pi**4
    v1, v2, v13 = 0.5 * (1 + b * pi4 / 5) ** 2, 7.0**2 / 8, 8 * b**2 * np.pi**8 / 225
    whole = v1 + v2 + v13
    for ours, half, exact in (
        (found.first, found.first_half_width, np.array([v1, v2, 0]) / whole),
        (found.total, found.total_half_width, np.array([v1 + v13, v2, v13]) / whole),
    ):
        assert np.all(np.abs(ours - exact) <= 2.0 * half + 1e-12), (ours, half, exact)
    assert found.variance == pytest.approx(whole, rel=0.02)


def test_sobol_of_a_linear_ua_model_is_the_variance_shares_by_hand():
    """Q = sum(U A dT): the share of a part is (UA dT)^2 var(factor) over the sum; alone and total agree."""
    weights = np.array([120.0, 60.0, 35.0, 20.0]) * 40.0
    variance = (0.8**2 + 1.0**2 + 1.4**2 - 0.8 * 1.0 - 0.8 * 1.4 - 1.0 * 1.4) / 18  # of a triangle
    found = sobol(("a", "b", "c", "d"), lambda s: drawn(TRIANGLE, s) @ weights, base=4096)
    exact = weights**2 / np.sum(weights**2)
    assert np.all(np.abs(found.total - exact) <= 2 * found.total_half_width + 1e-3)
    assert np.all(np.abs(found.first - exact) <= 2 * found.first_half_width + 1e-3)
    assert found.variance == pytest.approx(variance * np.sum(weights**2), rel=0.02)


def test_morris_of_a_line_is_its_slope():
    weights = np.array([5.0, -3.0, 0.0])
    found = screen(("a", "b", "c"), lambda s: s @ weights)
    assert found.mean_effect == pytest.approx(np.abs(weights), abs=1e-9)
    assert found.spread == pytest.approx(0.0, abs=1e-9)


def test_monte_carlo_converges_as_one_over_root_n():
    """Mean and spread of a linear case against the closed form: the error falls by ten for a hundred times the draws."""
    weights = np.array([120.0, 60.0, 35.0])
    mean = np.sum(weights) * (0.8 + 1.0 + 1.4) / 3
    spread = np.sqrt(np.sum(weights**2) * (0.8**2 + 1.0**2 + 1.4**2 - 0.8 * 1.0 - 0.8 * 1.4 - 1.0 * 1.4) / 18)
    errors = []
    for n in (400, 40_000):
        runs = [drawn(TRIANGLE, np.random.default_rng(seed).random((n, 3))) @ weights for seed in range(60)]
        errors.append(np.sqrt(np.mean([(r.mean() - mean) ** 2 for r in runs])))
        assert np.mean([r.std() for r in runs]) == pytest.approx(spread, rel=3 / np.sqrt(n))
    assert errors[0] == pytest.approx(spread / 20, rel=0.3) and errors[0] / errors[1] == pytest.approx(10.0, rel=0.35)


@pytest.mark.parametrize("row", rows("uncertain_inputs"), ids=lambda r: r["name"])
def test_every_range_has_an_order_a_source_and_a_mark(row):
    low, middle, high = (float(row[k]) for k in ("low", "middle", "high"))
    assert low <= middle <= high and low < high and len(row["source"]) > 10
    assert row["mark"] in ("in print", "from memory", "own choice")
    if row["mark"] == "from memory":
        assert "from memory" in row["source"]


def test_draws_keep_to_their_range_and_middle():
    share = np.linspace(0.0005, 0.9995, 2000)
    for u in INPUTS:
        x = drawn(u, share)
        assert np.all(np.diff(x) >= 0)
        if u.distribution == "normal":
            assert np.percentile(x, (10, 90)) == pytest.approx((u.low, u.high), abs=0.01 * (u.high - u.low))
        else:
            assert x.min() >= u.low and x.max() <= u.high
        if u.distribution == "triangular":
            assert x.mean() == pytest.approx((u.low + u.middle + u.high) / 3, abs=0.002 * (u.high - u.low))


def test_fast_loads_are_the_network_where_it_was_solved():
    assert FAST.heating_W({})[0] == pytest.approx(SIZED.heating.load_W, rel=1e-9)
    assert FAST.cooling_W({})[0] == pytest.approx(SIZED.designer.cooling.peak_sensible_W, rel=1e-3)


def test_inputs_that_are_not_drawn_stay_as_described():
    some = FAST.cooling_W({"glass": np.array([1.0, 1.1, 1.0])})
    assert some == pytest.approx(FAST.cooling_W({})[0] * np.array([1.0, some[1] / some[0], 1.0]))
    assert some[1] > some[0]


def test_fast_loads_stay_near_the_network_when_everything_moves():
    """Heating within half a percent, cooling within 5 %: the words of the answer's limits."""
    share = np.random.default_rng(7).random((10, len(INPUTS)))
    values = {u.name: drawn(u, share[:, k]) for k, u in enumerate(INPUTS)}
    heating, cooling = FAST.heating_W(values), FAST.cooling_W(values)
    for i in range(10):
        case = all_moved(CASE, {name: float(v[i]) for name, v in values.items()})
        designer = designer_of(case.model, case.place)
        assert heating[i] == pytest.approx(designer.heating(None, case.wind_m_s).load_W, rel=0.005)
        assert cooling[i] == pytest.approx(designer.cooling.peak_sensible_W, rel=0.05)


def test_variants_by_hand():
    """One wall of 10 W/K, no air, no excess: 10 x 40 K = 400 W; a tenth more loss 440 W; sun, glass, gains by their factors."""
    still = replace(FAST.ways[0].air, coefficient=0.0, balanced_m3_s=0.0, unbalanced_m3_s=0.0)
    s = Shares(
        groups=("wall",),
        loss_W_K=np.array([10.0]),
        loft_W=0.0,
        felt_C=20.0,
        outdoor_C=-20.0,
        air_above_felt=0.0,
        air=still,
        hours=np.array([15]),
        cool_hour_C=np.array([35.0]),
        conduction_W=np.array([[100.0]]),
        opaque_sun_W=np.array([[50.0]]),
        glass_W=np.array([200.0]),
        gains_W=np.array([80.0]),
        cool_C=24.0,
    )
    assert heating_variants(s, Variants(losses=(np.array([1.0, 1.1]),))) == pytest.approx([400.0, 440.0])
    v = Variants(losses=(np.array([1.0, 1.0, 2.0]),), glass=np.array([1.0, 0.5, 1.0]), hot_K=np.array([0.0, 0.0, 1.0]))
    assert cooling_variants([s], v)[0] == pytest.approx([430.0, 330.0, 600.0])
    assert cooling_variants([s, replace(s, glass_W=np.array([300.0]))], v)[1] == pytest.approx([530.0, 380.0, 700.0])


def test_the_same_seed_draws_the_same():
    one, two, other = (monte_carlo(CASE, 2000, seed, FAST) for seed in (1, 1, 2))
    assert np.array_equal(one.heating_W, two.heating_W) and not np.array_equal(one.heating_W, other.heating_W)
    share, error = one.chance("both")
    assert 0 <= share <= 1 and error > 0


def test_a_larger_unit_carries_at_least_as_often():
    larger = replace(CASE, unit=load_units()["G15-C-230"])
    assert monte_carlo(larger, 4000, 3, FAST).chance("heating")[0] > monte_carlo(CASE, 4000, 3, FAST).chance("heating")[0]


def test_tornado_moves_the_right_way_and_keeps_what_is_done():
    done = []

    def told(n):
        done.append(n)
        if len(done) == 3:
            raise KeyboardInterrupt

    found = tornado(SIZED, CASE, told)
    assert len(found.bars) == 3 and not found.complete
    leaks = found.bars[0]
    assert leaks.input.name == "leaks" and leaks.low.heating_W < found.middle.heating_W < leaks.high.heating_W
    assert leaks.high.lowest_held_C > leaks.low.lowest_held_C
    assert set(vars(found.middle)) == set(OUTPUTS)


def test_the_middle_of_a_tornado_is_the_sizing():
    brings = weathers(CASE)
    found = evaluate(CASE, brings)
    chosen = next(c for c in SIZED.candidates if c.name == "G12-C-230")
    assert found.heating_W == pytest.approx(SIZED.heating.load_W)
    assert found.lowest_held_C == pytest.approx(chosen.lowest_temperature_held_C)
    assert 0 < found.peak_A <= max(*chosen.supply.cold.leg_A, *chosen.supply.hot.leg_A), (
        "means of the hours, not the largest input"
    )
    warmer = moved(CASE, "heating set point", 1.0)
    assert year_of_case(warmer, brings) > found.year_kWh


@pytest.mark.parametrize("group", ["walls", "roof", "floor", "windows", "bridges"])
def test_losing_scales_one_group_alone(group):
    more = losing(CASE.model, group, 1.2).ua_W_K
    ratios = {n: more[n] / ua for n, ua in CASE.model.ua_W_K.items()}
    assert set(np.round(list(ratios.values()), 9)) == {1.0, 1.2}


def test_a_stopped_sobol_keeps_whole_groups():
    calls = []

    def model(shares):
        calls.append(1)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return shares.sum(axis=1)

    found = sobol(("a", "b"), model, base=256, batch=130)
    assert found.runs == 260 // 4 * 4 and not found.complete


@pytest.mark.parametrize("changes", [(), ("site.front_faces=east", "below.kind=skirted", "windows.1.inside_shade=0.7")])
def test_years_by_the_thousand_are_the_years_of_one_house(changes):
    """Rows of a Sobol sample, walked together, give what `heatcalc year` walks for the same values."""
    case = case_of(load_house(changes=changes), PLACE, "G12-C-230")[1]
    used = [u for u in uncertain_inputs(case) if "year" in u.acts_on]
    shares = np.random.default_rng(3).random((2, len(used)))
    rows_of = np.concatenate([[shares[0]], [np.where(np.arange(len(used)) == k, *shares) for k in range(len(used))], [shares[1]]])
    values = {u.name: drawn(u, rows_of[:, k]) for k, u in enumerate(used)}
    brings = weathers(case)
    found = YearStudy(case, brings, 8).kWh(values)
    for i in range(0, len(rows_of), 3):
        one = all_moved(case, {name: float(v[i]) for name, v in values.items()})
        alone = run_year(one.model, brings.at(one.year_K), one.unit, "resistance")
        assert found[i] == pytest.approx(alone.conditioning_kWh, rel=1e-9)


def test_years_in_processes_are_those_of_one_and_a_stop_keeps_groups():
    used = [u for u in INPUTS if u.name in ("walls", "heating set point", "capacity")]
    model, names = year_model(YearStudy(CASE, weathers(CASE)), used), [u.name for u in used]
    done = []

    def told(n):
        done.append(n)
        if len(done) == 3:
            raise KeyboardInterrupt

    alone = sobol(names, model, base=16)
    spread = sobol(names, model, base=32, batch=40, told=told, spread=in_processes(2))
    assert (alone.runs, alone.complete, spread.runs, spread.complete) == (80, True, 120, False)
    assert spread.total.argmax() == alone.total.argmax() == 1


def test_indices_of_the_house_sum_to_about_one():
    used = [u for u in INPUTS if "heating" in u.acts_on]
    found = sobol([u.name for u in used], load_model(FAST, used, "heating"), 512)
    assert found.first.sum() == pytest.approx(1.0, abs=0.1) and np.all(found.total > -0.01)


def test_how_cold_is_where_load_and_heat_meet():
    place, unit, model = SIZED.place, CASE.unit, CASE.model
    alone, helped = (how_cold(model, place, unit, w) for w in (0.0, 500.0))
    chosen = next(c for c in SIZED.candidates if c.name == unit.name)
    assert alone.outdoor_C == pytest.approx(chosen.lowest_temperature_held_C, abs=0.15)  # there to 0.1 K, on a line of points
    assert helped.outdoor_C < alone.outdoor_C


def test_how_leaky_gives_back_the_capacity():
    unit = load_units()["G15-C-230"]
    found = how_leaky(CASE.model, SIZED.place, unit)
    assert found.value is not None and found.value > found.as_described
    at_limit = designer_of(airier(CASE.model, found.value / found.as_described, 1.0), SIZED.place).heating().load_W
    chosen = next(c for c in SIZED.candidates if c.name == unit.name)
    assert at_limit == pytest.approx(chosen.max_heat_at_design_W, rel=1e-3)
    assert how_leaky(CASE.model, SIZED.place, load_units()["G06-S-230"]).value is None


def test_glass_and_skirting():
    house = load_house()
    mild = find_place("Seattle, WA")
    tight, loose = (how_much_glass(house, mild, load_units()[n]) for n in ("G09-C-230", "G15-C-230"))
    assert tight.value is not None and tight.as_described <= tight.value <= loose.value
    ways = skirting(house, SIZED.place)
    assert ways[0].below == "open air" and ways[1].heating_W < ways[0].heating_W
