"""How much of every month and hour falls under each period of a time-of-use tariff: what makes a price table live."""

from __future__ import annotations

import numpy as np

from heatcalc.inputs.supply.tariff import Tariff
from heatcalc.supply.money import hour_prices


def period_shares(tariff: Tariff) -> np.ndarray:
    """Shares (periods, 12, 24); what no period takes is at the base price.

    Prices are linear in the period's own price: the share is what a dollar more on it adds.
    """
    base = hour_prices(tariff)
    raised = [hour_prices(tariff.model_copy(update={"periods": _dearer(tariff, k)})) for k in range(len(tariff.periods))]
    return np.array([dear - base for dear in raised]).reshape(len(tariff.periods), 12, 24)


def _dearer(tariff: Tariff, which: int) -> tuple:
    return tuple(p.model_copy(update={"price": p.price + 1.0}) if k == which else p for k, p in enumerate(tariff.periods))
