"""Tables, figures and papers by name."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Generic, TypeVar

from heatcalc.errors import InputError, nearest

Thing = TypeVar("Thing")
Shown = TypeVar("Shown", covariant=True)


class ByName(Mapping[str, Shown], Generic[Thing, Shown]):
    """Each is made when it is asked for; a wrong name lists the right ones (InputError)."""

    def __init__(self, what: str, things: Mapping[str, Thing], show: Callable[[Thing], Shown]) -> None:
        self._what, self._things, self._show = what, things, show

    def __getitem__(self, name: str) -> Shown:
        if name not in self._things:
            known = ", ".join(self._things) or "none"
            raise InputError(self._what, name, f"known: {known}", nearest(name, list(self._things)))
        return self._show(self._things[name])

    def __contains__(self, name: object) -> bool:
        return name in self._things

    def __iter__(self) -> Iterator[str]:
        return iter(self._things)

    def __len__(self) -> int:
        return len(self._things)

    def __repr__(self) -> str:
        return f"{self._what}s: {', '.join(self._things)}"
