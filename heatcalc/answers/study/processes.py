"""Long work spread over processes, in order, to be stopped at any time with what is done."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterable, Iterator
from typing import Any


def in_processes(workers: int) -> Callable[[Callable[[Any], Any], Iterable[Any]], Iterator[Any]]:
    """A `map` over processes of joblib (any backend of joblib's: a cluster is a change of `parallel_config`)."""

    def spread(work: Callable[[Any], Any], parts: Iterable[Any]) -> Iterator[Any]:
        from joblib import Parallel, delayed

        answers = Parallel(n_jobs=workers, return_as="generator")(delayed(work)(part) for part in parts)
        try:
            for answer in answers:  # noqa: UP028 - it must be closed below, not by "yield from"
                yield answer
        finally:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", UserWarning)  # that the rest was given up is what the caller wants
                answers.close()

    return spread
