"""Nothing a file says runs, leaves its folder, or reaches a page unescaped."""

from __future__ import annotations

import csv
import re
import tomllib
from html.parser import HTMLParser

import pytest

from heatcalc.cli import main
from heatcalc.errors import InputError
from heatcalc.files import folder, write_together
from heatcalc.inputs.house.house_file import house_from, load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.unit.unit_file import read_unit
from heatcalc.judge.sizing import size_house
from heatcalc.render.as_files import as_files
from heatcalc.render.as_html import as_html
from heatcalc.report.about_size import about_size
from tests.fuzz.mutations import CANARY
from tests.fuzz.test_readers import as_toml

ATTACK = "'\"><img src=x onerror=alert(1)></svg><script>alert(2)</script>{{7717*7717}}&<b>"  # 79 of 80 characters
WALL = (
    '["{name}"]\nkind = "wall"\ntitle = "t"\nsource = "s"\nlayers = [{{ name = "foam", thickness = "4 in", r_value = "R-20" }}]\n'
)


class _Tags(HTMLParser):
    """Names of elements and every attribute name."""

    def __init__(self):
        super().__init__()
        self.tags, self.attributes = set(), set()

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}


def attacking(tmp_path, attack):
    """What a house file says that holds the attack wherever it may hold words; its unit and assembly files lie beside it."""
    unit = (folder("workbooks") / "units" / "G18-C-230.csv").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^name,.*$", 'name,"' + attack.replace('"', '""') + '"', unit)
    (tmp_path / "unit.csv").write_text(
        re.sub(r"(?m)^source,.*$", 'source,"' + attack.replace('"', '""') + '"', text), encoding="utf-8"
    )
    quoted = attack.replace("\\", "\\\\").replace('"', '\\"')
    (tmp_path / "walls.toml").write_text(WALL.format(name=quoted), encoding="utf-8")
    said = tomllib.loads((folder("workbooks") / "houses" / "plover-26g.toml").read_text(encoding="utf-8"))
    said["packages"] = {attack: {}, f"other {attack[:40]}": {"air": {"tightness": "2 ACH50"}}}
    said |= {
        "name": attack,
        "note": attack,
        "package": attack,
        "units": "unit.csv",
        "unit": attack,
        "assemblies": {"wall": attack, "file": "walls.toml"},
    }
    for box in said["boxes"]:
        box["name"] = f"0{attack}"[:60]
    for number, window in enumerate(said["windows"], 1):
        window["name"] = f"{number}{attack}"[:60]
        if "box" in window:
            window["box"] = f"0{attack}"[:60]
    said["thermal_bridges"] = [{"name": attack, "psi": "0.1 W/mK", "length": "10 ft"}]
    said["design"] = {"heating": "-9 F", "source": attack}
    said["site"] = {"front_faces": "south"}  # one way to stand: an eighth of the work
    said["tariff"] = {"name": attack, "price": 0.2, "source": attack}
    (tmp_path / "house.toml").write_text(as_toml(said), encoding="utf-8")
    return said


@pytest.fixture(scope="module")
def attacked(tmp_path_factory):
    room = tmp_path_factory.mktemp("attack")
    return size_house(house_from(attacking(room, ATTACK)), find_place("Burlington, VT"), folder=room, walk=False)


def _harmless(page: str) -> None:
    found = _Tags()
    found.feed(page)
    assert "img" not in found.tags and not {a for a in found.attributes if a.startswith("on")}
    assert "<script>alert" not in page and "<img" not in page


def test_names_are_escaped_in_the_sizing_sheet(attacked):
    page = as_html(about_size(attacked), "ip")
    assert "&lt;img" in page
    _harmless(page)


def test_names_are_escaped_in_written_files(attacked, tmp_path):
    for path in write_together(tmp_path, as_files(about_size(attacked), "si")):
        if path.suffix in (".html", ".svg"):
            _harmless(path.read_text(encoding="utf-8"))


def test_names_are_escaped_in_the_run_load_page():
    from heatcalc.answers.sale.buyer import tell
    from heatcalc.report.about_run_load import about_run_load

    plain = size_house(load_house(None, [f"name={ATTACK}"]), find_place("Burlington, VT"), walk=False)
    _harmless(as_html(about_run_load(tell(plain), ATTACK, ATTACK), "ip"))


WRITERS = {
    "size": ["-o", "out"],
    "loads": ["-o", "out"],
    "year": ["-o", "out", "--hourly", "out/hours.csv"],
    "sheet": ["-o", "out/sheet.html", "--buyer", ATTACK],
    "papers": ["-o", "out", "--buyer", ATTACK],
    "compare": ["-o", "out"],
    "reach": ["-o", "out", "--package", ATTACK],
    "supply": [],
    "explain": [],
}


