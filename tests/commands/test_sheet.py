"""`heatcalc sheet` as a designer types it: page, spreadsheet, JSON and PDF say the same; bad input is one line."""

import io
import json
import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from heatcalc import units
from heatcalc.answers.sale.buyer import cut_cooling, cut_power, promise, tell
from heatcalc.answers.sale.sale_answer import case_from_files, own_files, sized_case
from heatcalc.answers.year.run_load_answer import run_load
from heatcalc.cli import main
from heatcalc.model.year_drivers import MONTH_OF_HOUR, in_months
from heatcalc.render.as_html import as_html
from heatcalc.render.as_json import as_json, json_text
from heatcalc.render.as_pdf import as_pdf
from heatcalc.render.as_xlsx import as_xlsx
from heatcalc.render.cells import cell_text
from heatcalc.report import promise_words
from heatcalc.report.about_run_load import about_run_load
from heatcalc.report.run_load_figures import month_uses, run_load_figures
from heatcalc.wording import said

TARIFFS = {
    "flat": 'kind = "flat"\nprice = 0.15\n',
    "time-of-use": 'kind = "time-of-use"\nprice = 0.12\nmonthly_charge = 9.5\nname = "=1+1"\n'
    '[[periods]]\nname = "@peak"\nprice = 0.31\nfrom_hour = 16\nto_hour = 21\ndays = "weekdays"\n'
    "months = [6, 7, 8, 9]\n"
    '[[periods]]\nname = "night"\nprice = 0.07\nfrom_hour = 22\nto_hour = 6\n',
    "tiered": 'kind = "tiered"\n[[tiers]]\nup_to_kWh = 200\nprice = 0.10\n[[tiers]]\nup_to_kWh = 350\nprice = 0.14\n'
    "[[tiers]]\nprice = 0.22\n",
    "Canadian": 'currency = "CAD"\nkind = "flat"\nprice = 0.15\nmonthly_charge = 9.5\n',
}


@pytest.fixture(scope="module")
def duluth():
    case = case_from_files(None, "55802")
    with own_files(case) as folder:
        return tell(sized_case(case, folder), folder)


def promised(other, place, changes=()):
    """Another house and place with its run load, promise and power cuts; what would change them is not asked again."""
    case = case_from_files(None, place, changes)
    with own_files(case) as folder:
        r = run_load(sized_case(case, folder), folder)
    return replace(other, run=r, promise=promise(r), cut=cut_power(r), hot_cut=cut_cooling(r))


@pytest.fixture(scope="module")
def houston(duluth):
    return promised(duluth, "Houston, TX")


@pytest.fixture(scope="module")
def page(duluth):
    return run_load_html(duluth, "ip", buyer="<script>alert(1)</script>")


