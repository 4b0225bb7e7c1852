"""Where a model can go as one object in SI, and place by place as CSV."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np

from heatcalc.answers.reach.many_units import DRIES, PER_PLACE, UnitReach
from heatcalc.answers.reach.reach_study import LOAD_COLUMNS, PackageReach, Reach, RULE_W_m2, usual_unit, zone_table
from heatcalc.judge.rules import WORDS
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.wording import no_formula, said

AT_ONCE = 500  # places whose lines are made at once
MANY_PLACES = 10  # from so many on a warning is said at once; the others stand place by place (own choice)


def reach_csv(r: Reach) -> str:
    """One line for each place, package and unit, a place after another; SI."""
    return "".join(reach_lines(r))


def reach_lines(r: Reach, head: bool = True) -> Iterator[str]:
    """The same, some places at a time."""
    years = tuple(r.years.sums) if r.years else ()
    site = ("key", "place", "zone", "lat", "lon", "elevation_m", "package", "unit")
    if head:
        yield _written([(*site, *LOAD_COLUMNS, *PER_PLACE, "recommended", "lock_out", *years)])
    for first in range(0, len(r.sites), AT_ONCE):
        own = slice(first, first + AT_ONCE)
        each = [_lines(r, n, k, own, years) for n, p in enumerate(r.packages) for k in range(len(p.units))]
        yield _written(line for there in zip(*each, strict=True) for line in there)


def _written(rows: Iterable[tuple]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def places_csv(r: Reach) -> str:
    """One line for each place: what is to be minded about every number that hangs on it."""
    rows = zip(r.sites.key, r.sites.name, r.sites.warnings, strict=True)
    told = ((key, name, "; ".join(said(words, "si") for words in of)) for key, name, of in rows)
    return _written([("key", "place", "warnings"), *told])


def shared_warnings(r: Reach) -> dict[str, int]:
    """What is to be minded at many places alike, and at how many."""
    counted = Counter(said(words, "si") for of in r.sites.warnings for words in of)
    return {words: n for words, n in counted.most_common() if n >= MANY_PLACES}


def _lines(r: Reach, n: int, k: int, own: slice, years: tuple[str, ...]) -> Any:
    """Lines of a unit with a package at some places."""
    s, p = r.sites, r.packages[n]
    u, words = p.units[k], [x[own] for x in (s.key, s.name, s.zone)]
    numbers = [np.round(x[own], 3).tolist() for x in (s.lat, s.lon, s.elevation_m)]
    loads = [np.round(getattr(p.loads, name)[own], 2).tolist() for name in LOAD_COLUMNS]
    judged = [_plain(getattr(u, name)[own]) for name in PER_PLACE]
    walked = [_plain(np.round(r.years.sums[y][n, k, own], 1)) for y in years] if r.years else []
    best = (p.best[own] == k).tolist()
    lock_out = np.where(best, p.lock_out[own], "").tolist()
    names = [[no_formula(name)] * len(best) for name in (p.name, u.unit.name)]
    return zip(*words, *numbers, *names, *loads, *judged, best, lock_out, *walked, strict=True)


def _plain(values: np.ndarray) -> list[Any]:
    if values.dtype.kind != "f":
        return values.tolist()
    return ["" if not np.isfinite(v) else round(v, 3) for v in values.tolist()]


def reach_values(r: Reach, unit: str | None) -> dict[str, Any]:
    """Shares by unit and by zone as one object, SI; places themselves are in the CSV."""
    named = unit or usual_unit(r)
    return {
        "house": r.packages[0].house.name,
        "places": len(r.sites),
        "kind": r.sites.kind,
        "unit": named,
        "years_walked": r.years.walked if r.years else 0,
        "packages": [
            {
                "name": p.name,
                "units": [_unit_record(r, n, k, p, u) for k, u in enumerate(p.units)],
                "places_without_a_unit": int((p.best < 0).sum()),
                "zones": [vars(z) for z in zone_table(r, p, named)],
                "load_per_floor_W_m2": {
                    "least": p.per_floor_W_m2.min(),
                    "middle": np.median(p.per_floor_W_m2),
                    "most": p.per_floor_W_m2.max(),
                },
            }
            for n, p in enumerate(r.packages)
        ],
        "rule_W_m2": RULE_W_m2,
        "place_warnings": shared_warnings(r),
        "limits": r.limits,
        "cautions": CAUTIONS,
    }


def _unit_record(r: Reach, n: int, k: int, p: PackageReach, u: UnitReach) -> dict[str, Any]:
    record: dict[str, Any] = {
        "name": u.unit.name,
        "recommended": float((p.best == k).mean()),
        "from_cord": float(u.from_cord.mean()),
        "verdict": {word: float((u.verdict == word).mean()) for word in WORDS},
        "dries": float((u.humidity == DRIES).mean()),
    }
    if r.years:
        record["year"] = {name: dict(zip(("p5", "p50", "p95"), r.years.middle(name, n, k), strict=True)) for name in r.years.sums}
    return record
