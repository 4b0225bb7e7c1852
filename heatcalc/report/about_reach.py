"""What `heatcalc reach` says: the share of places by unit, by climate zone, against the rule of thumb, the years; and the same
as one object in SI and place by place as CSV.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

import numpy as np

from heatcalc.answers.reach.many_units import DRIES, PER_PLACE, UnitReach
from heatcalc.answers.reach.reach_study import LOAD_COLUMNS, PackageReach, Reach, RULE_W_m2, usual_unit, zone_table
from heatcalc.judge.rules import FITS, JUST, LARGE, WITH_HEATER, WORDS
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.report.about_design import cautions_chapter
from heatcalc.report.reach_figures import map_figure, units_figure, zones_figure
from heatcalc.report.report import Caution, Chapter, Figure, Note, Report, Sentence, bullets, chapter, chapters, named, stamped
from heatcalc.report.table import Cell, Column, Table, table_of
from heatcalc.wording import Q, Said, counted, joined, no_formula, said, worded

PER_FLOOR, SHARE = "heat flow density", "fraction"
YEARS = {
    "heating_kWh": "heating",
    "cooling_kWh": "cooling",
    "idle_kWh": "idle",
    "backup_kWh": "backup heat",
    "backup_h": "hours backup runs",
    "too_warm_h": "hours too warm",
}


def about_reach(r: Reach, unit: str | None = None) -> Report:
    """The whole answer; maps and zones are of `unit`, or of the one recommended most often."""
    named = unit or usual_unit(r)
    return Report(
        question="reach",
        title=_title(r),
        decision=tuple(Sentence(words) for words in _map_says(r, named)),
        chapters=chapters(
            *(_units(p, n) for n, p in enumerate(r.packages, 1)),
            chapter("Maps", *_maps(r, named)),
            *(_zones(r, p, named, n) for n, p in enumerate(r.packages, 1)),
            chapter(_rule(), *bullets([_against(p) for p in r.packages]), _by_zone(r)),
            _years(r, named),
            chapter("Warnings of the places", *bullets(_minded(r), Caution), brief=_minded_brief(r)),
            chapter("What this says and does not say", *bullets(r.limits, Note), more=True),
            cautions_chapter(),
        ),
        values=reach_values(r, unit),
        stamp=stamped(None, r.packages[0].house.name),
    )


def _minded(r: Reach) -> list[Said]:
    return [f"{words} ({n:,} of {len(r.sites):,} places)" for words, n in shared_warnings(r).items()]


def _minded_brief(r: Reach) -> Said:
    """The warning of most places, and how many more there are."""
    first, *more = _minded(r) or [""]
    return worded("{}; and {} of fewer places, listed with --full", first, counted(len(more), "warning")) if more else first


def _title(r: Reach) -> str:
    house = r.packages[0].house
    kinds = {"station": "weather stations", "county": "counties"}.get(r.sites.kind, "places")
    packages, units = (counted(n, word) for n, word in ((len(r.packages), "package"), (len(r.unit_names), "unit")))
    return f"Where {named(house, package=False)} can go: {len(r.sites):,} {kinds}, {packages}, {units}"


def _units(p: PackageReach, n: int) -> Chapter | None:
    """Share of places by unit."""
    heads = (
        Column("unit"),
        *(Column(word, SHARE) for word in WORDS),
        Column("most heater", unit="kW", decimals=1),
        Column("dries well", SHARE),
        Column("coldest hour", "current"),
        Column("recommended", SHARE),
    )
    rows: list[tuple[Cell, ...]] = []
    for k, u in enumerate(p.units):
        carried = np.isin(u.verdict, (FITS, JUST, WITH_HEATER, LARGE))
        heater, amperes = (float(x[carried].max()) if carried.any() else None for x in (u.backup_W, u.cold_A))
        verdicts = (float((u.verdict == word).mean()) for word in WORDS)
        dries, best = float((u.humidity == DRIES).mean()), float((p.best == k).mean())
        rows.append((u.unit.name, *verdicts, None if heater is None else heater / 1000.0, dries, amperes, best))
    none = int((p.best < 0).sum())
    left = f"no unit here carries it at {none} places" if none else ""
    return chapter(f"{p.name}: share of places", Table(f"units {n}", "", heads, tuple(rows)), left)


def _maps(r: Reach, unit: str) -> Iterator[Figure]:
    yield Figure("reach-map", f"Where {unit} carries the house", joined("; ", _map_says(r, unit)), partial(map_figure, r, unit))
    yield Figure("reach-units", "Which unit is recommended where", "; ".join(_units_say(r)), partial(units_figure, r))


def _map_says(r: Reach, unit: str) -> Iterator[str]:
    for p in r.packages:
        fits, heated = (f"{(p.unit(unit).verdict == word).mean():.0%}" for word in (FITS, WITH_HEATER))
        yield f"{p.name}: {unit} fits at {fits} of {len(r.sites):,} places, with a second heater at {heated}"


def _units_say(r: Reach) -> Iterator[str]:
    for p in r.packages:
        kinds, count = np.unique(p.best, return_counts=True)
        words = (f"{r.unit_names[k] if k >= 0 else 'none'} {c / len(p.best):.0%}" for k, c in zip(kinds, count, strict=True))
        yield f"{p.name}: {', '.join(words)}"


def _zones(r: Reach, p: PackageReach, unit: str, n: int) -> Chapter | None:
    """One unit by climate zone; the first package at once, others behind."""
    table = table_of(
        f"zones {n}",
        zone_table(r, p, unit),
        (Column("zone"), "zone"),
        (Column("places", decimals=0), "places"),
        *((Column(f"load per floor: {end}", PER_FLOOR, decimals=0), f"{end}_W_m2") for end in ("least", "middle", "most")),
        (Column(f"{unit} fits", SHARE), "fits"),
        (Column("just carries", SHARE), "just"),
        (Column("with a heater", SHARE), "with_backup"),
        (Column("most heater", unit="kW", decimals=1), lambda z: z.backup_W / 1000.0),
        (Column("usual unit"), "usual_unit"),
    )
    return chapter(f"{p.name} with {unit}, by climate zone (IECC 2021)", table, more=n > 1)


def _rule() -> Said:
    return worded("The rule of {} to {} of floor (common practice, no source)", *(Q(w, PER_FLOOR, 0) for w in RULE_W_m2))


def _against(p: PackageReach) -> str:
    load = p.per_floor_W_m2
    below, above = (load < RULE_W_m2[0]).mean(), (load > RULE_W_m2[1]).mean()
    within = 1 - below - above
    return f"{p.name}: computed load below it at {below:.0%} of places, within at {within:.0%}, above at {above:.0%}"


def _by_zone(r: Reach) -> Figure:
    spans = ((p.name, *(Q(float(pick(p.per_floor_W_m2)), PER_FLOOR, 0) for pick in (np.min, np.max))) for p in r.packages)
    says = joined("; ", (worded("{}: {} to {}", *span) for span in spans))
    title = "Load by climate zone against the rule of thumb"
    return Figure("reach-zones", title, says, partial(zones_figure, r))


def _years(r: Reach, unit: str) -> Chapter | None:
    if r.years is None:
        return None
    k, columns = r.unit_names.index(unit), [Column("package")]
    rows: list[tuple[Cell, ...]] = []
    for name, words in YEARS.items():
        columns += [Column(f"{words}{end}", unit=name[-3:].strip("_"), decimals=0) for end in ("", ", 5 %", ", 95 %")]
    for n, p in enumerate(r.packages):
        spans = (r.years.middle(name, n, k) for name in YEARS)
        rows.append((p.name, *(x for low, middle, high in spans for x in (middle, low, high))))
    done = "" if r.years.walked == len(r.sites) else f"; stopped early, the first {r.years.walked:,} of {len(r.sites):,} places"
    title = f"The year with {unit}: middle place, and 5 % and 95 % of places{done}"
    return chapter(title, Table("years", "", tuple(columns), tuple(rows), across=True))


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
