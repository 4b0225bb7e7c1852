"""The questions turned round, in words and as a record."""

from __future__ import annotations

from typing import Any

from heatcalc import units
from heatcalc.answers.study.inverse import HowCold, Limits, Most
from heatcalc.show.words import columns, wrapped


def inverse_text(x: Limits, system: str) -> str:
    """How cold, how leaky, how much glass, which skirting."""
    rows = [("with backup heat", "it holds down to"), *((f"{c.backup_W / 1000:.1f} kW", _cold(c, system)) for c in x.cold)]
    ways = [
        ("under the floor", "heating load", "recommended unit"),
        *((s.below, units.text(s.heating_W, "power", system), s.unit) for s in x.skirting),
    ]
    better = ", ".join(x.saves_size)
    saved = f"saves a unit size over open air: {better}" if better else "none of these saves a unit size here"
    return "\n".join(
        [
            f"Turned round, for {x.unit.name}",
            *columns(rows),
            *wrapped(f"How leaky may it be: {_most(x.ach50, lambda v: f'{v:.1f} ACH50', 'heat')}"),
            *wrapped(
                f"How much glass may it have: {_most(x.glass_m2, lambda v: units.text(v, 'area', system), 'heat and cold')}"
            ),
            *columns(ways, right=(1,)),
            f"  {saved}",
        ]
    )


def _cold(c: HowCold, system: str) -> str:
    if c.outdoor_C is None:
        return "nowhere: too small even in mild weather"
    at = units.text(c.outdoor_C, "temperature", system)
    return f"{at}, where it stops" if c.stops else at


def _most(m: Most, words: Any, what: str) -> str:
    now = f"(as described {words(m.as_described)})"
    if m.value is None:
        return f"not even with the least does the unit carry the {what} {now}"
    return f"{words(m.value)} and more {now}" if m.free else f"at most {words(m.value)} {now}"


def inverse_record(x: Limits) -> dict[str, Any]:
    """All four as one object, SI."""
    return {
        "unit": x.unit.name,
        "how_cold": [vars(c) for c in x.cold],
        "ach50": vars(x.ach50),
        "glass_m2": vars(x.glass_m2),
        "below": [vars(s) for s in x.skirting],
        "saves_size": x.saves_size,
    }
