"""Mutation testing, by hand: `python -m tests.mutants --count 900 --seed 1`.  Printed as it goes; nothing passes or fails here.

A mutant is one changed operator, number, condition, result, keyword or pair of arguments in one function.  Every function of the
rooms below gives one before any gives two.  Laws, checks against print and regression are collected once; who reaches which line
is recorded once (coverage's contexts, one fork a test file); a mutant's code is then put into the living function of a fork,
which runs the tests that reach its line, cheap ones first, until one fails.  Tests of more than `SLOW_S` take no part, nor cases
of a test beyond five times as much together.  A fork that takes four times the budget of processor time counts as killed.
Machine code is compiled afresh for each of its mutants.
"""

import argparse
import ast
import gc
import importlib
import math
import os
import pickle
import random
import re
import resource
import sys
import tempfile
import time
from collections import Counter, defaultdict
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import CodeType, FunctionType

import coverage
import pytest
from hypothesis import Phase, settings

from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.place.find_place import find_place
from heatcalc.judge.sizing import size_house
from tests.measures import FILES, MODULES, PACKAGE, TREES

ROOMS = ("physics", "judge", "model", "supply", "answers/methods", "answers/year")
TESTS = ("tests/laws", "tests/published", "tests/regression")
SLOW_S, BUDGET_S = 2.5, 10.0
_PAIRS = ((ast.Lt, ast.LtE), (ast.Gt, ast.GtE), (ast.Eq, ast.NotEq), (ast.Is, ast.IsNot), (ast.In, ast.NotIn), (ast.And, ast.Or))
_PAIRS += ((ast.Add, ast.Sub), (ast.Mult, ast.Div))
OPERATORS = dict(_PAIRS) | {b: a for a, b in _PAIRS} | {ast.Pow: ast.Mult, ast.FloorDiv: ast.Div, ast.Mod: ast.Mult}
BACK = {ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE}
OTHERS = {"min": "max", "minimum": "maximum", "any": "all", "sin": "cos", "floor": "ceil", "sum": "max", "argmin": "argmax"}
OTHERS |= {there: here for here, there in OTHERS.items() if here != "sum"}


EMPTY = [  # what a module fills as it goes
    (name, node.target.id)
    for name, file in MODULES.items()
    for node in TREES[file].body
    if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name) and ast.unparse(node.value or node) == "{}"
]


@dataclass(frozen=True)
class Mutant:
    file: str
    owner: tuple[str, int]
    """Qualified name and first line of the function of the module or class."""
    first: int
    last: int
    """Lines of the statement."""
    change: str
    number: int
    """Which change of the owner."""

    @property
    def room(self) -> str:
        return next(room for room in ROOMS if self.file.startswith(room + "/"))

    def __str__(self) -> str:
        return f"{self.file}:{self.first} {self.owner[0]}: {self.change}"


def changes(node: ast.AST):
    """Each way to change a node: what to do to it, in place or by another node put there."""
    match node:
        case ast.Compare(ops=[op]):
            for other in (OPERATORS[type(op)], BACK.get(type(op))):
                if other:
                    yield ast.Compare(node.left, [other()], node.comparators)
        case ast.BoolOp(op=op, values=values):
            yield ast.BoolOp(OPERATORS[type(op)](), values)
        case ast.UnaryOp(op=ast.Not(), operand=inner):
            yield inner
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            yield inner
        case ast.BinOp(left=left, op=op, right=right) if type(op) in OPERATORS and not _text(left, right):
            yield ast.BinOp(left, OPERATORS[type(op)](), right)
        case ast.AugAssign(target=target, op=op, value=value) if type(op) in OPERATORS:
            yield ast.AugAssign(target, OPERATORS[type(op)](), value)
        case ast.IfExp(test=test, body=body, orelse=other):
            yield ast.IfExp(ast.UnaryOp(ast.Not(), test), body, other)
        case ast.If(test=test, body=body, orelse=other):
            yield ast.If(ast.UnaryOp(ast.Not(), test), body, other)
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value)) if abs(value) <= 10:
            yield ast.Constant(value + 1)
            yield ast.Constant(value - 1)
        case ast.Constant(value=int(value) | float(value)):
            yield ast.Constant(value * 1.1 if isinstance(value, float) and value else type(value)(value * 1.1 + (not value)))
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name), args=args, keywords=keywords):
            if name in OTHERS:
                other = deepcopy(node.func)
                setattr(other, "id" if isinstance(other, ast.Name) else "attr", OTHERS[name])
                yield ast.Call(other, args, keywords)
            if (
                len(args) == 2
                and all(isinstance(a, ast.Name | ast.Attribute) for a in args)
                and name not in ("isinstance", *OTHERS)
            ):
                yield ast.Call(node.func, args[::-1], keywords)
            for k in range(len(keywords)):
                yield ast.Call(node.func, args, keywords[:k] + keywords[k + 1 :])


