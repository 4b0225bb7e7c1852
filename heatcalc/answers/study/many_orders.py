"""An orders file: one row an order, each answered with the plan that `size` gives for it; houses and places go as arrays."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from heatcalc import wording
from heatcalc.answers.study.packages import package_list, said_of
from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.files import content_of_program
from heatcalc.inputs.checked import read_text
from heatcalc.inputs.house.house_file import house_path, load_house, table_of_tables
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place, find_place, find_places
from heatcalc.inputs.usual import doubts_of_house, doubts_of_site
from heatcalc.judge.cases import Case, Change
from heatcalc.judge.facts import Asked
from heatcalc.judge.many_loads import ManyLoads
from heatcalc.judge.plan import BEST, KEEP_SUPPLY, NAMED, SURE, Plan, on_panel, plan_of
from heatcalc.judge.sites import Skies
from heatcalc.judge.sizing import package_usd_of, size_house
from heatcalc.judge.three_plans import SHARED, first_plans, judged_units

COLUMNS = ("reference", "model", "package", "place", "supply", "unit", "options")
MOST_ROWS = 100_000  # of a file
TASKS, FEWEST, MOST, WALKED = 6, 100, 250, 8  # own choice: tasks at least; rows that fill a task at least, at most, with the year
MOST_LETTERS = 100  # of a file's name in a house file
DONE = "orders.jsonl"
Record = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Order:
    """One row as it was written; `options` are changes such as "air.tightness=3.0 ACH50; below.kind=skirted"."""

    row: int
    reference: str = ""
    model: str = ""
    package: str = ""
    place: str = ""
    supply: str = ""
    unit: str = ""
    options: str = ""
    beyond: str = ""  # cells after the last column: most often of a place without its quotes

    @property
    def changes(self) -> tuple[str, ...]:
        """Everything the row changes in its model."""
        own = [part.strip() for part in self.options.split(";") if part.strip()]
        more = (("supply.cord", self.supply), ("unit", self.unit))
        return (*own, *(f"{key}={value}" for key, value in more if value))

    @property
    def key(self) -> tuple:
        """Rows with the same key are one house in several places."""
        return self.model, self.package, self.changes


def read_orders(path: Path | str) -> list[Order]:
    """The rows of an orders file.  Raises InputError for a file that is none; a wrong row is found when it is answered."""
    text, name = read_text(path, 20_000_000), Path(path).name
    rows = [[c.strip() for c in row] for row in csv.reader(io.StringIO(text, newline=""))]
    head = next((k for k, row in enumerate(rows) if any(row) and not row[0].startswith("#")), None)
    if head is None or len(rows) == head + 1:
        raise InputError("orders", name, "holds no rows", f"a header line {','.join(COLUMNS)}, then one line an order")
    names = [c.lower() for c in rows[head]]
    for column in names:
        if column not in COLUMNS:
            raise InputError("column", column, "unknown column", nearest(column, COLUMNS) or f"known: {', '.join(COLUMNS)}", name)
    if "place" not in names or len(set(names)) < len(names):
        raise InputError("column", "place", "is missing or a column is given twice", "", name)
    if len(rows) - head > MOST_ROWS:
        raise InputError("orders", name, f"has more than {MOST_ROWS:,} rows", "split the file")
    return [
        Order(row=n, **dict(zip(names, row, strict=False)), beyond=",".join(c for c in row[len(names) :] if c))
        for n, row in enumerate(rows[head + 1 :], head + 2)
        if any(row) and not row[0].startswith("#")
    ]


def crossed(models: Sequence[str], packages: str, places: Sequence[str], unit_names: Sequence[str] = ()) -> list[Order]:
    """Orders of every model with every package in every place, and with every unit where some are named.

    packages : names parted by commas, as `compare` takes them; "all" for every package of each model's file, empty for none
    """
    rows = (
        (str(model), package, place, unit)
        for model in models
        for package in _packages_of(str(model), packages)
        for place in places
        for unit in unit_names or ("",)
    )
    return [Order(row=n, model=m, package=p, place=at, unit=u) for n, (m, p, at, u) in enumerate(rows, 1)]


def _packages_of(model: str, words: str) -> tuple[str, ...]:
    if words != "all":
        return package_list(model, words) or ("",)
    return tuple(table_of_tables(said_of(model).get("packages", {}), "packages")) or ("",)


@dataclass(frozen=True)
class Answered:
    """Every row answered, in the order of the rows: a plan each, or what is wrong with it (`problem`)."""

    title: str
    sure: float
    records: tuple[Record, ...]

    @property
    def good(self) -> list[Record]:
        """Rows with a plan."""
        return [r for r in self.records if not r["problem"]]

    @property
    def bad(self) -> list[Record]:
        """Rows to mend."""
        return [r for r in self.records if r["problem"]]


@dataclass(frozen=True)
class SomeOrders:
    """Orders answered together."""

    orders: tuple[Order, ...]
    folder: str
    sure: float
    year: bool


def tasks_of(orders: Sequence[Order], folder: Path, sure: float, year: bool, together: int | None = None) -> list[SomeOrders]:
    """Orders grouped by house; whole houses until a task is full, one with more rows than that is cut."""
    groups: dict[tuple, list[Order]] = {}
    for order in orders:
        groups.setdefault(order.key, []).append(order)
    full = together or (WALKED if year else min(max(len(orders) // TASKS, FEWEST), MOST))
    parts: list[list[Order]] = []
    for some in (g[k : k + full] for g in groups.values() for k in range(0, len(g), full)):
        if not parts or len(parts[-1]) >= full:
            parts.append([])
        parts[-1].extend(some)
    return [SomeOrders(tuple(part), str(folder), sure, year) for part in parts]


def answered(
    orders: Sequence[Order],
    folder: Path,
    spread: Callable[[Callable[[SomeOrders], list[Record]], Iterable[SomeOrders]], Iterator[list[Record]]],
    sure: float = 0.9,
    year: bool = False,
    done: Path | None = None,
    together: int | None = None,
) -> Iterator[Record]:
    """A record an order, as they come: those already in the file `done` first, new ones appended to it as each task ends.

    spread : a `map` over tasks (`processes.in_processes`); folder : where the orders file lies; together : see `tasks_of`
    """
    twice = given_twice(orders)
    kept, said = ({}, {}) if done is None else (_kept(done), _said(orders, sure, year, folder))
    known = [o for o in orders if said.get(o.row) in kept]
    yield from (_asking({**kept[said[o.row]], "row": o.row}, twice) for o in known)
    left = [o for o in orders if said.get(o.row) not in kept]
    for records in spread(answer_task, tasks_of(left, folder, sure, year, together)):
        if done is not None:
            done.parent.mkdir(parents=True, exist_ok=True)
            with done.open("a", encoding="utf-8") as file:
                file.writelines(json.dumps({"said": said[r["row"]], **r}) + "\n" for r in records)
        yield from (_asking(record, twice) for record in records)


def given_twice(orders: Iterable[Order]) -> dict[int, list[str]]:
    """What to ask of a row beside the rows before it: a reference, or all but the reference, given once more."""
    first: dict[tuple, int] = {}
    asked: dict[int, list[str]] = {}
    for o in orders:
        whole = (o.model, o.package, o.place, o.supply, o.unit, o.options)
        for what, key in (("reference", (o.reference,)), ("order but for its reference", whole)):
            row = first.setdefault((what, key), o.row)
            if row != o.row and any(key):
                asked.setdefault(o.row, []).append(f"the {what} stands in row {row} already: is it one order twice?")
    return asked


def _asking(record: Record, twice: dict[int, list[str]]) -> Record:
    return record if record["problem"] else {**record, "asked": [*twice.get(record["row"], ()), *record.get("asked", ())]}


def _said(orders: Sequence[Order], sure: float, year: bool, folder: Path) -> dict[int, str]:
    """What each row's answer depends on: the row, the model's file and all it names, what was asked, the program."""
    content, asked = cache(_content), [content_of_program(), sure, year]
    said = {}
    for o in orders:
        file = model_file(o.model, folder)
        files = [content(file), *(content(file.parent / change.partition("=")[2].strip()) for change in o.changes)]
        whole = json.dumps([*asked, files, {k: v for k, v in asdict(o).items() if k != "row"}])
        said[o.row] = hashlib.sha256(whole.encode()).hexdigest()[:16]
    return said


def _content(file: Path) -> str:
    """A file with those it names beside it, or a folder's, in one hash; empty where there is none."""
    read = _bytes(file)
    words = re.findall(r"[\"']([^\"'\n]+)[\"']", read.decode(errors="replace")) if file.suffix == ".toml" else ()
    named = [_bytes(file.parent / word) for word in words if len(word) < MOST_LETTERS]
    return hashlib.sha256(b"".join([read, *named])).hexdigest() if read else ""