class Seen(HTMLParser):
    """Headings, table heads, pictures and addresses of a page."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.levels, self.addresses = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.tags.append((tag, found))
        if re.fullmatch(r"h[1-6]", tag):
            self.levels.append(int(tag[1]))
        self.addresses += [found[k] for k in ("src", "href", "xlink:href") if k in found]


def run_load_html(b, system, buyer=""):
    return as_html(about_run_load(b, buyer), system)


def run_load_record(b):
    return json.loads(json_text(about_run_load(b).values))


def xlsx(b, system):
    return as_xlsx(about_run_load(b), system)


def promise_lines(b, system):
    return [said(line, system) for line in promise_words.promise_lines(b)]


def month_rows(b):
    """The table by month as the page shows it."""
    table = about_run_load(b).tables["months"]
    return [[cell_text(c, x, "ip", False) for c, x in zip(table.columns, row, strict=True)] for row in table.rows]


def test_page_json_and_table_agree_to_the_shown_digits(duluth, page):
    record = json.loads(as_json(about_run_load(duluth)))
    cells = re.findall(r"<t[dh][^>]*>([^<]*)</t[dh]>", page)
    for m, row in enumerate(month_rows(duluth)[:12]):
        uses = month_uses(duluth)
        expected = [f"{record['month_kWh'][use][m]:,.0f}" for use in uses] + [f"{record['month_total_kWh'][m]:,.0f}"]
        assert list(row[1 : 2 + len(uses)]) == expected and row[4 + len(uses)] == f"${record['month_cost'][m]:,.0f}"
        whole = record["month_total_kWh"][m] + record["month_rest_kWh"][m]
        assert row[-2] == f"{whole:,.0f}" and row[-1] == f"${duluth.run.money.whole.month_cost[m]:,.0f}"
        at = cells.index(row[0])
        assert cells[at : at + len(row)] == list(row)
    assert f"{record['year_kWh']:,.0f} kWh a year" in page and f"${record['year_cost']:,.0f}" in page


def test_the_promise_box_says_what_the_year_says(duluth):
    lines, p = promise_lines(duluth, "ip"), duluth.promise
    assert p.plan is duluth.sized.plan and p.plan.verdict == "stops in the cold" and not p.why_not
    held = units.text(p.plan.held_C, "temperature", "ip")
    assert lines[0].startswith(f"Holds 70 °F down to {held} outdoors") and p.plan.held_paper_C < p.plan.held_C
    assert p.plan.heater_alone and f"a second heater of {p.plan.heater_W / 1000:.1f} kW" in lines[0]
    assert f"in {100 * p.plan.sure:.0f} of 100 houses built so" in lines[0]
    assert p.plan.held_C < p.coldest_outdoor_C and p.colder_h == 0 and "in no hour of a typical year" in lines[1]
    assert f"The second heater takes about {p.backup_kWh:,.0f} kWh a year" in lines[1] and p.backup_kWh > 0
    assert p.standing_h == round(duluth.sized.place.hours_below(p.lowest_C))
    assert f"The heat pump stops below {units.text(p.lowest_C, 'temperature', 'ip')}, " in lines[1]
    cord = next(line for line in lines if "cord" in line)
    assert "needs 240 V" in cord and f"a {p.plan.supply} supply carries it, the second heater too" in cord
    summer = next(line for line in lines if line.startswith("Holds 75 °F up to"))
    assert units.text(p.hot_held_C, "temperature", "ip") in summer and p.hot_held_C <= p.hot_held_paper_C
    assert p.hotter_h == int((duluth.run.hours["outdoor_C"] > p.hot_held_C).sum()) and not p.mainly_cools
    assert any("On the hottest day" in line and "85 °F after" in line for line in lines)
    both = promise_lines(duluth, "both")[0]
    assert f"70 °F (21.1 °C) down to {held} ({p.plan.held_C:.1f} °C)" in both


@pytest.mark.parametrize("unit, small", [("G06-C-230", True), ("G12-C-230", None), ("G24-C-230", None), ("G12-S-115", False)])
def test_every_promise_says_where_the_unit_stops_and_how_cold_it_gets(unit, small, duluth):
    """The stop, its hours as the sizing counts them, who carries the house then, the hours too cold, the coldest indoors."""
    b = promised(duluth, "Bozeman, MT", [f"unit={unit}"])
    p, words = b.promise, " ".join(promise_lines(b, "ip"))
    assert p.standing_h == round(b.sized.place.hours_below(b.run.candidate.unit.lowest_heating_C)) > 0
    lowest = units.text(p.lowest_C, "temperature", "ip")
    assert f"stops below {lowest}, about {p.standing_h} hours; then the second heater carries the house" in words
    too_cold = f"about {p.too_cold_h:,.0f} hours indoors are" if p.too_cold_h >= 0.5 else "no hour indoors is"
    assert f"{too_cold} below the set point" in words
    assert f"the coldest at {units.text(p.coldest_indoor_C, 'temperature', 'ip')}" in words
    assert p.plan.heater_alone and f"a second heater of {p.plan.heater_W / 1000:.1f} kW" in words
    assert (f"Verdict: {p.plan.verdict}; " in words) == (not p.plan.holds) == bool(p.why_not)
    assert small is None or (p.plan.verdict == "too small") == small


def test_the_cord_s_promise_is_the_supply_check_with_the_water_heater(houston):
    b = houston
    line = next(words for words in promise_lines(b, "ip") if "cord" in words)
    assert "water heater" in line and b.run.candidate.supply.cold.reason in line or b.run.candidate.supply.hot.reason in line
    says = next(f.says for f in run_load_figures(b) if f.key == "cord-hours")
    assert "Hourly averages, hot water with them" in says


def test_a_fall_names_the_first_limit_it_does_not_reach(houston):
    b = houston
    reached = [limit for limit, hours in b.cut.empty.hours_to if hours is not None]
    assert 0 < len(reached) < len(b.cut.empty.hours_to)
    spared = b.cut.empty.hours_to[len(reached)][0]
    assert f"but not to {units.text(spared, 'temperature', 'ip')} in ten days" in promise_lines(b, "ip")[-1]


def test_a_buyer_named_script_is_harmless(page):
    assert "<script" not in page and "&lt;script&gt;" in page


def test_the_page_is_whole_and_readable_by_machine(page):
    seen = Seen(page)
    assert seen.levels[0] == 1 and seen.levels.count(1) == 1
    assert all(b - a <= 1 for a, b in zip(seen.levels, seen.levels[1:], strict=False))
    assert all(a.startswith("#") for a in seen.addresses), "the page must fetch nothing"
    assert ("html", {"lang": "en"}) in seen.tags
    assert all("scope" in attributes for tag, attributes in seen.tags if tag == "th")
    pictures = [attributes for tag, attributes in seen.tags if tag == "svg"]
    assert len(pictures) == 6 and all(p["role"] == "img" and "aria-labelledby" in p for p in pictures)
    ids = [attributes["id"] for _, attributes in seen.tags if "id" in attributes]
    assert len(ids) == len(set(ids)), "ids repeat"
    assert page.count("<desc") == 6


def test_alt_texts_say_what_the_charts_say(duluth):
    says = {f.key: f.says for f in run_load_figures(duluth)}
    kWh = np.sum(list(duluth.run.load.month_kWh.values()), axis=0)
    assert f"{kWh.max():,.0f} kWh" in says["months"] and "January" in says["months"]
    assert f"{duluth.run.cord.highest_A:.1f} A" in says["cord-hours"]
    assert f"{duluth.run.load.year.hours['above 60% relative humidity']:,.0f} hours are above 60 %" in says["humidity"]


def test_the_same_page_twice(duluth, page):
    assert run_load_html(duluth, "ip", buyer="<script>alert(1)</script>") == page


# --- spreadsheet: recalculated by the library `formulas` ----------------------------------------------------------------------


def recalculated(raw, folder, yellow=None):
    """Every formula's cell (sheet, address) -> what the library makes of it, with other numbers in yellow cells."""
    formulas = pytest.importorskip("formulas", reason="the library formulas is not installed")
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(raw))
    for (sheet, cell), value in (yellow or {}).items():
        assert book[sheet][cell].fill.fgColor.rgb == "FFFFF4CC", cell
        book[sheet][cell] = value
    book.save(folder / "run.xlsx")
    found = formulas.ExcelModel().loads(str(folder / "run.xlsx")).finish().calculate()
    live = [
        (sheet.title, cell.coordinate)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.data_type == "f"
    ]
    return {(title, at): found[f"'[run.xlsx]{title.upper()}'!{at}"].value[0, 0] for title, at in live}