def _text(*sides: ast.expr) -> bool:
    return any(isinstance(s, ast.JoinedStr) or isinstance(s, ast.Constant) and isinstance(s.value, str) for s in sides)


def places(node: ast.AST, statement: ast.AST):
    """(node, its parent, field, index, statement) of everything in a function computed with; no words, types or refusals."""
    for field, value in ast.iter_fields(node):
        for index, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if not isinstance(child, ast.AST) or isinstance(child, ast.JoinedStr | ast.Raise | ast.Assert | ast.arguments):
                continue
            if isinstance(child, ast.Call) and getattr(child.func, "id", "") in ("Q", "worded"):
                continue
            if field in ("annotation", "returns", "decorator_list") or isinstance(child, ast.expr_context):
                continue
            inside = child if isinstance(child, ast.stmt) else statement
            yield child, node, field, index, inside
            yield from places(child, inside)


def owners(tree: ast.Module):
    """Functions of the module and methods of its classes: (qualified name, node)."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            yield node.name, node
        elif isinstance(node, ast.ClassDef):
            yield from ((f"{node.name}.{f.name}", f) for f in node.body if isinstance(f, ast.FunctionDef))


def ways(owner: ast.FunctionDef):
    """Every change of a function: how to make it, how to unmake it, what to call it, the statement's lines."""
    for node, parent, field, index, statement in list(places(owner, owner)):
        for other in changes(node):
            ast.copy_location(other, node)
            head = getattr(statement, "body", None)
            last = head[0].lineno - 1 if isinstance(head, list) and head else statement.end_lineno
            words = f"{_short(node)} -> {_short(other)}"
            yield (
                parent,
                field,
                index,
                node,
                ast.fix_missing_locations(other),
                words,
                statement.lineno,
                max(last, statement.lineno),
            )


def _short(node: ast.AST) -> str:
    words = " ".join(ast.unparse(node.test if isinstance(node, ast.If) else node).split())
    return words if len(words) <= 90 else words[:87] + "..."


def first_line(owner: ast.FunctionDef) -> int:
    return min([owner.lineno, *(d.lineno for d in owner.decorator_list)])


def sample(count: int, seed: int) -> list[Mutant]:
    """Mutants in turn over all functions, the functions and each one's changes shuffled."""
    by_owner = []
    for file in FILES:
        name = file.relative_to(PACKAGE).as_posix()
        if name.startswith(tuple(room + "/" for room in ROOMS)):
            for qualified, owner in owners(ast.parse(file.read_text(encoding="utf-8"))):
                found = [
                    Mutant(name, (qualified, first_line(owner)), first, last, words, k)
                    for k, (*_, words, first, last) in enumerate(ways(owner))
                ]
                by_owner.append(found)
    rng = random.Random(seed)
    rng.shuffle(by_owner)
    for found in by_owner:
        rng.shuffle(found)
    longest = max(map(len, by_owner))
    return [found[k] for k in range(longest) for found in by_owner if k < len(found)][:count]


@cache
def imports(module: str) -> frozenset[str]:
    """Modules of the package that one imports, wherever in it."""
    names = set()
    for node in ast.walk(TREES[MODULES[module]]):
        if isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return frozenset(names & MODULES.keys())


def module_of(mutant: Mutant) -> str:
    """Its module; of the rules, which are found by their folder, the judge that finds them."""
    name = next((m for m, f in MODULES.items() if f == PACKAGE / mutant.file), "heatcalc.judge.rules")
    return "heatcalc.judge.plan" if name.startswith("heatcalc.judge.rules") else name


