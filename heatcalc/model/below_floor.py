"""What the floor meets: open air, a skirted or crawl space, or the ground (ISO 13370)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from heatcalc.inputs.house.house_record import House
from heatcalc.inputs.house.house_shape import Shell
from heatcalc.model.part import OpaquePart
from heatcalc.physics.shell.ground import (
    characteristic_dimension,
    edge_share,
    equivalent_thickness,
    slab_on_ground_u,
    slab_u,
    underfloor_exchange,
)

UNDERSIDE_FILM = 0.17  # m2K/W on both sides of a suspended floor, ISO 13370
WIND_M_S = 4.0
SHIELDING = {"exposed": "exposed", "open": "exposed", "normal": "average", "built-up": "average", "sheltered": "sheltered"}


def under_floor(part: OpaquePart, house: House, shell: Shell) -> OpaquePart:
    """The floor part with its boundary as the house stands; an extra box may hang over open air.

    A space below is joined by U_g to the ground and by U_x to outdoors; as one boundary it has the conductance
    U_g + U_x and a temperature between the two, `outdoor_share` of the way to outdoors.
    """
    box = next((b for b in house.boxes if part.name.startswith(f"{b.name} ")), None)
    if house.below.kind == "open air" or (box is not None and box.below == "open air"):
        return part
    if house.below.kind == "slab":
        r_floor = sum(part.body.resistance)
        u = slab_on_ground_u(r_floor, shell.footprint_m2, shell.perimeter_m, house.below.soil_conductivity)
        return _over(part, 1.0 / u - part.r_inside - r_floor, 0.0)
    to_ground, to_outdoor = space_below(house, shell)
    return _over(part, UNDERSIDE_FILM + 1.0 / (to_ground + to_outdoor), to_outdoor / (to_ground + to_outdoor))


def space_below(house: House, shell: Shell) -> tuple[float, float]:
    """U_g to the ground and U_x through skirt and vents of the space under the floor [W/m2K] of floor."""
    size = characteristic_dimension(shell.footprint_m2, shell.perimeter_m)
    below = house.below
    exchange = underfloor_exchange(
        size, below.height, below.skirt_u_value, below.vent_area_per_length, WIND_M_S, SHIELDING[house.air.shelter]
    )
    return slab_u(size, equivalent_thickness(0.0, below.soil_conductivity), below.soil_conductivity), exchange


def _over(part: OpaquePart, r_below: float, outdoor_share: float) -> OpaquePart:
    u = 1.0 / (part.r_inside + sum(part.body.resistance) + r_below)
    body = replace(part.body, boundary="below")
    return replace(part, u_value=u, r_outside=r_below, outside_film=1.0 / r_below, body=body, outdoor_share=outdoor_share)


def ground_C(shell: Shell, r_floor: float, monthly_mean_C: ArrayLike, season: str, soil: float) -> np.ndarray:
    """What the ground answers with in the coldest or hottest month: yearly mean, swung by the floor's edge.

    T = T_mean -+ `ground.edge_share` x half the yearly swing; `r_floor` [m2K/W] lies on the ground, 0 under a space.  Months
    along the last axis.
    """
    months = np.asarray(monthly_mean_C, float)
    mean, swing = months.mean(axis=-1), (months.max(axis=-1) - months.min(axis=-1)) / 2
    share = edge_share(shell.footprint_m2, shell.perimeter_m, equivalent_thickness(r_floor, soil), soil)
    return mean - share * swing if season == "winter" else mean + share * swing
