"""The order of repairs and its expected cost.

Open loop, each repair followed by its verification: the expected minutes are the sum over the repairs of
(minutes + verification) times the probability that what was repaired before did not fix it, and for each
a price for having taken off a unit that was good. Ordering by
probability of fixing per minute is optimal for independent single repairs (Kadane & Simon, Psychometrika
42, 1977; Kalagnanam & Henrion, UAI 1990); with several faults at once it is a good order, and its cost an
upper bound on the best plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from faultiso.network.network import Array
from faultiso.planning.outlook import Outlook, RepairOption

TINY = 1e-12
NOTHING_LEFT = 1e-9  # probability of a remaining fault at which an order ends


@dataclass(frozen=True)
class RepairStep:
    """One repair of an order: the probability that all is fixed after it, mean minutes spent so far."""

    option: RepairOption
    fixed_after: float
    expected_minutes: float


def expected_costs(outlook: Outlook, weights: Array, rest: Array) -> Array:
    """Expected minutes of the repair order in each column of belief.

    ``weights`` (sets, columns) and ``rest`` (columns,) are probabilities that sum to one in each column.
    """
    left = (weights * (outlook.masks != 0)[:, None]).sum(axis=0) + rest
    serviceable = outlook.serviceable_minutes * (1.0 - outlook.touches @ weights)
    return _costs_after(outlook, 0, weights, left, serviceable)


def _costs_after(outlook: Outlook, cleared: int, weights: Array, left: Array, serviceable: Array) -> Array:
    """The same from where the faults ``cleared`` (bits) are gone; columns that go on alike go on together.

    ``left`` (columns,): probability that something is still wrong.
    """
    cost = left * outlook.refer_minutes
    if not outlook.options:
        return np.asarray(cost)
    gains = outlook.fixes(cleared) @ weights
    prices = outlook.minutes[:, None] * left + serviceable
    chosen = (gains / np.maximum(prices, TINY)).argmax(axis=0)
    columns = np.arange(len(left))
    gain, price = gains[chosen, columns], prices[chosen, columns]
    worth = (left > NOTHING_LEFT) & (gain * outlook.refer_minutes > price)
    for option in np.unique(chosen[worth]):
        same = worth & (chosen == option)
        after = _costs_after(
            outlook,
            cleared | outlook.options[option].clears,
            weights[:, same],
            left[same] - gain[same],
            serviceable[:, same],
        )
        cost[same] = price[same] + after
    return np.asarray(cost)


def repair_order(outlook: Outlook) -> tuple[RepairStep, ...]:
    """The repairs by probability of fixing per minute, as long as each is worth more than referring."""
    weights = outlook.probability
    left = 1.0 - float(weights[outlook.masks == 0].sum())
    serviceable = outlook.serviceable_minutes * (1.0 - outlook.touches @ weights)
    cleared, spent, steps = 0, 0.0, []
    while outlook.options and left > NOTHING_LEFT:
        gains = outlook.fixes(cleared) @ weights
        prices = outlook.minutes * left + serviceable
        best = int((gains / np.maximum(prices, TINY)).argmax())
        if gains[best] * outlook.refer_minutes <= prices[best]:
            break
        spent += float(prices[best])
        left -= float(gains[best])
        cleared |= outlook.options[best].clears
        steps.append(RepairStep(outlook.options[best], 1.0 - left, spent))
    return tuple(steps)
