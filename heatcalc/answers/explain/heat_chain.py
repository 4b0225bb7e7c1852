"""The chain behind heat losses and gains: parts, U-values, the felt temperature, components of the loads."""

from __future__ import annotations

from dataclasses import replace

from heatcalc.answers.envelope.assembly_answer import correction_steps
from heatcalc.answers.envelope.step import Step, summed, token
from heatcalc.answers.explain import air_chain as explain_air
from heatcalc.answers.methods.hand_method import difference_K
from heatcalc.answers.methods.time_series_house import hand_time_series
from heatcalc.inputs.assembly.assembly_file import DoorAssembly, OpaqueAssembly
from heatcalc.judge.sizing import SizeResult
from heatcalc.model.part import OpaquePart, WindowPart
from heatcalc.physics.shell.layers import (
    Layer,
    equivalent_resistance,
    heat_paths,
    lower_limit_resistance,
    u_value,
    upper_limit_resistance,
)
from heatcalc.wording import Q, Said, worded

ISO6946, CH14, EQ33 = (
    "ISO 6946",
    "ASHRAE Handbook - Fundamentals 2021 ch. 14",
    "ASHRAE Handbook - Fundamentals 2021 ch. 17 eq. 33",
)
Layered = OpaqueAssembly | DoorAssembly


def design_temperature(r: SizeResult) -> Step:
    """The outdoor design temperature and where it comes from."""
    place, c = r.place, r.designer.conditions
    return Step(
        "T_out",
        f"outdoor design temperature, {r.house.design.percentile}",
        c.heating_C,
        "temperature",
        source=c.source,
        note=worded(
            "climate grade {}, one sigma {}, at {}; exceeded in {} of the hours of a year",
            place.grade,
            Q(place.sigma_heating_K, "temperature difference"),
            Q(place.elevation_m, "length"),
            r.house.design.percentile,
        ),
    )


def difference(r: SizeResult) -> Step:
    """Set point less design temperature."""
    return explain_air.difference(r.designer, r.heating.outdoor_C, r.designer.conditions.source)


def heating_load(r: SizeResult) -> Step:
    """The sum of the components, and the same by hand."""
    parts = tuple(_brief(r, name) for name in r.heating.components_W)
    dT, flow = difference(r), explain_air.carrying_flow(r.designer, r.heating.outdoor_C, difference(r))
    by_hand = Step(
        "Q_hand",
        "the same by hand",
        r.heating.hand_check_W,
        "power",
        "({UA} + {C} x {V}) x {dT}",
        (ua(r), explain_air.heat_factor(r.designer), flow, dT),
        EQ33,
        "every surface as warm as the air, no loft, no ground: it differs from the solve by what the room feels",
    )
    return summed(
        "Q", "heating load", r.heating.load_W, "power", parts, "steady state, no sun, no gains", _solve_note(r), (by_hand,)
    )


def _brief(r: SizeResult, name: str) -> Step:
    """A component in the sum; its hand check has a chain of its own."""
    whole = component(r, name)
    return (
        replace(whole, note="", check=(), source=f"{whole.source}; by hand: explain {name.replace(' ', '_')}")
        if whole.check
        else whole
    )


def _solve_note(r: SizeResult) -> Said:
    nodes = len(r.designer.model.still.node_names)
    return worded(
        "a linear solve of {} nodes shares the heat between the parts: the air is as warm as it "
        "takes for the room to feel like {}, the mean of air and radiant temperature (ISO 7726); inside films beside the "
        "head: explain u_value:PART",
        nodes,
        Q(r.heating.indoor_C, "temperature"),
    )


def component(r: SizeResult, name: str) -> Step:
    """One component of the heating load."""
    if name in ("infiltration", "ventilation"):
        return air_component(r, name)
    return Step(
        f"Q_{token(name)}",
        f"heat through {name}",
        r.heating.components_W[name],
        "power",
        source="its share of the solve",
        note=_solve_note(r),
        check=(by_hand(r, name),),
    )


def by_hand(r: SizeResult, name: str) -> Step:
    """A component by hand: U x A x dT, the parts of one assembly and one difference together."""
    lines = tuple(_line(r, f"Q_{k}", name, met, group) for k, (met, group) in enumerate(_alike(r, name), 1))
    if len(lines) == 1:
        return replace(lines[0], symbol=f"Q_{token(name)}-by-hand", name=f"{name} by hand")
    return summed(f"Q_{token(name)}-by-hand", f"{name} by hand", sum(x.value for x in lines), "power", lines)


def _line(r: SizeResult, symbol: str, name: str, met_K: float, group: list[OpaquePart | WindowPart]) -> Step:
    loss = sum(p.ua_W_K for p in group)
    if not group[0].of.radiates:
        return Step(
            symbol,
            f"{name}: {group[0].name}",
            loss * met_K,
            "power",
            "{UA} x {dT}",
            (_conductance("UA", name, group), _met(r, met_K)),
            EQ33,
        )
    return Step(
        symbol,
        worded("{}: {}", name, group[0].assembly),
        loss * met_K,
        "power",
        "{U} x {A} x {dT}",
        (*_u_and_area(group), _met(r, met_K)),
        EQ33,
    )


