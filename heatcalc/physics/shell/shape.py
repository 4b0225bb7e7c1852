"""Plain geometry of a small house: boxes and roof forms -> surfaces with area, tilt and bearing.

Faces are named as on a trailer, looking forward: `front` (hitch end), `right`, `back`, `left`; `up` and `down`.
Outside dimensions give the heat-losing areas, so corners are covered without linear bridges of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, degrees, hypot

BEARING = {"front": 0.0, "right": 90.0, "back": 180.0, "left": 270.0}
OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left"}


@dataclass(frozen=True, kw_only=True)
class Surface:
    """One plane of the shell: gross area [m2], tilt from horizontal [deg], face it looks to."""

    name: str
    part: str  # "wall", "roof" or "floor"
    face: str  # a key of BEARING, "up" or "down"
    area_m2: float
    tilt_deg: float
    width_m: float = 0.0
    height_m: float = 0.0


@dataclass(frozen=True)
class Solid:
    """A closed body: its surfaces and its outside volume [m3]."""

    surfaces: tuple[Surface, ...]
    volume_m3: float
    height_m: float


def _wall(name: str, face: str, area_m2: float, width_m: float, height_m: float) -> Surface:
    return Surface(name=name, part="wall", face=face, area_m2=area_m2, tilt_deg=90.0, width_m=width_m, height_m=height_m)


def _roof(name: str, face: str, area_m2: float, tilt_deg: float) -> Surface:
    return Surface(name=name, part="roof", face=face, area_m2=area_m2, tilt_deg=tilt_deg)


def walls(name: str, length_m: float, width_m: float, height_m: float) -> tuple[Surface, ...]:
    """Four upright faces; the length runs from front to back."""
    across = {"front": width_m, "back": width_m, "left": length_m, "right": length_m}
    return tuple(_wall(f"{name} {face} wall", face, w * height_m, w, height_m) for face, w in across.items())


def floor(name: str, length_m: float, width_m: float) -> Surface:
    """The plane towards the ground."""
    return Surface(
        name=f"{name} floor",
        part="floor",
        face="down",
        area_m2=length_m * width_m,
        tilt_deg=180.0,
        width_m=width_m,
        height_m=length_m,
    )


def flat_roof(name: str, length_m: float, width_m: float) -> tuple[Surface, ...]:
    """One level plane."""
    return (_roof(f"{name} roof", "up", length_m * width_m, 0.0),)


def shed_roof(name: str, length_m: float, width_m: float, slope: float, high_side: str) -> tuple[Surface, ...]:
    """One plane falling from `high_side`; `slope` = rise/run.  Adds the taller wall and two triangles."""
    rise, tilt, low = width_m * slope, degrees(atan(slope)), OPPOSITE[high_side]
    return (
        _roof(f"{name} roof", low, length_m * hypot(width_m, rise), tilt),
        _wall(f"{name} {high_side} wall above", high_side, length_m * rise, length_m, rise),
        *_triangles(name, width_m * rise / 2, width_m, rise),
    )


def gable_roof(name: str, length_m: float, width_m: float, slope: float) -> tuple[Surface, ...]:
    """Two planes from a ridge that runs front to back; `slope` = rise/run.  Adds two triangles."""
    rise, tilt = width_m / 2 * slope, degrees(atan(slope))
    plane = length_m * hypot(width_m / 2, rise)
    return (
        _roof(f"{name} left roof", "left", plane, tilt),
        _roof(f"{name} right roof", "right", plane, tilt),
        *_triangles(name, width_m * rise / 2, width_m, rise),
    )


def _triangles(name: str, area_m2: float, width_m: float, rise_m: float) -> tuple[Surface, ...]:
    return tuple(_wall(f"{name} {end} gable", end, area_m2, width_m, rise_m) for end in ("front", "back"))


def roof_volume(form: str, length_m: float, width_m: float, slope: float) -> float:
    """Volume [m3] under the roof planes above the wall plate."""
    rise = {"flat": 0.0, "shed": width_m * slope, "gable": width_m / 2 * slope}[form]
    return length_m * width_m * rise / 2


@dataclass(frozen=True)
class ShedDormer:
    """A shed dormer cut into one gable plane: what it adds and what it removes."""

    surfaces: tuple[Surface, ...]
    removed_m2: float
    volume_m3: float
    run_m: float


def shed_dormer(name: str, side: str, width_m: float, face_height_m: float, main_slope: float, slope: float) -> ShedDormer:
    """Dormer `width_m` wide with an upright face of `face_height_m`; its roof (flatter, `slope`) meets the main plane.

    The run back to the main plane is h / (main_slope - slope): plane geometry.
    """
    run = face_height_m / (main_slope - slope)
    face = _wall(f"{name} face", side, width_m * face_height_m, width_m, face_height_m)
    cheeks = tuple(_wall(f"{name} {end} cheek", end, run * face_height_m / 2, run, face_height_m) for end in ("front", "back"))
    roof = _roof(f"{name} roof", side, width_m * run / cos(atan(slope)), degrees(atan(slope)))
    return ShedDormer((face, *cheeks, roof), width_m * run / cos(atan(main_slope)), width_m * run * face_height_m / 2, run)


def attached_box(name: str, length_m: float, width_m: float, height_m: float, attached: str) -> Solid:
    """A box whose face towards the main body is open (gooseneck, bump-out)."""
    sides = {"front": (length_m, width_m), "back": (length_m, width_m), "left": (width_m, length_m), "right": (width_m, length_m)}
    along, across = sides[attached]  # length_m is measured away from the body
    shell = tuple(s for s in walls(name, along, across, height_m) if s.face != OPPOSITE[attached])
    return Solid((*shell, *flat_roof(name, along, across), floor(name, along, across)), along * across * height_m, height_m)


def bearing(face: str, front_bearing_deg: float) -> float:
    """Compass bearing [deg from north, clockwise] of a face when the front looks to `front_bearing_deg`."""
    return (front_bearing_deg + BEARING[face]) % 360.0
