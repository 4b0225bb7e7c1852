"""The pages of a sale and the sizing sheet under axe-core in a real Chromium: no serious accessibility fault."""

import pytest

from heatcalc.cli import main

axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
pytestmark = pytest.mark.optional


def test_axe_finds_no_serious_fault_on_any_page(tmp_path, browser):
    assert main(["papers", "--place", "05401", "-o", str(tmp_path)]) == 0
    pages = sorted(tmp_path.glob("*.html"))
    assert len(pages) >= 5
    for file in pages:
        # the pages forbid every script by their own policy; the examiner's is let in for the test alone
        page = browser.new_context(bypass_csp=True).new_page()
        page.goto(file.as_uri())
        found = axe.Axe().run(page).response["violations"]
        serious = [(v["id"], len(v["nodes"])) for v in found if v["impact"] in ("serious", "critical")]
        assert not serious, f"{file.name}: {serious}"
