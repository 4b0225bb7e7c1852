"""What `heatcalc reach` says: the share of places by unit, by climate zone, against the rule of thumb, the years."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from heatcalc.answers.reach.many_units import DRIES
from heatcalc.answers.reach.reach_study import PackageReach, Reach, RULE_W_m2, usual_unit, zone_table
from heatcalc.judge.rules import FITS, JUST, LARGE, WITH_HEATER, WORDS
from heatcalc.report.about_design import cautions_chapter
from heatcalc.report.reach_figures import map_figure, units_figure, zones_figure
from heatcalc.report.reach_values import reach_values, shared_warnings
from heatcalc.report.report import (
    Caution,
    Cell,
    Chapter,
    Column,
    Figure,
    Note,
    Report,
    Sentence,
    Table,
    bullets,
    chapter,
    chapters,
    stamped,
)
from heatcalc.wording import Q, Said, joined, worded

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
            chapter("Warnings of the places", *bullets(_minded(r), Caution)),
            chapter("What this says and does not say", *bullets(r.limits, Note), more=True),
            cautions_chapter(),
        ),
        values=reach_values(r, unit),
        stamp=stamped(None, r.packages[0].house.name),
    )


def _minded(r: Reach) -> list[Said]:
    return [f"{words} ({n:,} of {len(r.sites):,} places)" for words, n in shared_warnings(r).items()]


def _title(r: Reach) -> str:
    house = r.packages[0].house
    note = f" ({house.note})" if house.note else ""
    kinds = {"station": "weather stations", "county": "counties"}.get(r.sites.kind, "places")
    packages, units = (
        f"{n} {word}{'s' if n > 1 else ''}" for n, word in ((len(r.packages), "package"), (len(r.unit_names), "unit"))
    )
    return f"Where {house.name}{note} can go: {len(r.sites):,} {kinds}, {packages}, {units}"


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
    yield Figure("reach-map", f"Where {unit} carries the house", joined("; ", _map_says(r, unit)), lambda _: map_figure(r, unit))
    yield Figure("reach-units", "Which unit is recommended where", "; ".join(_units_say(r)), lambda _: units_figure(r))


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
    heads = (
        Column("zone"),
        Column("places", decimals=0),
        *(Column(f"load per floor: {end}", PER_FLOOR, decimals=0) for end in ("least", "middle", "most")),
        Column(f"{unit} fits", SHARE),
        Column("just carries", SHARE),
        Column("with a heater", SHARE),
        Column("most heater", unit="kW", decimals=1),
        Column("usual unit"),
    )
    rows = tuple(
        (
            z.zone,
            z.places,
            z.least_W_m2,
            z.middle_W_m2,
            z.most_W_m2,
            z.fits,
            z.just,
            z.with_backup,
            z.backup_W / 1000.0,
            z.usual_unit,
        )
        for z in zone_table(r, p, unit)
    )
    return chapter(f"{p.name} with {unit}, by climate zone (IECC 2021)", Table(f"zones {n}", "", heads, rows), more=n > 1)


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
    return Figure("reach-zones", title, says, lambda system: zones_figure(r, system))


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
