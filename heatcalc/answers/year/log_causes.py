"""Why a house uses more or less than computed: each likely cause has its own sign in the log, and its own test."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from heatcalc.model.house_model import HouseModel
from heatcalc.physics.air import moist_air
from heatcalc.physics.unit.heat_pump import FROST_HIGH_C, FROST_LOW_C
from heatcalc.physics.zone.loss_line import LossLine, loss_line, step_after
from heatcalc.wording import Q, Said, worded

WARMER_K = 1.0  # a logged room this far from the set point is a set point kept differently
SHORT_K, FULL_SHARE, SHORT_DAYS = 1.5, 0.95, 3
ICE_T, ICE_SHARE = 3.0, 0.10  # days near freezing this far off the line of the others
FOLLOWS = 0.3  # share of the scatter that the temperature must explain
WRONG_UNIT = 3.0
GAIN_SHORT_W = 150.0


@dataclass(frozen=True, eq=False)
class Measured:
    """The days (or longer periods) on which the heating ran; SI, means of each."""

    begin_h: np.ndarray
    days: np.ndarray
    month: np.ndarray
    outdoor_C: np.ndarray
    indoor_C: np.ndarray
    indoor_logged: bool
    watts: np.ndarray
    heat_W: np.ndarray
    most_heat_W: np.ndarray
    most_watts: np.ndarray
    sun_W: np.ndarray
    room_C: float

    @property
    def difference_K(self) -> np.ndarray:
        """Indoor less outdoor."""
        return self.indoor_C - self.outdoor_C


@dataclass(frozen=True)
class Finding:
    """One cause in words for a person; `kind` is leak, tight, icing, set point, unit short, gains or data."""

    kind: str
    words: Said


def findings(m: Measured, fit: LossLine, computed: LossLine, allowed_W_K: float, model: HouseModel) -> tuple[Finding, ...]:
    """Every cause whose sign is there, the data first; empty where the house behaves as computed."""
    wrong = tuple(_data(m, fit, computed))
    return wrong or (
        *_set_point(m, model),
        *_unit_short(m, model),
        *_icing(m),
        *_coefficient(m, fit, computed, allowed_W_K, model),
    )


def explained(m: Measured, fit: LossLine) -> float:
    """Share of the days' scatter that the line explains, by robust spreads."""
    heat = m.heat_W + m.sun_W
    spread = float(np.median(np.abs(heat - np.median(heat)))) / 0.6745
    return 1.0 - (fit.scatter_W / spread) ** 2 if spread > 0 else 0.0


def _data(m: Measured, fit: LossLine, computed: LossLine) -> Iterator[Finding]:
    if explained(m, fit) < FOLLOWS or fit.slope_W_K <= 0:
        yield Finding(
            "data",
            "the metered energy hardly follows the outdoor temperature: look whether the meter counts the heat pump, "
            "and whether the temperatures are those of this house",
        )
    elif not 1.0 / WRONG_UNIT < fit.slope_W_K / computed.slope_W_K < WRONG_UNIT:
        yield Finding(
            "data",
            f"the fitted loss is {fit.slope_W_K / computed.slope_W_K:.1f} times the computed one: look first at the "
            "unit of the energy column, at what the meter counts and at which unit is installed",
        )


def _set_point(m: Measured, model: HouseModel) -> Iterator[Finding]:
    kept, said = float(np.average(m.indoor_C, weights=m.days)), model.house.set_points.heating
    if not m.indoor_logged or abs(kept - said) < WARMER_K:
        return
    more = (kept - said) / float(np.average(said - m.outdoor_C, weights=m.days))
    yield Finding(
        "set point",
        worded(
            "the room is kept at {}, not at {}: that alone needs {:.0%} {} heat",
            Q(kept, "temperature"),
            Q(said, "temperature"),
            abs(more),
            "more" if more > 0 else "less",
        ),
    )


def _unit_short(m: Measured, model: HouseModel) -> Iterator[Finding]:
    said = model.house.set_points.heating
    full = m.watts >= FULL_SHARE * m.most_watts
    cold = full & (m.indoor_C < said - SHORT_K) & m.indoor_logged
    beyond = m.watts > 1.05 * m.most_watts + 100.0
    if cold.sum() >= SHORT_DAYS:
        yield Finding(
            "unit short",
            worded(
                "on {} days the unit ran flat out and the room stayed below {}: it gives less than its "
                "table, or the house needs more than it has",
                cold.sum(),
                Q(said - SHORT_K, "temperature"),
            ),
        )
    if beyond.sum() >= SHORT_DAYS:
        yield Finding(
            "unit short",
            f"on {beyond.sum()} days the meter shows more than the unit can draw: resistance heat or another load "
            "runs on the same circuit",
        )


def _icing(m: Measured) -> Iterator[Finding]:
    """Days near freezing that lie above the line of the other days: more ice than the unit's table already has in it."""
    frost = (m.outdoor_C > FROST_LOW_C) & (m.outdoor_C < FROST_HIGH_C)
    others = ~frost
    if min(frost.sum(), others.sum()) < 10 or np.ptp(m.difference_K[others]) < 3.0:
        return
    heat = m.heat_W + m.sun_W
    line = loss_line(m.difference_K[others], heat[others], m.days[others])
    residual = heat - line.slope_W_K * m.difference_K - line.intercept_W
    off, t_value = step_after(m.difference_K, residual, frost)
    share = off / float(m.heat_W[frost].mean())
    if t_value > ICE_T and share > ICE_SHARE:
        yield Finding(
            "icing",
            f"near freezing the unit takes about {share:.0%} more than on colder and milder days: it ices up or "
            "defrosts too often; look at the outdoor coil, its drain and the free space before it",
        )


def _coefficient(m: Measured, fit: LossLine, computed: LossLine, allowed_W_K: float, model: HouseModel) -> Iterator[Finding]:
    off = fit.slope_W_K - computed.slope_W_K
    if off > allowed_W_K:
        per_change = (
            model.volume_m3
            / 3600.0
            * float(moist_air.volumetric_heat_capacity(m.room_C, 0.0, moist_air.pressure_at_altitude(model.elevation_m)))
        )
        yield Finding(
            "leak",
            worded(
                "it loses {} more than computed, as much as {:.1f} more air changes an hour: an air leak, "
                "missing insulation, or a unit that gives less than its table (low charge, dirty filter); a "
                "fan test tells the first from the others",
                Q(off, "heat loss coefficient"),
                off / per_change,
            ),
        )
    elif off < -allowed_W_K:
        yield Finding(
            "tight",
            worded(
                "it loses {} less than computed: tighter or better insulated than described, other heat in "
                "the house, or a part that was not heated",
                Q(-off, "heat loss coefficient"),
            ),
        )
