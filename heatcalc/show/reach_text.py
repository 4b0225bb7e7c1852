"""Where a model can go as text, as a record and as CSV."""

from __future__ import annotations

import csv
import io
from typing import Any

import numpy as np

from heatcalc import units
from heatcalc.answers.reach.many_units import DRIES, UnitReach
from heatcalc.answers.reach.reach_study import PackageReach, Reach, RULE_W_m2, usual_unit, zone_table
from heatcalc.judge.rules import FITS, JUST, LARGE, WITH_HEATER, WORDS
from heatcalc.judge.sizing import CAUTIONS
from heatcalc.show.words import columns, no_formula, wrapped

PER_PLACE = (
    "verdict",
    "chance",
    "most_heat_W",
    "backup_W",
    "held_C",
    "supply",
    "sensible_cooling_W",
    "latent_cooling_W",
    "humidity",
    "cold_A",
    "hot_A",
    "from_cord",
)


def reach_text(r: Reach, unit: str | None, system: str) -> str:
    """The whole answer, readable without a browser; the zone table is for `unit` or the one recommended most often."""
    named = unit or usual_unit(r)
    parts = [
        _heading(r),
        *(_units(r, p, system) for p in r.packages),
        _zones(r, r.packages[0], named, system),
        _rule(r, system),
        _years(r, named),
        _notes("What this says and does not say", r.limits),
        _notes("Cautions", CAUTIONS),
    ]
    return "\n\n".join("\n".join(p) for p in parts if p)


def _heading(r: Reach) -> list[str]:
    house = r.packages[0].house
    note = f" ({house.note})" if house.note else ""
    kinds = {"station": "weather stations", "county": "counties"}.get(r.sites.kind, "places")
    return [
        f"Where {house.name}{note} can go: {len(r.sites):,} {kinds}, {len(r.packages)} package"
        f"{'s' if len(r.packages) > 1 else ''}, {len(r.unit_names)} unit{'s' if len(r.unit_names) > 1 else ''}"
    ]


def unit_rows(p: PackageReach, system: str) -> list[tuple[str, ...]]:
    """Share of places by unit; head row first."""
    head = ("unit", *WORDS, "most heater", "dries well", "coldest hour", "recommended")
    rows: list[tuple[str, ...]] = [head]
    for k, u in enumerate(p.units):
        carried = np.isin(u.verdict, (FITS, JUST, WITH_HEATER, LARGE))
        backup = f"{u.backup_W[carried].max() / 1000:.1f} kW" if carried.any() else "-"
        amperes = f"{u.cold_A[carried].max():.1f} A" if carried.any() else "-"
        shares = [*((u.verdict == word).mean() for word in WORDS)]
        rows.append(
            (
                u.unit.name,
                *(f"{s:.0%}" for s in shares),
                backup,
                f"{(u.humidity == DRIES).mean():.0%}",
                amperes,
                f"{(p.best == k).mean():.0%}",
            )
        )
    return rows


def _units(r: Reach, p: PackageReach, system: str) -> list[str]:
    none = int((p.best < 0).sum())
    lines = [f"{p.name}: share of places", *columns(unit_rows(p, system), right=tuple(range(1, 11)))]
    return lines + ([f"  no unit here carries it at {none} places"] if none else [])


def zone_rows(r: Reach, p: PackageReach, unit: str, system: str) -> list[tuple[str, ...]]:
    """One unit by climate zone; head row first."""
    rows: list[tuple[str, ...]] = [
        (
            "zone",
            "places",
            "load per floor: least",
            "middle",
            "most",
            f"{unit} fits",
            "just carries",
            "with a heater",
            "most heater",
            "usual unit",
        )
    ]
    for z in zone_table(r, p, unit):
        loads = [units.text(w, "heat flow density", system, 0) for w in (z.least_W_m2, z.middle_W_m2, z.most_W_m2)]
        rows.append(
            (
                z.zone,
                str(z.places),
                *loads,
                f"{z.fits:.0%}",
                f"{z.just:.0%}",
                f"{z.with_backup:.0%}",
                f"{z.backup_W / 1000:.1f} kW",
                z.usual_unit,
            )
        )
    return rows


