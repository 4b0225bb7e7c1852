"""All inputs at once: which matter, alone and together (Morris screening, Sobol indices).

Every study works on shares 0 to 1 of each input's own distribution, so that any model of them can be asked: the design loads
in arrays, the year hour by hour, every run of it walked (`study.years`), in processes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from heatcalc.answers.study.chances import SEED, Fast
from heatcalc.answers.study.uncertain import UncertainInput, drawn
from heatcalc.answers.study.years import YearStudy
from heatcalc.errors import NoAnswer

Array = np.ndarray
Model = Callable[[Array], Array]
Spread = Callable[[Model, Iterable[Array]], Iterable[Array]]
LEVELS = 8
LEAST_BASE = 16


@dataclass(frozen=True, eq=False)
class Screening:
    """Morris: mean size of one input's step (mu star) and its spread, with a 95 % half width, in the output's unit."""

    names: tuple[str, ...]
    mean_effect: Array
    spread: Array
    half_width: Array


@dataclass(frozen=True, eq=False, kw_only=True)
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


def sobol(
    names: Sequence[str],
    model: Model,
    base: int = 1024,
    seed: int = SEED,
    batch: int = 4096,
    told: Callable[[int], None] | None = None,
    spread: Spread = map,
) -> Indices:
    """Sobol first and total indices from base x (inputs + 2) runs (SALib; Saltelli et al. 2010), base a power of 2.

    batch : runs a call of the model; `spread` maps the model over the batches, in order
    Stopping it (Ctrl-C) keeps the whole groups of runs that are done, if there are enough of them.
    """
    sample, analyse = _salib("sobol")
    problem, group = _problem(names), len(names) + 2
    shares = sample.sample(problem, base, calc_second_order=False, seed=seed)
    answers = _kept(spread(model, (shares[a : a + batch] for a in range(0, len(shares), batch))), told)
    whole = len(answers) // group * group
    if whole < LEAST_BASE * group:
        raise NoAnswer("stopped before there was enough to say anything")
    y = answers[:whole]
    found = analyse.analyze(problem, y, calc_second_order=False, seed=seed)
    first, first_conf, total, total_conf = (np.asarray(found[k], float) for k in ("S1", "S1_conf", "ST", "ST_conf"))
    return Indices(
        names=tuple(names),
        first=first,
        first_half_width=first_conf,
        total=total,
        total_half_width=total_conf,
        runs=whole,
        variance=float(np.var(y)),
        complete=whole == len(shares),
    )


def _kept(answers: Iterable[Array], told: Callable[[int], None] | None) -> Array:
    done: list[Array] = []
    try:
        for part in answers:
            done.append(np.asarray(part, float))
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


def year_model(study: YearStudy, inputs: Sequence[UncertainInput]) -> Model:
    """Electricity of the walked year of shares, see `YearStudy`."""
    return of_shares(inputs, study.kWh)
