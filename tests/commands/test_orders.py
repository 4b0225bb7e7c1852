"""An orders file: every row's plan is that of the single command, a wrong row is a line, a stopped run goes on."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import heatcalc
from heatcalc.answers.study.many_orders import DONE, Answered, answered, read_orders
from heatcalc.answers.study.processes import in_processes
from heatcalc.cli import main
from heatcalc.errors import NoAnswer
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import load_units
from heatcalc.judge import plan as plan_module
from heatcalc.judge.plan import price
from heatcalc.judge.sizing import size_house
from heatcalc.render.as_xlsx import as_xlsx
from heatcalc.report.about_orders import NEEDS, about_orders, need_of

HEAD = "reference,model,package,place,supply,unit,options\n"
PLACES = ("Burlington, VT", "Duluth, MN", "Phoenix, AZ", "Houston, TX", "55802", "Portland, OR")
FAULTS = (
    ('plover-26g,Breeze,"Nowhere, QQ",,,', "QQ"),
    ("plover-26g,Breeze,,,,", "place: is empty"),
    ('plover-26g,Hearh,"Duluth, MN",,,', 'did you mean "Hearth"?'),
    ('plover-62g,Breeze,"Duluth, MN",,,', "no such file"),
    ('plover-26g,Breeze,"Duluth, MN",31 A,,', "cord"),
    ('plover-26g,Breeze,"Duluth, MN",,G9,', "candidates"),
    ('plover-26g,Breeze,"Duluth, MN",,,air.tigtness=3', "did you mean"),
    ('plover-26g,Breeze,"Duluth, MN",,,air.tightness=3 ACH5', "tightness"),
    ("plover-26g,Breeze,Duluth, MN,,", "a comma belongs in quotes"),
    ('plover-26g,Breeze,"Duluth, MN",,,nonsense', "key=value"),
)
PREHEATED = "ventilation.kind=balanced; ventilation.heat_recovery=75 %; ventilation.preheat=300 W"
FIELDS = {"plan_unit": "unit", "verdict": "verdict", "chance": "chance", "held_C": "held_C", "heater_W": "heater_W"}
FIELDS |= {"plan_supply": "supply", "supply_carried": "supply_carried", "first_cost_usd": "first_cost_usd"}


def alone(work, parts):
    """No processes."""
    return map(work, parts)


def file_of(tmp_path: Path, lines: list[str]) -> Path:
    file = tmp_path / "orders.csv"
    file.write_text(HEAD + "\n".join(f"N{n},{line}" for n, line in enumerate(lines)) + "\n", encoding="utf-8")
    return file


def good(n: int) -> str:
    return f'plover-26g,{("Breeze", "Hearth")[n % 2]},"{PLACES[n % len(PLACES)]}",,,'


@pytest.fixture(scope="module")
def two_hundred(tmp_path_factory):
    """180 orders and 20 faults, every fault twice, spread through the file."""
    lines = [good(n) for n in range(180)]
    for n, (line, _) in enumerate(FAULTS * 2):
        lines.insert(n * 10, line)
    file = file_of(tmp_path_factory.mktemp("orders"), lines)
    return list(answered(read_orders(file), file.parent, alone))


def test_twenty_faults_are_twenty_lines_and_the_others_go_on(two_hundred):
    bad = sorted((r for r in two_hundred if r["problem"]), key=lambda r: r["row"])
    assert len(two_hundred) == 200 and len(bad) == 20
    for record, (_, words) in zip(bad, FAULTS * 2, strict=True):
        assert words in record["problem"] and "\n" not in record["problem"], record


@pytest.mark.parametrize("n", range(6))
def test_a_row_is_the_single_command(two_hundred, n):
    """Unit, verdict, chance, heater, supply and cost of a row equal those of `size` without the year, to the last bit."""
    row = next(r for r in two_hundred if r["package"] == ("Breeze", "Hearth")[n % 2] and r["place"] == PLACES[n])
    plan = size_house(load_house("plover-26g", (), row["package"]), find_place(row["place"]), walk=False).plan
    assert {k: row[k] for k in FIELDS} == {k: getattr(plan, name) for k, name in FIELDS.items()}


def test_a_named_unit_and_a_larger_supply_are_the_single_command(tmp_path):
    lines = [
        'plover-26g,Breeze,"Duluth, MN",,G12-C-115,',
        'plover-26g,Breeze,"Houston, TX",50 A 120/240 V,,air.tightness=2.0 ACH50',
        *(f'plover-26g,Breeze,"{place}",,,{PREHEATED}' for place in ("Leadville, CO", "Fairbanks, AK")),
        'plover-26g,Breeze,"Fairbanks, AK",,,site.elevation=1500 ft',
    ]
    file = file_of(tmp_path, lines)
    rows = sorted(answered(read_orders(file), tmp_path, alone), key=lambda r: r["row"])
    for row, order in zip(rows, read_orders(file), strict=True):
        plan = size_house(load_house("plover-26g", order.changes, "Breeze"), find_place(order.place), walk=False).plan
        assert {k: row[k] for k in FIELDS} == {k: getattr(plan, name) for k, name in FIELDS.items()}


def test_a_stopped_run_goes_on(tmp_path):
    """One task done, then stopped, with a line cut in the middle: the next run answers the rest alone, and all are there."""
    file, done = file_of(tmp_path, [good(0), good(1), FAULTS[0][0]]), tmp_path / DONE
    orders, asked = read_orders(file), []

    def counted(work, parts):
        return (asked.append(len(p.orders)) or work(p) for p in parts)

    first = answered(orders, tmp_path, counted, done=done, together=1)
    next(first)
    first.close()
    with done.open("a") as written:
        written.write('{"said": "cut o')
    assert sum(asked) < 3
    whole = sorted(answered(orders, tmp_path, counted, done=done), key=lambda r: r["row"])
    assert sum(asked) == 3 and [r["row"] for r in whole] == [2, 3, 4]
    strip = [{k: v for k, v in r.items() if k != "said"} for r in whole]
    assert strip == sorted(answered(orders, tmp_path, alone), key=lambda r: r["row"])


def _cluster(distributed):
    """Two workers started here; on a machine that lets none start, tried twice, the test is skipped with the reason."""
    why = None
    for _ in range(2):
        try:
            return distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, protocol="tcp://")
        except (RuntimeError, OSError, TimeoutError) as problem:
            why = f"{problem}: {problem.__cause__}"
    pytest.skip(f"no cluster starts on this machine: {why}")


def test_a_cluster_gives_the_same_bits_and_outlives_a_killed_worker(tmp_path):
    """Two worker processes over the local network stack; one is killed in the middle of the study."""
    distributed = pytest.importorskip("distributed", reason="the cluster extra is not installed")
    file = file_of(
        tmp_path, [good(n) for n in range(4)] + [f'plover-26g,Breeze,"{PLACES[0]}",,,air.tightness={n} ACH50' for n in (2, 4)]
    )
    orders = read_orders(file)
    with _cluster(distributed) as cluster:
        found = []
        for record in answered(orders, tmp_path, in_processes(2, f"dask:{cluster.scheduler_address}"), together=2):
            if not found:
                next(iter(cluster.workers.values())).process.process.kill()
            found.append(record)
    one = list(answered(orders, tmp_path, alone))
    assert json.dumps(sorted(found, key=lambda r: r["row"])) == json.dumps(sorted(one, key=lambda r: r["row"]))


def test_a_killed_process_loses_nothing(tmp_path):
    """Killed in its first task the work is done by another; killed each time, it is a line and no traceback."""

    def work(part):
        import os
        import signal

        n, mark = part
        if mark is not None and not os.path.exists(mark):
            if mark:
                open(mark, "x").close()
            os.kill(os.getpid(), signal.SIGKILL)
        return n

    mark = str(tmp_path / "killed")
    assert list(in_processes(2)(work, [(n, mark if n == 1 else None) for n in range(4)])) == [0, 1, 2, 3]
    with pytest.raises(NoAnswer, match="again and again"):
        list(in_processes(2)(work, [(n, "") for n in range(2)]))


def test_the_command_writes_page_workbook_csv_and_json(tmp_path, capsys):
    pd, openpyxl = pytest.importorskip("pandas"), pytest.importorskip("openpyxl")
    file, out = file_of(tmp_path, [good(0), FAULTS[2][0]]), tmp_path / "out"
    assert main(["orders", str(file), "--workers", "1", "-o", str(out)]) == 0
    said = capsys.readouterr().out
    assert "1 order answered, 1 row to mend" in said and "row 3 (N1): plover-26g.toml: package = 'Hearh'" in said
    assert {p.name for p in out.iterdir()} == {
        *("orders.html", "orders.xlsx", "orders.csv", "needs.png", "needs.svg"),
        *("result.json", DONE),
    }
    record = json.loads((out / "result.json").read_text())
    table = pd.read_csv(out / "orders.csv")
    sheet = openpyxl.load_workbook(out / "orders.xlsx")["orders"]
    assert table["unit"].tolist() == [record["orders"][0]["plan_unit"]] and sheet.auto_filter.ref


def test_the_workbook_s_money_and_counts_are_formulas_of_the_yellow_prices(two_hundred, tmp_path):
    """With every price changed the library `formulas` gives what the judge's own `price` gives with that table."""
    formulas, openpyxl = (pytest.importorskip(name, reason="no such library here") for name in ("formulas", "openpyxl"))
    answer = Answered("Orders", 0.9, tuple(two_hundred))
    report, few = about_orders(answer), [r for r in answer.good][:12]
    assert report.tables["totals"].rows[0][1].value == 180
    report = about_orders(replace(answer, records=tuple(few)))
    (tmp_path / "o.xlsx").write_bytes(as_xlsx(report, "ip"))
    book = openpyxl.load_workbook(tmp_path / "o.xlsx")
    prices = {
        row[0].value: [1.37 * row[1].value + 11.0, 0.83 * row[2].value + 7.0] for row in book["prices"].iter_rows(min_row=2)
    }
    for row in book["prices"].iter_rows(min_row=2):
        assert row[1].fill.fgColor.rgb == "FFFFF4CC"
        row[1].value, row[2].value = prices[row[0].value]
    book.save(tmp_path / "o.xlsx")
    counting = {
        103: lambda x: np.count_nonzero(x != ""),
        109: lambda x: x.astype(float).sum(),
    }  # the library has no SUBTOTAL: with no filter set it is these
    formulas.get_functions()["SUBTOTAL"] = lambda code, cells: counting[int(np.asarray(code).item())](np.asarray(cells.value))
    found = formulas.ExcelModel().loads(str(tmp_path / "o.xlsx")).finish().calculate()
    column = next(c.column_letter for c in book["orders"][1] if c.value.startswith("first cost"))
    now = [found[f"'[o.xlsx]ORDERS'!{column}{n}"].value[0, 0] for n in range(2, len(few) + 2)]
    table = [{"item": item, "usd": usd, "usd_per_kW": per} for item, (usd, per) in prices.items()]
    with pytest.MonkeyPatch.context() as other:
        other.setattr(plan_module, "rows", lambda name: table)
        for record, usd in zip(few, now, strict=True):
            unit = load_units()[record["plan_unit"]]
            more = (record["own_supply"], bool(record["dehumidifier_W"]), record["package_usd"])
            (asked,) = price(unit, np.array([record["heater_W"]]), np.array([record["plan_supply"]]), *more)
            assert usd == pytest.approx(asked, abs=1.0)
    totals = {row[0].value: row[1].coordinate for row in book["totals"].iter_rows(min_row=2)}
    assert found[f"'[o.xlsx]TOTALS'!{totals['first cost [$]']}"].value[0, 0] == pytest.approx(sum(now))
    assert found["'[o.xlsx]TOTALS'!C2"].value[0, 0] == len(few)
    counts = {words: found[f"'[o.xlsx]TOTALS'!{totals[words]}"].value[0, 0] for words in NEEDS}
    assert counts == {words: sum(need_of(r) == k for r in few) for k, words in enumerate(NEEDS)}
    assert sum(counts.values()) == len(few) and max(counts.values()) < len(few)


