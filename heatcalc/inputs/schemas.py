"""JSON schemas of the files a person writes, for completion in an editor."""

from __future__ import annotations

from typing import Any


def schema_of(subject: str) -> dict[str, Any]:
    """The schema of a "house", "unit", "assembly" or "tariff" file (draft 2020-12)."""
    made = {"house": _house, "unit": _unit, "assembly": _assembly, "tariff": _tariff}[subject]()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": f"heatcalc {subject} file"} | made


def _house() -> dict[str, Any]:
    from heatcalc.inputs.house.house_record import House

    schema = House.model_json_schema()
    schema["properties"]["packages"] = {
        "type": "object",
        "description": "option packages: [packages.NAME] tables laid over the house",
        "additionalProperties": {"type": "object"},
    }
    schema["properties"]["options"] = schema["properties"]["packages"] | {
        "description": "single options with a price: [options.NAME] tables, searched by heatcalc compare --unit"
    }
    return schema


def _unit() -> dict[str, Any]:
    from heatcalc.inputs.unit.unit_file import Nameplate
    from heatcalc.inputs.unit.unit_points import Point

    schema, point = Nameplate.model_json_schema(by_alias=True), Point.model_json_schema()
    schema.setdefault("$defs", {}).update(point.pop("$defs", {}))
    schema["$defs"]["Point"] = point
    rows = {"type": "array", "items": {"$ref": "#/$defs/Point"}, "minItems": 1}
    schema["properties"] |= {"heating": rows, "cooling": rows}
    return schema


def _tariff() -> dict[str, Any]:
    from heatcalc.inputs.supply.supply_record import Tariff

    return Tariff.model_json_schema()


def _assembly() -> dict[str, Any]:
    from pydantic import TypeAdapter

    from heatcalc.inputs.assembly.assembly_materials import DoorSaid, OpaqueSaid, WindowSaid

    entry = TypeAdapter(OpaqueSaid | WindowSaid | DoorSaid).json_schema(ref_template="#/$defs/{model}")
    definitions = entry.pop("$defs", {})
    return {"type": "object", "additionalProperties": entry, "$defs": definitions}
