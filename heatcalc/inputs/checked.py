"""Checked input: fields that know their kind of quantity and range, unknown keys refused with the nearest match."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationError, WithJsonSchema, model_validator

from heatcalc import units
from heatcalc.errors import InputError, nearest

MAX_FILE_BYTES, MAX_TOML_BYTES = 2_000_000, 500_000
MOST_TOLD = 20  # mistakes of one file that its line names; of more it tells the number
MOST_DOTS_SQUARED = 20_000_000  # a dotted key takes the square of its length to read


class Checked(BaseModel):
    """A frozen record of what the user said; unknown keys are refused, no value is NaN or infinite."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, str_max_length=500, defer_build=True)

    @model_validator(mode="before")
    @classmethod
    def _steers_nothing(cls, said: Any) -> Any:
        """Text is printed as it stands: characters that steer a terminal or turn the writing round are refused."""
        if isinstance(said, dict):
            for key, value in said.items():
                if isinstance(value, str) and _STEERING.search(value):
                    raise ValueError(f"{key} holds characters that cannot be printed")
        return said


def quantity(kind: str, low: float, high: float, reason: str = "") -> Any:
    """A float field in SI, typed as people write it; `low` and `high` in SI (temperatures in degC), inclusive."""

    def read(value: object) -> float:
        return units.parse(value, kind)

    def within(value: float) -> float:
        if not low <= value <= high:
            span = " to ".join(f"{units.text(x, kind, 'ip', 2)} ({units.text(x, kind, 'si', 2)})" for x in (low, high))
            raise ValueError(f"allowed {span}{' - ' + reason if reason else ''}")
        return value

    schema = {
        "type": ["string", "number"] if kind == "fraction" else "string",
        "description": f"{kind}, e.g. {units.KINDS[kind].example}",
        "examples": [units.KINDS[kind].example],
    }
    return Annotated[float, BeforeValidator(read), AfterValidator(within), WithJsonSchema(schema)]


_STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_TRIED = re.compile(r"(constrained-)?str|float|int|[A-Za-z-]+\[.*")  # pydantic names the type of several it tried
_BARE = re.compile(r"^\s*([\w.]+)\s*=\s*(?!true|false|inf|nan)([^\"'#\[\]{}\n]*[A-Za-z][^\"'#\[\]{}\n]*)", re.MULTILINE)
Record = TypeVar("Record", bound=BaseModel)


def check(model: type[Record], said: object, where: str) -> Record:
    """`said` (a mapping) as a frozen `model`; its problems become one InputError line that names every field."""
    try:
        return model.model_validate(said)
    except ValidationError as problems:
        raise _one_line(model, problems, where) from None


def _one_line(model: type[BaseModel], problems: ValidationError, where: str) -> InputError:
    found = problems.errors(include_url=False)
    misspelt = [p for p in found if p["type"] == "extra_forbidden"]
    if misspelt:  # a misspelt key is also missing: name the misspelling
        found = misspelt + [p for p in found if p["type"] not in ("extra_forbidden", "missing")]
    fields: dict[tuple[int | str, ...], Any] = {}
    for problem in found:  # a field of several types has a problem with each: the first speaks
        fields.setdefault(_field(problem), problem)
    first, *others = (_line_of(model, problem, where) for problem in list(fields.values())[:MOST_TOLD])
    also = [f"also {InputError(o.field, o.value, o.allowed, o.meant)}" for o in others]
    also += [f"and {len(fields) - MOST_TOLD:,} more"] if len(fields) > MOST_TOLD else []
    return InputError(first.field, first.value, first.allowed, "; ".join(filter(None, (first.meant, *also))), where)


def _field(problem: Any) -> tuple[int | str, ...]:
    """Keys and places in lists that lead to a problem, without the type that was tried there; an unknown key stays as it is."""
    steps = problem["loc"]
    own = len(steps) - 1 if problem["type"] == "extra_forbidden" else None
    return tuple(step for n, step in enumerate(steps) if n == own or isinstance(step, int) or not _TRIED.fullmatch(step))


