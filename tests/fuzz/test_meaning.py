"""Plausible but wrong: every human mistake of the list is refused, asked about, or cannot be known; then 2,000 at random."""

from __future__ import annotations

import random
from collections import Counter
from functools import cache

import pytest

from heatcalc.answers.study import many_orders as orders
from heatcalc.errors import InputError
from heatcalc.inputs.checked import check
from heatcalc.inputs.house.house_file import house_from
from heatcalc.inputs.log.log_file import read_log
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.supply.supply_record import Tariff
from heatcalc.inputs.unit.unit_file import read_unit
from heatcalc.inputs.usual import asked_of_unit, doubts_of, doubts_of_house, doubts_of_site
from heatcalc.tables import rows
from tests.fuzz import mistakes_in_files as files
from tests.fuzz.mistakes import ASKED, PLACE, REFUSED, UNKNOWABLE, Mistake
from tests.fuzz.mistakes_in_houses import HOUSE_MISTAKES, valid_house
from tests.fuzz.mutations import tried

CASES = 2000
MISTAKES = (*HOUSE_MISTAKES, *files.FILE_MISTAKES)
MOST_MISSED = 0.02
VALID = {
    "house": valid_house,
    "tariff": files.valid_tariff,
    "tiers": files.valid_tiers,
    "periods": files.valid_periods,
    "unit": files.valid_unit,
    "log": files.valid_log,
    "orders": files.valid_orders,
}
TEXT = {"unit": files.unit_text, "log": files.log_text, "orders": files.orders_text}
place_found = cache(find_place)  # a place that is refused is looked up again


def questions(kind: str, said, folder) -> set[str]:
    """What is asked about a file.  Raises InputError where it is refused."""
    if kind == "house":
        house = house_from(said)
        asked = (*doubts_of_house(house), *doubts_of_site(house, place_found(PLACE)))
        return {str(q) for q in asked if "changes nothing here" not in q}
    if kind in ("tariff", "tiers", "periods"):
        return set(map(str, doubts_of(check(Tariff, said, "tariff"), "tariff")))
    file = folder / f"{kind}.csv"
    file.write_text(TEXT[kind](said), encoding="utf-8")
    if kind == "orders":
        return set(asked_of_orders(file))
    return set(map(str, asked_of_unit(read_unit(file)) if kind == "unit" else doubts_of(read_log(file), "log")))


def asked_of_orders(file):
    """What is asked about the rows of an orders file, nothing computed.  Raises InputError where a row is refused."""
    rows = orders.read_orders(file)
    yield from (words for asked in orders.given_twice(rows).values() for words in asked)
    for order in rows:
        place = orders.place_of(order, place_found)
        yield from orders.asked_of(orders.case_of(order, str(file.parent), (place,)).house, (place,))[0]


def ending(mistake: Mistake, seed: int, folder) -> str:
    """How a valid file with one mistake ends: refused, asked, or silent; nothing is asked of a valid one."""
    rng = random.Random(seed)
    said = VALID[mistake.record](rng)
    mistake.done(said, rng)
    tried.one()
    try:
        return ASKED if questions(mistake.record, said, folder) else "silent"
    except InputError as problem:
        assert "\n" not in str(problem)
        return REFUSED


@pytest.mark.parametrize("kind", VALID)
def test_valid_files_raise_no_question(kind, tmp_path):
    for seed in range({"house": 300, "unit": 5, "log": 3}.get(kind, 30)):
        assert questions(kind, VALID[kind](random.Random(seed)), tmp_path) == set(), seed


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: f"{m.record}: {m.name}")
def test_every_mistake_ends_as_said(mistake, tmp_path):
    """At the first seeds: caught as the list says, or silent where it says that it cannot be known, and why."""
    ends = {ending(mistake, seed, tmp_path) for seed in range(3)}
    if mistake.end == UNKNOWABLE:
        assert mistake.why
    else:
        assert ends <= {REFUSED, ASKED}, ends


def test_the_list_is_long_and_every_kind_of_file_is_in_it():
    assert len(MISTAKES) >= 80 and {m.record for m in MISTAKES} == set(VALID)
    assert len({(m.record, m.name) for m in MISTAKES}) == len(MISTAKES)


def test_two_thousand_planted_mistakes(tmp_path, record_property):
    """One mistake in each of 2,000 generated valid files; the run prints how they end."""
    rng, ends = random.Random(0), Counter()
    light = [m for m in MISTAKES if m.record != "log"]
    for seed in range(CASES):
        mistake = rng.choice(MISTAKES if seed % 20 == 0 else light)
        end = ending(mistake, seed, tmp_path)
        ends["missed" if end == "silent" and mistake.end != UNKNOWABLE else UNKNOWABLE if end == "silent" else end] += 1
    record_property("meaning", ", ".join(f"{n:,} {end}" for end, n in ends.most_common()))
    assert sum(ends.values()) == CASES and ends["missed"] <= MOST_MISSED * CASES, ends


def test_every_usual_range_is_inside_what_is_allowed():
    """A row that nobody can leave without being refused asks nothing: at least one end of each row can be passed."""
    for row in rows("usual_ranges"):
        assert row["source"] and row["low"] and row["high"]
        if row["kind"] not in ("number", "ACH50"):
            from heatcalc import units

            assert units.parse(row["low"], row["kind"]) < units.parse(row["high"], row["kind"]), row["field"]
