"""The order of repairs and its expected cost.

Open loop, each repair followed by its verification: the expected minutes are the sum over the repairs of
(minutes + verification) times the probability that what was repaired before did not fix it. Ordering by
probability of fixing per minute is optimal for independent single repairs (Kadane & Simon, Psychometrika
42, 1977; Kalagnanam & Henrion, UAI 1990); with several faults at once it is a good order, and its cost an
upper bound on the best plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from faultiso.network.network import Array
from faultiso.planning.outlook import Masks, Outlook, RepairOption


@dataclass(frozen=True)
class RepairStep:
    """One repair of an order: the probability that all is fixed after it, and the minutes spent on average so far."""

    option: RepairOption
    fixed_after: float
    expected_minutes: float


def expected_costs(outlook: Outlook, weights: Array, rest: Array) -> Array:
    """Expected minutes of the repair order in each column of belief.

    ``weights`` (sets, columns) and ``rest`` (columns,) are probabilities that sum to one in each column.
    """
    masks = np.repeat(outlook.masks[:, None], weights.shape[1], axis=1)
    cost = np.zeros(weights.shape[1])
    left = (weights * (masks != 0)).sum(axis=0) + rest
    running = left > 1e-9
    for _ in range(len(outlook.options)):
        if not running.any():
            break
        gains, minutes = _gains(outlook, masks, weights)
        chosen = (gains / minutes[:, None]).argmax(axis=0)
        gain = gains[chosen, np.arange(len(chosen))]
        worth = running & (gain * outlook.refer_minutes > minutes[chosen] * left)
        cost += np.where(worth, minutes[chosen] * left, 0.0)
        clears = np.array([option.clears for option in outlook.options], dtype=np.uint64)[chosen]
        masks = np.where(worth, masks & ~clears, masks)
        left = np.where(worth, left - gain, left)
        running = worth & (left > 1e-9)
    return np.asarray(cost + left * outlook.refer_minutes)


def _gains(outlook: Outlook, masks: Masks, weights: Array) -> tuple[Array, Array]:
    """What each repair would fix now, shape (repairs, columns), and the repairs' minutes."""
    open_weights = weights * (masks != 0)
    gains = np.stack(
        [
            (open_weights * ((masks & ~np.uint64(option.clears)) == 0)).sum(axis=0)
            for option in outlook.options
        ]
    )
    return gains, np.array([option.minutes for option in outlook.options])


def repair_order(outlook: Outlook) -> tuple[RepairStep, ...]:
    """The repairs in order of probability of fixing per minute, as long as they are worth more than referring."""
    masks = outlook.masks[:, None]
    weights = outlook.probability[:, None]
    left = 1.0 - float(outlook.probability[outlook.masks == 0].sum())
    spent, steps = 0.0, []
    while outlook.options and left > 1e-9:
        gains, minutes = _gains(outlook, masks, weights)
        best = int((gains[:, 0] / minutes).argmax())
        gain = float(gains[best, 0])
        if gain * outlook.refer_minutes <= minutes[best] * left:
            break
        spent += float(minutes[best]) * left
        left -= gain
        masks = masks & ~np.uint64(outlook.options[best].clears)
        steps.append(RepairStep(outlook.options[best], 1.0 - left, spent))
    return tuple(steps)
