"""Parts of a zone that answer alike, taken together: fewer nodes and channels for the same year.

Two walls of one construction differ only in their sun.  The network is linear, so their sum answers to the sum of
what falls on them: one element of the whole area, its channel the area-weighted mean.  Exact but for the long-wave
coefficient inside (`zone.star_coefficients`), which depends a little on each surface's own area and is averaged here
so that its sum stays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from heatcalc.physics.zone.zone import Films, OpaqueElement, Window, Zone

Members = list[tuple[str, float]]


@dataclass(frozen=True)
class Alike:
    """A zone of few elements, and each of its channels as weighted channels of the described zone."""

    zone: Zone
    mixed: dict[str, tuple[tuple[str, float], ...]]

    def channels(self, described: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
        """The few channels from the many."""
        return {
            name: sum((weight * described[old] for old, weight in members), np.zeros(1)) for name, members in self.mixed.items()
        }


def alike(zone: Zone, node_error: float) -> Alike:
    """Join elements and windows that differ only in name, area and sun; nodes placed to `node_error`."""
    mixed: dict[str, Members] = {}
    elements = tuple(_joined(group, k, mixed) for k, group in enumerate(_grouped(zone.elements, _element_key)))
    windows = tuple(_glazed(group, k, mixed) for k, group in enumerate(_grouped(zone.windows, _window_key)))
    few = replace(zone, elements=elements, windows=windows, node_error=node_error)
    return Alike(few, {name: tuple(members) for name, members in mixed.items()})


def _grouped(parts, key) -> list[list]:
    groups: dict[tuple, list] = {}
    for part in parts:
        groups.setdefault(key(part), []).append(part)
    return list(groups.values())


def _element_key(e: OpaqueElement) -> tuple:
    films = replace(e.films, inside_radiation=float(e.films.inside_radiation > 0))
    return (replace(e.body, sun=str(bool(e.body.sun))), films, e.air_offset)


def _window_key(w: Window) -> tuple:
    return (w.resistance, replace(w.films, inside_radiation=0.0), w.sky_view)


def _together(group: list[Any], area: float) -> Films:
    """Films of the first, the long-wave coefficient averaged by area."""
    mean = sum(part.films.inside_radiation * part.area_m2 for part in group) / area
    return replace(group[0].films, inside_radiation=mean)


def _joined(group: list[OpaqueElement], k: int, mixed: dict[str, Members]) -> OpaqueElement:
    area = sum(e.area_m2 for e in group)
    sun = f"sun on part {k + 1}" if group[0].body.sun else ""
    if sun:
        mixed[sun] = [(e.body.sun, e.area_m2 / area) for e in group]
    return replace(
        group[0],
        area_m2=area,
        body=replace(group[0].body, sun=sun),
        films=_together(group, area),
        inside_solar_share=sum(e.inside_solar_share for e in group),
    )


def _glazed(group: list[Window], k: int, mixed: dict[str, Members]) -> Window:
    area = sum(w.area_m2 for w in group)
    new: dict[str, Any] = {}
    for kind, word in (("transmitted", "light"), ("absorbed_inside", "warm inner pane"), ("absorbed_outside", "warm outer pane")):
        members = [(getattr(w, kind), w.area_m2 / area) for w in group if getattr(w, kind)]
        new[kind] = f"{word} {k + 1}" if members else ""
        if members:
            mixed[new[kind]] = members
    return replace(group[0], area_m2=area, films=_together(group, area), **new)