def _bytes(path: Path) -> bytes:
    if path.is_dir():
        return b"".join(file.read_bytes() for file in sorted(path.iterdir()) if file.is_file())
    return path.read_bytes() if path.is_file() else b""


def _kept(done: Path) -> dict[str, Record]:
    """Answers of an earlier run; a line cut off in the middle is answered again."""
    kept = {}
    for line in done.read_text(encoding="utf-8").splitlines() if done.is_file() else ():
        try:
            record = json.loads(line)
            kept[record.pop("said")] = record
        except (ValueError, KeyError, AttributeError):
            continue
    return kept


def answer_task(task: SomeOrders) -> list[Record]:
    """Every order of a task: its plan, or the one line that says what is wrong with it."""
    places, out = _places_of(task.orders)
    houses: dict[tuple, list[Order]] = {}
    for order in task.orders:
        if order.row in places:
            houses.setdefault(order.key, []).append(order)
    found: list[tuple[Case, list[Order]]] = []
    skies: dict[Hashable, Skies] = {}
    for some in houses.values():
        try:
            once = {places[o.row].name: places[o.row] for o in some}  # a place ordered twice is worked out once
            found.append((_ready(case_of(some[0], task.folder, tuple(once.values())), task.year, skies), some))
        except (InputError, NoAnswer) as problem:
            out |= {o.row: _problem(o, problem) for o in some}
    for (case, some), plans in zip(found, _plans(task, [case for case, _ in found]), strict=True):
        told = zip(case.places, plans, asked_of(case.house, case.places), strict=True)
        at = {place.name: (plan, asked) for place, plan, asked in told}
        out |= {o.row: _record(o, places[o.row], case.package_usd, *at[places[o.row].name]) for o in some}
    return [out[o.row] for o in task.orders]


