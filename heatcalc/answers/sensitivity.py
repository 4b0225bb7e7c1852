"""All inputs at once: which matter, alone and together (Morris screening, Sobol indices).

Every study works on shares 0 to 1 of each input's own distribution, so that any model of them can be asked.  The design loads are
asked as they are.  A year takes thousandths of a second but ten thousand of them with new walls each take minutes, so the Sobol
indices of the year are those of a quadratic surface through some hundreds of real years; its error on years it never saw is
part of the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from heatcalc.answers.chances import SEED, Fast
from heatcalc.answers.tornado import Weathers, year_of_case
from heatcalc.answers.uncertain import Case, UncertainInput, all_moved, drawn
from heatcalc.errors import NoAnswer

Array = np.ndarray
Model = Callable[[Array], Array]
LEVELS = 8
HELD_OUT = 0.15


@dataclass(frozen=True, eq=False)
class Screening:
    """Morris: mean size of one input's step (mu star) and its spread, with a 95 % half width, in the output's unit."""

    names: tuple[str, ...]
    mean_effect: Array
    spread: Array
    half_width: Array


@dataclass(frozen=True, eq=False)
class Indices:
    """Sobol: share of the variance an input makes alone (first) and with all it meets (total), 95 % half widths."""

    names: tuple[str, ...]
    first: Array
    first_half_width: Array
    total: Array
    total_half_width: Array
    runs: int
    variance: float
    complete: bool


def screen(names: Sequence[str], model: Model, trajectories: int = 30, seed: int = SEED) -> Screening:
    """Morris elementary effects over `LEVELS` levels (SALib; Morris 1991, Campolongo et al. 2007)."""
    sample, analyse = _salib("morris")
    problem = _problem(names)
    shares = sample.sample(problem, trajectories, num_levels=LEVELS, seed=seed)
    found = analyse.analyze(problem, shares, model(shares), num_levels=LEVELS, seed=seed)
    return Screening(tuple(names), *(np.asarray(found[k], float) for k in ("mu_star", "sigma", "mu_star_conf")))


def sobol(names: Sequence[str], model: Model, base: int = 1024, seed: int = SEED, batch: int = 4096,
          told: Callable[[int], None] | None = None) -> Indices:
    """Sobol first and total indices from base x (inputs + 2) runs (SALib; Saltelli et al. 2010), base a power of 2.

    Stopping it (Ctrl-C) keeps the whole groups of runs that are done, if there are enough of them.
    """
    sample, analyse = _salib("sobol")
    problem, group = _problem(names), len(names) + 2
    shares = sample.sample(problem, base, calc_second_order=False, seed=seed)
    answers = _kept(model, shares, batch, told)
    whole = len(answers) // group * group
    if whole < 16 * group:
        raise NoAnswer("stopped before there was enough to say anything")
    y = answers[:whole]
    found = analyse.analyze(problem, y, calc_second_order=False, seed=seed)
    first, first_conf, total, total_conf = (np.asarray(found[k], float) for k in ("S1", "S1_conf", "ST", "ST_conf"))
    return Indices(tuple(names), first, first_conf, total, total_conf, whole, float(np.var(y)), whole == len(shares))


def _kept(model: Model, shares: Array, batch: int, told: Callable[[int], None] | None) -> Array:
    done: list[Array] = []
    try:
        for a in range(0, len(shares), batch):
            done.append(np.asarray(model(shares[a:a + batch]), float))
            if told:
                told(len(done[-1]))
    except KeyboardInterrupt:
        pass
    return np.concatenate(done) if done else np.zeros(0)


def _problem(names: Sequence[str]) -> dict:
    return {"num_vars": len(names), "names": list(names), "bounds": [[0.0, 1.0]] * len(names)}


def _salib(method: str):
    from importlib import import_module

    try:
        return import_module(f"SALib.sample.{method}"), import_module(f"SALib.analyze.{method}")
    except ImportError:
        raise NoAnswer('Morris and Sobol need the extra: pip install "heatcalc[sensitivity]"') from None


def of_shares(inputs: Sequence[UncertainInput], run: Callable[[dict[str, Array]], Array]) -> Model:
    """A model of drawn values as a model of shares."""
    return lambda shares: run({u.name: drawn(u, shares[:, k]) for k, u in enumerate(inputs)})


def load_model(fast: Fast, inputs: Sequence[UncertainInput], season: str) -> Model:
    """Design "heating" or "cooling" load of shares."""
    return of_shares(inputs, fast.heating_W if season == "heating" else fast.cooling_W)


@dataclass(frozen=True, eq=False)
class YearSurface:
    """A quadratic surface through years: kWh from shares; `error_kWh` is its root mean square error on years held out."""

    inputs: tuple[UncertainInput, ...]
    coefficients: Array
    years: int
    held_out: int
    error_kWh: float
    spread_kWh: float
    complete: bool

    def __call__(self, shares: Array) -> Array:
        return _features(self.inputs, shares) @ self.coefficients


def year_surface(case: Case, brings: Weathers, inputs: Sequence[UncertainInput], years: int = 400, seed: int = SEED,
                 told: Callable[[int], None] | None = None) -> YearSurface:
    """Walk `years` years at random draws and fit; every seventh or so is held out to measure the error.

    Stopping it keeps what is done.  Raises NoAnswer below twice as many years as the surface has terms would need.
    """
    used = tuple(u for u in inputs if "year" in u.acts_on and u.kind != "direction")
    shares = _latin(years, len(used), seed)
    found: list[float] = []
    try:
        for value in _years(case, brings, used, shares):
            found.append(value)
            if told:
                told(1)
    except KeyboardInterrupt:
        pass
    fit = int(len(found) * (1 - HELD_OUT))
    x, y = _features(used, shares[: len(found)]), np.array(found)
    if fit < 1.3 * x.shape[1]:
        raise NoAnswer(f"{len(found)} years are too few for a surface of {x.shape[1]} terms")
    coefficients = np.linalg.lstsq(x[:fit], y[:fit], rcond=None)[0]
    off = y[fit:] - x[fit:] @ coefficients
    return YearSurface(used, coefficients, fit, len(off), float(np.sqrt(np.mean(off**2))), float(y.std()), len(found) == years)


def _years(case: Case, brings: Weathers, used: Sequence[UncertainInput], shares: Array) -> Iterator[float]:
    values = [drawn(u, shares[:, k]) for k, u in enumerate(used)]
    for row in range(len(shares)):
        yield year_of_case(all_moved(case, {u.name: float(v[row]) for u, v in zip(used, values, strict=True)}), brings)


def _latin(count: int, inputs: int, seed: int) -> Array:
    """A Latin hypercube: each input's shares fill their strata once, in random order."""
    rng = np.random.default_rng(seed)
    return np.stack([(rng.permutation(count) + rng.random(count)) / count for _ in range(inputs)], axis=1)


def _features(inputs: Sequence[UncertainInput], shares: Array) -> Array:
    """1, every value, and every product of two, each value counted from its middle in half ranges."""
    z = np.stack([(drawn(u, shares[:, k]) - u.middle) / max(0.5 * (u.high - u.low), 1e-12) for k, u in enumerate(inputs)], axis=1)
    first, second = np.triu_indices(len(inputs))
    return np.column_stack([np.ones(len(z)), z, z[:, first] * z[:, second]])
