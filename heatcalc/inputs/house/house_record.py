"""A house as its builder describes it, checked once and frozen.  All values SI; everything but the body has a default."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, PrivateAttr, WithJsonSchema, model_validator

from heatcalc import units
from heatcalc.errors import nearest
from heatcalc.inputs.checked import Checked, quantity
from heatcalc.inputs.house.house_pieces import Door, Face, Fleet, SetPoints, Size, WindowIn
from heatcalc.inputs.house.living import Living
from heatcalc.inputs.house.one_list import one_list
from heatcalc.inputs.supply.supply_record import Supply, Tariff
from heatcalc.tables import rows

Length = quantity("length", 0.02, 30.0, "a transportable house is at most about 45 ft long")
Outdoors = quantity("temperature", -60.0, 55.0, "recorded outdoor design temperatures")
STEEPEST = 2.0
HEAD_FLOW_M3_S = units.parse("300 cfm", "air flow")  # 400 cfm a ton (common practice, no source) of a 9 kBtu/h head (own choice)


def _rise_over_run(said: object) -> object:
    """`0.5`, "6 in 12" or "6:12" as rise over run."""
    written = re.fullmatch(r"(\d+(?:\.\d+)?) ?(?:in|:|/) ?(\d+(?:\.\d+)?)", said.strip()) if isinstance(said, str) else None
    value = float(written[1]) / float(written[2]) if written and float(written[2]) else said
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value <= STEEPEST:
        raise ValueError(f"allowed 0 to {STEEPEST:g}, rise over run: 6 in 12 is 0.5")
    return value


Slope = Annotated[
    float,
    BeforeValidator(_rise_over_run),
    WithJsonSchema(
        {"type": ["number", "string"], "description": 'rise over run: 0.5 or "6 in 12"', "examples": [0.5, "6 in 12"]}
    ),
]


def _both(value: float, kind: str) -> str:
    """A quantity in both unit systems."""
    ip, si = (units.text(value, kind, system) for system in ("ip", "si"))
    return f"{ip} ({si})"


class Body(Checked):
    """The main box, outside sizes; the length runs from the hitch end (front) to the back."""

    length: quantity("length", 2.0, 16.0, "a transportable house")
    width: quantity("length", 1.5, 5.5, "a transportable house")
    wall_height: quantity("length", 1.8, 5.0, "floor underside to wall plate")


class Dormer(Checked):
    """A shed dormer in one side of a gable roof."""

    side: Literal["left", "right"]
    width: Size
    face_height: quantity("length", 0.2, 2.0)
    slope: Slope = 0.1  # of the dormer's own roof


class Roof(Checked):
    """Roof form; `slope` is rise over run: 0.25 or "3 in 12"."""

    form: Literal["flat", "shed", "gable"] = "flat"
    slope: Slope = 0.25  # ignored for a flat roof
    high_side: Face = "left"
    dormers: tuple[Dormer, ...] = ()

    @model_validator(mode="after")
    def _fits(self) -> Roof:
        if self.form == "shed" and self.high_side in ("front", "back"):
            raise ValueError(f"a shed roof's high_side is left or right (it falls across the width), given {self.high_side}")
        if self.dormers and self.form != "gable":
            raise ValueError(f'dormers need form = "gable", given "{self.form}"')
        for dormer in self.dormers:
            if dormer.slope >= self.slope:
                raise ValueError(f"a dormer's slope, {dormer.slope:g}, must be flatter than the roof's {self.slope:g}")
        return self


class Box(Checked):
    """A gooseneck, bump-out or bay: an extra box open to the body on the side where it is attached."""

    name: str = Field(min_length=1, max_length=60)
    length: Size
    width: quantity("length", 0.3, 12.0)
    height: quantity("length", 0.3, 4.0)
    attached: Face = "front"
    below: Literal["same as body", "open air"] = "open air"


class Loft(Checked):
    """A sleeping loft: its floor area and how much warmer the layer of air under the roof is in winter."""

    area: quantity("area", 0.5, 40.0)
    warmer_by: quantity("temperature difference", 0.0, 10.0) = 5 / 1.8


def _one_loft(said: object) -> object:
    """Several lofts as one: their floors together, the air under the roof as warm as their mean by floor (own choice)."""
    if not isinstance(said, (list, tuple)):
        return said
    lofts = [Loft.model_validate(one) for one in said]
    area = sum(loft.area for loft in lofts)
    return Loft.model_construct(area=area, warmer_by=sum(x.area * x.warmer_by for x in lofts) / area) if lofts else None


class Parts(Checked):
    """Assemblies by name; `file` adds the user's own to the shelf."""

    wall: str = "Breeze wall"
    roof: str = "Breeze roof"
    floor: str = "Breeze floor"
    window: str = "Breeze window"
    door: str = "Insulated metal door"
    file: str | None = None


class Colours(Checked):
    """Siding and roof colour, as a word of the colour table or a solar absorptance."""

    siding: str | float = "medium"
    roof: str | float = "medium"


