"""`heatcalc papers`: the whole set, and a saved case that writes it again byte for byte."""

import json
import re
from dataclasses import replace
from itertools import zip_longest

import pytest

from heatcalc.answers.sale.sale_answer import case_from_files, sale_of, used_assemblies
from heatcalc.cli import main
from heatcalc.face.sale_papers import write_papers
from heatcalc.files import folder
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.cases import Case
from heatcalc.render.as_html import as_html
from heatcalc.render.as_pdf import pdf
from heatcalc.report.about_shop import assemblies_paper
from heatcalc.report.about_size import about_size
from heatcalc.report.report import Sentence
from heatcalc.wording import said

PAGES = ("sizing.html", "run-load.html", "circuits.html", "assemblies.html", "shop-card.html", "owner.html", "quote.html")


@pytest.fixture(scope="module")
def sold(tmp_path_factory):
    """A sale of a house with its own unit file, and the folder of its papers; the house's files are gone since."""
    own, out = tmp_path_factory.mktemp("own"), tmp_path_factory.mktemp("papers")
    unit = (folder("workbooks") / "units" / "example_submittal.toml").read_text(encoding="utf-8")
    house = (folder("workbooks") / "houses" / "plover-26g.toml").read_text(encoding="utf-8")
    (own / "my-unit.toml").write_text(unit, encoding="utf-8")
    (own / "house.toml").write_text('units = "my-unit.toml"\nunit = "Example submittal 12"\n' + house, encoding="utf-8")
    changes, package = ("colours.siding=dark", "assemblies.door=Foam-core door"), "Breeze, tight and skirted"
    case = case_from_files(own / "house.toml", "Houston, TX", changes, package, units="both", buyer="<script>alert(1)</script>")
    for file in own.iterdir():
        file.unlink()
    sales = sale_of(case)
    write_papers(sales, out / "one")
    return sales[0], out


@pytest.fixture(scope="module")
def set_of_papers(sold):
    return sold[1]


def test_every_paper_is_there_and_escaped(set_of_papers):
    for name in PAGES:
        text = (set_of_papers / "one" / name).read_text(encoding="utf-8")
        assert text.count("<h1") == 1 and "<script" not in text
        assert not re.search(r'(?:src|href)="(?!#|data:)', text), "a paper must fetch nothing"


def test_a_picture_of_the_sheet_s_first_page_needs_no_pdfs(sold, tmp_path, monkeypatch):
    """The sheet alone is printed for it, and not kept."""
    printed = []
    monkeypatch.setattr("heatcalc.render.as_pdf.pdf", lambda page, paper: printed.append(page) or b"pdf")
    monkeypatch.setattr("heatcalc.render.as_pdf.first_page", lambda made: b"png of " + made)
    write_papers([sold[0]], tmp_path, also_png=True)
    assert (tmp_path / "run-load.png").read_bytes() == b"png of pdf" and not list(tmp_path.glob("*.pdf"))
    assert printed == [(tmp_path / "run-load.html").read_text(encoding="utf-8")]


def test_a_saved_case_writes_the_same_bytes(set_of_papers):
    """By the command, from case.json alone: the house's own unit file travels in it."""
    assert main(["papers", str(set_of_papers / "one" / "case.json"), "-o", str(set_of_papers / "two")]) == 0
    files = sorted(p.name for p in (set_of_papers / "one").iterdir())
    assert sorted(p.name for p in (set_of_papers / "two").iterdir()) == files and "sizing-si.html" in files
    for name in files:
        assert (set_of_papers / "one" / name).read_bytes() == (set_of_papers / "two" / name).read_bytes(), name
    assert "Example submittal 12: by its own table" in (set_of_papers / "one" / "run-load.html").read_text(encoding="utf-8")


def test_sheet_and_case_agree(set_of_papers):
    record = json.loads((set_of_papers / "one" / "case.json").read_text(encoding="utf-8"))
    assert set(record) == {"kind", "versions", "inputs_sha256", "inputs", "results"}
    assert "heatcalc" in record["versions"] and "numpy" in record["versions"]
    main(["sheet", str(set_of_papers / "one" / "case.json"), "-o", str(set_of_papers / "sheet.html")])
    assert (set_of_papers / "sheet.html").read_bytes() == (set_of_papers / "one" / "run-load.html").read_bytes()
    run = record["results"]["run_load"]
    quote = (set_of_papers / "one" / "quote.html").read_text(encoding="utf-8")
    assert f"{run['year_kWh']:,.0f} kWh" in quote and f"${run['year_cost']:,.0f}" in quote
    assert record["inputs_sha256"][:16] in quote
    price = record["inputs"]["house"]["packages"]["Breeze, tight and skirted"]["price"]
    assert f'<td class="n" data-head="price">+${price:,.0f}</td>' in quote


