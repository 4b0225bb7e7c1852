"""The pages of a sale in a real Chromium: no serious accessibility fault; on a phone, enlarged, dark, forced colours, paper."""

import pytest

from heatcalc.cli import main

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
pytestmark = pytest.mark.optional

READ_BY_BUYERS = ("run-load.html", "owner.html", "quote.html")
LOOKS = {
    "phone": {"viewport": {"width": 320, "height": 640}, "is_mobile": True, "has_touch": True},
    "desk": {"viewport": {"width": 960, "height": 900}},
    "200 %": {"viewport": {"width": 640, "height": 450}, "device_scale_factor": 2},  # of a window 1,280 wide
    "dark": {"viewport": {"width": 1000, "height": 900}, "color_scheme": "dark"},
    "forced colours": {"viewport": {"width": 1000, "height": 900}, "color_scheme": "dark", "forced_colors": "active"},
}
OPEN = "document.querySelectorAll('details').forEach(e => { e.open = true })"
SIDEWAYS = "document.documentElement.scrollWidth - innerWidth"
OUT_OF_REACH = """[...document.querySelectorAll('table, svg, p, li, h2')].filter(e => {
  const r = e.getBoundingClientRect(), box = e.closest('.wide')
  return r.right > innerWidth + 1 && !(box && getComputedStyle(box).overflowX === 'auto')}).length"""
SCROLLS = "[...document.querySelectorAll('.wide')].filter(e => e.scrollWidth > e.clientWidth + 1).length"
FRAMES = """[...document.querySelectorAll('.answer')].map(e => getComputedStyle(e)).every(
  s => parseFloat(s.borderTopWidth) >= 1 && s.borderTopStyle === 'solid' && s.borderTopColor !== s.backgroundColor)"""
UNREAD = """[...document.querySelectorAll('h1, h2, p, li, th, td, caption')].filter(
  e => getComputedStyle(e).color !== 'rgb(255, 255, 255)').length"""  # axe does not know what the browser forces
PAPER = "[...document.querySelectorAll('svg')].every(e => e.querySelector('path').style.fill === 'rgb(255, 255, 255)')"


@pytest.fixture(scope="module")
def sale(tmp_path_factory):
    """The papers of one sale."""
    folder = tmp_path_factory.mktemp("sale")
    assert main(["papers", "--place", "05401", "-o", str(folder)]) == 0
    return folder


def serious(page):
    """Faults that keep someone from reading the page."""
    found = axe.Axe().run(page).response["violations"]
    return [(v["id"], len(v["nodes"])) for v in found if v["impact"] in ("serious", "critical")]


def test_axe_finds_no_serious_fault_on_any_page(sale, browser):
    pages = sorted(sale.glob("*.html"))
    assert len(pages) >= 5
    page = browser.new_context(bypass_csp=True).new_page()
    for file in pages:
        # the pages forbid every script by their own policy; the examiner's is let in for the test alone
        page.goto(file.as_uri())
        assert not serious(page), f"{file.name}: {serious(page)}"


@pytest.mark.parametrize("look", LOOKS)
def test_a_buyer_s_pages_are_read_in_every_way_of_looking(look, sale, browser):
    """Nothing sideways of the window but tables in boxes that scroll, contrast as axe measures it, and frames that stay seen."""
    page = browser.new_context(bypass_csp=True, **LOOKS[look]).new_page()
    for name in (*READ_BY_BUYERS, "sizing.html") if look in ("phone", "desk") else READ_BY_BUYERS:
        page.goto((sale / name).as_uri())
        page.evaluate(OPEN)
        assert page.evaluate(SIDEWAYS) <= 0, f"{name} scrolls sideways"
        assert look != "desk" or page.evaluate(SCROLLS) == 0, f"{name} hides columns on a desk"
        assert page.evaluate(OUT_OF_REACH) == 0, f"{name} is cut off"
        assert page.evaluate(FRAMES) and page.evaluate(PAPER), name
        if look == "forced colours":
            assert page.evaluate(UNREAD) == 0, name
        elif look not in ("200 %", "desk") and name == READ_BY_BUYERS[0]:
            assert not serious(page), f"{name}: {serious(page)}"


def test_print_loses_nothing(sale, browser):
    """What a browser prints holds every heading, every caution and the last line."""
    pdfium = pytest.importorskip("pypdfium2", reason="the papers extra is not installed")
    page = browser.new_context().new_page()
    for name in READ_BY_BUYERS:
        page.goto((sale / name).as_uri())
        said = page.locator("h1, h2, figcaption, .caution li, .answer p, p.small").all_inner_texts()
        printed = pdfium.PdfDocument(page.pdf(prefer_css_page_size=True))
        text = "".join("".join(printed[k].get_textpage().get_text_range().split()) for k in range(len(printed)))
        lost = [
            words for words in said if "".join(words.split()).replace("-", "") not in text.replace("-", "").replace("\ufffe", "")
        ]
        assert not lost and len(said) > 5, f"{name}: {lost}"