def _line_of(model: type[BaseModel], problem: Any, where: str) -> InputError:
    path = [str(p) for p in _field(problem)]
    field = ".".join(path) or model.__name__.lower()
    if problem["type"] == "extra_forbidden":
        known = _known_keys(model, problem["loc"][:-1])
        meant = _elsewhere(model, path[-1]) or nearest(path[-1], known) or f"known: {', '.join(known)}"
        return InputError(field, None, "unknown key", meant, where)
    if problem["type"] == "missing":
        return InputError(field, None, "is missing", "", where)
    message = problem["msg"].removeprefix("Value error, ")
    given = problem.get("input")
    value = given if isinstance(given, (str, int, float, bool)) else None
    if problem["type"] == "model_type":
        return InputError(
            field, value, "is a table of its own", f"its keys: {', '.join(_known_keys(model, problem['loc']))}", where
        )
    if problem["type"] == "string_type":
        return InputError(field, value, "is written as text in quotes, a quantity with its unit", "", where)
    meant = nearest(str(value), _choices(problem)) if problem["type"] in ("literal_error", "enum") else ""
    if problem["type"] == "float_parsing" and (pointed := units.without_comma(str(value))):
        meant = f"the decimal sign is a point: write {pointed}"
    if problem["type"].startswith("int_"):
        message = "is a whole number, such as 2"
    return InputError(field, value, message[0].lower() + message[1:], meant, where)


def _choices(problem: Any) -> list[str]:
    return [part.strip(" '") for part in str(problem["ctx"]["expected"]).replace(" or ", ",").split(",")]


def _elsewhere(model: type[BaseModel], key: str) -> str:
    """The tables of a file that have `key`, as a question; empty where none or many have it."""
    tables = {name: _inner_model(field.annotation) for name, field in model.model_fields.items()}
    found = [name for name, inner in tables.items() if key in getattr(inner, "model_fields", {})]
    return f"did you mean {' or '.join(f'{name}.{key}' for name in found)}?" if 0 < len(found) < 3 else ""


def _known_keys(model: Any, path: tuple) -> list[str]:
    for step in path:
        if isinstance(step, int):
            continue
        field = getattr(model, "model_fields", {}).get(step)
        model = _inner_model(field.annotation) if field else model
    return list(getattr(model, "model_fields", {}))


def _inner_model(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        found = _inner_model(argument)
        if found is not None:
            return found
    return None


def read_text(path: Path | str, most: int = MAX_FILE_BYTES) -> str:
    """A text file, checked before it is read: exists, is a plain file, not huge, UTF-8.  One clear line otherwise."""
    file = Path(path)
    try:
        if not file.is_file():
            folder = file.is_dir()
            meant = "" if folder else nearest(file.name, [f.name for f in file.parent.glob("*") if f.suffix == file.suffix])
            raise InputError("file", str(path), "is a folder" if folder else "there is no such file", meant)
        if file.stat().st_size > most:
            raise InputError("file", str(path), f"is larger than {most / 1e6:g} MB; this is not a file of this kind")
        raw = file.read_bytes()
        content = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("file", str(path), "is not UTF-8 text", "save it as plain UTF-8 text") from None
    except (OSError, RuntimeError) as problem:
        raise InputError(
            "file", str(path), f"cannot be read ({getattr(problem, 'strerror', None) or 'too many links'})"
        ) from None
    if "\x00" in content:
        raise InputError("file", str(path), "is binary, not text")
    return content


def beside(folder: Path | None, name: str, field: str) -> Path:
    """A file that a house file names: it lies in the house file's folder, links followed.  InputError otherwise."""
    base = (folder or Path(".")).resolve()
    try:
        inside = not Path(name).is_absolute() and (base / name).resolve().is_relative_to(base)
    except (OSError, RuntimeError, ValueError):
        inside = False
    if not inside or ".." in Path(name).parts:
        raise InputError(field, name, "must lie in the folder of the house file")
    return base / name


def read_toml(path: Path | str) -> dict[str, Any]:
    """A TOML file as a mapping; a syntax problem is reported with its line."""
    content = read_text(path, MAX_TOML_BYTES).replace("\r\n", "\n")
    if sum(line.count(".") ** 2 for line in content.split("\n")) > MOST_DOTS_SQUARED:
        raise InputError("file", str(path), "has keys of thousands of dotted words; this is not a file of this kind")
    try:
        return tomllib.loads(content)
    except (ValueError, RecursionError) as problem:  # ValueError: also a whole number of thousands of digits
        raise InputError("file", str(path), f"is not valid TOML ({problem})", _slip(content)) from None


def _slip(content: str) -> str:
    """What to write for the first number with a decimal comma, or else for the first words without quotes."""
    if found := re.search(r"=\s*([-+]?\d+,\d+)\s*(?:[}#].*)?$", content, re.MULTILINE):
        return f"a decimal comma? write {found[1].replace(',', '.')}"
    bare = _BARE.search(content)
    return f'words and sizes stand in quotes: write {bare[1]} = "{bare[2].strip()}"' if bare else ""
