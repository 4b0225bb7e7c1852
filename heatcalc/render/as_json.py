"""A report for machines: its values in SI, always the same bytes for the same answer."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from heatcalc.report.report import Report
from heatcalc.wording import Q, Words


def as_json(report: Report) -> str:
    """One object (or list), two-space indent, one trailing newline."""
    return json_text(report.values)


def json_text(values: Any) -> str:
    """Plain data as JSON text."""
    return json.dumps(plain_data(values), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def plain_data(value: Any) -> Any:
    """numpy numbers and arrays as Python ones, tuples as lists, words said in SI; a number that is not finite becomes null."""
    if isinstance(value, dict):
        return {str(k): plain_data(v) for k, v in value.items()}
    if isinstance(value, (list, tuple, set, frozenset)):
        return [plain_data(v) for v in value]
    if isinstance(value, (Words, Q)):
        return value.said("si")
    if is_dataclass(value) and not isinstance(value, type):
        return {own.name: plain_data(getattr(value, own.name)) for own in fields(value)}
    if isinstance(value, np.ndarray):
        return plain_data(value.tolist())
    if isinstance(value, np.generic):
        return plain_data(value.item())
    return None if isinstance(value, float) and not math.isfinite(value) else value