def kept(raw):
    """The values that stand beside the formulas."""
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(raw), data_only=True)
    return lambda title, at: book[title][at].value


ALWAYS = {"B3": 0.02, "B4": 12.0, "B5": 0.3, "B6": 40.0, "B7": 0.06, "B8": 3.1}  # on top, month, day, least, taxes, propane
OTHER_YELLOW = {
    "time-of-use": {**ALWAYS, "B11": 0.2, "B12": 0.5, "B13": 0.03},
    "tiered": {**ALWAYS, "B11": 150, "B12": 400, "C11": 0.2, "C12": 0.3, "C13": 0.5},
}


def with_yellow(kind):
    """The tariff that says the same as the changed cells."""
    y = OTHER_YELLOW[kind]
    keys = ("added_price", "monthly_charge", "daily_charge", "minimum_charge", "tax")
    more = "".join(f"{key} = {y[cell]}\n" for key, cell in zip(keys, ALWAYS, strict=False))
    if kind == "tiered":
        tiers = "".join(f"[[tiers]]\nup_to_kWh = {y[f'B{r}']}\nprice = {y[f'C{r}']}\n" for r in (11, 12))
        return f'kind = "tiered"\n{more}{tiers}[[tiers]]\nprice = {y["C13"]}\n'
    words = TARIFFS[kind].replace("monthly_charge = 9.5\n", more)
    for old, cell in (("0.12", "B11"), ("0.31", "B12"), ("0.07", "B13")):
        words = words.replace(f"price = {old}", f"price = {y[cell]}")
    return words


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("kind", list(OTHER_YELLOW))
def test_every_yellow_cell_changed_gives_the_workbook_of_a_run_with_those_prices(kind, duluth, tmp_path):
    """The library's numbers and sentences of the changed workbook are those of another run."""
    pytest.importorskip("xlsxwriter", reason="the papers extra is not installed")
    from heatcalc.supply.money import propane_price

    b = with_tariff(duluth, tmp_path, kind, most=4 if kind == "time-of-use" else 1)
    raw = xlsx(b, "ip")
    assert xlsx(b, "ip") == raw
    yellow = {("Price", cell): value for cell, value in OTHER_YELLOW[kind].items()}
    TARIFFS[f"{kind} otherwise"] = with_yellow(kind)
    c = with_tariff(b, tmp_path, f"{kind} otherwise")
    other, found = kept(xlsx(c, "ip")), recalculated(raw, tmp_path, yellow)
    gallons = OTHER_YELLOW[kind]["B8"] / propane_price("MN")[0]
    assert len(found) > 150 and {title for title, _ in found} >= {"Run load", "Changes", "Hours"}
    for (title, at), value in found.items():
        expected = other(title, at)
        if title == "Changes" and isinstance(expected, float) and expected == pytest.approx(b.fuels[2].cost):
            expected *= gallons
        assert (
            (value == expected) if isinstance(expected, str) else float(value) == pytest.approx(expected, rel=1e-9, abs=1e-9)
        ), (title, at)