def _conductance(symbol: str, name: str, group: list[OpaquePart | WindowPart]) -> Step:
    """U x A of equal parts; of a thermal bridge psi x length, said as its assembly says it."""
    loss = sum(p.ua_W_K for p in group)
    if not group[0].of.radiates:
        return Step(
            symbol, worded("{}: {}", group[0].name, group[0].assembly), loss, "heat loss coefficient", source=group[0].source
        )
    return Step(symbol, worded("{}: {}", name, group[0].assembly), loss, "heat loss coefficient", "{U} x {A}", _u_and_area(group))


def _alike(r: SizeResult, name: str) -> list[tuple[float, list[OpaquePart | WindowPart]]]:
    """Parts of one component, those of equal U and difference together."""
    groups: dict[tuple, list] = {}
    for part in (p for p in r.designer.model.cold.parts if p.component == name):
        groups.setdefault((part.assembly, round(part.u_value, 9), round(difference_K(r.designer, part), 9)), []).append(part)
    return [(difference_K(r.designer, group[0]), group) for group in groups.values()]


def _met(r: SizeResult, met_K: float) -> Step:
    usual = difference(r)
    if abs(met_K - usual.value) < 1e-9:
        return usual
    return Step(
        "dT",
        "temperature difference of this part",
        met_K,
        "temperature difference",
        source="the warm layer of a loft, or the space or ground below, in place of the outdoor air",
    )


def _u_and_area(group: list[OpaquePart | WindowPart]) -> tuple[Step, Step]:
    first = group[0]
    chain = f"; chain: explain u_value:{token(first.name)}" if first.of.layered else ""
    u = Step("U", worded("U of {}", first.assembly), first.u_value, "U-value", source=f"{first.source}{chain}")
    areas = tuple(Step(f"A_{k}", p.name, p.area_m2, "area") for k, p in enumerate(group, 1))
    source = "house file: outside dimensions, openings and any negative psi taken out"
    if len(areas) == 1:
        return u, Step("A", first.name, first.area_m2, "area", source=source)
    return u, summed("A", "area", sum(p.area_m2 for p in group), "area", areas, source)


def air_component(r: SizeResult, name: str) -> Step:
    """Infiltration or ventilation: its share of the heat of the outdoor air."""
    dT = difference(r)
    flow, factor = explain_air.carrying_flow(r.designer, r.heating.outdoor_C, dT), explain_air.heat_factor(r.designer)
    whole = _air_heat(r, flow, factor)
    leaks = explain_air.leak(r.designer, r.heating.outdoor_C, dT)
    share = "min({V_leak} / {V}, 1)"
    formula = f"{{Q_air}} x {share}" if name == "infiltration" else f"{{Q_air}} x (1 - {share})"
    return Step(
        f"Q_{name}",
        f"heat of {name}",
        r.heating.components_W[name],
        "power",
        formula,
        (whole, leaks, flow),
        "the outdoor air's heat shared by flow: the leak first, the rest is the fans'",
    )


def _air_heat(r: SizeResult, flow: Step, factor: Step) -> Step:
    watts = r.heating.components_W["infiltration"] + r.heating.components_W["ventilation"]
    met = watts / (factor.value * flow.value) if flow.value > 0 else 0.0
    air = Step(
        "T_air",
        "air temperature of the solve",
        r.heating.outdoor_C + met,
        "temperature",
        source="linear solve",
        note=worded("as warm as it takes for the room to feel like {}", Q(r.heating.indoor_C, "temperature")),
    )
    out = Step("T_out", "outdoor design temperature", r.heating.outdoor_C, "temperature", source=r.designer.conditions.source)
    return Step(
        "Q_air", "heat of the outdoor air", watts, "power", "{C} x {V} x ({T_air} - {T_out})", (factor, flow, air, out), EQ33
    )


def ua(r: SizeResult) -> Step:
    """U x A of the whole shell, part by part."""
    groups = [
        (name, group) for name in dict.fromkeys(p.component for p in r.designer.model.parts) for _, group in _alike(r, name)
    ]
    lines = tuple(_conductance(f"UA_{k}", name, group) for k, (name, group) in enumerate(groups, 1))
    return summed("UA", "heat loss coefficient of the shell", r.heating.ua_W_K, "heat loss coefficient", lines, "ISO 13789")


def air_exchange(r: SizeResult) -> Step:
    """Air changes an hour at the design cold."""
    return explain_air.air_changes(r.designer, r.heating.outdoor_C, difference(r), r.heating.air_changes_per_h)


