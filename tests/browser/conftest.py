"""One real browser for the tests of pages; skipped, with the reason, where there is none."""

import shutil

import pytest

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="module")
def browser():
    """A Chromium that starts, for the tests of one file."""
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed (extra: test)")
    chromium = next((found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None)
    if chromium is None:
        pytest.skip("no Chromium on this computer")
    with sync_api.sync_playwright() as play:
        try:
            made = play.chromium.launch(executable_path=chromium, args=FLAGS)
        except sync_api.Error as problem:
            pytest.skip(f"Chromium does not start here: {str(problem).splitlines()[0]}")
        yield made
        made.close()
