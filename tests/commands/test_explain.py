"""`heatcalc explain` as a reviewer types it, and every printed formula done again with the printed numbers."""

import json
import math
import re
from functools import cache

import pytest

from heatcalc import units
from heatcalc.answers.envelope.assembly_answer import correction_steps
from heatcalc.answers.envelope.step import Step
from heatcalc.answers.explain.chains import explain, result_names
from heatcalc.cli import main
from heatcalc.commands.size import size
from heatcalc.errors import InputError
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sizing import size_house
from heatcalc.render.as_text import as_text
from heatcalc.report.about_explain import BASE, OWN, about_explain, five, numbers, quantity

PLACES = ("Burlington, VT", "Phoenix, AZ")
LABELS = sorted(
    {units.label(k, s) for k in units.KINDS for s in ("ip", "si")}
    | set(BASE.values())
    | {label for own in OWN.values() for _, label in own[1:]},
    key=len,
    reverse=True,
)


@cache
def sized(place):
    return size("plover-26g", place)


NAMES = [n for n in result_names(sized(PLACES[0])) if n != "annual_kWh"]


def steps(step: Step):
    yield step
    for other in (*step.parts, *step.check):
        yield from steps(other)


def pencil(text: str) -> tuple[float, float]:
    """A printed formula worked out, and how far the rounding of its printed numbers may carry it."""
    for label in LABELS:
        text = re.sub(rf"(?<=\d) {re.escape(label)}(?![\w·²³/^(])", "", text) if label else text
    figures = re.findall(r"\d+\.?\d*(?:e-?\d+)?", text)

    def worth(k=None, by=0.0):
        at = iter(range(len(figures)))
        shifted = re.sub(r"\d+\.?\d*(?:e-?\d+)?", lambda m: repr(float(m[0]) + (by if next(at) == k else 0.0)), text)
        for ours, theirs in ((" x ", " * "), ("^", "**"), ("sqrt", "math.sqrt")):
            shifted = shifted.replace(ours, theirs)
        return float(eval(shifted, {"math": math, "max": max, "min": min}))  # noqa: S307 - the program's own formulas

    loose = sum(abs(worth(k, half(x)) - worth()) for k, x in enumerate(map(float, figures)))
    return worth(), loose


def half(value: float) -> float:
    """Half of the fifth significant digit."""
    return 0.5 * 10.0 ** (math.floor(math.log10(abs(value))) - 4) if value else 0.0


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("name", NAMES)
def test_a_pencil_comes_to_the_printed_numbers(name, place, system):
    if name in ("balance_point",) and sized(place).recommended.balance_point_C is None:
        pytest.skip("the unit has no balance point there")
    found = explain(sized(place), name)
    text = " ".join(as_text(about_explain(found), system).split())
    for step in steps(found.chain):
        if not step.formula:
            continue
        result = quantity(step.value, step.kind, system, step.si)
        shown = float(re.match(r"-?[\d.]+(?:e-?\d+)?", result)[0])
        value, loose = pencil(numbers(step, system))
        assert abs(value - shown) <= loose + half(shown) + 1e-9 * abs(shown), f"{step.symbol}: {numbers(step, system)} = {result}"
        if len(step.parts) > 1:
            assert numbers(step, system) in text
        assert f"{step.symbol} = {quantity(step.value, step.kind, system)}" in text


PIERCED = """["Pierced roof"]
kind = "roof"
layers = [
  { framing = "2x6 studs 16 in o.c.", insulation = "R-19", gaps = "small" },
  { material = "polyiso foil-faced", thickness = "1 1/2 in", fasteners_per_m2 = 6, fastener_area_mm2 = 20 },
]
thermal_bridges = [
  { name = "cross-members", psi = "0.05 Btu/h ft F", spacing = "24 in" },
  { name = "hooks", chi = "0.01 W/K", each = "1 m2" },
]
"""


