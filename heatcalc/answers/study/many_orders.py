"""An orders file: one row an order, each answered with the plan that `size` gives for it, grouped so that places are arrays."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from heatcalc import __version__, wording
from heatcalc.answers.study.packages import package_list, said_of
from heatcalc.errors import InputError, NoAnswer, nearest
from heatcalc.inputs.checked import read_text
from heatcalc.inputs.house.house_file import house_path, load_house, table_of_tables
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place, find_place, find_places
from heatcalc.inputs.usual import doubts_of_house, doubts_of_site
from heatcalc.judge.cases import Case
from heatcalc.judge.facts import Asked
from heatcalc.judge.plan import BEST, KEEP_SUPPLY, NAMED, SURE, Judged, Plan, on_panel, plan_of
from heatcalc.judge.sizing import package_usd_of, size_house
from heatcalc.judge.three_plans import first_plans, judged_units

COLUMNS = ("reference", "model", "package", "place", "supply", "unit", "options")
MOST_ROWS, MOST_TOGETHER = 100_000, 200  # rows of a file; rows of one task
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
class HouseOrders:
    """Orders of one house, answered together."""

    orders: tuple[Order, ...]
    folder: str
    sure: float
    year: bool


def tasks_of(orders: Sequence[Order], folder: Path, sure: float, year: bool) -> list[HouseOrders]:
    """Orders grouped by house, at most MOST_TOGETHER together."""
    groups: dict[tuple, list[Order]] = {}
    for order in orders:
        groups.setdefault(order.key, []).append(order)
    parts = [g[k : k + MOST_TOGETHER] for g in groups.values() for k in range(0, len(g), MOST_TOGETHER)]
    return [HouseOrders(tuple(part), str(folder), sure, year) for part in parts]


def answered(
    orders: Sequence[Order],
    folder: Path,
    spread: Callable[[Callable[[HouseOrders], list[Record]], Iterable[HouseOrders]], Iterator[list[Record]]],
    sure: float = 0.9,
    year: bool = False,
    done: Path | None = None,
) -> Iterator[Record]:
    """A record an order, as they come: those already in the file `done` first, new ones appended to it as each task ends.

    spread : a `map` over tasks (`processes.in_processes`); folder : where the orders file lies
    """
    kept, twice = _kept(done), given_twice(orders)
    said = {order.row: _said(order, sure, year, folder) for order in orders}
    yield from (_asking({**kept[said[o.row]], "row": o.row}, twice) for o in orders if said[o.row] in kept)
    left = [o for o in orders if said[o.row] not in kept]
    for records in spread(answer_task, tasks_of(left, folder, sure, year)):
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


def _said(order: Order, sure: float, year: bool, folder: Path) -> str:
    """What an answer depends on besides the program: the row, the model's file, what was asked."""
    model = model_file(order, str(folder))
    file = model.read_text(encoding="utf-8", errors="replace") if model.is_file() else ""
    asked = [__version__, sure, year, file, {k: v for k, v in asdict(order).items() if k != "row"}]
    return hashlib.sha256(json.dumps(asked).encode()).hexdigest()[:16]


def _kept(done: Path | None) -> dict[str, Record]:
    """Answers of an earlier run; a line cut off in the middle is answered again."""
    kept = {}
    for line in done.read_text(encoding="utf-8").splitlines() if done is not None and done.is_file() else ():
        try:
            record = json.loads(line)
            kept[record.pop("said")] = record
        except (ValueError, KeyError, AttributeError):
            continue
    return kept


def answer_task(task: HouseOrders) -> list[Record]:
    """Every order of a task: its plan, or the one line that says what is wrong with it."""
    places, out = _places_of(task.orders)
    good = [o for o in task.orders if o.row in places]
    try:
        once = {places[o.row].name: places[o.row] for o in good}  # a place ordered twice is worked out once
        plans = dict(zip(once, _plans(task, good[0], list(once.values())), strict=True)) if good else {}
        out |= {o.row: _record(o, places[o.row], *plans[places[o.row].name]) for o in good}
    except (InputError, NoAnswer) as problem:
        out |= {o.row: _problem(o, problem) for o in good}
    return [out[o.row] for o in task.orders]


