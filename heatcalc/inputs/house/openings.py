"""Windows and doors as a house file says them: sizes, labels, and what shades or closes them hour by hour."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import Field, model_validator

from heatcalc.inputs.checked import Checked, quantity
from heatcalc.inputs.house.set_points import within

Face = Literal["front", "right", "back", "left"]
Size = quantity("length", 0.3, 5.0, "sizes of openings and small parts")
Depth = quantity("length", 0.0, 3.0)
Share = quantity("fraction", 0.0, 1.0)


class Opening(Checked):
    """What windows and doors have in common; `box` names an extra box, else it is in the main body."""

    face: Literal["front", "right", "back", "left", "roof"]
    width: Size
    height: Size
    count: int = Field(1, ge=1, le=20)
    box: str | None = None
    u_value: quantity("U-value", 0.3, 7.2, "whole product, label value") | None = None
    name: str | None = Field(None, max_length=60)

    @property
    def area_m2(self) -> float:
        """Area of all `count` pieces [m2]."""
        return float(self.width) * float(self.height) * self.count


class WindowIn(Opening):
    """A window or skylight; label values (u_value, shgc) win over the named type.

    `side_fins`: depth of a fin on each side, `fins_beside` from the glass; `insect_screen`: share of the window behind one.
    `inside_shade`: share of the sun that blinds let in from `shade_from` to `shade_to` (hours of the clock); of the sun itself
    slats let `slats_level` in where it comes level and `slats_steep` where it falls at 60 degrees.  `shutter`: the R that an
    opaque shutter with its air space adds from `shutter_from` to `shutter_to`, where it keeps the sun out too; "usually"
    closed it counts in the year, "always" in the design cold as well.
    """

    type: str | None = None
    shgc: Annotated[float | None, Field(ge=0.05, le=0.95)] = None
    overhang: Depth = 0.0
    overhang_above: Depth = 0.3
    side_fins: Depth = 0.0
    fins_beside: Depth = 0.1
    insect_screen: Share = 0.0
    inside_shade: Share = 1.0
    shade_from: int = Field(0, ge=0, le=23)
    shade_to: int = Field(24, ge=0, le=24)
    slats_level: Share | None = None
    slats_steep: Share | None = None
    shutter: quantity("thermal resistance", 0.0, 2.0, "added by a closed shutter and its air space") = 0.0
    shutter_from: int = Field(21, ge=0, le=23)
    shutter_to: int = Field(7, ge=0, le=24)
    shutter_closed: Literal["usually", "always"] = "usually"

    @model_validator(mode="after")
    def _slats(self) -> WindowIn:
        if (self.slats_level is None) != (self.slats_steep is None):
            raise ValueError("slats need both slats_level and slats_steep, from the table of that blind")
        if self.slats_level is not None and (self.face == "roof" or self.inside_shade == 0.0):
            raise ValueError("slats are for a window in a wall, beside an inside_shade above 0 for the light of the sky")
        return self

    @property
    def shade_all_day(self) -> float:
        """Share of the sun let in, for what knows no hours: blinds count where they are drawn all day."""
        return self.inside_shade if within(np.arange(24), self.shade_from, self.shade_to).all() else 1.0

    def shut(self, hour: np.ndarray) -> np.ndarray:
        """In which hours of the clock (0 is midnight to one) the shutter is closed."""
        return within(hour, self.shutter_from, self.shutter_to) & (self.shutter > 0.0)


class Door(Opening):
    """A door; `type` names an assembly of kind door."""

    face: Face
    type: str | None = None
