"""The backup heat that every year, sheet and supply check is walked with, so that all of them say the same.

No house file states a heater of its own: the one taken is what the sizing asks for at the design cold, none where it asks
for none.  Hours colder than that are then what they are, and are counted as too cold.
"""

from __future__ import annotations

from math import ceil

from heatcalc.judge.choice import Candidate

BACKUP_STEP_W = 100.0  # a heater is named to the next hundred watts
RULE = "what the sizing asks for at the design cold"


def backup_of(chosen: Candidate) -> float:
    """Watts of the heater beside a unit; 0 where the unit carries the design cold by itself."""
    return heater_W(chosen.backup_W)


def heater_W(needed_W: float) -> float:
    """A heater that gives at least so much, to the next hundred watts."""
    return BACKUP_STEP_W * ceil(max(needed_W, 0.0) / BACKUP_STEP_W)


def backup_words(backup_W: float) -> str:
    """The rule in words, with its outcome."""
    return f"{backup_W / 1000:.1f} kW, {RULE}" if backup_W else "none, as the sizing asks for none at the design cold"