def with_tariff(b, folder, kind, most=9):
    """The same year under another tariff, with at most so many changes and swings: every bill again, no walk."""
    from heatcalc.answers.sale.band import joined
    from heatcalc.inputs.supply.supply_record import load_tariff
    from heatcalc.supply.money import bill, compare_heat

    (folder / "other.toml").write_text(TARIFFS[kind])
    tariff = load_tariff(folder / "other.toml")

    def adds(tables):
        return np.subtract(bill(tables[0] + tables[1], tariff).month_cost, bill(tables[1], tariff).month_cost)

    run, rest = b.run.tables
    money = replace(b.run.money, tariff=tariff, whole=bill(run + rest, tariff), rest=bill(rest, tariff))
    again = replace(b.run, money=money)
    changes = tuple(
        replace(c, year_cost=(cost := float(adds(c.tables).sum())), more_cost=cost - money.year_cost) for c in b.changes[:most]
    )
    swings = tuple(replace(s, month_cost=np.array([adds(t) for t in s.tables])) for s in b.band.swings[:most])
    fuels = compare_heat(b.run.load.heat_kWh, b.run.load.heating_electricity_kWh, again.mean_price, "MN", tariff)
    return replace(b, run=again, changes=changes, fuels=fuels, band=joined(again, swings))


def test_another_currency_stands_on_every_surface_and_is_never_converted(duluth, tmp_path):
    """Page, record, figures' words and workbook in the tariff's money; propane without a price in it has none."""
    openpyxl = pytest.importorskip("openpyxl", reason="the test extra is not installed")

    b = with_tariff(duluth, tmp_path, "Canadian", most=1)
    page, record = run_load_html(b, "ip"), run_load_record(b)
    cost = f"CAD {record['year_cost']:,.0f}"
    assert record["currency"] == "CAD" and page.count(cost) >= 2 and "no price" in page
    assert not re.search(r"\$\d|US dollar| cents", page) and "A fixed charge of CAD 9.50 a month" in page
    assert record["fuels"][2]["cost"] is None and record["fuels"][2]["co2_kg"] > 0
    raw = xlsx(b, "ip")
    other, book = kept(raw), openpyxl.load_workbook(io.BytesIO(raw))
    words = [str(c.value) for sheet in book for row in sheet.iter_rows() for c in row if c.data_type == "s"]
    assert not any("US dollar" in w or re.search(r"\$\d", w) for w in words) and "cost [CAD]" in words
    assert any(cost in str(other("Run load", f"A{n}")) for n in range(18, 30))
    formats = {c.number_format for sheet in book for row in sheet.iter_rows() for c in row}
    assert '"CAD "#,##0.00' in formats and not any(f.startswith("$") for f in formats)


def test_warnings_stand_on_the_first_sheet_and_text_is_never_a_formula(duluth, tmp_path):
    openpyxl = pytest.importorskip("openpyxl", reason="the test extra is not installed")

    b = with_tariff(duluth, tmp_path, "time-of-use")
    book = openpyxl.load_workbook(io.BytesIO(xlsx(b, "ip")))
    first = [str(cell.value) for row in book.worksheets[0].iter_rows() for cell in row if cell.value]
    assert all(w.said("ip") in first if hasattr(w, "said") else w in first for w in b.house_warnings) and b.house_warnings
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.data_type == "s" and cell.value.startswith(("=", "+", "-", "@")):
                    assert cell.quotePrefix, f"{sheet.title}!{cell.coordinate} could run as a formula"