@pytest.mark.parametrize("command", WRITERS)
def test_no_page_or_picture_of_any_command_takes_a_name_for_markup(tmp_path, monkeypatch, command):
    monkeypatch.chdir(tmp_path)
    attacking(tmp_path, ATTACK)
    place = [] if command == "reach" else ["--place", "05401"]
    assert main([command, "house.toml", *place, *WRITERS[command]]) == 0
    pages = [p for p in tmp_path.rglob("*") if p.suffix in (".html", ".svg")]
    assert pages or command in ("compare", "reach", "supply", "explain")
    for page in pages:
        _harmless(page.read_text(encoding="utf-8"))
        assert "<b>" not in page.read_text(encoding="utf-8") and "59552089" not in page.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("package", "unit", "where"),
    [("=HYPERLINK(A1)", "@SUM(A1)", []), ("+1+1", "-2+A1", ["--places", "places.txt"])],
    ids=["every station", "a few places"],
)
def test_no_table_file_holds_a_formula(tmp_path, monkeypatch, package, unit, where):
    monkeypatch.chdir(tmp_path)
    said = attacking(tmp_path, unit)
    said["packages"] = {package: {}}
    (tmp_path / "house.toml").write_text(as_toml(said), encoding="utf-8")
    (tmp_path / "places.txt").write_text("05401\n55802\n85001\n", encoding="utf-8")
    assert main(["reach", "house.toml", f"--package={package}", f"--unit={unit}", *where, "-o", "out"]) == 0
    rows = list(csv.reader((tmp_path / "out" / "reach.csv").read_text(encoding="utf-8").splitlines()))
    assert len(rows) > (3 if where else 500) and all(any(f"'{name}" in row for row in rows) for name in (package, unit))
    for cell in (cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@"))):
        float(cell)


@pytest.mark.parametrize("name", ["W" * 80, "größer " * 11], ids=["a word", "words"])
def test_a_long_name_leaves_the_figures_their_room(tmp_path, monkeypatch, recwarn, name):
    monkeypatch.chdir(tmp_path)
    attacking(tmp_path, name.strip())
    for command in ("size", "year", "compare"):
        assert main([command, "house.toml", "--place", "05401", "-o", "out"]) == 0
    assert not [w for w in recwarn if "layout" in str(w.message)]


@pytest.mark.parametrize(
    "name", ["$x^{$ and $\\frac{1}$", "{power:1.2.3} {length:9} {nothing:1}", "%s %(x)s {0}", "日本 😀", "=1+1", "&amp;"]
)
def test_a_name_is_only_a_name(tmp_path, name):
    house = load_house(None, [], None).model_copy(update={"name": name, "note": name})
    result = size_house(house, find_place("Burlington, VT"), walk=False)
    written = write_together(tmp_path, as_files(about_size(result), "ip"))
    assert len(written) > 3 and name.split()[0].replace("&", "&amp;") in (tmp_path / "size.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("text", ["\x1b[2J", "a\x07", "\u202eabc"])
@pytest.mark.parametrize("field", ["name", "note", "package", "windows.0.name", "boxes.0.name"])
def test_characters_that_steer_a_terminal_are_refused(text, field):
    escaped = "".join(f"\\u{ord(c):04x}" for c in text)
    with pytest.raises(InputError) as problem:
        load_house(None, [f'{field}="{escaped}"'])
    assert not set(text) & set("\x1b\x07\u202e") & set(str(problem.value))


def test_nothing_that_is_said_runs(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    for words in (
        ["size", "--set", f"name={CANARY}"],
        ["size", "--set", f"air.tightness={CANARY}"],
        ["place", CANARY],
        ["unit", CANARY],
        ["run", "size_heat_pump", "-p", f"units={CANARY}\nimport os"],
        ["assembly", CANARY],
        ["size", "--set", "name=$(touch canary)"],
        ["bridge", "`touch canary`"],
    ):
        if words[0] != "run":
            main(words)
    from heatcalc.notebooks import read_parameters

    assert read_parameters([f"place={CANARY}"], {"place": "x"}) == {"place": CANARY}
    capsys.readouterr()
    assert not list(tmp_path.iterdir())


OUTSIDE = [
    "../secret.toml",
    "/etc/passwd",
    "sub/../../secret.toml",
    "link.toml",
    "linked/secret.toml",
    "~/secret.toml",
    "\\\\host\\x.toml",
]


@pytest.mark.parametrize("said", OUTSIDE)
@pytest.mark.parametrize("field", ["assemblies.file", "units"])
def test_paths_of_a_house_stay_in_its_folder(tmp_path, said, field):
    (tmp_path / "secret.toml").write_text(WALL.format(name="secret"), encoding="utf-8")
    home = tmp_path / "home"
    home.mkdir()
    (home / "link.toml").symlink_to(tmp_path / "secret.toml")
    (home / "linked").symlink_to(tmp_path)
    house = load_house(None, []).model_copy(update={"units": said} if field == "units" else {})
    if field == "assemblies.file":
        house = house.model_copy(update={"assemblies": house.assemblies.model_copy(update={"file": said})})
    with pytest.raises(InputError) as problem:
        size_house(house, find_place("Burlington, VT"), folder=home, walk=False)
    assert "secret wall" not in str(problem.value)


def test_a_link_inside_the_folder_is_followed(tmp_path):
    (tmp_path / "mine.csv").write_bytes((folder("workbooks") / "units" / "example_submittal.csv").read_bytes())
    (tmp_path / "unit.csv").symlink_to("mine.csv")
    from heatcalc.judge.sizing import candidates_of

    assert read_unit(tmp_path / "unit.csv").name in candidates_of(load_house(None, ["units=unit.csv"]), tmp_path)


def test_a_spreadsheet_holds_no_formula_that_a_name_wrote(tmp_path):
    pytest.importorskip("xlsxwriter")
    openpyxl = pytest.importorskip("openpyxl")
    from heatcalc.answers.sale.buyer import tell
    from heatcalc.render.as_xlsx import as_xlsx
    from heatcalc.report.about_run_load import about_run_load

    house = load_house(
        None, ["name==HYPERLINK(A1)", "note=@SUM(A1)", "tariff.price=0.2", "tariff.name=+1+1", "tariff.source=-2+A1"]
    )
    raw = as_xlsx(about_run_load(tell(size_house(house, find_place("Burlington, VT"), walk=False))), "ip")
    (tmp_path / "x.xlsx").write_bytes(raw)
    for sheet in openpyxl.load_workbook(tmp_path / "x.xlsx").worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f" or not re.search(r"HYPERLINK|@SUM|\+1\+1", str(cell.value))