def test_papers_hold_what_they_are_for(set_of_papers):
    text = {name: (set_of_papers / "one" / name).read_text(encoding="utf-8") for name in PAGES}
    for words in ("where the load method counts it", "Design cold", "May this run as well?", "Refrigerant in a small room"):
        assert words in text["circuits.html"]
    for words in ("Breeze wall", "Breeze roof", "Breeze floor", "ACH50"):
        assert words in text["assemblies.html"]
    for words in (
        "Damp air in winter",
        "dehumidifier",
        "Heat pump and ice",
        "Power cuts and freezing",
        "Before and after a move",
    ):
        assert words in text["owner.html"]
    assert "carbon monoxide" in text["owner.html"].lower()


@pytest.mark.parametrize(
    "change, words",
    [
        (lambda r: r["inputs"].update(place="Duluth, MN"), "no longer match their hash"),
        (lambda r: r["inputs"].pop("house"), "inputs hold exactly"),
        (lambda r: r.update(kind="other"), "is not a saved case"),
        (lambda r: r["inputs"].update(files={"../up.toml": "x"}), "hash"),
    ],
)
def test_a_changed_case_is_refused(set_of_papers, tmp_path, capsys, change, words):
    record = json.loads((set_of_papers / "one" / "case.json").read_text(encoding="utf-8"))
    change(record)
    (tmp_path / "case.json").write_text(json.dumps(record))
    assert main(["papers", str(tmp_path / "case.json"), "-o", str(tmp_path / "out")]) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1 and words in error and not (tmp_path / "out").exists()


def test_a_case_takes_no_changes(set_of_papers, capsys):
    assert (
        main(["papers", str(set_of_papers / "one" / "case.json"), "--place", "Duluth, MN", "-o", str(set_of_papers / "x")]) == 2
    )
    assert "says everything itself" in capsys.readouterr().err


def read_back(page, paper):
    """A page's PDF: its text a sheet of paper, without the places where lines break."""
    pdfium = pytest.importorskip("pypdfium2", reason="the papers extra is not installed")
    pytest.importorskip("weasyprint", reason="the papers extra is not installed")
    made = pdfium.PdfDocument(pdf(page, paper))
    return ["".join(made[k].get_textpage().get_text_range().split()) for k in range(len(made))]


@pytest.mark.parametrize("system, paper", [("ip", "letter"), ("si", "a4")])
def test_the_sizing_reads_whole_on_three_numbered_pages(sold, system, paper):
    """Every word of every head and sentence, and each page's number."""
    report = about_size(sold[0].sized)
    text = read_back(as_html(report, system, fold=False), paper)
    assert len(text) <= 3 and all(f"{k}/{len(text)}" in one for k, one in enumerate(text, 1))
    heads = {
        word for key, t in report.tables.items() if key != "assumptions" for c in t.columns for word in _words(c.head, system)
    }
    told = {word for item in report.items if isinstance(item, Sentence) for word in _words(item.words, system)}
    lost = [word for word in heads | told if "".join(word.split()) not in "".join(text).replace("\ufffe", "-")]
    assert len(heads | told) > 100 and not lost


def _words(words, system):
    return said(words, system).split()


def test_the_shop_s_and_the_buyer_s_sheets_fit_two_pages(sold, set_of_papers):
    for name in ("shop-card", "circuits", "run-load", "owner", "quote"):
        page = (set_of_papers / "one" / f"{name}.html").read_text(encoding="utf-8")
        assert len(read_back(page, "letter")) <= 2, name


def test_every_shelf_assembly_of_every_kind_has_its_card(sold):
    """As many houses as the longest kind has assemblies; each card is drawn into the paper."""
    sale, seen, shelf, place = sold[0], set(), load_assemblies(), find_place("Houston, TX")
    kinds = ("wall", "roof", "floor", "window", "door")
    for names in zip_longest(*([a.name for a in shelf.values() if a.kind == kind] for kind in kinds)):
        changes = [f'assemblies.{kind}="{name}"' for kind, name in zip(kinds, names, strict=True) if name]
        all_used = used_assemblies(Case(house=load_house(None, changes), places=(place,)).designers[0])
        used = tuple(u for u in all_used if u.answer.name not in seen)
        paper = as_html(assemblies_paper(replace(sale, used=used)), "both")
        assert all(name in paper for name in names if name)
        seen |= {u.answer.name for u in used}
    assert seen == set(shelf)


def test_out_must_be_a_folder(tmp_path, capsys):
    (tmp_path / "file").write_text("x")
    assert main(["papers", "plover-26g", "--place", "Denver, CO", "-o", str(tmp_path / "file")]) == 2
    assert "name a folder" in capsys.readouterr().err and (tmp_path / "file").read_text() == "x"


ORDERS = """reference,model,package,place,supply,unit,options
A/1,plover-26g,Breeze,"Tucson, AZ",,,
A-2,plover-26g,Hearth,"Bangor, ME",50 A 120/240 V,,
A-3,plover-26g,Hearh,"Duluth, MN",,,
"""