@cache
def above(module: str) -> frozenset[str]:
    """A module and every one that imports it, by however many steps."""
    found = {module}
    while more := {m for m in MODULES if m not in found and imports(m) & found}:
        found |= more
    return frozenset(found)


def source_of(mutant: Mutant, changed: bool = True) -> ast.Module:
    """The whole module's tree with the one change made."""
    tree = ast.parse((PACKAGE / mutant.file).read_text(encoding="utf-8"))
    if not changed:
        return tree
    owner = next(o for name, o in owners(tree) if (name, first_line(o)) == mutant.owner)
    parent, field, index, _, other, *_ = list(ways(owner))[mutant.number]
    if index is None:
        setattr(parent, field, other)
    else:
        getattr(parent, field)[index] = other
    return tree


def codes(code: CodeType):
    yield code
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield from codes(inner)


def _digest(*files: Path) -> str:
    return sha256(b"".join(f.read_bytes() for f in files)).hexdigest()[:12]


def compiled(file: str) -> bool:
    return "\nfrom numba import" in (PACKAGE / file).read_text(encoding="utf-8")


def put_in(mutant: Mutant, living: dict, changed: bool) -> None:
    """The mutant's code into the living functions of this process; machine code is compiled from a file beside its cache."""
    tree, file = source_of(mutant, changed), PACKAGE / mutant.file
    if compiled(mutant.file):
        folder = Path(tempfile.mkdtemp())
        os.environ["XDG_CACHE_HOME"] = str(folder)
        name = next(m for m, f in MODULES.items() if f == file)
        (folder / file.name).write_text(ast.unparse(tree))
        spec = importlib.util.spec_from_file_location(name, folder / file.name)
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
        return
    new = {(c.co_qualname, c.co_firstlineno): c for c in codes(compile(tree, str(file), "exec"))}
    for function in living[(str(file), *mutant.owner)]:
        function.__code__ = new[mutant.owner]