def _places_of(orders: Sequence[Order]) -> tuple[dict[int, Place], dict[int, Record]]:
    """The place of each row, looked up at once where every row has one; else one by one, with what is wrong with a row."""
    try:
        if all(o.place and not o.beyond for o in orders):
            return dict(zip([o.row for o in orders], find_places(o.place for o in orders), strict=True)), {}
    except (InputError, NoAnswer):
        pass
    places: dict[int, Place] = {}
    wrong: dict[int, Record] = {}
    for order in orders:
        try:
            places[order.row] = place_of(order)
        except (InputError, NoAnswer) as problem:
            wrong[order.row] = _problem(order, problem)
    return places, wrong


def _problem(order: Order, problem: Exception) -> Record:
    return {**asdict(order), "problem": str(problem)}


def _record(order: Order, place: Place, plan: Plan, asked: list[str]) -> Record:
    wanted = (
        "kind",
        "unit",
        "verdict",
        "chance",
        "held_C",
        "heater_W",
        "heater_for",
        "supply",
        "supply_set_by",
        "supply_carried",
    )
    more = ("dehumidifier_W", "first_cost_usd", "yearly_kWh", "yearly_cost", "currency")
    said = {f"plan_{k}" if k in ("unit", "supply") else k: getattr(plan, k) for k in (*wanted, *more)}
    warnings = [r.title for r in plan.rules if not r.ok]
    assert plan.judged is not None
    judged = plan.judged
    said |= {"unit_kBtuh": judged.unit.size_kBtuh, "own_supply": judged.house.supply.cord}
    said |= {"package_usd": package_usd_of(judged.house)}
    told = {"changes": list(plan.changes), "warnings": warnings, "asked": asked, "problem": ""}
    told["place_warnings"] = [wording.said(words, "both") for words in place.warnings]
    return {**asdict(order), "found": place.name, **said, **told}


def model_file(order: Order, folder: str) -> Path:
    """The order's house file: beside the orders, else a shipped house's name."""
    own = Path(folder) / order.model
    return own if order.model and own.is_file() else house_path(order.model or None)


def place_of(order: Order, find: Callable[[str], Place] = find_place) -> Place:
    """The order's place.  Raises InputError."""
    if order.beyond:
        raise InputError("row", order.beyond, "stands after the last column", 'a comma belongs in quotes: "Duluth, MN"')
    if not order.place:
        raise InputError("place", None, "is empty")
    return find(order.place)


def case_of(order: Order, folder: str, places: Sequence[Place]) -> Case:
    """The order's house in places.  Raises InputError for what the row or its model's file says wrong."""
    path = model_file(order, folder)
    house = load_house(path, order.changes, order.package or None)
    case = Case(house=house, places=tuple(places), folder=path.parent, units=None, package_usd=package_usd_of(house))
    if house.unit is not None and house.unit not in case.shelf:
        raise InputError("unit", house.unit, "is not among the candidates", nearest(house.unit, list(case.shelf)))
    return case


def asked_of(house: House, place: Place) -> list[str]:
    """What `size` asks about the house there, in words."""
    return [str(q) for q in (*doubts_of_house(house), *doubts_of_site(house, place))]


def _plans(task: HouseOrders, first: Order, places: Sequence[Place]) -> list[tuple[Plan, list[str]]]:
    """The plan of the task's house at each place, and what is asked of it there."""
    case = case_of(first, task.folder, places)
    if task.year:
        plans = [size_house(case.house, place, folder=case.folder, sure=task.sure).plan for place in places]
    else:
        plans = plans_at(case.at_once(), Asked(task.sure))
    return [(plan, asked_of(case.house, place)) for plan, place in zip(plans, places, strict=True)]


def plans_at(case: Case, asked: Asked) -> list[Plan]:
    """The first plan at each place of a case, without the year."""
    named, judged = case.house.unit, judged_units(case, asked)
    panels: dict[tuple[int, str], Judged] = {}
    plans = []
    for k, (n, lock, kept) in enumerate(first_plans(judged, case.house, named)):
        words = ((), ()) if lock is None else ((lock.words,), (lock.adopt,))
        unit = judged[n] if lock is None else panels.setdefault((n, lock.words), on_panel(judged[n], lock.house))
        kind = NAMED if named is not None else KEEP_SUPPLY if kept else BEST
        plans.append(plan_of(unit, kind, at=k, changes=words[0], adopt=words[1], package_usd=case.package_usd))
    return plans


def check_sure(sure: float) -> float:
    """A chance that a plan can be made for."""
    if not min(SURE) <= sure <= 0.99:
        raise InputError("--sure", sure, "is a chance from 50 to 99 of 100", "e.g. --sure 90")
    return sure
