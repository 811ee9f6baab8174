"""The order of repairs and its expected cost.

Open loop, each repair followed by its verification: the expected minutes are the sum over the repairs of
(minutes + verification) times the probability that what was repaired before did not fix it, and for each
a price for having taken off a unit that was good. Ordering by
probability of fixing per minute is optimal for independent single repairs (Kadane & Simon, Psychometrika
42, 1977; Kalagnanam & Henrion, UAI 1990); with several faults at once each
repair is credited with its share of the faults that are still there, which is a good order, and the cost
is an upper bound on the best plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from faultiso.network.network import Array
from faultiso.planning.outlook import Outlook, RepairOption

TINY = 1e-12
MOST_STEPS = 12  # repairs that an order looks ahead
NOTHING_LEFT = 1e-9  # probability of a remaining fault at which an order ends


@dataclass(frozen=True)
class RepairStep:
    """One repair of an order: the probability that all is fixed after it, mean minutes spent so far."""

    option: RepairOption
    fixed_after: float
    expected_minutes: float


def expected_costs(outlook: Outlook, weights: Array, rest: Array) -> Array:
    """Expected minutes of the repair order in each column of belief, referring where that costs less.

    ``weights`` (sets, columns) and ``rest`` (columns,) are probabilities that sum to one in each column.
    """
    left = (weights * (outlook.masks != 0)[:, None]).sum(axis=0) + rest
    serviceable = outlook.serviceable_minutes * (1.0 - outlook.touches @ weights)
    return _costs_after(outlook, 0, MOST_STEPS, weights, left, serviceable)


def _costs_after(
    outlook: Outlook, cleared: int, steps: int, weights: Array, left: Array, serviceable: Array
) -> Array:
    """The same from where the faults ``cleared`` (bits) are gone; columns that go on alike go on together.

    ``left`` (columns,): probability that something is still wrong.
    """
    cost = left * outlook.refer_minutes
    if not outlook.options or not steps:
        return np.asarray(cost)
    shares = outlook.shares(cleared) @ weights
    prices = outlook.minutes[:, None] * left + serviceable
    chosen = (shares / np.maximum(prices, TINY)).argmax(axis=0)
    columns = np.arange(len(left))
    price = prices[chosen, columns]
    going = (left > NOTHING_LEFT) & (shares[chosen, columns] > NOTHING_LEFT) & (price < cost)
    for option in np.unique(chosen[going]).tolist():
        same = going & (chosen == option)
        gain = outlook.fixes(cleared)[option] @ weights[:, same]
        after = _costs_after(
            outlook,
            cleared | outlook.options[option].clears,
            steps - 1,
            weights[:, same],
            left[same] - gain,
            serviceable[:, same],
        )
        cost[same] = np.minimum(cost[same], price[same] + after)
    return np.asarray(cost)


def repair_order(outlook: Outlook) -> tuple[RepairStep, ...]:
    """The repairs by what they remove per minute, up to where referring costs less than going on."""
    weights = outlook.probability
    left = 1.0 - float(weights[outlook.masks == 0].sum())
    serviceable = outlook.serviceable_minutes * (1.0 - outlook.touches @ weights)
    cleared = 0
    walked: list[tuple[RepairOption, float, float, float]] = []
    while outlook.options and left > NOTHING_LEFT and len(walked) < MOST_STEPS:
        prices = outlook.minutes * left + serviceable
        shares = outlook.shares(cleared) @ weights
        best = int((shares / np.maximum(prices, TINY)).argmax())
        if shares[best] <= NOTHING_LEFT:
            break
        before, left = left, left - float(outlook.fixes(cleared)[best] @ weights)
        cleared |= outlook.options[best].clears
        walked.append((outlook.options[best], before, float(prices[best]), left))
    return _worth_going(walked, outlook.refer_minutes)


def _worth_going(
    walked: list[tuple[RepairOption, float, float, float]], refer_minutes: float
) -> tuple[RepairStep, ...]:
    """Cut a walk (repair, left before, price, left after) where referring is expected to cost less."""
    ahead = walked[-1][3] * refer_minutes if walked else 0.0
    end = 0
    for number in reversed(range(len(walked))):
        _, before, price, _ = walked[number]
        going, referring = price + ahead, before * refer_minutes
        end = max(end, number + 1) if going < referring else number
        ahead = min(going, referring)
    spent, steps = 0.0, []
    for option, _, price, after in walked[:end]:
        spent += price
        steps.append(RepairStep(option, 1.0 - after, spent))
    return tuple(steps)