class Runner:
    """A plug-in that takes the place of the run: records who reaches what, then tries the mutants."""

    def __init__(self, asked: argparse.Namespace):
        self.asked, self.failed, self.passed = asked, False, False

    def pytest_runtest_logreport(self, report):
        self.failed |= report.failed
        self.passed |= report.when == "call" and report.passed

    def pytest_runtestloop(self, session):
        for item in session.items:
            own = getattr(getattr(item, "obj", None), "_hypothesis_internal_use_settings", None)
            if own is not None:  # a failure need not be made small
                item.obj._hypothesis_internal_use_settings = settings(own, phases=[Phase.explicit, Phase.generate], database=None)
        for module, file in MODULES.items():
            if not compiled(file.relative_to(PACKAGE).as_posix()):
                importlib.import_module(module)
        for name in ("scipy.stats", "scipy.optimize", "scipy.interpolate", "pandas", "pvlib", "numba", "llvmlite.binding"):
            importlib.import_module(name)  # once here and not in every fork
        self.items = {item.nodeid: item for item in session.items}
        for place in ("Burlington, VT", "Duluth, MN", "Houston, TX"):  # what lies below a mutant is then known in its fork
            size_house(load_house(), find_place(place))
        self.living, self.kept = defaultdict(list), []
        for found in gc.get_objects():
            if isinstance(found, FunctionType):
                code = found.__code__
                self.living[(code.co_filename, code.co_qualname, code.co_firstlineno)].append(found)
            elif type(found).__name__ == "_lru_cache_wrapper" and str(found.__module__).startswith(("heatcalc.", "tests.")):
                self.kept.append(found)
        gc.freeze()  # forks share what is here
        gc.disable()
        self.recorded(Path(self.asked.kept))
        self.tried(sample(self.asked.count, self.asked.seed))
        return True

    # ---- who reaches what

    def recorded(self, folder: Path) -> None:
        """`reach`: {file: {line: tests}}, `cost`: {test: s}, `width`: {test: lines}, from `folder`, the missing recorded."""
        folder.mkdir(parents=True, exist_ok=True)
        self.reach, self.cost, self.width = defaultdict(lambda: defaultdict(set)), {}, Counter()
        by_file = defaultdict(list)
        for item in self.items.values():
            by_file[item.nodeid.split("::")[0]].append(item)
        for test_file, items in by_file.items():
            kept = folder / f"{test_file.replace('/', '.')}.{_digest(PACKAGE.parent / test_file, *FILES)}.pkl"
            if not kept.exists():
                forked(lambda items=items, kept=kept: self.record(items, kept), 900)
            if kept.exists():
                lines, cost = pickle.loads(kept.read_bytes())
                self.cost |= cost
                for file, by_line in lines.items():
                    for line, tests in by_line.items():
                        self.reach[file][line] |= {t for t in tests if t in cost}
                        self.width.update(tests)
        print(f"{len(self.cost)} tests recorded, {sum(self.cost.values()):.0f} s", flush=True)

    def forget(self, names: frozenset[str]) -> None:
        """What tests and these modules have kept: it was computed by the code as it is."""
        for cached in self.kept:
            if cached.__module__ in names or cached.__module__.startswith(("tests.", "heatcalc.checks.")):
                cached.cache_clear()
        for name, what in EMPTY:
            if name in names and name in sys.modules:
                getattr(sys.modules[name], what).clear()

    def record(self, items, kept: Path) -> None:
        self.forget(frozenset(MODULES) - {"heatcalc.machine_code"})
        seen, cost = coverage.Coverage(data_file=None, config_file=False, source=[str(PACKAGE)]), {}
        seen.start()
        of_function = Counter()
        for item, following in zip(items, [*items[1:], None], strict=True):
            seen.switch_context(item.nodeid)
            start, function = time.process_time(), item.nodeid.split("[")[0]
            if of_function[function] > 5 * SLOW_S:
                continue
            self.failed = self.passed = False
            item.ihook.pytest_runtest_protocol(item=item, nextitem=following)
            of_function[function] += time.process_time() - start
            if self.passed and not self.failed and time.process_time() - start < SLOW_S:
                cost[item.nodeid] = time.process_time() - start
        seen.stop()
        data = seen.get_data()
        files = {Path(f).relative_to(PACKAGE).as_posix(): f for f in data.measured_files()}
        kept.write_bytes(pickle.dumps(({n: data.contexts_by_lineno(f) for n, f in files.items()}, cost)))

    # ---- the mutants

    def tests_of(self, mutant: Mutant) -> list[str]:
        """Tests that reach its lines; with `--whole`, then the others of their files.

        First those that reach few lines in little time, for they are about these lines; a test's further cases count as dearer
        than the one before.  Of like price by files, since a file left must set up anew.
        """
        reach = self.reach[mutant.file]
        found = {t for line in range(mutant.first, mutant.last + 1) for t in reach.get(line, ())}
        if compiled(mutant.file):
            found = set().union(*(self.reach["physics/year/kernel.py"].values()))
        if self.asked.only_tests:
            found = {t for t in found if re.search(self.asked.only_tests, t)}
        files = {t.split("::")[0] for t in found}
        rest = [t for t in self.cost if self.asked.whole and t not in found and t.split("::")[0] in files]

        def ordered(tests) -> list[str]:
            cases, levels = Counter(), {}
            for t in sorted(tests, key=lambda t: (self.cost[t] * self.width[t], t)):
                of_file, of_test = t.split("::")[0], t.split("[")[0]
                price = (0.02 + self.cost[t]) * self.width[t] * (1 + 0.5 * cases[of_test])
                levels[t] = int(2 * math.log10(1 + price)), of_file, t
                cases[of_test] += 1
            return sorted(levels, key=levels.get)

        return ordered(found) + ordered(rest)

    def tried(self, mutants: list[Mutant]) -> None:
        ran, killed, lived = Counter(), Counter(), []
        wanted = self.asked.among and set(Path(self.asked.among).read_text().splitlines())
        log = open(self.asked.log, "a", encoding="utf-8", buffering=1)  # noqa: SIM115 as long as the process
        start = time.monotonic()
        for n, mutant in enumerate(mutants):
            if wanted and str(mutant) not in wanted or not str(mutant).startswith(self.asked.only):
                continue
            tests = self.tests_of(mutant)
            above(module_of(mutant))  # known here, for every fork
            limit_s = 4 * self.asked.budget + 60.0 * compiled(mutant.file)
            code, words = forked(lambda m=mutant, t=tests: self.fate(m, t), limit_s) if tests else (0, "no test")
            fate = {0: "lived", 1: "killed", 2: "did not run"}.get(code, "killed: time")
            print(fate, mutant, f"[{words}]", sep="\t", file=log)
            if code != 2:
                ran[mutant.room] += 1
                killed[mutant.room] += code != 0
            if code == 0:
                lived.append(f"{mutant} [{words}]")
            if n % 50 == 49:
                print(
                    f"{n + 1} of {len(mutants)}: {killed.total()} of {ran.total()} killed, {time.monotonic() - start:.0f} s",
                    flush=True,
                )
        print(f"{len(mutants)} made, {ran.total()} ran, {killed.total()} killed")
        for room in ROOMS:
            print(f"{room:16} {killed[room]:4} of {ran[room]:4} killed")
        print("lived:", *sorted(lived), sep="\n  ")

    def fate(self, mutant: Mutant, tests: list[str]) -> tuple[int, str]:
        """1 and the test that fails, 0 if none does, 2 where the change cannot stand."""
        try:
            self.forget(above(module_of(mutant)))
            put_in(mutant, self.living, not self.asked.unchanged)
        except Exception as error:  # such as a name that is now nobody's
            return 2, repr(error)
        start = time.process_time()
        budget = self.asked.budget + 60 * compiled(mutant.file)
        for k, name in enumerate(tests):
            following = self.items[tests[k + 1]] if k + 1 < len(tests) else None
            self.items[name].ihook.pytest_runtest_protocol(item=self.items[name], nextitem=following)
            if self.failed:
                return 1, name
            if time.process_time() - start > budget:
                return 0, f"{k + 1} of {len(tests)} tests"
        return 0, f"{len(tests)} tests"