@pytest.fixture(scope="module")
def of_orders(tmp_path_factory):
    """A folder of papers for all orders, and its exit code."""
    folder = tmp_path_factory.mktemp("orders")
    (folder / "orders.csv").write_text(ORDERS, encoding="utf-8")
    return folder, main(["orders", str(folder / "orders.csv"), "--papers", str(folder / "sales")])


def test_every_order_has_its_papers_one_index_leads_to_them_and_a_bad_row_is_told(of_orders, capsys):
    folder, code = of_orders
    sales = folder / "sales"
    index = (sales / "index.html").read_text(encoding="utf-8")
    links = re.findall(r'href="([^"#]+)"', index)
    assert code == 2 and len(links) == 2 * 7 and all((sales / link).is_file() for link in links)
    assert "row 4 (A-3)" in index and "did you mean &#34;Hearth&#34;?" in index
    assert {p.name for p in sales.iterdir()} == {"0002-A-1", "0003-A-2", "index.html"}
    assert "For A/1" in (sales / "0002-A-1" / "quote.html").read_text(encoding="utf-8")


def test_a_stopped_run_goes_on_with_what_is_missing(of_orders, capsys):
    folder, _ = of_orders
    before = {p: p.stat().st_mtime_ns for p in (folder / "sales").rglob("*.html") if p.name != "index.html"}
    assert main(["orders", str(folder / "orders.csv"), "--papers", str(folder / "sales")]) == 2
    out, err = capsys.readouterr()
    assert "papers of 2 orders, 1 row to mend" in out and err.count("\n") == 1 and err.startswith("row 4: ")
    assert {p: p.stat().st_mtime_ns for p in before} == before
    assert main(["orders", str(folder / "orders.csv"), "--order", "A-9", "--papers", str(folder / "sales")]) == 2
    assert "is no reference" in capsys.readouterr().err


def test_the_shop_card_places_and_has_fields_to_fill(of_orders):
    card = (of_orders[0] / "sales" / "0003-A-2" / "shop-card.html").read_text(encoding="utf-8")
    for words in ("line length and lift", "8.5 ft", "warm layer", "the unit&#39;s manual", "dB(A)", "fan test", "Bath"):
        assert words in card
    assert card.count("________") >= 10


def test_in_a_hot_place_the_heat_comes_first_and_everywhere_its_half_is_there(of_orders):
    hot, cold = (read_papers(of_orders[0] / "sales" / name) for name in ("0002-A-1", "0003-A-2"))
    assert hot["run-load"].index("Holds 75 °F up to") < hot["run-load"].index("Holds 70 °F down to")
    assert cold["run-load"].index("Holds 70 °F down to") < cold["run-load"].index("Holds 75 °F up to")
    assert hot["owner"].index("Heat in summer") < hot["owner"].index("Damp air in winter")
    for papers in (hot, cold):
        assert (
            "Heat makes people ill" in papers["owner"] and "leave it on" in papers["owner"] and "Switched off" in papers["owner"]
        )
        assert "run the fan longer" not in papers["owner"]
    for change in ("cool to 78 °f", "blinds", "awning"):
        assert change in hot["run-load"].lower()


def read_papers(folder):
    """Buyer's sheet and owner's paper as words: no style, no drawing."""
    import html

    found = {}
    for name in ("run-load", "owner"):
        text = re.sub(r"(?s)<(style|svg)\b.*?</\1>", " ", (folder / f"{name}.html").read_text(encoding="utf-8"))
        found[name] = html.unescape(re.sub(r"<[^>]+>", " ", text))
    return found


NOT_FOR_BUYERS = [
    "sensible",
    "latent",
    "enthalpy",
    "infiltration",
    "fenestration",
    "psychrometric",
    "turndown",
    "kriging",
    "percentile",
]
NOT_FOR_BUYERS += [
    "sigma",
    "quantile",
    "envelope",
    "conductance",
    "ACH50",
    "SHGC",
    "COP",
    "HSPF",
    "SEER",
    "MCA",
    "MOP",
    "kBtu",
    "UA",
]
NOT_FOR_BUYERS += [
    "stratification",
    "hygrothermal",
    "emissivity",
    "transmittance",
    "standard deviation",
    "design load",
    "wet bulb",
]
NOT_FOR_BUYERS += ["balance point", "U-value", "99 %", "residual"]


def test_buyers_meet_plain_words(of_orders, set_of_papers):
    """The sheet and the owner's paper of three places hold no word of the trade that a buyer must look up."""
    folders = [of_orders[0] / "sales" / "0002-A-1", of_orders[0] / "sales" / "0003-A-2", set_of_papers / "one"]
    met = {
        (folder.name, name, word)
        for folder in folders
        for name, text in read_papers(folder).items()
        for word in NOT_FOR_BUYERS
        if re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text)
    }
    assert not met
