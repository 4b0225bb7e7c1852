"""Why a house uses more or less than computed: each likely cause has its own sign in the log, and its own test."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from heatcalc.model.house_model import HouseModel
from heatcalc.physics.unit.heat_pump import FROST_HIGH_C, FROST_LOW_C
from heatcalc.physics.zone.loss_line import LossLine
from heatcalc.wording import Q, Said, worded

WARMER_K = 1.0  # a logged room this far from the set point is a set point kept differently
SHORT_K, FULL_SHARE, SHORT_DAYS = 1.5, 0.95, 3
ICE_T, ICE_SHARE = 3.0, 0.10  # days near freezing this far off the line of the others
FOLLOWS = 0.3  # share of the scatter that the temperature explains, where the line is not the computed one
WRONG_UNIT = 3.0


@dataclass(frozen=True, eq=False, kw_only=True)
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
class Cause:
    """What may be behind another loss of heat: its share of the odds, its words, and the measurement that decides."""

    name: str
    share: float
    words: str
    decide: str


@dataclass(frozen=True)
class Sign:
    """One sign in words for a person; `kind` is more loss, less loss, icing, set point, unit short or data."""

    kind: str
    words: Said
    causes: tuple[Cause, ...] = ()


@dataclass(frozen=True, eq=False)
class LikeDays:
    """The computed house on days like the logged ones: difference, heat with sun and outdoor temperature of each of its own days,
    the heat with sun expected on each logged day, and how each part's heat grows with the difference on the logged days [W]."""

    days: tuple[np.ndarray, np.ndarray, np.ndarray]
    expected_W: np.ndarray
    shapes: dict[str, np.ndarray]


# how far each part is usually off (shares of itself; gains in W): the load line's own ranges, the rest common practice, no source
RANGES = {"leaks": 0.40, "shell": 0.10, "fan": 0.20, "unit": 0.10, "gains": 100.0}
NAMED, WORTH_NAMING = 0.9, 0.1  # own choice
# part, mean and spread of a fault in shares of that part (own choice), name, words, what decides
CAUSES = (
    ("leaks", 2.0, 2.0, "leak", "an air leak", "a fan test measures it"),
    (
        "shell",
        0.3,
        0.2,
        "insulation or steel",
        "insulation left out or steel not counted",
        "a heat camera on a cold evening shows where",
    ),
    (
        "unit",
        0.3,
        0.2,
        "weak unit",
        "a unit that gives less than its table (dirty filter, low charge)",
        "a technician's reading of air flow and of the air's temperature in and out decides",
    ),
    ("leaks", -0.6, 0.3, "tighter", "a tighter house than described", "a fan test measures it"),
    ("shell", -0.3, 0.2, "better insulated", "better insulated than described", "the builder's list of what was built in"),
    ("fan", -1.0, 0.2, "fan off", "the ventilation fan stands still", "look and listen, or a sheet of paper at its grille"),
    ("unit", -0.25, 0.15, "better unit", "a unit better than its table, or a second source of heat", "ask what else heats"),
)


def findings(
    m: Measured, fit: LossLine, computed: LossLine, allowed_W_K: float, model: HouseModel, alike: LikeDays, more_kWh: float
) -> tuple[Sign, ...]:
    """Every cause whose sign is there, the data first; empty where the house behaves as computed."""
    wrong = tuple(_data(m, fit, computed))
    return wrong or (
        *_set_point(m, model),
        *_unit_short(m, model),
        *_icing(m, alike),
        *_coefficient(m, fit, computed, allowed_W_K, alike, more_kWh),
    )


def explained(m: Measured, fit: LossLine) -> float:
    """Share of the days' scatter that the line explains, by robust spreads."""
    heat = m.heat_W + m.sun_W
    spread = float(np.median(np.abs(heat - np.median(heat)))) / 0.6745
    return 1.0 - (fit.scatter_W / spread) ** 2 if spread > 0 else 0.0


def _data(m: Measured, fit: LossLine, computed: LossLine) -> Iterator[Sign]:
    low, high = fit.interval_W_K
    alike = low <= computed.slope_W_K <= high  # a short log of a restless meter follows the cold, if roughly
    if low <= 0 or (explained(m, fit) < FOLLOWS and not alike):
        yield Sign(
            "data",
            "the metered energy hardly follows the outdoor temperature: look whether the meter counts the heat pump, "
            "and whether the temperatures are those of this house",
        )
    elif not 1.0 / WRONG_UNIT < fit.slope_W_K / computed.slope_W_K < WRONG_UNIT:
        yield Sign(
            "data",
            f"the fitted loss is {fit.slope_W_K / computed.slope_W_K:.1f} times the computed one: look first at the "
            "unit of the energy column, at what the meter counts and at which unit is installed",
        )


def _set_point(m: Measured, model: HouseModel) -> Iterator[Sign]:
    kept, said = float(np.average(m.indoor_C, weights=m.days)), model.house.set_points.heating
    if not m.indoor_logged or abs(kept - said) < WARMER_K:
        return
    more = (kept - said) / float(np.average(said - m.outdoor_C, weights=m.days))
    yield Sign(
        "set point",
        worded(
            "the room is kept at {}, not at {}: that alone needs {:.0%} {} heat",
            Q(kept, "temperature"),
            Q(said, "temperature"),
            abs(more),
            "more" if more > 0 else "less",
        ),
    )


