"""Pages that hold long, foreign and hostile names, in a real browser: nothing runs, nothing leaves the page's width."""

import threading

import pytest

from heatcalc.cli import main
from heatcalc.commands.page import page_server
from tests.fuzz.commands import arguments_of
from tests.fuzz.mutations import patience
from tests.fuzz.test_security import ATTACK, attacking

pytestmark = pytest.mark.optional
# what a name may be: each holds the browser's own way of going wrong, several in one where they can stand together
NAMES = {
    "markup": ATTACK,
    "one long word": "W" * 80,
    "other writing": "שלום عليكم & <b> \u200f10\u200f" + "漢字" * 12 + "Z\u0301\u0302\u0303\u0304" * 5,
}
OUTSIDE = """() => [...document.querySelectorAll("body *")]
  .filter(e => !e.closest("svg, .wide") && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
  .map(e => e.tagName + ": " + e.textContent.slice(0, 40))"""


@pytest.fixture
def page(browser):
    made = browser.new_page()
    made.ran = []
    made.on("dialog", lambda dialog: (made.ran.append(dialog.message), dialog.dismiss()))
    made.on("pageerror", lambda problem: made.ran.append(str(problem)))
    yield made
    made.close()


def holds(page, where):
    for wide in (375, 1000):
        page.set_viewport_size({"width": wide, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= wide, (where, wide)
        assert page.evaluate(OUTSIDE) == [], (where, wide)
    assert page.ran == [], where


@pytest.mark.parametrize("name", NAMES)
def test_every_paper_holds_every_name(tmp_path, page, name):
    attacking(tmp_path, NAMES[name])
    words = [str(tmp_path / "house.toml"), "--place", "05401", "--buyer", NAMES[name], "-o", str(tmp_path / "papers")]
    assert main(["papers", *words]) == 0
    papers = sorted((tmp_path / "papers").glob("*.html"))
    assert len(papers) >= 5
    for paper in papers:
        page.goto(paper.as_uri())
        assert NAMES[name][:12] in page.inner_text("body"), paper.name
        holds(page, paper.name)


@pytest.mark.parametrize("name", NAMES)
def test_the_live_page_holds_every_name(tmp_path, page, name):
    attacking(tmp_path, NAMES[name])
    words = (str(tmp_path / "house.toml"), "--place", "05401", "--set", "site.front_faces=south")
    server = page_server(arguments_of("page", *words))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        page.goto(server.address)
        page.wait_for_selector("#first svg", timeout=patience(20_000))
        page.locator("#verdict", has_text=NAMES[name][:12]).wait_for(timeout=patience(20_000))
        holds(page, "live page")
    finally:
        server.shutdown()
        server.server_close()
