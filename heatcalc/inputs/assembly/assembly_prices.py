"""What assemblies cost: one price file, US dollars per square foot of assembly, material and labour.

basis = "our quotes, March"
[per_ft2]
"Breeze wall" = 14.00
"my wall" = 17.50
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated

from pydantic import Field

from heatcalc import resources
from heatcalc.errors import InputError, nearest
from heatcalc.inputs.assembly.assembly_file import Assembly, load_assemblies
from heatcalc.inputs.assembly.assembly_said import FT2_M2
from heatcalc.inputs.checked import Checked, check, read_toml

AS_WRITTEN = "as written with the assembly"


class PriceFile(Checked):
    """A price file as written."""

    basis: str = Field("", max_length=120, description="where the prices come from, shown with them")
    per_ft2: dict[str, Annotated[float, Field(ge=0.0, le=10_000.0)]] = Field(min_length=1)


def priced(found: Mapping[str, Assembly], file: Path | str | None = None) -> dict[str, Assembly]:
    """`found` with the prices of a file, which win over an assembly's own; None = the invented ones, for the starter shelf alone.

    Raises InputError for a name that is neither among `found` nor on the shelf.
    """
    shelf = load_assemblies()
    path = resources.folder("workbooks") / "prices.toml" if file is None else Path(file)
    said = check(PriceFile, read_toml(path), path.name)
    known = [*found, *shelf]
    for name in said.per_ft2:
        if name not in known:
            raise InputError("per_ft2", name, "no assembly has this name", nearest(name, known), path.name)
    basis = said.basis or f"prices of {path.name}"
    named = {n: p for n, p in said.per_ft2.items() if file is not None or found.get(n) is shelf.get(n)}
    return {name: _priced(entry, named.get(name), basis) for name, entry in found.items()}


def _priced(entry: Assembly, per_ft2: float | None, basis: str) -> Assembly:
    if per_ft2 is not None:
        return replace(entry, price_per_m2=per_ft2 / FT2_M2, price_basis=basis)
    return replace(entry, price_basis="" if entry.price_per_m2 is None else AS_WRITTEN)
