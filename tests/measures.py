"""Measures of the code, printed: `python -m tests.measures`.  Nothing passes or fails here."""

import ast
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parents[1] / "heatcalc"
FILES = sorted(PACKAGE.rglob("*.py"))
MODULES = {".".join(("heatcalc", *f.relative_to(PACKAGE).with_suffix("").parts)): f for f in FILES if f.name != "__init__.py"}
TREES = {file: ast.parse(file.read_text(encoding="utf-8")) for file in FILES}


@cache
def chain(module: str) -> tuple[str, ...]:
    """The longest way of imports down from a module, wherever they stand in it."""
    names = set()
    for node in ast.walk(TREES[MODULES[module]]):
        if isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return module, *max((chain(n) for n in names if n in MODULES and n != module), key=len, default=())


def twice(names) -> list[str]:
    return sorted(name for name, count in Counter(names).items() if count > 1)


def classes():
    return (node.name for tree in TREES.values() for node in ast.walk(tree) if isinstance(node, ast.ClassDef))


def imported(*words: str) -> list[str]:
    """Modules of the package that a command imports."""
    ask = f"import sys; from heatcalc.cli import main; main({list(words)!r}); print(*sys.modules, file=sys.stderr)"
    names = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True).stderr.split()
    return [name for name in names if name in MODULES]


def main() -> None:
    lines = {file: file.read_text(encoding="utf-8").count("\n") for file in FILES}
    longest = max((chain(module) for module in MODULES), key=len)
    print(f"{sum(lines.values()):,} lines in {len(FILES)} files, the largest {max(lines.values())}")
    print(f"{sum(len(v.splitlines()) for v in map(Path.read_text, PACKAGE.rglob('*.csv'))):,} lines of tables")
    print(f"longest import chain {len(longest)}: {' > '.join(name.rpartition('.')[2] for name in longest)}")
    print(f"module names used twice: {', '.join(twice(f.stem for f in MODULES.values())) or 'none'}")
    print(f"class names used twice: {', '.join(twice(classes())) or 'none'}")
    print(f"files that size imports: {len(imported('size'))}; --help: {len(imported('--help'))}")


if __name__ == "__main__":
    main()
