"""A sale: its saved case, and everything its papers need, computed once: run load, supply, assemblies, damp and drying.

The case is what was asked, as said, in one file that answers again to the same bytes: the house as its file gave it, the place's
words, every change, the house's own unit and assembly files, the tariff, and a hash of all of them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from heatcalc import __version__
from heatcalc.answers.envelope.assembly_answer import AssemblyAnswer, explain_assembly
from heatcalc.answers.sale.buyer import Buyer, tell
from heatcalc.answers.year.cord_year import still_hour
from heatcalc.errors import InputError
from heatcalc.files import content_of_program
from heatcalc.inputs.assembly.assembly_file import Assembly
from heatcalc.inputs.checked import beside, check, read_text, read_toml
from heatcalc.inputs.house.house_file import house_from, house_path
from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.place.find_place import Place, find_places
from heatcalc.inputs.supply.supply_record import Tariff
from heatcalc.inputs.weather.weather_place import place_with_hours
from heatcalc.judge.sizing import SizeResult, size_house
from heatcalc.model.comfort import DryingCase, drying_cases, winter_cases
from heatcalc.model.designer import Designer, designer_of
from heatcalc.model.house_model import house_model
from heatcalc.model.humidity import WinterHumidity
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.supply.charge import ChargeScreen, rooms_of, screen_charge
from heatcalc.supply.load_method import LoadMethod, house_method
from heatcalc.supply.supply_check import StandingStill

KIND = "heatcalc case"
MAX_BYTES = 20_000_000
LIBRARIES = ("numpy", "scipy", "pvlib", "numba", "CoolProp")


@dataclass(frozen=True, kw_only=True)
class SaleInputs:
    """The inputs of one sale, as said; `files` are the house's own files by name."""

    house: Mapping[str, Any]
    place: str | tuple[str, ...]  # several of a house that moves
    changes: tuple[str, ...] = ()
    package: str | None = None
    tariff: Mapping[str, Any] | None = None
    units: str = "ip"
    buyer: str = ""
    files: Mapping[str, str] | None = None
    hours: Mapping[str, Any] | None = None  # the hourly file's name in `files`, and the findings to accept and to mend

    @property
    def inputs(self) -> dict[str, Any]:
        """Everything said, as plain JSON values; `hours` only where an hourly file was given."""
        said = asdict(self) | {"changes": list(self.changes), "files": dict(self.files or {})}
        return {k: v for k, v in said.items() if k != "hours" or v is not None}

    @property
    def hash(self) -> str:
        """SHA-256 over the inputs in canonical JSON."""
        said = json.dumps(self.inputs, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
        return hashlib.sha256(said.encode()).hexdigest()

    @property
    def package_price(self) -> float | None:
        """US dollars the chosen package adds by the house file; None where there is no package or no price."""
        chosen = self.checked_house().package
        price = self.house.get("packages", {}).get(chosen, {}).get("price")
        return None if price is None else float(price)

    def checked_house(self) -> House:
        """The house with package and changes; the tariff given beside it wins.  Raises InputError."""
        house = house_from(self.house, self.changes, self.package, str(self.house.get("name", "house")))
        if self.tariff is None:
            return house
        return house.model_copy(update={"tariff": check(Tariff, self.tariff, "tariff")})


def case_from_files(
    house: str | None,
    place: str | tuple[str, ...],
    changes: tuple[str, ...] = (),
    package: str | None = None,
    tariff: str | None = None,
    units: str = "ip",
    buyer: str = "",
    hours: Mapping[str, Any] | None = None,
) -> SaleInputs:
    """The case of a house file (or a shipped house's name) and a place, with its own hourly file where `hours` names one."""
    path = house_path(house)
    said = _json_only(read_toml(path), path.name)
    case = SaleInputs(
        house=said, place=place, changes=tuple(changes), package=package, tariff=_tariff(tariff), units=units, buyer=buyer
    )
    files = _own_files(case.checked_house(), path.parent)
    if hours is None:
        return replace(case, files=files)
    file = Path(hours["file"])
    return replace(case, files=files | {file.name: read_text(file, MAX_BYTES)}, hours=dict(hours) | {"file": file.name})


def _json_only(said: dict[str, Any], where: str) -> dict[str, Any]:
    try:
        json.dumps(said, allow_nan=False)
    except (TypeError, ValueError):
        raise InputError("house", None, "holds a date or a number that is not finite; no field takes one", "", where) from None
    return said


def _tariff(file: str | None) -> dict[str, Any] | None:
    if file is None:
        return None
    said = read_toml(file)
    found = said.get("tariff", said)
    check(Tariff, found, Path(file).name)
    return _json_only(found, Path(file).name)


def _own_files(house: House, folder: Path) -> dict[str, str]:
    units = (house.units,) if isinstance(house.units, str) else house.units or ()
    names = [name for name in (*(n for u in units for n in _files_in(folder, u)), house.assemblies.file) if name]
    names += [b.detail for b in house.thermal_bridges if b.detail and b.detail.endswith(".toml")]
    return {name: read_text(beside(folder, name, "file")) for name in names}


def _files_in(folder: Path, name: str) -> list[str]:
    """A unit file itself, or every unit file of a folder."""
    own = beside(folder, name, "units")
    return (
        [f"{name.rstrip('/')}/{f.name}" for f in sorted(own.iterdir()) if f.suffix in (".csv", ".toml")]
        if own.is_dir()
        else [name]
    )


def read_case(path: str | Path) -> SaleInputs:
    """A case from its file.  Raises InputError where it is not one, or its inputs were changed by hand."""
    name = Path(path).name
    try:
        record = json.loads(read_text(path, MAX_BYTES))
        json.dumps(record, allow_nan=False)  # Python reads NaN and 1e999, which are no JSON
    except (ValueError, RecursionError) as problem:
        if isinstance(problem, InputError):
            raise
        raise InputError("case", name, "is not valid JSON") from None
    if not isinstance(record, dict) or record.get("kind") != KIND or not isinstance(record.get("inputs"), dict):
        raise InputError("case", name, "is not a saved case", "heatcalc papers HOUSE.toml --place PLACE -o DIR writes one")
    case = _case(record["inputs"], name)
    if case.hash != record.get("inputs_sha256"):
        raise InputError("case", name, "its inputs no longer match their hash", "edit the house file and make the case again", "")
    return case


def _case(said: dict[str, Any], name: str) -> SaleInputs:
    shapes: dict[str, Any] = {
        "house": dict,
        "place": (str, list),
        "changes": list,
        "package": (str, type(None)),
        "tariff": (dict, type(None)),
        "units": str,
        "buyer": str,
        "files": dict,
    }
    if (
        set(said) - {"hours"} != set(shapes)
        or not _hours_checked(said)
        or not all(isinstance(said[k], shape) for k, shape in shapes.items())
    ):
        raise InputError("case", name, f"inputs hold exactly {', '.join(shapes)}")
    places = [said["place"]] if isinstance(said["place"], str) else said["place"]
    texts = (*places, *said["changes"], *said["files"], *said["files"].values())
    if said["units"] not in ("ip", "si", "both") or not all(isinstance(t, str) for t in texts):
        raise InputError("case", name, 'units are "ip", "si" or "both"; changes and files are text')
    return SaleInputs(**said | {"changes": tuple(said["changes"]), "place": places[0] if len(places) == 1 else tuple(places)})


def _hours_checked(said: dict[str, Any]) -> bool:
    hours = said.get("hours", {"file": None, "accept": [], "mend": []})
    named = isinstance(hours, dict) and set(hours) == {"file", "accept", "mend"} and isinstance(said["files"], dict)
    return bool(
        named
        and ("hours" not in said or hours["file"] in said["files"])
        and all(isinstance(hours[k], list) and all(isinstance(w, str) for w in hours[k]) for k in ("accept", "mend"))
    )


@contextmanager
def own_files(case: SaleInputs) -> Iterator[Path]:
    """A folder that holds the house's own files while the case is answered."""
    with TemporaryDirectory(prefix="heatcalc-") as folder:
        for name, content in (case.files or {}).items():
            target = Path(folder) / name
            if Path(name).is_absolute() or ".." in Path(name).parts:
                raise InputError("files", name, "must be a plain name below the case")
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(content, encoding="utf-8")
        yield Path(folder)


def sized_case(case: SaleInputs, folder: Path) -> SizeResult:
    """The sizing of a case."""
    return size_house(case.checked_house(), places_of_case(case, folder), folder=folder)


def places_of_case(case: SaleInputs, folder: Path) -> tuple[Place, ...]:
    """The places of a case, the one with its own hours."""
    places = find_places([case.place] if isinstance(case.place, str) else case.place)
    if case.hours is None:
        return places
    return (place_with_hours(folder / case.hours["file"], places[0], case.hours["accept"], case.hours["mend"]),)


def case_record(case: SaleInputs, results: dict[str, Any]) -> dict[str, Any]:
    """The saved case as one object."""
    return {"kind": KIND, "versions": versions(), "inputs_sha256": case.hash, "inputs": case.inputs, "results": results}


def versions() -> dict[str, str]:
    """Version of heatcalc and a hash of what it is made of; versions of Python and of the libraries whose numbers enter."""
    from importlib.metadata import version
    from platform import python_version

    own = {"heatcalc": __version__, "content": content_of_program(), "python": python_version()}
    return own | {name: version(name) for name in LIBRARIES}


@dataclass(frozen=True)
class UsedAssembly:
    """An assembly in this house: where it is used, how much of it, and its explanation at the design cold."""

    answer: AssemblyAnswer
    area_m2: float
    parts: tuple[str, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Sale:
    """The answers behind the papers."""

    case: SaleInputs
    buyer: Buyer
    used: tuple[UsedAssembly, ...]
    method: LoadMethod
    charge: ChargeScreen
    still: StandingStill | None  # the hour in which a heater carries the house, the heat pump stopped by the cold
    winter: tuple[tuple[str, float, WinterHumidity], ...]
    drying: tuple[DryingCase, ...]
    fan_off: tuple[tuple[str, float, WinterHumidity], ...]  # as `winter`, the whole-house fan switched off

    @property
    def sized(self) -> SizeResult:
        """The sizing behind it."""
        return self.buyer.sized


def sale_of(case: SaleInputs) -> tuple[Sale, ...]:
    """Compute the sale of a case, one answer a place."""
    with own_files(case) as folder:
        sized = sized_case(case, folder)
        _ = sized.plans  # the search for changes reads the house's own files
        return tuple(sale_at(case, one, folder) for one in sized.each)


def sale_at(case: SaleInputs, sized: SizeResult, folder: Path) -> Sale:
    """The sale of what is sized, in its place; `folder` holds the house's own files."""
    buyer = tell(sized, folder)
    chosen, model, supply = buyer.run.candidate, sized.designer.model, sized.house.supply
    rooms = rooms_of(sized.house, model.floor_area_m2, model.volume_m3)
    charge = screen_charge(chosen.unit.refrigerant, chosen.unit.charge_kg, supply.indoor_unit, rooms, supply.indoor_unit_height)
    method = house_method(supply, model.shell.footprint_m2, chosen.unit, chosen.backup_W, chosen.dehumidifier_W)
    return Sale(
        case=case,
        buyer=buyer,
        used=used_assemblies(sized.designer),
        method=method,
        charge=charge,
        still=still_hour(sized, chosen),
        winter=winter_cases(sized.designer),
        drying=drying_cases(sized.designer, chosen.unit),
        fan_off=winter_cases(_without_fan(sized.designer, folder)),
    )


def _without_fan(designer: Designer, folder: Path) -> Designer:
    house = designer.model.house
    still = house.model_copy(update={"ventilation": house.ventilation.model_copy(update={"kind": "none", "heat_recovery": 0.0})})
    return designer_of(house_model(still, designer.model.elevation_m, folder), designer.place)


def used_assemblies(designer: Designer) -> tuple[UsedAssembly, ...]:
    """Every assembly the house uses, in the order of its parts; thermal bridges are not assemblies."""
    model = designer.model
    places: dict[Assembly, list[OpaquePart | WindowPart]] = {}
    for part in model.parts:
        if part.fabric:
            places.setdefault(part.fabric, []).append(part)
    indoor, cold = model.house.set_points.heating, designer.conditions.heating_C
    return tuple(
        UsedAssembly(explain_assembly(fabric, indoor, cold), sum(p.area_m2 for p in parts), tuple(p.name for p in parts))
        for fabric, parts in places.items()
    )
