"""What `heatcalc bridge` says: a drawn detail solved in two dimensions, or the ready details side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from heatcalc.model.detail_bridge import LOW_R_SHARE, BridgeAnswer
from heatcalc.report.bridge_figures import bridge_figure
from heatcalc.report.report import Caution, Column, Figure, Note, Report, Sentence, Table, bullets, chapter, chapters
from heatcalc.wording import Q, Said, Words, worded

PSI, FLOW, LENGTH = "linear thermal transmittance", "heat flow per length", "length"


def about_bridge(b: BridgeAnswer) -> Report:
    """One detail: heat, psi with its terms, the cold spot and what it bears, points, cautions."""
    d = b.detail
    points = Table("points", "", (Column("point"), Column("temperature", "temperature", decimals=1)), b.points)
    return Report(
        question="bridge",
        title=f"{d.title}  ({d.name})",
        under=(*([d.source] if d.source else []), *d.notes),
        decision=tuple(Sentence(words) for words in _decision(b)),
        chapters=chapters(
            chapter("Heat flow", *_heat(b)),
            chapter("Inner surface", *_surface(b)),
            chapter("Points", points if b.points else None),
            chapter("Drawing", Figure(d.name, d.title, _says(b), lambda system: bridge_figure(b, system))),
            chapter("Materials", *bullets(d.material_sources, Note)),
            chapter("Cautions", *bullets(b.cautions, Caution)),
        ),
        values=_rounded(_values(b)),
    )


def _decision(b: BridgeAnswer) -> Iterator[Said]:
    t = b.transmittance
    if t.psi_external_W_mK is None or t.psi_internal_W_mK is None or t.change_W_mK is None:
        yield worded("psi -: {}", t.reference)
    else:
        inner = worded(" by external lengths; {} by internal", Q(t.psi_internal_W_mK, PSI)) if t.plain_parts else ""
        yield worded("psi {}{} (last halving: {})", Q(t.psi_external_W_mK, PSI), inner, Q(t.change_W_mK, PSI))
    if b.temperature_factor is not None and b.mould_humidity_limit is not None:
        words = "temperature factor {:.2f}: room humidity up to {:.0%} keeps its coldest spot below 80 %"
        yield worded(words, b.temperature_factor, b.mould_humidity_limit)


def _heat(b: BridgeAnswer) -> Iterator[Said]:
    t, d = b.transmittance, b.detail
    changed = b.solution.last_change
    yield worded("heat flow {} ({:,} cells; the last halving changed it by {:.2%})", Q(b.heat_flow_W_m, FLOW), b.cells, changed)
    if t.coupling_W_mK is not None:
        yield worded("coupling L2D {}", Q(t.coupling_W_mK, PSI))
    for p in t.plain_parts:
        lengths = Q(p.internal_m, LENGTH, 2), Q(p.external_m, LENGTH, 2)
        yield worded("less {}: U {} x {} inside, {} outside ({})", p.name, Q(p.u_value_W_m2K, "U-value"), *lengths, p.origin)
    if t.reference_flow_W_mK is not None:
        yield worded("less {}: {}", Q(t.reference_flow_W_mK, PSI), t.reference)
    if b.added_u_value_W_m2K is not None and d.spacing_m is not None:
        added = Q(d.spacing_m, LENGTH, 2), Q(b.added_u_value_W_m2K, "U-value")
        yield worded("every {} it adds {} to the floor, wall or roof", *added)
    if b.low_r_share is not None:
        yield (
            f"{b.low_r_share:.1%} of the inside surface has less than half the plain R (24 CFR 3280.508(c), low-R paths over "
            f"1 % of the area: {'count it' if b.low_r_share > LOW_R_SHARE else 'below the 1 % line'})"
        )


def _surface(b: BridgeAnswer) -> Iterator[Said]:
    if b.surface_temperature_min_C is None or b.coldest_at_m is None:
        return
    x, y = (Q(v, LENGTH, 2) for v in b.coldest_at_m)
    air: Said = ""
    if b.inside_C is not None and b.outside_C is not None:
        air = worded(", room {}, outside {}", Q(b.inside_C, "temperature"), Q(b.outside_C, "temperature"))
    yield Words("coldest ", Q(b.surface_temperature_min_C, "temperature", 1), " at x ", x, " y ", y, air)
    if b.temperature_factor is None or b.sheltered_temperature_factor is None or b.mould_humidity_limit is None:
        return
    film = Q(0.25, "thermal resistance", 2)
    words = "temperature factor {:.2f}; {:.2f} behind furniture (film {}, ISO 13788)"
    yield worded(words, b.temperature_factor, b.sheltered_temperature_factor, film)
    yield (
        f"mould limit: room humidity up to {b.mould_humidity_limit:.0%} keeps this spot below 80 %; "
        f"condensation from {b.condensation_humidity:.0%}"
    )


def _says(b: BridgeAnswer) -> Said:
    return worded("the section by material, and its temperatures with isotherms; {}", Words(*list(_decision(b))[:1]))


def about_details(details: Sequence[dict[str, Any]]) -> Report:
    """The ready details with their psi."""
    heads = (
        Column("ready detail"),
        Column("psi, external lengths", PSI),
        Column("psi, internal lengths", PSI),
        Column("what it is"),
    )
    rows = tuple((d["name"], d["psi_external_W_mK"], d["psi_internal_W_mK"], d["title"]) for d in details)
    table = Table("details", "", heads, rows, head_units=True)
    title = "Ready details, psi computed from the drawings"
    return Report("bridge", title, chapters=chapters(chapter("Details", table)), values=_rounded(list(details)))


def _values(b: BridgeAnswer) -> dict[str, Any]:
    t, d = b.transmittance, b.detail
    own = ("heat_flow_W_m", "psi_W_mK", "surface_temperature_min_C", "temperature_factor", "cells", "added_u_value_W_m2K")
    more = ("mould_humidity_limit", "condensation_humidity", "low_r_share", "cautions")
    return {
        "name": d.name,
        "title": d.title,
        **{key: getattr(b, key) for key in (*own, *more)},
        "points": dict(b.points),
        "dimensions": d.dimensions,
        "psi_internal_W_mK": t.psi_internal_W_mK,
        "psi_external_W_mK": t.psi_external_W_mK,
        "psi_reference": t.reference,
        "psi_change_W_mK": t.change_W_mK,
        "coupling_W_mK": t.coupling_W_mK,
        "spacing_m": d.spacing_m,
        "temperature_factor_sheltered": b.sheltered_temperature_factor,
        "heat_flow_last_change": b.solution.last_change,
        "plain_parts": [vars(p) for p in t.plain_parts],
        "materials": list(d.material_sources),
        "source": d.source,
    }


def _rounded(said: Any) -> Any:
    """Numbers at the ninth digit: what the solver's last digits say is chance."""
    if isinstance(said, float):
        return float(f"{said:.9g}")
    if isinstance(said, dict):
        return {key: _rounded(value) for key, value in said.items()}
    return [_rounded(value) for value in said] if isinstance(said, (list, tuple)) else said