def forked(work, limit_s: float) -> tuple[int, str]:
    """What `work` says in a fork of this process; what it prints is lost; code 9 where it takes longer than the limit."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        code, words = 2, ""
        try:
            used = resource.getrusage(resource.RUSAGE_SELF)
            most = int(used.ru_utime + used.ru_stime + limit_s)
            resource.setrlimit(resource.RLIMIT_CPU, (most, most))
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1), os.dup2(quiet, 2)
            code, words = work() or (0, "")
        except BaseException as error:
            words = repr(error)
        os.write(write, words.encode()[:4000])
        os._exit(code)
    os.close(write)
    words = b""
    while piece := os.read(read, 4096):
        words += piece
    os.close(read)
    _, status = os.waitpid(child, 0)
    return (os.waitstatus_to_exitcode(status) if os.WIFEXITED(status) else 9), words.decode(errors="replace")


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=900)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--kept", default=str(Path(tempfile.gettempdir()) / "heatcalc-mutants"), help="folder of what is recorded")
    ask.add_argument("--log", default=os.devnull, help="file that takes a line a mutant")
    ask.add_argument("--among", help="only the mutants named in lines of this file")
    ask.add_argument("--only", default="", help="only mutants whose name begins so, such as judge/")
    ask.add_argument("--only-tests", help="only tests whose name fits this pattern")
    ask.add_argument("--whole", action="store_true", help="then the other tests of the files that reach it")
    ask.add_argument("--unchanged", action="store_true", help="the control: leave the change out, so that nothing may be killed")
    ask.add_argument("--budget", type=float, default=BUDGET_S, help="processor seconds a mutant")
    ask.add_argument("--count-only", action="store_true")
    asked = ask.parse_args()
    if asked.count_only:
        print(*sample(asked.count, asked.seed), sep="\n")
        return
    words = [
        *TESTS,
        "-s",
        *(w for name in ("cacheprovider", "xdist", "nbval", "terminal", "benchmark") for w in ("-p", f"no:{name}")),
        "--hypothesis-seed=0",
    ]
    pytest.main(
        ["-c", str(PACKAGE.parent / "pyproject.toml"), "-o", "addopts=--import-mode=importlib", *words], plugins=[Runner(asked)]
    )


if __name__ == "__main__":
    main()