def _places_of(orders: Sequence[Order]) -> tuple[dict[int, Place], dict[int, Record]]:
    """The place of each row, looked up at once where every row has one; else one by one, with what is wrong with a row."""
    try:
        if all(o.place and not o.beyond for o in orders):
            words = tuple(dict.fromkeys(o.place for o in orders))
            known = dict(zip(words, find_places(words), strict=True))
            return {o.row: known[o.place] for o in orders}, {}
    except (InputError, NoAnswer):
        pass
    find, places, wrong = cache(find_place), dict[int, Place](), dict[int, Record]()
    for order in orders:
        try:
            places[order.row] = place_of(order, find)
        except (InputError, NoAnswer) as problem:
            wrong[order.row] = _problem(order, problem)
    return places, wrong


def _problem(order: Order, problem: Exception) -> Record:
    return {**asdict(order), "problem": str(problem)}


def _record(order: Order, place: Place, package_usd: float, plan: Plan, asked: list[str]) -> Record:
    wanted = (
        "kind",
        "unit",
        "verdict",
        "chance",
        "held_C",
        "heater_W",
        "heater_for",
        "heater_alone",
        "supply",
        "supply_set_by",
        "supply_carried",
    )
    more = ("dehumidifier_W", "first_cost_usd", "yearly_kWh", "yearly_cost", "currency")
    own = plan.record()
    said = {f"plan_{k}" if k in ("unit", "supply") else k: own[k] for k in (*wanted, *more)}
    missed = [r for r in plan.rules if not r.ok]
    assert plan.judged is not None
    judged = plan.judged
    said |= {"unit_kBtuh": judged.unit.size_kBtuh, "own_supply": judged.house.supply.cord}
    said |= {"package_usd": package_usd}
    told: dict[str, Any] = {"not_met": [r.code for r in missed], "warnings": [r.title for r in missed]}
    told |= {"changes": list(plan.changes), "asked": asked, "problem": ""}
    told["place_warnings"] = [wording.said(words, "both") for words in place.warnings]
    return {**asdict(order), "found": place.name, **said, **told}


