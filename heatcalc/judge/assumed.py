"""Every default and modelling choice behind a sizing, with its source: what was taken where nothing was said."""

from __future__ import annotations

from dataclasses import dataclass

from heatcalc.inputs.house.house_record import House, trailers
from heatcalc.model.bridge_lines import BridgeLine, credit_W_K, trailer_lines
from heatcalc.model.comfort import STRATIFIED
from heatcalc.model.designer import DESIGN_WIND_COOLING_M_S, DESIGN_WIND_HEATING_M_S, Designer
from heatcalc.model.house_model import HouseModel
from heatcalc.model.part import OpaquePart
from heatcalc.model.parts import KINDS, absorptance
from heatcalc.physics.unit.heat_pump import rule
from heatcalc.tables import rows
from heatcalc.wording import Q, Said, Words, joined, worded


@dataclass(frozen=True)
class Assumption:
    """One default or modelling choice: its name, its value in words, why, and where it comes from."""

    name: str
    value: Said
    why: Said
    source: Said


NEVER_DRAWN = ("tongue", "jacks", "steps", "three-way corners")
DEFAULT = "not in the house file: default"


def assumptions_of(designer: Designer) -> tuple[Assumption, ...]:
    """Assumptions in the order of the calculation: place, shell, air, sun, people, method."""
    return (*_place(designer), *_shell(designer), *_air(designer), *_method(designer), _parts_of_the_room())


def _parts_of_the_room() -> Assumption:
    return Assumption(
        "loft, floor and a bath behind a shut door", "told where one is far from the room", "no rooms are asked for", STRATIFIED
    )


def _said(house: House, table: str, field: str | None = None) -> str:
    given = table in house.model_fields_set and (field is None or field in getattr(house, table).model_fields_set)
    return "from the house file" if given else DEFAULT


def _place(d: Designer) -> list[Assumption]:
    c, house = d.conditions, d.model.house
    return [
        Assumption(
            "design percentile",
            house.design.percentile,
            _said(house, "design", "percentile"),
            "99 % heating and 1 % cooling: ASHRAE Handbook - Fundamentals 2021 ch. 17",
        ),
        Assumption(
            "design temperatures",
            worded("{} heating, {} cooling", Q(c.heating_C, "temperature"), Q(c.cooling_1_C, "temperature")),
            "climate record of the place",
            c.source,
        ),
        Assumption(
            "which way it stands",
            house.site.front_faces,
            _said(house, "site", "front_faces"),
            "the worst of eight is taken where unknown; a transportable house may stand any way round",
        ),
    ]


def _shell(d: Designer) -> list[Assumption]:
    house = d.model.house
    siding, roof = absorptance(house.colours.siding, "siding"), absorptance(house.colours.roof, "roof")
    seen = {p.assembly: p.source for p in d.model.parts}
    return [
        Assumption(
            "areas", "outside dimensions", "they cover corners without bridges of their own", "common convention of ISO 13789"
        ),
        *(
            Assumption("assembly", name, _said(house, "assemblies"), source or "shelf of assemblies")
            for name, source in seen.items()
        ),
        Assumption("siding absorbs", f"{siding[0]:.0%} of the sun", _said(house, "colours", "siding"), siding[1]),
        Assumption("roof absorbs", f"{roof[0]:.0%} of the sun", _said(house, "colours", "roof"), roof[1]),
        *_claddings(d.model.opaque),
        *_credits(d.model.lines),
        *_steel(d.model),
        *_shutters(d.model),
        Assumption(
            "under the floor",
            house.below.kind,
            _said(house, "below", "kind"),
            "ISO 6946 over open air; ISO 13370 (from memory) over a skirted space or the ground",
        ),
        Assumption(
            "furniture",
            worded("{} of floor", Q(house.furniture, "mass per area")),
            _said(house, "furniture"),
            "common practice, no source",
        ),
    ]


def _claddings(parts: tuple[OpaquePart, ...]) -> list[Assumption]:
    behind = {p.assembly: p for p in parts if p.sun_share < 1.0}
    return [
        Assumption(
            f"behind the cladding of {name}",
            f"{part.taken_in:.0%} of the sun and cool sky that a bare face would feel",
            "its cavity is at outdoor air (ISO 6946) and the warm cladding radiates to the wall",
            "own choice",
        )
        for name, part in behind.items()
    ]


def _credits(lines: tuple[BridgeLine, ...]) -> list[Assumption]:
    known = {kind.word: credit_W_K(lines, kind.name) for kind in KINDS.values() if kind.layered}
    return [
        Assumption(
            f"negative psi of the {word}",
            worded("{} less, taken off their area", Q(credit, "heat loss coefficient")),
            "from the house file",
            "outside dimensions count outer corners twice (convention of ISO 13789)",
        )
        for word, credit in known.items()
        if credit
    ]


def _shutters(model: HouseModel) -> list[Assumption]:
    """Where closed shutters count."""
    behind = [w for w in model.windows if w.said.shutter]
    if not behind:
        return []
    always = [w.name for w in behind if w.said.shutter_closed == "always"]
    value = worded("{}; in the design cold {}", ", ".join(w.name for w in behind), ", ".join(always) or "none")
    why = "closed shutters count in their hours of the year, in the design cold only where always closed, in cooling loads never"
    source = "U = 1/(1/U + R), form of ISO 10077-1; a conductance from room to outdoors lowered in those hours is an own choice"
    return [Assumption("closed shutters", value, why, source)]