ORDER = (
    "What it takes to run",
    "Holds 70 °F (21.1 °C)",
    "Not promised",
    "Cost and cord",
    "January",
    "December",
    "Year",
    "What would change it?",
    "The coldest and the hottest day",
    "Through the year",
    "How sure is this?",
    "Cautions",
)


# --- the command -------------------------------------------------------------------------------------------------------------


def test_pdf_reads_in_order_on_two_pages(duluth, tmp_path, capsys):
    """By the command in Seattle; in the cold by what the command draws from."""
    pytest.importorskip("weasyprint", reason="the papers extra is not installed")
    out = tmp_path / "run-load.pdf"
    assert main(["sheet", "plover-26g", "--place", "Seattle, WA", "--units", "both", "-o", str(out)]) == 0
    (tmp_path / "cold.pdf").write_bytes(as_pdf(about_run_load(duluth), "both"))
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not on this machine")
    for file in (out, tmp_path / "cold.pdf"):
        text = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True).stdout
        places = [text.index(words) for words in ORDER]
        assert places == sorted(places)
        assert text.count("\f") == 2


def test_png_and_json_by_ending(duluth, tmp_path, monkeypatch, capsys):
    """The command with the answer of another place in hand, so that nothing is computed again."""
    monkeypatch.setattr("heatcalc.answers.sale.sale_answer.sized_case", lambda *_: duluth.sized)
    monkeypatch.setattr("heatcalc.answers.sale.buyer.tell", lambda *_: duluth)
    for name in ("a.png", "a.json"):
        assert main(["sheet", "--place", "Burlington, VT", "-o", str(tmp_path / name)]) == 0
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")
    record = json.loads((tmp_path / "a.json").read_text())
    assert record == json.loads(as_json(about_run_load(duluth)))
    assert sum(record["month_total_kWh"]) == pytest.approx(record["year_kWh"], rel=1e-12)


@pytest.mark.parametrize(
    "words, names",
    [
        (["plover-26g", "--place", "Burlington, VT", "-o", "x.docx"], "-o"),
        (["plover-26g", "-o", "x.html"], "--place"),
        (["plover-26g", "--place", "Burlington, VT", "--unit", "G12-C-23", "-o", "x.html"], 'did you mean "G12-C-230"'),
        (["plover-26g", "--place", "Burlington, VT", "--tariff", "none.toml", "-o", "x.html"], "no such file"),
        (["none.json", "-o", "x.html"], "no such file"),
    ],
)
def test_bad_input_is_one_line_and_writes_nothing(words, names, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", *words]) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1 and names in error
    assert list(tmp_path.iterdir()) == []


def test_no_year_is_promised_where_none_can_be_built(tmp_path, capsys):
    assert main(["sheet", "plover-26g", "--place", "Calgary, AB", "-o", str(tmp_path / "x.html")]) == 1
    assert "no year can be built" in capsys.readouterr().err


def test_a_promise_tells_of_the_months_in_which_the_house_stands_there(duluth):
    months, of_year = (5, 6, 7, 8, 9, 10), duluth.promise
    r = duluth.run.sized
    stays = replace(r.designer, place=replace(r.designer.place, months=months))
    run = replace(duluth.run, sized=replace(r, designer=stays))
    there, outdoor = in_months(months), duluth.run.hours["outdoor_C"]
    found = promise(run)
    assert found.coldest_outdoor_C == outdoor[there].min() > of_year.coldest_outdoor_C == outdoor.min()
    assert found.hottest_outdoor_C == of_year.hottest_outdoor_C == outdoor[there].max()
    assert found.coldest_indoor_C >= of_year.coldest_indoor_C and found.too_cold_h <= of_year.too_cold_h
    assert of_year.too_cold_h == pytest.approx(duluth.run.load.year.hours["too cold"])
    lines = [line for p in (found, of_year) for line in promise_lines(replace(duluth, promise=p), "ip")]
    assert sum("typical May to October" in line for line in lines) == sum("typical year" in line for line in lines) >= 2
    assert MONTH_OF_HOUR[cut_power(run).starts] + 1 in months and cut_power(duluth.run).starts == duluth.cut.starts
