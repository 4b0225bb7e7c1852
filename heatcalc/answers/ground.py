"""What the floor meets: open air, a skirted or crawl space, or the ground."""

from __future__ import annotations

from dataclasses import replace

from heatcalc.answers.parts import OpaquePart
from heatcalc.inputs.house import House
from heatcalc.inputs.house_shape import Shell


def under_floor(part: OpaquePart, house: House, shell: Shell, name: str) -> OpaquePart:
    """The floor part with its boundary as the house stands; an extra box may hang over open air."""
    box = next((b for b in house.boxes if name.startswith(f"{b.name} ")), None)
    if house.below.kind == "open air" or (box is not None and box.below == "open air"):
        return part
    return replace(part)