@pytest.mark.parametrize("system", ["ip", "si"])
def test_every_correction_is_a_step_a_pencil_can_follow(tmp_path, system, capsys):
    """Gaps, fasteners, a line and a point; their sum is what the combined method adds, in `explain` and on the card."""
    (tmp_path / "own.toml").write_text(PIERCED, encoding="utf-8")
    roof = load_assemblies(tmp_path / "own.toml")["Pierced roof"]
    found = correction_steps(roof)
    assert len(found) == 4 and sum(s.value for s in found) == pytest.approx(roof.u.correction, rel=1e-12)
    for step in (s for one in found for s in steps(one) if s.formula):
        shown = float(re.match(r"-?[\d.]+(?:e-?\d+)?", quantity(step.value, step.kind, system, step.si))[0])
        value, loose = pencil(numbers(step, system))
        assert abs(value - shown) <= loose + half(shown), step.symbol
    assert main(["assembly", str(tmp_path / "own.toml"), "--full", "--units", system]) == 0
    card = capsys.readouterr().out
    assert all(f"{s.symbol} = {quantity(s.value, s.kind, system)}" in card for s in found)
    house = load_house(None, ["assemblies.file=own.toml", "assemblies.roof='Pierced roof'"])
    chain = explain(size_house(house, find_place(PLACES[0]), folder=tmp_path), "u_value:body-roof").chain
    assert {s.symbol for s in found} <= {s.symbol for s in steps(chain)}


def test_the_pencil_sees_a_wrong_number():
    value, loose = pencil("(2 W/K + 1.5 W/(K·L/s) x 4 L/s) x 10 K")
    assert value == 80.0 and 0 < loose < 0.05


def test_values_are_those_of_the_sizing():
    r = sized(PLACES[0])
    assert explain(r, "heating_load").chain.value == r.heating.load_W
    assert explain(r, "ua").chain.value == r.heating.ua_W_K
    assert explain(r, "backup").chain.value == r.recommended.backup_W
    assert explain(r, "max_heat_at_design").chain.value == r.recommended.max_heat_at_design_W
    for name, watts in r.heating.components_W.items():
        assert explain(r, name.replace(" ", "_")).chain.value == watts


def run(capsys, *words):
    code = main(["explain", *words])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_the_chain_names_solve_hand_check_and_sources(capsys):
    code, out, err = run(capsys, "plover-26g", "--place", "Burlington, VT", "heating_load", "--full")
    assert code == 0 and not err
    for words in ("linear solve", "beside it", "ch. 16 eq. 47", "ISO 7726", "as stated", "Btu/h", "(above)"):
        assert words in out
    assert max(map(len, out.splitlines())) <= 118


def test_a_bare_explain_is_the_demo_house(capsys):
    code, out, _ = run(capsys)
    assert code == 0 and out.startswith("heating_load: Plover 26G")


def test_json_is_the_whole_tree(capsys):
    code, out, _ = run(capsys, "plover-26g", "ua", "--json", "--place", "97201")
    record = json.loads(out)
    assert code == 0 and record["result"] == "ua"
    assert sum(p["value"] for p in record["chain"]["parts"]) == pytest.approx(record["chain"]["value"])


def test_names_lists_everything(capsys):
    code, out, _ = run(capsys, "--names")
    assert code == 0 and "heating_load" in out and "u_value:body-floor" in out


@pytest.mark.parametrize(
    ("said", "meant"), [("heatng_load", "heating_load"), ("u_value:body-flor", "u_value:body-floor"), ("xyzzy", "known")]
)
def test_a_slip_is_answered_with_the_nearest_name(capsys, said, meant):
    code, out, err = run(capsys, "plover-26g", "--place", "Burlington, VT", said)
    assert code == 2 and not out and meant in err and err.count("\n") == 1


def test_a_wrong_place_is_not_a_traceback(capsys):
    assert run(capsys, "plover-26g", "heating_load")[0] == 2


def test_the_year_adds_up():
    found = explain(sized(PLACES[0]), "annual_kWh")
    assert sum(p.value for p in found.chain.parts) == pytest.approx(found.chain.value)
    assert found.chain.check[0].check[0].value > 0


def test_five_digits():
    assert [five(x) for x in (0.0, -0.0, 1.0, 12345.6, 123456.7, 0.000123456)] == ["0", "0", "1", "12346", "123457", "0.00012346"]


def test_an_unknown_name_is_an_input_error():
    with pytest.raises(InputError, match="can be explained"):
        explain(sized(PLACES[0]), "nothing")