class Below(Checked):
    """What is under the floor."""

    kind: Literal["open air", "skirted", "crawl space", "slab"] = "open air"
    skirt_u_value: quantity("U-value", 0.2, 8.0) = 4.0
    height: quantity("length", 0.1, 2.0) = 0.6
    soil_conductivity: quantity("conductivity", 0.3, 5.0) = 1.5  # clay or silt, ISO 13370
    vent_area_per_length: quantity("length", 0.0, 0.05) = 0.0015


class ThermalBridge(Checked):
    """A line of extra loss: a ready detail by name, your own drawing (`detail = "my-steel.toml"`), or your own psi.

    psi is by outside dimensions.

    A negative psi (outer corners) takes back area of the `part` it names.
    """

    name: str = Field(min_length=1, max_length=80)
    length: quantity("length", 0.05, 200.0)
    detail: str | None = None
    psi: quantity("linear thermal transmittance", -1.0, 5.0) | None = None
    part: Literal["wall", "roof", "floor"] = "floor"

    @model_validator(mode="after")
    def _one(self) -> ThermalBridge:
        if (self.detail is None) == (self.psi is None):
            raise ValueError('give either detail = "..." or psi = "0.11 Btu/h ft F"')
        return self


def _tightness(text: str) -> str:
    from heatcalc.inputs.house.house_pieces import read_tightness

    read_tightness(text)
    return text


class Air(Checked):
    """Airtightness as measured (`3.0 ACH50`, `250 cfm50`) or a class; shelter from wind; a flue.

    Shelter: exposed (open field or shore), open (alone in the country), normal (buildings across the street), built-up
    (town, obstacles more than a house height away), sheltered (neighbours closer than that).  `flue`: a vented burner
    or a wood stove that takes its air from the room.  `flow_exponent` of a fan test at several pressures.  `head_flow`:
    room air that the indoor head moves along walls and glass, 0 without a head (the films of still air).
    """

    tightness: Annotated[str, AfterValidator(_tightness)] = "factory-built"
    shelter: Literal["exposed", "open", "normal", "built-up", "sheltered"] = "normal"
    flue: bool = False
    flow_exponent: float = Field(0.65, ge=0.5, le=1.0)
    head_flow: quantity("air flow", 0.0, 0.25, "moved by a wall head") = HEAD_FLOW_M3_S


class Ventilation(Checked):
    """Whole-house ventilation; `auto` is the ASHRAE 62.2 rate by formula.  `frost_below`: outdoor temperature below which the
    core of a heat recovery defrosts part of the time (23 F in one printed manual), unless a heater before it (`preheat`, its
    rated watts) warms the air to that temperature.  `night_window`: area opened to cool the
    house at night in the year, `night_fan`: what a fan moves then, from `night_from` to `night_to` after warm days, or always.
    """

    rate: Annotated[str, AfterValidator(lambda text: _flow_or_auto(text))] = "auto"
    kind: Literal["exhaust", "supply", "balanced", "none"] = "exhaust"
    heat_recovery: quantity("fraction", 0.0, 0.95) = 0.0
    moisture_recovery: quantity("fraction", 0.0, 0.95) = 0.0
    frost_below: quantity("temperature", -40.0, 5.0) = (23 - 32) / 1.8
    preheat: quantity("electric power", 0.0, 3000.0, "rated watts of a heater before the core") = 0.0
    night_window: quantity("area", 0.0, 5.0, "opened on summer nights") = 0.0
    night_fan: quantity("air flow", 0.0, 2.0, "of a fan that cools the house at night") = 0.0
    night_from: int = Field(20, ge=0, le=23)  # these hours: own choice
    night_to: int = Field(8, ge=0, le=24)
    night_when: Literal["warm days", "always"] = "warm days"

    @model_validator(mode="after")
    def _recovers(self) -> Ventilation:
        if self.kind != "balanced" and max(self.heat_recovery, self.moisture_recovery) > 0:
            raise ValueError(f'recovery needs kind = "balanced", given "{self.kind}"')
        if self.moisture_recovery > self.heat_recovery:
            raise ValueError(
                f"moisture_recovery of {self.moisture_recovery:g} cannot exceed heat_recovery of {self.heat_recovery:g}"
            )
        return self

    @property
    def preheater_W(self) -> float:
        """Rated watts of the heater before the core; nil where there is no core [W]."""
        return self.preheat if self.heat_recovery else 0.0


def _flow_or_auto(text: str) -> str:
    if text != "auto" and not 0 <= units.parse(text, "air flow") <= 0.2:
        raise ValueError('allowed "auto" or 0 to 424 cfm (200 L/s)')
    return text


class Design(Checked):
    """The user's own design values; they win over the climate tables.  `source` is shown with them."""

    heating: Outdoors | None = None
    cooling: Outdoors | None = None
    cooling_wet_bulb: Outdoors | None = None
    cooling_dew_point: Outdoors | None = None
    daily_range: quantity("temperature difference", 1.0, 30.0) | None = None
    source: str = ""
    percentile: Literal["99 %", "99.6 %"] = "99 %"

    @model_validator(mode="after")
    def _sourced(self) -> Design:
        given = (self.heating, self.cooling, self.cooling_wet_bulb, self.cooling_dew_point, self.daily_range)
        if any(v is not None for v in given) and not self.source:
            raise ValueError("own design values need a source text")
        return self