def part_u_value(part: OpaquePart | WindowPart) -> Step:
    """U of one part: films and layers, or a label."""
    assembly = part.fabric
    if isinstance(part, WindowPart) or not isinstance(assembly, Layered) or not assembly.layers:
        return Step("U", f"U of {part.name}", part.u_value, "U-value", source=worded("{}; {}", part.assembly, part.source))
    films = (
        Step("R_si", "inside film", part.r_inside, "thermal resistance", source=f"{ISO6946}, {part.kind}"),
        _body(part, assembly),
        Step(
            "R_se",
            "outside film" if part.body.boundary == "outdoor" else "what lies below",
            part.r_outside,
            "thermal resistance",
            source=ISO6946 if part.body.boundary == "outdoor" else "ISO 13370 (from memory)",
        ),
    )
    return Step(
        "U",
        f"U of {part.name}",
        part.u_value,
        "U-value",
        "1 / ({R_si} + {R_body} + {R_se})",
        films,
        ISO6946,
        worded("assembly {}: {}", part.assembly, part.source),
    )


def _body(part: OpaquePart, assembly: Layered) -> Step:
    """Resistance of the layers, the assembly's films taken off again, by the combined method."""
    layers, found = assembly.layers, u_value(assembly.layers, assembly.r_inside, assembly.r_outside)
    si, se = (
        Step(s, f"{w} film", v, "thermal resistance", source=ISO6946)
        for s, w, v in (("R_si", "inside", assembly.r_inside), ("R_so", "outside", assembly.r_outside))
    )
    total = Step(
        "R_c" if found.correction else "R_T",
        "combined total before corrections" if found.correction else "combined total",
        1.0 / (found.combined - found.correction),
        "thermal resistance",
        "({R_up} + {R_lo}) / 2",
        (_upper(layers, si, se), _lower(layers, si, se)),
        f"{ISO6946}, combined method",
    )
    if found.correction and isinstance(assembly, OpaqueAssembly):
        more = correction_steps(assembly)
        formula = f"1 / (1 / {{R_c}} + {' + '.join(f'{{{s.symbol}}}' for s in more)})"
        total = Step("R_T", "total with every correction", found.r_total, "thermal resistance", formula, (total, *more), ISO6946)
    return Step(
        "R_body",
        "layers with their framing",
        sum(part.body.resistance),
        "thermal resistance",
        "{R_T} - {R_si} - {R_so}",
        (total, si, se),
    )


def _upper(layers: tuple[Layer, ...], si: Step, se: Step) -> Step:
    paths = heat_paths(layers, si.value, se.value)
    parts = tuple(
        step
        for k, (share, resistance) in enumerate(paths, 1)
        for step in (
            Step(f"f{k}", f"share of path {k}", share, "number", source="framing of the assembly"),
            Step(f"R{k}", f"films and layers along path {k}", resistance, "thermal resistance", source="sum of layers"),
        )
    )
    formula = "1 / (" + " + ".join(f"{{f{k}}} / {{R{k}}}" for k in range(1, len(paths) + 1)) + ")"
    return Step(
        "R_up",
        "upper limit: heat goes straight",
        upper_limit_resistance(layers, si.value, se.value),
        "thermal resistance",
        formula,
        parts,
        ISO6946,
    )


def _lower(layers: tuple[Layer, ...], si: Step, se: Step) -> Step:
    rows = tuple(
        Step(
            f"r{k}",
            layer.name,
            equivalent_resistance(layer),
            "thermal resistance",
            source="thickness over conductivity" + (", framing in parallel" if layer.bridges else ""),
        )
        for k, layer in enumerate(layers, 1)
    )
    return summed(
        "R_lo",
        "lower limit: every layer at one temperature",
        lower_limit_resistance(layers, si.value, se.value),
        "thermal resistance",
        (si, *rows, se),
        ISO6946,
    )


def cooling_load(r: SizeResult) -> Step:
    """Sensible and latent load of the design hour."""
    c = r.designer.cooling
    causes = tuple(
        Step(f"Q_{token(name)}", name, float(series[c.peak_hour - 1]), "power", source="its share of the solve")
        for name, series in c.components_W.items()
    )
    day = worded(
        "month {}, hour ending {}:00, front to the {}; a linear solve of the repeating day, air held "
        "at {}; {} outdoors at its end",
        c.month,
        c.peak_hour,
        c.front_faces,
        Q(r.house.set_points.cooling, "temperature"),
        Q(c.outdoor_at_peak_C, "temperature"),
    )
    sensible = summed("Q_sensible", "sensible load", c.peak_sensible_W, "power", causes, f"{CH14}: clear design day", day)
    latent = Step("Q_latent", "latent load", c.latent_at_peak_W, "power", source="moist outdoor air and people; never below nil")
    return summed(
        "Q",
        "cooling load of the design hour",
        c.peak_sensible_W + c.latent_at_peak_W,
        "power",
        (sensible, latent),
        check=(_time_series(r),),
    )


def _time_series(r: SizeResult) -> Step:
    """The same day by the radiant time series, a method of its own."""
    found = hand_time_series(r.designer, r.designer.cooling)
    parts = tuple(Step(f"S_{token(name)}", name, watts, "power") for name, watts in found.cooling_W.items())
    return summed(
        "S",
        f"sensible load by {found.method}, hour ending {found.peak_hour}:00",
        found.cooling_total_W,
        "power",
        parts,
        found.source,
    )