def _steel(model: HouseModel) -> list[Assumption]:
    """Which steel of the trailer counts and which does not; a house on a foundation has none."""
    if model.house.built_as == "house on a foundation":
        return []
    counted = [Words(line.name, " ", Q(line.length_m, "length")) for line in model.lines if line.psi_W_mK > 0]
    drawn, patterns = {line.detail for line in model.lines}, rows("trailer_steel")
    seen = {r["place"] for r in patterns if r["detail"] in drawn}
    left = ", ".join([*dict.fromkeys(r["place"] for r in patterns if r["place"] not in seen), *NEVER_DRAWN])
    own = any(line.detail not in {r["detail"] for r in patterns} for line in model.lines)
    why = Words(f"not counted{', unless a line of your own is it' if own else ''}: {left}")
    if not counted:
        least, most = (Q(f(_steel_W_K(t, model) for t in trailers()), "heat loss coefficient") for f in (min, max))
        why += worded('; trailer = "{}" in the house file would add some: {} to {}, by trailer', trailers()[0], least, most)
    value = joined(", ", counted) if counted else "none"
    return [Assumption("steel that counts", value, why, "ready details by size of the floor (own choice, invented dimensions)")]


def _steel_W_K(trailer: str, model: HouseModel) -> float:
    return sum(line.loss_W_K for line in trailer_lines(trailer, model.shell))


def _air(d: Designer) -> list[Assumption]:
    house, leak, fan = d.model.house, d.model.air.leakage, d.model.air
    loft, stated = house.loft.warmer_by if house.loft else 0.0, f"{leak.ach50:.1f} ACH50"
    return [
        Assumption(
            "airtightness",
            house.air.tightness if house.air.tightness == stated else f"{house.air.tightness} = {stated}",
            _said(house, "air", "tightness"),
            leak.mark if leak.source == "the house file" else f"{leak.source} ({leak.mark})",
        ),
        Assumption(
            "infiltration",
            f"enhanced model, {fan.inputs.storeys:.2f} storeys, {'a' if fan.inputs.flue else 'no'} flue, "
            f"{house.air.shelter} to the wind",
            worded("storeys are the room's height over {}, straight between columns", Q(2.5, "length")),
            "ASHRAE Handbook - Fundamentals 2021 ch. 16 eqs. 47-50; the storeys are an own choice",
        ),
        Assumption(
            "design wind",
            worded("{} heating, {} cooling", Q(DESIGN_WIND_HEATING_M_S, "speed"), Q(DESIGN_WIND_COOLING_M_S, "speed")),
            "at the airport",
            "ASHRAE Handbook - Fundamentals 2021 ch. 17",
        ),
        Assumption(
            "ventilation",
            worded("{}, {}", Q(fan.balanced_m3_s + fan.unbalanced_m3_s, "air flow"), house.ventilation.kind),
            _said(house, "ventilation", "rate"),
            "ASHRAE 62.2 by formula: 0.15 A + 3.5 (bedrooms + 1) L/s",
        ),
        _films(house),
        Assumption(
            "loft",
            worded("air under the roof {} warmer in winter", Q(loft, "temperature difference")),
            _said(house, "loft"),
            worded("owners report up to {}: common practice, no source", Q(10 / 1.8, "temperature difference")),
        ),
        Assumption(
            "people and living",
            f"{house.living.people} people, home {house.living.home}",
            _said(house, "living"),
            "tables of occupant heat and appliances, each row with its source",
        ),
    ]


def _films(house: House) -> Assumption:
    moved = worded("{} moved, {:.0%} of every surface swept", Q(house.air.head_flow, "air flow"), rule("head_sweeps"))
    source = (
        "mixed convection by Awbi and Hatton 2000, from memory; its flow: common practice, no source; still air (ISO 6946) in a "
        "power cut, in every card's U and in hand methods"
    )
    why = _said(house, "air", "head_flow")
    return Assumption("inside films beside the head", moved if house.air.head_flow else "those of still air", why, source)


def _method(d: Designer) -> list[Assumption]:
    s = d.model.house.set_points
    return [
        Assumption(
            "set points",
            worded(
                "{} heating, {} cooling, {:.0%} humidity in summer",
                Q(s.heating, "temperature"),
                Q(s.cooling, "temperature"),
                s.cooling_humidity,
            ),
            _said(d.model.house, "set_points"),
            worded("24 CFR 3280.506 ({}) and ASHRAE Handbook - Fundamentals 2021 ch. 17", Q(38 / 1.8, "temperature")),
        ),
        Assumption(
            "heating load",
            "steady, no sun, no gains; the room feels as warm as the set point",
            "felt temperature is the mean of air and radiant temperature",
            "ISO 7726; handbook practice",
        ),
        Assumption(
            "cooling load",
            "clear repeating day, each month that can peak",
            "hour by hour in the same network",
            "design day of ASHRAE Handbook - Fundamentals 2021 ch. 14; sun by Perez et al. 1990",
        ),
        Assumption(
            "sun inside",
            "half on the floor, a tenth on light things, the rest by area",
            "no room geometry is asked for",
            "own choice; shifts the peak, hardly the day's sum",
        ),
    ]