class Site(Checked):
    """Where and how it stands; `front_faces` may be unknown (the worst of eight is taken) since it may move."""

    front_faces: Literal["unknown", "north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"] = (
        "unknown"
    )
    elevation: quantity("length", -100.0, 5000.0) | None = None
    ground_reflectance: float = Field(0.2, ge=0.0, le=0.9)
    horizon: quantity("angle", 0.0, 60.0) = 0.0


def trailers() -> tuple[str, ...]:
    """The trailers whose steel has a pattern."""
    return tuple(dict.fromkeys(row["trailer"] for row in rows("trailer_steel")))


def _trailer(text: str) -> str:
    if text not in trailers():
        meant = nearest(text, trailers())
        raise ValueError(f"known: {', '.join(trailers())}{'; ' + meant if meant else ''}")
    return text


@dataclass(frozen=True)
class Origin:
    """Where a house was read from: the whole file, with its other packages and options, and what `--set` changed."""

    said: Mapping[str, Any] = field(compare=False)
    changes: tuple[str, ...] = field(compare=False)
    source: str = field(compare=False)


def _one_head(text: str) -> str:
    if text != "one wall head":
        raise ValueError(
            'is "one wall head": one open room with one head is what is computed.  For a second head or a ducted unit give each '
            "room it serves a house file of its own with its share of walls, windows and floor, size each, and take the sum to "
            "the maker's table of that outdoor unit; losses of ducts outside the insulation come on top"
        )
    return text


class House(Checked):
    """One model with one option package."""

    _origin: Origin | None = PrivateAttr(default=None)

    name: str = Field(min_length=1, max_length=80)
    note: str = ""
    built_as: Literal["tiny house on wheels", "park model", "manufactured home", "house on a foundation"] = "tiny house on wheels"
    body: Body
    roof: Roof = Roof()
    boxes: tuple[Box, ...] = ()
    loft: Annotated[Loft | None, BeforeValidator(_one_loft)] = None
    bedrooms: int = Field(1, ge=0, le=4)
    indoor_unit: Annotated[str, AfterValidator(_one_head)] = Field("one wall head", description="what gives off heat and cold")
    windows: tuple[WindowIn, ...] = ()
    doors: tuple[Door, ...] = ()
    assemblies: Parts = Parts()
    colours: Colours = Colours()
    below: Below = Below()
    thermal_bridges: tuple[ThermalBridge, ...] = ()
    trailer: Annotated[str, AfterValidator(_trailer)] | None = Field(None, description="whose steel counts: a pattern by name")
    air: Air = Air()
    ventilation: Ventilation = Ventilation()
    living: Living = Living()
    set_points: SetPoints = SetPoints()
    design: Design = Design()
    site: Site = Site()
    supply: Supply = Supply()
    tariff: Tariff | None = Field(None, description="price of electricity; None = the state's average")
    units: str | tuple[str, ...] | None = Field(
        None, description="a unit file, a folder of them or a list of both to add to the candidates, relative to this file"
    )
    fleet: str | Fleet | None = Field(
        None, description="measured houses: a file relative to this one, or ratios of measured to stated"
    )
    unit: str | None = Field(None, description="the unit to judge first; None = the recommended one")
    furniture: quantity("mass per area", 0.0, 100.0) = 20.0
    package: str | None = Field(None, description="which of the file's packages applies")

    @property
    def origin(self) -> Origin | None:
        """The file behind it, if there is one."""
        return self._origin

    @model_validator(mode="after")
    def _one_list_of_loads(self) -> House:
        for name, record in zip(
            ("living", "supply"), one_list(self.living, self.supply, self.ventilation.preheater_W), strict=True
        ):
            object.__setattr__(self, name, record)
        return self

    @model_validator(mode="after")
    def _loft_fits(self) -> House:
        floor = self.body.length * self.body.width + sum(box.length * box.width for box in self.boxes)
        if self.loft and self.loft.area > floor:
            given, most = _both(self.loft.area, "area"), _both(floor, "area")
            raise ValueError(f"loft.area of {given} is more than the whole floor of {most}: give the sleeping loft's own floor")
        return self

    def with_assembly(self, kind: str, name: str) -> House:
        """The house with another assembly of a kind; windows or doors of the house's type lose the old one's label."""
        changes: dict[str, object] = {"assemblies": self.assemblies.model_copy(update={kind: name})}
        for table in {"window": ("windows",), "door": ("doors",)}.get(kind, ()):
            bare = {"u_value": None} | ({"shgc": None} if kind == "window" else {})
            changes[table] = tuple(o if o.type else o.model_copy(update=bare) for o in getattr(self, table))
        return self.model_copy(update=changes)