def _zones(r: Reach, p: PackageReach, unit: str, system: str) -> list[str]:
    return [
        f"{p.name} with {unit}, by climate zone (IECC 2021)",
        *columns(zone_rows(r, p, unit, system), right=tuple(range(1, 9))),
    ]


def _rule(r: Reach, system: str) -> list[str]:
    low, high = (units.text(w, "heat flow density", system, 0) for w in RULE_W_m2)
    lines = [f"The rule of {low} to {high} of floor (common practice, no source)"]
    for p in r.packages:
        load = p.per_floor_W_m2
        below, above = (load < RULE_W_m2[0]).mean(), (load > RULE_W_m2[1]).mean()
        lines.append(
            f"  {p.name}: computed load below it at {below:.0%} of places, within at {1 - below - above:.0%}, "
            f"above at {above:.0%}"
        )
    return lines


def _years(r: Reach, unit: str) -> list[str]:
    if r.years is None:
        return []
    k = r.unit_names.index(unit)
    rows: list[tuple[str, ...]] = [
        ("package", "heating", "cooling", "idle", "backup heat", "hours backup runs", "hours too warm")
    ]
    for n, p in enumerate(r.packages):
        cells = []
        for name in ("heating_kWh", "cooling_kWh", "idle_kWh", "backup_kWh", "backup_h", "too_warm_h"):
            low, middle, high = r.years.middle(name, n, k)
            cells.append(f"{middle:,.0f} ({low:,.0f}-{high:,.0f})")
        rows.append((p.name, *cells))
    done = "" if r.years.walked == len(r.sites) else f"; stopped early, the first {r.years.walked:,} of {len(r.sites):,} places"
    return [f"The year with {unit}: middle place (5 % to 95 % of places); kWh and hours{done}", *columns(rows)]


def _notes(title: str, notes: tuple[str, ...]) -> list[str]:
    return [title, *(w for note in notes for w in wrapped("- " + note))]


def reach_csv(r: Reach) -> str:
    """One line for each place, package and unit; SI."""
    out = io.StringIO()
    years = tuple(r.years.sums) if r.years else ()
    write = csv.writer(out, lineterminator="\n")
    write.writerow(
        (
            "key",
            "place",
            "zone",
            "lat",
            "lon",
            "elevation_m",
            "package",
            "unit",
            "design_C",
            "heating_W",
            "heating_996_W",
            "sensible_W",
            "latent_W",
            *PER_PLACE,
            "recommended",
            "lock_out",
            *years,
        )
    )
    for n, p in enumerate(r.packages):
        for k, u in enumerate(p.units):
            write.writerows(_lines(r, n, k, p, u, years))
    return out.getvalue()


def _lines(r: Reach, n: int, k: int, p: PackageReach, u: UnitReach, years: tuple[str, ...]) -> Any:
    s, m = r.sites, p.loads
    numbers = [np.round(x, 3).tolist() for x in (s.lat, s.lon, s.elevation_m)]
    loads = [np.round(x, 2).tolist() for x in (m.design_C, m.heating_W, m.heating_996_W, m.sensible_W, m.latent_W)]
    judged = [_plain(getattr(u, name)) for name in PER_PLACE]
    walked = [_plain(np.round(r.years.sums[y][n, k], 1)) for y in years] if r.years else []
    best = (p.best == k).tolist()
    lock_out = np.where(p.best == k, p.lock_out, "").tolist()
    names = [no_formula(p.name)] * len(s), [no_formula(u.unit.name)] * len(s)
    return zip(s.key, s.name, s.zone, *numbers, *names, *loads, *judged, best, lock_out, *walked, strict=True)


def _plain(values: np.ndarray) -> list[Any]:
    if values.dtype.kind != "f":
        return values.tolist()
    return ["" if not np.isfinite(v) else round(v, 3) for v in values.tolist()]


def reach_record(r: Reach, unit: str | None) -> dict[str, Any]:
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
