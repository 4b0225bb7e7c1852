"""Generated cases on any machine, and what a run says at its end: how many mutated inputs were tried, and how long that took."""

from hypothesis import HealthCheck, settings
from pytest import TestReport

# no generated case is a failure for being slow: a loaded machine is not wrong
settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")


def pytest_terminal_summary(terminalreporter):
    """One line, counted by the tests themselves (tests/fuzz/conftest.py)."""
    reports = [r for found in terminalreporter.stats.values() for r in found if isinstance(r, TestReport)]
    ended = [r for r in reports if r.when == "teardown"]
    counts = {r.nodeid: n for r in ended for name, n in r.user_properties if name == "mutated" and n}
    if counts:
        seconds = sum(r.duration for r in reports if r.nodeid in counts)
        terminalreporter.write_line(f"{sum(counts.values()):,} mutated inputs in {len(counts)} tests, {seconds:.0f} s")
    for report in ended:
        for name, words in report.user_properties:
            if name == "meaning":
                terminalreporter.write_line(f"human mistakes planted one in a file: {words}")