def test_models_by_places_are_the_orders_of_a_file_that_says_the_same(tmp_path, capsys):
    (tmp_path / "places.txt").write_text(f"# one a line\n{PLACES[2]}\n", encoding="utf-8")
    asked = ["--packages", "Breeze,Hearth", "--place", PLACES[0], "--places", str(tmp_path / "places.txt")]
    assert main(["orders", "--model", "plover-26g", *asked, "--workers", "1", "--json"]) == 0
    crossed = json.loads(capsys.readouterr().out)["orders"]
    lines = [f'plover-26g,{package},"{place}",,,' for package in ("Breeze", "Hearth") for place in (PLACES[0], PLACES[2])]
    file = file_of(tmp_path, lines)
    of_file = heatcalc.orders(file).result.good
    drop = ("row", "reference")
    assert [{k: v for k, v in r.items() if k not in drop} for r in crossed] == json.loads(
        json.dumps([{k: v for k, v in r.items() if k not in drop} for r in of_file])
    )
    assert main(["orders", str(file), *asked]) == 2 and "both say what is ordered" in capsys.readouterr().err
    assert main(["orders", "--model", "plover-26g"]) == 2 and "--place: is missing" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("content", "hint"),
    [("", "holds no rows"), (HEAD, "holds no rows"), ("reference,plase\na,b\n", "unknown column"), ("model\nx\n", "place")],
)
def test_a_file_that_is_no_orders_file_is_one_line(content, hint, tmp_path, capsys):
    (tmp_path / "orders.csv").write_text(content)
    assert main(["orders", str(tmp_path / "orders.csv")]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1 and hint in said.err


@pytest.mark.parametrize(("words", "code", "hint"), [(["--engine", "ray"], 2, "dask"), (["--sure", "20"], 2, "50 to 99")])
def test_wrong_options_are_one_line(words, code, hint, tmp_path, capsys):
    assert main(["orders", str(file_of(tmp_path, [good(0)])), *words]) == code
    assert hint in capsys.readouterr().err
