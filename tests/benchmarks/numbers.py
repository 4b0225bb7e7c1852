"""What many cases cost: measures and writes docs/numbers.md.  `python -m tests.benchmarks.numbers`, a few minutes.

CPU seconds of one process (its own user and system time), after a first run that compiles and reads the tables.
"""

import json
import platform
import resource
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from heatcalc.answers.reach.reach_study import reach
from heatcalc.answers.study.many_orders import MOST, Order, answer_task, tasks_of
from heatcalc.face.sale_papers import order_papers
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sites import stations
from heatcalc.judge.sizing import size_house

PAGE = Path(__file__).resolve().parents[2] / "docs" / "numbers.md"
MANY, CORES = 10_000_000, 64
HEAD = """# What many cases cost

Measured {date} by `python -m tests.benchmarks.numbers` on {machine}: CPU seconds of one process, beside other work on the same
machine, so read them as orders of magnitude. A case is one house in one place judged with all {units} unit classes.

| what | cases measured | CPU s per 1,000 cases | {many:,} cases on one core | on {cores} cores |
|---|---|---|---|---|
"""
TAIL = """
- A row of `orders.jsonl` takes {row:,.0f} bytes: {many:,} rows are {disk:,.0f} GB before they are packed. The process
  that measured held at most {memory:,.0f} MB.
- An orders file holds at most 100,000 rows; rows are judged together, houses and places as arrays, some {most} a task, and
  each task's answers are written as it ends: a stopped run loses at most the tasks under way, and the same command goes on.
- `--workers N` spreads tasks over processes here, `--engine dask:ADDRESS` over a cluster; answers are equal to the bit.
- Cores are counted as if nothing waited; reading places by name and writing files is inside the figures, a network is not.
"""


def cpu(work: Callable[[], object]) -> float:
    """CPU seconds of a call."""
    start = time.process_time()
    work()
    return time.process_time() - start


def rows_of(count: int, houses: bool) -> list[Order]:
    """Orders at stations apart: of one house, or each of a house of its own."""
    sites = stations()
    step = len(sites) // count
    options = [f"air.tightness={2.0 + 0.01 * k:.2f} ACH50" if houses else "" for k in range(count)]
    return [
        Order(row=k, model="plover-26g", package="Breeze", place=sites.key[k * step], options=options[k]) for k in range(count)
    ]


def run(orders: list[Order], year: bool) -> list[dict]:
    """Their answers in this process."""
    return [record for task in tasks_of(orders, Path(), 0.9, year) for record in answer_task(task)]


def measured() -> tuple[list[tuple[str, int, float]], float]:
    """(what, cases, CPU seconds), and the bytes of a row."""
    house, some = load_house("plover-26g", (), "Breeze"), stations().take(slice(0, 1009, 25))
    run(rows_of(4, False), True), reach(None, ("Breeze",), where=some)  # first run: compiled, tables read
    answers = run(rows_of(200, False), False)
    with tempfile.TemporaryDirectory() as folder:
        sale = cpu(lambda: list(order_papers(rows_of(1, False), Path(), Path(folder), "ip", False)))
    found = [
        ("map of the country (`reach`), no year", 1009, cpu(lambda: reach(None, ("Breeze",)))),
        (
            "map with every place's year walked",
            len(some),
            cpu(lambda: reach(None, ("Breeze",), where=some, year=True, workers=1)),
        ),
        ("orders of one house in many places, no year", 200, cpu(lambda: run(rows_of(200, False), False))),
        ("orders of a house each, no year", 60, cpu(lambda: run(rows_of(60, True), False))),
        ("orders with the plan's year (`--year`)", 12, cpu(lambda: run(rows_of(12, False), True))),
        ("`size`, all plans and their years", 1, cpu(lambda: size_house(house, find_place("Duluth, MN")).plans)),
        ("every paper of an order (`--papers`)", 1, sale),
    ]
    return found, sum(len(json.dumps(r)) + 30 for r in answers) / len(answers)


def page() -> str:
    """The page as it is written."""
    found, row = measured()
    machine = f"{platform.machine()}, Python {platform.python_version()}"
    lines = [
        f"| {what} | {count:,} | {1000 * s / count:,.1f} | {_time(MANY * s / count)} | {_time(MANY * s / count / CORES)} |\n"
        for what, count, s in found
    ]
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    head = HEAD.format(date=datetime.now(UTC).date(), machine=machine, units=18, many=MANY, cores=CORES)
    return head + "".join(lines) + TAIL.format(row=row, many=MANY, disk=MANY * row / 1e9, memory=memory, most=MOST)


def _time(seconds: float) -> str:
    hours = seconds / 3600.0
    return f"{hours:,.1f} h" if hours < 48 else f"{hours / 24:,.0f} days"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(PAGE.read_text(encoding="utf-8"))
