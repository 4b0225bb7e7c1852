"""What `heatcalc assembly` says: one assembly layer by layer, or several side by side, with moisture where a place is known."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from heatcalc.answers.envelope.assembly_answer import METHOD, AssemblyAnswer, record
from heatcalc.model.indoor_air import AirOverYear
from heatcalc.model.moisture import NEVER_COLD, MoistureAnswer
from heatcalc.report.about_explain import step_lines
from heatcalc.report.assembly_figures import section
from heatcalc.report.report import Bullet, Figure, Note, Report, Sentence, Working, bullets, chapter, chapters
from heatcalc.report.table import Column, Filling, Table, fields_of, table_of
from heatcalc.wording import SHORT_MONTHS, Q, Said, Words, joined, worded

PERMS_PER_SD = 2.0e-10 / 5.721e-11
U, R, WATER = "U-value", "thermal resistance", "condensed water"
ORDER = ("wall", "roof", "floor", "window", "door")
SIDE_BY_SIDE: tuple[Filling, ...] = (
    (Column("name"), "name"),
    (Column("kind"), "kind"),
    (Column("U", U), "u_value_W_m2K"),
    (Column("from", U, missing=""), lambda a: a.u.upper_limit if a.u else None),
    (Column("to", U, missing=""), lambda a: a.u.lower_limit if a.u else None),
    (Column("R", R), lambda a: 1.0 / a.u_value_W_m2K),
    (Column("thick", "thickness", missing=""), "thickness_m"),
    (Column("R per thickness", "resistance per thickness", missing=""), "resistance_per_metre"),
    (Column("weight", "mass per area", missing=""), "mass_kg_m2"),
    (Column("heat kept inside", "areal heat capacity", missing=""), lambda a: a.dynamics and a.dynamics.heat_capacity_inside),
    (Column("lag", unit="h", decimals=1, missing=""), lambda a: a.dynamics and a.dynamics.time_lag_h),
    (Column("price", "price per area", missing=""), "price_per_m2"),
)
MOIST = (Column("weakest point"), Column("has", decimals=2), Column("mould"), Column("inside"))
LAYERS: tuple[Filling, ...] = (
    (Column("inside to outside"), "name"),
    (Column("thickness", "thickness", decimals=(2, 1), missing=""), "thickness_m"),
    (Column("R", R, decimals=(2, 3), missing=""), lambda x: "(vented)" if x.cladding else x.resistance_m2K_W),
    (Column("framing", "fraction", missing=""), lambda x: x.framing_share or None),
    (Column("R framing", R, decimals=(2, 3), missing=""), "framing_resistance_m2K_W"),
    (Column("sd", "length", missing=""), "sd_m"),
    (Column("perm", decimals=1, missing=""), lambda x: PERMS_PER_SD / x.sd_m if x.sd_m > 0 else None),
    (Column("retarder"), lambda x: "" if x.retarder == "none" else x.retarder),
    (Column("weight", "mass per area", decimals=2, missing=""), "mass_kg_m2"),
    (Column("its inner side", "temperature", missing=""), "inner_C"),
)


def about_assemblies(answers: Sequence[AssemblyAnswer], wet: Sequence[MoistureAnswer | None]) -> Report:
    """Side by side, best U-value first within each kind."""
    paired = sorted(zip(answers, wet, strict=True), key=lambda x: (ORDER.index(x[0].kind), x[0].u_value_W_m2K))
    moist = [m for m in wet if m]
    kinds = [kind for kind in ORDER if any(a.kind == kind for a in answers)]
    whole = _filled("assemblies", [a for a, _ in paired])
    apart = [_filled(f"{kind}s", [a for a, _ in paired if a.kind == kind], {"kind"}) for kind in kinds]
    wettest = tuple((a.name, a.kind, *moisture_cells(m)) for a, m in paired if m)
    damp = Table("moisture", "", (Column("name"), Column("kind"), *MOIST), wettest)
    bases = list(dict.fromkeys(a.price_basis for a in answers if a.price_basis))
    return Report(
        question="assembly",
        title="Assemblies side by side, the best insulated of each kind first",
        decision=tuple(_decision(kinds, paired)),
        chapters=chapters(
            *(chapter(table.key.capitalize(), table) for table in apart),
            chapter("Moisture by ISO 13788", *((damp, *moisture_items(moist)) if moist else ())),
            chapter(
                "How to read it",
                Note(f"U by the {METHOD}; from and to are its two limits."),
                Note("Windows and doors: label, parts or default as their notes say; limits do not apply."),
                Note(f"Prices: {', '.join(bases)}; --prices FILE.toml takes your own.") if bases else None,
            ),
        ),
        values=_values(answers, wet),
        data=(whole,),
    )


def _decision(kinds: Sequence[str], paired: Sequence[tuple[AssemblyAnswer, MoistureAnswer | None]]) -> Iterator[Sentence]:
    """The best insulated of each kind, and what the moisture method minds."""
    best = {kind: next(a for a, _ in paired if a.kind == kind) for kind in kinds}
    named = joined("; ", (worded("{}: {}, U {}", kind, a.name, Q(a.u_value_W_m2K, U)) for kind, a in best.items()))
    yield Sentence(worded("Best insulated {}.", named))
    if any(m for _, m in paired):
        for heading, minded in (("Risk of mould", _mould), ("Water that stays inside", _stays_wet)):
            names = [a.name for a, m in paired if m and minded(m)]
            yield Sentence(f"{heading}: {'; '.join(names) or 'not seen in any'}.")


def _filled(key: str, answers: Sequence[AssemblyAnswer], without: Collection[str] = ()) -> Table:
    """A table of the columns in which some row says something."""
    whole = table_of(key, answers, *SIDE_BY_SIDE, head_units=True)
    said = [any(row[k] not in (None, "") for row in whole.rows) for k in range(len(whole.columns))]
    kept = [k for k, column in enumerate(whole.columns) if said[k] and column.head not in without]
    return table_of(key, answers, *(SIDE_BY_SIDE[k] for k in kept), head_units=True)


def _values(answers: Sequence[AssemblyAnswer], wet: Sequence[MoistureAnswer | None]) -> list[dict[str, Any]]:
    return [{**record(a), "moisture": _moisture_values(m)} if m else record(a) for a, m in zip(answers, wet, strict=True)]


def moisture_cells(m: MoistureAnswer) -> tuple[str, float, str, Said]:
    """The weakest point, its temperature factor, whether the method sees mould there, and the water inside."""
    return m.weakest.name, m.weakest.temperature_factor, "risk" if _mould(m) else "not seen", _inside(m)


def _mould(m: MoistureAnswer) -> bool:
    return bool(m.at_risk) or m.needed_factor >= 1.0


def _stays_wet(m: MoistureAnswer) -> bool:
    return bool(m.layered and m.wet) and not (m.dries_out and not m.too_wet)


def _inside(m: MoistureAnswer) -> Said:
    if not m.layered:
        return ""
    if not m.wet:
        return "none found"
    peak = max(w.peak_kg_m2 for w in m.wet)
    return worded("{}, {}{}", Q(peak, WATER), "dries" if m.dries_out else "stays wet", ", TOO MUCH" if m.too_wet else "")


def about_assembly(
    a: AssemblyAnswer, m: MoistureAnswer | None, indoor_C: float, outdoor_C: float | None, dew_C: float | None = None
) -> Report:
    """One assembly: U and what it rests on, layers, dynamics, moisture, notes."""
    return Report(
        question="assembly",
        title=f"{a.name} ({a.kind}): {a.title}",
        decision=(Sentence(worded("U {}, R {}", Q(a.u_value_W_m2K, U), Q(1.0 / a.u_value_W_m2K, R))), *_finding(m)),
        chapters=chapters(
            chapter("Moisture (ISO 13788)", *(moisture_items([m]) if m else ())),
            chapter("Layers", layers_table(a, indoor_C, outdoor_C)),
            chapter("U-value", *_heat(a)),
            chapter("Size, price and the day's swing", *_sizes(a)),
            chapter("Section", section_figure(a, indoor_C, outdoor_C, dew_C)),
            chapter("Notes", *bullets(a.notes), Bullet(f"source: {a.source}")),
        ),
        values=_values([a], [m]),
    )


def _finding(m: MoistureAnswer | None) -> tuple[Sentence, ...]:
    return (Sentence(m.verdict),) if m else ()


def section_figure(a: AssemblyAnswer, indoor_C: float, outdoor_C: float | None, dew_C: float | None = None) -> Figure | None:
    """The section to scale, where there are layers and two air temperatures."""
    if not a.lines or outdoor_C is None:
        return None
    says = worded("layers to scale from {} indoors to {} outdoors", Q(indoor_C, "temperature"), Q(outdoor_C, "temperature"))
    return Figure("section", a.name, says, partial(section, a, indoor_C, outdoor_C, dew_C))


def layers_table(a: AssemblyAnswer, indoor_C: float, outdoor_C: float | None, title: str = "") -> Table | None:
    """Layer by layer, films with them; temperatures where both air temperatures are known."""
    if not a.lines:
        return None
    warm = outdoor_C is not None
    blank: tuple[Any, ...] = (None, None, None, None, "", None)
    first = ("inside film", None, a.r_inside, *blank, *((indoor_C,) if warm else ()))
    last = ("outside film", None, a.r_outside, *blank, *((Words("outside ", Q(outdoor_C, "temperature")),) if warm else ()))
    layers = table_of("layers", a.lines, *(LAYERS if warm else LAYERS[:-1]), title=title, head_units=True)
    return replace(layers, rows=(first, *layers.rows, last))


def _heat(a: AssemblyAnswer) -> Iterator[Any]:
    if a.u is not None:
        spread = f", spread ±{a.spread:.1%}" if a.spread else ""
        plain = Q(a.u.parallel_path, U), Q(a.u.isothermal_planes, U)
        yield METHOD
        yield worded("limits {} to {}{}", Q(a.u.upper_limit, U), Q(a.u.lower_limit, U), spread)
        yield worded("without corrections: parallel path {}, isothermal planes {}", *plain)
        if a.u.correction:
            yield worded("gaps, fasteners and repeated bridges add {}", Q(a.u.correction, U))
    yield from (Working(lambda system, step=step: step_lines(step, system)) for step in a.corrections)  # type: ignore[misc]
    if a.shgc is not None:
        yield f"SHGC {a.shgc:.2f}"


def _sizes(a: AssemblyAnswer) -> Iterator[Said]:
    if a.thickness_m is not None and a.mass_kg_m2 is not None and a.resistance_per_metre is not None:
        thick, per = Q(a.thickness_m, "thickness"), Q(a.resistance_per_metre, "resistance per thickness")
        yield worded("thickness {}, R {}, weight {}", thick, per, Q(a.mass_kg_m2, "mass per area"))
    if a.price_per_m2 is not None:
        yield worded("price {} ({})", Q(a.price_per_m2, "price per area"), a.price_basis)
    if a.dynamics is not None:
        d = a.dynamics
        yield worded(
            "daily swing (ISO 13786): periodic transmittance {}, decrement {:.2f}, time lag {:.1f} h, inside heat capacity {}",
            Q(d.periodic_transmittance, U),
            d.decrement_factor,
            d.time_lag_h,
            Q(d.heat_capacity_inside, "areal heat capacity"),
        )


def moisture_items(some: Sequence[MoistureAnswer]) -> Iterator[Any]:
    """What the worst month asks for, the indoor air, the spots and the water of one, and the limits of the method."""
    first = some[0]
    yield Sentence(f"{_asked(first)}.")
    if len(some) == 1:
        yield from _spots(first)
    yield from air_items(first.air)
    yield Sentence("Limits of the method:")
    yield from bullets(list(dict.fromkeys(text for m in some for text in m.limits)))


def _spots(m: MoistureAnswer) -> Iterator[Any]:
    heads = (Column("point"), Column("temperature factor", decimals=2), Column("inside", "temperature"), Column("the limit"))
    rows = tuple((s.name, s.temperature_factor, s.surface_C, "above" if s.safe else "BELOW") for s in m.spots)
    yield Table("spots", "", heads, rows)
    yield from (Sentence(words) for words in (_dew_point(m), m.retarder) if words)
    if m.wet:
        wet = (Column("water gathers"), *(Column(month, WATER) for month in SHORT_MONTHS))
        yield Table("water", "", wet, tuple((w.where, *w.water_kg_m2) for w in m.wet), head_units=True)
        for w in m.wet:
            most, may = Q(w.peak_kg_m2, WATER), Q(w.limit.kg_m2, WATER)
            yield Sentence(worded("Water {}: at most {}; {} may gather there ({}).", w.where, most, may, w.limit.words))


def _asked(m: MoistureAnswer) -> str:
    if not m.needed_factor:
        return f"Temperature factor of the surface: {NEVER_COLD}"
    return f"The surface must reach temperature factor {m.needed_factor:.2f} in {m.critical_month}"


def air_items(air: AirOverYear) -> Iterator[Any]:
    """Where the indoor humidity comes from, and its twelve months."""
    yield Sentence(worded("Indoor air by {}.", air.basis))
    heads = (Column("indoor humidity"), *(Column(month, "fraction") for month in SHORT_MONTHS))
    yield Table("indoor humidity", "", heads, (("relative", *air.indoor_rh),))


def _dew_point(m: MoistureAnswer) -> Said:
    at = m.dew_point
    if at is None:
        return ""
    air = worded("In {} indoor air (dew point {})", at.month, Q(at.dew_point_C, "temperature"))
    if at.depth_m is None:
        return worded("{} would condense nowhere in it.", air)
    depth = Q(at.depth_m, "thickness")
    return worded("{} that reached it would condense from {} deep, in the {}.", air, depth, at.layer)


def _moisture_values(m: MoistureAnswer) -> dict[str, Any]:
    air = "basis=air.basis place=air.place indoor_C=air.indoor_C indoor_relative_humidity=air.indoor_rh"
    found = "needed_temperature_factor=needed_factor critical_month weakest=weakest.name dries_out finding=verdict"
    return {
        **fields_of(m, f"{air} {found} dew_point retarder limits"),
        "spots": [fields_of(s, "name temperature_factor surface_C below_mould_limit=safe") for s in m.spots],
        "condensation": [fields_of(w, "where water_kg_m2") for w in m.wet],
    }