def _unit_short(m: Measured, model: HouseModel) -> Iterator[Sign]:
    said = model.house.set_points.heating
    full = m.watts >= FULL_SHARE * m.most_watts
    cold = full & (m.indoor_C < said - SHORT_K) & m.indoor_logged
    beyond = m.watts > 1.05 * m.most_watts + 100.0
    if cold.sum() >= SHORT_DAYS:
        yield Sign(
            "unit short",
            worded(
                "on {} days the unit ran flat out and the room stayed below {}: it gives less than its "
                "table, or the house needs more than it has",
                cold.sum(),
                Q(said - SHORT_K, "temperature"),
            ),
        )
    if beyond.sum() >= SHORT_DAYS:
        yield Sign(
            "unit short",
            f"on {beyond.sum()} days the meter shows more than the unit can draw: resistance heat or another load "
            "runs on the same circuit",
        )


def _icing(m: Measured, alike: LikeDays) -> Iterator[Sign]:
    """Days near freezing above the line of the others by more than the computed house's own: more ice than in the table."""
    logged, computed = (_frost_step(*days) for days in ((m.difference_K, m.heat_W + m.sun_W, m.outdoor_C), alike.days))
    if logged is None:
        return
    off, error = logged[0] - (computed[0] if computed else 0.0), float(np.hypot(logged[1], computed[1] if computed else 0.0))
    share = off / float(m.heat_W[_frosty(m.outdoor_C)].mean())
    if off > ICE_T * error and share > ICE_SHARE:
        yield Sign(
            "icing",
            f"near freezing the unit takes about {share:.0%} more than on colder and milder days: it ices up or "
            "defrosts too often; look at the outdoor coil, its drain and the free space before it",
        )


def _frosty(outdoor_C: np.ndarray) -> np.ndarray:
    return (outdoor_C > FROST_LOW_C) & (outdoor_C < FROST_HIGH_C)


def _frost_step(difference_K: np.ndarray, heat_W: np.ndarray, outdoor_C: np.ndarray) -> tuple[float, float] | None:
    """Step [W] of days near freezing beside a line through all, and its standard error; None where either kind of day is rare.

    The line bends upwards with leaks and standby, hence the square: without it mild winters look iced.
    """
    frost = _frosty(outdoor_C)
    if min(frost.sum(), (~frost).sum()) < 10:
        return None
    away = difference_K - difference_K.mean()
    design = np.column_stack([frost, np.ones(len(frost)), away, away**2])
    found, _, _, spread = np.linalg.lstsq(design, heat_W, rcond=None)
    residual = heat_W - design @ found
    noise = float(residual @ residual) / (len(frost) - design.shape[1])
    error = float(np.sqrt(noise * np.linalg.pinv(design.T @ design)[0, 0])) if spread.min() > 0 else np.inf
    return float(found[0]), error


def _coefficient(
    m: Measured, fit: LossLine, computed: LossLine, allowed_W_K: float, alike: LikeDays, more_kWh: float
) -> Iterator[Sign]:
    off = fit.slope_W_K - computed.slope_W_K
    if abs(off) <= allowed_W_K:
        return
    more = off > 0
    likely = causes(m, fit, alike, more)
    named = [c for c in likely if c.share >= NAMED] or [c for c in likely if c.share >= WORTH_NAMING]
    words = worded(
        "it loses {} {} than computed{}: {}",
        Q(abs(off), "heat loss coefficient"),
        "more" if more else "less",
        _but(more_kWh) if not more and more_kWh > 0 else "",
        _told(named),
    )
    yield Sign("more loss" if more else "less loss", words, tuple(likely))


def _but(more_kWh: float) -> str:
    return (
        f", though the meter shows {more_kWh:,.0f} kWh more: something besides the heat pump draws on this meter whatever "
        "the weather, or the unit uses more than its table; the flatter line alone does not say that the house is tighter"
    )


def _told(named: list[Cause]) -> str:
    each = "; ".join(f"{c.words} ({c.share:.0%}): {c.decide}" for c in named)
    return each if len(named) == 1 else f"these data cannot tell which - {each}"


def causes(m: Measured, fit: LossLine, alike: LikeDays, more: bool) -> list[Cause]:
    """Each cause's share, the likeliest first, from how its heat grows with the temperature difference.

    Bayes' rule over linear Gaussian explanations: every uncertain part keeps its usual range, and in turn one of them is as
    large as a fault; equal odds before.  Days count as many as they are worth.
    """
    off = m.heat_W + m.sun_W - alike.expected_W
    usual = np.array([RANGES[name] for name in alike.shapes])
    shapes = np.column_stack(list(alike.shapes.values()))
    noise = fit.scatter_W * np.sqrt(fit.days / fit.days_worth)
    kinds = [row for row in CAUSES if (row[1] > 0) == more]
    found = []
    for shape, mean, spread, *_ in kinds:
        at = list(alike.shapes).index(shape)
        middle, wide = np.zeros(len(usual)), usual.copy()
        middle[at], wide[at] = mean, spread
        found.append(_log_likelihood(off - shapes @ middle, shapes * wide, noise))
    weight = np.exp(np.array(found) - max(found))
    shares = weight / weight.sum()
    told = [Cause(name, float(share), words, decide) for share, (*_, name, words, decide) in zip(shares, kinds, strict=True)]
    return sorted(told, key=lambda c: -c.share)


def _log_likelihood(off: np.ndarray, scaled: np.ndarray, noise: float) -> float:
    """Log density of a Gaussian with independent noise and the columns of `scaled` as unit-variance effects."""
    spread = noise**2 * np.eye(len(off)) + scaled @ scaled.T
    return float(-0.5 * (np.linalg.slogdet(spread)[1] + off @ np.linalg.solve(spread, off)))
