"""Long work spread over processes, in order, to be stopped at any time with what is done."""

from __future__ import annotations

import signal
import warnings
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any

from heatcalc.errors import InputError, NoAnswer

MOST_IDLE = 2  # rounds of processes that bring nothing new


def in_processes(workers: int, engine: str | None = None) -> Callable[[Callable[[Any], Any], Iterable[Any]], Iterator[Any]]:
    """A `map` over processes: joblib's own here, or on a cluster: `engine` "dask" starts one here, "dask:ADDRESS" joins one.

    What a process had in hand that was killed is given to another.  Raises NoAnswer where that brings nothing new.
    """

    def spread(work: Callable[[Any], Any], parts: Iterable[Any]) -> Iterator[Any]:
        left = list(parts)
        if engine is None and len(left) < 2:  # no process is worth its start
            yield from map(work, left)
            return
        idle = 0
        while left and idle < MOST_IDLE:
            before = len(left)
            try:
                for answer in _answers(work, tuple(left), workers, engine):
                    del left[0]
                    yield answer
            except BrokenProcessPool:
                idle = idle + 1 if len(left) == before else 0
        if left:
            raise NoAnswer(
                "a process ends on one part again and again, perhaps for want of memory: try --workers 1; what is done is kept"
            )

    return spread


def _answers(work: Callable[[Any], Any], parts: Iterable[Any], workers: int, engine: str | None) -> Iterator[Any]:
    from joblib import delayed

    with _parallel(engine, workers) as parallel:
        answers = parallel(delayed(work)(part) for part in parts)
        try:
            for answer in answers:  # noqa: UP028 - it must be closed below, not by "yield from"
                yield answer
        finally:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", UserWarning)  # that the rest was given up is what the caller wants
                answers.close()


def _deaf() -> None:
    """A process that leaves it to the one that started it to be stopped from the keyboard."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _parallel(engine: str | None, workers: int) -> Iterator[Any]:
    """What joblib spreads the work with; a cluster started here ends here, one elsewhere stays."""
    from joblib import Parallel, parallel_config

    if engine is None:
        yield Parallel(n_jobs=workers, return_as="generator", initializer=_deaf)
        return
    name, _, address = engine.partition(":")
    if name != "dask":
        raise InputError("--engine", engine, "is not known", "dask, or dask:ADDRESS such as dask:tcp://10.0.0.5:8786")
    try:
        from distributed import Client
    except ImportError:
        raise NoAnswer('a cluster needs the extra: pip install "heatcalc[cluster]"') from None
    try:
        own = {} if address else {"n_workers": workers, "threads_per_worker": 1, "dashboard_address": None}
        client = Client(address or None, timeout="20s", **own)
    except (OSError, ValueError) as problem:
        raise NoAnswer(f"no cluster answers at {address or 'this machine'}: {problem}") from None
    with client:
        with parallel_config(backend="dask"):
            parallel = Parallel(n_jobs=-1, return_as="generator")
        yield parallel
