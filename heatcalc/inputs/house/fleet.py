"""What delivered houses showed: fan tests and owners' logs of a shop, one line a house."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Annotated

from pydantic import Field

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.checked import Checked, read_text

COLUMNS = ("house", "stated_ach50", "measured_ach50", "computed_loss", "metered_loss")
PAIRS = {"leaks": COLUMNS[1:3], "loss": COLUMNS[3:5]}
APART = 5.0  # a house that differs more than this from what was said is no measurement of it: own choice


Ratio = Annotated[float, Field(ge=1.0 / APART, le=APART)]


class Fleet(Checked):
    """Ratios of measured to stated, a value a house that was measured: leakage at 50 Pa, heat loss coefficient [-]."""

    leaks: tuple[Ratio, ...] = ()
    loss: tuple[Ratio, ...] = ()


def read_fleet(path: Path | str) -> Fleet:
    """A CSV with a header line; of each pair of columns both cells or neither.  Raises InputError with the row."""
    name = Path(path).name
    lines = [line for line in read_text(path).splitlines() if line.strip() and not line.lstrip().startswith("#")]
    table = csv.DictReader(io.StringIO("\n".join(lines)), skipinitialspace=True)
    heads = [str(h).strip() for h in table.fieldnames or ()]
    for head in heads:
        if head not in COLUMNS:
            raise InputError("column", head, "unknown column", nearest(head, COLUMNS) or f"known: {', '.join(COLUMNS)}", name)
    if not any(set(pair) <= set(heads) for pair in PAIRS.values()):
        raise InputError("fleet", name, "has no pair of columns to learn from", f"a header line {','.join(COLUMNS)}")
    found: dict[str, list[float]] = {what: [] for what in PAIRS}
    for n, row in enumerate(table, 2):
        cells = {k: (v or "").strip() for k, v in row.items() if isinstance(k, str) and not isinstance(v, list)}
        if None in row:
            raise InputError(f"row {n}", ",".join(row[None]), "stands after the last column", "", name)  # type: ignore[call-overload]
        for what, (stated, measured) in PAIRS.items():
            said = cells.get(stated, ""), cells.get(measured, "")
            if any(said):
                found[what].append(_ratio(said, (stated, measured), n, name))
    return Fleet(leaks=tuple(found["leaks"]), loss=tuple(found["loss"]))


def _ratio(said: tuple[str, str], heads: tuple[str, ...], n: int, name: str) -> float:
    numbers = []
    for head, word in zip(heads, said, strict=True):
        try:
            numbers.append(float(word))
        except ValueError:
            raise InputError(f"row {n}, {head}", word, "is a number above 0, in both columns of the pair", "", name) from None
    if not (0.0 < numbers[0] < 1e6 and 0.0 < numbers[1] < 1e6 and 1.0 / APART <= numbers[1] / numbers[0] <= APART):
        raise InputError(
            f"row {n}, {heads[1]}", said[1], f"is from a {1 / APART:g}th to {APART:g} times {heads[0]} ({said[0]})",
            "the same unit in both columns?", name,
        )  # fmt: skip
    return numbers[1] / numbers[0]