def model_file(model: str, folder: Path | str) -> Path:
    """An order's house file: beside the orders, else a shipped house's name."""
    own = Path(folder) / model
    return own if model and own.is_file() else house_path(model or None)


def place_of(order: Order, find: Callable[[str], Place] = find_place) -> Place:
    """The order's place.  Raises InputError."""
    if order.beyond or re.fullmatch(r"[A-Z]{2}", order.supply):
        cell, words = (
            (order.beyond, "stands after the last column") if order.beyond else (order.supply, "stands in the column supply")
        )
        raise InputError("row", cell, words, 'a comma belongs in quotes: "Duluth, MN"')
    if not order.place:
        raise InputError("place", None, "is empty")
    return find(order.place)


def case_of(order: Order, folder: str, places: Sequence[Place]) -> Case:
    """The order's house in places.  Raises InputError for what the row or its model's file says wrong."""
    path = model_file(order.model, folder)
    house = load_house(path, order.changes, order.package or None)
    case = Case(house=house, places=tuple(places), folder=path.parent, units=None, package_usd=package_usd_of(house))
    if house.unit is not None and house.unit not in case.shelf:
        raise InputError("unit", house.unit, "is not among the candidates", nearest(house.unit, list(case.shelf)))
    return case


def asked_of(house: House, places: Sequence[Place]) -> list[list[str]]:
    """What `size` asks about the house in each place, in words."""
    anywhere = [str(q) for q in doubts_of_house(house)]
    return [[*anywhere, *(str(q) for q in doubts_of_site(house, place))] for place in places]


def _ready(case: Case, year: bool, skies: dict[Hashable, Skies]) -> Case:
    """A case with its loads at all its places, where no year asks for more.  Raises InputError and NoAnswer of the house."""
    if year:
        return case
    ready = case.at_once(skies)
    assert ready.shelf and ready.loads
    return ready


def _plans(task: SomeOrders, cases: Sequence[Case]) -> list[list[Plan]]:
    """The plan of every house in each of its places."""
    if task.year:
        return [[size_house(c.house, p, folder=c.folder, sure=task.sure).plan for p in c.places] for c in cases]
    alike: dict[Hashable, list[int]] = {}
    for k, case in enumerate(cases):
        alike.setdefault((case.folder, case.house.unit, *(getattr(case.house, name) for name in SHARED)), []).append(k)
    plans: dict[int, list[Plan]] = {}
    for which in alike.values():
        found = iter(_plans_alike([cases[k] for k in which], Asked(task.sure)))
        plans |= {k: list(islice(found, len(cases[k].places))) for k in which}
    return [plans[k] for k in range(len(cases))]


def _plans_alike(cases: Sequence[Case], asked: Asked) -> Iterator[Plan]:
    """The first plan of each house in each of its places, without the year, one after another; the houses have in common what a
    unit is judged by besides the loads, so that they are judged as if each were a place."""
    house, named = cases[0].house, cases[0].house.unit
    judged = judged_units(replace(cases[0], known=ManyLoads.joined([c.loads for c in cases])), asked)
    first = first_plans(judged, house, named)
    where: dict[tuple[int, Change | None], list[int]] = {}
    for k, (n, lock, _) in enumerate(first):
        where.setdefault((n, lock), []).append(k)
    units = {
        (n, lock): replace(judged[n] if lock is None else on_panel(judged[n], lock.house), where=np.array(rows))
        for (n, lock), rows in where.items()
    }
    usd = [c.package_usd for c in cases for _ in c.places]
    for k, (n, lock, kept) in enumerate(first):
        words = ((), ()) if lock is None else ((lock.words,), (lock.adopt,))
        kind = NAMED if named is not None else KEEP_SUPPLY if kept else BEST
        yield plan_of(units[n, lock], kind, at=k, changes=words[0], adopt=words[1], package_usd=usd[k])


def check_sure(sure: float) -> float:
    """A chance that a plan can be made for."""
    if not min(SURE) <= sure <= 0.99:
        raise InputError("--sure", sure, "is a chance from 50 to 99 of 100", "e.g. --sure 90")
    return sure
